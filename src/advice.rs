//! The main job in one readable function: job -> fit -> slice -> strokes -> advice.

mod answer;
mod forecast;
mod passes;
mod past;
mod reasons;
mod unknown;
mod verdict;
mod what_if;
mod work;

pub use answer::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind, Verdict};
pub use forecast::{Forecast, Hits};
pub use passes::{passes, sliced};
pub use past::{PastRound, past};
pub use verdict::decide;
pub use what_if::{WhatIf, leverage_said, what_if};
pub use work::{Working, came_off, history, work_out};

use crate::fit::SurfaceChoice;
use crate::job::Job;

/// How to advise.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Options {
    /// Plane, gentle curve, or by evidence.
    pub surface: SurfaceChoice,
}

/// Says what to do now at a joint.
///
/// Every job gets an answer: where the readings don't determine a safe slice,
/// the verdict is [`Verdict::NoAnswer`] and the reason says what would help.
/// The same job gives the same answer to the last digit.
pub fn advise(job: &Job, options: &Options) -> Advice {
    advise_and_show(job, options).0
}

/// The same answer and, where there are figures, all that was worked out on the
/// way: what pictures of the rib are drawn from.
pub fn advise_and_show(job: &Job, options: &Options) -> (Advice, Option<Working>) {
    if let Some(missing) = unknown::missing(job) {
        return (verdict::without_figures(job, missing), None);
    }
    let taken = history(job, options);
    match work_out(job, &taken, options) {
        Some(working) => (verdict::decide(job, &working), Some(working)),
        None => (verdict::without_figures(job, unknown::no_estimate()), None),
    }
}
