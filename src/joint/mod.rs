//! The joint's frame: curve, directions, and how a rigid motion of the rib
//! shows in overlap, seat and lift.
//!
//! Right-handed: `x` along the chord from the neck end to the tail end, `z` in
//! the joint plane outwards (the rise), `y` the joint plane's normal, into the
//! new rib. Millimetres and radians throughout.
//!
//! The mold's normal at the outer line is square to that line. Leaning the joint line's normal
//! over by the outer bevel would leave it out of square where the width changes quickly: errors
//! of lift under motion of 0.03 mm, not 0.014.

mod curve;
mod motion;

pub use crate::job::{Clearance, Clearances};
pub use curve::JointCurve;
pub use motion::{Pose, Shift};

use nalgebra::{Point3, Vector3};

use crate::job::{Angle, Job, Mold};

/// What the model needs to know at one station.
#[derive(Debug, Clone)]
pub struct Frame {
    /// The joint point on the joint line.
    pub joint: Point3<f64>,
    /// The outer point, one width across from the joint point.
    pub outer: Point3<f64>,
    /// Unit tangent of the joint line, towards the tail end.
    pub tangent: Vector3<f64>,
    /// Unit tangent of the outer line.
    pub outer_tangent: Vector3<f64>,
    /// Outward unit normal of the mold at the joint line.
    pub seat_normal: Vector3<f64>,
    /// Outward unit normal of the mold at the outer line.
    pub lift_normal: Vector3<f64>,
    /// Cosine of the bevel: an overlap along the rib is this much less square to the joint.
    pub cos_bevel: f64,
    /// Curvature of the joint line in its plane, 1/mm, positive where the mold is convex.
    pub along_curvature: f64,
    /// Curvature of the mold across the rib, 1/mm; 0 on a facet.
    pub across_curvature: f64,
    /// Arc length from the first station.
    pub arc: f64,
}

/// A joint with its stations, ready for computing.
#[derive(Debug, Clone)]
pub struct Joint {
    /// One frame a station, in order.
    pub frames: Vec<Frame>,
    /// Every rotation turns about this point: mean x, 0, mean z.
    pub pivot: Point3<f64>,
    /// Whether rises were measured; without them the joint line is taken as straight.
    pub has_rise: bool,
}

impl Joint {
    /// The joint of a job. The job's stations are in order with growing `along`.
    pub fn of(job: &Job) -> Joint {
        let curve = JointCurve::of(job);
        let mut frames: Vec<Frame> = (0..job.stations.len()).map(|i| frame(job, &curve, i)).collect();
        follow_outer_line(&mut frames);
        let count = frames.len().max(1) as f64;
        let mean = |f: fn(&Frame) -> f64| frames.iter().map(f).sum::<f64>() / count;
        let pivot = Point3::new(mean(|f| f.joint.x), 0.0, mean(|f| f.joint.z));
        Joint { frames, pivot, has_rise: job.stations.iter().any(|s| s.rise.is_some()) }
    }

    /// Number of stations.
    pub fn len(&self) -> usize {
        self.frames.len()
    }

    /// True without stations.
    pub fn is_empty(&self) -> bool {
        self.frames.is_empty()
    }

    /// Length of the joint line between the end stations, mm.
    pub fn arc_length(&self) -> f64 {
        self.frames.last().map_or(0.0, |f| f.arc)
    }

    /// Each station's share of the joint's length, summing to 1: weights of a mean over the edge.
    pub fn shares(&self) -> Vec<f64> {
        let n = self.len();
        if n < 2 || self.arc_length() <= 0.0 {
            return vec![1.0 / n.max(1) as f64; n];
        }
        let arc = |i: usize| self.frames[i].arc;
        let half = |i: usize| (arc((i + 1).min(n - 1)) - arc(i.saturating_sub(1))) / 2.0;
        (0..n).map(|i| half(i) / self.arc_length()).collect()
    }
}

/// The frame of a station with bevel `a`, width `w`, rise `z` and departure `c` from the plane:
///
/// - joint point `p = (x, c, z)`, outer point `q = p + w u`
/// - along the rib, across: `u = cos a y - sin a n`, `n` the outward normal of the line in its plane
/// - the mold's normals, at the joint line `k = sin v y + cos v n`, at the outer line
///   `m = sin b y + cos b n`
///
/// where the inner bevel `v` and the outer bevel `b`, if left out, are 0 and `2 a` on a round mold
/// (its cross-section is an arc over the angle `2 a`, whose chord is the rib), `a` and `a` on a
/// faceted one (the facet is the rib). Over the width a round mold turns by `b - v`, so that its
/// curvature across is `(b - v) / w`. Plane geometry (no source).
fn frame(job: &Job, curve: &JointCurve, i: usize) -> Frame {
    let station = &job.stations[i];
    let at = curve.at_station(i);
    let (tangent, outward) = (at.tangent(), at.outward());
    let (sin_a, cos_a) = station.bevel.sin_cos();
    let inner = station.inner_bevel.unwrap_or(match job.mold {
        Mold::Round => Angle::ZERO,
        Mold::Faceted => station.bevel,
    });
    let outer = station.outer_bevel.unwrap_or(match job.mold {
        Mold::Round => 2.0 * station.bevel,
        Mold::Faceted => station.bevel,
    });
    let lean = |angle: Angle| {
        let (sin, cos) = angle.sin_cos();
        Vector3::y() * sin + outward * cos
    };
    let joint = Point3::new(at.x, station.out_of_plane.unwrap_or(0.0), at.z);
    let across = Vector3::y() * cos_a - outward * sin_a;
    let across_curvature = match job.mold {
        Mold::Round => (outer - inner).in_radians() / station.width,
        Mold::Faceted => 0.0,
    };
    Frame {
        joint,
        outer: joint + across * station.width,
        tangent,
        outer_tangent: tangent,
        seat_normal: lean(inner),
        lift_normal: lean(outer),
        cos_bevel: cos_a,
        along_curvature: at.curvature,
        across_curvature,
        arc: at.arc,
    }
}

/// Makes the mold's normal at the outer line square to that line.
///
/// Leaning the joint line's normal over by the outer bevel alone leaves it up
/// to a hundredth out of square where the width changes quickly, which a
/// motion of 5 mm along the rib turns into 0.03 mm of lift.
fn follow_outer_line(frames: &mut [Frame]) {
    let points: Vec<Point3<f64>> = frames.iter().map(|f| f.outer).collect();
    for (frame, tangent) in frames.iter_mut().zip(curve::tangents(&points)) {
        let lean = frame.lift_normal - tangent * frame.lift_normal.dot(&tangent);
        frame.outer_tangent = tangent;
        frame.lift_normal = lean.normalize();
    }
}
