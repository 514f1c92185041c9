//! How the work on a joint went, round by round.

use crate::fit::cuts::Taken;
use crate::job::{Against, Job, Round};
use crate::joint::{Clearance, Clearances};

use super::forecast::{Forecast, Hits};
use super::unknown;
use super::words::capital;
use super::work::{Before, Options, Working, lifts_read, work_out};

/// A round and what is known of it. Lengths in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct PastRound {
    /// What the rib was held against.
    pub against: Against,
    /// Whether the rib was bent again before it.
    pub rebent: bool,
    /// The widest of each clearance that was read; none where none was.
    pub read: Clearances<Option<f64>>,
    /// The widest of each as estimated from the rounds until then; none where they led to no
    /// estimate.
    pub estimated: Clearances<Option<f64>>,
    /// Pushes of planes recorded after it.
    pub strokes: u32,
    /// Wood that these took, as all readings tell: mean over the joint and
    /// most at a station; none where nothing was planed.
    pub wood: Option<(f64, f64)>,
    /// Each plane's shaving as learned by then, with its standard uncertainty.
    pub shavings: Vec<(f64, f64)>,
    /// How its readings met the forecast made after the round before.
    pub hits: Hits,
}

/// The rounds of a job, in order.
///
/// # Errors
/// What the last round lacks, as a sentence with the next step.
pub fn past(job: &Job, options: &Options) -> Result<Vec<PastRound>, String> {
    if let Some(missing) = unknown::missing(job) {
        return Err(capital(&missing));
    }
    let mut teller = Teller { job, options, before: Before::default(), forecast: None, last: None };
    let mut rounds: Vec<PastRound> = (0..job.rounds.len()).map(|k| teller.tell(k)).collect();
    let known = teller.taken_as_known();
    for (k, round) in rounds.iter_mut().enumerate() {
        round.wood = wood(job, teller.last.as_ref(), &known, k);
    }
    Ok(rounds)
}

/// Goes through the rounds as the maker did.
struct Teller<'a> {
    job: &'a Job,
    options: &'a Options,
    /// What came off between the rounds, as known when it did.
    before: Before,
    forecast: Option<Forecast>,
    last: Option<Working>,
}

impl Teller<'_> {
    fn tell(&mut self, k: usize) -> PastRound {
        let then = Job { rounds: self.job.rounds[..=k].to_vec(), warnings: Vec::new(), ..self.job.clone() };
        let round = &self.job.rounds[k];
        let hits = self.forecast.take().map(|f| f.hits(round)).unwrap_or_default();
        let working = work_out(&then, &self.before, self.options).ok();
        let told = PastRound {
            against: round.against,
            rebent: round.rebent,
            read: Clearances::each(|of| widest(round, of)),
            estimated: estimated(&then, working.as_ref()),
            strokes: round.strokes.iter().map(|s| s.count).sum(),
            wood: None,
            shavings: shavings(&then, working.as_ref()),
            hits,
        };
        if let Some(w) = &working {
            self.forecast = Forecast::after(&then, w, &round.strokes);
        }
        self.before.planed(&then, self.options);
        self.last = working;
        told
    }

    /// What came off, revised by all readings where rounds followed.
    fn taken_as_known(&self) -> Vec<Taken> {
        let revised = self.last.as_ref().map(|w| w.fit.taken.clone()).unwrap_or_default();
        let later = self.before.taken.iter().skip(revised.len()).cloned();
        revised.into_iter().chain(later).collect()
    }
}

fn widest(round: &Round, of: Clearance) -> Option<f64> {
    round.readings.iter().filter_map(|r| r.clearance(of)).max_by(f64::total_cmp)
}

fn estimated(job: &Job, w: Option<&Working>) -> Clearances<Option<f64>> {
    let Some(w) = w else { return Clearances::default() };
    let widest = |of: Clearance| w.now.clearances.iter().map(|c| c[of]).fold(0.0, f64::max);
    let all = Clearances::each(|of| Some(widest(of)));
    Clearances { lift: all.lift.filter(|_| lifts_read(job)), ..all }
}

fn shavings(job: &Job, w: Option<&Working>) -> Vec<(f64, f64)> {
    let Some(w) = w else { return Vec::new() };
    let learned = job.planes.iter().zip(&w.fit.shavings);
    learned.map(|(plane, (share, sd))| (plane.shaving * share, plane.shaving * sd)).collect()
}

/// Mean and most of the wood that came off after round `k`.
fn wood(job: &Job, w: Option<&Working>, taken: &[Taken], k: usize) -> Option<(f64, f64)> {
    let shares = w?.joint.shares();
    let here: Vec<&Taken> = taken.iter().filter(|t| t.round.index() == k).collect();
    let cut_at = |i: usize| here.iter().map(|t| t.cut[i]).sum::<f64>();
    let mean = (0..job.stations.len()).map(|i| cut_at(i) * shares[i]).sum();
    let most = (0..job.stations.len()).map(cut_at).fold(0.0, f64::max);
    (!here.is_empty()).then_some((mean, most))
}
