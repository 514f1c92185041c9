//! How good a choice was.

use serde::Serialize;

use super::rib::Lie;

/// What a lesson is content with, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Aim {
    /// Widest gap that may stay.
    #[serde(rename = "gap_mm")]
    pub gap: f64,
    /// Highest lift that may stay; none where the lesson looks at the joint alone.
    #[serde(rename = "lift_mm")]
    pub lift: Option<f64>,
}

/// How good a choice was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
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

impl Grade {
    /// The verdict on a rib that lay as `before` and lies so, after so much wood where so little would do.
    pub(super) fn of(aim: &Aim, before: &Lie, lie: &Lie, wood: f64, least: f64) -> Grade {
        if !within(aim, lie) {
            let better = over(aim, lie) <= 0.5 * over(aim, before);
            return if better { Grade::Better } else { Grade::Short };
        }
        match wood <= least * (1.0 + LITTLE) + WHOLE {
            true => Grade::Well,
            false => Grade::Costly,
        }
    }
}

/// By how much the worst clearance of a rib that lies so is over the aim, mm.
fn over(aim: &Aim, lie: &Lie) -> f64 {
    let lift = aim.lift.map_or(0.0, |lift| lie.highest_lift().1 - lift);
    lift.max(lie.widest_gap().1 - aim.gap)
}

/// Whether a rib that lies so is within the aim.
fn within(aim: &Aim, lie: &Lie) -> bool {
    over(aim, lie) <= HAIR
}
