//! A smooth curve through figures at stations, that never overshoots them: no
//! wood appears between two stations that have none.
//!
//! Piecewise cubic with slopes as in F. N. Fritsch and J. Butland, "A method
//! for constructing local monotone piecewise cubic interpolants", SIAM Journal
//! on Scientific and Statistical Computing 5:300-304 (1984), from memory.

use super::sheet::{Point, Step};

/// The curve through the points, in order of growing x; straight for two.
pub fn through(points: &[Point]) -> Vec<Step> {
    let Some(first) = points.first() else {
        return Vec::new();
    };
    let mut steps = vec![Step::Move(*first)];
    steps.extend(onward(points));
    steps
}

/// The same without its starting point, to go on from where a path is.
pub fn onward(points: &[Point]) -> Vec<Step> {
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
pub fn runs(points: impl IntoIterator<Item = Option<Point>>) -> Vec<Vec<Point>> {
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
