//! What is known between two requests.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::answer::Refusal;
use super::folder::{Folder, Kind};
use super::joint::Joint;
use crate::advice::{self, Advice, Working};
use crate::fit::Prior;
use crate::job::Warning;
use crate::practice::lesson::{Lesson, Topic};
use crate::store::Place;

/// What is kept between two requests about a folder, so as not to be worked out twice.
#[derive(Debug, Default)]
pub struct Memory {
    writing: Mutex<()>,
    /// What was worked out last, and of what.
    advised: Mutex<Option<Advised>>,
    /// What earlier joints of the bowl taught the joint that was opened last.
    learned: Mutex<Option<Arc<Learned>>>,
    /// Lessons that were opened last, with what they played on the bench.
    lessons: Mutex<VecDeque<Arc<Lesson>>>,
}

/// Lessons that are remembered.
const LESSONS: usize = 8;

#[derive(Debug)]
struct Advised {
    folder: Place,
    version: String,
    worked: Arc<Worked>,
}

#[derive(Debug)]
struct Learned {
    name: String,
    /// The state of the bowl.
    bowl: String,
    start: Prior,
    warnings: Vec<Warning>,
}

/// An advice, and what its pictures are drawn from.
#[derive(Debug)]
pub(super) struct Worked {
    pub advice: Advice,
    /// `None` where there are no figures.
    pub working: Option<Working>,
}

/// FOLDER while a request about it is answered, and what is kept of the ones before.
#[derive(Debug)]
pub(super) struct Site<'a> {
    pub folder: &'a Folder,
    pub memory: &'a Memory,
}

/// What a lock keeps, whatever became of who held it: nothing in here can be left half done.
fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Site<'_> {
    /// One writer of this program at a time; against other programs the folder's own
    /// lock helps.
    pub fn writing(&self) -> MutexGuard<'_, ()> {
        held(&self.memory.writing)
    }

    /// The advice for a joint. It is worked out once for each state of the folder,
    /// so that turning a picture costs only the drawing.
    pub fn worked(&self, joint: &Joint) -> Arc<Worked> {
        let kept = || held(&self.memory.advised);
        let same = |known: &&Advised| known.folder == joint.folder && known.version == joint.version;
        if let Some(known) = kept().as_ref().filter(same) {
            return Arc::clone(&known.worked);
        }
        let (advice, working) = advice::advise_and_show(&joint.job, &joint.options());
        let worked = Arc::new(Worked { advice, working });
        let (folder, version) = (joint.folder.clone(), joint.version.clone());
        *kept() = Some(Advised { folder, version, worked: Arc::clone(&worked) });
        worked
    }

    /// A lesson; one that was opened a while ago need not play its bench again.
    pub fn lesson(&self, topic: Topic, seed: u64) -> Result<Arc<Lesson>, Refusal> {
        let kept = || held(&self.memory.lessons);
        let unit = self.folder.unit();
        let same = |l: &&Arc<Lesson>| (l.topic, l.seed, l.unit()) == (topic, seed, unit);
        if let Some(known) = kept().iter().find(same) {
            return Ok(Arc::clone(known));
        }
        let lesson = Arc::new(Lesson::told_in(unit, topic, seed).map_err(|_| Refusal::unknown())?);
        let mut lessons = kept();
        lessons.push_back(Arc::clone(&lesson));
        if lessons.len() > LESSONS {
            lessons.pop_front();
        }
        Ok(lesson)
    }

    /// A joint as it is now.
    pub fn joint(&self, name: &str) -> Result<Joint, Refusal> {
        let folder = self.folder.joint(name).ok_or_else(Refusal::unknown)?;
        let mut joint = Joint::read(name, folder)?;
        if joint.of == Kind::Bowl {
            let learned = self.learned(&joint)?;
            joint.start = learned.start.clone();
            joint.job.warnings.clone_from(&learned.warnings);
        }
        Ok(joint)
    }

    /// What the bowl's earlier joints teach this one; worked out once for each state
    /// of the bowl, since every keystroke asks for it.
    fn learned(&self, joint: &Joint) -> Result<Arc<Learned>, Refusal> {
        let kept = || held(&self.memory.learned);
        let bowl = self.folder.version();
        let same = |known: &&Arc<Learned>| known.name == joint.name && known.bowl == bowl;
        if let Some(known) = kept().as_ref().filter(same) {
            return Ok(Arc::clone(known));
        }
        let opened = advice::open(&joint.folder)?;
        let (name, mut warnings, start) = (joint.name.clone(), opened.job.warnings, opened.start);
        // The pages tell it by a note of their own, anew each time.
        warnings.retain(|w| !advice::CONFIRMED.contains(&w.code));
        let learned = Arc::new(Learned { name, bowl, start, warnings });
        *kept() = Some(Arc::clone(&learned));
        Ok(learned)
    }
}
