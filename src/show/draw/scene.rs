//! What pictures of a rib in its joint are drawn from, be it a maker's rib as the
//! readings tell it or one of a lesson, whose wood is known.

use super::frame::{SMALL, WIDTH, subject};
use crate::advice::Advice;
use crate::job::Job;
use crate::joint::Joint;
use crate::seat::Seated;

/// A joint with what its pictures say they are about.
#[derive(Debug, Clone)]
pub struct Scene<'a> {
    /// Stations, names, unit, tolerances.
    pub job: &'a Job,
    /// The joint's frame, of the same stations.
    pub joint: &'a Joint,
    /// The line under the heading.
    pub subject: String,
    /// Whether it is known how far the outer edge stands off: where no lift was
    /// read, none is drawn.
    pub lifts: bool,
    /// Width of its pictures, pixels.
    pub(super) width: f64,
}

impl<'a> Scene<'a> {
    /// The scene of an answer.
    pub fn of(job: &'a Job, joint: &'a Joint, advice: &Advice) -> Self {
        let lifts = advice.stations.iter().any(|s| s.lift_after.is_some());
        Scene { job, joint, subject: subject(job, advice), lifts, width: WIDTH }
    }

    /// The same in pictures for the screen of a phone.
    pub fn narrow(&self) -> Self {
        Scene { width: SMALL, ..self.clone() }
    }
}

/// A rib as it lies and what that is, such as `now` or `after the strokes`.
#[derive(Debug, Clone, Copy)]
pub struct CaptionedRib<'a> {
    /// What this is, in a few words.
    pub words: &'a str,
    /// The rib.
    pub rib: &'a Seated,
}
