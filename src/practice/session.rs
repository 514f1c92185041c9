//! Many tasks with several strategies, on all cores, and their table.

use rayon::prelude::*;
use serde::Serialize;

use crate::advice::{Costs, Hits};
use crate::json::as_mm;

use super::bench::Outcome;
use super::blank::Recipe;
use super::overcut::Overcuts;
use super::strategy::{Run, Strategy};

/// What to practise.
#[derive(Debug, Clone, PartialEq)]
pub struct Practice {
    /// Number of invented joints.
    pub joints: usize,
    /// Seed of everything that is drawn.
    pub seed: u64,
    /// How the joints are invented.
    pub recipe: Recipe,
    /// Who decides, each on the same joints.
    pub strategies: Vec<Strategy>,
    /// What readings and strokes cost.
    pub costs: Costs,
}

/// All runs of one strategy.
#[derive(Debug, Clone, PartialEq)]
pub struct Played {
    /// The strategy.
    pub strategy: Strategy,
    /// One run a joint, in the joints' order.
    pub runs: Vec<Run>,
    /// What its readings and strokes cost.
    pub costs: Costs,
}

/// A quantity over many runs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Spread {
    /// Mean.
    #[serde(serialize_with = "as_mm")]
    pub mean: f64,
    /// The value that 90 % of the runs stay within.
    #[serde(rename = "p90", serialize_with = "as_mm")]
    pub ninety: f64,
}

/// One line of the table. Lengths in mm, shares from 0 to 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Number of runs.
    #[serde(skip)]
    pub runs: usize,
    /// Rounds read, mean.
    pub rounds: f64,
    /// Single readings, mean.
    pub readings: f64,
    /// Pushes of a plane, mean.
    pub strokes: f64,
    /// Minutes of settings, readings and strokes, mean.
    pub minutes: f64,
    /// Wood taken, mean over stations and runs.
    #[serde(rename = "wood_mm", serialize_with = "as_mm")]
    pub wood: f64,
    /// Widest gap left.
    #[serde(rename = "gap_left_mm")]
    pub gap: Spread,
    /// Widest lift left.
    #[serde(rename = "lift_left_mm")]
    pub lift: Spread,
    /// Share that stopped by itself.
    pub stopped: f64,
    /// Share of those that lie within the tolerances everywhere; none if none stopped.
    #[serde(rename = "fitted_of_stopped")]
    pub fitted: Option<f64>,
    /// Share of those that were called fitted which lie so; none where nothing was.
    pub fitted_of_said: Option<f64>,
    /// Share of all that were called fitted.
    pub said_fitted: f64,
    /// Runs in which more than the spare width came off somewhere.
    pub beyond_spare: usize,
    /// Of these, in how many although shavings were within their stated spread there.
    #[serde(rename = "beyond_spare_in_spread")]
    pub beyond_in_spread: usize,
    /// Runs in which that much came off before a second round had checked the first strokes.
    #[serde(rename = "beyond_spare_unchecked")]
    pub beyond_unchecked: usize,
    /// How often planing took too much.
    #[serde(rename = "too_much")]
    pub overcuts: Overcuts,
    /// How the readings met the forecasts.
    #[serde(rename = "forecasts")]
    pub hits: Hits,
    /// Share of the runs in which the advice said that something stated or entered can't be right.
    pub noticed: f64,
}

/// Seeds of one practice lie this far from the next one's.
const SEEDS_APART: u64 = 1 << 20;

impl Practice {
    /// Number of runs in all.
    pub fn runs(&self) -> usize {
        self.joints * self.strategies.len()
    }

    /// Seed of joint `k`.
    pub fn seed_of(&self, k: usize) -> u64 {
        self.seed.wrapping_mul(SEEDS_APART).wrapping_add(k as u64)
    }

    /// Runs every joint with every strategy, on as many threads as there are;
    /// `done` is called after each run. The result does not depend on threads.
    pub fn play(&self, done: &(dyn Fn() + Sync)) -> Vec<Played> {
        let played = |i: usize| {
            let (strategy, seed) = (self.strategies[i / self.joints], self.seed_of(i % self.joints));
            let run = strategy.run(&self.recipe.task(seed), seed, &self.costs);
            done();
            run
        };
        let mut runs = (0..self.runs()).into_par_iter().map(played).collect::<Vec<Run>>().into_iter();
        let mut next = |&strategy: &Strategy| Played {
            strategy,
            runs: runs.by_ref().take(self.joints).collect(),
            costs: self.costs,
        };
        self.strategies.iter().map(&mut next).collect()
    }
}

impl Played {
    /// The strategy's line of the table.
    pub fn summary(&self) -> Summary {
        let stopped = self.count(|o| o.stopped);
        let fitted = self.count(|o| o.stopped && o.fitted);
        let said = self.runs.iter().filter(|r| r.said_fitted).count();
        let right = self.runs.iter().filter(|r| r.said_fitted && r.outcome.fitted).count();
        let shares = |part: usize, all: usize| part as f64 / all.max(1) as f64;
        Summary {
            runs: self.runs.len(),
            rounds: self.mean(|o| o.rounds as f64),
            readings: self.mean(|o| o.readings as f64),
            strokes: self.mean(|o| f64::from(o.strokes)),
            minutes: self.mean(|o| o.minutes(&self.costs)),
            wood: self.mean(|o| o.wood),
            gap: self.spread(|o| o.gap),
            lift: self.spread(|o| o.lift),
            stopped: shares(stopped, self.runs.len()),
            fitted: (stopped > 0).then(|| shares(fitted, stopped)),
            fitted_of_said: (said > 0).then(|| shares(right, said)),
            said_fitted: shares(said, self.runs.len()),
            beyond_spare: self.count(|o| o.beyond_spare),
            beyond_in_spread: self.count(|o| o.beyond_in_spread),
            beyond_unchecked: self.count(|o| o.beyond_unchecked),
            overcuts: self.runs.iter().fold(Overcuts::default(), |all, r| all.and(r.outcome.overcuts)),
            hits: self.runs.iter().fold(Hits::default(), |all, r| all.and(r.hits)),
            noticed: shares(self.runs.iter().filter(|r| r.noticed).count(), self.runs.len()),
        }
    }

    fn count(&self, which: impl Fn(&Outcome) -> bool) -> usize {
        self.runs.iter().filter(|r| which(&r.outcome)).count()
    }

    fn mean(&self, value: impl Fn(&Outcome) -> f64) -> f64 {
        self.runs.iter().map(|r| value(&r.outcome)).sum::<f64>() / self.runs.len().max(1) as f64
    }

    fn spread(&self, value: impl Fn(&Outcome) -> f64) -> Spread {
        let mut values: Vec<f64> = self.runs.iter().map(|r| value(&r.outcome)).collect();
        values.sort_by(f64::total_cmp);
        let place = (0.9 * values.len().saturating_sub(1) as f64).round() as usize;
        Spread { mean: self.mean(value), ninety: values.get(place).copied().unwrap_or(f64::NAN) }
    }
}
