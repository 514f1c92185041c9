//! Working out a joint: fit, slice, strokes, seating.

use crate::fit::cuts::{self, Taken, Thickness};
use crate::fit::{self, Draw, Fit, NoEstimate, Prior, Settled, SurfaceChoice};
use crate::job::{Job, Plane, Stroke};
use crate::joint::{Joint, Pose};
use crate::maths::program::Failure;
use crate::seat::{self, Rest};
use crate::slice::{self, Aims, Chances, LIFT_AIM, Slice};
use crate::sole::Bed;
use crate::strokes::{self, Ensemble, Plan, Tool};

/// How to advise.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Options {
    /// Plane, gentle curve, or by evidence.
    pub surface: SurfaceChoice,
    /// What is known beforehand.
    pub start: Prior,
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
    /// Draws of the wood, their slices and how they lie.
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

/// Why readings give no figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoFigures {
    /// The wood can't be estimated.
    #[error(transparent)]
    Estimate(#[from] NoEstimate),
    /// The rib can't be seated, or no slice be laid.
    #[error("the rib finds no rest: {0}")]
    Rest(#[from] Failure),
}

/// Draws on which recorded strokes are replayed.
const REPLAY_DRAWS: usize = 40;

/// Works out a joint's last round.
///
/// Lengths in mm, one entry a station.
///
/// # Errors
/// [`NoFigures`] with readings that give no estimate, or a rib that can't be seated.
pub fn work_out(job: &Job, before: &Before, options: &Options) -> Result<Working, NoFigures> {
    let joint = Joint::of(job);
    let Options { surface, start } = options;
    let fit = fit::estimate(job, &joint, &before.taken, *surface, start)?;
    let aims = aims(job, &fit);
    let slice = slice::least_wood(&joint, &fit.edge, &fit.spring, &aims, last_pose(&fit))?;
    let chances = slice::chances(&joint, &fit, &aims, &slice);
    let ensemble = ensemble(job, &joint, &fit, &slice, &chances);
    let plan = best_plan(job, &joint, &fit, &chances, &ensemble);
    let now = seat::seat(&joint, &fit.edge, &fit.spring, last_pose(&fit))?;
    let left: Vec<f64> = fit.edge.iter().zip(&plan.taken).map(|(e, t)| e - t).collect();
    let then = seat::seat(&joint, &left, &fit.spring, now.pose)?;
    Ok(Working { joint, fit, slice, chances, ensemble, plan, now, then })
}

/// Where the rib lay when it was last read; right in place before any round.
fn last_pose(fit: &Fit) -> Pose {
    fit.poses.last().copied().unwrap_or_default()
}

/// What earlier rounds leave to the last one; nothing before the first.
#[derive(Debug, Clone, Default)]
pub struct Before {
    /// The wood that came off between the rounds: each round's strokes replayed on the edge as it
    /// was known when they were advised. In the rounds' order, mm; a round without strokes has no
    /// entry.
    pub taken: Vec<Taken>,
    /// Where the estimate of the earlier rounds has settled.
    settled: Settled,
}

impl Before {
    /// Before a job's last round.
    pub fn last_round(job: &Job, options: &Options) -> Before {
        let mut before = Before::default();
        for k in 1..job.rounds.len() {
            let then = Job { rounds: job.rounds[..k].to_vec(), warnings: Vec::new(), ..job.clone() };
            before.planed(&then, options);
        }
        before
    }

    /// What the strokes recorded after a job's last round took, as far as the readings until then
    /// tell, with its spread; nothing with readings that give no estimate.
    pub fn planed(&mut self, job: &Job, options: &Options) {
        if job.rounds.last().is_some_and(|r| !r.strokes.is_empty())
            && let Ok((taken, settled)) = self.came_off(job, options)
        {
            self.taken.extend(taken);
            self.settled = settled;
        }
    }

    fn came_off(&self, job: &Job, options: &Options) -> Result<(Vec<Taken>, Settled), NoFigures> {
        let joint = Joint::of(job);
        let (fit, settled) = fit::rough(&self.settled, job, &joint, &self.taken, &options.start)?;
        let slice = slice::least_wood(&joint, &fit.edge, &fit.spring, &aims(job, &fit), last_pose(&fit))?;
        let heights = heights(&joint, &slice, &slice::draws(&fit, REPLAY_DRAWS));
        Ok((replay(job, &joint, &heights), settled))
    }
}

/// What the strokes recorded after a job's last round took, as far as the
/// readings until then tell, mm, with its spread.
///
/// # Errors
/// [`NoFigures`] where they give no estimate.
pub fn came_off(job: &Job, before: &Before, options: &Options) -> Result<Vec<Taken>, NoFigures> {
    Ok(before.came_off(job, options)?.0)
}

impl Working {
    /// The widest lift beyond its tolerance that the slice leaves, mm, and where.
    pub(super) fn lift_left(&self, job: &Job) -> Option<(usize, f64)> {
        let widest = self.slice.lift.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
        (lifts_read(job) && widest.1 > job.tolerance.lift).then_some(widest)
    }
}

fn replay(job: &Job, joint: &Joint, heights: &[Vec<f64>]) -> Vec<Taken> {
    let Some(round) = job.last_round() else { return Vec::new() };
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let beds: Vec<Bed> = job.planes.iter().map(|p| bed(&arc, joint, p)).collect();
    let shavings: Vec<f64> = job.planes.iter().map(|p| p.shaving).collect();
    cuts::replay(job, round, &beds, &shavings, heights)
}

/// Heights of drawn edges over the surface a slice aims at.
fn heights(joint: &Joint, slice: &Slice, draws: &[Draw]) -> Vec<Vec<f64>> {
    let surface: Vec<f64> = (0..joint.len()).map(|i| joint.clearances(&slice.pose, i).gap).collect();
    draws.iter().map(|d| d.edge.iter().zip(&surface).map(|(e, s)| e - s).collect()).collect()
}

/// The bed of a plane's sole on a joint's edge.
fn bed<'a>(arc: &'a [f64], joint: &Joint, plane: &Plane) -> Bed<'a> {
    Bed::new(arc, joint.frames.iter().map(|f| f.along_curvature), plane.sole, plane.width)
}

