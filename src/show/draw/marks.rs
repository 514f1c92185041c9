//! What comes off a rib's outer edge, down to its marks.

use super::frame::bare;
use super::removal::{map, strip};
use super::sheet::Sheet;
use crate::advice::Advice;
use crate::bowl::mark::Marks;
use crate::job::Job;
use crate::joint::Joint;
use crate::show::names::headed;

/// Draws what comes off the outer edge: a bar at each station for what the strokes take, a
/// dot at the mark with its standard uncertainty. Marks by class as in
/// [`removal_map`](super::removal_map); mm or inches as the joint's files have them.
pub fn marks(job: &Job, marks: &Marks) -> Sheet {
    map(job, &answer(job, marks), "marks", "What comes off the outer edge", &about(job))
}

/// The same, small and without a heading, for the screen of a phone.
pub fn narrow_marks(job: &Job, marks: &Marks) -> Sheet {
    strip(job, &answer(job, marks), "marks", &format!("What comes off the outer edge: {}", about(job)))
}

fn about(job: &Job) -> String {
    headed(job.title.as_deref(), "down to the marks")
}

fn answer(job: &Job, marks: &Marks) -> Advice {
    let frames = Joint::of(job).frames;
    let places = job.stations.iter().zip(&frames).map(|(s, f)| (s.name.as_str(), f.joint.x, f.arc));
    let mut answer = bare(places);
    for (station, mark) in answer.stations.iter_mut().zip(&marks.stations) {
        station.remove = mark.remove;
        station.remove_sd = mark.remove.map(|_| mark.remove_sd);
        station.remove_now = Some(mark.now);
    }
    answer
}
