//! Worlds that aren't as the program takes them to be: molds, hands, feelers.
//!
//! The estimate takes a true mold, a rib held alike in every round, errors that are independent and
//! cuts that are the plane's. Each world breaks one of these; several can hold together, also with
//! something that is stated wrongly ([`super::wrong`]). All figures are assumptions (no source).

use std::f64::consts::{PI, TAU};

use crate::job::Job;
use crate::joint::{Clearances, Joint};
use crate::seat::elastic::Spread;

use super::dice::Dice;
use super::rib::{KnownJoint, Wood};

/// One way in which the world isn't as the program takes it to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum World {
    /// The mold is low at one place.
    LowMold,
    /// The hand that reads presses gaps shut.
    Pressed,
    /// The rib is twisted a little otherwise in each round.
    Twisted,
    /// Readings are too large.
    TooLarge,
    /// Errors are alike at neighbouring stations.
    Alike,
    /// More is planed at the ends.
    MoreAtEnds,
    /// The rib gives way under the hand.
    GivesWay,
}

/// How low a mold is, mm, over so many mm along the joint, and over how many it runs out.
const LOW: (f64, f64, f64) = (0.3, 60.0, 15.0);
/// By how much a hand closes a gap, or a rib is twisted, mm: from, to.
const BY_HAND: (f64, f64) = (0.1, 0.3);
/// By how much readings are too large, mm.
const TOO_LARGE: f64 = 0.05;
/// Errors this far apart, mm, correlate by `1 / e`.
const ALIKE: f64 = 120.0;
/// How much more is planed at the very ends, as a share, and over what share of the joint's length
/// that falls to nothing.
const MORE: (f64, f64) = (0.3, 1.0 / 6.0);
/// What a rib that gives way is made of, how thick it is, mm, and under how many newtons it is read,
/// from, to, each round otherwise; it is glued under the middle of them.
const GIVES: (&str, f64) = ("black walnut", 1.6);
const HAND: (f64, f64) = (2.0, 10.0);

impl World {
    /// All of them.
    pub const ALL: [World; 7] = [
        World::LowMold,
        World::Pressed,
        World::Twisted,
        World::TooLarge,
        World::Alike,
        World::MoreAtEnds,
        World::GivesWay,
    ];

    /// Its name at the prompt.
    pub fn name(self) -> &'static str {
        match self {
            World::LowMold => "low-mold",
            World::Pressed => "pressed",
            World::Twisted => "twisted",
            World::TooLarge => "too-large",
            World::Alike => "alike",
            World::MoreAtEnds => "more-at-ends",
            World::GivesWay => "gives-way",
        }
    }

    /// How it is, in a few words.
    pub fn describe(self) -> &'static str {
        match self {
            World::LowMold => "the mold low by 0.3 mm over 60 mm",
            World::Pressed => "gaps pressed shut by 0.1 to 0.3 mm while reading",
            World::Twisted => "the rib twisted by 0.1 to 0.3 mm, each round otherwise",
            World::TooLarge => "readings 0.05 mm too large",
            World::Alike => "errors alike over 120 mm",
            World::MoreAtEnds => "30 % more planed at the ends",
            World::GivesWay => "a rib of 1.6 mm that gives way under 2 to 10 newtons",
        }
    }
}

/// Which of them hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Worlds([bool; World::ALL.len()]);

impl FromIterator<World> for Worlds {
    fn from_iter<I: IntoIterator<Item = World>>(worlds: I) -> Worlds {
        let mut all = Worlds::default();
        worlds.into_iter().for_each(|world| all.0[world as usize] = true);
        all
    }
}

impl Worlds {
    /// Whether one holds.
    pub fn has(self, world: World) -> bool {
        self.0[world as usize]
    }

    /// Those that hold.
    pub fn iter(self) -> impl Iterator<Item = World> {
        World::ALL.into_iter().filter(move |world| self.has(*world))
    }

