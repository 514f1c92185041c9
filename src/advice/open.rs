//! A joint opened as the program works on it: alone, or as one of a bowl.

use rayon::prelude::*;

use crate::fit::Prior;
use crate::job::bowl::{Bowl, BowlJoint, bowl_of, read_bowl};
use crate::job::{self, Job, Problems, Warning};
use crate::record;
use crate::store::Place;

use super::confirmed;
use super::lessons::{Lesson, Lessons, lesson};
use super::work::Options;

/// A joint with what is known around it.
#[derive(Debug, Clone)]
pub struct JointInBowl {
    /// The joint; its warnings say what was learned from earlier ones.
    pub job: Job,
    /// Where its estimate starts.
    pub start: Prior,
    /// The bowl it belongs to, if it can be read, and its number there.
    pub bowl: Option<(Bowl, usize)>,
    /// Why the bowl around it can't be read, if there is one and so it is.
    pub unread: Option<Problems>,
}

impl JointInBowl {
    fn alone(job: Job, unread: Option<Problems>) -> JointInBowl {
        JointInBowl { job, start: Prior::default(), bowl: None, unread }
    }

    /// What a command loses that takes what it lacks from the bowl.
    pub fn lost(&self) -> Option<String> {
        let problems = self.unread.as_ref()?;
        let first = problems.list().first().map(ToString::to_string).unwrap_or_default();
        Some(format!("The bowl around this joint can't be read, so nothing of it is used here: {first}"))
    }
}

/// Reads a joint's folder or single table. If the folder stands in a bowl's, the
/// earlier joints are worked out first, and this one starts from what they taught.
///
/// # Errors
///
/// Every problem of the joint's files at once. Problems elsewhere in the bowl are a
/// warning: the joint can be worked on without.
pub fn open(path: impl Into<Place>) -> Result<JointInBowl, Problems> {
    let path = path.into();
    let mut job = job::read(&path).map_err(|problems| record::or_lost(&path, problems))?;
    job.warnings.extend(confirmed::warnings(&path, &record::lost(&path, &job)));
    let Some((folder, number)) = bowl_of(&path) else {
        return Ok(JointInBowl::alone(job, None));
    };
    let bowl = match read_bowl(&folder) {
        Ok(bowl) => bowl,
        Err(problems) => {
            job.warnings.push(unread(&folder, &problems));
            return Ok(JointInBowl::alone(job, Some(problems)));
        }
    };
    let lessons = lessons(&bowl).before(number);
    let start = lessons.start(&job);
    job.warnings.extend(lessons.said(&job).map(|text| Warning::new("learned", text)));
    Ok(JointInBowl { job, start, bowl: Some((bowl, number)), unread: None })
}

fn unread(folder: &Place, problems: &Problems) -> Warning {
    let first = problems.list().first().map(ToString::to_string).unwrap_or_default();
    let text = format!(
        "The bowl around this joint can't be read, so nothing is learned from earlier joints: {first} \
         `ribwright bowl {folder}` tells all that is wrong there."
    );
    Warning::new("bowl-unread", text)
}

/// What each joint of a bowl taught.
pub fn lessons(bowl: &Bowl) -> Lessons {
    let taught = |j: &BowlJoint| lesson(j.number, &j.job, &Options::default());
    let list: Vec<Option<Lesson>> = bowl.joints.par_iter().map(taught).collect();
    Lessons::of(list.into_iter().flatten().collect())
}
