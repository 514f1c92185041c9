//! The advice for programs, and what several answers share: names where results count.

use serde::Serialize;

use crate::advice::{Advice, ReadNext, Setting};
use crate::job::{Clearance, Job};
use crate::json::{self, mm, object};

/// The advice as pretty-printed JSON, without a newline at its end.
///
/// # Errors
///
/// Only if the advice cannot be written as JSON, which no valid one causes.
pub fn advice_json(job: &Job, advice: &Advice) -> serde_json::Result<String> {
    let name = |i: usize| &advice.stations[i].name;
    let strokes = advice.strokes.iter().map(|s| {
        let plane = &job.planes[s.plane].name;
        object! { plane: plane, from: name(s.from), to: name(s.to), count: s.count, check: s.check }
    });
    let answer = object! {
        verdict: advice.verdict,
        reason: &advice.reason,
        round: advice.round,
        surface: &advice.surface,
        stations: &advice.stations,
        strokes: strokes.collect::<Vec<_>>(),
        bearings: advice.bearings.iter().map(|&i| name(i)).collect::<Vec<_>>(),
        warnings: &advice.warnings,
    };
    let read_next = advice.read_next.as_ref().map(|next| read_next(next, name));
    json::answer(WithNext { answer, read_next })
}

/// The advice, and what to read next where there is anything.
#[derive(Serialize)]
struct WithNext<A, N> {
    #[serde(flatten)]
    answer: A,
    #[serde(skip_serializing_if = "Option::is_none")]
    read_next: Option<N>,
}

fn read_next<'a>(next: &'a ReadNext, name: impl Fn(usize) -> &'a String) -> impl Serialize {
    let setting = match next.setting {
        Setting::Same => "same",
        Setting::New => "new",
    };
    let reading = |(station, of): &(usize, Clearance)| object! { station: name(*station), of: of.name() };
    let readings: Vec<_> = next.readings.iter().map(reading).collect();
    object! { setting: setting, readings: readings, seconds: mm(next.seconds), why: next.why }
}

/// Figures of a station behind its name.
#[derive(Serialize)]
pub(super) struct AtStation<'a, T> {
    station: &'a str,
    #[serde(flatten)]
    figures: &'a T,
}

/// Figures of all stations behind their names.
pub(super) fn at_stations<'a, T>(job: &'a Job, figures: &'a [T]) -> Vec<AtStation<'a, T>> {
    let named = job.stations.iter().zip(figures);
    named.map(|(s, figures)| AtStation { station: &s.name, figures }).collect()
}

/// The names of stations.
pub(super) fn names<'a>(job: &'a Job, stations: &[usize]) -> Vec<&'a str> {
    stations.iter().map(|&i| job.stations[i].name.as_str()).collect()
}

/// A plane's shaving as learned, with its standard uncertainty.
pub(super) fn shaving(plane: &str, learned: f64, sd: f64) -> impl Serialize {
    object! { plane: plane, shaving_mm: mm(learned), sd_mm: mm(sd) }
}
