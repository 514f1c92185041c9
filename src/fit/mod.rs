//! What the readings say about the wood: all rounds together.
//!
//! The wood has its own shape, the same in all rounds but for what was planed
//! off; each round has its own pose. One estimate takes both from every
//! reading of every round, so that noise averages out and wood stays.
//!
//! In the order in which it is thought: [`prior`] is what is known beforehand, of smooth
//! [`field`]s and of [`cuts`]; `unknowns` says what the wood is the sum of, `observation` what was
//! read and of which unknowns it is the sum; `posterior` puts both into one Gaussian, with
//! [`bound`]s, `bearings` and errors that neighbours share (`alike`); `settle` repeats that until
//! nothing moves, `evidence` sets the amplitudes, `result` is what other rooms see.
//!
//! ## How?
//!
//! Unknown are the edge, the rib's spring, the error of a drawn line, six numbers of pose a
//! round, and each plane's shaving. Every reading is a sum of a few of them, linear once the
//! poses are linearised; so one Gaussian estimate is solved, relinearised and solved again
//! until it settles. Stations make a band of its precision, poses and planes a dense border
//! ([`crate::maths::information`]), so cost grows linearly with stations.
//!
//! ## Why not one round at a time?
//!
//! One round can't tell noise from wood; who follows it chases noise and never ends.
//!
//! ## What does a reading of 0 say?
//!
//! 'No more than feelers show': a one-sided likelihood, given as its nearest Gaussian.
//!
//! ## Plane or gentle curve?
//!
//! The curve is believed when its log evidence beats the plane's by a margin. With fewer than
//! five stations the stated amplitudes stand, whatever the evidence.

mod alike;
mod bearings;
pub mod bound;
pub mod cuts;
mod evidence;
pub mod field;
mod forms;
mod observation;
mod own;
mod posterior;
pub mod prior;
mod result;
mod settle;
mod unknowns;

use crate::job::Job;
use crate::joint::Joint;

use cuts::Taken;
use observation::Data;
use settle::{FINE, NEXT, ROUGH, Settling};

pub use forms::Forms;
pub use posterior::NoEstimate;
pub use prior::{Amplitudes, Prior};
pub use result::{Doubt, Draw, Fit};
pub use settle::Settled;

/// Plane, gentle curve, or by evidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SurfaceChoice {
    /// By evidence.
    #[default]
    Auto,
    /// A plane.
    Plane,
    /// A gentle curve.
    Curved,
}

/// How often the evidence is searched at most.
const SEARCHES: usize = 3;
/// It is searched again when the reading errors moved by more than this (logarithm): readings
/// had been doubted by the errors believed before, and what is doubted speaks for none.
const ERRORS_MOVED: f64 = 0.15;
/// Log evidence that must speak for the curve before it is believed.
const CURVE_NEEDS: f64 = 1.5;

/// Estimates wood and poses from all rounds of a job.
///
/// `taken` is the wood that came off between the rounds, in their order; `prior`
/// what is known beforehand.
///
/// # Errors
/// Where nothing was read, or numbers are so far out that no estimate exists.
pub fn estimate(
    job: &Job,
    joint: &Joint,
    taken: &[Taken],
    choice: SurfaceChoice,
    prior: &Prior,
) -> Result<Fit, NoEstimate> {
    let mut flat = roughly(&Settled::default(), job, joint, taken, prior)?;
    to_rest(&mut flat)?;
    if choice == SurfaceChoice::Plane || flat.unknowns.forms.modes.is_empty() {
        return Fit::of(flat, None);
    }
    // Both are weighed on the same bounds and poses, those of the plane: terms
    // that settled apart would not be the same data.
    let mut curved = flat.curved();
    let log_evidence = |s: &Settling| Some(s.weighed().log_evidence(&s.now.amplitudes)?.0);
    let gain = log_evidence(&curved).zip(log_evidence(&flat)).map_or(f64::NEG_INFINITY, |(c, f)| c - f);
    if choice != SurfaceChoice::Curved && gain <= CURVE_NEEDS {
        return Fit::of(flat, Some(gain));
    }
    to_rest(&mut curved)?;
    Fit::of(curved, Some(gain))
}

/// The estimate as far as replaying strokes asks for, with where it has settled: of a plane, at the
/// amplitudes of before.
///
/// # Errors
/// As [`estimate`].
pub fn rough(
    before: &Settled,
    job: &Job,
    joint: &Joint,
    taken: &[Taken],
    prior: &Prior,
) -> Result<(Fit, Settled), NoEstimate> {
    let flat = roughly(before, job, joint, taken, prior)?;
    let settled = flat.now.clone();
    Ok((Fit::of(flat, None)?, settled))
}

fn roughly<'a>(
    before: &Settled,
    job: &'a Job,
    joint: &'a Joint,
    taken: &'a [Taken],
    prior: &'a Prior,
) -> Result<Settling<'a>, NoEstimate> {
    if job.rounds.is_empty() || joint.is_empty() {
        return Err(NoEstimate::NothingRead);
    }
    let mut flat = Settling::from(before.clone(), Data { job, joint, taken }, prior);
    flat.settle(if before.is_nothing() { ROUGH } else { NEXT })?;
    Ok(flat)
}

/// Sets the amplitudes by the evidence and settles the estimate there.
fn to_rest(settling: &mut Settling) -> Result<(), NoEstimate> {
    settling.liken()?;
    for _ in 0..SEARCHES {
        let errors = settling.now.amplitudes.errors;
        let stations = settling.data.joint.len();
        settling.now.amplitudes = evidence::improved(settling.weighed(), stations, &settling.now.amplitudes);
        settling.settle(FINE)?;
        if libm::log(settling.now.amplitudes.errors / errors).abs() < ERRORS_MOVED {
            break;
        }
    }
    Ok(())
}
