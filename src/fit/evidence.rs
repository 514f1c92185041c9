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

/// No multiplier leaves where it started by more than this many of its prior's standard
/// deviations: readings without any error, as no maker has them, would else speak for any
/// amplitude.
const FURTHEST: f64 = 4.0;

/// `base` times the exponentials of `log`: waves, spring, reading errors, whose logarithms have
/// the standard deviations `spread`.
fn scaled(base: &Amplitudes, log: &[f64], spread: &[f64; 3]) -> Amplitudes {
    let factor = |k: usize| log[k].clamp(-FURTHEST * spread[k], FURTHEST * spread[k]).exp();
    let mut amplitudes = *base;
    amplitudes.waves.amplitude *= factor(0);
    amplitudes.spring.amplitude *= factor(1);
    amplitudes.errors *= factor(2);
    amplitudes
}

/// Minus the log evidence and the log prior of amplitudes, over their logarithms.
struct Cost<'a> {
    weighed: Weighed<'a>,
}

/// Minus the log density of the logarithms beforehand, normal with mean zero; up to a constant.
fn beforehand(log: &[f64], spread: &[f64; 3]) -> f64 {
    log.iter().zip(spread).map(|(v, sd)| 0.5 * (v / sd).powi(2)).sum()
}

impl CostFunction for Cost<'_> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, log: &Vec<f64>) -> Result<f64, Error> {
        let prior = self.weighed.prior;
        let fit = self.weighed.log_evidence(&scaled(&prior.amplitudes, log, &prior.spread));
        Ok(if fit.is_finite() { beforehand(log, &prior.spread) - fit } else { f64::MAX })
    }
}

/// Climbs the evidence from the amplitudes `now`; the amplitudes found.
pub fn improved(weighed: Weighed, stations: usize, now: &Amplitudes) -> Amplitudes {
    if stations < ENOUGH_STATIONS {
        return *now;
    }
    let (base, spread) = (weighed.prior.amplitudes, weighed.prior.spread);
    let ratios = [
        now.waves.amplitude / base.waves.amplitude,
        now.spring.amplitude / base.spring.amplitude,
        now.errors / base.errors,
    ];
    let found = search(Cost { weighed }, ratios.map(f64::ln), spread);
    found.map_or(*now, |log| scaled(&base, &log, &spread))
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Half the square in standard deviations, of each multiplier by its own.
    #[test]
    fn far_amplitudes_are_unlikely_beforehand() {
        let spread = [0.5, 0.7, 0.25];
        assert_eq!(beforehand(&[0.0; 3], &spread), 0.0);
        assert_eq!(beforehand(&[0.5, 0.0, 0.0], &spread), 0.5);
        assert_eq!(beforehand(&[-1.0, 0.0, 0.25], &spread), 2.5);
    }

    #[test]
    fn each_multiplier_has_its_amplitude_and_its_end() {
        let base = Amplitudes::default();
        let at = scaled(&base, &[0.1, -0.2, 9.0], &[0.5, 0.7, 0.25]);
        assert!((at.waves.amplitude / base.waves.amplitude - 0.1_f64.exp()).abs() < 1e-12);
        assert!((at.spring.amplitude / base.spring.amplitude - (-0.2_f64).exp()).abs() < 1e-12);
        assert!((at.errors / base.errors - 1.0_f64.exp()).abs() < 1e-12);
    }
}
