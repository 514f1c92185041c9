//! What is really so about a demo joint, for tests to hold the advice against.

use ribwright::joint::Clearances;
use ribwright::practice::rib::KnownJoint;
use serde::Serialize;

use super::trial::{Demo, Trial};

const ABOUT: &str = "Invented. What the readings in demo-readings were made from; written by tests/demo.";

#[derive(Serialize)]
struct Truth<'a> {
    about: &'a str,
    stations: Vec<&'a str>,
    rounds: Vec<TrueRound>,
}

/// What was so in a round, at the stations, mm; `cut_mm` is what the strokes after it took.
#[derive(Serialize)]
struct TrueRound {
    edge_mm: Vec<f64>,
    spring_mm: Vec<f64>,
    gap_mm: Vec<f64>,
    seat_mm: Vec<f64>,
    lift_mm: Vec<f64>,
    cut_mm: Vec<f64>,
}

/// The truth about a demo joint as JSON with a newline at its end.
pub fn truth(demo: &Demo) -> String {
    let stations = demo.job.stations.iter().map(|s| s.name.as_str()).collect();
    let rounds = demo.trials.iter().map(|t| TrueRound::of(&demo.known, t)).collect();
    serde_json::to_string_pretty(&Truth { about: ABOUT, stations, rounds }).expect("JSON") + "\n"
}

impl TrueRound {
    fn of(known: &KnownJoint, trial: &Trial) -> TrueRound {
        let at_stations = |grid: &[f64]| known.at_stations(grid).into_iter().map(rounded).collect();
        let clearances = known.at_stations(&trial.clearances);
        let each = |value: fn(&Clearances) -> f64| clearances.iter().map(|c| rounded(value(c))).collect();
        TrueRound {
            edge_mm: at_stations(&trial.wood.edge),
            spring_mm: at_stations(&trial.wood.spring),
            gap_mm: each(|c| c.gap),
            seat_mm: each(|c| c.seat),
            lift_mm: each(|c| c.lift),
            cut_mm: at_stations(&trial.cut),
        }
    }
}

/// To 1e-4 mm; adding 0 turns a negative zero into a plain one.
fn rounded(mm: f64) -> f64 {
    (mm * 1e4).round() / 1e4 + 0.0
}
