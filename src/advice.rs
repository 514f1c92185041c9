//! The main job in one readable function: job -> fit -> slice -> strokes -> advice.

use crate::fit::{self, Fit, SurfaceChoice, cuts};
use crate::job::{Job, Warning};
use crate::joint::{Joint, Pose};
use crate::seat::{self, Rest};
use crate::slice::{self, Aims, Chances, Slice};
use crate::strokes::{self, Plan, Tool};

/// What the maker should do now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Take these strokes, then read again.
    Plane,
    /// Stop: gaps and lifts are within tolerance with the stated confidence.
    Fitted,
    /// A reading must be repeated first.
    ReadAgain,
    /// The readings don't determine a safe slice, or aims conflict.
    NoAnswer,
}

/// Plane or gentle curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SurfaceKind {
    /// The joint surface is a plane.
    Plane,
    /// The joint surface is gently curved.
    Curved,
}

/// The joint surface as the readings tell it.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// Plane or gentle curve.
    pub kind: SurfaceKind,
    /// Why, in a sentence.
    pub why: String,
    /// The edge's departure from its least-squares plane (FLTt), mm.
    pub flatness: Option<f64>,
}

/// The answer at one station. Lengths in mm; `None` where a number does not exist.
#[derive(Debug, Clone, PartialEq)]
pub struct StationAdvice {
    /// The maker's name for the station.
    pub name: String,
    /// Distance along the chord.
    pub along: f64,
    /// Arc length from the first station.
    pub arc: f64,
    /// The last round's overlap reading.
    pub overlap: Option<f64>,
    /// The last round's lift reading.
    pub lift: Option<f64>,
    /// What is still to come off in the end, measured as overlap is.
    pub remove: Option<f64>,
    /// Standard uncertainty of `remove`.
    pub remove_sd: Option<f64>,
    /// What the advised strokes take, by simulation.
    pub remove_now: Option<f64>,
    /// What the next round should read after them, rib pushed home.
    pub gap_after: Option<f64>,
    /// The same for the lift.
    pub lift_after: Option<f64>,
    /// Best estimate of the edge now, over the surface aimed at, mm.
    pub edge: Option<f64>,
}

/// A stroke to take: `count` pushes of one plane over a run of stations.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedStroke {
    /// Index into the job's planes.
    pub plane: usize,
    /// First station of the run (index).
    pub from: usize,
    /// Last station of the run (index).
    pub to: usize,
    /// Number of pushes.
    pub count: u32,
    /// A full-length stroke held back for the end as the check.
    pub check: bool,
    /// The edge over the surface aimed at after this stroke, at each station, mm.
    pub edge_after: Vec<f64>,
}

/// The whole answer for one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What to do.
    pub verdict: Verdict,
    /// Why, in a sentence or two.
    pub reason: String,
    /// The last round with readings, counted from 1; `None` without any.
    pub round: Option<usize>,
    /// The joint surface.
    pub surface: Option<Surface>,
    /// A line a station.
    pub stations: Vec<StationAdvice>,
    /// Strokes in the order to plane them; empty unless the verdict is `Plane`.
    pub strokes: Vec<PlannedStroke>,
    /// Stations (indices) where the joint edge bears now.
    pub bearings: Vec<usize>,
    /// What else the maker should know.
    pub warnings: Vec<Warning>,
}

/// How to advise.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Options {
    /// Plane, gentle curve, or by evidence.
    pub surface: SurfaceChoice,
}

/// Everything worked out on the way to an advice.
#[derive(Debug, Clone)]
pub struct Working {
    /// The joint's frame.
    pub joint: Joint,
    /// What the readings say about the wood.
    pub fit: Fit,
    /// The least-wood slice still to take.
    pub slice: Slice,
    /// The same over draws.
    pub chances: Chances,
    /// Strokes that are safe now.
    pub plan: Plan,
    /// How the rib lies now.
    pub now: Rest,
    /// How it will lie after the strokes.
    pub then: Rest,
}

