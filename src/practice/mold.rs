//! An invented bowl's mold, exactly: its surface, its joint lines, distances.

use nalgebra::{Point3, Vector3};

/// A mold: cross sections are half ellipses over an outline.
///
/// Global axes: x from neck end to tail end, Y across the opening, Z its depth.
#[derive(Debug, Clone, PartialEq)]
pub struct Mold {
    /// Length of the bowl, mm.
    pub length: f64,
    /// Largest half width, mm.
    pub half_width: f64,
    /// Where the outline is widest: 1 in the middle, more towards the tail.
    pub belly: f64,
    /// How bluntly the outline ends: 0.5 as an ellipse, 1 as a sine.
    pub bluntness: f64,
    /// Depth over half width in the middle: 1 is round, less is flattened.
    pub depth: f64,
    /// Change of that ratio from the middle to the ends.
    pub depth_change: f64,
    /// Number of ribs over the half round.
    pub ribs: usize,
}

impl Mold {
    /// Half width at x and its slope.
    fn outline(&self, x: f64) -> (f64, f64) {
        let u = (x / self.length).clamp(1e-9, 1.0 - 1e-9);
        let angle = std::f64::consts::PI * libm::pow(u, self.belly);
        let sine = libm::sin(angle).max(1e-12);
        let value = self.half_width * libm::pow(sine, self.bluntness);
        let inner = std::f64::consts::PI * self.belly * libm::pow(u, self.belly - 1.0) / self.length;
        (value, value * self.bluntness * libm::cos(angle) / sine * inner)
    }

    /// Depth ratio at x and its slope.
    fn ratio(&self, x: f64) -> (f64, f64) {
        let v = 2.0 * x / self.length - 1.0;
        (self.depth + self.depth_change * v * v, 4.0 * self.depth_change * v / self.length)
    }

    /// Opening angle of joint `j` (0 to `ribs`), in the ellipse's parameter.
    fn parameter(&self, j: usize) -> f64 {
        std::f64::consts::PI * j as f64 / self.ribs as f64
    }

    /// The point of joint line `j` (0 to `ribs`) at x, mm.
    pub fn joint_point(&self, j: usize, x: f64) -> Point3<f64> {
        let (half, ratio) = (self.outline(x).0, self.ratio(x).0);
        let (sine, cosine) = libm::sincos(self.parameter(j));
        Point3::new(x, half * cosine, half * ratio * sine)
    }

    /// How far a point's parameter is past joint line `j`, radians.
    fn past(&self, j: usize, p: &Point3<f64>) -> f64 {
        let turn = libm::atan2(p.z / self.ratio(p.x).0, p.y) - self.parameter(j);
        turn - std::f64::consts::TAU * (turn / std::f64::consts::TAU).round()
    }

    /// Implicit height over the surface and its gradient; zero on the mold.
    fn implicit(&self, p: &Point3<f64>) -> (f64, Vector3<f64>) {
        let (half, half_slope) = self.outline(p.x);
        let (ratio, ratio_slope) = self.ratio(p.x);
        let deep = p.z / ratio;
        let radius = libm::hypot(p.y, deep).max(1e-9);
        let by_x = -deep * deep * ratio_slope / (ratio * radius) - half_slope;
        (radius - half, Vector3::new(by_x, p.y / radius, deep / (ratio * radius)))
    }

    /// Signed distance to the mold, mm (positive outside), and the outward unit normal there.
    pub fn distance(&self, p: &Point3<f64>) -> (f64, Vector3<f64>) {
        // The foot slides along the surface until the way to the point is square to it.
        let mut foot = *p;
        let mut normal = Vector3::z();
        for _ in 0..40 {
            let (height, gradient) = self.implicit(&foot);
            let size = gradient.norm();
            normal = gradient / size;
            let way = p - foot;
            let step = (way - normal * way.dot(&normal)) - normal * (height / size);
            foot += step;
            if step.norm() < 1e-9 {
                break;
            }
        }
        ((p - foot).dot(&normal), normal)
    }

    /// The point on the mold and on joint line `j`'s sheet that lies in the
    /// plane through `p` spanned by the unit vectors `y` and `n`, mm.
    pub fn across(&self, j: usize, p: &Point3<f64>, y: &Vector3<f64>, n: &Vector3<f64>) -> Point3<f64> {
        let width = (self.joint_point(j, p.x) - p).norm();
        let mut at = (width, 0.0);
        let point = |at: (f64, f64)| p + y * at.0 - n * at.1;
        let misses = |at: (f64, f64)| {
            let q = point(at);
            (self.implicit(&q).0, self.past(j, &q) * width.max(1.0))
        };
        for _ in 0..30 {
            let h = 1e-6;
            let here = misses(at);
            let (right, down) = (misses((at.0 + h, at.1)), misses((at.0, at.1 + h)));
            let (a, b) = ((right.0 - here.0) / h, (down.0 - here.0) / h);
            let (c, d) = ((right.1 - here.1) / h, (down.1 - here.1) / h);
            let det = a * d - b * c;
            let step = ((here.0 * d - b * here.1) / det, (a * here.1 - here.0 * c) / det);
            at = (at.0 - step.0, at.1 - step.1);
            if libm::hypot(step.0, step.1) < 1e-10 {
                break;
            }
        }
        point(at)
    }
}
