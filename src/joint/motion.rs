//! How a rigid motion of the rib shows in overlap, seat and lift.
//!
//! A pose is a translation `T` and a rotation vector `w` about the pivot `P0`; it moves a point `P`
//! by `d(P) = T + (R(w) - 1)(P - P0)`, `R` exact. At a station with joint point `p`, outer point
//! `q`, bevel `a` and the mold's normals `k` and `m` there:
//!
//! - `gap  = y . d(p) / cos a`
//! - `seat = k . d(p) + (ds^2 / rs + du^2 / ru) / 2`, with the parts `ds` of `d(p)` along the edge
//!   and `du` across it, `rs` the radius of the rise curve, `ru = w / (b - v)` the mold's across
//!   (endless on a facet)
//! - `lift = m . d(q) + ` the same at `q`
//!
//! The squares: a point that slides by `d` in the tangent plane of a sphere or cylinder of radius
//! `r` stands `d^2 / 2 r` off it, to second order (a circle's sagitta, textbook).

use nalgebra::{Matrix3, Point3, Rotation3, RowVector6, SMatrix, Vector3, Vector6};

use super::{Clearances, Frame, Joint};

/// A pose of the rib: a translation in mm and a rotation vector in radians
/// about the joint's pivot. Zero is the pose in which a perfect rib lies right.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pose {
    /// Translation, mm.
    pub translation: Vector3<f64>,
    /// Rotation vector, rad.
    pub rotation: Vector3<f64>,
}

impl Pose {
    /// From six numbers: translation, mm, then rotation vector, rad.
    pub fn from_vector(v: &Vector6<f64>) -> Pose {
        Pose { translation: v.fixed_rows::<3>(0).into(), rotation: v.fixed_rows::<3>(3).into() }
    }

    /// The six numbers: translation, mm, then rotation vector, rad.
    pub fn vector(&self) -> Vector6<f64> {
        let (t, w) = (self.translation, self.rotation);
        Vector6::new(t.x, t.y, t.z, w.x, w.y, w.z)
    }
}

/// A pose's clearances at one station with their derivatives by the six numbers of the pose.
#[derive(Debug, Clone, Copy)]
pub struct Shift {
    /// The clearances, mm.
    pub value: Clearances,
    /// Derivatives by translation (mm/mm), then rotation (mm/rad).
    pub slope: Clearances<RowVector6<f64>>,
}

impl Joint {
    /// The clearances that `pose` gives a perfect rib at station `i`, rotations exact, the mold's
    /// curvature to second order.
    pub fn clearances(&self, pose: &Pose, i: usize) -> Clearances {
        self.shift(pose, i).value
    }

    /// The same with derivatives.
    pub fn shift(&self, pose: &Pose, i: usize) -> Shift {
        let frame = &self.frames[i];
        let turn = Rotation3::new(pose.rotation);
        let jacobian = right_jacobian(&pose.rotation);
        let at_joint = self.displacement(pose, &turn, &jacobian, &frame.joint);
        let at_outer = self.displacement(pose, &turn, &jacobian, &frame.outer);
        let (seat, seat_slope) = frame.off_mold(&frame.seat_normal, &frame.tangent, &at_joint);
        let (lift, lift_slope) = frame.off_mold(&frame.lift_normal, &frame.outer_tangent, &at_outer);
        let gap = at_joint.0.y / frame.cos_bevel;
        let gap_slope = at_joint.1.row(1) / frame.cos_bevel;
        Shift {
            value: Clearances { gap, seat, lift },
            slope: Clearances { gap: gap_slope, seat: seat_slope, lift: lift_slope },
        }
    }

    /// Displacement of a point and its 3 by 6 derivative.
    fn displacement(
        &self,
        pose: &Pose,
        turn: &Rotation3<f64>,
        jacobian: &Matrix3<f64>,
        point: &Point3<f64>,
    ) -> (Vector3<f64>, SMatrix<f64, 3, 6>) {
        let arm = point - self.pivot;
        let moved = pose.translation + turn * arm - arm;
        let by_turn = -(turn.matrix() * arm.cross_matrix() * jacobian);
        let mut slope = SMatrix::<f64, 3, 6>::zeros();
        slope.fixed_view_mut::<3, 3>(0, 0).fill_with_identity();
        slope.fixed_view_mut::<3, 3>(0, 3).copy_from(&by_turn);
        (moved, slope)
    }
}

impl Frame {
    /// Distance off the curved mold after a displacement `d`, and its derivative by the pose.
    ///
    /// A rib that slides about the bowl stays on it: the tangential parts of
    /// `d` add half their square over the mold's radius.
    fn off_mold(
        &self,
        normal: &Vector3<f64>,
        tangent: &Vector3<f64>,
        d: &(Vector3<f64>, SMatrix<f64, 3, 6>),
    ) -> (f64, RowVector6<f64>) {
        let across = normal.cross(tangent);
        let (ds, du) = (tangent.dot(&d.0), across.dot(&d.0));
        let bend = (ds * ds * self.along_curvature + du * du * self.across_curvature) / 2.0;
        let direction =
            normal + tangent * (ds * self.along_curvature) + across * (du * self.across_curvature);
        (normal.dot(&d.0) + bend, direction.transpose() * d.1)
    }
}

/// Derivative of `R(w) a` by `w` is `-R [a]x J(w)` with this right Jacobian
/// of the rotation group (closed form, a textbook result; from memory, tested
/// against differences).
fn right_jacobian(w: &Vector3<f64>) -> Matrix3<f64> {
    let angle = w.norm();
    let cross = w.cross_matrix();
    let (first, second) = if angle < 1e-4 {
        (0.5, 1.0 / 6.0)
    } else {
        ((1.0 - libm::cos(angle)) / angle.powi(2), (angle - libm::sin(angle)) / angle.powi(3))
    };
    Matrix3::identity() - cross * first + cross * cross * second
}
