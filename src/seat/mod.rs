//! Where a rib comes to rest: the forward problem.
//!
//! A rib that is pushed to the joint and down on the mold, lightly, settles
//! where mean gap + mean seat + 1/4 mean lift is least and nothing passes
//! through anything. The stations that then touch are its bearings.

mod leverage;
pub mod press;
mod push;
mod seated;
pub mod wood;

use nalgebra::{DVector, Vector6};

pub use leverage::{Leverage, leverage};
pub use push::Push;
pub use seated::Seated;
pub use wood::Wood;

use crate::joint::{Clearances, Joint, Pose};
use crate::maths::corner::Tracker;
use crate::maths::hinge::{Failure, Program, Row};

/// A rib as it lies at rest.
#[derive(Debug, Clone)]
pub struct Rest {
    /// Its pose.
    pub pose: Pose,
    /// Gap, seat and lift at each station, mm, never below zero but for rounding.
    pub clearances: Vec<Clearances>,
    /// Stations at which the joint edge bears against the neighbour.
    pub bearings: Vec<usize>,
    /// By how much 1 mm more wood at a station raises the pushed-home
    /// measure (mean gap + mean seat + 1/4 mean lift): nonzero where it bears.
    pub leverage: Vec<f64>,
}

/// Weights of mean gap, mean seat and mean lift in the push.
const PUSH: Clearances = Clearances { gap: 1.0, seat: 1.0, lift: 0.25 };
/// A pose has settled when nothing moves by more than this, mm.
const SETTLED: f64 = 1e-6;
/// A station bears when its multiplier is at least this share of an even spread.
const BEARS: f64 = 1e-4;

/// Seats a rib with the given wood.
///
/// `edge` is the wood beyond the joint surface at each station, `spring` how
/// far the outer edge stands off the mold by itself, both in mm with the rib
/// lying right. `start` is where to begin (the zero pose will do).
///
/// # Errors
/// [`Failure`], on numbers that are not finite.
pub fn seat(joint: &Joint, edge: &[f64], spring: &[f64], start: Pose) -> Result<Rest, Failure> {
    let units = Units::of(joint);
    let mut pose = start;
    let mut multipliers = Vec::new();
    let mut tracker = Tracker::default();
    for _ in 0..12 {
        let (step, carried) = tracker.minimise(&linearised(joint, edge, spring, &pose, &units))?;
        pose = Pose::from_vector(&(pose.vector() + units.pose(&step)));
        multipliers = carried;
        if step.amax() < SETTLED {
            break;
        }
    }
    let rest = |carried: &[f64]| rest(joint, edge, spring, pose, carried);
    let found = rest(&multipliers);
    if touching(&found) <= 6 {
        return Ok(found);
    }
    // More touches than holds the rib, and the corner names any six of them. What lies in the
    // middle of all shares that balance names every place that can carry.
    let middle = linearised(joint, edge, spring, &pose, &units).minimise();
    Ok(middle.map_or(found, |m| rest(&m.multipliers)))
}

/// How many clearances are closed.
fn touching(rest: &Rest) -> usize {
    let all = rest.clearances.iter().flat_map(|c| [c.gap, c.seat, c.lift]);
    all.filter(|c| c.abs() < SETTLED).count()
}

fn rest(joint: &Joint, edge: &[f64], spring: &[f64], pose: Pose, multipliers: &[f64]) -> Rest {
    let leverage: Vec<f64> = Clearances::rows(multipliers).iter().map(|carried| carried.gap).collect();
    let bears = |i: &usize| leverage[*i] > BEARS;
    Rest {
        pose,
        clearances: clearances_of(joint, edge, spring, &pose),
        bearings: (0..joint.len()).filter(bears).collect(),
        leverage,
    }
}

/// The clearances of a rib of given wood in a pose, mm.
fn clearances_of(joint: &Joint, edge: &[f64], spring: &[f64], pose: &Pose) -> Vec<Clearances> {
    (0..joint.len()).map(|i| joint.clearances(pose, i).of_wood(edge[i], spring[i])).collect()
}

/// The convex program of the push home around a pose, for checks against other
/// solvers: its unknowns are the pose's change in [`Units`].
pub fn program(joint: &Joint, edge: &[f64], spring: &[f64], pose: &Pose) -> Program {
    linearised(joint, edge, spring, pose, &Units::of(joint))
}

/// The push around a pose: three hard rows a station, in order gap, seat, lift.
fn linearised(joint: &Joint, edge: &[f64], spring: &[f64], pose: &Pose, units: &Units) -> Program {
    let mut program = Program::new(6);
    // A trace of stiffness: motions that no clearance notices stay small.
    program.h.fill_diagonal(1e-9);
    let share = 1.0 / joint.len().max(1) as f64;
    for i in 0..joint.len() {
        let shift = joint.shift(pose, i);
        for (of, clearance) in shift.value.of_wood(edge[i], spring[i]).into_pairs() {
            let slope = units.scaled(&shift.slope[of].transpose());
            program.g += DVector::from_column_slice(slope.as_slice()) * (PUSH[of] * share);
            program.rows.push(Row::hard(slope.iter().map(|v| -v), clearance));
        }
    }
    program
}

/// Unknowns in which a pose of size 1 moves wood by about 1 mm.
#[derive(Debug, Clone, Copy)]
pub struct Units {
    arm: f64,
}

impl Units {
    /// Rotations count in mm at half the joint's length from the pivot.
    pub fn of(joint: &Joint) -> Units {
        Units { arm: (joint.arc_length() / 2.0).max(1.0) }
    }

    /// A pose's six numbers from the program's unknowns (the first six of them).
    pub fn pose(&self, x: &DVector<f64>) -> Vector6<f64> {
        Vector6::from_fn(|r, _| if r < 3 { x[r] } else { x[r] / self.arm })
    }

    /// The program's unknowns from a pose.
    pub fn numbers(&self, pose: &Pose) -> Vector6<f64> {
        let v = pose.vector();
        Vector6::from_fn(|r, _| if r < 3 { v[r] } else { v[r] * self.arm })
    }

    /// Derivatives by the program's unknowns from derivatives by the pose.
    pub fn scaled(&self, slope: &Vector6<f64>) -> Vector6<f64> {
        Vector6::from_fn(|r, _| if r < 3 { slope[r] } else { slope[r] / self.arm })
    }
}
