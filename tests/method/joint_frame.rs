//! The joint's frame, and what a motion of the rib does to its clearances, where closed geometry
//! or differences tell; exact figures for a bowl are in `worked_joint.rs`.

use nalgebra::{Vector3, Vector6};
use ribwright::job::{Angle, Clearance, Job, Mold, Station};
use ribwright::joint::{Joint, Pose};

use crate::stations::{evenly, joint};

const RADIUS: f64 = 150.0;
const BEVEL: f64 = 0.12;

/// A cylinder's rib: the joint line a straight line along it, bevels left out.
fn cylinder(mold: Mold) -> Joint {
    let width = 2.0 * RADIUS * BEVEL.sin();
    let stations =
        evenly(7, 50.0, |_| 0.0).into_iter().map(|s| Station { width, bevel: Angle::radians(BEVEL), ..s });
    Joint::of(&Job { mold, stations: stations.collect(), ..Job::default() })
}

/// Chord and arc of a circle about a centre one radius under the joint line: closed geometry.
#[test]
fn bevels_left_out_are_those_of_a_round_mold() {
    for frame in cylinder(Mold::Round).frames {
        let centre = frame.joint - Vector3::z() * RADIUS;
        assert!(((frame.outer - centre).norm() - RADIUS).abs() < 1e-9);
        assert!((frame.lift_normal - (frame.outer - centre) / RADIUS).norm() < 1e-9);
        assert!((frame.seat_normal - Vector3::z()).norm() < 1e-12);
        // The mold turns by 2 a over the chord, a little longer over the arc.
        let chord = 2.0 * RADIUS * BEVEL.sin();
        assert!((frame.across_curvature - 2.0 * BEVEL / chord).abs() < 1e-12);
    }
}

/// A round mold's rib whose joint line lies where the mold is turned by `v`, its outer line where it
/// is turned by `b`: a chord of the circle, so of `2 R sin ((b - v) / 2)`, leaning by the mean of
/// both. A point that slides off a circle stands `sqrt (R^2 + t^2) - R` off it: closed geometry.
#[test]
fn a_mold_turns_from_the_inner_bevel_to_the_outer() {
    for (inner, outer) in [(0.0, 0.24), (0.1, 0.3), (-0.08, 0.2), (0.3, 0.42)] {
        let width = 2.0 * RADIUS * (0.5_f64 * (outer - inner)).sin();
        let stated = |s: Station| Station {
            width,
            bevel: Angle::radians((inner + outer) / 2.0),
            inner_bevel: Some(Angle::radians(inner)),
            outer_bevel: Some(Angle::radians(outer)),
            ..s
        };
        let joint = joint(evenly(7, 50.0, |_| 0.0).into_iter().map(stated).collect());
        let frame = &joint.frames[3];
        let centre = frame.joint - frame.seat_normal * RADIUS;
        assert!(((frame.outer - centre).norm() - RADIUS).abs() < 1e-9);
        let slid = 4.0;
        let translation = Vector3::new(0.0, inner.cos(), -inner.sin()) * slid;
        let seat = joint.clearances(&Pose { translation, ..Pose::default() }, 3).seat;
        let off = (RADIUS * RADIUS + slid * slid).sqrt() - RADIUS;
        assert!((seat / off - 1.0).abs() < 0.01, "{inner} to {outer}: {seat}, not {off}");
    }
}

/// The facet is the rib itself, and square to both of its normals.
#[test]
fn bevels_left_out_are_those_of_a_facet() {
    for frame in cylinder(Mold::Faceted).frames {
        let across = (frame.outer - frame.joint).normalize();
        for normal in [frame.seat_normal, frame.lift_normal] {
            assert!(normal.dot(&across).abs() < 1e-12 && normal.z > 0.0 && normal.y > 0.0);
        }
        assert_eq!(frame.across_curvature, 0.0);
    }
}

/// A rib that turns about the cylinder's axis stays on it, and opens or closes at the joint.
#[test]
fn a_turn_about_the_mold_lifts_nothing() {
    let joint = cylinder(Mold::Round);
    for turn in [-0.01, 0.004, 0.01_f64] {
        // About the axis one radius under the pivot: away from the joint where positive.
        let rotation = Vector3::new(-turn, 0.0, 0.0);
        let translation = Vector3::new(0.0, RADIUS * turn.sin(), RADIUS * (turn.cos() - 1.0));
        let clearances = joint.clearances(&Pose { translation, rotation }, 3);
        assert!((clearances.gap - RADIUS * turn.sin() / BEVEL.cos()).abs() < 1e-9);
        assert!(clearances.seat.abs() < 0.01 && clearances.lift.abs() < 0.01, "{clearances:?}");
        // Without the mold's curvature the seat alone would miss by so much.
        assert!(RADIUS * (1.0 - turn.cos()) > 0.001);
        assert!(clearances.seat.abs() < 0.15 * RADIUS * (1.0 - turn.cos()), "{clearances:?}");
    }
}

#[test]
fn shifts_open_what_they_point_away_from() {
    let joint = cylinder(Mold::Round);
    let shifted =
        |x, y, z| joint.clearances(&Pose { translation: Vector3::new(x, y, z), ..Pose::default() }, 2);
    let away = shifted(0.0, 1e-3, 0.0);
    assert!((away.gap - 1e-3 / BEVEL.cos()).abs() < 1e-9);
    assert!(away.seat.abs() < 1e-8 && (away.lift - 1e-3 * (2.0 * BEVEL).sin()).abs() < 1e-8);
    let up = shifted(0.0, 0.0, 1e-3);
    assert!(up.gap == 0.0 && (up.seat - 1e-3).abs() < 1e-9);
    assert!((up.lift - 1e-3 * (2.0 * BEVEL).cos()).abs() < 1e-8);
    let along = shifted(0.5, 0.0, 0.0);
    assert!(along.gap == 0.0 && along.seat.abs() < 1e-9 && along.lift.abs() < 1e-9);
}

/// Shares weigh a mean over the edge: half a step at the ends.
#[test]
fn shares_are_those_of_the_length() {
    let shares = cylinder(Mold::Round).shares();
    assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    assert!((shares[0] - 1.0 / 12.0).abs() < 1e-9 && (shares[3] - 1.0 / 6.0).abs() < 1e-9);
}

/// Derivatives against central differences, at poses large and small.
#[test]
fn slopes_are_the_derivatives() {
    let station = |(i, s): (usize, Station)| Station {
        width: 20.0 + 3.0 * i as f64,
        bevel: Angle::radians(0.1 + 0.01 * i as f64),
        out_of_plane: Some(0.02 * i as f64),
        ..s
    };
    let stations = evenly(9, 40.0, |i| 100.0 - (i as f64 - 4.0).powi(2) * 5.0);
    let joint = joint(stations.into_iter().enumerate().map(station).collect());
    for size in [0.0, 1e-6, 0.02] {
        let at = Vector6::new(0.7, -0.4, 0.3, size, -0.6 * size, 0.4 * size);
        for (i, k) in (0..9).flat_map(|i| (0..6).map(move |k| (i, k))) {
            let moved = |by: f64| {
                let mut v = at;
                v[k] += by;
                joint.clearances(&Pose::from_vector(&v), i)
            };
            let h = 1e-5;
            let (more, less) = (moved(h), moved(-h));
            let slope = joint.shift(&Pose::from_vector(&at), i).slope;
            for of in Clearance::ALL {
                let difference = (more[of] - less[of]) / (2.0 * h);
                assert!((slope[of][k] - difference).abs() < 1e-4, "{size} {i} {k} {of:?}");
            }
        }
    }
}
