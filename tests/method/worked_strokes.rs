//! Strokes against exact figures for one invented profile (computed independently), and closed
//! geometry.

use ribwright::sole::{Bed, Push, guided};
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

/// A chord of a circle with radius r stands W over it in the middle when it is about
/// 2 sqrt(2 r W) long (sagitta, textbook).
#[test]
fn a_curved_edge_guides_what_fits_on_the_width() {
    assert!((guided(600.0, 70.0, 0.01) - 236.643_191_3).abs() < 1e-6);
    assert_eq!(guided(600.0, 70.0, -0.01), guided(600.0, 70.0, 0.01));
    assert_eq!((guided(200.0, 70.0, 0.01), guided(600.0, 70.0, 0.0)), (200.0, 600.0));
}

/// Over a hollow the sole lies on its rims; beyond the sole's reach a rim carries nothing.
#[test]
fn the_sole_bridges_what_it_reaches_over() {
    let arc = [0.0, 50.0, 100.0, 150.0, 200.0];
    let profile = [0.3, 0.0, 0.0, 0.0, 0.1];
    let cut = |sole: f64| {
        let bed = Bed::new(&arc, arc.iter().map(|_| 0.0), sole, 70.0);
        bed.cut(&profile, Push { shaving: 0.25, first: 0, last: 3 })
    };
    // A straight line from 0.3 to 0.1 over all of it, at the iron less 0.25.
    let long = cut(400.0);
    for (got, want) in long.iter().zip([0.25, 0.0, 0.05, 0.1, 0.0]) {
        assert!((got - want).abs() < 1e-12, "{long:?}");
    }
    // 50 mm each way: the middle is guided by the hollow's own ground.
    assert!((cut(100.0)[2] - 0.25).abs() < 1e-12);
}
