//! Settings that are wrong: what the maker states is not how it is.

use crate::job::{Angle, Job, Mold, ReadingErrors, Round};

use super::dice::Dice;

/// One thing that the maker states wrongly.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wrong {
    /// Readings are three times as noisy as stated.
    Noisier,
    /// Readings are three times as good as stated.
    Finer,
    /// Shavings are twice as thick as stated.
    Thicker,
    /// Shavings are half as thick as stated.
    Thinner,
    /// Bevels are stated 2 degrees too large.
    Steeper,
    /// Bevels are stated 2 degrees too small.
    Flatter,
    /// A round mold is called faceted, and the other way round.
    Mold,
    /// One reading of the first or second round is mistyped.
    Mistyped,
}

/// How far bevels are off: two degrees.
const BEVEL_OFF: Angle = Angle::radians(std::f64::consts::PI / 90.0);

impl Wrong {
    /// All of them.
    pub const ALL: [Wrong; 8] = [
        Wrong::Noisier,
        Wrong::Finer,
        Wrong::Thicker,
        Wrong::Thinner,
        Wrong::Steeper,
        Wrong::Flatter,
        Wrong::Mold,
        Wrong::Mistyped,
    ];

    /// Its name at the prompt.
    pub fn name(self) -> &'static str {
        match self {
            Wrong::Noisier => "noisier",
            Wrong::Finer => "finer",
            Wrong::Thicker => "thicker",
            Wrong::Thinner => "thinner",
            Wrong::Steeper => "steeper",
            Wrong::Flatter => "flatter",
            Wrong::Mold => "mold",
            Wrong::Mistyped => "mistyped",
        }
    }

    /// What is wrong, in a few words.
    pub fn describe(self) -> &'static str {
        match self {
            Wrong::Noisier => "readings three times as noisy as stated",
            Wrong::Finer => "readings three times as good as stated",
            Wrong::Thicker => "shavings twice as thick as stated",
            Wrong::Thinner => "shavings half as thick as stated",
            Wrong::Steeper => "bevels stated 2 degrees too large",
            Wrong::Flatter => "bevels stated 2 degrees too small",
            Wrong::Mold => "the wrong kind of mold",
            Wrong::Mistyped => "one reading mistyped",
        }
    }

    /// How it is, where the maker states `job`; bevels and mold stay, see [`Wrong::stated`].
    pub(super) fn truth(self, job: &Job) -> Job {
        let (errors, shaving) = match self {
            Wrong::Noisier => (3.0, 1.0),
            Wrong::Finer => (1.0 / 3.0, 1.0),
            Wrong::Thicker => (1.0, 2.0),
            Wrong::Thinner => (1.0, 0.5),
            _ => (1.0, 1.0),
        };
        let mut truth = job.clone();
        let e = &mut truth.reading;
        *e = ReadingErrors { gap: errors * e.gap, lift: errors * e.lift, ..*e };
        truth.planes.iter_mut().for_each(|p| p.shaving *= shaving);
        truth
    }

    /// What the maker states of a joint that is as in `job`.
    pub(super) fn stated(self, mut job: Job) -> Job {
        let off = match self {
            Wrong::Steeper => BEVEL_OFF,
            Wrong::Flatter => -1.0 * BEVEL_OFF,
            Wrong::Mold => return other_mold(job),
            _ => return job,
        };
        for station in &mut job.stations {
            station.bevel += off;
            // Measured with the same gauge, off by as much on either side of the rib.
            station.outer_bevel = station.outer_bevel.map(|b| b + 2.0 * off);
        }
        job
    }

    /// Spoils a round as it is entered, if this is about typing.
    pub(super) fn mistype(self, round: &mut Round, number: usize, seed: u64) {
        let mut dice = Dice::new(seed ^ 0x5eed);
        if self != Wrong::Mistyped || number != dice.whole(1, 2) {
            return;
        }
        let last = round.readings.len() - 1;
        let reading = &mut round.readings[dice.whole(0, last)];
        // A slipped point is the commonest slip (common practice, no source).
        match dice.whole(0, 1) {
            0 => reading.overlap = reading.overlap.map(|o| 10.0 * o),
            _ => reading.lift = reading.lift.map(|l| 10.0 * l),
        }
    }
}

/// The bevels that a maker leaves out follow the kind of mold, so they go too.
fn other_mold(mut job: Job) -> Job {
    job.mold = if job.mold == Mold::Round { Mold::Faceted } else { Mold::Round };
    for station in &mut job.stations {
        let (inner, outer) = match job.mold {
            Mold::Round => (Angle::ZERO, 2.0 * station.bevel),
            Mold::Faceted => (station.bevel, station.bevel),
        };
        (station.inner_bevel, station.outer_bevel) = (Some(inner), Some(outer));
    }
    job
}
