//! What is asked, what can be decided, and why a choice is refused.

use serde::{Deserialize, Serialize};

use super::Lesson;
use crate::maths::hinge::Failure;

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

impl Lesson {
    /// A few choices worth looking at, right and wrong ones, where nobody is asked.
    pub fn tries(&self) -> Vec<Choice> {
        match &self.ask {
            Ask::One { options } => (0..options.len()).map(Choice::One).collect(),
            Ask::Pushes { planes, .. } => {
                let each = |count| (0..planes.len()).map(move |plane| Choice::Pushes { plane, count });
                [3, 6, 12].into_iter().flat_map(each).collect()
            }
            Ask::Shavings { shaving, most } => self.planed(*shaving, *most),
        }
    }

    /// At the daylight, or nothing where there is hardly any; at a bearing; the least wood in whole shavings, and twice that.
    fn planed(&self, shaving: f64, most: u32) -> Vec<Choice> {
        let least = self.rib.least(0.0, self.aim.lift.map(|lift| lift / 2.0)).unwrap_or_default();
        let times = |k: f64| {
            let whole = least.iter().map(|r| ((k * r / shaving).round() as u32).min(most));
            Choice::Shavings(whole.collect())
        };
        let alone = |at: Option<usize>| {
            Choice::Shavings((0..self.stations.len()).map(|i| if at == Some(i) { 3 } else { 0 }).collect())
        };
        let daylight = self.aim.lift.is_none().then_some(self.before.widest_gap().0);
        vec![alone(daylight), alone(self.before.bearings.first().copied()), times(1.0), times(2.0)]
    }

    pub(super) fn check(&self, choice: &Choice) -> Result<(), Refused> {
        let within = |given: u32, most: u32| match given > most {
            true => Err(Refused::TooMany { given, most }),
            false => Ok(()),
        };
        let there = |given: usize, there: usize| match given < there {
            true => Ok(()),
            false => Err(Refused::NoSuch { given: given + 1, there }),
        };
        match (&self.ask, choice) {
            (Ask::Shavings { most, .. }, Choice::Shavings(counts)) => {
                let (given, stations) = (counts.len(), self.stations.len());
                if given != stations {
                    return Err(Refused::Stations { given, stations });
                }
                within(counts.iter().copied().max().unwrap_or(0), *most)
            }
            (Ask::Pushes { planes, most }, Choice::Pushes { plane, count }) => {
                there(*plane, planes.len())?;
                within(*count, *most)
            }
            (Ask::One { options }, Choice::One(one)) => there(*one, options.len()),
            _ => Err(Refused::OtherKind),
        }
    }
}
