//! The main job in one readable function: job -> fit -> slice -> strokes -> advice.

mod answer;
mod crowd;
mod forecast;
mod lessons;
mod open;
mod passes;
mod past;
mod reasons;
mod unknown;
mod verdict;
mod what_if;
mod whole;
mod work;

pub use answer::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind, Verdict};
pub use forecast::{Forecast, Hits};
pub use lessons::{Lesson, Lessons, lesson};
pub use open::{Opened, lessons, open};
pub use passes::{passes, sliced};
pub use past::{PastRound, past};
pub(crate) use reasons::capital;
pub(crate) use unknown::counted;
pub use verdict::decide;
pub use what_if::{WhatIf, leverage_said, what_if};
pub use whole::{JointState, Stage, Whole, girth_due, shims, whole};
pub use work::{Working, came_off, history, work_out};

use crowd::Crowd;

use crate::fit::{Start, SurfaceChoice};
use crate::job::Job;

/// How to advise.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Options {
    /// Plane, gentle curve, or by evidence.
    pub surface: SurfaceChoice,
    /// What is known beforehand.
    pub start: Start,
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
/// way: what pictures of the rib are drawn from. Stations that stand far closer than
/// wood can wave are put together first; nothing but the answer is told of those.
pub fn advise_and_show(job: &Job, options: &Options) -> (Advice, Option<Working>) {
    match Crowd::of(job) {
        Some(crowd) => (crowd.spread(job, each(&crowd.job, options).0), None),
        None => each(job, options),
    }
}

/// The answer of a job whose stations all count by themselves.
fn each(job: &Job, options: &Options) -> (Advice, Option<Working>) {
    if let Some(missing) = unknown::missing(job) {
        return (verdict::without_figures(job, missing), None);
    }
    let taken = history(job, options);
    match work_out(job, &taken, options) {
        Some(working) => (verdict::decide(job, &working), Some(working)),
        None => (verdict::without_figures(job, unknown::no_estimate()), None),
    }
}
