//! Where a rib comes to rest: the forward problem.
//!
//! A rib that is pushed to the joint and down on the mold, lightly, settles
//! where mean gap + mean seat + 1/4 mean lift is least and nothing passes
//! through anything: over poses `P` of a rib with edge `e` and spring `f`,
//!
//! `min sum_i (g_i + h_i + l_i / 4) / n` with `g_i = gap_i(P) - e_i >= 0`, `h_i = seat_i(P) >= 0`,
//! `l_i = lift_i(P) + f_i >= 0`, the pose's own clearances as [`Joint::shift`] tells them.
//!
//! The weights are an assumption (no source): a rib is pushed to its neighbour and held down at
//! that edge, less so at the other. Linear in small motions, so a linear program, solved again
//! around the new pose until nothing moves. The stations whose gap carries, by its multiplier, are
//! the bearings.

pub mod elastic;
mod leverage;
pub mod press;
mod push;
mod seated;
pub mod wood;

use nalgebra::{DVector, Vector6};

pub use leverage::{Leverage, leverage};
pub use push::PushHome;
pub use seated::Seated;
pub use wood::Wood;

use crate::joint::{Clearances, Joint, Pose};
use crate::maths::program::{Failure, Minimum, Program};
use crate::maths::simplex::Tracker;

/// A rib as it lies at rest.
#[derive(Debug, Clone)]
pub struct Rest {
    /// Its pose.
    pub pose: Pose,
    /// Gap, seat and lift at each station, mm, never below zero but for rounding.
    pub clearances: Vec<Clearances>,
    /// Stations at which the joint edge bears against the neighbour: where it carries, or could
    /// if more touches than holds the rib.
    pub bearings: Vec<usize>,
}

/// Weights of mean gap, mean seat and mean lift in the push.
const PUSH: Clearances = Clearances { gap: 1.0, seat: 1.0, lift: 0.25 };
/// A pose has settled when nothing moves by more than this, mm.
const SETTLED: f64 = 1e-6;
/// A station bears when it carries at least this share of the push to the joint.
const BEARS: f64 = 1e-4;
/// Touching places that hold a rib; where there are more, which of them carry is open.
const HOLD: usize = 6;

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
    let mut carried = Vec::new();
    let mut tracker = Tracker::default();
    for _ in 0..12 {
        let Minimum { x, multipliers } = tracker.minimise(&linearised(joint, edge, spring, &pose, &units))?;
        pose = Pose::from_vector(&(pose.vector() + units.pose(&x)));
        carried = multipliers.into_iter().step_by(3).collect();
        if x.amax() < SETTLED {
            break;
        }
    }
    let clearances = clearances_of(joint, edge, spring, &pose);
    if touching(&clearances) > HOLD {
        let at_rest = linearised(joint, edge, spring, &pose, &units);
        carried = most_carried(&at_rest).unwrap_or(carried);
    }
    let bearings = (0..joint.len()).filter(|i| carried[*i] > BEARS).collect();
    Ok(Rest { pose, clearances, bearings })
}

/// How many clearances are closed.
fn touching(clearances: &[Clearances]) -> usize {
    let all = clearances.iter().flat_map(|c| [c.gap, c.seat, c.lift]);
    all.filter(|c| c.abs() < SETTLED).count()
}

/// The most that the gap at each station can carry.
///
/// Where more touches than holds the rib, many shares balance the push, and a corner names one
/// of them. By how much a little more wood at a place would raise the rib is the most that it
/// carries in any of them: the value of a linear program changes with a right side by the
/// largest of that row's multipliers (textbook; from memory). So each place that touches is in
/// turn made to stand proud by 1.
fn most_carried(at_rest: &Program) -> Result<Vec<f64>, Failure> {
    let touching: Vec<usize> = (0..at_rest.len()).filter(|j| at_rest.sides[*j].abs() < SETTLED).collect();
    let mut held = Program::new(at_rest.g.len());
    (held.h, held.g) = (at_rest.h.clone(), at_rest.g.clone());
    touching.iter().for_each(|&j| held.hard(&at_rest.row(j), 0.0));
    let mut tracker = Tracker::default();
    tracker.minimise(&held)?;
    let mut most = vec![0.0; at_rest.len() / 3];
    for (k, &j) in touching.iter().enumerate().filter(|(_, j)| *j % 3 == 0) {
        held.sides[k] = -1.0;
        most[j / 3] = tracker.follow(&held)?.multipliers[k];
        held.sides[k] = 0.0;
    }
    Ok(most)
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
            program.hard((-slope).as_slice(), clearance);
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
