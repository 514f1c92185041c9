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
    /// From well above, where gaps show, and a little beside, where lifts do.
    fn default() -> Self {
        View { turn: 12.0, tilt: 52.0 }
    }
}

/// Parallel projection: what is parallel stays so, and a length drawn in one
/// direction is as long everywhere.
#[derive(Debug, Clone, Copy)]
pub struct Eye {
    right: Vector3<f64>,
    up: Vector3<f64>,
    near: Vector3<f64>,
}

impl Eye {
    /// The eye of a view.
    pub fn of(view: View) -> Eye {
        let (sin_turn, cos_turn) = libm::sincos(view.turn.to_radians());
        let (sin_tilt, cos_tilt) = libm::sincos(view.tilt.to_radians());
        let toward = Vector3::new(-sin_turn, cos_turn, 0.0);
        Eye {
            right: Vector3::new(cos_turn, sin_turn, 0.0),
            up: Vector3::z() * cos_tilt - toward * sin_tilt,
            near: Vector3::z() * sin_tilt + toward * cos_tilt,
        }
    }

    /// A direction on the sheet, y down, still in mm.
    pub fn flat(&self, v: &Vector3<f64>) -> Point {
        Point(self.right.dot(v), -self.up.dot(v))
    }

    /// Towards a light that stands over the eye, to its left.
    pub fn light(&self) -> Vector3<f64> {
        (self.near * 0.85 + self.up * 0.3 - self.right * 0.5).normalize()
    }

    /// How near to the eye.
    pub fn depth(&self, v: &Vector3<f64>) -> f64 {
        self.near.dot(v)
    }
}

/// A projection with its place and scale on the sheet.
#[derive(Debug, Clone, Copy)]
pub struct Stage {
    /// The projection.
    pub eye: Eye,
    /// Pixels a mm.
    pub scale: f64,
    /// Where the frame's origin lies on the sheet.
    origin: Point,
    /// The lowest place on the sheet that is drawn on.
    pub bottom: f64,
}

impl Stage {
    /// The stage on which all `points` fit between two corners, centred along the sheet.
    pub fn fitting(eye: Eye, points: &[Point3<f64>], from: Point, to: Point) -> Stage {
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
    pub fn at(&self, p: &Point3<f64>) -> Point {
        self.turned(&p.coords, self.origin)
    }

    /// Where a step from a place on the sheet leads.
    pub fn turned(&self, v: &Vector3<f64>, from: Point) -> Point {
        let flat = self.eye.flat(v);
        Point(from.0 + self.scale * flat.0, from.1 + self.scale * flat.1)
    }
}

/// A smooth curve in space through points.
#[derive(Debug, Clone)]
pub struct Line {
    points: Vec<Point3<f64>>,
    /// A third of the way along the tangent to the next and from the last point,
    /// for each piece.
    arms: Vec<[Vector3<f64>; 2]>,
}

impl Line {
    /// Each coordinate a spline over the length of the polygon through the points.
    pub fn through(points: Vec<Point3<f64>>) -> Line {
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
    pub fn straight(points: Vec<Point3<f64>>) -> Line {
        let arms = points.windows(2).map(|p| [(p[1] - p[0]) / 3.0; 2]);
        Line { arms: arms.collect(), points }
    }

    /// The points that the curve meets.
    pub fn points(&self) -> &[Point3<f64>] {
        &self.points
    }

    /// The curve on a stage. A cubic seen in parallel projection is a cubic, so
    /// nothing is lost.
    pub fn steps(&self, stage: &Stage) -> Vec<Step> {
        let first = self.points.first().map(|p| Step::Move(stage.at(p)));
        first.into_iter().chain(self.onward(stage)).collect()
    }

    /// A place on the piece after point `i`, a part of the way along, and how the curve runs there.
    pub fn on(&self, i: usize, part: f64) -> (Point3<f64>, Vector3<f64>) {
        let (p, [a, b]) = (&self.points[i..i + 2], self.arms[i]);
        let (t, u) = (part, 1.0 - part);
        let (chord, first, second) = (p[1] - p[0], a, p[1] - p[0] - b);
        let way = first * (3.0 * u * u * t) + second * (3.0 * u * t * t) + chord * (t * t * t);
        let run = first * (3.0 * u * u) + (second - first) * (6.0 * u * t) + (chord - second) * (3.0 * t * t);
        (p[0] + way, run)
    }

    /// The pieces of the curve from one point to another.
    pub fn part(&self, from: usize, to: usize) -> Line {
        Line { points: self.points[from..=to].to_vec(), arms: self.arms[from..to].to_vec() }
    }

    /// The same curve, each point moved by its own step.
    pub fn moved(&self, by: impl Fn(usize) -> Vector3<f64>) -> Line {
        Line::through(self.points.iter().enumerate().map(|(i, p)| p + by(i)).collect())
    }

    fn onward<'a>(&'a self, stage: &'a Stage) -> impl Iterator<Item = Step> + 'a {
        self.points
            .windows(2)
            .zip(&self.arms)
            .map(|(p, [a, b])| Step::Cubic(stage.at(&(p[0] + a)), stage.at(&(p[1] - b)), stage.at(&p[1])))
    }

    /// The outline of the surface between this curve and another over the same stations.
    pub fn strip(&self, other: &Line, stage: &Stage) -> Vec<Step> {
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
