//! The advice for programs: one JSON object, schema 1, every length in mm.
//!
//! Numbers that don't exist are `null`, never 0. Keys may be added later;
//! those here keep their meaning.

use serde::Serialize;

use crate::advice::{Advice, PlannedStroke, StationAdvice, Surface, SurfaceKind, Verdict};
use crate::job::{Job, Warning};

/// The advice as pretty-printed JSON, without a newline at its end.
///
/// # Errors
///
/// Only if the advice cannot be written as JSON, which no valid one causes.
pub fn advice_json(job: &Job, advice: &Advice) -> serde_json::Result<String> {
    serde_json::to_string_pretty(&Answer::new(job, advice))
}

/// The word for a verdict in JSON.
pub fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Plane => "plane",
        Verdict::Fitted => "fitted",
        Verdict::ReadAgain => "read_again",
        Verdict::NoAnswer => "no_answer",
    }
}

/// The word for a kind of joint surface.
pub fn surface_word(kind: SurfaceKind) -> &'static str {
    match kind {
        SurfaceKind::Plane => "plane",
        SurfaceKind::Curved => "curved",
    }
}

/// To 1e-4 mm, far below what a shaving can take; what is not a number is null.
pub(super) fn mm(value: impl Into<Option<f64>>) -> Option<f64> {
    let value = value.into().filter(|v| v.is_finite())?;
    // Adding 0 turns a negative zero into a plain one.
    Some((value * 1e4).round() / 1e4 + 0.0)
}

#[derive(Serialize)]
struct Answer<'a> {
    schema: u32,
    verdict: &'static str,
    reason: &'a str,
    round: Option<usize>,
    surface: Option<SurfaceOut<'a>>,
    stations: Vec<StationOut<'a>>,
    strokes: Vec<StrokeOut<'a>>,
    bearings: Vec<&'a str>,
    warnings: Vec<WarningOut<'a>>,
}

impl<'a> Answer<'a> {
    fn new(job: &'a Job, advice: &'a Advice) -> Self {
        let name = |i: usize| advice.stations[i].name.as_str();
        Answer {
            schema: 1,
            verdict: verdict_word(advice.verdict),
            reason: &advice.reason,
            round: advice.round,
            surface: advice.surface.as_ref().map(SurfaceOut::new),
            stations: advice.stations.iter().map(StationOut::new).collect(),
            strokes: advice.strokes.iter().map(|s| StrokeOut::new(job, advice, s)).collect(),
            bearings: advice.bearings.iter().map(|&i| name(i)).collect(),
            warnings: warnings_out(&advice.warnings),
        }
    }
}

#[derive(Serialize)]
struct SurfaceOut<'a> {
    kind: &'static str,
    why: &'a str,
    #[serde(rename = "FLTt_mm")]
    flatness: Option<f64>,
}

impl<'a> SurfaceOut<'a> {
    fn new(surface: &'a Surface) -> Self {
        let kind = surface_word(surface.kind);
        SurfaceOut { kind, why: &surface.why, flatness: mm(surface.flatness) }
    }
}

#[derive(Serialize)]
struct StationOut<'a> {
    station: &'a str,
    along_mm: Option<f64>,
    overlap_mm: Option<f64>,
    lift_mm: Option<f64>,
    remove_mm: Option<f64>,
    remove_sd_mm: Option<f64>,
    remove_now_mm: Option<f64>,
    gap_after_mm: Option<f64>,
    lift_after_mm: Option<f64>,
}

impl<'a> StationOut<'a> {
    fn new(station: &'a StationAdvice) -> Self {
        StationOut {
            station: &station.name,
            along_mm: mm(station.along),
            overlap_mm: mm(station.overlap),
            lift_mm: mm(station.lift),
            remove_mm: mm(station.remove),
            remove_sd_mm: mm(station.remove_sd),
            remove_now_mm: mm(station.remove_now),
            gap_after_mm: mm(station.gap_after),
            lift_after_mm: mm(station.lift_after),
        }
    }
}

#[derive(Serialize)]
struct StrokeOut<'a> {
    plane: &'a str,
    from: &'a str,
    to: &'a str,
    count: u32,
    check: bool,
}

impl<'a> StrokeOut<'a> {
    fn new(job: &'a Job, advice: &'a Advice, stroke: &PlannedStroke) -> Self {
        StrokeOut {
            plane: &job.planes[stroke.plane].name,
            from: &advice.stations[stroke.from].name,
            to: &advice.stations[stroke.to].name,
            count: stroke.count,
            check: stroke.check,
        }
    }
}

/// A warning for programs.
#[derive(Serialize)]
pub(super) struct WarningOut<'a> {
    code: &'static str,
    text: &'a str,
}

pub(super) fn warnings_out(warnings: &[Warning]) -> Vec<WarningOut<'_>> {
    warnings.iter().map(|w| WarningOut { code: w.code, text: &w.text }).collect()
}
