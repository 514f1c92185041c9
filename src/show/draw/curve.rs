//! A smooth curve through figures at stations, that never overshoots them: no
//! wood appears between two stations that have none.
//!
//! Piecewise cubic with slopes as in F. N. Fritsch and J. Butland, "A method
//! for constructing local monotone piecewise cubic interpolants", SIAM Journal
//! on Scientific and Statistical Computing 5:300-304 (1984), from memory.

use super::sheet::{Point, Step};

/// The curve through the points, in order of growing x; straight for two.
pub(super) fn through(points: &[Point]) -> Vec<Step> {
    let Some(first) = points.first() else {
        return Vec::new();
    };
    let mut steps = vec![Step::Move(*first)];
    steps.extend(onward(points));
    steps
}

/// The same without its starting point, to go on from where a path is.
pub(super) fn onward(points: &[Point]) -> Vec<Step> {
    let slopes = slopes(points);
    let piece = |(pair, slope): (&[Point], &[f64])| {
        let third = (pair[1].0 - pair[0].0) / 3.0;
        let a = Point(pair[0].0 + third, pair[0].1 + third * slope[0]);
        let b = Point(pair[1].0 - third, pair[1].1 - third * slope[1]);
        Step::Cubic(a, b, pair[1])
    };
    points.windows(2).zip(slopes.windows(2)).map(piece).collect()
}

fn slopes(points: &[Point]) -> Vec<f64> {
    let chord = |pair: &[Point]| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0);
    let chords: Vec<f64> = points.windows(2).map(chord).collect();
    let inner = points.windows(3).zip(chords.windows(2)).map(|(p, s)| {
        let (left, right) = (p[1].0 - p[0].0, p[2].0 - p[1].0);
        harmonic(s[0], s[1], left + 2.0 * right, 2.0 * left + right)
    });
    let first = chords.first().copied().unwrap_or(0.0);
    let last = chords.last().copied().unwrap_or(0.0);
    std::iter::once(first).chain(inner).chain([last]).collect()
}

/// Weighted harmonic mean of two slopes; level where they disagree.
fn harmonic(a: f64, b: f64, weight_a: f64, weight_b: f64) -> f64 {
    if a * b <= 0.0 {
        return 0.0;
    }
    (weight_a + weight_b) / (weight_a / a + weight_b / b)
}

/// Runs of points without a gap between them.
pub(super) fn runs(points: impl IntoIterator<Item = Option<Point>>) -> Vec<Vec<Point>> {
    let mut runs = vec![Vec::new()];
    for point in points {
        match (point, runs.last_mut()) {
            (Some(point), Some(run)) => run.push(point),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| !run.is_empty());
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(from: Point, step: &Step, t: f64) -> f64 {
        let Step::Cubic(a, b, c) = step else { panic!("cubic pieces only") };
        let u = 1.0 - t;
        u * u * u * from.1 + 3.0 * u * u * t * a.1 + 3.0 * u * t * t * b.1 + t * t * t * c.1
    }

    #[test]
    fn the_curve_meets_every_point_and_never_passes_beyond_two_neighbours() {
        let ys = [0.0, 0.0, 5.0, 5.2, 1.0, 0.0, 0.0, 3.0];
        let xs = [0.0, 1.0, 1.5, 4.0, 4.1, 6.0, 7.0, 9.0];
        let points: Vec<Point> = xs.iter().zip(ys).map(|(x, y)| Point(*x, y)).collect();
        for (pair, step) in points.windows(2).zip(onward(&points)) {
            assert_eq!(at(pair[0], &step, 1.0), pair[1].1);
            let (low, high) = (pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1));
            for i in 0..=20 {
                let y = at(pair[0], &step, f64::from(i) / 20.0);
                assert!(y >= low - 1e-12 && y <= high + 1e-12);
            }
        }
    }

    #[test]
    fn a_straight_row_stays_straight() {
        let points: Vec<Point> = [0.0, 1.0, 5.0, 7.0].map(|x| Point(x, 2.0 * x)).to_vec();
        for (pair, step) in points.windows(2).zip(onward(&points)) {
            assert!((at(pair[0], &step, 0.5) - (pair[0].0 + pair[1].0)).abs() < 1e-12);
        }
    }

    #[test]
    fn gaps_part_the_runs() {
        let point = |x| Some(Point(x, 0.0));
        let runs = runs([None, point(1.0), point(2.0), None, None, point(3.0)]);
        assert_eq!(runs.iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
    }
}
