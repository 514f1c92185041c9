//! Straightness and flatness against published measurements; the source stands
//! beside each check. Terms: ISO 12780-1 and ISO 12781-1.

use proptest::prelude::*;
use ribwright::maths::form::{Deviations, Error, Flatness, Reference, Straightness, flatness, straightness};

fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
}

// ---------------------------------------------------------------------------
// Laser Measurement System User's Guide, HP 5528A (1987), section 21: two axes,
// x in m, height in um. Least-squares slopes and axis 2's intercept as
// published; the other figures recomputed exactly from the same readings.

const AXIS_1: [f64; 10] = [-0.3, 0.9, 1.5, 2.5, 2.9, 3.6, 4.2, 5.1, 5.9, 7.2];
const AXIS_2: [f64; 10] = [-0.5, -1.2, -2.5, -3.8, -4.0, -4.8, -5.9, -6.2, -7.4, -8.8];

/// One axis in mm: x steps of `step` mm, heights from um.
fn axis(heights: &[f64; 10], step: f64, reference: Reference) -> Straightness {
    let points: Vec<[f64; 2]> =
        heights.iter().enumerate().map(|(i, z)| [step * i as f64, z * 1e-3]).collect();
    straightness(&points, reference).unwrap()
}

fn first(reference: Reference) -> Straightness {
    axis(&AXIS_1, 100.0, reference)
}

fn second(reference: Reference) -> Straightness {
    axis(&AXIS_2, 50.0, reference)
}

/// Slope in um/m and offset in um.
fn laid(line: &Straightness, slope: f64, offset: f64) {
    close(line.slope * 1e6, slope, 1e-7);
    close(line.offset * 1e3, offset, 1e-7);
}

/// STRt, STRp, STRv, STRq in um.
fn strayed(d: &Deviations, expected: [f64; 4]) {
    for (found, expected) in [d.total, d.peak, d.valley, d.rms].iter().zip(expected) {
        close(found * 1e3, expected, 1e-7);
    }
}

#[test]
fn hp5528a_least_squares() {
    let (one, two) = (first(Reference::LeastSquares), second(Reference::LeastSquares));
    close(one.slope * 1e6, 7.65, 5e-3);
    close(two.slope * 1e6, -17.42, 5e-3);
    close(two.offset * 1e3, -0.591, 5e-4);
    laid(&one, 7.654_545_454_545_454, -0.094_545_454_545_454_54);
    laid(&two, -17.418_181_818_181_82, -0.590_909_090_909_090_9);
    strayed(
        &one.deviations,
        [
            0.703_636_363_636_363_6,
            0.405_454_545_454_545_46,
            0.298_181_818_181_818_16,
            0.225_065_646_988_929_56,
        ],
    );
    strayed(
        &two.deviations,
        [1.083_636_363_636_363_7, 0.487_272_727_272_727_25, 0.596_363_636_363_636_3, 0.299_028_730_757_066_5],
    );
    // The material lies below: point 10 of axis 1 stands proud, point 7 is low.
    assert!(one.deviations.each[9] > 0.0 && one.deviations.each[6] < 0.0);
}

#[test]
fn hp5528a_minimum_zone() {
    let (one, two) = (first(Reference::MinimumZone), second(Reference::MinimumZone));
    laid(&one, 47.0 / 6.0, -7.0 / 40.0);
    laid(&two, -50.0 / 3.0, -5.0 / 6.0);
    for (line, width, touching) in [(&one, 13.0 / 20.0, 3), (&two, 14.0 / 15.0, 4)] {
        close(line.deviations.total * 1e3, width, 1e-7);
        close(line.deviations.peak * 1e3, width / 2.0, 1e-7);
        close(line.deviations.valley * 1e3, width / 2.0, 1e-7);
        assert_eq!(line.deviations.touching.len(), touching);
    }
}

/// Line, sum of squared deviations in um^2, touching points counted from 1.
fn one_sided(line: &Straightness, laid_as: (f64, f64), squares: f64, touching: [usize; 2]) {
    laid(line, laid_as.0, laid_as.1);
    close(10.0 * (line.deviations.rms * 1e3).powi(2), squares, 1e-7);
    assert_eq!(line.deviations.touching, touching.map(|i| i - 1));
}

#[test]
fn hp5528a_lines_from_below() {
    let (one, two) = (first(Reference::Under), second(Reference::Under));
    one_sided(&one, (7.5, -0.3), 1.2825, [1, 7]);
    one_sided(&two, (-50.0 / 3.0, -1.3), 3.926_666_666_666_667, [4, 10]);
    assert!(one.deviations.each.iter().all(|d| *d > -1e-10));
}

