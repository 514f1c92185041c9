//! The next slice: the least wood that brings joint and outer edge home.
//!
//! Over the rib's final pose P and in this order: no gap wider than the aim,
//! outer and joint edge down within theirs, least wood. Wood comes off where
//! the edge stands beyond the final pose's surface; nowhere is it put on, and
//! nowhere more comes off than the spare width. A convex program once the pose
//! is linearised, solved again around the new pose until it settles.
//!
//! Over the pose `P`, with the rib's edge `e` and spring `f`, shares `s` of the edge's length, and
//! the height `d_i = e_i - gap_i(P)` of the edge over the surface aimed at, the slice is
//! `r_i = max(0, d_i)` and the gap left `max(0, -d_i)`:
//!
//! `min sum_i s_i (r_i + 1000 max(0, -d_i - gap aim) + 20 max(0, l_i - lift aim) + 20 max(0, h_i -
//! lift aim / 10))` with `d_i <= spare_i`, `h_i = seat_i(P) >= 0`, `l_i = lift_i(P) + f_i >= 0`.
//!
//! The costs stand for the order of the aims; that of lift was measured on the practice bench.

mod chances;

pub use chances::{Chances, chances, draws};

use nalgebra::{DVector, Vector6};
use rayon::prelude::*;

use crate::joint::{Clearance, Clearances, Joint, Pose};
use crate::maths::program::{Failure, Program};
use crate::maths::simplex::Tracker;
use crate::seat::Units;

/// The lift that the advice's slice leaves, as a share of the tolerance. A lift is dear:
/// for 15 ribs 1 mm of it costs 4.8 mm of slice. So it is not closed but brought well
/// within the tolerance.
pub const LIFT_AIM: f64 = 0.36;

/// What the slice is to reach.
#[derive(Debug, Clone)]
pub struct Aims {
    /// Widest gap that may stay, mm.
    pub gap: f64,
    /// Widest lift and seat that may stay, mm; `None` where no lift was ever
    /// read, so that the turn of the rib is unknown and only the joint counts.
    pub lift: Option<f64>,
    /// Most wood that may still come off at each station, mm; infinite without bound.
    pub spare: Vec<f64>,
}

/// The least-wood slice for one edge and spring.
#[derive(Debug, Clone)]
pub struct Slice {
    /// The rib's pose once the slice is taken and the rib pushed home.
    pub pose: Pose,
    /// Wood to come off at each station, mm, never negative.
    pub remove: Vec<f64>,
    /// Height of the edge over the surface aimed at, mm; negative in hollows.
    pub height: Vec<f64>,
    /// Gap left at each station, mm.
    pub gap: Vec<f64>,
    /// Seat left at each station, mm.
    pub seat: Vec<f64>,
    /// Lift left at each station, mm.
    pub lift: Vec<f64>,
}

/// Costs of a mm of gap and of lift beyond the aims, against a mm of wood:
/// far enough apart that wood is never saved at a gap's expense.
const GAP_COST: f64 = 1000.0;
const LIFT_COST: f64 = 20.0;
/// The joint edge is pushed down harder than the outer edge: its aim is this share of the lift's.
const SEAT_SHARE: f64 = 0.1;
/// As many ribs are worth more than one thread.
const MANY: usize = 500;
/// The slice is settled when its pose moves less than this, mm.
const SETTLED: f64 = 1e-6;

/// Finds the least-wood slice; `edge` and `spring` in mm, one a station.
///
/// # Errors
/// A number that is not finite.
pub fn least_wood(
    joint: &Joint,
    edge: &[f64],
    spring: &[f64],
    aims: &Aims,
    start: Pose,
) -> Result<Slice, Failure> {
    let units = Units::of(joint);
    let mut pose = start;
    let mut tracker = Tracker::default();
    for _ in 0..10 {
        let step = tracker.minimise(&linearised(joint, edge, spring, aims, &pose, &units))?.x;
        pose = Pose::from_vector(&(pose.vector() + units.pose(&step)));
        if step.amax() < SETTLED {
            break;
        }
    }
    Ok(Slice::at(joint, edge, spring, pose))
}

