//! What a verdict rests on: plane, fitted, read again, or no answer.

use crate::fit::Doubt;
use crate::job::{Against, Job};
use crate::joint::Clearances;
use crate::seat::press::closing_force;

use super::answer::Verdict;
use super::words::widest;
use super::work::{self, Working, lifts_read};

/// What a verdict rests on. Stations are indices, chances shares from 0 to 1 that the joint is fitted.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Ground {
    /// Strokes are recorded and nothing was read since.
    PlanedSince,
    /// A reading of the last round doesn't go with the others.
    Doubted(Doubt),
    /// The readings miss any rib.
    Contradiction,
    /// Within tolerance as it lies.
    Fitted { chance: f64 },
    /// Within tolerance once pressed with the maker's force, N.
    Pressed { force: f64, chance: f64 },
    /// Wood is wanted, and strokes are safe.
    Wanted { chance: f64 },
    /// The spare width, mm, is used up.
    SpareUsed { station: usize, spare: f64 },
    /// A lift that no slice brings down.
    Springs { station: usize },
    /// Rounds without a stroke, and more of them won't settle it.
    NoProgress { chance: f64 },
    /// Not known well enough.
    NotSure { chance: f64 },
}

impl Ground {
    /// The verdict that rests on it.
    pub fn verdict(&self) -> Verdict {
        match self {
            Ground::PlanedSince | Ground::Doubted(_) | Ground::NotSure { .. } => Verdict::ReadAgain,
            Ground::Fitted { .. } | Ground::Pressed { .. } => Verdict::Fitted,
            Ground::Wanted { .. } => Verdict::Plane,
            Ground::Contradiction
            | Ground::SpareUsed { .. }
            | Ground::Springs { .. }
            | Ground::NoProgress { .. } => Verdict::NoAnswer,
        }
    }
}

/// Readings that miss the estimate by this many times their stated errors contradict each other.
const CONTRADICTION: f64 = 2.5;
/// Rounds in a row without a stroke after which more reading won't help.
const PATIENCE: usize = 2;

/// What the verdict rests on. The order matters: nothing is planed on
/// readings in doubt, and nothing more once the joint is fitted.
pub(super) fn judge(job: &Job, w: &Working) -> Ground {
    if job.rounds.last().is_some_and(|r| !r.strokes.is_empty()) {
        return Ground::PlanedSince;
    }
    if let Some(doubt) = w.fit.doubts.iter().find(|d| d.round + 1 == job.rounds.len()) {
        return Ground::Doubted(doubt.clone());
    }
    if w.fit.misfit > CONTRADICTION {
        return Ground::Contradiction;
    }
    let chance = w.chances.fitted(job.tolerance.gap, job.tolerance.lift);
    if let Some(fitted) = fitted(job, w, chance) {
        return fitted;
    }
    if !w.plan.strokes.is_empty() {
        return Ground::Wanted { chance };
    }
    nothing_to_plane(job, w, chance)
}

/// Fitted as it lies, or by pressing, with the confidence asked for; told by the neighbour only.
fn fitted(job: &Job, w: &Working, chance: f64) -> Option<Ground> {
    let neighbour = job.rounds.last().is_some_and(|r| r.against == Against::Neighbour);
    let sure = |chance: f64| neighbour && chance >= job.tolerance.confidence;
    if sure(chance) {
        return Some(Ground::Fitted { chance });
    }
    let (force, chance) = pressing(job, w).filter(|(_, chance)| sure(*chance))?;
    Some(Ground::Pressed { force, chance })
}

/// Where the maker gave a force: it, and the share of the ribs that agree with
/// the readings whose gaps it closes and whose lifts are within tolerance.
fn pressing(job: &Job, w: &Working) -> Option<(f64, f64)> {
    let force = job.tolerance.force?;
    let closed = |rest: &&Vec<Clearances>| {
        let needed = closing_force(job, &w.joint, rest);
        let enough = needed.is_some_and(|forces| forces.iter().all(|(_, newtons)| *newtons <= force));
        enough && rest.iter().all(|c| c.lift <= job.tolerance.lift)
    };
    let count = w.chances.rest.iter().filter(closed).count();
    Some((force, count as f64 / w.chances.rest.len().max(1) as f64))
}

/// Not fitted for certain, and no stroke that is safe.
fn nothing_to_plane(job: &Job, w: &Working, chance: f64) -> Ground {
    if let Some(conflict) = spare_used(job, w).or_else(|| springs(job, w)) {
        return conflict;
    }
    let idle = job.rounds.iter().rev().take_while(|r| r.strokes.is_empty()).count();
    if idle >= PATIENCE { Ground::NoProgress { chance } } else { Ground::NotSure { chance } }
}

fn spare_used(job: &Job, w: &Working) -> Option<Ground> {
    let spare = job.spare?;
    let short = |i: &usize| work::spent(job, w, *i) && w.slice.height[*i] > 0.5 * thinnest_shaving(job);
    let station = (0..job.stations.len()).find(short)?;
    Some(Ground::SpareUsed { station, spare })
}

/// A spring beyond the lift's tolerance, for certain, where no gap is left to plane for.
fn springs(job: &Job, w: &Working) -> Option<Ground> {
    let (station, spring) = widest(w.fit.spring.iter().zip(&w.fit.spring_sd).map(|(f, sd)| f - sd));
    let (_, gap) = widest(w.now.clearances.iter().map(|c| c.gap));
    let stays = spring > job.tolerance.lift && gap <= job.tolerance.gap && lifts_read(job);
    stays.then_some(Ground::Springs { station })
}

/// The thinnest shaving of the maker's planes, mm.
pub(super) fn thinnest_shaving(job: &Job) -> f64 {
    job.planes.iter().map(|p| p.shaving).fold(f64::INFINITY, f64::min)
}
