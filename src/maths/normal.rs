//! The standard normal distribution, to the same digits on every machine.

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use rand_chacha::rand_core::RngCore;
use rand_distr::{Distribution, StandardNormal};

/// Beyond it a draw comes by the C library's logarithm, whose last bits differ between machines.
const TAIL: f64 = 3.6;

/// As finely as a draw in the tail is kept: far above those last bits.
const KEPT: f64 = (1u64 << 36) as f64;

/// A standard normal number.
pub fn draw(rng: &mut impl RngCore) -> f64 {
    let normal: f64 = StandardNormal.sample(rng);
    if normal.abs() < TAIL { normal } else { (normal * KEPT).round() / KEPT }
}

/// The density at `z`; 0 where `z` is infinite.
pub fn density(z: f64) -> f64 {
    libm::exp(-z * z / 2.0) / TAU.sqrt()
}

/// The distribution function: the chance of less than `z`, by the complementary error function.
pub fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}
