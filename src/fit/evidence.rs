//! Amplitudes, smoothness and reading errors by the evidence.
//!
//! The marginal likelihood of the readings, with weak priors on the logarithms of the amplitudes,
//! is climbed by its slopes, each logarithm in standard deviations of its prior. So the
//! amplitudes move as smoothly as the readings do. With too little to go by, the defaults stand.

use nalgebra::Vector3;

use crate::maths::descent::{self, Looked};

use super::posterior::Weighed;
use super::prior::Amplitudes;

/// Stations below which the defaults stand.
const ENOUGH_STATIONS: usize = 5;

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
    let logs = |at: &Vector3<f64>| [0, 1, 2].map(|k| at[k] * prior.spread[k]);
    let look = |at: &Vector3<f64>| {
        let log = logs(at);
        let amplitudes = prior.scaled(&log);
        let (gain, estimate) = weighed.log_evidence(&amplitudes)?;
        let climbs = weighed.slopes(&amplitudes, &estimate);
        let slope = |k: usize, _| at[k] - climbs[k] * prior.spread[k];
        Some(Looked { value: prior.unlikely(&log) - gain, slope: Vector3::from_fn(slope) })
    };
    let from = Vector3::from_fn(|k, _| libm::log(ratios[k]) / prior.spread[k]);
    prior.scaled(&logs(&descent::minimum(look, from)))
}