#[test]
fn hp5528a_lines_from_above() {
    let (one, two) = (first(Reference::Over), second(Reference::Over));
    one_sided(&one, (47.0 / 6.0, 0.15), 1.589_166_666_666_666_6, [4, 10]);
    one_sided(&two, (-50.0 / 3.0, -11.0 / 30.0), 2.557_777_777_777_777, [2, 8]);
    assert!(one.deviations.each.iter().all(|d| *d < 1e-10));
}

// ---------------------------------------------------------------------------
// Flatness of five points (figures computed exactly, and confirmed with a
// general convex solver; deviations along z, so the cosine is divided out).

const FIVE: [[f64; 3]; 5] =
    [[11.5, 7.0, 1.1], [18.5, 6.9, 1.03], [4.5, 13.0, 1.02], [25.5, 30.0, 1.03], [11.5, 37.5, 1.02]];

fn five(reference: Reference) -> (Flatness, f64) {
    let plane = flatness(&FIVE, reference).unwrap();
    let along_z = (1.0 + plane.slope_x.powi(2) + plane.slope_y.powi(2)).sqrt();
    (plane, along_z)
}

fn plane_is(plane: &Flatness, expected: [f64; 3]) {
    let found = [plane.offset, plane.slope_x, plane.slope_y];
    for (found, expected) in found.iter().zip(expected) {
        close(*found, expected, 1e-9);
    }
}

#[test]
fn five_points_least_squares() {
    let (plane, along_z) = five(Reference::LeastSquares);
    plane_is(&plane, [1.059663665348491, 0.0002816895443433727, -0.0012548636563877798]);
    let residuals = [
        0.04588095048627462,
        -0.026216362689767767,
        -0.024618040764995092,
        0.000799160962386337,
        0.004154292006101902,
    ];
    for (found, expected) in plane.deviations.each.iter().zip(residuals) {
        close(found * along_z, expected, 1e-14);
    }
    let d = &plane.deviations;
    close(d.total * along_z, 0.07209731317604239, 1e-14);
    close(d.peak * along_z, residuals[0], 1e-14);
    close(d.valley * along_z, -residuals[1], 1e-14);
    close(5.0 * (d.rms * along_z).powi(2), 0.003416304021628155, 1e-15);
}

#[test]
fn five_points_minimum_zone() {
    let (plane, along_z) = five(Reference::MinimumZone);
    let d = &plane.deviations;
    close(d.total * along_z, 4103.0 / 61000.0, 1e-10);
    close(d.peak, d.valley, 1e-10);
    plane_is(&plane, [1.0896580796252928, -0.00042857142857142855, -0.002622950819672131]);
}

#[test]
fn five_points_one_sided() {
    let (under, along_z) = five(Reference::Under);
    plane_is(&under, [1.0218335069189428, 0.0005672743270205254, -0.0003374031838873187]);
    let squares = 5.0 * (under.deviations.rms * along_z).powi(2);
    close(squares, 0.0055097567906911855, 1e-11);
    assert_eq!(under.deviations.touching, [1, 2]);
    let (over, along_z) = five(Reference::Over);
    plane_is(&over, [1.125300156128025, -0.0006034348165495706, -0.002622950819672131]);
    let squares = 5.0 * (over.deviations.rms * along_z).powi(2);
    close(squares, 0.009052927528442174, 1e-11);
    assert_eq!(over.deviations.touching, [0, 4]);
}

// ---------------------------------------------------------------------------
// Properties. No source but where one is named.

#[test]
fn points_that_fix_nothing_are_an_error() {
    let on_a_line = [[0.0, 0.0, 1.0], [1.0, 2.0, 3.0], [2.0, 4.0, 2.0]];
    for reference in ALL {
        let steep = straightness(&[[1.0, 2.0], [1.0, 3.0]], reference);
        assert_eq!(steep.unwrap_err(), Error::Undetermined);
        let line = flatness(&on_a_line, reference);
        assert_eq!(line.unwrap_err(), Error::Undetermined);
        let nan = straightness(&[[1.0, 2.0], [2.0, f64::NAN]], reference);
        assert_eq!(nan.unwrap_err(), Error::NotFinite);
        assert_eq!(straightness(&[], reference).unwrap_err(), Error::Undetermined);
    }
}

