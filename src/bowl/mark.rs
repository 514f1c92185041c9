//! The outer edge's marks, and the strokes from the present edge down to them.
//!
//! At each station a compass carries the distance from a reference line on the rib
//! to the line on the mold over to the rib. The lines lie in the middle of the
//! spacers, so half a spacer is left off. Marks so made have errors; the edge that is
//! planed through them is gently curved, so that is what is laid through them, by the
//! kernel that fits joints. Then, as at a joint: draws of edge and marks that agree
//! with what was measured, and strokes that are safe on nearly all of them.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

use crate::fit::Start;
use crate::job::Job;
use crate::job::bowl::{BowlErrors, Mark};
use crate::joint::Joint;
use crate::sole::Bed;
use crate::strokes::{self, Ensemble, Plan, Tool};

use super::along_mold;
use super::through::{Off, Through, through};

/// What to mark and how.
#[derive(Debug, Clone, Copy)]
pub struct Marking<'a> {
    /// What was measured; one entry a station.
    pub marks: &'a [Option<Mark>],
    /// Left off for the spacer, mm.
    pub allowance: f64,
    /// Widths that the rib should have, along the mold, mm, if the bowl tells them.
    pub wanted: Option<&'a [f64]>,
    /// Mark at those widths instead of at the lines on the mold.
    pub by_widths: bool,
    /// How exact the measuring is.
    pub errors: BowlErrors,
    /// What is known of the planes beforehand.
    pub start: &'a Start,
}

/// One station's mark. Lengths in mm; `None` where nothing was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkStation {
    /// The mark as the compass gives it, from the reference line, spacer left off.
    pub compass: Option<f64>,
    /// Where to mark, from the reference line: the gently curved edge.
    pub mark: Option<f64>,
    /// Standard uncertainty of the mark.
    pub sd: f64,
    /// The rib's width there, from the joint edge, along the mold.
    pub width: f64,
    /// The width that it should have.
    pub wanted: Option<f64>,
    /// What is to come off the present outer edge.
    pub remove: Option<f64>,
    /// Standard uncertainty of that.
    pub remove_sd: f64,
    /// What the strokes take.
    pub now: f64,
}

/// The marks of a rib's outer edge.
#[derive(Debug, Clone)]
pub struct Marks {
    /// One entry a station.
    pub stations: Vec<MarkStation>,
    /// Marks that don't go with the others, from the reference line, worst first.
    pub off: Vec<Off>,
    /// Whether the edge is gently curved.
    pub curved: bool,
    /// Strokes down to the marks; none while a mark is in doubt.
    pub plan: Plan,
    /// The present edge over the marks, mm.
    pub height: Vec<f64>,
    /// Stations (index) where the edge is already below its mark, beyond the error.
    pub short: Vec<usize>,
}

/// Draws of edge and marks.
const DRAWS: usize = 100;

/// Lays the marks of a rib's outer edge and plans the strokes down to them.
///
/// # Errors
/// What is missing, as a sentence with the next step.
pub fn marks(job: &Job, marking: &Marking<'_>) -> Result<Marks, String> {
    let joint = Joint::of(job);
    let plan: Vec<f64> = job
        .stations
        .iter()
        .zip(&joint.frames)
        .map(|(s, f)| along_mold(s.width, f.across_curvature))
        .collect();
    let line = line(job, marking, &plan)?;
    let target: Vec<f64> = match (marking.by_widths, marking.wanted) {
        (true, Some(wanted)) => wanted.to_vec(),
        (true, None) => {
            return Err("There is no girth to tell how wide the rib should be: read it first.".into());
        }
        _ => line.value.iter().zip(&plan).map(|(v, p)| v + p).collect(),
    };
    let edge: Vec<Option<f64>> = marking.marks.iter().map(|m| m.map(|m| m.reference + m.edge)).collect();
    let arc: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
    let over = |(e, t): (&Option<f64>, &f64)| e.map(|e| e - t);
    let known: Vec<Option<f64>> = edge.iter().zip(&target).map(over).collect();
    let height = bridged(&arc, &known);
    let off: Vec<Off> = line.off.iter().map(|o| from_reference(o, marking, &plan)).collect();
    let ensemble = ensemble(job, marking, &line, &height);
    let plan_of = || strokes_for(job, &joint, marking.start, &ensemble);
    let strokes = if off.is_empty() || marking.by_widths { plan_of() } else { Plan::default() };
    let laid = Laid { marking, line: &line, target: &target, known: &known, plan: &strokes };
    Ok(Marks {
        stations: (0..target.len()).map(|i| laid.station(i)).collect(),
        off,
        curved: line.curved,
        short: (0..target.len()).filter(|&i| known[i].is_some_and(|h| h < -2.0 * laid.sd(i))).collect(),
        plan: strokes,
        height,
    })
}

/// The line through the marks as departure from the laid out width, from the joint edge.
fn line(job: &Job, marking: &Marking<'_>, plan: &[f64]) -> Result<Through, String> {
    let departs = |(m, p): (&Option<Mark>, &f64)| m.map(|m| m.reference + m.compass - marking.allowance - p);
    let departs: Vec<Option<f64>> = marking.marks.iter().zip(plan).map(departs).collect();
    through(job, &departs, marking.errors.compass).ok_or_else(|| {
        "Marks at fewer than three stations determine no edge. Measure compass and edge at three stations at least, \
         better at all, and write them into marks.csv."
            .into()
    })
}

