//! The spring of a place's own: the mold low there, a lump of glue, a kink of the rib.
//!
//! A smooth spring can't bend sharply, so that a lift that stays at one or two stations through all
//! rounds would be taken for noise. So each place has a spring of its own beside the smooth one.
//! At most places there is none, at a few a large one: beforehand a Student t of scale `s` with one
//! degree of freedom, as a normal whose precision is unknown. Where mean and variance of the own
//! spring `x` are known, that precision is expected to be `2 / (s^2 + E[x^2])` (variational Bayes,
//! textbook; from memory). Begun wide, it narrows wherever no reading speaks for a spring.

use super::prior::Amplitudes;

/// The standard deviation to begin with, in scales.
const WIDE: f64 = 8.0;
/// How far a clearance moves where a standard deviation does, as a share: less than this.
pub const FOLLOWS: f64 = 0.1;

/// Standard deviation before any reading was weighed, mm.
pub fn widest(amplitudes: &Amplitudes) -> f64 {
    WIDE * amplitudes.own
}

/// Standard deviation of a spring known to `mean` and `variance`, mm.
pub fn narrowed(amplitudes: &Amplitudes, mean: f64, variance: f64) -> f64 {
    ((amplitudes.own.powi(2) + mean * mean + variance) / 2.0).sqrt()
}
