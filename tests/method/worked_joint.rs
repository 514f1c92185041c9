//! The joint's geometry against exact figures for an invented 13-rib round bowl
//! (computed independently: exact normals, exact distances to the mold).

use ribwright::job::{Angle, Job, Station};
use ribwright::joint::{Joint, Pose};
use serde_json::Value;

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

fn worked() -> Value {
    serde_json::from_str(include_str!("../data/joint.json")).unwrap()
}

fn job(worked: &Value) -> Job {
    let g = |k: &str| numbers(&worked["geometry"][k]);
    let (along, rise, width, bevel) = (g("along"), g("rise"), g("width"), g("bevel"));
    let (outer, inner) = (g("outer_bevel"), g("inner_bevel"));
    let stations = (0..along.len())
        .map(|i| Station {
            name: (i + 1).to_string(),
            along: along[i],
            width: width[i],
            bevel: Angle::degrees(bevel[i]),
            rise: Some(rise[i]),
            outer_bevel: Some(Angle::degrees(outer[i])),
            inner_bevel: Some(Angle::degrees(inner[i])),
            out_of_plane: None,
        })
        .collect();
    Job { stations, ..Job::default() }
}

fn vector(v: &Value) -> nalgebra::Vector3<f64> {
    nalgebra::Vector3::from_vec(numbers(v))
}

#[test]
fn motions_agree_with_the_exact_mold() {
    let worked = worked();
    let joint = Joint::of(&job(&worked));
    for (k, motion) in worked["motions"].as_array().unwrap().iter().enumerate() {
        let pose = Pose {
            translation: vector(&motion["translation_mm"]),
            rotation: vector(&motion["rotation_vector_rad"]),
        };
        let (gap, seat, lift) = (numbers(&motion["gap"]), numbers(&motion["seat"]), numbers(&motion["lift"]));
        let (mut worst_gap, mut worst, mut inside): (f64, f64, f64) = (0.0, 0.0, 0.0);
        for i in 0..joint.len() {
            let c = joint.clearances(&pose, i);
            worst_gap = worst_gap.max((c.gap - gap[i]).abs());
            let off = (c.seat - seat[i]).abs().max((c.lift - lift[i]).abs());
            worst = worst.max(off);
            if i > 1 && i + 2 < joint.len() {
                inside = inside.max(off);
            }
        }
        println!("motion {k}: gap {worst_gap:.2e} seat/lift {worst:.4} inside {inside:.4}");
        assert!(worst_gap < 1e-5, "motion {k}: gaps off by {worst_gap}");
        assert!(worst < 0.02, "motion {k}: seat or lift off by {worst}");
        assert!(k == 4 || inside < 0.00205, "motion {k}: off by {inside} away from the ends");
    }
}

#[test]
fn ribs_come_to_rest_as_on_the_exact_mold() {
    let worked = worked();
    let joint = Joint::of(&job(&worked));
    for (k, seat) in worked["seats"].as_array().unwrap().iter().enumerate() {
        let edge = numbers(&seat["excess"]);
        let spring = vec![0.0; edge.len()];
        let rest = ribwright::seat::seat(&joint, &edge, &spring, Pose::default()).unwrap();
        let (gap, seat_, lift) = (numbers(&seat["gap"]), numbers(&seat["seat"]), numbers(&seat["lift"]));
        let mut worst: f64 = 0.0;
        for (i, c) in rest.clearances.iter().enumerate() {
            for (got, want) in [(c.gap, gap[i]), (c.seat, seat_[i]), (c.lift, lift[i])] {
                worst = worst.max((got - want).abs());
            }
        }
        println!("seat {k} {}: {worst:.4}, bears at {:?} {:?}", seat["edge"], rest.bearings, rest.pose);
        assert!(worst < 0.02, "{}: off by {worst}", seat["edge"]);
    }
}

/// What the lever lesson teaches, on the worked joint: a bump of 0.4 mm at the
/// highest rise bears with both ends and opens 0.32 mm between.
#[test]
fn a_bump_at_the_highest_rise_bears_with_both_ends() {
    let worked = worked();
    let joint = Joint::of(&job(&worked));
    let bump = &worked["seats"][1];
    assert!(bump["edge"].as_str().unwrap().starts_with("0.4 mm bump at the highest rise"));
    let edge = numbers(&bump["excess"]);
    let rest = ribwright::seat::seat(&joint, &edge, &vec![0.0; edge.len()], Pose::default()).unwrap();
    let widest = rest.clearances.iter().map(|c| c.gap).fold(0.0, f64::max);
    assert!((widest - 0.32).abs() < 0.005, "{widest}");
    assert_eq!(rest.bearings, [0, 6, edge.len() - 1]);
}
