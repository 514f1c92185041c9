//! Straightness and flatness against published measurements; the source stands
//! beside each check. Terms: ISO 12780-1 and ISO 12781-1.

use nalgebra::DMatrix;
use proptest::prelude::*;
use ribwright::maths::form::{Error, Form};

fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

// ---------------------------------------------------------------------------
// Laser Measurement System User's Guide, HP 5528A (1987), section 21: two axes,
// x in m, height in um. Slopes and axis 2's intercept as published; the other figures
// recomputed exactly from the same readings.

const AXIS_1: [f64; 10] = [-0.3, 0.9, 1.5, 2.5, 2.9, 3.6, 4.2, 5.1, 5.9, 7.2];
const AXIS_2: [f64; 10] = [-0.5, -1.2, -2.5, -3.8, -4.0, -4.8, -5.9, -6.2, -7.4, -8.8];

/// One axis in mm: x steps of `step` mm, heights from um.
fn axis(heights: &[f64; 10], step: f64) -> Form<1> {
    let places: Vec<[f64; 1]> = (0..10).map(|i| [step * f64::from(i)]).collect();
    Form::of(&places, &heights.map(|z| z * 1e-3)).unwrap()
}

#[test]
fn hp5528a_straightness() {
    let (one, two) = (axis(&AXIS_1, 100.0), axis(&AXIS_2, 50.0));
    close(one.slopes[0] * 1e6, 7.65, 5e-3);
    close(two.slopes[0] * 1e6, -17.42, 5e-3);
    close(two.offset * 1e3, -0.591, 5e-4);
    for (axis, slope, offset, total) in [
        (&one, 7.654_545_454_545_454, -0.094_545_454_545_454_54, 0.703_636_363_636_363_6),
        (&two, -17.418_181_818_181_82, -0.590_909_090_909_090_9, 1.083_636_363_636_363_7),
    ] {
        close(axis.slopes[0] * 1e6, slope, 1e-9);
        close(axis.offset * 1e3, offset, 1e-9);
        close(axis.total() * 1e3, total, 1e-9);
    }
    // The material lies below: point 10 of axis 1 stands proud, point 7 is low.
    close(one.deviations[9] * 1e3, 0.405_454_545_454_545_46, 1e-9);
    close(one.deviations[6] * 1e3, -0.298_181_818_181_818_16, 1e-9);
}

// ---------------------------------------------------------------------------
// Flatness of five points: no source; computed in exact arithmetic beforehand, along z.

#[test]
fn five_points_over_their_plane() {
    let places = [[11.5, 7.0], [18.5, 6.9], [4.5, 13.0], [25.5, 30.0], [11.5, 37.5]];
    let plane = Form::of(&places, &[1.1, 1.03, 1.02, 1.03, 1.02]).unwrap();
    close(plane.offset, 1.059663665348491, 1e-13);
    close(plane.slopes[0], 0.0002816895443433727, 1e-14);
    close(plane.slopes[1], -0.0012548636563877798, 1e-14);
    let residuals = [
        0.04588095048627462,
        -0.026216362689767767,
        -0.024618040764995092,
        0.000799160962386337,
        0.004154292006101902,
    ];
    let along_z = (1.0 + plane.slopes.map(|s| s * s).iter().sum::<f64>()).sqrt();
    for (found, expected) in plane.deviations.iter().zip(residuals) {
        close(found * along_z, expected, 1e-14);
    }
    close(plane.total() * along_z, 0.07209731317604239, 1e-14);
}

// ---------------------------------------------------------------------------
// Properties; no source.

#[test]
fn points_that_fix_nothing_are_an_error() {
    let undetermined = Some(Error::Undetermined);
    assert_eq!(Form::of(&[[1.0], [1.0]], &[2.0, 3.0]).err(), undetermined);
    assert_eq!(Form::<1>::of(&[], &[]).err(), undetermined);
    assert_eq!(Form::of(&[[0.0, 0.0], [1.0, 2.0], [2.0, 4.0]], &[1.0, 3.0, 2.0]).err(), undetermined);
    // A station a thousandth of a millimetre beside the line of the others fixes a plane.
    assert!(Form::of(&[[0.0, 0.0], [250.0, 100.001], [500.0, 200.0]], &[1.0, 3.0, 2.0]).is_ok());
    assert_eq!(Form::of(&[[1.0], [2.0]], &[2.0, f64::NAN]).err(), Some(Error::NotFinite));
    assert_eq!(Form::of(&[[1.0], [f64::INFINITY]], &[2.0, 3.0]).err(), Some(Error::NotFinite));
}

#[test]
fn two_points_are_straight_and_three_flat() {
    let line = Form::of(&[[10.0], [20.0]], &[1.0, 2.0]).unwrap();
    close(line.offset, 0.0, 1e-12);
    close(line.total(), 0.0, 1e-12);
    let plane = Form::of(&[[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]], &[1.0, 2.0, 4.0]).unwrap();
    close(plane.offset, 1.0, 1e-12);
    close(plane.slopes[0], 1.0, 1e-12);
    close(plane.slopes[1], 3.0, 1e-12);
}

#[test]
fn deviations_are_square_to_a_steep_line() {
    // A 45 degree line with points 1 either side along z: 1/sqrt 2 square to it.
    let line = Form::of(&[[0.0], [1.0], [2.0], [3.0]], &[1.0, 0.0, 1.0, 4.0]).unwrap();
    close(line.slopes[0], 1.0, 1e-14);
    close(line.total(), 2.0_f64.sqrt(), 1e-14);
}

/// What rounding may do to a plane over these places: it grows with the heights and with how
/// poorly the places fix it (Golub and Van Loan, Matrix Computations, on least squares: from memory).
fn rounding(places: &[[f64; 2]], height: f64) -> f64 {
    let design = DMatrix::from_fn(places.len(), 3, |i, j| if j == 0 { 1.0 } else { places[i][j - 1] });
    let values = design.singular_values();
    1e-13 * height * values.amax() / values.amin()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Tilting and lifting the points along z moves the plane with them.
    #[test]
    fn a_reference_moves_with_its_points(
        points in proptest::collection::vec((0.0..500.0_f64, 0.0..100.0_f64, -1.0..1.0_f64), 5..40),
        lift in -1e3..1e3_f64, tilt in -0.1..0.1_f64,
    ) {
        let places: Vec<[f64; 2]> = points.iter().map(|p| [p.0, p.1]).collect();
        let heights: Vec<f64> = points.iter().map(|p| p.2).collect();
        let moved: Vec<f64> = points.iter().map(|p| p.2 + lift + tilt * p.0).collect();
        let (still, after) = (Form::of(&places, &heights).unwrap(), Form::of(&places, &moved).unwrap());
        let over = rounding(&places, 1.0 + lift.abs() + 500.0 * tilt.abs());
        prop_assert!((after.offset - still.offset - lift).abs() < over);
        prop_assert!((after.slopes[0] - still.slopes[0] - tilt).abs() < over);
        prop_assert!((after.slopes[1] - still.slopes[1]).abs() < over);
    }
}