    /// How low the mold is at each point of an arc, mm.
    pub(super) fn low(self, arc: &[f64], seed: u64) -> Vec<f64> {
        let (depth, long, out) = LOW;
        let length = arc.last().copied().unwrap_or(0.0);
        let middle = Dice::new(seed ^ 0x10_3014).between(long / 2.0, length - long / 2.0);
        let depth = if self.has(World::LowMold) { depth } else { 0.0 };
        let lowered = |s: &f64| depth * (1.0 - ((s - middle).abs() - long / 2.0) / out).clamp(0.0, 1.0);
        arc.iter().map(lowered).collect()
    }

    /// How many times the shaving a push takes at each point of an arc.
    pub(super) fn planed(self, arc: &[f64]) -> Vec<f64> {
        let (more, part) = if self.has(World::MoreAtEnds) { MORE } else { (0.0, 1.0) };
        let length = arc.last().copied().unwrap_or(0.0).max(1.0);
        let end = |s: &f64| s.min(length - s) / length;
        arc.iter().map(|s| 1.0 + more * (1.0 - end(s) / part).max(0.0)).collect()
    }

    /// The correlation of each station's error with that of the one before.
    pub(super) fn alike(self, known: &KnownJoint) -> Vec<f64> {
        let arc = known.at_stations(&known.arc);
        let mut shares = vec![0.0; arc.len()];
        if self.has(World::Alike) {
            let steps = arc.windows(2).map(|w| w[1] - w[0]);
            shares[1..].iter_mut().zip(steps).for_each(|(share, step)| *share = libm::exp(-step / ALIKE));
        }
        shares
    }
}

/// What one run meets of its worlds; what differs from round to round is drawn as it comes.
pub(super) struct Met {
    worlds: Worlds,
    dice: Dice,
    /// The rib that gives way.
    rib: Option<Spread>,
}

impl Met {
    pub(super) fn new(worlds: Worlds, known: &KnownJoint, seed: u64) -> Met {
        let job = Job { wood: Some(GIVES.0.to_owned()), thickness: Some(GIVES.1), ..known.job() };
        let gives = worlds.has(World::GivesWay);
        let rib = gives.then(|| Spread::of(&job, &Joint::of(&job)).ok()).flatten();
        Met { worlds, dice: Dice::new(seed ^ 0x3013d), rib }
    }

    /// The wood as it is held in the next round.
    pub(super) fn held(&mut self, known: &KnownJoint, wood: &Wood) -> Wood {
        let mut held = wood.clone();
        if self.worlds.has(World::Twisted) {
            let (size, phase) = (self.dice.between(BY_HAND.0, BY_HAND.1), self.dice.between(0.0, TAU));
            let length = known.arc.last().copied().unwrap_or(1.0);
            let twist = known.arc.iter().map(|s| size * libm::sin(PI * s / length + phase));
            held.spring.iter_mut().zip(twist).for_each(|(f, t)| *f += t);
        }
        held
    }

    /// What would be read, without an error, of how the rib lies.
    pub(super) fn shown(&mut self, clearances: Vec<Clearances>) -> Vec<Clearances> {
        let newtons = if self.rib.is_some() { self.dice.between(HAND.0, HAND.1) } else { 0.0 };
        let mut clearances = self.under(newtons, clearances);
        if self.worlds.has(World::Pressed) {
            let by = self.dice.between(BY_HAND.0, BY_HAND.1);
            clearances.iter_mut().for_each(|c| c.gap = (c.gap - by).max(0.0));
        }
        if self.worlds.has(World::TooLarge) {
            clearances.iter_mut().for_each(|c| (c.gap, c.lift) = (c.gap + TOO_LARGE, c.lift + TOO_LARGE));
        }
        clearances
    }

    /// How the rib lies when it is glued.
    pub(super) fn glued(&self, clearances: Vec<Clearances>) -> Vec<Clearances> {
        self.under((HAND.0 + HAND.1) / 2.0, clearances)
    }

    fn under(&self, newtons: f64, rigid: Vec<Clearances>) -> Vec<Clearances> {
        let lies = self.rib.as_ref().and_then(|rib| rib.under(newtons, &rigid).ok());
        lies.unwrap_or(rigid)
    }
}