#[test]
fn two_points_are_straight_and_three_flat() {
    for reference in ALL {
        let line = straightness(&[[10.0, 1.0], [20.0, 2.0]], reference).unwrap();
        close(line.offset, 0.0, 1e-12);
        close(line.deviations.total, 0.0, 1e-12);
        let plane = flatness(&[[0.0, 0.0, 1.0], [1.0, 0.0, 2.0], [0.0, 1.0, 4.0]], reference);
        plane_is(&plane.unwrap(), [1.0, 1.0, 3.0]);
    }
}

#[test]
fn deviations_are_square_to_a_steep_line() {
    // A 45 degree line with points 1 either side along z: 1/sqrt 2 square to it.
    let points = [[0.0, 1.0], [1.0, 0.0], [2.0, 1.0], [3.0, 4.0]];
    let line = straightness(&points, Reference::LeastSquares).unwrap();
    close(line.slope, 1.0, 1e-14);
    close(line.deviations.peak, 1.0 / 2.0_f64.sqrt(), 1e-14);
}

const ALL: [Reference; 4] =
    [Reference::LeastSquares, Reference::MinimumZone, Reference::Under, Reference::Over];

/// The narrowest zone of a line, the slow way: one side of it rests on two
/// points, for every pair of them.
fn narrowest_zone(points: &[[f64; 2]]) -> f64 {
    let mut least = f64::INFINITY;
    for (i, p) in points.iter().enumerate() {
        for q in &points[i + 1..] {
            let slope = (q[1] - p[1]) / (q[0] - p[0]);
            let over = points.iter().map(|r| r[1] - slope * r[0]);
            let high = over.clone().fold(f64::NEG_INFINITY, f64::max);
            least = least.min(high - over.fold(f64::INFINITY, f64::min));
        }
    }
    least
}

fn heights(count: std::ops::Range<usize>) -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(-1.0..1.0_f64, count)
}

fn scattered() -> impl Strategy<Value = Vec<[f64; 3]>> {
    proptest::collection::vec([0.0..500.0_f64, 0.0..100.0, -1.0..1.0], 5..40)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_minimum_zone_is_the_narrowest(z in heights(3..25)) {
        let points: Vec<[f64; 2]> = z.iter().enumerate().map(|(i, z)| [40.0 * i as f64, *z]).collect();
        let zone = straightness(&points, Reference::MinimumZone).unwrap();
        let along_z = zone.deviations.total * zone.slope.hypot(1.0);
        prop_assert!((along_z - narrowest_zone(&points)).abs() < 1e-9);
        let squares = straightness(&points, Reference::LeastSquares).unwrap();
        prop_assert!(along_z <= squares.deviations.total * squares.slope.hypot(1.0) + 1e-9);
    }

    /// A constrained least-squares plane touches one, two or three points
    /// (C. M. Shakarji and V. Srinivasan, NIST, on datum planes), none is on
    /// its wrong side, and from above is from below upside down.
    #[test]
    fn a_one_sided_plane_touches_one_to_three_points(points in scattered()) {
        let under = flatness(&points, Reference::Under).unwrap();
        let d = &under.deviations;
        prop_assert!((1..=3).contains(&d.touching.len()), "{:?}", d.touching);
        prop_assert!(d.valley < 1e-8 && d.each.iter().all(|d| *d > -1e-8));
        let flipped: Vec<[f64; 3]> = points.iter().map(|p| [p[0], p[1], -p[2]]).collect();
        let over = flatness(&flipped, Reference::Over).unwrap();
        prop_assert!((over.deviations.rms - d.rms).abs() < 1e-9);
        prop_assert_eq!(&over.deviations.touching, &d.touching);
    }

    /// Tilting and lifting the points along z moves the plane with them.
    #[test]
    fn a_reference_moves_with_its_points(
        points in scattered(), lift in -1e3..1e3_f64, tilt in -0.1..0.1_f64,
    ) {
        let moved: Vec<[f64; 3]> =
            points.iter().map(|p| [p[0], p[1], p[2] + lift + tilt * p[0]]).collect();
        for reference in ALL {
            let still = flatness(&points, reference).unwrap();
            let after = flatness(&moved, reference).unwrap();
            prop_assert!((after.offset - still.offset - lift).abs() < 1e-6);
            prop_assert!((after.slope_x - still.slope_x - tilt).abs() < 1e-8);
            prop_assert!((after.slope_y - still.slope_y).abs() < 1e-8);
        }
    }
}
