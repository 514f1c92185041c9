//! A rib that gives way: how it lies under a hand, and what presses closed the gaps it leaves.
//!
//! The rib is a frame of beams along its middle line ([`crate::maths::beam`]), a node at each
//! station, sections rigid across the grain: a point `P` of a section whose node moves by `u` and
//! turns by `r` moves by `u + r x (P - node)`. `K` is its stiffness; clearances can't be negative.
//!
//! - [`Spread`]: under a hand of `F` newtons, spread along the rib as the push of rigid seating is
//!   ([`crate::seat`]), it takes the shape of least energy, `min u'Ku/2 + F push(u)`.
//! - [`HeldRib`]: held down on its mold along both edges, by a spread hand or by tacks, so that no
//!   seat and no lift changes, free towards the joint and along it. A gap is pressed closed at its
//!   widest place, the others pass nothing through the neighbour: `min u'Ku/2`, a convex program;
//!   the multiplier of the gap that is closed is the force (theorem of Castigliano).
//!
//! ## What would change it?
//!
//! A rib on a few bearings, not held down, twists, and is ten to two hundred times softer; but then
//! its lifts open. One rib may be a quarter stiffer or softer than its kind of wood (from memory).

use nalgebra::{DMatrix, DVector, Matrix6x2, Vector3, Vector6};

use crate::job::Job;
use crate::joint::{Clearance, Clearances, Frame, Joint};
use crate::maths::beam::{Beam, Elastic, chain};
use crate::maths::program::{Failure, Program};

use super::PUSH;
use super::press::{Unknown, material};

/// What holds it where nothing else does, as a share of its largest stiffness: to slide along the
/// joint costs hardly anything.
const HARDLY: f64 = 1e-12;
/// Sections at most: more stations than that say nothing more of how a rib gives way.
const SECTIONS: usize = 60;

/// A job's rib as it gives way, held down on its mold.
#[derive(Debug, Clone)]
pub struct HeldRib {
    /// The stations (index) at which sections stand.
    sections: Vec<usize>,
    /// Stiffness in the gaps at them, N/mm.
    stiffness: DMatrix<f64>,
}

impl HeldRib {
    /// The rib of a job; its stations are its joint's.
    ///
    /// # Errors
    /// What isn't known of wood or thickness.
    pub fn of(job: &Job, joint: &Joint) -> Result<HeldRib, Unknown> {
        let sections = sections(joint.len());
        let frames: Vec<&Frame> = sections.iter().map(|&i| &joint.frames[i]).collect();
        Ok(HeldRib { stiffness: stiffness_of_gaps(stiffness(job, &frames)?, &frames), sections })
    }

    /// Newtons, square to the joint line, that close the gap at a station of a rib at rest while no
    /// other place passes through the neighbour.
    ///
    /// # Errors
    /// Where rounding takes the answer.
    pub fn closing(&self, clearances: &[Clearances], station: usize) -> Result<f64, Failure> {
        let count = self.sections.len();
        let next = self.sections.partition_point(|&i| i < station).min(count.saturating_sub(1));
        let mut program = Program::new(count);
        program.h.copy_from(&self.stiffness);
        let only = |k: usize, by: f64| DVector::from_fn(count, |i, _| if i == k { by } else { 0.0 });
        for (k, &i) in self.sections.iter().enumerate() {
            // A gap between two sections is pressed at the next one, as wide as it is.
            let gap = clearances[if k == next { station } else { i }].gap.max(0.0);
            program.hard(only(k, -1.0).as_slice(), gap);
        }
        program.hard(only(next, 1.0).as_slice(), -clearances[station].gap.max(0.0));
        Ok(program.minimise()?.multipliers[count])
    }
}

/// A job's rib as it gives way under a hand that is spread along it; a section at every station.
#[derive(Debug, Clone)]
pub struct Spread {
    stiffness: DMatrix<f64>,
    /// How each station's clearances open with the six numbers of its node.
    opening: Vec<Clearances<Vector6<f64>>>,
}

/// What friction holds along the rib, N/mm: a hand that presses lets nothing slide.
const HELD_ALONG: f64 = 1.0;

impl Spread {
    /// The rib of a job; its stations are its joint's.
    ///
    /// # Errors
    /// What isn't known of wood or thickness.
    pub fn of(job: &Job, joint: &Joint) -> Result<Spread, Unknown> {
        let frames: Vec<&Frame> = joint.frames.iter().collect();
        let mut stiffness = stiffness(job, &frames)?;
        let least = HARDLY * stiffness.diagonal().amax();
        (0..stiffness.nrows()).for_each(|k| stiffness[(k, k)] += least);
        for (i, frame) in frames.iter().enumerate() {
            let along = frame.tangent * frame.tangent.transpose() * (HELD_ALONG / frames.len() as f64);
            let mut own = stiffness.fixed_view_mut::<3, 3>(6 * i, 6 * i);
            own += along;
        }
        Ok(Spread { stiffness, opening: frames.into_iter().map(opening).collect() })
    }