impl Slice {
    /// What the least-wood slices of other ribs in the same joint take: one
    /// row a rib, mm. `wood` is this slice's edge and spring, `others` theirs;
    /// they should differ little, since the program is linearised here once.
    pub fn for_others(
        &self,
        joint: &Joint,
        wood: (&[f64], &[f64]),
        others: &[(Vec<f64>, Vec<f64>)],
        aims: &Aims,
    ) -> Vec<Vec<f64>> {
        let units = Units::of(joint);
        let program = linearised(joint, wood.0, wood.1, aims, &self.pose, &units);
        let bare: Vec<_> = (0..joint.len()).map(|i| joint.clearances(&self.pose, i)).collect();
        let mut start = Tracker::default();
        let _ = start.minimise(&program);
        // Each from where this slice stands: what a rib gets depends on no other.
        let own = |program: &mut Program, (edge, spring): &(Vec<f64>, Vec<f64>)| {
            let sides = (0..bare.len()).flat_map(|i| right_sides(&bare[i], edge[i], spring[i], aims, i));
            program.sides.iter_mut().zip(sides).for_each(|(old, side)| *old = side);
            let Ok(minimum) = start.clone().follow(program) else {
                return vec![0.0; joint.len()];
            };
            let pose = Pose::from_vector(&(self.pose.vector() + units.pose(&minimum.x)));
            Slice::at(joint, edge, spring, pose).remove
        };
        if others.len() < MANY {
            let mut program = program;
            return others.iter().map(|rib| own(&mut program, rib)).collect();
        }
        others.par_iter().map_init(|| program.clone(), own).collect()
    }

    /// What a final pose means for the wood.
    fn at(joint: &Joint, edge: &[f64], spring: &[f64], pose: Pose) -> Slice {
        let shifts: Vec<_> = (0..joint.len()).map(|i| joint.clearances(&pose, i)).collect();
        let height: Vec<f64> = shifts.iter().zip(edge).map(|(s, e)| e - s.gap).collect();
        Slice {
            pose,
            remove: height.iter().map(|h| h.max(0.0)).collect(),
            gap: height.iter().map(|h| (-h).max(0.0)).collect(),
            seat: shifts.iter().map(|s| s.seat).collect(),
            lift: shifts.iter().zip(spring).map(|(s, f)| s.lift + f).collect(),
            height,
        }
    }
}

/// The convex program of the least-wood slice around a pose, for checks against
/// other solvers: its unknowns are the pose's change in [`Units`].
pub fn program(joint: &Joint, edge: &[f64], spring: &[f64], aims: &Aims, pose: &Pose) -> Program {
    linearised(joint, edge, spring, aims, pose, &Units::of(joint))
}

/// The convex program around a pose; unknowns are the pose's six numbers in [`Units`].
fn linearised(
    joint: &Joint,
    edge: &[f64],
    spring: &[f64],
    aims: &Aims,
    pose: &Pose,
    units: &Units,
) -> Program {
    let mut program = Program::new(6);
    // A trace of stiffness: motions that no reading notices stay small.
    program.h.fill_diagonal(1e-7);
    program.g = DVector::from_column_slice((units.numbers(pose) * 1e-7).as_slice());
    let shares = joint.shares();
    for i in 0..joint.len() {
        let shift = joint.shift(pose, i);
        let row = |of: Clearance| units.scaled(&shift.slope[of].transpose());
        let Clearances { gap, seat, lift } = Clearances::each(row);
        let finite = aims.spare[i].is_finite();
        let mut slopes = vec![(-gap, shares[i]), (gap, GAP_COST * shares[i])];
        slopes.extend(finite.then_some((-gap, f64::INFINITY)));
        if aims.lift.is_some() {
            let hard = |slope: Vector6<f64>| (-slope, f64::INFINITY);
            let soft = |slope: Vector6<f64>| (slope, LIFT_COST * shares[i]);
            slopes.extend([hard(seat), soft(seat), hard(lift), soft(lift)]);
        }
        let sides = right_sides(&shift.value, edge[i], spring[i], aims, i);
        for ((slope, weight), side) in slopes.into_iter().zip(sides) {
            program.soft(slope.as_slice(), side, weight);
        }
    }
    program
}

/// The right sides of a station's rows, in their order, where a pose alone gives `bare`.
fn right_sides(
    bare: &Clearances,
    edge: f64,
    spring: f64,
    aims: &Aims,
    i: usize,
) -> impl Iterator<Item = f64> {
    let (height, lift) = (edge - bare.gap, bare.lift + spring);
    let spare = aims.spare[i].is_finite().then_some(aims.spare[i] - height);
    let down = aims.lift.map(|aim| [bare.seat, SEAT_SHARE * aim - bare.seat, lift, aim - lift]);
    let wood = [-height, height + aims.gap];
    wood.into_iter().chain(spare).chain(down.into_iter().flatten())
}
