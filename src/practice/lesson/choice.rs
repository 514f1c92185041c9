//! What is asked, what can be decided, and why a choice is refused.

use serde::{Deserialize, Serialize};

use crate::maths::program::Failure;

/// What the apprentice is asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Ask {
    /// At each station a number of shavings; none at all is an answer too.
    Shavings {
        /// Thickness of one, mm.
        #[serde(rename = "shaving_mm")]
        shaving: f64,
        /// The most at one station.
        most: u32,
    },
    /// A plane, and how often it is pushed from end to end.
    Pushes {
        /// The planes' names.
        planes: Vec<String>,
        /// The most pushes.
        most: u32,
    },
    /// One of a few ways.
    One {
        /// The ways, in the order a, b, c.
        options: Vec<String>,
    },
}

/// What the apprentice decides.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Choice {
    /// Shavings, one number a station.
    Shavings(Vec<u32>),
    /// A plane (index) and its pushes from end to end.
    Pushes {
        /// Index of the plane.
        plane: usize,
        /// Pushes.
        count: u32,
    },
    /// One of the ways (index).
    One(usize),
}

/// A choice that the lesson can't take, with what it takes.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refused {
    /// Another kind of answer is asked for.
    #[error("the question asks for something else")]
    OtherKind,
    /// Not one number a station.
    #[error("{given} numbers of shavings for {stations} stations: give one a station")]
    Stations {
        /// Numbers given.
        given: usize,
        /// Stations there are.
        stations: usize,
    },
    /// More than can be tried.
    #[error("{given} is more than this rib can lose: at most {most}")]
    TooMany {
        /// What was given.
        given: u32,
        /// The most.
        most: u32,
    },
    /// No such plane or way.
    #[error("there is no number {given}: there are {there}")]
    NoSuch {
        /// Number given, from 1.
        given: usize,
        /// How many there are.
        there: usize,
    },
    /// The rib can't be seated.
    #[error("the rib could not be seated: {0:?}")]
    Seating(Failure),
}

impl From<Failure> for Refused {
    fn from(failure: Failure) -> Self {
        Refused::Seating(failure)
    }
}
