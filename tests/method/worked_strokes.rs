//! Strokes against exact figures for one invented profile (computed independently).

use ribwright::sole::{Bed, Push};
use serde_json::Value;

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

#[test]
fn each_cut_agrees_to_two_millionths() {
    let worked: Value = serde_json::from_str(include_str!("../data/strokes.json")).unwrap();
    let (arc, profile) = (numbers(&worked["arc"]), numbers(&worked["profile"]));
    for cut in worked["cuts"].as_array().unwrap() {
        let number = |k: &str| cut[k].as_f64().unwrap();
        let bed = Bed::new(&arc, arc.iter().map(|_| 0.0), number("sole"), 70.0);
        let push = Push {
            shaving: number("shaving"),
            first: number("first") as usize,
            last: number("last") as usize,
        };
        for (got, want) in bed.cut(&profile, push).iter().zip(numbers(&cut["cut"])) {
            assert!((got - want).abs() < 2e-6, "{got} {want}");
        }
    }
}
