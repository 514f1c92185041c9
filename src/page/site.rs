//! What the server knows between two requests.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::access::Access;
use super::answer::Refusal;
use super::folder::{Folder, Kind};
use super::joint::Joint;
use super::link::Link;
use super::places::Caller;
use crate::advice::{self, Advice, Working};
use crate::fit::Prior;
use crate::job::Warning;
use crate::practice::lesson::{Lesson, Topic};

/// FOLDER, who may see it, and what is kept so as not to be worked out twice.
#[derive(Debug)]
pub(super) struct Site {
    pub folder: Folder,
    pub access: Access,
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
    folder: PathBuf,
    version: String,
    answer: Arc<Answer>,
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
pub(super) struct Answer {
    pub advice: Advice,
    /// `None` where there are no figures.
    pub working: Option<Working>,
}

impl Site {
    pub fn new(folder: Folder, access: Access) -> Self {
        Site {
            folder,
            access,
            writing: Mutex::default(),
            advised: Mutex::default(),
            learned: Mutex::default(),
            lessons: Mutex::default(),
        }
    }

    /// Who calls, as far as the address tells.
    pub fn caller(&self, link: &Link) -> Caller {
        match link.is_local() {
            true => Caller::Own,
            false if self.access.has_seen(link.ip()) => Caller::Known,
            false => Caller::Stranger,
        }
    }

    /// One writer of this server at a time; against other programs the folder's own
    /// lock helps.
    pub fn writing(&self) -> MutexGuard<'_, ()> {
        self.writing.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The advice for a joint. It is worked out once for each state of the folder,
    /// so that turning a picture costs only the drawing.
    pub fn answer(&self, joint: &Joint) -> Arc<Answer> {
        let held = || self.advised.lock().unwrap_or_else(PoisonError::into_inner);
        let same = |known: &&Advised| known.folder == joint.folder && known.version == joint.version;
        if let Some(known) = held().as_ref().filter(same) {
            return Arc::clone(&known.answer);
        }
        let (advice, working) = advice::advise_and_show(&joint.job, &joint.options());
        let answer = Arc::new(Answer { advice, working });
        let (folder, version) = (joint.folder.clone(), joint.version.clone());
        *held() = Some(Advised { folder, version, answer: Arc::clone(&answer) });
        answer
    }

    /// A lesson; one that was opened a while ago need not play its bench again.
    pub fn lesson(&self, topic: Topic, seed: u64) -> Result<Arc<Lesson>, Refusal> {
        let held = || self.lessons.lock().unwrap_or_else(PoisonError::into_inner);
        let unit = self.folder.unit();
        let same = |l: &&Arc<Lesson>| (l.topic, l.seed, l.unit()) == (topic, seed, unit);
        if let Some(known) = held().iter().find(same) {
            return Ok(Arc::clone(known));
        }
        let lesson = Arc::new(Lesson::told_in(unit, topic, seed).map_err(|_| Refusal::unknown())?);
        let mut lessons = held();
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
        let held = || self.learned.lock().unwrap_or_else(PoisonError::into_inner);
        let bowl = self.folder.version();
        let same = |known: &&Arc<Learned>| known.name == joint.name && known.bowl == bowl;
        if let Some(known) = held().as_ref().filter(same) {
            return Ok(Arc::clone(known));
        }
        let opened = advice::open(&joint.folder)?;
        let (name, mut warnings, start) = (joint.name.clone(), opened.job.warnings, opened.start);
        // The pages tell it by a note of their own, anew each time.
        warnings.retain(|w| !advice::CONFIRMED.contains(&w.code));
        let learned = Arc::new(Learned { name, bowl, start, warnings });
        *held() = Some(Arc::clone(&learned));
        Ok(learned)
    }
}