    /// The clearances, mm, of a rib that a hand of so many newtons presses home; `rigid` are those
    /// of the same rib at rest that gives way nowhere.
    ///
    /// # Errors
    /// Where rounding takes the answer.
    pub fn under(&self, newtons: f64, rigid: &[Clearances]) -> Result<Vec<Clearances>, Failure> {
        let mut program = Program::new(self.stiffness.nrows());
        program.h.copy_from(&self.stiffness);
        let each = newtons / (PUSH.gap + PUSH.seat + PUSH.lift) / rigid.len() as f64;
        for (i, (opening, rigid)) in self.opening.iter().zip(rigid).enumerate() {
            for of in Clearance::ALL {
                let mut push = program.g.fixed_rows_mut::<6>(6 * i);
                push += opening[of] * (each * PUSH[of]);
                let mut closes = DVector::zeros(program.g.len());
                closes.fixed_rows_mut::<6>(6 * i).copy_from(&-opening[of]);
                program.hard(closes.as_slice(), rigid[of].max(0.0));
            }
        }
        let moved = program.minimise()?.x;
        let lies = |(i, (opening, rigid)): (usize, (&Clearances<Vector6<f64>>, &Clearances))| {
            Clearances::each(|of| (rigid[of] + opening[of].dot(&moved.fixed_rows::<6>(6 * i))).max(0.0))
        };
        Ok(self.opening.iter().zip(rigid).enumerate().map(lies).collect())
    }
}

/// The stations at which sections stand, both ends among them.
fn sections(stations: usize) -> Vec<usize> {
    let (last, count) = (stations.saturating_sub(1), stations.min(SECTIONS));
    (0..count).map(|k| k * last / count.saturating_sub(1).max(1)).collect()
}

/// The stiffness of a job's rib with sections at some of its stations: six numbers a section.
fn stiffness(job: &Job, frames: &[&Frame]) -> Result<DMatrix<f64>, Unknown> {
    let (wood, thickness) = material(job)?;
    let material = Elastic { elasticity: wood.elasticity, shear: wood.shear * wood.elasticity };
    Ok(chain(&beams(frames, thickness), material))
}

/// The beams from section to section, along the middle of the rib.
fn beams(frames: &[&Frame], thickness: f64) -> Vec<Beam> {
    let across = |frame: &Frame| frame.outer - frame.joint;
    let tie = |pair: &[&Frame]| Beam {
        along: middle(pair[1]) - middle(pair[0]),
        across: across(pair[0]).normalize() + across(pair[1]).normalize(),
        section: [(across(pair[0]).norm() + across(pair[1]).norm()) / 2.0, thickness],
        with_shear: true,
    };
    frames.windows(2).map(tie).collect()
}

fn middle(frame: &Frame) -> Vector3<f64> {
    (frame.joint.coords + frame.outer.coords) / 2.0
}

/// How far a point of a section moves in a direction, by the six numbers of its node.
fn moves(frame: &Frame, point: &Vector3<f64>, direction: Vector3<f64>) -> Vector6<f64> {
    let turns = (point - middle(frame)).cross(&direction);
    Vector6::from_iterator(direction.iter().chain(turns.iter()).copied())
}

/// How the clearances at a section open with the six numbers of its node.
fn opening(frame: &Frame) -> Clearances<Vector6<f64>> {
    let (joint, outer) = (&frame.joint.coords, &frame.outer.coords);
    Clearances {
        gap: moves(frame, joint, Vector3::y() / frame.cos_bevel),
        seat: moves(frame, joint, frame.seat_normal),
        lift: moves(frame, outer, frame.lift_normal),
    }
}

/// The stiffness of a rib in the gaps at its sections, held down along both edges: of all motions
/// that leave them on the mold the one of least energy, `(G H^-1 G')^-1` with `H` the stiffness in
/// those motions and `G` how they open the gaps.
fn stiffness_of_gaps(whole: DMatrix<f64>, frames: &[&Frame]) -> DMatrix<f64> {
    let count = frames.len();
    let mut motions = DMatrix::zeros(6 * count, 4 * count);
    let mut gaps = DMatrix::zeros(6 * count, count);
    for (i, frame) in frames.iter().enumerate() {
        let Clearances { gap, seat, lift } = opening(frame);
        motions
            .view_mut((6 * i, 4 * i), (6, 4))
            .copy_from(&square_to(Matrix6x2::from_columns(&[seat, lift])));
        gaps.view_mut((6 * i, i), (6, 1)).copy_from(&gap);
    }
    let mut held = motions.tr_mul(&(whole * &motions));
    let least = HARDLY * held.diagonal().amax();
    (0..held.nrows()).for_each(|k| held[(k, k)] += least);
    let gaps = motions.tr_mul(&gaps);
    let Some(factor) = held.cholesky() else { return DMatrix::from_element(count, count, f64::NAN) };
    let gives = gaps.tr_mul(&factor.solve(&gaps));
    gives.cholesky().map_or_else(|| DMatrix::from_element(count, count, f64::NAN), |g| g.inverse())
}

/// The motions of a section that are square to two: an orthonormal basis, as columns.
fn square_to(two: Matrix6x2<f64>) -> DMatrix<f64> {
    let mut basis = DMatrix::identity(6, 6);
    two.qr().q_tr_mul(&mut basis);
    basis.rows(2, 4).transpose()
}
