//! From figures to a verdict: plane, fitted, read again, or no answer.

use crate::job::{Against, Job};
use crate::joint::Clearances;
use crate::maths::form;
use crate::seat::press::closing_force;

use super::answer::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind, Verdict};
use super::work::Working;
use super::{reasons, unknown};

/// An answer without figures: only why there are none.
pub(super) fn without_figures(job: &Job, why: String) -> Advice {
    Advice {
        verdict: Verdict::NoAnswer,
        reason: reasons::capital(&why),
        round: job.rounds.len().checked_sub(1).map(|k| k + 1),
        surface: None,
        stations: (0..job.stations.len()).map(|i| bare_station(job, i)).collect(),
        strokes: Vec::new(),
        bearings: Vec::new(),
        warnings: job.warnings.clone(),
    }
}

/// The answer from everything worked out about a job's last round.
pub fn decide(job: &Job, w: &Working) -> Advice {
    let (verdict, reason) = judge(job, w);
    let plane = verdict == Verdict::Plane;
    let sd = w.chances.sd();
    let mut warnings = job.warnings.clone();
    warnings.extend(unknown::warnings(job, &w.joint));
    warnings.extend(reasons::warnings(job, w));
    Advice {
        verdict,
        reason,
        round: Some(job.rounds.len()),
        surface: Some(surface(job, w)),
        stations: (0..job.stations.len())
            .map(|i| StationAdvice { remove_sd: Some(sd[i]), ..station(job, w, i, plane) })
            .collect(),
        strokes: if plane { strokes(w) } else { Vec::new() },
        bearings: w.now.bearings.clone(),
        warnings,
    }
}

/// Rounds in a row without a stroke after which more reading won't help.
const PATIENCE: usize = 2;

/// The verdict and its reason. The order matters: nothing is planed on
/// readings in doubt, and nothing more once the joint is fitted.
fn judge(job: &Job, w: &Working) -> (Verdict, String) {
    if job.rounds.last().is_some_and(|r| !r.strokes.is_empty()) {
        return (Verdict::ReadAgain, reasons::planed_since(job));
    }
    if let Some(doubt) = w.fit.doubts.iter().find(|d| d.round + 1 == job.rounds.len()) {
        return (Verdict::ReadAgain, reasons::doubted(job, doubt));
    }
    if w.fit.misfit > reasons::CONTRADICTION {
        return (Verdict::NoAnswer, reasons::contradiction(w));
    }
    let chance = w.chances.fitted(job.tolerance.gap, job.tolerance.lift);
    let neighbour = job.rounds.last().is_some_and(|r| r.against == Against::Neighbour);
    if neighbour && chance >= job.tolerance.confidence {
        return (Verdict::Fitted, reasons::fitted(job, w, chance));
    }
    let pressed = pressing(job, w).filter(|(_, chance)| neighbour && *chance >= job.tolerance.confidence);
    if let Some((force, chance)) = pressed {
        return (Verdict::Fitted, reasons::pressed(job, w, force, chance));
    }
    if !w.plan.strokes.is_empty() {
        return (Verdict::Plane, reasons::plane(job, w, chance));
    }
    nothing_to_plane(job, w, chance)
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
fn nothing_to_plane(job: &Job, w: &Working, chance: f64) -> (Verdict, String) {
    if let Some(reason) = reasons::conflict(job, w) {
        return (Verdict::NoAnswer, reason);
    }
    let idle = job.rounds.iter().rev().take_while(|r| r.strokes.is_empty()).count();
    if idle >= PATIENCE {
        return (Verdict::NoAnswer, reasons::no_progress(job, w, chance));
    }
    (Verdict::ReadAgain, reasons::not_sure(job, w, chance))
}

/// Whether any lift was read, in any round.
pub(super) fn lifts_read(job: &Job) -> bool {
    job.rounds.iter().any(|r| r.readings.iter().any(|r| r.lift.is_some()))
}

fn strokes(w: &Working) -> Vec<PlannedStroke> {
    let planned = w.plan.strokes.iter().zip(&w.plan.after);
    planned
        .map(|(s, after)| PlannedStroke {
            plane: s.plane,
            from: s.from,
            to: s.to,
            count: s.count,
            check: s.check,
            edge_after: after.clone(),
        })
        .collect()
}

fn bare_station(job: &Job, i: usize) -> StationAdvice {
    let station = &job.stations[i];
    let reading = job.rounds.last().map(|r| r.readings[i].clone()).unwrap_or_default();
    StationAdvice {
        name: station.name.clone(),
        along: station.along,
        arc: station.along,
        overlap: reading.overlap,
        lift: reading.lift,
        remove: None,
        remove_sd: None,
        remove_now: None,
        gap_after: None,
        lift_after: None,
        edge: None,
    }
}

fn station(job: &Job, w: &Working, i: usize, plane: bool) -> StationAdvice {
    let then = &w.then.clearances[i];
    StationAdvice {
        along: w.joint.frames[i].joint.x,
        arc: w.joint.frames[i].arc,
        remove: Some(w.slice.remove[i]),
        remove_now: Some(if plane { w.plan.taken[i] } else { 0.0 }),
        gap_after: Some(then.gap.max(0.0)),
        lift_after: lifts_read(job).then_some(then.lift.max(0.0)),
        edge: Some(w.slice.height[i]),
        ..bare_station(job, i)
    }
}

fn surface(job: &Job, w: &Working) -> Surface {
    let points: Vec<[f64; 3]> =
        w.joint.frames.iter().zip(&w.fit.edge).map(|(f, e)| [f.joint.x, f.joint.z, *e]).collect();
    let flatness = if w.joint.has_rise {
        form::flatness(&points, form::Reference::LeastSquares).ok().map(|f| f.deviations.total)
    } else {
        let line: Vec<[f64; 2]> = points.iter().map(|p| [p[0], p[2]]).collect();
        form::straightness(&line, form::Reference::LeastSquares).ok().map(|f| f.deviations.total)
    };
    let kind = if w.fit.curved { SurfaceKind::Curved } else { SurfaceKind::Plane };
    Surface { kind, why: reasons::surface(job, w), flatness }
}
