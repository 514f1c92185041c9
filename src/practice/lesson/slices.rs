//! What a planar slice does to the lift: the same everywhere, a taper, in
//! proportion to the rise, and the same less a part in proportion to the rise.

use super::choice::{Ask, Choice, Refused};
use super::grade::Aim;
use super::parts::{Answer, Beside, Lesson};
use super::rib::LessonRib;
use super::topic::Topic;
use crate::job::{Job, Unit};
use crate::joint::Pose;
use crate::maths::program::Failure;
use crate::practice::blank;
use crate::practice::dice::Dice;
use crate::practice::mold::Mold;
use crate::practice::rib::KnownJoint;

/// Ribs over the bowl, by seed.
const RIBS: [usize; 7] = [15, 13, 17, 11, 19, 9, 21];
/// Stations close enough to find the highest rise.
const FINE: usize = 121;
/// The ways in few words, in the order asked.
const WAYS: [&str; 4] = ["the same everywhere", "a taper", "in proportion to the rise", "more off both ends"];
/// What may stay of gap and lift, mm.
const AIM: Aim = Aim { gap: 0.05, lift: Some(0.05) };

pub(super) fn lesson(unit: Unit, seed: u64) -> Result<Lesson, Failure> {
    let mut dice = Dice::new(seed.wrapping_mul(5).wrapping_add(1));
    let ribs = RIBS[(seed % RIBS.len() as u64) as usize];
    let mold = Mold { ribs, ..blank::mold(&mut dice, false) };
    let known = KnownJoint::new(&mold, ribs / 2, dice.whole(9, 13), 1);
    // At the very top, which falls between the stations.
    let price = price(&flat(KnownJoint::new(&mold, ribs / 2, FINE, 1)));
    let depth = price * dice.between(0.25, 0.4);
    let edge = flat(known.clone()).joint.frames.iter().map(|f| depth / f.cos_bevel).collect();
    let rib = LessonRib::new(known, edge, Job { unit, ..Job::default() });
    let high = &rib.job().stations[rib.highest()].name.clone();
    let ask = Ask::One { options: options(high, &unit.say(depth)) };
    let mut lesson = Lesson::around(Topic::Slices, seed, rib, AIM, ask)?;
    let (one, lift_of_one) = lesson.round_lift();
    lesson.idea = format!(
        "Plane a flat joint edge to another flat surface and push the rib home: it moves as one piece. A slice that \
         is the same everywhere brings the outer edge down, at a price: on a bowl of {ribs} ribs {one} of lift costs \
         {} of slice, since the rib slides almost along the mold, hardly towards it. A taper does that at one \
         end alone. A slice in proportion to the rise turns the rib around the bowl, and every lift stays as it was.",
        lesson.say(lift_of_one * price)
    );
    lesson.question = format!(
        "The joint is tight, but the outer edge stands off the mold by {} at its highest, station {}. Which slice \
         do you take?",
        lesson.say(lesson.before.highest_lift().1),
        lesson.stations[lesson.before.highest_lift().0]
    );
    Ok(lesson)
}

/// A rib that lies right.
fn flat(known: KnownJoint) -> LessonRib {
    let edge = vec![0.0; known.arc.len()];
    LessonRib::new(known, edge, Job::default())
}

/// Slice (mm, square to the joint) that brings the outer edge down by 1 mm at
/// the highest rise: 1 / sin b, by the model's derivative.
pub(super) fn price(rib: &LessonRib) -> f64 {
    let shift = rib.joint.shift(&Pose::default(), rib.highest());
    1.0 / shift.slope.lift.y
}

fn options(high: &str, depth: &str) -> Vec<String> {
    vec![
        format!("{depth}, the same everywhere"),
        format!("a taper: nothing at the neck end, {depth} at the tail end"),
        format!("in proportion to the rise: {depth} at station {high}, where it is highest"),
        format!(
            "{depth} less a part in proportion to the rise: more off both ends, nothing at station {high}"
        ),
    ]
}

/// Wood at each station for each way, mm: the plane surface A + B x + C z over cos a.
fn ways(rib: &LessonRib) -> [Vec<f64>; 4] {
    let high = rib.highest();
    let frames = &rib.joint.frames;
    let depth = rib.edge()[high] * frames[high].cos_bevel;
    let (first, last) = (frames[0].joint.x, frames[frames.len() - 1].joint.x);
    let top = frames[high].joint.z;
    let slice = |f: fn(f64, f64) -> f64| {
        let at = frames.iter().map(|p| {
            let (x, z) = ((p.joint.x - first) / (last - first), p.joint.z / top);
            depth * f(x, z) / p.cos_bevel
        });
        at.collect::<Vec<f64>>()
    };
    [slice(|_, _| 1.0), slice(|x, _| x), slice(|_, z| z), slice(|_, z| 1.0 - z)]
}

pub(super) fn answer(lesson: &Lesson, choice: &Choice) -> Result<Answer, Refused> {
    let (&Choice::One(one), Ask::One { options }) = (choice, &lesson.ask) else {
        return Err(Refused::OtherKind);
    };
    let ways = ways(&lesson.rib);
    let mut answer = lesson.weigh(ways[one].clone())?;
    answer.chosen = options[one].clone();
    answer.why = why(lesson, one, &answer);
    for (i, (way, taken)) in WAYS.into_iter().zip(&ways).enumerate() {
        answer.beside.push(Beside::of(lesson, way, i == one, taken)?);
    }
    Ok(answer)
}

fn why(lesson: &Lesson, one: usize, answer: &Answer) -> String {
    let lift = |i: usize| (lesson.say(lesson.before.lift[i]), lesson.say(answer.after.lift[i]));
    let last = lesson.stations.len() - 1;
    match one {
        0 => "The rib came towards the neighbour as it was, and slid down the mold by the same everywhere. But a part \
              of that slice did nothing: what is in proportion to the rise only turned the rib around the bowl. Leave \
              that part on, and nothing comes off at the highest place."
            .to_owned(),
        1 => format!(
            "The rib turned on its neck end: the lift at the tail end fell from {} to {}, the one at the neck end is \
             {} where it was {}. A taper is right where one end stands off.",
            lift(last).0,
            lift(last).1,
            lift(0).1,
            lift(0).0
        ),
        2 => "The rib turned about the chord, and the chord is the bowl's own axis: every place of it slid along the \
              round mold and none came nearer to it. All that wood went for nothing. On a bowl that is not quite \
              round a little of the lift may change."
            .to_owned(),
        _ => "It is the same slice as 'the same everywhere', with a turn around the bowl that costs nothing and \
              saves the wood at the highest place. That is why least wood so often means: more off both ends, and \
              one station left untouched."
            .to_owned(),
    }
}
