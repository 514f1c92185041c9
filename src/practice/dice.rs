//! Random numbers that come out the same for the same seed, on every machine.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};

use crate::maths::normal;

/// A source of random numbers that gives the same ones for the same seed.
pub struct Dice(ChaCha8Rng);

impl Dice {
    /// Dice for a seed.
    pub fn new(seed: u64) -> Dice {
        Dice(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A number evenly between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.0.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A whole number from `low` to `high`, both included.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        low + (self.0.next_u64() % (high - low + 1) as u64) as usize
    }

    /// A standard normal number.
    pub fn normal(&mut self) -> f64 {
        normal::draw(&mut self.0)
    }
}
