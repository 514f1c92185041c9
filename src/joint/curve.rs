//! The joint line as a smooth curve through the stations.
//!
//! `x` and `z` are each a cubic spline over the length of the polygon through
//! the stations, so that a curve that climbs steeply at its ends needs no
//! special care; a rise over `x` alone would have an endless slope there.

use nalgebra::{Point3, Vector3};

use crate::job::{Job, Measured};
use crate::maths::spline::Spline;

/// The joint line in its plane.
#[derive(Debug, Clone)]
pub struct JointCurve {
    x: Spline,
    z: Spline,
    /// The splines' parameter at each station.
    parameter: Vec<f64>,
    /// Arc length from the first station, at each station.
    arc: Vec<f64>,
}

/// One place on the joint line.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// Distance along the chord, mm.
    pub x: f64,
    /// Rise over the chord, mm.
    pub z: f64,
    /// Direction of the curve: cosine and sine of its climb.
    pub climb: (f64, f64),
    /// Curvature, 1/mm, positive where the line is convex outwards.
    pub curvature: f64,
    /// Arc length from the first station, mm.
    pub arc: f64,
}

impl Place {
    /// Unit tangent towards the tail end.
    pub fn tangent(&self) -> Vector3<f64> {
        Vector3::new(self.climb.0, 0.0, self.climb.1)
    }

    /// Outward unit normal in the joint plane.
    pub fn outward(&self) -> Vector3<f64> {
        Vector3::new(-self.climb.1, 0.0, self.climb.0)
    }
}

impl JointCurve {
    /// The joint line of a job's stations.
    pub fn of(job: &Job) -> JointCurve {
        let rises: Vec<f64> = job.stations.iter().map(|s| s.rise.unwrap_or(0.0)).collect();
        let measured: Vec<f64> = job.stations.iter().map(|s| s.along).collect();
        let along = match job.measured {
            Measured::Along => measured,
            Measured::Arc => along_from_tape(&measured, &rises),
        };
        JointCurve::through(&along, &rises)
    }

    /// The smooth curve through points given along the chord, growing, and over it: two lists of
    /// one length, mm. A cubic spline of either over the length of the chain of chords.
    pub fn through(along: &[f64], rise: &[f64]) -> JointCurve {
        let mut parameter = vec![0.0; along.len()];
        for i in 1..along.len() {
            let step = libm::hypot(along[i] - along[i - 1], rise[i] - rise[i - 1]);
            parameter[i] = parameter[i - 1] + step;
        }
        let x = Spline::through(&parameter, along);
        let z = Spline::through(&parameter, rise);
        let mut curve = JointCurve { x, z, arc: vec![0.0; along.len()], parameter };
        for i in 1..along.len() {
            curve.arc[i] = curve.arc[i - 1] + curve.length(i - 1);
        }
        curve
    }

    /// The curve at station `i`.
    pub fn at_station(&self, i: usize) -> Place {
        let (x, z) = (self.x.at(self.parameter[i]), self.z.at(self.parameter[i]));
        let speed = libm::hypot(x.first, z.first);
        let climb = if speed > 0.0 { (x.first / speed, z.first / speed) } else { (1.0, 0.0) };
        let bend = (z.first * x.second - x.first * z.second) / speed.powi(3);
        let curvature = if speed > 0.0 { bend } else { 0.0 };
        Place { x: x.value, z: z.value, climb, curvature, arc: self.arc[i] }
    }

    /// Length of the piece after station `i`.
    fn length(&self, i: usize) -> f64 {
        let speed = |t: f64| libm::hypot(self.x.at(t).first, self.z.at(t).first);
        integrate(self.parameter[i], self.parameter[i + 1], speed)
    }
}

/// Unit tangents of the smooth curve in space through `points`; the chord
/// direction where there are fewer than two.
pub(super) fn tangents(points: &[Point3<f64>]) -> Vec<Vector3<f64>> {
    let mut parameter = vec![0.0; points.len()];
    for i in 1..points.len() {
        parameter[i] = parameter[i - 1] + (points[i] - points[i - 1]).norm();
    }
    let splines: [Spline; 3] = std::array::from_fn(|axis| {
        let values: Vec<f64> = points.iter().map(|p| p[axis]).collect();
        Spline::through(&parameter, &values)
    });
    let direction = |&t: &f64| Vector3::from_fn(|axis, _| splines[axis].at(t).first);
    let unit = |v: Vector3<f64>| v.try_normalize(0.0).unwrap_or_else(Vector3::x);
    parameter.iter().map(|t| unit(direction(t))).collect()
}

/// Distances along the chord from a tape laid along the edge: the rise as a
/// smooth function of tape length gives the climb's sine, hence dx = cos ds.
fn along_from_tape(tape: &[f64], rise: &[f64]) -> Vec<f64> {
    let z = Spline::through(tape, rise);
    let cosine = |s: f64| (1.0 - z.at(s).first.powi(2)).max(1e-4).sqrt();
    let mut along = tape.to_vec();
    for i in 1..tape.len() {
        along[i] = along[i - 1] + integrate(tape[i - 1], tape[i], cosine);
    }
    along
}

/// Gauss-Legendre with five points on each half (abscissas from memory of the
/// standard table; tests check them).
fn integrate(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    const RULE: [(f64, f64); 3] = [
        (0.0, 128.0 / 225.0),
        (0.538_469_310_105_683, 0.478_628_670_499_366_5),
        (0.906_179_845_938_664, 0.236_926_885_056_189_1),
    ];
    let half = (to - from) / 4.0;
    let piece = |centre: f64| -> f64 {
        let pair = |&(u, w): &(f64, f64)| match u {
            0.0 => w * f(centre),
            u => w * (f(centre - u * half) + f(centre + u * half)),
        };
        RULE.iter().map(pair).sum::<f64>() * half
    };
    piece(from + half) + piece(to - half)
}
