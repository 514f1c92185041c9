//! The push home around one pose, for many ribs that differ little.

use nalgebra::DVector;

use crate::joint::{Clearance, Joint, Pose};
use crate::maths::corner::Tracker;
use crate::maths::hinge::{Failure, Program};

use super::{Units, linearised};

/// A push home, linearised around a pose near rest and ready to be repeated
/// for other wood in the same joint.
#[derive(Debug, Clone)]
pub struct Push<'a> {
    joint: &'a Joint,
    pose: Pose,
    units: Units,
    program: Program,
    /// Clearances in the pose of a rib without edge or spring: gap, seat, lift.
    bare: Vec<[f64; 3]>,
    tracker: Tracker,
}

impl<'a> Push<'a> {
    /// Prepares the push around `pose`, starting from one rib's wood (mm).
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn around(joint: &'a Joint, edge: &[f64], spring: &[f64], pose: Pose) -> Result<Push<'a>, Failure> {
        let units = Units::of(joint);
        let program = linearised(joint, edge, spring, &pose, &units);
        let mut tracker = Tracker::default();
        tracker.minimise(&program)?;
        let bare = |i: usize| {
            let c = joint.clearance(&pose, i);
            [c.gap, c.seat, c.lift]
        };
        let bare = (0..joint.len()).map(bare).collect();
        Ok(Push { joint, pose, units, program, bare, tracker })
    }

    /// How strongly each clearance of a rib carries the push when it rests:
    /// one row a station, in order gap, seat, lift; zero where it does not
    /// touch. The gaps' shares sum to 1.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn carrying(&mut self, edge: &[f64], spring: &[f64]) -> Result<Vec<[f64; 3]>, Failure> {
        let (_, multipliers) = self.solve(edge, spring)?;
        Ok(multipliers.chunks_exact(3).map(|c| [c[0], c[1], c[2]]).collect())
    }

    /// A rib's clearances at rest, mm; edge and spring in mm, one entry a station.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn rest(&mut self, edge: &[f64], spring: &[f64]) -> Result<Vec<Clearance>, Failure> {
        let (step, _) = self.solve(edge, spring)?;
        let pose = Pose::from_vector(&(self.pose.vector() + self.units.pose(&step)));
        let at = |i: usize| {
            let c = self.joint.clearance(&pose, i);
            Clearance { gap: c.gap - edge[i], seat: c.seat, lift: c.lift + spring[i] }
        };
        Ok((0..self.joint.len()).map(at).collect())
    }

    /// Step from the pose to rest, and the multipliers there.
    fn solve(&mut self, edge: &[f64], spring: &[f64]) -> Result<(DVector<f64>, Vec<f64>), Failure> {
        for (i, bare) in self.bare.iter().enumerate() {
            self.program.rows[3 * i].b = bare[0] - edge[i];
            self.program.rows[3 * i + 2].b = bare[2] + spring[i];
        }
        self.tracker.minimise(&self.program)
    }
}
