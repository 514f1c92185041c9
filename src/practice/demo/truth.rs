//! What is really so about a demo joint, for tests to hold the advice against.

use serde::Serialize;

use crate::joint::Clearances;
use crate::practice::rib::KnownJoint;

use super::{Demo, Trial};

#[derive(Serialize)]
struct Truth<'a> {
    about: &'static str,
    stations: Vec<&'a str>,
    rounds: Vec<RoundTruth>,
}

/// At the stations, mm.
#[derive(Serialize)]
struct RoundTruth {
    /// Wood beyond the joint surface with the rib lying right.
    edge_mm: Vec<f64>,
    spring_mm: Vec<f64>,
    gap_mm: Vec<f64>,
    seat_mm: Vec<f64>,
    lift_mm: Vec<f64>,
    /// Taken by the strokes after the round.
    cut_mm: Vec<f64>,
}

/// The truth about a demo joint as JSON with a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no demo joint causes.
pub fn truth(demo: &Demo) -> serde_json::Result<String> {
    let about = "Invented. What the readings in demo-readings were made from; written by practice::demo.";
    let stations = demo.job.stations.iter().map(|s| s.name.as_str()).collect();
    let rounds = demo.trials.iter().map(|t| round(&demo.known, t)).collect();
    Ok(serde_json::to_string_pretty(&Truth { about, stations, rounds })? + "\n")
}

fn round(known: &KnownJoint, trial: &Trial) -> RoundTruth {
    let values = |grid: &[f64]| known.at_stations(grid).into_iter().map(short).collect();
    let clearances = known.at_stations(&trial.clearances);
    let of = |f: fn(&Clearances) -> f64| clearances.iter().map(|c| short(f(c))).collect();
    RoundTruth {
        edge_mm: values(&trial.wood.edge),
        spring_mm: values(&trial.wood.spring),
        gap_mm: of(|c| c.gap),
        seat_mm: of(|c| c.seat),
        lift_mm: of(|c| c.lift),
        cut_mm: values(&trial.cut),
    }
}

/// To a tenth of a micrometre, the same on every machine.
fn short(mm: f64) -> f64 {
    (mm * 1e4).round() / 1e4 + 0.0
}
