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

/// No multiplier leaves where it started by more than this many of its prior's standard
/// deviations: readings without any error, as no maker has them, would else speak for any
/// amplitude.
const FURTHEST: f64 = 4.0;

/// The prior with its amplitudes times the exponentials of `log`: waves, spring,
/// reading errors, whose priors have the standard deviations `spread`.
fn scaled(base: &Prior, log: &[f64], spread: &[f64; 3]) -> Prior {
    let factor = |k: usize| log[k].clamp(-FURTHEST * spread[k], FURTHEST * spread[k]).exp();
    let mut prior = *base;
    prior.waves.amplitude *= factor(0);
    prior.spring.amplitude *= factor(1);
    prior.errors *= factor(2);
    prior
}

struct Search<'m, 'a> {
    model: &'m Model<'a>,
    base: Prior,
    spread: [f64; 3],
}

impl CostFunction for Search<'_, '_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, log: &Vec<f64>) -> Result<f64, Error> {
        let prior: f64 = log.iter().zip(self.spread).map(|(v, sd)| 0.5 * (v / sd).powi(2)).sum();
        let fit = self.model.log_evidence(&scaled(&self.base, log, &self.spread));
        Ok(if fit.is_finite() { prior - fit } else { f64::MAX })
    }
}

/// Climbs the evidence from where the model stands and leaves it with the amplitudes found.
pub fn improve(model: &mut Model, job: &Job) {
    if job.stations.len() < ENOUGH_STATIONS {
        return;
    }
    let (base, now) = (model.start.prior, model.prior);
    let spread = model.start.spread;
    let ratios = [
        now.waves.amplitude / base.waves.amplitude,
        now.spring.amplitude / base.spring.amplitude,
        now.errors / base.errors,
    ];
    if let Some(log) = search(Search { model, base, spread }, ratios.map(f64::ln)) {
        model.prior = scaled(&base, &log, &spread);
    }
}

fn search(problem: Search, from: [f64; 3]) -> Option<Vec<f64>> {
    let spread = problem.spread;
    let corner =
        |k: usize| (0..3).map(|j| from[j] + if j == k { spread[j] } else { 0.0 }).collect::<Vec<f64>>();
    let simplex: Vec<Vec<f64>> = (0..4usize).map(|k| corner(k.wrapping_sub(1))).collect();
    let solver = NelderMead::new(simplex).with_sd_tolerance(1e-2).ok()?;
    let run = Executor::new(problem, solver).configure(|s| s.max_iters(STEPS)).run().ok()?;
    run.state.best_param
}
