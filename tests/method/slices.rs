//! The least-wood slice where closed geometry tells it, and what is read off the draws.

use ribwright::joint::{Clearances, Pose};
use ribwright::slice::{Aims, Chances, Slice, least_wood};

use crate::stations::{evenly, joint};

/// Place along the joint from -1 to 1.
fn place(i: usize) -> f64 {
    (i as f64 - 3.0) / 3.0
}

/// On a straight joint line of seven stations, 40 mm apart.
fn sliced(edge: impl Fn(f64) -> f64, gap: f64, spare: f64) -> Slice {
    let edge: Vec<f64> = (0..7).map(|i| edge(place(i))).collect();
    let aims = Aims { gap, lift: None, spare: vec![spare; 7] };
    let straight = joint(evenly(7, 40.0, |_| 0.0));
    least_wood(&straight, &edge, &[0.0; 7], &aims, Pose::default()).expect("a slice")
}

fn close(got: &[f64], want: impl Fn(f64) -> f64) {
    got.iter().enumerate().for_each(|(i, g)| assert!((g - want(place(i))).abs() < 1e-4, "{i}: {got:?}"));
}

/// High at both ends, flat in the middle third.
fn hollow(u: f64) -> f64 {
    0.6 * (u.abs() - 1.0 / 3.0).max(0.0)
}

/// A hollow edge is planed down to its flat ground, a round one to its chord, wherever the
/// rib happens to lie: closed geometry.
#[test]
fn least_wood_of_a_hollow_and_of_a_hump() {
    for lies in [-0.2, 0.0, 0.3] {
        let slice = sliced(|u| hollow(u) + lies * (1.0 + u), 0.0, f64::INFINITY);
        close(&slice.remove, hollow);
        assert!(slice.gap.iter().all(|g| *g < 1e-4));
        let hump = sliced(|u| lies - 0.4 * u * u, 0.0, f64::INFINITY);
        close(&hump.remove, |u| 0.4 - 0.4 * u * u);
    }
}

/// A gap that may stay saves its depth everywhere.
#[test]
fn a_gap_that_may_stay_saves_wood() {
    let slice = sliced(hollow, 0.1, f64::INFINITY);
    close(&slice.remove, |u| (hollow(u) - 0.1).max(0.0));
    close(&slice.gap, |u| (0.1 - hollow(u)).max(0.0));
}

/// Where the spare width is less than what closes the joint, the rest stays as a gap.
#[test]
fn no_more_than_the_spare_width_comes_off() {
    let slice = sliced(hollow, 0.0, 0.3);
    close(&slice.remove, |u| (hollow(u) - 0.1).max(0.0));
    assert!((slice.gap[3] - 0.1).abs() < 1e-4);
}

fn lying(rest: Vec<Vec<Clearances>>) -> Chances {
    Chances { remove: Vec::new(), draws: Vec::new(), rest }
}

/// Gaps and lifts decide, each by its own tolerance and at every station; a seat doesn't.
#[test]
fn fitted_is_judged_by_gap_and_lift() {
    let good = Clearances { gap: 0.09, seat: 0.5, lift: 0.14 };
    let gapes = Clearances { gap: 0.12, seat: 0.0, lift: 0.0 };
    let lifts = Clearances { gap: 0.0, seat: 0.0, lift: 0.2 };
    let rests = vec![vec![good, good], vec![good, gapes], vec![lifts, good], vec![good, good]];
    assert_eq!(lying(rests).fitted(0.1, 0.15), 0.5);
}

#[test]
fn spread_and_quantile_are_those_of_the_draws() {
    let remove = [0.1, 0.4, 0.2, 0.3].map(|r| vec![r, 1.0]).to_vec();
    let chances = Chances { remove, draws: Vec::new(), rest: Vec::new() };
    // Variance of 1, 2, 3, 4 by one less than their number: 5/3.
    assert!((chances.sd()[0] - 0.1 * (5.0_f64 / 3.0).sqrt()).abs() < 1e-12);
    assert_eq!(chances.sd()[1], 0.0);
    assert_eq!([0.0, 0.25, 0.5, 0.99].map(|c| chances.quantile(0, c)), [0.1, 0.2, 0.3, 0.4]);
}
