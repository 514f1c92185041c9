//! Which ground holds: what was read is looked at first, then what it means.

use crate::job::{Against, Job, Round};
use crate::joint::{Clearance, Clearances};
use crate::seat::elastic::HeldRib;
use crate::seat::press::closing_force;

use super::ground::Ground;
use super::plausible;
use super::work::{self, Working, thinnest_shaving};

/// Readings that miss the estimate by this many times their stated errors contradict each other.
const CONTRADICTION: f64 = 2.5;
/// A lift this many standard deviations over its tolerance is held to be certain.
const CERTAIN: f64 = 2.0;
/// Rounds in a row without a stroke after which more reading won't help.
const PATIENCE: usize = 2;

/// What the verdict rests on. The order matters: nothing is planed on
/// readings in doubt, and nothing more once the joint is fitted.
pub(super) fn judge(job: &Job, w: &Working) -> Ground {
    if job.rounds.last().is_some_and(|r| !r.strokes.is_empty()) {
        return Ground::PlanedSince;
    }
    if let Some(flaw) = plausible::flaw(job) {
        return flaw;
    }
    if let Some(doubt) = w.fit.doubts.iter().find(|d| Some(d.round) == job.last_round()) {
        return Ground::Doubted(doubt.clone());
    }
    if w.fit.misfit > CONTRADICTION {
        return Ground::Contradiction;
    }
    let chance = w.chances.fitted(job.tolerance.gap, job.tolerance.lift);
    if let Some(fitted) = fitted(job, w, chance) {
        return fitted;
    }
    if let Some(stays) = lift_stays(job, w) {
        return stays;
    }
    let only_looking = all_within(job) && (first_look(job) || lies_within(job, w));
    if !w.plan.strokes.is_empty() && !only_looking {
        return Ground::Wanted { chance };
    }
    nothing_to_plane(job, w, chance)
}

/// Fitted as it lies, or by pressing, with the confidence asked for; told by the neighbour only.
fn fitted(job: &Job, w: &Working, chance: f64) -> Option<Ground> {
    pushed_home(job)?;
    let sure = |chance: f64| chance >= job.tolerance.confidence;
    if sure(chance) {
        return part_read(job, chance).or(Some(Ground::Fitted { chance }));
    }
    let (force, chance) = pressing(job, w).filter(|(_, chance)| sure(*chance))?;
    part_read(job, chance).or(Some(Ground::Pressed { force, chance }))
}

/// Where not everything was read since the last strokes, the rib pushed home. Chances from part of
/// the readings are too high: what was chosen to be read is where the estimate looks for trouble.
fn part_read(job: &Job, chance: f64) -> Option<Ground> {
    pushed_home(job)?;
    let open = |i: &usize| !open_at(job, *i).is_empty();
    let stations: Vec<usize> = (0..job.stations.len()).filter(open).collect();
    (!stations.is_empty()).then_some(Ground::PartRead { chance, stations })
}

/// What was not read at a station since the last strokes: its gap, and, where lifts are read at
/// all, its lift.
pub(super) fn open_at(job: &Job, station: usize) -> Vec<Clearance> {
    let since = || {
        let earlier = job.rounds.iter().rev().skip(1).take_while(|r| r.strokes.is_empty());
        job.rounds.last().into_iter().chain(earlier).map(|r| &r.readings[station])
    };
    let gap = since().all(|r| r.overlap.is_none() && !r.bears).then_some(Clearance::Gap);
    let lift = (work::lifts_read(job) && since().all(|r| r.lift.is_none())).then_some(Clearance::Lift);
    gap.into_iter().chain(lift).collect()
}

/// A rib may be stiffer than its kind of wood by this much (from memory).
const STIFFER: f64 = 1.25;

/// Where the maker gave a force: it, and the share of the ribs that agree with
/// the readings whose gaps it closes, be they stiffer than most, and whose lifts are within
/// tolerance.
fn pressing(job: &Job, w: &Working) -> Option<(f64, f64)> {
    let force = job.tolerance.force?;
    let rib = HeldRib::of(job, &w.joint).ok()?;
    let closed = |rest: &&Vec<Clearances>| {
        let needed = closing_force(&rib, rest);
        let enough =
            needed.is_some_and(|forces| forces.iter().all(|(_, newtons)| STIFFER * newtons <= force));
        enough && rest.iter().all(|c| c.lift <= job.tolerance.lift)
    };
    let count = w.chances.rest.iter().filter(closed).count();
    Some((force, count as f64 / w.chances.rest.len().max(1) as f64))
}

/// Not fitted for certain, and no stroke that is safe and wanted.
fn nothing_to_plane(job: &Job, w: &Working, chance: f64) -> Ground {
    if let Some(used) = spare_used(job, w) {
        return used;
    }
    // The rest takes less, the rib as it lies, than a new setting.
    if let Some(part) = part_read(job, chance) {
        return part;
    }
    if idle_rounds(job) >= PATIENCE { Ground::NoProgress { chance } } else { Ground::NotSure { chance } }
}

/// Rounds in a row, up to the last, after which nothing was planed.
fn idle_rounds(job: &Job) -> usize {
    job.rounds.iter().rev().take_while(|r| r.strokes.is_empty()).count()
}

/// Whether the wood as it is now was read only once.
fn first_look(job: &Job) -> bool {
    idle_rounds(job) < PATIENCE
}

/// The last round, where the rib was pushed home against its neighbour.
fn pushed_home(job: &Job) -> Option<&Round> {
    job.rounds.last().filter(|r| r.against == Against::Neighbour)
}

/// Whether everything that was read last, the rib pushed home, is within its tolerance. One more
/// reading then tells more than a stroke.
fn all_within(job: &Job) -> bool {
    let Some(round) = pushed_home(job) else { return false };
    let read = |of: Clearance| round.readings.iter().filter_map(move |r| r.clearance(of));
    Clearance::ALL.into_iter().all(|of| read(of).all(|v| v <= job.tolerance.of(of)))
}

/// Whether the rib lies within its tolerances by the best estimate. What is missing then is
/// certainty, and nothing is planed for that.
fn lies_within(job: &Job, w: &Working) -> bool {
    w.now.clearances.iter().all(|c| c.gap <= job.tolerance.gap && c.lift <= job.tolerance.lift)
}

fn spare_used(job: &Job, w: &Working) -> Option<Ground> {
    let spare = job.spare?;
    let short = |i: &usize| work::spent(job, w, *i) && w.slice.height[*i] > 0.5 * thinnest_shaving(job);
    let station = (0..job.stations.len()).find(short)?;
    Some(Ground::SpareUsed { station, spare })
}

/// A lift beyond its tolerance for certain after any slice, where gaps are likelier closed than
/// not, so that there is nothing to plane for.
fn lift_stays(job: &Job, w: &Working) -> Option<Ground> {
    pushed_home(job)?;
    let (station, lift) = w.lift_left(job)?;
    let certain = lift - CERTAIN * w.fit.spring_sd[station] > job.tolerance.lift;
    let closed = w.chances.fitted(job.tolerance.gap, f64::INFINITY) > 0.5;
    (certain && (closed || w.plan.strokes.is_empty())).then_some(Ground::LiftStays { station, lift })
}
