//! What to read next: no more than pays.
//!
//! Each draw of the wood is planed as advised and pushed home; so the next round's gaps and lifts
//! are known with their covariances. What decides is whether a gap or lift is within its
//! tolerance, and whether one more shaving is wanted at a station; readings are chosen by what they
//! bring to these decisions ([`crate::maths::worth`]), in seconds against those of reading them.

use nalgebra::DMatrix;

use crate::job::{Against, Job};
use crate::joint::{Clearance, Clearances};
use crate::maths::worth::{Candidate, Decides, choose};

use super::answer::Advice;
use super::costs::Costs;
use super::forecast::Forecast;
use super::ground::Verdict;
use super::judge::open_at;
use super::work::{Working, lifts_read, thinnest_shaving};

/// How the rib is to lie for what is read next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Setting {
    /// As it lies: what comes in belongs to the last round.
    Same,
    /// After the strokes, or set in place anew: the next round.
    New,
}

/// Which readings are worth their seconds next.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadNext {
    /// How the rib is to lie.
    pub setting: Setting,
    /// Station (index) and what is read there, in the order of a walk along the rib.
    pub readings: Vec<(usize, Clearance)>,
    /// Seconds that the readings take.
    pub seconds: f64,
    /// Why these, in a sentence.
    pub why: &'static str,
}

/// Seconds that acting wrongly by one mm costs, by way of rounds to come, at one station: tuned on
/// the practice bench.
const PRICE: f64 = 4_000.0;
/// A setting is worth this many readings in any case.
const FEWEST: usize = 4;
/// The part of a shaving from which one more is taken.
const WHOLE: f64 = 2.0 / 3.0;

impl ReadNext {
    fn of(
        setting: Setting,
        mut readings: Vec<(usize, Clearance)>,
        why: &'static str,
        costs: &Costs,
    ) -> Option<ReadNext> {
        readings.sort_by_key(|(station, of)| (*station, *of as usize));
        let seconds = costs.reading * readings.len() as f64;
        (!readings.is_empty()).then_some(ReadNext { setting, readings, seconds, why })
    }

    /// What to read first, before anything is known of the wood: every gap, and lifts where they
    /// tell how the rib is turned and sprung.
    pub fn first(job: &Job, costs: &Costs) -> Option<ReadNext> {
        let last = job.stations.len().checked_sub(1).filter(|_| job.rounds.is_empty())?;
        let every = |step: usize| (0..=last).filter(move |i| *i == last || i.is_multiple_of(step));
        let gaps = every(GAPS).map(|i| (i, Clearance::Gap));
        let lifts = every((last / LIFTS).max(1)).map(|i| (i, Clearance::Lift));
        ReadNext::of(Setting::New, gaps.chain(lifts).collect(), FIRST, costs)
    }

    /// What to read after an advice; none once nothing is to be read.
    pub fn after(job: &Job, w: &Working, advice: &Advice, costs: &Costs) -> Option<ReadNext> {
        match advice.verdict {
            Verdict::Fitted | Verdict::NoAnswer => None,
            Verdict::ReadAgain if !advice.doubted.is_empty() => again(job, &advice.doubted, costs),
            Verdict::Plane | Verdict::ReadAgain => next_round(job, w, advice, costs),
        }
    }
}

const FIRST: &str = "Every place is seen once; more lifts pay little before the first strokes.";
const DOUBTED: &str = "Nothing is planed until that is sure.";
const ENOUGH: &str = "More would hardly change what to plane.";
/// Gaps of the first round: at every station so many apart.
const GAPS: usize = 1;
/// Lifts of the first round: this many stretches between them.
const LIFTS: usize = 6;

/// What was not yet read at some stations, or, where all was, all of it once more.
fn again(job: &Job, stations: &[usize], costs: &Costs) -> Option<ReadNext> {
    let round = job.rounds.last()?;
    let read = |i: usize| {
        let open = open_at(job, i);
        let there = |of: &Clearance| round.readings[i].clearance(*of).is_some();
        if open.is_empty() { Clearance::ALL.into_iter().filter(there).collect() } else { open }
    };
    let places = |i: &usize| read(*i).into_iter().map(|of| (*i, of)).collect::<Vec<_>>();
    ReadNext::of(Setting::Same, stations.iter().flat_map(places).collect(), DOUBTED, costs)
}

fn next_round(job: &Job, w: &Working, advice: &Advice, costs: &Costs) -> Option<ReadNext> {
    let strokes: Vec<_> = match advice.verdict {
        Verdict::Plane => advice.strokes.iter().map(|s| s.stroke()).collect(),
        _ => job.rounds.last()?.strokes.clone(),
    };
    let forecast = Forecast::after(job, w, &strokes)?;
    let look = Look::of(
        job,
        w,
        &forecast,
        &advice.stations.iter().map(|s| s.remove_now.unwrap_or(0.0)).collect::<Vec<_>>(),
    );
    let (chosen, _) = choose(&look.covariance, &look.decides, &look.candidates, costs.reading, FEWEST);
    ReadNext::of(Setting::New, chosen.iter().map(|j| look.readings[*j]).collect(), ENOUGH, costs)
}

/// The next round as it may be: its clearances and what is still wanted, and what they decide.
struct Look {
    covariance: DMatrix<f64>,
    decides: Vec<Decides>,
    candidates: Vec<Candidate>,
    readings: Vec<(usize, Clearance)>,
}

impl Look {
    fn of(job: &Job, w: &Working, forecast: &Forecast, taken: &[f64]) -> Look {
        let n = job.stations.len();
        let lifts = lifts_read(job);
        let kinds: Vec<Clearance> = [Clearance::Gap, Clearance::Lift][..1 + usize::from(lifts)].to_vec();
        let readings: Vec<(usize, Clearance)> =
            kinds.iter().flat_map(|of| (0..n).map(move |i| (i, *of))).collect();
        let draws = forecast.draws();
        let row = |k: usize| -> Vec<f64> {
            let clearances = readings.iter().map(|(i, of)| draws[k][*i][*of]);
            clearances.chain((0..n).map(|i| w.chances.remove[k][i] - taken[i])).collect()
        };
        let count = draws.len().min(w.chances.remove.len());
        let samples = DMatrix::from_fn(count, readings.len() + n, |_, _| 0.0);
        let samples = (0..count).fold(samples, |mut all, k| {
            row(k).iter().enumerate().for_each(|(c, v)| all[(k, c)] = *v);
            all
        });
        let means = samples.row_mean();
        let covariance = covariance(&samples, &means);
        let wanted = WHOLE * thinnest_shaving(job);
        let decides = (0..means.len()).map(|unknown| {
            let threshold = readings.get(unknown).map_or(wanted, |(_, of)| job.tolerance.of(*of));
            Decides { unknown, off: means[unknown] - threshold, price: PRICE }
        });
        let error =
            |of: Clearance| (job.reading.of(of, Against::Neighbour) * w.fit.amplitudes.errors).powi(2);
        let errors = Clearances::each(error);
        let candidate =
            |(unknown, (_, of)): (usize, &(usize, Clearance))| Candidate { unknown, error: errors[*of] };
        let candidates = readings.iter().enumerate().map(candidate).collect();
        Look { covariance, decides: decides.collect(), candidates, readings }
    }
}

fn covariance(samples: &DMatrix<f64>, means: &nalgebra::RowDVector<f64>) -> DMatrix<f64> {
    let mut centred = samples.clone();
    centred.row_iter_mut().for_each(|mut row| row -= means);
    centred.tr_mul(&centred) / (samples.nrows().max(2) - 1) as f64
}