fn from_reference(off: &Off, marking: &Marking<'_>, plan: &[f64]) -> Off {
    let reference = marking.marks[off.station].map_or(0.0, |m| m.reference);
    let shift = plan[off.station] - reference;
    Off { read: off.read + shift, expected: off.expected + shift, ..*off }
}

/// Heights with holes bridged straight over the arc; beyond the last one as there.
fn bridged(arc: &[f64], known: &[Option<f64>]) -> Vec<f64> {
    let points: Vec<(f64, f64)> = arc.iter().zip(known).filter_map(|(s, h)| Some((*s, (*h)?))).collect();
    let at = |s: &f64| {
        let right = points.partition_point(|p| p.0 < *s);
        match (right.checked_sub(1).map(|l| points[l]), points.get(right)) {
            (Some((a, x)), Some(&(b, y))) => x + (y - x) * (s - a) / (b - a),
            (Some((_, x)), None) => x,
            (None, Some(&(_, y))) => y,
            (None, None) => 0.0,
        }
    };
    arc.iter().map(at).collect()
}

/// Edges over marks that agree with what was measured.
fn ensemble(job: &Job, marking: &Marking<'_>, line: &Through, height: &[f64]) -> Ensemble {
    let mut rng = ChaCha8Rng::seed_from_u64(0x0a3a);
    let mut one = || {
        let other = match marking.by_widths {
            true => line.value.clone(),
            false => line.draw(|| StandardNormal.sample(&mut rng)),
        };
        let mut over = |(i, h): (usize, &f64)| {
            let slip: f64 = StandardNormal.sample(&mut rng);
            h + line.value[i] - other[i] + marking.errors.edge * slip
        };
        height.iter().enumerate().map(&mut over).collect::<Vec<f64>>()
    };
    let heights: Vec<Vec<f64>> = (0..DRAWS).map(|_| one()).collect();
    let remove = heights.iter().map(|d| d.iter().map(|h| h.max(0.0)).collect()).collect();
    Ensemble {
        mean: height.to_vec(),
        heights,
        remove,
        most: vec![f64::INFINITY; height.len()],
        // A mark is no better than its errors; a cut that deep is not seen.
        slack: marking.errors.compass,
        overcut: job.tolerance.overcut,
    }
}

/// The strokes of the plane that brings the edge furthest.
fn strokes_for(job: &Job, joint: &Joint, start: &Start, ensemble: &Ensemble) -> Plan {
    let arc = outer_arc(joint);
    let mut rng = ChaCha8Rng::seed_from_u64(0x0a3b);
    let bend = || joint.frames.iter().map(|f| f.along_curvature);
    let beds: Vec<Bed> = job.planes.iter().map(|p| Bed::new(&arc, bend(), p.sole, p.width)).collect();
    let mut tool = |(p, bed): (usize, &Bed)| {
        let (plane, (share, sd)) = (&job.planes[p], start.plane(p));
        let mut own = || {
            let normal: f64 = StandardNormal.sample(&mut rng);
            plane.shaving * (share + sd * normal).max(0.3)
        };
        let shavings: Vec<f64> = (0..ensemble.heights.len()).map(|_| own()).collect();
        strokes::plan(
            &Tool { plane: p, bed, shaving: plane.shaving * share, shavings, shortest: plane.shortest },
            ensemble,
        )
    };
    let plans: Vec<Plan> = beds.iter().enumerate().map(&mut tool).collect();
    strokes::best(plans, &joint.shares())
}

/// Length along the outer edge from the first station, mm: straight from station to station.
fn outer_arc(joint: &Joint) -> Vec<f64> {
    let mut arc = vec![0.0; joint.len()];
    for i in 1..joint.len() {
        let step = (joint.frames[i].outer - joint.frames[i - 1].outer).norm();
        arc[i] = arc[i - 1] + step.max(1e-3);
    }
    arc
}

/// Everything that a station's figures come from.
struct Laid<'a> {
    marking: &'a Marking<'a>,
    line: &'a Through,
    target: &'a [f64],
    known: &'a [Option<f64>],
    plan: &'a Plan,
}

impl Laid<'_> {
    fn mark_sd(&self, i: usize) -> f64 {
        if self.marking.by_widths { 0.0 } else { self.line.sd[i] }
    }

    fn sd(&self, i: usize) -> f64 {
        self.mark_sd(i).hypot(self.marking.errors.edge)
    }

    fn station(&self, i: usize) -> MarkStation {
        let mark = self.marking.marks[i];
        MarkStation {
            compass: mark.map(|m| m.compass - self.marking.allowance),
            mark: mark.map(|m| self.target[i] - m.reference),
            sd: self.mark_sd(i),
            width: self.target[i],
            wanted: self.marking.wanted.map(|w| w[i]),
            remove: self.known[i].map(|h| h.max(0.0)),
            remove_sd: self.sd(i),
            now: self.plan.taken.get(i).copied().unwrap_or(0.0),
        }
    }
}
