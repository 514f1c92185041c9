//! Invented joints and blanks of known wood.

use serde::Serialize;

use crate::job::{Job, Plane, ReadingErrors, Tolerance};

use super::dice::Dice;
use super::mold::Mold;
use super::rib::{KnownJoint, Wood};
use super::world::Worlds;
use super::wrong::Wrong;

/// An invented joint, its blank, and what is needed to work on it.
#[derive(Debug, Clone)]
pub struct Task {
    /// The joint, exactly.
    pub known: KnownJoint,
    /// The blank's wood.
    pub blank: Wood,
    /// Stations, planes, tolerances, errors as the maker states them.
    pub job: Job,
    /// The same as they are.
    pub truth: Job,
    /// What the maker states wrongly, if anything.
    pub wrong: Option<Wrong>,
    /// What isn't as the program takes it to be.
    pub worlds: Worlds,
}

impl Task {
    /// A task on a joint that is as in `job`, but for what the maker states wrongly.
    pub fn new(known: KnownJoint, blank: Wood, job: Job, wrong: Option<Wrong>) -> Task {
        let truth = wrong.map_or_else(|| job.clone(), |w| w.truth(&job));
        let job = wrong.map_or_else(|| job.clone(), |w| w.stated(job.clone()));
        Task { known, blank, job, truth, wrong, worlds: Worlds::default() }
    }
}

/// Which bowls to invent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Bowls {
    /// Half circles across.
    Round,
    /// Shallower than half circles.
    Flattened,
    /// Both kinds.
    #[default]
    Mixed,
}

/// How to invent tasks: what is left open is drawn by each task's seed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Recipe {
    /// One of four plain bowls with 13 stations and the errors and the
    /// shaving of [`ReadingErrors`] and [`Plane`], instead of everything mixed.
    pub plain: bool,
    /// Which bowls.
    pub bowl: Bowls,
    /// Ribs over the half round, at least 3.
    pub ribs: Option<usize>,
    /// Which joint, from 1 to one less than the ribs; it is brought into that range.
    pub joint: Option<usize>,
    /// Stations, at least 3.
    pub stations: Option<usize>,
    /// Standard deviation of a gap's reading, mm; a lift's is half as much again.
    pub noise: Option<f64>,
    /// Thickness of a shaving, mm.
    pub shaving: Option<f64>,
    /// Points of the edge from one station to the next, at which it can touch
    /// as well; 0 and 1 mean at the stations only.
    pub refine: usize,
    /// Spare width, mm; 3 mm unless set.
    pub spare: Option<f64>,
    /// What the maker states wrongly, if anything.
    pub wrong: Option<Wrong>,
    /// What isn't as the program takes it to be.
    pub worlds: Worlds,
}

impl Recipe {
    /// The task of a seed.
    pub fn task(&self, seed: u64) -> Task {
        let mut dice = Dice::new(seed);
        let (mold, joint) = if self.plain { self.plain_bowl(seed) } else { self.mixed_bowl(&mut dice) };
        let stations = if self.plain { 13 } else { dice.whole(7, 21) };
        let stations = self.stations.unwrap_or(stations).max(3);
        let mut known = KnownJoint::new(&mold, joint, stations, self.refine.max(1));
        known.low = self.worlds.low(&known.arc, seed);
        let blank = blank(&mut dice, &known);
        let (noise, shaving) =
            if self.plain { (0.1, 0.08) } else { (dice.between(0.05, 0.2), dice.between(0.04, 0.15)) };
        let noise = self.noise.unwrap_or(noise);
        let shaving = self.shaving.unwrap_or(shaving);
        let job = Job {
            reading: ReadingErrors { gap: noise, lift: 1.5 * noise, ..ReadingErrors::default() },
            tolerance: Tolerance { gap: 0.15, lift: 0.15, ..Tolerance::default() },
            planes: vec![Plane { shaving, ..Plane::default() }],
            spare: self.spare.or(known.job().spare),
            ..known.job()
        };
        Task { worlds: self.worlds, ..Task::new(known, blank, job, self.wrong) }
    }

