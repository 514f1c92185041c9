//! What the readings say about the wood: all rounds together.
//!
//! The wood has its own shape, the same in all rounds but for what was planed
//! off; each round has its own pose. One estimate takes both from every
//! reading of every round, so that noise averages out and wood stays.
//!
//! In the order in which it is thought: [`prior`] is what is known beforehand, of smooth
//! [`field`]s and of [`cuts`]; `unknowns` says what the wood is the sum of, `observation` what was
//! read and of which unknowns it is the sum; `posterior` puts both into one Gaussian, with
//! [`bound`]s and `bearings`; `settle` repeats that until nothing moves, `evidence` sets the
//! amplitudes, `result` is what other rooms see.
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

mod bearings;
pub mod bound;
pub mod cuts;
mod evidence;
pub mod field;
mod forms;
mod observation;
mod posterior;
pub mod prior;
mod result;
mod settle;
mod unknowns;

use crate::job::Job;
use crate::joint::Joint;
use crate::maths::information::Estimate;

use cuts::Taken;
use observation::Data;
use settle::{FINE, ROUGH, Settling};

pub use forms::Forms;
pub use posterior::NoEstimate;
pub use prior::{Amplitudes, Prior};
pub use result::{Doubt, Draw, Fit};

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
    if job.rounds.is_empty() || joint.is_empty() {
        return Err(NoEstimate::NothingRead);
    }
    let mut flat = Settling::new(Data { job, joint, taken }, prior);
    flat.settle(ROUGH)?;
    let estimate = to_rest(&mut flat)?;
    if choice == SurfaceChoice::Plane || flat.unknowns.forms.modes.is_empty() {
        return Ok(Fit::of(flat, estimate, None));
    }
    // Both are weighed on the same bounds and poses, those of the plane: terms
    // that settled apart would not be the same data.
    let mut curved = flat.curved();
    let log_evidence = |s: &Settling| s.weighed().log_evidence(&s.amplitudes);
    let gain = log_evidence(&curved) - log_evidence(&flat);
    if choice != SurfaceChoice::Curved && gain <= CURVE_NEEDS {
        return Ok(Fit::of(flat, estimate, Some(gain)));
    }
    let estimate = to_rest(&mut curved)?;
    Ok(Fit::of(curved, estimate, Some(gain)))
}

/// Sets the amplitudes by the evidence and settles the estimate there.
fn to_rest(settling: &mut Settling) -> Result<Estimate, NoEstimate> {
    for _ in 1..SEARCHES {
        let errors = settling.amplitudes.errors;
        let estimate = search(settling)?;
        if (settling.amplitudes.errors / errors).ln().abs() < ERRORS_MOVED {
            return Ok(estimate);
        }
    }
    search(settling)
}

fn search(settling: &mut Settling) -> Result<Estimate, NoEstimate> {
    let stations = settling.data.joint.len();
    settling.amplitudes = evidence::improved(settling.weighed(), stations, &settling.amplitudes);
    settling.settle(FINE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Against, Reading, Round, Station};

    /// Seven stations on a joint line 80 mm high.
    fn job(rounds: Vec<Round>) -> Job {
        let station = |i: usize| Station {
            name: i.to_string(),
            along: 50.0 * i as f64,
            width: 30.0,
            bevel: 0.1,
            rise: Some(80.0 - 80.0 * ((i as f64 - 3.0) / 3.0).powi(2)),
            outer_bevel: None,
            inner_bevel: None,
            out_of_plane: None,
        };
        Job { stations: (0..7).map(station).collect(), rounds, ..Job::default() }
    }

    fn round(overlap: impl Fn(usize) -> f64, lift: f64, rebent: bool) -> Round {
        let reading = |i: usize| Reading { overlap: Some(overlap(i)), lift: Some(lift), seat: Some(0.0) };
        let readings = (0..7).map(reading).collect();
        Round { against: Against::Line, rebent, readings, strokes: Vec::new() }
    }

    fn fitted(job: &Job, taken: &[Taken], prior: &Prior) -> Fit {
        estimate(job, &Joint::of(job), taken, SurfaceChoice::Plane, prior).expect("an estimate")
    }

    fn one_stroke() -> Taken {
        Taken { round: 0, plane: 0, cut: vec![0.08; 7], sd: vec![0.0; 7], pushes: vec![1.0; 7] }
    }

    /// What earlier joints taught about a shaving stands where this joint's readings say little.
    #[test]
    fn a_shaving_starts_from_what_was_taught() {
        let job = job(vec![round(|_| 0.3, 0.1, false), round(|_| 0.22, 0.1, false)]);
        for (share, sd) in [(1.4, 0.01), (0.7, 0.01)] {
            let prior = Prior { planes: vec![(share, sd)], ..Prior::default() };
            let fit = fitted(&job, &[one_stroke()], &prior);
            assert!((fit.shavings[0].0 - share).abs() < 0.01, "{:?}", fit.shavings);
            assert!(fit.shavings[0].1 <= sd);
            assert_eq!(fit.shaving_before(0), Some((share, sd)));
        }
    }

    /// On something held in its place the readings tell of the edge alone: it comes back with its
    /// sign, and what came off since is off it.
    #[test]
    fn what_came_off_is_off_the_edge() {
        let held = Prior::held(4.5);
        let shape = |i: usize| 0.3 + 0.05 * i as f64;
        let once = job(vec![round(shape, 0.0, false)]);
        let fit = fitted(&once, &[], &held);
        (0..7).for_each(|i| assert!((fit.edge[i] - shape(i)).abs() < 0.06, "{:?}", fit.edge));
        let mut planed = job(vec![round(shape, 0.0, false), round(|i| shape(i) - 0.08, 0.0, false)]);
        planed.rounds[1].readings.iter_mut().for_each(|r| r.overlap = None);
        let less = fitted(&planed, &[one_stroke()], &held);
        for i in 0..7 {
            assert!((fit.edge[i] - less.edge[i] - 0.08).abs() < 0.01, "{:?} {:?}", fit.edge, less.edge);
        }
    }

    /// A rib bent again has a spring of its own; the first round's mark means nothing.
    #[test]
    fn a_rib_bent_again_has_a_new_spring() {
        let rounds = [true, false, true, false, true].map(|rebent| round(|_| 0.1, 0.1, rebent));
        let job = job(rounds.to_vec());
        let joint = Joint::of(&job);
        let unknowns = unknowns::Unknowns::of(&job, &joint, &[], false, &Prior::default());
        assert_eq!(unknowns.bending, [0, 0, 1, 1, 2]);
        let places = [0, 1, 2, 4].map(|round| unknowns.spring(3, round).inner[0].0);
        assert!(places[0] == places[1] && places[1] < places[2] && places[2] < places[3]);
    }

    #[test]
    fn no_estimate_has_its_reason() {
        let mut job = job(vec![round(|_| 0.1, 0.1, false)]);
        let why =
            |job: &Job| estimate(job, &Joint::of(job), &[], SurfaceChoice::Auto, &Prior::default()).err();
        assert_eq!(why(&Job { rounds: Vec::new(), ..job.clone() }), Some(NoEstimate::NothingRead));
        job.rounds[0].readings[4].lift = Some(f64::NAN);
        assert_eq!(why(&job), Some(NoEstimate::NotFinite { round: 0, station: 4 }));
    }
}
