//! A smooth curve through figures at stations, that never overshoots them: no
//! wood appears between two stations that have none.
//!
//! Piecewise cubic with slopes as in F. N. Fritsch and J. Butland, "A method
//! for constructing local monotone piecewise cubic interpolants", SIAM Journal
//! on Scientific and Statistical Computing 5:300-304 (1984), from memory.

use super::sheet::{Point, Step};

/// A smooth curve by the points that it meets, in order of growing x, and its slope at each.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    points: Vec<Point>,
    slopes: Vec<f64>,
}

impl Curve {
    /// The curve through the points; straight for two.
    pub fn through(points: &[Point]) -> Curve {
        Curve { slopes: slopes(points), points: points.to_vec() }
    }

    /// This curve with a height taken off at each point, which must not be negative: how much is
    /// taken between them is a curve of its own that never dips below nothing, so that the one that
    /// is left lies nowhere over this one. (Two curves each through their own points may cross
    /// where little is taken.)
    pub fn lowered(&self, down: &[f64]) -> Curve {
        let taken: Vec<Point> = self.points.iter().zip(down).map(|(p, d)| Point(p.0, *d)).collect();
        let points = self.points.iter().zip(down).map(|(p, d)| Point(p.0, p.1 + d)).collect();
        let slopes = self.slopes.iter().zip(slopes(&taken)).map(|(a, b)| a + b).collect();
        Curve { points, slopes }
    }

    /// The points that it meets.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The curve as a path.
    pub fn steps(&self) -> Vec<Step> {
        let first = self.points.first().map(|p| Step::Move(*p));
        first.into_iter().chain(self.pieces().map(|[_, a, b, p]| Step::Cubic(a, b, p))).collect()
    }

    /// The outline of what lies between this curve and another over the same places.
    pub fn strip(&self, other: &Curve) -> Vec<Step> {
        let mut steps = self.steps();
        steps.extend(other.points.last().map(|p| Step::Line(*p)));
        let back: Vec<[Point; 4]> = other.pieces().collect();
        steps.extend(back.into_iter().rev().map(|[p, a, b, _]| Step::Cubic(b, a, p)));
        steps
    }

    /// Each piece by its ends and, between them, the control points.
    fn pieces(&self) -> impl Iterator<Item = [Point; 4]> {
        self.points.windows(2).zip(self.slopes.windows(2)).map(|(pair, slope)| {
            let third = (pair[1].0 - pair[0].0) / 3.0;
            let a = Point(pair[0].0 + third, pair[0].1 + third * slope[0]);
            let b = Point(pair[1].0 - third, pair[1].1 - third * slope[1]);
            [pair[0], a, b, pair[1]]
        })
    }
}

/// The curve through the points as a path.
pub fn through(points: &[Point]) -> Vec<Step> {
    Curve::through(points).steps()
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
