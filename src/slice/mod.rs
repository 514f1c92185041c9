//! The next slice: the least wood that brings joint and outer edge home.
//!
//! Over the rib's final pose P and in this order: no gap wider than the aim,
//! outer and joint edge down within theirs, least wood. Wood comes off where
//! the edge stands beyond the final pose's surface; nowhere is it put on, and
//! nowhere more comes off than the spare width. A convex program once the pose
//! is linearised, solved again around the new pose until it settles.

mod careful;

pub use careful::{Chances, chances, draws};

use nalgebra::{DVector, Vector6};

use crate::joint::{Joint, Pose};
use crate::maths::corner::Tracker;
use crate::maths::hinge::{Failure, Program, Row};
use crate::seat::Units;

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
        let (step, _) = tracker.minimise(&linearised(joint, edge, spring, aims, &pose, &units))?;
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
        let program =
            |edge: &[f64], spring: &[f64]| linearised(joint, edge, spring, aims, &self.pose, &units);
        let mut tracker = Tracker::default();
        let _ = tracker.minimise(&program(wood.0, wood.1));
        let mut own = |(edge, spring): &(Vec<f64>, Vec<f64>)| {
            let Ok((step, _)) = tracker.minimise(&program(edge, spring)) else {
                return vec![0.0; joint.len()];
            };
            let pose = Pose::from_vector(&(self.pose.vector() + units.pose(&step)));
            Slice::at(joint, edge, spring, pose).remove
        };
        others.iter().map(&mut own).collect()
    }

    /// What a final pose means for the wood.
    fn at(joint: &Joint, edge: &[f64], spring: &[f64], pose: Pose) -> Slice {
        let shifts: Vec<_> = (0..joint.len()).map(|i| joint.clearance(&pose, i)).collect();
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
        let row = |kind: usize| units.scaled(&shift.slope.row(kind).transpose());
        let (gap, seat, lift) = (row(0), row(1), row(2));
        let height = edge[i] - shift.value.gap;
        let rows = &mut program.rows;
        rows.push(Row::soft(list(-gap), -height, shares[i]));
        rows.push(Row::soft(list(gap), height + aims.gap, GAP_COST * shares[i]));
        if aims.spare[i].is_finite() {
            rows.push(Row::hard(list(-gap), aims.spare[i] - height));
        }
        if let Some(aim) = aims.lift {
            for (slope, now, aim) in
                [(seat, shift.value.seat, SEAT_SHARE * aim), (lift, shift.value.lift + spring[i], aim)]
            {
                rows.push(Row::hard(list(-slope), now));
                rows.push(Row::soft(list(slope), aim - now, LIFT_COST * shares[i]));
            }
        }
    }
    program
}

fn list(v: Vector6<f64>) -> Vec<f64> {
    v.as_slice().to_vec()
}
