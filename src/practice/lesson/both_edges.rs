//! Tight at the joint, proud along the other side: what comes of watching the joint alone.

use super::choice::{Ask, Choice, Refused};
use super::grade::{Aim, Grade};
use super::parts::{Answer, Beside, Lesson};
use super::rib::LessonRib;
use super::topic::Topic;
use super::words;
use crate::job::{Job, Unit};
use crate::maths::program::Failure;
use crate::practice::blank;
use crate::practice::dice::Dice;
use crate::practice::mold::Mold;
use crate::practice::rib::KnownJoint;

/// Thickness of a shaving, mm: a coarse setting.
const SHAVING: f64 = 0.1;
/// Most shavings at a station.
const MOST: u32 = 30;
/// What may stay of gap and lift, mm.
const AIM: Aim = Aim { gap: 0.15, lift: Some(0.15) };

pub(super) fn lesson(unit: Unit, seed: u64) -> Result<Lesson, Failure> {
    let rib = rib(seed).in_unit(unit);
    let ask = Ask::Shavings { shaving: SHAVING, most: MOST };
    let mut lesson = Lesson::around(Topic::BothEdges, seed, rib, AIM, ask)?;
    let (at, lift) = lesson.before.highest_lift();
    let (one, lift_of_one) = lesson.round_lift();
    lesson.idea = format!(
        "A rib has two edges. The joint edge you see; the outer edge hides its lift under your hand, and it is the \
         joint line of the next rib. Whoever watches the joint alone stops when it is tight, and the rib stands proud \
         along the other side. Pressed down and glued, it springs; left so, the next rib starts from a wrong line. \
         Lift comes down with a slice of the joint edge: on this bowl {} for {one} of lift at station {}. So read both \
         edges before you plane either.",
        lesson.say(lift_of_one * super::slices::price(&lesson.rib)),
        lesson.stations[lesson.rib.highest()]
    );
    lesson.question = format!(
        "At the joint the widest gap is {}, and most would glue that. The outer edge lifts {} at station {}. Bring {}: \
         at which stations do you plane, and how many shavings of {}?",
        lesson.say(lesson.before.widest_gap().1),
        lesson.say(lift),
        lesson.stations[at],
        words::aim(&lesson),
        lesson.say(SHAVING)
    );
    Ok(lesson)
}

/// A flat edge that stands off the mold more and more towards one end.
fn rib(seed: u64) -> LessonRib {
    let mut dice = Dice::new(seed.wrapping_mul(5).wrapping_add(2));
    // Fewer ribs stand steeper at their outer edge, and lose less for the lift.
    let ribs = dice.whole(9, 13);
    let mold = Mold { ribs, ..blank::mold(&mut dice, false) };
    let known = KnownJoint::new(&mold, ribs / 2, dice.whole(9, 12), 1);
    let tail = dice.whole(0, 1) == 1;
    let deep = dice.between(1.4, 1.9);
    let (waves, phase) = (dice.between(0.01, 0.02), dice.between(0.0, 6.0));
    // Flat but for small waves: planar in x, nothing at one end and all at the other.
    let taper = known.planar(deep / 2.0, if tail { deep / 2.0 } else { -deep / 2.0 }, 0.0);
    let length = known.arc.last().copied().unwrap_or(1.0);
    let wavy = |(flat, s): (&f64, &f64)| flat + waves * libm::sin(9.0 * s / length + phase);
    let edge = taper.iter().zip(&known.arc).map(wavy).collect();
    LessonRib::new(known, edge, Job::default())
}

pub(super) fn answer(lesson: &Lesson, choice: &Choice) -> Result<Answer, Refused> {
    let Choice::Shavings(counts) = choice else { return Err(Refused::OtherKind) };
    let taken: Vec<f64> = counts.iter().map(|&n| f64::from(n) * SHAVING).collect();
    let mut answer = lesson.weigh(taken.clone())?;
    answer.chosen = words::shavings(lesson, counts);
    answer.why = why(lesson, &answer);
    let joint_alone = lesson.rib.least(0.0, None)?;
    let ways = [
        ("you", &taken),
        ("least wood, joint alone", &joint_alone),
        ("least wood, both edges", &answer.least),
    ];
    let beside = ways.into_iter().enumerate().map(|(i, (way, taken))| Beside::of(lesson, way, i == 0, taken));
    answer.beside = beside.collect::<Result<_, _>>()?;
    Ok(answer)
}

fn why(lesson: &Lesson, answer: &Answer) -> String {
    let (gap, lift) = (answer.after.widest_gap(), answer.after.highest_lift());
    let proud = lift.1 > AIM.lift.unwrap_or(f64::INFINITY) + 0.005;
    let open = gap.1 > AIM.gap + 0.005;
    let where_ = spread(lesson, &answer.least);
    match (open, proud, answer.verdict) {
        (false, true, _) => format!(
            "The joint would pass, and still the outer edge stands proud by {} at station {}: the next rib would \
             start from there. {where_}",
            lesson.say(lift.1),
            lesson.stations[lift.0]
        ),
        (true, false, _) => format!(
            "The outer edge is down, but the slice was no flat one: it opened {} at station {}. Take shavings that \
             grow evenly from station to station. {where_}",
            lesson.say(gap.1),
            lesson.stations[gap.0]
        ),
        (true, true, _) => {
            format!("Neither edge is home yet. A flat slice moves the rib as one piece. {where_}")
        }
        (_, _, Grade::Costly) => {
            format!("Both edges are home, with more wood than they asked for. {where_}")
        }
        _ => format!(
            "A flat slice moved the rib as one piece: the joint stayed tight while the lift came down. {where_}"
        ),
    }
}

/// Where the least wood comes off: at both ends, and where nothing does.
fn spread(lesson: &Lesson, least: &[f64]) -> String {
    let name = |i: usize| &lesson.stations[i];
    let last = least.len() - 1;
    let none = (0..least.len()).min_by(|&a, &b| least[a].total_cmp(&least[b])).unwrap_or(0);
    format!(
        "The least wood is {} at station {}, {} at station {} and {} at station {}, evenly in between.",
        lesson.say(least[0]),
        name(0),
        lesson.say(least[none]),
        name(none),
        lesson.say(least[last]),
        name(last)
    )
}
