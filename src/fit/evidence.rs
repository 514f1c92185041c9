//! Amplitudes, smoothness and reading errors by the evidence.
//!
//! The marginal likelihood of the readings, with weak priors on the logarithms
//! of the amplitudes, is climbed by the simplex of Nelder and Mead (argmin).
//! With too little to go by, the defaults stand.

use argmin::core::{CostFunction, Error, Executor};
use argmin::solver::neldermead::NelderMead;

use super::posterior::Weighed;
use super::prior::Amplitudes;

/// Stations below which the defaults stand.
const ENOUGH_STATIONS: usize = 5;
/// Steps of the simplex; each costs one factorisation.
const STEPS: u64 = 15;

/// Minus the log evidence and the log prior of amplitudes, over their logarithms.
struct Cost<'a> {
    weighed: Weighed<'a>,
}

impl CostFunction for Cost<'_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, log: &Vec<f64>) -> Result<f64, Error> {
        let prior = self.weighed.prior;
        let fit = self.weighed.log_evidence(&prior.scaled(log));
        Ok(if fit.is_finite() { prior.unlikely(log) - fit } else { f64::MAX })
    }
}

/// Climbs the evidence from the amplitudes `now`; the amplitudes found.
pub fn improved(weighed: Weighed, stations: usize, now: &Amplitudes) -> Amplitudes {
    if stations < ENOUGH_STATIONS {
        return *now;
    }
    let prior = weighed.prior;
    let base = prior.amplitudes;
    let ratios = [
        now.waves.amplitude / base.waves.amplitude,
        now.spring.amplitude / base.spring.amplitude,
        now.errors / base.errors,
    ];
    let found = search(Cost { weighed }, ratios.map(f64::ln), prior.spread);
    found.map_or(*now, |log| prior.scaled(&log))
}

/// Starts from a simplex with a corner one standard deviation off in each direction.
fn search(cost: Cost, from: [f64; 3], spread: [f64; 3]) -> Option<Vec<f64>> {
    let corner =
        |k: usize| (0..3).map(|j| from[j] + if j == k { spread[j] } else { 0.0 }).collect::<Vec<f64>>();
    let simplex: Vec<Vec<f64>> = (0..4usize).map(|k| corner(k.wrapping_sub(1))).collect();
    let solver = NelderMead::new(simplex).with_sd_tolerance(1e-2).ok()?;
    let run = Executor::new(cost, solver).configure(|s| s.max_iters(STEPS)).run().ok()?;
    run.state.best_param
}
