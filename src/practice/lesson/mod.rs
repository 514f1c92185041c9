//! Lessons for apprentices: a rib whose wood is known, one idea, a decision,
//! and what comes of it.
//!
//! A [`Lesson`] is plain data; nothing here prints or draws. The same topic and
//! seed give the same lesson, and [`Lesson::answer`] seats its rib anew for
//! whatever is decided, so every number it states is computed when it is shown.
//!
//! A new lesson is a file here with its `lesson` and `answer`, and its lines in
//! [`Topic`].

mod both_edges;
mod known;
mod lever;
mod noise;
mod slices;
mod soles;
mod verdict;
mod words;

use std::sync::OnceLock;

use serde::{Deserialize, Serialize, Serializer};

pub use known::{Known, Lie};
pub use verdict::Verdict;

use super::session::Played;
use crate::maths::hinge::Failure;

/// What a lesson is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Topic {
    /// A bump and what it carries.
    Lever,
    /// Three slices and what each does to the lift.
    Slices,
    /// Joint edge and outer edge.
    BothEdges,
    /// Long against short soles.
    Soles,
    /// One round's readings against all rounds.
    Noise,
}

impl Topic {
    /// All of them, in the order in which they are best taken.
    pub const ALL: [Topic; 5] = [Topic::Lever, Topic::Slices, Topic::BothEdges, Topic::Soles, Topic::Noise];

    /// Its name on the command line and in files.
    pub fn name(self) -> &'static str {
        match self {
            Topic::Lever => "lever",
            Topic::Slices => "slices",
            Topic::BothEdges => "both-edges",
            Topic::Soles => "soles",
            Topic::Noise => "noise",
        }
    }

    /// The topic of a name.
    pub fn named(name: &str) -> Option<Topic> {
        Topic::ALL.into_iter().find(|t| t.name() == name)
    }

    /// Its title.
    pub fn title(self) -> &'static str {
        match self {
            Topic::Lever => "A bump is a lever",
            Topic::Slices => "What a slice does to the lift",
            Topic::BothEdges => "Two edges, not one",
            Topic::Soles => "Long sole, short sole",
            Topic::Noise => "One round, or all of them",
        }
    }

    /// What one learns, in half a sentence.
    pub fn about(self) -> &'static str {
        match self {
            Topic::Lever => "which stations carry the rib, and what a little off them does elsewhere",
            Topic::Slices => "the same everywhere, a taper, in proportion to the rise: what each brings down",
            Topic::BothEdges => "tight at the joint, proud along the other side",
            Topic::Soles => "which plane takes waves out, and which follows them",
            Topic::Noise => "following each reading, or all rounds together",
        }
    }
}

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

/// What a lesson is content with, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Aim {
    /// Widest gap that may stay.
    #[serde(rename = "gap_mm")]
    pub gap: f64,
    /// Highest lift that may stay; none where the lesson looks at the joint alone.
    #[serde(rename = "lift_mm")]
    pub lift: Option<f64>,
}

/// One lesson on one rib.
#[derive(Debug, Clone, Serialize)]
pub struct Lesson {
    /// What it is about.
    pub topic: Topic,
    /// The seed of its rib.
    pub seed: u64,
    /// Its title.
    pub title: &'static str,
    /// The idea, in less than a hundred words.
    pub idea: String,
    /// What the apprentice sees of this rib, and what is to be decided.
    pub question: String,
    /// In what form.
    pub ask: Ask,
    /// When the rib counts as fitted.
    pub aim: Aim,
    /// The stations' names, in order along the joint.
    pub stations: Vec<String>,
    /// Their distances along the chord, mm.
    #[serde(rename = "along_mm", serialize_with = "millimetres")]
    pub along: Vec<f64>,
    /// How the rib lies before anything is taken.
    pub before: Lie,
    /// Readings of the gap, round by round, where the lesson shows some, mm.
    #[serde(rename = "readings_mm", serialize_with = "tables", skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Vec<f64>>,
    /// The rib itself.
    #[serde(skip)]
    pub rib: Known,
    /// Runs on the bench, played when first asked for.
    #[serde(skip)]
    played: OnceLock<Vec<Played>>,
}

/// What came of a choice. Lengths in mm, one value a station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// The choice in words.
    pub chosen: String,
    /// How good it was.
    pub verdict: Verdict,
    /// Wood taken.
    #[serde(rename = "taken_mm", serialize_with = "millimetres")]
    pub taken: Vec<f64>,
    /// The least wood that closes the joint everywhere and brings the outer edge down.
    #[serde(rename = "least_mm", serialize_with = "millimetres")]
    pub least: Vec<f64>,
    /// Mean of the wood taken over the length of the edge.
    #[serde(rename = "wood_mm", serialize_with = "millimetre")]
    pub wood: f64,
    /// Mean of the least wood.
    #[serde(rename = "least_wood_mm", serialize_with = "millimetre")]
    pub least_wood: f64,
    /// How the rib lies then.
    pub after: Lie,
    /// Height of the edge over the joint surface before and after, where the lesson shows it.
    pub edges: Option<Edges>,
    /// What happened, in a few sentences.
    pub happened: String,
    /// How it compares with the least possible wood.
    pub compared: String,
    /// Why.
    pub why: String,
    /// What the other ways would have done, the chosen one among them.
    pub beside: Vec<Beside>,
}

