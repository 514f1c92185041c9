//! A rib at rest: what carries it holds the push, and nothing passes through anything.

use ribwright::job::{Job, Mold};
use ribwright::joint::{Clearances, Joint, Pose};
use ribwright::seat::{PushHome, seat};

use crate::stations::{arched, evenly};

/// A joint line 240 mm long and 80 mm high.
fn joint() -> Joint {
    crate::stations::joint(evenly(7, 40.0, arched))
}

const EDGE: [f64; 7] = [0.0, 0.1, -0.2, 0.3, 0.0, -0.1, 0.2];
const SPRING: [f64; 7] = [0.1, 0.0, 0.2, 0.0, -0.1, 0.1, 0.0];

/// What carries holds the push: forces and moments of the multipliers balance those of a mean
/// gap, a mean seat and a quarter of a mean lift (the dual of the push), and nothing pulls.
#[test]
fn what_carries_balances_the_push() {
    let joint = joint();
    let pose = seat(&joint, &EDGE, &SPRING, Pose::default()).expect("at rest").pose;
    let mut push = PushHome::around(&joint, &EDGE, &SPRING, pose).expect("at rest");
    let carried = push.carrying(&EDGE, &SPRING).expect("at rest");
    let weights = Clearances { gap: 1.0, seat: 1.0, lift: 0.25 };
    let mut left = nalgebra::RowVector6::zeros();
    for (i, carried) in carried.iter().enumerate() {
        let slope = joint.shift(&pose, i).slope;
        for (of, slope) in slope.into_pairs() {
            assert!(carried[of] > -1e-9);
            left += slope * (weights[of] / 7.0 - carried[of]);
        }
    }
    assert!(left.columns(0, 3).amax() < 1e-6 && left.columns(3, 3).amax() < 1e-4, "{left}");
}

/// Nothing passes through anything, every bearing touches, and the repeated push agrees.
#[test]
fn a_rib_at_rest_touches_where_it_bears() {
    let joint = joint();
    let rest = seat(&joint, &EDGE, &SPRING, Pose::default()).expect("at rest");
    for c in &rest.clearances {
        assert!(c.gap > -1e-4 && c.seat > -1e-4 && c.lift > -1e-4, "{c:?}");
    }
    assert!(!rest.bearings.is_empty());
    assert!(rest.bearings.iter().all(|&i| rest.clearances[i].gap < 1e-4));
    let mut push = PushHome::around(&joint, &EDGE, &SPRING, rest.pose).expect("at rest");
    for (again, c) in push.rest(&EDGE, &SPRING).expect("at rest").iter().zip(&rest.clearances) {
        assert!((again.gap - c.gap).abs() < 1e-4 && (again.lift - c.lift).abs() < 1e-4);
    }
}

/// The lever rule of a straight edge: a bump h at the distance c from the
/// bearing end opens h L/c at the other end (similar triangles; no source).
#[test]
fn a_bump_on_a_straight_edge_opens_its_height_times_the_length_over_its_arm() {
    for (at, length, bump) in [(1, 300.0, 0.1), (3, 500.0, 0.4), (4, 400.0, 0.2), (5, 400.0, 0.2)] {
        let stations = evenly(13, length / 12.0, |_| 0.0);
        let joint = Joint::of(&Job { mold: Mold::Faceted, stations, ..Job::default() });
        let mut edge = [0.0; 13];
        edge[at] = bump;
        let rest = seat(&joint, &edge, &[0.0; 13], Pose::default()).expect("at rest");
        let opened = rest.clearances.iter().map(|c| c.gap).fold(0.0, f64::max);
        let arm = length * (12 - at) as f64 / 12.0;
        assert!((opened - bump * length / arm).abs() < 1e-4, "at {at}: {opened}");
    }
}
