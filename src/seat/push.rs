//! The push home around one pose, for many ribs that differ little.

use crate::joint::{Clearances, Joint, Pose};
use crate::maths::program::{Failure, Minimum, Program};
use crate::maths::simplex::Tracker;

use super::{Units, clearances_of, linearised};

/// A push home, linearised around a pose near rest and ready to be repeated
/// for other wood in the same joint.
#[derive(Debug, Clone)]
pub struct PushHome<'a> {
    joint: &'a Joint,
    pose: Pose,
    units: Units,
    program: Program,
    /// Clearances in the pose of a rib without edge or spring, mm.
    bare: Vec<Clearances>,
    tracker: Tracker,
}

impl<'a> PushHome<'a> {
    /// Prepares the push around `pose`, starting from one rib's wood (mm).
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn around(
        joint: &'a Joint,
        edge: &[f64],
        spring: &[f64],
        pose: Pose,
    ) -> Result<PushHome<'a>, Failure> {
        let units = Units::of(joint);
        let program = linearised(joint, edge, spring, &pose, &units);
        let mut tracker = Tracker::default();
        tracker.minimise(&program)?;
        let bare = (0..joint.len()).map(|i| joint.clearances(&pose, i)).collect();
        Ok(PushHome { joint, pose, units, program, bare, tracker })
    }

    /// How strongly each clearance of a rib carries the push when it rests:
    /// one row a station; zero where it does not touch. The gaps' shares sum to 1.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn carrying(&mut self, edge: &[f64], spring: &[f64]) -> Result<Vec<Clearances>, Failure> {
        Ok(Clearances::rows(&self.solve(edge, spring)?.multipliers))
    }

    /// A rib's clearances at rest, mm; edge and spring in mm, one entry a station.
    ///
    /// # Errors
    /// A number that is not finite.
    pub fn rest(&mut self, edge: &[f64], spring: &[f64]) -> Result<Vec<Clearances>, Failure> {
        let step = self.solve(edge, spring)?.x;
        let pose = Pose::from_vector(&(self.pose.vector() + self.units.pose(&step)));
        Ok(clearances_of(self.joint, edge, spring, &pose))
    }

    /// Step from the pose to rest, and the multipliers there.
    fn solve(&mut self, edge: &[f64], spring: &[f64]) -> Result<Minimum, Failure> {
        let now = self.bare.iter().zip(edge).zip(spring).map(|((bare, e), f)| bare.of_wood(*e, *f));
        let sides = now.flat_map(Clearances::into_pairs).map(|(_, clearance)| clearance);
        self.program.sides.iter_mut().zip(sides).for_each(|(old, side)| *old = side);
        self.tracker.follow(&self.program)
    }
}
