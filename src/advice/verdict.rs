//! From figures to the answer.

use crate::job::Job;
use crate::maths::form::Form;

use super::answer::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind};
use super::ground::{Ground, Verdict};
use super::judge::judge;
use super::reasons;
use super::warnings;
use super::words::capital;
use super::work::{Working, lifts_read};

/// An answer without figures: only why there are none.
pub(super) fn without_figures(job: &Job, why: String) -> Advice {
    Advice {
        verdict: Verdict::NoAnswer,
        reason: capital(&why),
        round: job.last_round(),
        surface: None,
        stations: (0..job.stations.len()).map(|i| bare_station(job, i)).collect(),
        strokes: Vec::new(),
        bearings: Vec::new(),
        doubted: Vec::new(),
        read_next: None,
        warnings: job.warnings.clone(),
    }
}

/// The answer from everything worked out about a job's last round, but for what to read next.
pub fn decide(job: &Job, w: &Working) -> Advice {
    let ground = judge(job, w);
    let (verdict, reason) = (ground.verdict(), reasons::reason(job, w, &ground));
    let plane = verdict == Verdict::Plane;
    let sd = w.chances.sd();
    let mut warnings = warnings::warnings(job, w);
    // What the reason says already is not said twice.
    warnings.retain(|w| w.code != "lift-stays" || !matches!(ground, Ground::LiftStays { .. }));
    // Nor is a plane spoken of where none is to be taken.
    warnings.retain(|w| w.code != "shaving-untold" || plane);
    Advice {
        verdict,
        reason,
        round: job.last_round(),
        surface: Some(surface(job, w)),
        stations: (0..job.stations.len())
            .map(|i| StationAdvice { remove_sd: Some(sd[i]), ..station(job, w, i, plane) })
            .collect(),
        strokes: if plane { strokes(w) } else { Vec::new() },
        bearings: w.now.bearings.clone(),
        doubted: ground.doubted(),
        read_next: None,
        warnings,
    }
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
    let frames = &w.joint.frames;
    let flatness = if w.joint.has_rise {
        let places: Vec<[f64; 2]> = frames.iter().map(|f| [f.joint.x, f.joint.z]).collect();
        Form::of(&places, &w.fit.edge).ok().map(|f| f.total())
    } else {
        let places: Vec<[f64; 1]> = frames.iter().map(|f| [f.joint.x]).collect();
        Form::of(&places, &w.fit.edge).ok().map(|f| f.total())
    };
    let kind = if w.fit.curved { SurfaceKind::Curved } else { SurfaceKind::Plane };
    Surface { kind, why: reasons::surface(job, w), flatness }
}