/// The share of the tolerances that the slice aims at.
const AIM: f64 = 0.6;

/// Works out one joint: fit, slice, strokes, seating.
pub fn work_out(job: &Job, options: &Options) -> Option<Working> {
    let joint = Joint::of(job);
    let fit = fit::estimate(job, &joint, options.surface)?;
    let start = *fit.poses.last()?;
    let aims = aims(job, &fit);
    let slice = slice::least_wood(&joint, &fit.edge, &fit.spring, &aims, start).ok()?;
    let chances = slice::chances(&joint, &fit, &aims, &slice);
    let plan = best_plan(job, &joint, &fit, &slice, &chances);
    let now = seat::seat(&joint, &fit.edge, &fit.spring, start).ok()?;
    let left: Vec<f64> = fit.edge.iter().zip(&plan.taken).map(|(e, t)| e - t).collect();
    let then = seat::seat(&joint, &left, &fit.spring, now.pose).ok()?;
    Some(Working { joint, fit, slice, chances, plan, now, then })
}

fn aims(job: &Job, fit: &Fit) -> Aims {
    let lift_read = job.rounds.iter().any(|r| r.readings.iter().any(|r| r.lift.is_some()));
    let left = |i: usize| job.spare.map_or(f64::INFINITY, |s| (s - taken(fit, i)).max(0.0));
    Aims {
        gap: AIM * job.tolerance.gap,
        lift: lift_read.then_some(AIM * job.tolerance.lift),
        spare: (0..job.stations.len()).map(left).collect(),
    }
}

/// Wood taken so far at a station, best estimate, mm.
fn taken(fit: &Fit, station: usize) -> f64 {
    fit.taken.iter().map(|t| t.cut[station] * fit.shavings[t.plane].0).sum()
}

fn best_plan(job: &Job, joint: &Joint, fit: &Fit, slice: &Slice, chances: &Chances) -> Plan {
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let shares = joint.shares();
    let worth = |plan: &Plan| {
        let wood: f64 = plan.taken.iter().zip(&shares).map(|(t, s)| t * s).sum();
        wood - 0.004 * f64::from(plan.pushes())
    };
    let plans = job.planes.iter().enumerate().map(|(p, plane)| {
        let bed = cuts::bed(&arc, joint, plane);
        let shaving = plane.shaving * fit.shavings[p].0;
        let tool = Tool { plane: p, bed: &bed, shaving, shortest: plane.shortest };
        let safe = |i: usize, wood: f64, pushes: f64| {
            let sd = wood * fit.shavings[p].1 + cuts::STROKE_SPREAD * shaving * pushes.sqrt();
            within_spare(job, fit, i, wood + 2.0 * sd)
                && chances.too_much(i, wood, sd) <= job.tolerance.overcut
        };
        strokes::plan(&tool, &slice.height, &safe)
    });
    plans.max_by(|a, b| worth(a).total_cmp(&worth(b))).unwrap_or_default()
}

/// Whether `more` wood at its upper bound stays within the spare width, and
/// within half of it before a second round has checked the first strokes.
fn within_spare(job: &Job, fit: &Fit, station: usize, more: f64) -> bool {
    let Some(spare) = job.spare else { return true };
    let before: f64 = fit.taken.iter().map(|t| {
        let (own, sd) = fit.shavings[t.plane];
        let shaving = job.planes[t.plane].shaving;
        t.cut[station] * (own + 2.0 * sd) + 2.0 * cuts::STROKE_SPREAD * shaving * t.pushes[station].sqrt()
    }).sum();
    let checked = fit.taken.iter().any(|t| t.round + 1 < job.rounds.len());
    before + more <= if checked { spare } else { spare / 2.0 }
}

/// The pose a joint's rib starts from.
pub fn home() -> Pose {
    Pose::default()
}

/// Placeholder.
pub fn advise(_: &Job, _: &Options) -> Advice {
    unimplemented!()
}
