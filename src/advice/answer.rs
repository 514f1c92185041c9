//! The answer: what to do now, how sure it is, and why.

use serde::Serialize;

use crate::job::{Job, RoundNumber, Stroke, Warning};
use crate::json::as_mm;
use crate::record::NewStroke;

use super::ground::Verdict;
use super::read_next::ReadNext;

/// Plane or gentle curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SurfaceKind {
    /// The joint surface is a plane.
    Plane,
    /// The joint surface is gently curved.
    Curved,
}

/// The joint surface as the readings tell it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Surface {
    /// Plane or gentle curve.
    pub kind: SurfaceKind,
    /// Why, in a sentence.
    pub why: String,
    /// The edge's departure from its least-squares plane (FLTt), mm.
    #[serde(rename = "FLTt_mm", serialize_with = "as_mm")]
    pub flatness: Option<f64>,
}

/// The answer at one station. Lengths in mm; `None` where a number does not exist.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationAdvice {
    /// The maker's name for the station.
    #[serde(rename = "station")]
    pub name: String,
    /// Distance along the chord.
    #[serde(rename = "along_mm", serialize_with = "as_mm")]
    pub along: f64,
    /// Arc length from the first station.
    #[serde(skip)]
    pub arc: f64,
    /// The last round's overlap reading.
    #[serde(rename = "overlap_mm", serialize_with = "as_mm")]
    pub overlap: Option<f64>,
    /// The last round's lift reading.
    #[serde(rename = "lift_mm", serialize_with = "as_mm")]
    pub lift: Option<f64>,
    /// What is still to come off in the end, measured as overlap is.
    #[serde(rename = "remove_mm", serialize_with = "as_mm")]
    pub remove: Option<f64>,
    /// Standard uncertainty of `remove`.
    #[serde(rename = "remove_sd_mm", serialize_with = "as_mm")]
    pub remove_sd: Option<f64>,
    /// What the advised strokes take, by simulation.
    #[serde(rename = "remove_now_mm", serialize_with = "as_mm")]
    pub remove_now: Option<f64>,
    /// What the next round should read after them, rib pushed home.
    #[serde(rename = "gap_after_mm", serialize_with = "as_mm")]
    pub gap_after: Option<f64>,
    /// The same for the lift.
    #[serde(rename = "lift_after_mm", serialize_with = "as_mm")]
    pub lift_after: Option<f64>,
    /// Best estimate of the edge now, over the surface aimed at, mm.
    #[serde(skip)]
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

impl PlannedStroke {
    /// The same as a stroke that was planed.
    pub fn stroke(&self) -> Stroke {
        let &PlannedStroke { plane, from, to, count, .. } = self;
        Stroke { plane, from, to, count, shaving: None }
    }

    /// The stroke by the maker's names, as the folder keeps it once it is planed.
    pub fn named(&self, job: &Job) -> NewStroke {
        self.stroke().named(job)
    }
}

/// The whole answer for one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What to do.
    pub verdict: Verdict,
    /// Why, in a sentence or two.
    pub reason: String,
    /// The last round with readings; `None` without any.
    pub round: Option<RoundNumber>,
    /// The joint surface.
    pub surface: Option<Surface>,
    /// A line a station.
    pub stations: Vec<StationAdvice>,
    /// Strokes in the order to plane them; empty unless the verdict is `Plane`.
    pub strokes: Vec<PlannedStroke>,
    /// Stations (indices) where the joint edge bears now.
    pub bearings: Vec<usize>,
    /// Stations (indices) whose readings of the last round are in doubt, or missing where
    /// they are needed: to be read again and put right there.
    pub doubted: Vec<usize>,
    /// What to read next; none once nothing is to be read.
    pub read_next: Option<ReadNext>,
    /// What else the maker should know.
    pub warnings: Vec<Warning>,
}
