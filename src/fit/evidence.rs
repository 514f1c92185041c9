//! Amplitudes, smoothness and reading errors by the evidence.
//!
//! The marginal likelihood of the readings, with weak priors on the logarithms
//! of the amplitudes, is climbed by the simplex of Nelder and Mead (argmin).
//! With too little to go by, the defaults stand.

use argmin::core::{CostFunction, Error, Executor};
use argmin::solver::neldermead::NelderMead;

use crate::job::Job;

use super::model::{Model, Prior};

/// Stations below which the defaults stand.
const ENOUGH_STATIONS: usize = 5;
/// Steps of the simplex; each costs one factorisation.
const STEPS: u64 = 15;

/// Where the search starts, from what the job says.
pub fn start(_job: &Job) -> Prior {
    Prior::default()
}

/// Log-scale multipliers of waves' amplitude, spring's amplitude and reading errors,
/// each with the standard deviation of its prior.
const SPREAD: [f64; 3] = [0.7, 0.7, 0.25];

/// No multiplier leaves the defaults by more than this many of those: readings
/// without any error, as no maker has them, would else speak for any amplitude.
const FURTHEST: f64 = 4.0;

fn scaled(base: &Prior, log: &[f64]) -> Prior {
    let factor = |k: usize| log[k].clamp(-FURTHEST * SPREAD[k], FURTHEST * SPREAD[k]).exp();
    let mut prior = *base;
    prior.waves.amplitude *= factor(0);
    prior.spring.amplitude *= factor(1);
    prior.errors *= factor(2);
    prior
}

struct Search<'m, 'a> {
    model: &'m Model<'a>,
    base: Prior,
}

impl CostFunction for Search<'_, '_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, log: &Vec<f64>) -> Result<f64, Error> {
        let prior: f64 = log.iter().zip(SPREAD).map(|(v, sd)| 0.5 * (v / sd).powi(2)).sum();
        let fit = self.model.log_evidence(&scaled(&self.base, log));
        Ok(if fit.is_finite() { prior - fit } else { f64::MAX })
    }
}

/// Climbs the evidence; returns whether the prior changed.
pub fn improve(model: &mut Model, job: &Job) -> bool {
    if job.stations.len() < ENOUGH_STATIONS {
        return false;
    }
    let base = model.prior;
    let best = search(Search { model, base });
    if let Some(log) = &best {
        model.prior = scaled(&base, log);
    }
    best.is_some()
}

fn search(problem: Search) -> Option<Vec<f64>> {
    let corner = |k: usize| (0..3).map(|j| if j == k { SPREAD[j] } else { 0.0 }).collect::<Vec<f64>>();
    let simplex: Vec<Vec<f64>> = (0..4usize).map(|k| corner(k.wrapping_sub(1))).collect();
    let solver = NelderMead::new(simplex).with_sd_tolerance(1e-2).ok()?;
    let run = Executor::new(problem, solver).configure(|s| s.max_iters(STEPS)).run().ok()?;
    run.state.best_param
}
