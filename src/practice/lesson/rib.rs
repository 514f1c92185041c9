//! The rib of a lesson: its wood is known, so it can be seated and sliced exactly.

use serde::Serialize;

use crate::job::{Job, Unit};
use crate::joint::{Joint, Pose};
use crate::json::as_all_mm;
use crate::maths::program::Failure;
use crate::practice::blank::Task;
use crate::practice::rib::{KnownJoint, Wood};
use crate::seat::{self, Leverage, Rest};
use crate::slice::{self, Aims};

/// A rib of known wood in a joint of an invented bowl.
#[derive(Debug, Clone)]
pub struct LessonRib {
    pub(super) task: Task,
    pub(super) joint: Joint,
    edge: Vec<f64>,
    spring: Vec<f64>,
}

/// A gap that counts as none, mm.
const TIGHT: f64 = 0.002;

/// How a rib lies, pushed home: one value a station, mm.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Lie {
    /// Daylight at the joint.
    #[serde(rename = "gap_mm", serialize_with = "as_all_mm")]
    pub gap: Vec<f64>,
    /// Outer edge off the mold.
    #[serde(rename = "lift_mm", serialize_with = "as_all_mm")]
    pub lift: Vec<f64>,
    /// Stations (indices) at which the joint edge bears.
    pub bearings: Vec<usize>,
}

impl Lie {
    /// The widest gap: its station (index) and its size, mm.
    pub fn widest_gap(&self) -> (usize, f64) {
        widest(&self.gap)
    }

    /// The highest lift: its station (index) and its size, mm.
    pub fn highest_lift(&self) -> (usize, f64) {
        widest(&self.lift)
    }
}

fn widest(values: &[f64]) -> (usize, f64) {
    let most = values.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
    most.unwrap_or((0, 0.0))
}

impl LessonRib {
    /// A rib whose edge stands `edge` mm beyond the joint surface at each
    /// point of the joint's grid, without spring; the job around it is `job`'s.
    pub(super) fn new(known: KnownJoint, edge: Vec<f64>, job: Job) -> LessonRib {
        let known = known.measured_exactly();
        let job = Job { stations: known.stations.clone(), ..job };
        let blank = Wood { spring: vec![0.0; edge.len()], edge };
        LessonRib::of(Task::new(known, blank, job, None))
    }

    /// The rib of a task of the practice bench.
    pub(super) fn of(task: Task) -> LessonRib {
        let (known, blank) = (&task.known, &task.blank);
        let (edge, spring) = (known.at_stations(&blank.edge), known.at_stations(&blank.spring));
        LessonRib { joint: Joint::of(&task.job), edge, spring, task }
    }

    /// The same, stated in another unit.
    pub(super) fn in_unit(mut self, unit: Unit) -> LessonRib {
        self.task.job.unit = unit;
        self
    }

    /// Wood beyond the joint surface at each station, mm.
    pub fn edge(&self) -> &[f64] {
        &self.edge
    }

    /// The joint as its maker would state it.
    pub fn job(&self) -> &Job {
        &self.task.job
    }

    /// The exact joint and mold, to check the seating against.
    pub fn exact(&self) -> &KnownJoint {
        &self.task.known
    }

    fn rest(&self, taken: &[f64]) -> Result<Rest, Failure> {
        let left: Vec<f64> = self.edge().iter().zip(taken).map(|(e, t)| e - t).collect();
        seat::seat(&self.joint, &left, &self.spring, Pose::default())
    }

    /// Seats the rib less `taken` (mm at each station).
    pub(super) fn lie(&self, taken: &[f64]) -> Result<Lie, Failure> {
        let rest = self.rest(taken)?;
        let each = |f: fn(&crate::joint::Clearances) -> f64| -> Vec<f64> {
            rest.clearances.iter().map(|c| f(c).max(0.0)).collect()
        };
        let (gap, lift) = (each(|c| c.gap), each(|c| c.lift));
        // Where no gap is left anywhere, the rib bears all along.
        let tight = gap.iter().all(|g| *g < TIGHT);
        let bearings = if tight { (0..gap.len()).collect() } else { rest.bearings };
        Ok(Lie { gap, lift, bearings })
    }

    /// What `amount` (mm) off each bearing would do to the untouched rib.
    pub(super) fn leverage(&self, amount: f64) -> Result<Vec<Leverage>, Failure> {
        let rest = self.rest(&vec![0.0; self.edge().len()])?;
        seat::leverage(&self.joint, self.edge(), &self.spring, &rest, amount)
    }

    /// The least wood (mm at each station) that brings gaps, and lifts where
    /// they count, within the aim.
    pub(super) fn least(&self, gap: f64, lift: Option<f64>) -> Result<Vec<f64>, Failure> {
        let spare = vec![f64::INFINITY; self.edge().len()];
        let aims = Aims { gap, lift, spare };
        let slice = slice::least_wood(&self.joint, self.edge(), &self.spring, &aims, Pose::default())?;
        Ok(slice.remove)
    }

    /// Mean of values at the stations over the length of the edge.
    pub(super) fn mean(&self, values: &[f64]) -> f64 {
        self.joint.shares().iter().zip(values).map(|(s, v)| s * v).sum()
    }

    /// The station (index) where the joint line stands highest over the chord.
    pub(super) fn highest(&self) -> usize {
        let rises: Vec<f64> = self.joint.frames.iter().map(|f| f.joint.z).collect();
        widest(&rises).0
    }
}
