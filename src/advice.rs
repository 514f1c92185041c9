//! The main job in one readable function: job -> fit -> slice -> strokes -> advice.
//!
//! ## When does it stop?
//!
//! Each draw's rib is pushed home anew, and the share of ribs within tolerance at every station
//! is the confidence. Why not the Gaussian clearances of the last round? They keep the
//! looseness of one trial's pose; the rib that is glued is pushed home.

mod answer;
mod confirmed;
mod costs;
mod forecast;
mod ground;
mod judge;
mod lessons;
mod open;
mod passes;
mod past;
mod places;
mod plausible;
mod read_next;
mod reasons;
mod unknown;
mod verdict;
mod warnings;
mod what_if;
mod whole;
mod words;
mod work;

pub use answer::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind};
pub(crate) use confirmed::{CONFIRMED, lost_said, unreadable};
pub use costs::Costs;
pub use forecast::{Forecast, Hits, Sureness};
pub use ground::Verdict;
pub use lessons::{Lesson, Lessons, lesson};
pub use open::{JointInBowl, lessons, open};
pub use passes::{levers, passes, sliced};
pub use past::{PastRound, past};
pub use read_next::{ReadNext, Setting};
pub use verdict::decide;
pub use what_if::{WhatIf, what_if};
pub use whole::{JointState, Stage, Whole, girth_due, shims, whole};
pub use words::leverage_said;
pub(crate) use words::{capital, counted};
pub use work::{Before, NoFigures, Options, Working, came_off, work_out};

use places::Places;

use crate::fit::Doubt;
use crate::job::Job;

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
    match Places::of(job) {
        Some(places) => (places.tell(job, advise_stations(&places.job, options).0), None),
        None => advise_stations(job, options),
    }
}

/// Stations (indices) at which readings of the last round don't go with the others.
pub fn doubted(job: &Job, options: &Options) -> Vec<usize> {
    let (advice, working) = advise_and_show(job, options);
    let last = |doubt: &&Doubt| Some(doubt.round) == job.last_round();
    working.map_or(advice.doubted, |w| w.fit.doubts.iter().filter(last).map(|d| d.station).collect())
}

/// The answer of a job whose stations all count by themselves.
fn advise_stations(job: &Job, options: &Options) -> (Advice, Option<Working>) {
    let costs = Costs::default();
    if let Some(missing) = unknown::missing(job) {
        let read_next = ReadNext::first(job, &costs);
        return (Advice { read_next, ..verdict::without_figures(job, missing) }, None);
    }
    match work_out(job, &Before::last_round(job, options), options) {
        Ok(working) => {
            let advice = verdict::decide(job, &working);
            let read_next = ReadNext::after(job, &working, &advice, &costs);
            (Advice { read_next, ..advice }, Some(working))
        }
        Err(why) => (verdict::without_figures(job, unknown::no_figures(job, why)), None),
    }
}
