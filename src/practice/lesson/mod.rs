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
mod grade;
mod lever;
mod noise;
mod parts;
mod rib;
mod slices;
mod soles;
mod topic;
mod tries;
mod weigh;
mod words;

pub use choice::{Ask, Choice, Refused};
pub use grade::{Aim, Grade};
pub use parts::{Answer, Beside, Edges, Lesson};
pub use rib::{LessonRib, Lie};
pub use topic::Topic;

use crate::job::Unit;
use crate::maths::program::Failure;

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
}
