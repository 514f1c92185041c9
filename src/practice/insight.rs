//! How far the estimate is from the true wood, round by round: for tuning.

use crate::advice::Working;
use crate::joint::{Clearance, Clearances};

use super::blank::Task;
use super::rib::{ExactPose, Wood};

/// The estimate of gaps or lifts against the truth, over the stations. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Misses {
    /// Widest in truth.
    pub widest: f64,
    /// Root mean square of estimate less truth.
    pub rms: f64,
    /// Mean of estimate less truth.
    pub bias: f64,
    /// Root mean square of the stated standard deviation.
    pub stated: f64,
}

/// What one round's estimate was worth.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Insight {
    /// Rounds read so far.
    pub round: usize,
    /// The gaps.
    pub gap: Misses,
    /// The lifts.
    pub lift: Misses,
    /// The chance that the rib lies within tolerance, as stated.
    pub fitted: f64,
    /// Whether it does.
    pub within: bool,
    /// Most wood wanted at any station.
    pub wanted: f64,
    /// Pushes of the plan.
    pub pushes: u32,
    /// The first plane's shaving as the readings alone tell it and its standard deviation, as
    /// shares of the stated one; 1 and 0 where they tell nothing.
    pub shaving: (f64, f64),
    /// How many times their stated errors the readings miss the estimate.
    pub misfit: f64,
}

impl Insight {
    /// Compares what was worked out after `round` rounds with the true wood.
    pub(super) fn of(task: &Task, wood: &Wood, w: &Working, round: usize) -> Insight {
        let (_, clearances) = task.known.seat(wood, ExactPose::default());
        let truth = task.known.at_stations(&clearances);
        let tolerance = &task.job.tolerance;
        Insight {
            round,
            gap: Misses::of(&truth, w, Clearance::Gap),
            lift: Misses::of(&truth, w, Clearance::Lift),
            fitted: w.chances.fitted(tolerance.gap, tolerance.lift),
            within: truth.iter().all(|t| t.gap <= tolerance.gap && t.lift <= tolerance.lift),
            wanted: w.slice.remove.iter().copied().fold(0.0, f64::max),
            pushes: w.plan.pushes(),
            shaving: w.fit.shaving_told(0).unwrap_or((1.0, 0.0)),
            misfit: w.fit.misfit,
        }
    }
}

impl Misses {
    fn of(truth: &[Clearances], w: &Working, which: Clearance) -> Misses {
        let estimate = w.fit.last_clearances();
        let n = truth.len() as f64;
        let mean = |f: &dyn Fn(usize) -> f64| (0..truth.len()).map(f).sum::<f64>() / n;
        let miss = |i: usize| estimate[i][which] - truth[i][which];
        Misses {
            widest: truth.iter().map(|t| t[which]).fold(0.0, f64::max),
            rms: mean(&|i| miss(i).powi(2)).sqrt(),
            bias: mean(&miss),
            stated: mean(&|i| variance(w, i, which)).sqrt(),
        }
    }
}

/// Variance of a clearance over the draws.
fn variance(w: &Working, station: usize, of: Clearance) -> f64 {
    let draws = &w.chances.draws;
    let count = draws.len().max(1) as f64;
    let mean = draws.iter().map(|d| d.clearances[station][of]).sum::<f64>() / count;
    draws.iter().map(|d| (d.clearances[station][of] - mean).powi(2)).sum::<f64>() / count
}
