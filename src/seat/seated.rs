//! A rib together with its wood as it lies: what pictures and lessons show.

use nalgebra::{Point3, Rotation3, Vector3};

use crate::joint::{Joint, Pose};
use crate::maths::program::Failure;

use super::{Rest, seat};

/// A rib of known wood, pushed home.
#[derive(Debug, Clone)]
pub struct Seated {
    /// Wood beyond the joint surface at each station with the rib lying right, mm.
    pub edge: Vec<f64>,
    /// How far the outer edge stands off the mold by itself, mm.
    pub spring: Vec<f64>,
    /// How it lies.
    pub rest: Rest,
}

impl Seated {
    /// Seats a rib; arguments as in [`seat`].
    ///
    /// # Errors
    /// [`Failure`], on numbers that are not finite.
    pub fn new(joint: &Joint, edge: Vec<f64>, spring: Vec<f64>, start: Pose) -> Result<Seated, Failure> {
        let rest = seat(joint, &edge, &spring, start)?;
        Ok(Seated { edge, spring, rest })
    }

    /// The same rib with other wood at its edge, pushed home from where it lies.
    ///
    /// # Errors
    /// [`Failure`], on numbers that are not finite.
    pub fn planed(&self, joint: &Joint, edge: Vec<f64>) -> Result<Seated, Failure> {
        Seated::new(joint, edge, self.spring.clone(), self.rest.pose)
    }

    /// By how much station `i`'s points on the joint edge and on the outer edge
    /// stand away from the joint line and the outer line, mm, in the joint's
    /// frame: pose and wood together.
    pub fn displaced(&self, joint: &Joint, i: usize) -> [Vector3<f64>; 2] {
        let frame = &joint.frames[i];
        let across = (frame.outer - frame.joint).try_normalize(0.0).unwrap_or_else(Vector3::y);
        let at_joint = moved(joint, &self.rest.pose, &frame.joint) - across * self.edge[i];
        let at_outer = moved(joint, &self.rest.pose, &frame.outer) + frame.lift_normal * self.spring[i];
        [at_joint, at_outer]
    }
}

/// By how much a pose moves a point, mm.
fn moved(joint: &Joint, pose: &Pose, point: &Point3<f64>) -> Vector3<f64> {
    let arm = point - joint.pivot;
    pose.translation + Rotation3::new(pose.rotation) * arm - arm
}
