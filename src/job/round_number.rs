//! A round by its number, which tables, words and answers count from 1.

use std::fmt;
use std::num::NonZeroUsize;

use serde::{Deserialize, Serialize};

use super::{Job, Round};

/// A round's number: 1 for the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct RoundNumber(NonZeroUsize);

impl RoundNumber {
    /// The first round's.
    pub const FIRST: RoundNumber = RoundNumber(NonZeroUsize::MIN);

    /// The number of the round at `index` of [`Job::rounds`].
    pub fn at(index: usize) -> RoundNumber {
        RoundNumber(NonZeroUsize::MIN.saturating_add(index))
    }

    /// The round of a number counted from 1; none for 0.
    pub fn counted(number: usize) -> Option<RoundNumber> {
        NonZeroUsize::new(number).map(RoundNumber)
    }

    /// Its place in [`Job::rounds`].
    pub fn index(self) -> usize {
        self.0.get() - 1
    }
}

impl fmt::Display for RoundNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl std::str::FromStr for RoundNumber {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<RoundNumber, Self::Err> {
        text.parse().map(RoundNumber)
    }
}

impl Job {
    /// A round, if it was read.
    pub fn round(&self, number: RoundNumber) -> Option<&Round> {
        self.rounds.get(number.index())
    }

    /// The last round that was read.
    pub fn last_round(&self) -> Option<RoundNumber> {
        RoundNumber::counted(self.rounds.len())
    }

    /// The round to be read next.
    pub fn next_round(&self) -> RoundNumber {
        RoundNumber::at(self.rounds.len())
    }
}
