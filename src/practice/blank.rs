//! Invented joints and blanks of known wood.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};
use rand_distr::{Distribution, StandardNormal};

use crate::job::{Job, Plane, ReadingErrors, Tolerance};

use super::mold::Mold;
use super::rib::{KnownJoint, Wood};

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
        StandardNormal.sample(&mut self.0)
    }
}

/// An invented joint, its blank, and what is needed to work on it.
#[derive(Debug, Clone)]
pub struct Task {
    /// The joint, exactly.
    pub known: KnownJoint,
    /// The blank's wood.
    pub blank: Wood,
    /// Stations, planes, tolerances, errors as the maker states them.
    pub job: Job,
}

/// An invented mold, round or flattened.
pub fn mold(dice: &mut Dice, flattened: bool) -> Mold {
    let length = dice.between(340.0, 520.0);
    let shape = if flattened { (dice.between(0.6, 0.9), dice.between(-0.15, 0.1)) } else { (1.0, 0.0) };
    Mold {
        length,
        half_width: length * dice.between(0.28, 0.4),
        belly: dice.between(1.0, 1.4),
        bluntness: dice.between(0.7, 0.95),
        depth: shape.0,
        depth_change: shape.1,
        ribs: dice.whole(9, 21),
    }
}

/// An invented blank: spare wood, a wrong plane, long waves, bumps, spring.
pub fn blank(dice: &mut Dice, known: &KnownJoint) -> Wood {
    let mut edge = known.planar(dice.between(0.1, 0.4), 0.12 * dice.normal(), 0.15 * dice.normal());
    let length = known.arc.last().copied().unwrap_or(1.0);
    for k in 2..=4 {
        let (size, phase) = (0.4 / k as f64 * dice.normal(), dice.between(0.0, std::f64::consts::TAU));
        add(&mut edge, &known.arc, |s| size * (std::f64::consts::PI * k as f64 * s / length + phase).sin());
    }
    for _ in 0..dice.whole(0, 2) {
        let (at, size, width) =
            (dice.between(0.0, length), dice.between(0.05, 0.25), dice.between(25.0, 50.0));
        add(&mut edge, &known.arc, |s| size * (-((s - at) / width).powi(2) / 2.0).exp());
    }
    // The blank was sawn with wood to spare: some everywhere.
    let least = edge.iter().copied().fold(f64::INFINITY, f64::min);
    let spare = dice.between(0.1, 0.5);
    edge.iter_mut().for_each(|e| *e += spare - least);
    let mut spring = vec![0.0; edge.len()];
    let (size, phase) = (0.03 * dice.normal(), dice.between(0.0, std::f64::consts::TAU));
    add(&mut spring, &known.arc, |s| size * (std::f64::consts::TAU * s / length + phase).sin());
    Wood { edge, spring }
}

fn add(values: &mut [f64], arc: &[f64], f: impl Fn(f64) -> f64) {
    values.iter_mut().zip(arc).for_each(|(v, s)| *v += f(*s));
}

/// An invented task for a seed: mixed shapes, stations, noise and shavings.
pub fn mixed(seed: u64) -> Task {
    let mut dice = Dice::new(seed);
    let flattened = dice.whole(0, 1) == 1;
    let mold = mold(&mut dice, flattened);
    let joint = dice.whole(1, mold.ribs - 1);
    let stations = dice.whole(7, 21);
    let known = KnownJoint::new(&mold, joint, stations, 1);
    let blank = blank(&mut dice, &known);
    let gap = dice.between(0.05, 0.2);
    let shaving = dice.between(0.04, 0.15);
    let job = Job {
        reading: ReadingErrors { gap, lift: 1.5 * gap, ..ReadingErrors::default() },
        tolerance: Tolerance { gap: 0.15, lift: 0.15, ..Tolerance::default() },
        planes: vec![Plane { shaving, ..Plane::default() }],
        ..known.job()
    };
    Task { known, blank, job }
}

/// One of four plain tasks: 0.1 mm noise on gaps, 0.15 mm on lifts, shavings of 0.08 mm.
pub fn plain(seed: u64) -> Task {
    sized(seed, 13)
}

/// The same with another number of stations.
pub fn sized(seed: u64, stations: usize) -> Task {
    let mut dice = Dice::new(seed);
    let mold = mold(&mut dice, seed % 4 > 1);
    let joint = mold.ribs / 3 + 1;
    let known = KnownJoint::new(&mold, joint, stations, 1);
    let blank = blank(&mut dice, &known);
    let job = Job { tolerance: Tolerance { gap: 0.15, lift: 0.15, ..Tolerance::default() }, ..known.job() };
    Task { known, blank, job }
}
