//! What the readings say about the wood: all rounds together.
//!
//! The wood has its own shape, the same in all rounds but for what was planed
//! off; each round has its own pose. One estimate takes both from every
//! reading of every round, so that noise averages out and wood stays.
//!
//! ## How?
//!
//! Unknown are the edge, the rib's spring, the error of a drawn line, six numbers of pose a
//! round, and each plane's shaving. Every reading is a sum of a few of them, linear once the
//! poses are linearised; so one Gaussian estimate is solved, relinearised and solved again
//! until it settles. Stations make a band of its precision, poses and planes a dense border
//! ([`crate::maths::arrow`]), so cost grows linearly with stations.
//!
//! ## Why not one round at a time?
//!
//! One round can't tell noise from wood; who follows it chases noise and never ends.
//!
//! ## How does a rib pushed home show?
//!
//! It rests where the push does no more work. By linear programming duality the excess of the
//! push over rest is the sum of the clearances times what each carries, its multiplier; so each
//! clearance gets the factor `exp(-push c)`. Which stations carry depends on wood that is not
//! known exactly, so the multipliers are averaged over draws of it. It is the strongest thing
//! known of a round against the neighbour: somewhere the rib touches.
//!
//! ## What does a reading of 0 say?
//!
//! 'No more than feelers show': a one-sided likelihood, given as its nearest Gaussian.
//!
//! ## Plane or gentle curve?
//!
//! The curve is believed when its log evidence beats the plane's by a margin. With fewer than
//! five stations the stated amplitudes stand, whatever the evidence.

pub mod bound;
pub mod cuts;
mod evidence;
pub mod field;
mod layout;
mod model;
mod result;
mod sight;
mod start;

use crate::job::Job;
use crate::joint::Joint;

use cuts::Taken;
use model::Model;

pub use layout::Forms;
pub use model::Prior;
pub use result::{Doubt, Draw, Fit};
pub use start::Start;

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

/// Repetitions of linearising, solving and bounding before the evidence is asked.
const FIRST: usize = 8;
/// The most until nothing moves any more; a dozen are usual.
const MOST: usize = 25;
/// How often the evidence is searched at most.
const SEARCHES: usize = 3;
/// It is searched again when the reading errors moved by more than this (logarithm): readings
/// had been doubted by the errors believed before, and what is doubted speaks for none.
const ERRORS_MOVED: f64 = 0.15;
/// Log evidence that must speak for the curve before it is believed.
const CURVE_NEEDS: f64 = 1.5;

/// Estimates wood and poses from all rounds of a job.
///
/// `taken` is the wood that came off between the rounds, in their order; `start`
/// what is known beforehand.
/// Returns `None` where there is nothing to estimate from, or numbers so far
/// out that no estimate exists.
pub fn estimate(
    job: &Job,
    joint: &Joint,
    taken: &[Taken],
    choice: SurfaceChoice,
    start: &Start,
) -> Option<Fit> {
    if job.rounds.is_empty() || joint.is_empty() {
        return None;
    }
    let mut model = Model::new(job, joint, taken, false, start);
    model.settle(FIRST, &[2, 5]).then_some(())?;
    to_rest(&mut model, job)?;
    let (model, gain) = with_curve(model, job, choice)?;
    Fit::of(model, gain)
}

/// Sets the amplitudes by the evidence and settles the estimate there.
fn to_rest(model: &mut Model, job: &Job) -> Option<()> {
    for _ in 0..SEARCHES {
        let errors = model.prior.errors;
        evidence::improve(model, job);
        model.settle(MOST, &[0]).then_some(())?;
        if (model.prior.errors / errors).ln().abs() < ERRORS_MOVED {
            break;
        }
    }
    Some(())
}

/// The same model with a gentle curve where the evidence or the maker wants
/// it, and how far the evidence speaks for it.
fn with_curve<'a>(flat: Model<'a>, job: &Job, choice: SurfaceChoice) -> Option<(Model<'a>, Option<f64>)> {
    if choice == SurfaceChoice::Plane || flat.forms.modes.is_empty() {
        return Some((flat, None));
    }
    // Both are weighed on the same bounds and poses, those of the plane: terms
    // that settled apart would not be the same data.
    let mut curved = flat.curved();
    curved.look();
    let gain = curved.log_evidence(&curved.prior) - flat.log_evidence(&flat.prior);
    if choice != SurfaceChoice::Curved && gain <= CURVE_NEEDS {
        return Some((flat, Some(gain)));
    }
    to_rest(&mut curved, job)?;
    Some((curved, Some(gain)))
}