/// What the slice is to reach: the joint closed, the outer edge well within its tolerance.
fn aims(job: &Job, fit: &Fit) -> Aims {
    let gone = |i: usize| fit.taken.iter().map(|t| t.cut[i]).sum::<f64>();
    let left = |i: usize| job.spare.map_or(f64::INFINITY, |s| (s - gone(i)).max(0.0));
    Aims {
        gap: 0.0,
        lift: lifts_read(job).then_some(LIFT_AIM * job.tolerance.lift),
        spare: (0..job.stations.len()).map(left).collect(),
    }
}

/// Whether any lift was read, in any round.
pub(super) fn lifts_read(job: &Job) -> bool {
    job.rounds.iter().any(|r| r.readings.iter().any(|r| r.lift.is_some()))
}

/// The thinnest shaving of the maker's planes, mm.
pub(super) fn thinnest_shaving(job: &Job) -> f64 {
    job.planes.iter().map(|p| p.shaving).fold(f64::INFINITY, f64::min)
}

fn ensemble(job: &Job, joint: &Joint, fit: &Fit, slice: &Slice, chances: &Chances) -> Ensemble {
    Ensemble {
        mean: slice.height.clone(),
        heights: heights(joint, slice, &chances.draws),
        remove: chances.remove.clone(),
        most: (0..joint.len()).map(|i| most(job, fit, i)).collect(),
        slack: job.tolerance.gap,
        overcut: job.tolerance.overcut,
    }
}

/// The plan of the plane whose strokes bring the edge furthest.
fn best_plan(job: &Job, joint: &Joint, fit: &Fit, chances: &Chances, ensemble: &Ensemble) -> Plan {
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let plans = job.planes.iter().enumerate().map(|(p, plane)| {
        let bed = bed(&arc, joint, plane);
        let tool = Tool {
            plane: p,
            bed: &bed,
            shaving: plane.shaving * fit.shavings[p].0,
            shavings: chances.draws.iter().map(|d| plane.shaving * d.shavings[p]).collect(),
            thickness: thickness(job, fit, p),
            shortest: plane.shortest,
        };
        strokes::plan(&tool, ensemble)
    });
    strokes::best(plans.collect(), &joint.shares())
}

/// Most wood that may still come off at a station: the spare width less what the
/// pushes so far took at most, and half of it before a second round has checked the
/// first strokes.
fn most(job: &Job, fit: &Fit, station: usize) -> f64 {
    let Some(spare) = job.spare else { return f64::INFINITY };
    // As recorded, whether or not a round's readings led to an estimate on which to replay them.
    let recorded = || job.rounds.iter().rev().skip(1).flat_map(|round| &round.strokes);
    let over = |s: &&Stroke, p: usize| s.plane == p && (s.from..=s.to).contains(&station);
    let pushes = |p: usize| recorded().filter(|s| over(s, p)).map(|s| f64::from(s.count)).sum();
    let before: f64 = (0..job.planes.len()).map(|p| thickness(job, fit, p).at_most(pushes(p))).sum();
    let checked = recorded().next().is_some();
    (if checked { spare } else { spare / 2.0 }) - before
}

/// Whether one push more is beyond what may come off at a station.
pub(super) fn spent(job: &Job, w: &Working, station: usize) -> bool {
    let push = |p: usize| thickness(job, &w.fit, p).at_most(1.0);
    w.ensemble.most[station] < (0..job.planes.len()).map(push).fold(f64::INFINITY, f64::min)
}

/// How thick a plane's shavings may be, as far as is known.
fn thickness(job: &Job, fit: &Fit, plane: usize) -> Thickness {
    Thickness::of(job.planes[plane].shaving, fit.shavings[plane])
}
