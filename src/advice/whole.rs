//! Where the work on a whole bowl stands.

use std::path::PathBuf;

use rayon::prelude::*;

use crate::bowl::divide::{Division, divide};
use crate::bowl::moisture::{Movement, movement};
use crate::bowl::shim::{self, OtherSpring, Shims};
use crate::job::bowl::{Bowl, BowlJoint};
use crate::job::{Job, Warning};

use super::advise;
use super::answer::Advice;
use super::forecast::Hits;
use super::ground::Verdict;
use super::lessons::Lessons;
use super::open::{JointInBowl, lessons};
use super::past::past;
use super::unknown;
use super::words::capital;
use super::work::{Before, Options, lifts_read, work_out};

/// How far a joint is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// No round was read.
    Waiting,
    /// In work.
    InWork,
    /// Fitted by its last round, or left behind for a later joint.
    Done,
}

/// One joint in numbers. Lengths in mm; `None` where a number does not exist.
#[derive(Debug, Clone)]
pub struct JointState {
    /// Its number.
    pub number: usize,
    /// How far it is.
    pub stage: Stage,
    /// Rounds read.
    pub rounds: usize,
    /// Pushes of planes.
    pub strokes: u32,
    /// What the advice says now.
    pub verdict: Option<Verdict>,
    /// Why.
    pub reason: String,
    /// Widest gap as estimated after the last round.
    pub gap: Option<f64>,
    /// Widest lift.
    pub lift: Option<f64>,
    /// Wood taken at the station that lost most.
    pub wood: Option<f64>,
    /// What the spare width leaves there.
    pub spare: Option<f64>,
    /// Each plane's shaving as learned, with its standard uncertainty.
    pub shavings: Vec<(String, f64, f64)>,
    /// Minutes of work, if noted.
    pub minutes: Option<f64>,
    /// Stations at which the outer edge was marked.
    pub marked: usize,
    /// How its readings met what was foreseen.
    pub hits: Hits,
}

