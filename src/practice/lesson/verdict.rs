//! How good a choice was.

use serde::Serialize;

use super::{Lesson, Lie};

/// How good a choice was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Within the aim, with little more than the least wood.
    Well,
    /// Within the aim, at the price of wood.
    Costly,
    /// Not within the aim, but the worst clearance is down by half or more.
    Better,
    /// Not within the aim.
    Short,
}

/// Wood over the least that is still little, as a share of it.
const LITTLE: f64 = 0.3;
/// And in mm, since shavings come whole.
const WHOLE: f64 = 0.03;
/// A clearance that is over the aim by less than this counts as within, mm.
const HAIR: f64 = 0.005;

impl Verdict {
    /// The verdict on a rib that lies so, after so much wood where so little would do.
    pub(super) fn of(lesson: &Lesson, lie: &Lie, wood: f64, least: f64) -> Verdict {
        if !within(lesson, lie) {
            let better = over(lesson, lie) <= 0.5 * over(lesson, &lesson.before);
            return if better { Verdict::Better } else { Verdict::Short };
        }
        match wood <= least * (1.0 + LITTLE) + WHOLE {
            true => Verdict::Well,
            false => Verdict::Costly,
        }
    }
}

/// By how much the worst clearance of a rib that lies so is over the lesson's aim, mm.
fn over(lesson: &Lesson, lie: &Lie) -> f64 {
    let lift = lesson.aim.lift.map_or(0.0, |aim| lie.highest_lift().1 - aim);
    lift.max(lie.widest_gap().1 - lesson.aim.gap)
}

/// Whether a rib that lies so is within the lesson's aim.
fn within(lesson: &Lesson, lie: &Lie) -> bool {
    over(lesson, lie) <= HAIR
}