/// An edge over the joint surface, mm at each station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Edges {
    /// Before.
    #[serde(rename = "before_mm", serialize_with = "millimetres")]
    pub before: Vec<f64>,
    /// After.
    #[serde(rename = "after_mm", serialize_with = "millimetres")]
    pub after: Vec<f64>,
}

/// One way beside the others. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Beside {
    /// The way.
    pub way: String,
    /// Whether it is the one chosen.
    pub chosen: bool,
    /// Rounds it needs, where rounds are played.
    pub rounds: Option<f64>,
    /// Wood it takes, mean over the edge.
    #[serde(rename = "wood_mm", serialize_with = "millimetre")]
    pub wood: f64,
    /// Widest gap it leaves.
    #[serde(rename = "gap_mm", serialize_with = "millimetre")]
    pub gap: f64,
    /// Highest lift it leaves.
    #[serde(rename = "lift_mm", serialize_with = "millimetre")]
    pub lift: f64,
}

impl Lesson {
    /// The lesson of a topic on the rib of a seed.
    ///
    /// # Errors
    /// [`Failure`], if the rib can't be seated, which no invented one causes.
    pub fn new(topic: Topic, seed: u64) -> Result<Lesson, Failure> {
        match topic {
            Topic::Lever => lever::lesson(seed),
            Topic::Slices => slices::lesson(seed),
            Topic::BothEdges => both_edges::lesson(seed),
            Topic::Soles => soles::lesson(seed),
            Topic::Noise => noise::lesson(seed),
        }
    }

    /// What comes of a choice: the wood is taken and the rib is seated anew.
    ///
    /// # Errors
    /// [`Refused`], when the choice is none that the lesson asks for.
    pub fn answer(&self, choice: &Choice) -> Result<Answer, Refused> {
        self.check(choice)?;
        match self.topic {
            Topic::Lever => lever::answer(self, choice),
            Topic::Slices => slices::answer(self, choice),
            Topic::BothEdges => both_edges::answer(self, choice),
            Topic::Soles => soles::answer(self, choice),
            Topic::Noise => noise::answer(self, choice),
        }
    }

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

    fn check(&self, choice: &Choice) -> Result<(), Refused> {
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

    /// The lesson's frame around a rib; `idea` and `question` are its words.
    fn around(topic: Topic, seed: u64, rib: Known, aim: Aim, ask: Ask) -> Result<Lesson, Failure> {
        let job = rib.job();
        Ok(Lesson {
            topic,
            seed,
            title: topic.title(),
            idea: String::new(),
            question: String::new(),
            ask,
            aim,
            stations: job.stations.iter().map(|s| s.name.clone()).collect(),
            along: job.stations.iter().map(|s| s.along).collect(),
            before: rib.lie(&vec![0.0; job.stations.len()])?,
            readings: Vec::new(),
            rib,
            played: OnceLock::new(),
        })
    }

    /// The answer for wood taken at each station; its `why` and `chosen` are the lesson's.
    fn weigh(&self, taken: Vec<f64>) -> Result<Answer, Failure> {
        let after = self.rib.lie(&taken)?;
        // As the bench defines too much: against closing everything, half the lift's tolerance left.
        let least = self.rib.least(0.0, self.aim.lift.map(|lift| lift / 2.0))?;
        let (wood, least_wood) = (self.rib.mean(&taken), self.rib.mean(&least));
        let mut answer = Answer {
            chosen: String::new(),
            verdict: Verdict::of(self, &after, wood, least_wood),
            taken,
            least,
            wood,
            least_wood,
            after,
            edges: None,
            happened: String::new(),
            compared: String::new(),
            why: String::new(),
            beside: Vec::new(),
        };
        answer.happened = words::happened(self, &answer);
        answer.compared = words::compared(self, &answer);
        Ok(answer)
    }
}

/// To 1e-4 mm, far below what a shaving can take.
fn rounded(mm: f64) -> f64 {
    (mm * 1e4).round() / 1e4 + 0.0
}

fn millimetre<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
    rounded(*value).serialize(to)
}

fn millimetres<S: Serializer>(values: &[f64], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(values.iter().map(|v| rounded(*v)))
}

fn tables<S: Serializer>(rows: &[Vec<f64>], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(rows.iter().map(|row| row.iter().map(|v| rounded(*v)).collect::<Vec<f64>>()))
}
