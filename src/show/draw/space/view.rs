//! From the joint's frame to the sheet: where the eye is.

use nalgebra::{Point3, Vector3};

use super::super::sheet::{Point, Step};
use crate::maths::spline::Spline;

/// From where the rib is looked at. Straight on at 0: along the sheet runs the
/// joint, neck end at the left, the rib on the near side, the neighbour beyond.
/// (For joints whose new rib lies on the other hand the same picture serves,
/// mirrored, as the same numbers do.)
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Degrees that the joint is turned about the rise, tail end away from the eye
    /// when positive.
    pub turn: f64,
    /// Degrees that the eye stands above the chord's level: 0 from the side, 90
    /// from above.
    pub tilt: f64,
}

impl Default for View {
    /// From a little beside and above, where gaps and lifts both show.
    fn default() -> Self {
        View { turn: 10.0, tilt: 40.0 }
    }
}

/// Parallel projection: what is parallel stays so, and a length drawn in one
/// direction is as long everywhere.
#[derive(Debug, Clone, Copy)]
pub(super) struct Eye {
    right: Vector3<f64>,
    up: Vector3<f64>,
    near: Vector3<f64>,
}

impl Eye {
    pub(super) fn of(view: View) -> Eye {
        let (sin_turn, cos_turn) = view.turn.to_radians().sin_cos();
        let (sin_tilt, cos_tilt) = view.tilt.to_radians().sin_cos();
        let toward = Vector3::new(-sin_turn, cos_turn, 0.0);
        Eye {
            right: Vector3::new(cos_turn, sin_turn, 0.0),
            up: Vector3::z() * cos_tilt - toward * sin_tilt,
            near: Vector3::z() * sin_tilt + toward * cos_tilt,
        }
    }

    /// A direction on the sheet, y down, still in mm.
    pub(super) fn flat(&self, v: &Vector3<f64>) -> Point {
        Point(self.right.dot(v), -self.up.dot(v))
    }

    /// How near to the eye.
    pub(super) fn depth(&self, v: &Vector3<f64>) -> f64 {
        self.near.dot(v)
    }
}

/// A projection with its place and scale on the sheet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stage {
    pub(super) eye: Eye,
    /// Pixels a mm.
    pub(super) scale: f64,
    /// Where the frame's origin lies on the sheet.
    origin: Point,
    /// The lowest place on the sheet that is drawn on.
    pub(super) bottom: f64,
}

impl Stage {
    /// The stage on which all `points` fit between two corners, centred along the sheet.
    pub(super) fn fitting(eye: Eye, points: &[Point3<f64>], from: Point, to: Point) -> Stage {
        let flat: Vec<Point> = points.iter().map(|p| eye.flat(&p.coords)).collect();
        let range = |pick: fn(&Point) -> f64| {
            let values = || flat.iter().map(pick);
            (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
        };
        let (x, y) = (range(|p| p.0), range(|p| p.1));
        let wide = (to.0 - from.0) / (x.1 - x.0).max(1e-9);
        let scale = wide.min((to.1 - from.1) / (y.1 - y.0).max(1e-9));
        let middle = (from.0 + to.0 - scale * (x.0 + x.1)) / 2.0;
        Stage {
            eye,
            scale,
            origin: Point(middle, from.1 - scale * y.0),
            bottom: from.1 + scale * (y.1 - y.0),
        }
    }

    /// Where a point of the joint's frame stands.
    pub(super) fn at(&self, p: &Point3<f64>) -> Point {
        self.turned(&p.coords, self.origin)
    }

    /// Where a step from a place on the sheet leads.
    pub(super) fn turned(&self, v: &Vector3<f64>, from: Point) -> Point {
        let flat = self.eye.flat(v);
        Point(from.0 + self.scale * flat.0, from.1 + self.scale * flat.1)
    }
}

/// A smooth curve in space through points.
#[derive(Debug, Clone)]
pub(super) struct Line {
    points: Vec<Point3<f64>>,
    /// A third of the way along the tangent to the next and from the last point,
    /// for each piece.
    arms: Vec<[Vector3<f64>; 2]>,
}

impl Line {
    /// Each coordinate a spline over the length of the polygon through the points.
    pub(super) fn through(points: Vec<Point3<f64>>) -> Line {
        let mut at = vec![0.0; points.len()];
        for i in 1..points.len() {
            at[i] = at[i - 1] + (points[i] - points[i - 1]).norm().max(1e-9);
        }
        let splines: [Spline; 3] = std::array::from_fn(|axis| {
            let values: Vec<f64> = points.iter().map(|p| p[axis]).collect();
            Spline::through(&at, &values)
        });
        let slope = |t: f64| Vector3::from_fn(|axis, _| splines[axis].at(t).first);
        let arms = at.windows(2).map(|t| {
            let third = (t[1] - t[0]) / 3.0;
            [slope(t[0]) * third, slope(t[1]) * third]
        });
        Line { arms: arms.collect(), points }
    }

