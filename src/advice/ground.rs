//! What a verdict rests on: plane, fitted, read again, or no answer.

use serde::Serialize;

use crate::fit::Doubt;

/// What the maker should do now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Take these strokes, then read again.
    Plane,
    /// Stop: gaps and lifts are within tolerance with the stated confidence.
    Fitted,
    /// A reading must be repeated first.
    ReadAgain,
    /// The readings don't determine a safe slice, or aims conflict.
    NoAnswer,
}

/// What a verdict rests on. Stations are indices, chances shares from 0 to 1 that the joint is fitted.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Ground {
    /// Strokes are recorded and nothing was read since.
    PlanedSince,
    /// Wood past the neighbour's wood, by the last round's readings at these stations.
    PastNeighbour { stations: Vec<usize> },
    /// Daylight all along a rib that was to be pushed home; the least of it, mm.
    NotHome { station: usize, gap: f64 },
    /// The readings scatter this many times less than their stated errors.
    TooSmooth { times: f64 },
    /// Ends or stretches of the joint that were never read.
    Unread { stations: Vec<usize> },
    /// Nothing to plane by what was read since the last strokes, which was not all of it.
    PartRead { chance: f64, stations: Vec<usize> },
    /// A reading of the last round doesn't go with the others.
    Doubted(Doubt),
    /// The readings miss any rib.
    Contradiction,
    /// Within tolerance as it lies.
    Fitted { chance: f64 },
    /// Within tolerance once pressed with the maker's force, N.
    Pressed { force: f64, chance: f64 },
    /// Wood is wanted, and strokes are safe.
    Wanted { chance: f64 },
    /// The spare width, mm, is used up.
    SpareUsed { station: usize, spare: f64 },
    /// A lift, mm, that no slice brings down, and no gap to plane for.
    LiftStays { station: usize, lift: f64 },
    /// Rounds without a stroke, and more of them won't settle it.
    NoProgress { chance: f64 },
    /// Not known well enough.
    NotSure { chance: f64 },
}

impl Ground {
    /// The verdict that rests on it.
    pub fn verdict(&self) -> Verdict {
        match self {
            Ground::PlanedSince
            | Ground::PastNeighbour { .. }
            | Ground::NotHome { .. }
            | Ground::TooSmooth { .. }
            | Ground::Unread { .. }
            | Ground::PartRead { .. }
            | Ground::Doubted(_)
            | Ground::NotSure { .. } => Verdict::ReadAgain,
            Ground::Fitted { .. } | Ground::Pressed { .. } => Verdict::Fitted,
            Ground::Wanted { .. } => Verdict::Plane,
            Ground::Contradiction
            | Ground::SpareUsed { .. }
            | Ground::LiftStays { .. }
            | Ground::NoProgress { .. } => Verdict::NoAnswer,
        }
    }

    /// Stations at which the last round can't be believed, or says nothing that is needed.
    pub fn doubted(&self) -> Vec<usize> {
        match self {
            Ground::Doubted(doubt) => vec![doubt.station],
            Ground::PastNeighbour { stations }
            | Ground::Unread { stations }
            | Ground::PartRead { stations, .. } => stations.clone(),
            _ => Vec::new(),
        }
    }
}