    fn mixed_bowl(&self, dice: &mut Dice) -> (Mold, usize) {
        let drawn = dice.whole(0, 1) == 1;
        let flattened = self.flattened(drawn);
        let mold = self.with_ribs(mold(dice, flattened));
        let joint = dice.whole(1, mold.ribs - 1);
        let joint = self.joint_of(&mold, joint);
        (mold, joint)
    }

    fn plain_bowl(&self, seed: u64) -> (Mold, usize) {
        let bowl = seed as usize % 2 + if self.flattened(seed % 4 > 1) { 2 } else { 0 };
        let mold = self.with_ribs(PLAIN_BOWLS[bowl].clone());
        let joint = self.joint_of(&mold, mold.ribs / 3 + 1);
        (mold, joint)
    }

    fn flattened(&self, drawn: bool) -> bool {
        match self.bowl {
            Bowls::Round => false,
            Bowls::Flattened => true,
            Bowls::Mixed => drawn,
        }
    }

    fn with_ribs(&self, mold: Mold) -> Mold {
        Mold { ribs: self.ribs.unwrap_or(mold.ribs).max(3), ..mold }
    }

    fn joint_of(&self, mold: &Mold, drawn: usize) -> usize {
        self.joint.unwrap_or(drawn).clamp(1, mold.ribs - 1)
    }
}

/// Four invented bowls, two round and two flattened.
const PLAIN_BOWLS: [Mold; 4] = [
    Mold {
        length: 480.0,
        half_width: 165.0,
        belly: 1.2,
        bluntness: 0.8,
        depth: 1.0,
        depth_change: 0.0,
        ribs: 15,
    },
    Mold {
        length: 390.0,
        half_width: 125.0,
        belly: 1.35,
        bluntness: 0.9,
        depth: 1.0,
        depth_change: 0.0,
        ribs: 11,
    },
    Mold {
        length: 440.0,
        half_width: 150.0,
        belly: 1.1,
        bluntness: 0.75,
        depth: 0.75,
        depth_change: -0.1,
        ribs: 13,
    },
    Mold {
        length: 510.0,
        half_width: 180.0,
        belly: 1.3,
        bluntness: 0.85,
        depth: 0.65,
        depth_change: 0.05,
        ribs: 19,
    },
];

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
        add(&mut edge, &known.arc, |s| {
            size * libm::sin(std::f64::consts::PI * k as f64 * s / length + phase)
        });
    }
    for _ in 0..dice.whole(0, 2) {
        let (at, size, width) =
            (dice.between(0.0, length), dice.between(0.05, 0.25), dice.between(25.0, 50.0));
        add(&mut edge, &known.arc, |s| size * libm::exp(-((s - at) / width).powi(2) / 2.0));
    }
    // The blank was sawn with wood to spare: some everywhere.
    let least = edge.iter().copied().fold(f64::INFINITY, f64::min);
    let spare = dice.between(0.1, 0.5);
    edge.iter_mut().for_each(|e| *e += spare - least);
    let mut spring = vec![0.0; edge.len()];
    let (size, phase) = (0.03 * dice.normal(), dice.between(0.0, std::f64::consts::TAU));
    add(&mut spring, &known.arc, |s| size * libm::sin(std::f64::consts::TAU * s / length + phase));
    Wood { edge, spring }
}

fn add(values: &mut [f64], arc: &[f64], f: impl Fn(f64) -> f64) {
    values.iter_mut().zip(arc).for_each(|(v, s)| *v += f(*s));
}

/// An invented task for a seed: mixed shapes, stations, noise and shavings.
pub fn mixed(seed: u64) -> Task {
    Recipe::default().task(seed)
}

/// A plain task: 0.1 mm noise on gaps, 0.15 mm on lifts, shavings of 0.08 mm.
pub fn plain(seed: u64) -> Task {
    sized(seed, 13)
}

/// The same with another number of stations.
pub fn sized(seed: u64, stations: usize) -> Task {
    Recipe { plain: true, stations: Some(stations), ..Recipe::default() }.task(seed)
}
