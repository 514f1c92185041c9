//! What is really so about a demo joint, for tests to hold the advice against.

use serde::Serialize;

use crate::joint::Clearances;
use crate::json::{all_mm, mm, object};
use crate::practice::rib::KnownJoint;

use super::{Demo, Trial};

/// The truth about a demo joint as JSON with a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no demo joint causes.
pub fn truth(demo: &Demo) -> serde_json::Result<String> {
    let about = "Invented. What the readings in demo-readings were made from; written by practice::demo.";
    let stations: Vec<&str> = demo.job.stations.iter().map(|s| s.name.as_str()).collect();
    let rounds: Vec<_> = demo.trials.iter().map(|t| round(&demo.known, t)).collect();
    Ok(serde_json::to_string_pretty(&object! { about: about, stations: stations, rounds: rounds })? + "\n")
}

/// What was so in a round, at the stations, mm; `cut_mm` is what the strokes after it took.
fn round(known: &KnownJoint, trial: &Trial) -> impl Serialize + use<> {
    let at_stations = |grid: &[f64]| all_mm(&known.at_stations(grid));
    let clearances = known.at_stations(&trial.clearances);
    let each = |value: fn(&Clearances) -> f64| clearances.iter().map(|c| mm(value(c))).collect::<Vec<_>>();
    object! {
        edge_mm: at_stations(&trial.wood.edge),
        spring_mm: at_stations(&trial.wood.spring),
        gap_mm: each(|c| c.gap),
        seat_mm: each(|c| c.seat),
        lift_mm: each(|c| c.lift),
        cut_mm: at_stations(&trial.cut),
    }
}
