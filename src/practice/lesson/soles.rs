//! Long against short soles on the same waves.

use super::choice::{Ask, Choice, Refused};
use super::grade::{Aim, Grade};
use super::parts::{Answer, Beside, Edges, Lesson};
use super::rib::LessonRib;
use super::topic::Topic;
use crate::job::{Job, Plane, Unit};
use crate::maths::program::Failure;
use crate::practice::blank;
use crate::practice::dice::Dice;
use crate::practice::rib::KnownJoint;
use crate::sole::{Bed, Push, guided};

/// Most pushes.
const MOST: u32 = 20;
/// Wood beyond the joint surface under the hollows, so that the mold never stops the rib, mm.
const SPARE: f64 = 1.0;
/// Widest gap that may stay, mm.
const GAP: f64 = 0.08;

pub(super) fn lesson(unit: Unit, seed: u64) -> Result<Lesson, Failure> {
    let (rib, waves) = rib(seed);
    let rib = rib.in_unit(unit);
    let planes = rib.job().planes.iter().map(|p| p.name.clone()).collect();
    let ask = Ask::Pushes { planes, most: MOST };
    let mut lesson = Lesson::around(Topic::Soles, seed, rib, Aim { gap: GAP, lift: None }, ask)?;
    let [long, short] = [0, 1].map(|i| &lesson.rib.job().planes[i]);
    let bend = lesson.rib.joint.frames[lesson.rib.highest()].along_curvature;
    let guided = |p: &Plane| guided(p.sole, p.width, bend);
    lesson.idea = format!(
        "The sole rides on the crests. A long one bridges the hollows, so the iron finds nothing there and takes the \
         crests alone: waves get lower push by push. A short one dips into the hollows too and takes nearly the same everywhere: \
         the wood goes before the waves do. On an edge that curves over the bowl only part of the sole is guided: here {} of \
         the long plane's {} {} at the highest place, and {} of the short one's {}. What counts is that \
         length against the waves.",
        lesson.coarse(guided(long)),
        lesson.coarse(long.sole),
        lesson.unit().symbol(),
        lesson.coarse(guided(short)),
        lesson.coarse(short.sole)
    );
    lesson.question = format!(
        "The edge has waves {} {} long, {} from crest to hollow. Both planes are set to {}. Bring every gap within \
         {}: which plane do you push from end to end, and how often?",
        lesson.coarse(waves.0),
        lesson.unit().symbol(),
        lesson.say(waves.1),
        lesson.say(long.shaving),
        lesson.say(GAP)
    );
    Ok(lesson)
}

/// A wavy edge; length of the waves and their height from crest to hollow, mm.
fn rib(seed: u64) -> (LessonRib, (f64, f64)) {
    let mut dice = Dice::new(seed.wrapping_mul(5).wrapping_add(3));
    let mold = blank::mold(&mut dice, false);
    let known = KnownJoint::new(&mold, mold.ribs / 2, 25, 8);
    let length = known.arc.last().copied().unwrap_or(1.0);
    // Shorter than what guides the long sole, longer than the short one; crests at both ends,
    // since past its end a sole has nothing to ride on.
    let count = (length / 180.0).round().max(2.0);
    let height = dice.between(0.25, 0.4);
    let wave = |s: &f64| SPARE + height / 2.0 * (1.0 + libm::cos(std::f64::consts::TAU * count * s / length));
    let edge = known.arc.iter().map(wave).collect();
    let plane =
        |name: &str, sole, width| Plane { name: name.into(), sole, width, shaving: 0.05, ..Plane::default() };
    let planes = vec![plane("long", 600.0, 70.0), plane("short", 40.0, 20.0)];
    (LessonRib::new(known, edge, Job { planes, ..Job::default() }), (length / count, height))
}

/// What a plane takes from end to end in so many pushes, mm at each station.
/// The sole is free in the line along the edge; the roll is held at the joint surface's.
fn pushed(rib: &LessonRib, plane: usize, count: u32) -> Vec<f64> {
    let (plane, known) = (&rib.job().planes[plane], rib.exact());
    let bed = Bed::new(&known.arc, known.curvature.iter().copied(), plane.sole, plane.width);
    let blank = &rib.task.blank.edge;
    let mut edge = blank.clone();
    for _ in 0..count {
        let push = Push { shaving: plane.shaving, first: 0, last: edge.len() - 1 };
        let cut = bed.cut(&edge, push);
        edge.iter_mut().zip(cut).for_each(|(e, c)| *e -= c);
    }
    let taken: Vec<f64> = blank.iter().zip(edge).map(|(b, e)| b - e).collect();
    known.at_stations(&taken)
}

pub(super) fn answer(lesson: &Lesson, choice: &Choice) -> Result<Answer, Refused> {
    let &Choice::Pushes { plane, count } = choice else { return Err(Refused::OtherKind) };
    let taken = pushed(&lesson.rib, plane, count);
    let mut answer = lesson.weigh(taken.clone())?;
    let times = if count == 1 { "1 push".to_owned() } else { format!("{count} pushes") };
    let planes = &lesson.rib.job().planes;
    answer.chosen = format!("{}, {times}", planes[plane].name);
    let before = lesson.rib.edge().to_vec();
    let after: Vec<f64> = before.iter().zip(&taken).map(|(b, t)| b - t).collect();
    answer.why = why(lesson, &answer, plane, count, (height(&before), height(&after)));
    answer.edges = Some(Edges { before, after });
    for (i, other) in planes.iter().enumerate() {
        let taken = pushed(&lesson.rib, i, count);
        answer.beside.push(Beside::of(lesson, format!("{}, {times}", other.name), i == plane, &taken)?);
    }
    Ok(answer)
}

/// From the lowest to the highest place of an edge, mm.
fn height(edge: &[f64]) -> f64 {
    let (low, high) = edge.iter().fold((f64::MAX, f64::MIN), |(l, h), &e| (l.min(e), h.max(e)));
    high - low
}

fn why(lesson: &Lesson, answer: &Answer, plane: usize, count: u32, (before, after): (f64, f64)) -> String {
    let waves =
        format!("The edge's waves were {} high and are now {}.", lesson.say(before), lesson.say(after));
    if count == 0 {
        return "Nothing was planed, so the waves are as they were.".to_owned();
    }
    if plane == 1 {
        return format!(
            "{waves} The short sole followed them down: it took {} on average, hollows included, where the long \
             one would have bridged them.",
            lesson.say(answer.wood)
        );
    }
    let end = match answer.verdict {
        Grade::Well => "It rode on the crests until they were nearly gone; stop there.",
        Grade::Costly => {
            "Once the crests are gone the shaving runs unbroken from end to end. That is the sign to stop: each push \
             after it only makes the rib narrower."
        }
        Grade::Better | Grade::Short => {
            "It rides on the crests, so they come down first. Go on until the shaving runs unbroken."
        }
    };
    format!("{waves} {end} {}", lesson_hollow(lesson, answer))
}

/// What the hollows lost.
fn lesson_hollow(lesson: &Lesson, answer: &Answer) -> String {
    let edge = lesson.rib.edge();
    let lowest = (0..edge.len()).min_by(|&a, &b| edge[a].total_cmp(&edge[b])).unwrap_or(0);
    format!(
        "The deepest hollow, station {}, lost {}.",
        lesson.stations[lowest],
        lesson.say(answer.taken[lowest])
    )
}