    /// The same with corners at the points and straight lines between.
    pub(super) fn straight(points: Vec<Point3<f64>>) -> Line {
        let arms = points.windows(2).map(|p| [(p[1] - p[0]) / 3.0; 2]);
        Line { arms: arms.collect(), points }
    }

    /// The points that the curve meets.
    pub(super) fn points(&self) -> &[Point3<f64>] {
        &self.points
    }

    /// The curve on a stage. A cubic seen in parallel projection is a cubic, so
    /// nothing is lost.
    pub(super) fn steps(&self, stage: &Stage) -> Vec<Step> {
        let first = self.points.first().map(|p| Step::Move(stage.at(p)));
        first.into_iter().chain(self.onward(stage)).collect()
    }

    fn onward<'a>(&'a self, stage: &'a Stage) -> impl Iterator<Item = Step> + 'a {
        self.points
            .windows(2)
            .zip(&self.arms)
            .map(|(p, [a, b])| Step::Cubic(stage.at(&(p[0] + a)), stage.at(&(p[1] - b)), stage.at(&p[1])))
    }

    /// The outline of the surface between this curve and another over the same stations.
    pub(super) fn strip(&self, other: &Line, stage: &Stage) -> Vec<Step> {
        let mut steps = self.steps(stage);
        let back: Vec<Step> = other.backward(stage).collect();
        steps.extend(other.points.last().map(|p| Step::Line(stage.at(p))));
        steps.extend(back);
        steps
    }

    fn backward<'a>(&'a self, stage: &'a Stage) -> impl Iterator<Item = Step> + 'a {
        self.points
            .windows(2)
            .zip(&self.arms)
            .rev()
            .map(|(p, [a, b])| Step::Cubic(stage.at(&(p[1] - b)), stage.at(&(p[0] + a)), stage.at(&p[0])))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_eye_sees_square_and_true() {
        for (turn, tilt) in [(0.0, 0.0), (18.0, 42.0), (-70.0, 85.0), (180.0, 30.0)] {
            let eye = Eye::of(View { turn, tilt });
            let [a, b, c] = [eye.right, eye.up, eye.near];
            for (u, v, dot) in [(a, a, 1.0), (b, b, 1.0), (c, c, 1.0), (a, b, 0.0), (b, c, 0.0), (c, a, 0.0)]
            {
                assert!((u.dot(&v) - dot).abs() < 1e-12);
            }
        }
        let side = Eye::of(View { turn: 0.0, tilt: 0.0 });
        assert_eq!(side.flat(&Vector3::x()), Point(1.0, 0.0));
        assert_eq!(side.flat(&Vector3::z()), Point(0.0, -1.0));
        assert!((side.depth(&Vector3::y()) - 1.0).abs() < 1e-12);
        // From above, what is nearer to the maker is lower on the sheet.
        let above = Eye::of(View { turn: 0.0, tilt: 90.0 }).flat(&Vector3::y());
        assert!(above.0.abs() < 1e-12 && (above.1 - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_stage_fits_and_keeps_to_its_corners() {
        let points = [(0.0, 0.0, 0.0), (400.0, 30.0, 10.0), (200.0, -20.0, 150.0)];
        let points = points.map(|(x, y, z)| Point3::new(x, y, z));
        for view in [View::default(), View { turn: 60.0, tilt: 10.0 }] {
            let stage = Stage::fitting(Eye::of(view), &points, Point(20.0, 50.0), Point(940.0, 350.0));
            for p in points.map(|p| stage.at(&p)) {
                assert!(p.0 >= 20.0 - 1e-9 && p.0 <= 940.0 + 1e-9, "{p:?}");
                assert!(p.1 >= 50.0 - 1e-9 && p.1 <= 350.0 + 1e-9, "{p:?}");
            }
        }
    }

    /// On a helix the curve stays within a thousandth of its radius.
    #[test]
    fn a_line_follows_a_smooth_curve() {
        let helix = |t: f64| Point3::new(50.0 * t, 100.0 * t.cos(), 100.0 * t.sin());
        let line = Line::through((0..=20).map(|i| helix(0.15 * f64::from(i))).collect());
        for (p, [a, b]) in line.points.windows(2).zip(&line.arms) {
            let middle =
                (p[0].coords + (p[0] + a).coords * 3.0 + (p[1] - b).coords * 3.0 + p[1].coords) / 8.0;
            assert!((middle.y.hypot(middle.z) - 100.0).abs() < 0.1, "{middle}");
        }
    }
}
