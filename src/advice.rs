//! The main job in one readable function: job -> fit -> slice -> strokes -> advice.

use crate::fit::cuts::{self, Taken};
use crate::fit::{self, Fit, SurfaceChoice};
use crate::job::{Job, Plane, Warning};
use crate::joint::Joint;
use crate::knob::knob;
use crate::seat::{self, Rest};
use crate::slice::{self, Aims, Chances, Slice};
use crate::sole::Bed;
use crate::strokes::{self, Ensemble, Plan, Tool};

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
    /// Edges that agree with the readings, over the surface aimed at.
    pub ensemble: Ensemble,
    /// Strokes that are safe now.
    pub plan: Plan,
    /// How the rib lies now.
    pub now: Rest,
    /// How it will lie after the strokes.
    pub then: Rest,
}

/// Works out one joint: fit, slice, strokes, seating.
///
/// `taken` is the wood that came off between the rounds, from [`Working::replay`].
pub fn work_out(job: &Job, taken: &[Taken], options: &Options) -> Option<Working> {
    let joint = Joint::of(job);
    let fit = fit::estimate(job, &joint, taken, options.surface)?;
    let start = *fit.poses.last()?;
    let aims = aims(job, &fit);
    let slice = slice::least_wood(&joint, &fit.edge, &fit.spring, &aims, start).ok()?;
    let perfect = Aims { gap: 0.0, lift: aims.lift.map(|l| knob("PL", 1.0) * l), spare: aims.spare.clone() };
    let chances = slice::chances(&joint, &fit, &perfect, &slice);
    let ensemble = ensemble(job, &joint, &fit, &slice, &chances);
    let plan = best_plan(job, &joint, &fit, &chances, &ensemble);
    let now = seat::seat(&joint, &fit.edge, &fit.spring, start).ok()?;
    let left: Vec<f64> = fit.edge.iter().zip(&plan.taken).map(|(e, t)| e - t).collect();
    let then = seat::seat(&joint, &left, &fit.spring, now.pose).ok()?;
    Some(Working { joint, fit, slice, chances, ensemble, plan, now, then })
}

impl Working {
    /// What the strokes recorded after the last round took, as far as the
    /// readings before them tell.
    pub fn replay(&self, job: &Job) -> Vec<Taken> {
        let Some(round) = job.rounds.len().checked_sub(1) else { return Vec::new() };
        let arc: Vec<f64> = self.joint.frames.iter().map(|f| f.arc).collect();
        let beds: Vec<Bed> = job.planes.iter().map(|p| bed(&arc, &self.joint, p)).collect();
        let shavings: Vec<f64> = job.planes.iter().map(|p| p.shaving).collect();
        let few = self.ensemble.heights.len().min(40);
        cuts::replay(job, round, &beds, &shavings, &self.ensemble.heights[..few])
    }
}

/// The bed of a plane's sole on a joint's edge.
fn bed<'a>(arc: &'a [f64], joint: &Joint, plane: &Plane) -> Bed<'a> {
    Bed::new(arc, joint.frames.iter().map(|f| f.along_curvature), plane.sole, plane.width)
}

fn aims(job: &Job, fit: &Fit) -> Aims {
    let lift_read = job.rounds.iter().any(|r| r.readings.iter().any(|r| r.lift.is_some()));
    let left = |i: usize| job.spare.map_or(f64::INFINITY, |s| (s - taken(fit, i)).max(0.0));
    Aims {
        gap: knob("GAIM", 0.3) * job.tolerance.gap,
        lift: lift_read.then_some(knob("LAIM", 0.8) * job.tolerance.lift),
        spare: (0..job.stations.len()).map(left).collect(),
    }
}

/// Wood taken so far at a station, best estimate, mm.
fn taken(fit: &Fit, station: usize) -> f64 {
    fit.taken.iter().map(|t| t.cut[station]).sum()
}

fn ensemble(job: &Job, joint: &Joint, fit: &Fit, slice: &Slice, chances: &Chances) -> Ensemble {
    let surface: Vec<f64> = (0..joint.len()).map(|i| joint.clearance(&slice.pose, i).gap).collect();
    let over = |edge: &[f64]| edge.iter().zip(&surface).map(|(e, s)| e - s).collect::<Vec<f64>>();
    let forms = fit::Forms::of(joint);
    let off = |d: &fit::Draw| forms.over_plane(&d.edge.iter().zip(&fit.edge).map(|(a, b)| a - b).collect::<Vec<f64>>());
    let offs: Vec<Vec<f64>> = chances.draws.iter().map(off).collect();
    let sd = |i: usize| (offs.iter().map(|o| o[i] * o[i]).sum::<f64>() / offs.len() as f64).sqrt();
    Ensemble {
        mean: slice.height.clone(),
        sd: (0..joint.len()).map(sd).collect(),
        heights: chances.draws.iter().map(|d| over(&d.edge)).collect(),
        remove: chances.remove.clone(),
        most: (0..joint.len()).map(|i| most(job, fit, i)).collect(),
        slack: knob("SL", 1.0) * job.tolerance.gap,
        overcut: knob("OVER", job.tolerance.overcut),
    }
}

fn best_plan(job: &Job, joint: &Joint, fit: &Fit, chances: &Chances, ensemble: &Ensemble) -> Plan {
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let shares = joint.shares();
    let worth = |plan: &Plan| {
        let wood: f64 = plan.taken.iter().zip(&shares).map(|(t, s)| t * s).sum();
        wood - 0.004 * f64::from(plan.pushes())
    };
    let plans = job.planes.iter().enumerate().map(|(p, plane)| {
        let bed = bed(&arc, joint, plane);
        let tool = Tool {
            plane: p,
            bed: &bed,
            shaving: plane.shaving * fit.shavings[p].0,
            shavings: chances.draws.iter().map(|d| plane.shaving * d.shavings[p]).collect(),
            shortest: plane.shortest,
        };
        strokes::plan(&tool, ensemble)
    });
    plans.max_by(|a, b| worth(a).total_cmp(&worth(b))).unwrap_or_default()
}

/// Most wood that may still come off at a station: the spare width less what
/// went at its upper bound, and half of it before a second round has checked
/// the first strokes.
fn most(job: &Job, fit: &Fit, station: usize) -> f64 {
    let Some(spare) = job.spare else { return f64::INFINITY };
    let before: f64 = fit
        .taken
        .iter()
        .map(|t| {
            let push = cuts::STROKE_SPREAD * job.planes[t.plane].shaving * t.pushes[station].sqrt();
            let own = t.cut[station] * fit.shavings[t.plane].1;
            t.cut[station] + 2.0 * (push.powi(2) + own.powi(2) + t.sd[station].powi(2)).sqrt()
        })
        .sum();
    let checked = !fit.taken.is_empty();
    (if checked { spare } else { spare / 2.0 }) - before
}
