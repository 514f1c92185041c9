//! What a lesson and an answer are made of.

use std::sync::OnceLock;

use serde::{Serialize, Serializer};

use super::choice::Ask;
use super::grade::{Aim, Grade};
use super::rib::{LessonRib, Lie};
use super::topic::Topic;
use crate::job::Unit;
use crate::json::{all_mm, as_all_mm, as_mm};
use crate::maths::program::Failure;
use crate::practice::session::Played;

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
    #[serde(rename = "along_mm", serialize_with = "as_all_mm")]
    pub along: Vec<f64>,
    /// How the rib lies before anything is taken.
    pub before: Lie,
    /// Readings of the gap, round by round, where the lesson shows some, mm.
    #[serde(rename = "readings_mm", serialize_with = "rounds", skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Vec<f64>>,
    /// The rib itself.
    #[serde(skip)]
    pub rib: LessonRib,
    /// Runs on the bench, played when first asked for.
    #[serde(skip)]
    pub(super) played: OnceLock<Vec<Played>>,
}

/// What came of a choice. Lengths in mm, one value a station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    /// The choice in words.
    pub chosen: String,
    /// How good it was.
    pub verdict: Grade,
    /// Wood taken.
    #[serde(rename = "taken_mm", serialize_with = "as_all_mm")]
    pub taken: Vec<f64>,
    /// The least wood that closes the joint everywhere and brings the outer edge down.
    #[serde(rename = "least_mm", serialize_with = "as_all_mm")]
    pub least: Vec<f64>,
    /// Mean of the wood taken over the length of the edge.
    #[serde(rename = "wood_mm", serialize_with = "as_mm")]
    pub wood: f64,
    /// Mean of the least wood.
    #[serde(rename = "least_wood_mm", serialize_with = "as_mm")]
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
    #[serde(rename = "before_mm", serialize_with = "as_all_mm")]
    pub before: Vec<f64>,
    /// After.
    #[serde(rename = "after_mm", serialize_with = "as_all_mm")]
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
    #[serde(rename = "wood_mm", serialize_with = "as_mm")]
    pub wood: f64,
    /// Widest gap it leaves.
    #[serde(rename = "gap_mm", serialize_with = "as_mm")]
    pub gap: f64,
    /// Highest lift it leaves.
    #[serde(rename = "lift_mm", serialize_with = "as_mm")]
    pub lift: f64,
}

impl Beside {
    /// A way that takes so much wood (mm at each station), the rib seated anew.
    pub(super) fn of(
        lesson: &Lesson,
        way: impl Into<String>,
        chosen: bool,
        taken: &[f64],
    ) -> Result<Beside, Failure> {
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
    /// The unit of its sentences.
    pub fn unit(&self) -> Unit {
        self.rib.job().unit
    }

    /// The lesson's frame around a rib; `idea` and `question` are its words.
    pub(super) fn around(
        topic: Topic,
        seed: u64,
        rib: LessonRib,
        aim: Aim,
        ask: Ask,
    ) -> Result<Lesson, Failure> {
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
}

fn rounds<S: Serializer>(rounds: &[Vec<f64>], to: S) -> Result<S::Ok, S::Error> {
    to.collect_seq(rounds.iter().map(|round| all_mm(round)))
}