/// A whole bowl.
#[derive(Debug, Clone)]
pub struct Whole {
    /// The joints, in order.
    pub joints: Vec<JointState>,
    /// The girth shared out, or what is missing for it.
    pub division: Result<Division, String>,
    /// What all joints taught.
    pub lessons: Lessons,
    /// How the widest rib moves with moisture, or what is missing for that.
    pub movement: Result<Movement, String>,
    /// What comes next.
    pub next: String,
    /// The commands for that, in their order, each with the folder it is given.
    pub commands: Vec<(&'static str, PathBuf)>,
    /// What else the maker should know.
    pub warnings: Vec<Warning>,
}

impl Whole {
    /// How the readings of all joints met what was foreseen.
    pub fn hits(&self) -> Hits {
        Hits::all(self.joints.iter().map(|j| j.hits))
    }
}

/// Works out where the work on a bowl stands.
pub fn whole(bowl: &Bowl) -> Whole {
    let lessons = lessons(bowl);
    let mut joints: Vec<JointState> = bowl.joints.par_iter().map(|j| state(bowl, j, &lessons)).collect();
    let last = joints.iter().rposition(|j| j.rounds > 0);
    joints[..last.unwrap_or(0)].iter_mut().filter(|j| j.rounds > 0).for_each(|j| j.stage = Stage::Done);
    let division = divide(bowl, None, false);
    let widest = division.iter().flat_map(|d| d.next()).copied().fold(0.0, f64::max);
    let movement = movement(&bowl.settings, widest);
    let (next, commands) = next(bowl, &joints);
    let mut warnings = bowl.warnings.clone();
    warnings.extend(behind(bowl, &joints, division.as_ref().ok()));
    Whole { joints, division, lessons, movement, next, commands, warnings }
}

fn state(bowl: &Bowl, joint: &BowlJoint, lessons: &Lessons) -> JointState {
    let job = &joint.job;
    let noted = || bowl.minutes.iter().filter(|m| m.0 == joint.number);
    let mut state = JointState {
        number: joint.number,
        stage: Stage::Waiting,
        rounds: job.rounds.len(),
        strokes: job.rounds.iter().flat_map(|r| &r.strokes).map(|s| s.count).sum(),
        verdict: None,
        reason: String::new(),
        gap: None,
        lift: None,
        wood: None,
        spare: job.spare,
        shavings: Vec::new(),
        minutes: noted().next().map(|_| noted().map(|m| m.1).sum()),
        marked: joint.marks.iter().flatten().count(),
        hits: Hits::default(),
    };
    if !job.rounds.is_empty() {
        state.work_out(job, &lessons.before(joint.number));
    }
    state
}

impl JointState {
    fn work_out(&mut self, job: &Job, lessons: &Lessons) {
        let options = Options { start: lessons.start(job), ..Options::default() };
        let Advice { verdict, reason, .. } = advise(job, &options);
        self.stage = if verdict == Verdict::Fitted { Stage::Done } else { Stage::InWork };
        (self.verdict, self.reason) = (Some(verdict), reason);
        let Ok(rounds) = past(job, &options) else { return };
        let Some(last) = rounds.last() else { return };
        (self.gap, self.lift) = (last.estimated.gap, last.estimated.lift);
        let most: f64 = rounds.iter().filter_map(|r| r.wood).map(|w| w.1).sum();
        self.wood = (self.strokes > 0).then_some(most);
        self.hits = Hits::all(rounds.iter().map(|r| r.hits));
        self.spare = job.spare.map(|s| s - most);
        let learned = job.planes.iter().zip(&last.shavings);
        self.shavings = learned.map(|(p, s)| (p.name.clone(), s.0, s.1)).collect();
    }
}

/// What comes next, in a sentence or two, and the commands for it with their folders.
fn next(bowl: &Bowl, joints: &[JointState]) -> (String, Vec<(&'static str, PathBuf)>) {
    let command_at = |command, joint: usize| (command, bowl.folder_of(joint).path().to_path_buf());
    if joints.is_empty() {
        let text = format!(
            "There are no joints yet. Measure the stations of the first one and write them into {}, or lay a \
             new bowl out with `ribwright new`.",
            command_at("", 1).1.join("stations.csv").display()
        );
        return (text, Vec::new());
    }
    let girth = ("divide --enter", bowl.folder.path().to_path_buf());
    let Some(now) = joints.iter().rev().find(|j| j.rounds > 0) else {
        let first = joints.first().map_or(1, |j| j.number);
        let read = !bowl.girths.is_empty();
        let whole = if read { "" } else { "read the whole girth from rim to rim, " };
        let text = format!("{whole}fit rib {first}, set rib {} in its place, and read round 1.", first + 1);
        let commands = (!read).then_some(girth).into_iter().chain([command_at("enter", first)]);
        return (capital(&text), commands.collect());
    };
    let (joint, rib) = (now.number, now.number + 1);
    if now.stage != Stage::Done {
        return (format!("Joint {joint} is in work. {}", now.reason), vec![command_at("advise", joint)]);
    }
    if rib >= bowl.settings.ribs {
        return ("Every joint is fitted. Trim the last rib's outer edge to the rim.".into(), Vec::new());
    }
    let read = |after: usize| bowl.girths.iter().any(|g| g.after == after);
    if now.marked == 0 {
        let (first, girth) = match read(joint) {
            true => ("", None),
            false => ("read the girth left for the others, then ", Some(girth)),
        };
        let text = format!("{first}mark the outer edge of rib {rib}: compass and edge at each station.");
        let commands = girth.into_iter().chain([command_at("mark --enter", joint)]);
        return (format!("Joint {joint} is fitted. {}", capital(&text)), commands.collect());
    }
    let (then, girth) = match read(rib) {
        true => (String::new(), None),
        false => (format!(" read the girth after rib {rib},"), Some(girth)),
    };
    let text = format!(
        "Joint {joint} is fitted and rib {rib} marked. Plane to the marks,{then} bend the spacer, and begin joint {rib}."
    );
    let commands = [command_at("mark", joint)]
        .into_iter()
        .chain(girth)
        .chain([command_at("spacer", rib), command_at("enter", rib)]);
    (text, commands.collect())
}

/// After how many ribs the girth is due to be read: those whose outer edge is in its
/// place. 0 is the whole girth, before the first; `None` behind the last rib, where
/// nothing is left.
pub fn girth_due(bowl: &Bowl) -> Option<usize> {
    let due = match bowl.joints.iter().rev().find(|j| !j.job.rounds.is_empty()) {
        None => 0,
        Some(last) if last.marks.iter().all(Option::is_none) => last.number,
        Some(last) => last.number + 1,
    };
    (due < bowl.settings.ribs).then_some(due)
}

/// Girths that lag behind the joints.
fn behind(bowl: &Bowl, joints: &[JointState], division: Option<&Division>) -> Option<Warning> {
    let done = joints.iter().rev().find(|j| j.stage == Stage::Done)?.number;
    let (division, due) = (division?, girth_due(bowl)?);
    (done > division.fitted).then(|| {
        let told = match division.measured {
            true => format!("the last girth was read after rib {}", division.fitted),
            false => "no girth was read yet".into(),
        };
        let text = format!(
            "Joint {done} is fitted, but {told}. Read the girth from the outer edge of rib {due} to the far rim at each \
             station, and type it with `ribwright divide --enter`."
        );
        Warning::new("girth-behind", text)
    })
}

/// Finds where a joint's rib needs shims, with what other joints of its bowl say. `thinnest`
/// is what must be left of the rib once steps are levelled, mm.
///
/// # Errors
/// What the readings lack, as a sentence with the next step.
pub fn shims(opened: &JointInBowl, thinnest: f64) -> Result<Shims, String> {
    let (job, options) = (&opened.job, Options { start: opened.start.clone(), ..Options::default() });
    let own = fit(job, &options)?;
    let others: Vec<OtherSpring> = match &opened.bowl {
        None => Vec::new(),
        Some((bowl, number)) => {
            let other = |j: &BowlJoint| {
                let fit = fit(&j.job, &Options::default()).ok()?;
                Some((j.number, fit.spring.iter().zip(&fit.spring_sd).map(|(f, sd)| f - sd).collect()))
            };
            let others: Vec<&BowlJoint> = bowl.joints.iter().filter(|j| j.number != *number).collect();
            others.par_iter().filter_map(|j| other(j)).collect()
        }
    };
    Ok(shim::shims(job, &own, &others, thinnest))
}

fn fit(job: &Job, options: &Options) -> Result<crate::fit::Fit, String> {
    if let Some(missing) = unknown::missing(job) {
        return Err(capital(&missing));
    }
    if !lifts_read(job) {
        return Err(
            "No lifts were read, and only they tell whether the rib stands off: read them in the next round."
                .into(),
        );
    }
    let working = work_out(job, &Before::last_round(job, options), options);
    working.map(|w| w.fit).map_err(|why| capital(&unknown::no_figures(job, why)))
}
