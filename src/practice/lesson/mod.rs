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
mod choice;
mod known;
mod lever;
mod noise;
mod slices;
mod soles;
mod topic;
mod verdict;
mod words;

use std::sync::OnceLock;

use serde::{Serialize, Serializer};

pub use choice::{Ask, Choice, Refused};
pub use known::{Known, Lie};
pub use topic::Topic;
pub use verdict::Verdict;

use super::session::Played;
use crate::job::Unit;
use crate::maths::hinge::Failure;

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

impl Beside {
    /// A way that takes so much wood (mm at each station), the rib seated anew.
    fn of(lesson: &Lesson, way: impl Into<String>, chosen: bool, taken: &[f64]) -> Result<Beside, Failure> {
        let lie = lesson.rib.lie(taken)?;
        Ok(Beside {
            way: way.into(),
            chosen,
            rounds: None,
            wood: lesson.rib.mean(taken),
            gap: lie.widest_gap().1,
            lift: lie.highest_lift().1,
        })
    }
}

impl Lesson {
    /// The lesson of a topic on the rib of a seed, told in millimetres.
    ///
    /// # Errors
    /// [`Failure`], if the rib can't be seated, which no invented one causes.
    pub fn new(topic: Topic, seed: u64) -> Result<Lesson, Failure> {
        Lesson::told_in(Unit::Mm, topic, seed)
    }

    /// The same lesson with its sentences in another unit; its numbers stay millimetres.
    ///
    /// # Errors
    /// As [`Lesson::new`].
    pub fn told_in(unit: Unit, topic: Topic, seed: u64) -> Result<Lesson, Failure> {
        match topic {
            Topic::Lever => lever::lesson(unit, seed),
            Topic::Slices => slices::lesson(unit, seed),
            Topic::BothEdges => both_edges::lesson(unit, seed),
            Topic::Soles => soles::lesson(unit, seed),
            Topic::Noise => noise::lesson(unit, seed),
        }
    }

    /// The unit of its sentences.
    pub fn unit(&self) -> Unit {
        self.rib.job().unit
    }

    /// Runs on the bench that the first answer waits for, a good second in all;
    /// 0 where there are none, or where they are played already.
    pub fn runs(&self) -> usize {
        match self.topic {
            Topic::Noise if self.played.get().is_none() => noise::runs(self.seed),
            _ => 0,
        }
    }

    /// Plays those runs, and calls `done` after each: for whoever shows how far
    /// it has come. [`Lesson::answer`] plays them by itself otherwise.
    pub fn play(&self, done: &(dyn Fn() + Sync)) {
        if self.runs() > 0 {
            noise::played(self, done);
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
