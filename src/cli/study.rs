//! A joint worked out for pictures: what `draw` and `report` have in common.

use std::path::PathBuf;

use clap::Args;

use super::advise::Surface;
use super::number::{number, whole};
use super::progress::{announce, while_working};
use super::screen::{Failure, Screen};
use crate::advice::{self, Advice, JointInBowl, Options, PastRound, Working};
use crate::job::{Job, RoundNumber};
use crate::show::draw::{Album, View};

/// Which joint, as of when, seen from where.
#[derive(Debug, Args)]
pub(super) struct Study {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// Degrees by which the rib in space is turned about its rise, -180 to 180
    #[arg(long, value_name = "DEGREES", allow_hyphen_values = true, value_parser = turn)]
    turn: Option<f64>,
    /// Degrees above the chord's level from which it is seen, 10 to 90
    #[arg(long, value_name = "DEGREES", value_parser = tilt)]
    tilt: Option<f64>,
    /// As the joint stood after this round; the last one unless set
    #[arg(long, value_name = "ROUND", value_parser = round)]
    round: Option<RoundNumber>,
    /// The joint surface: a plane, gently curved, or as the readings tell
    #[arg(long, value_enum, default_value_t = Surface::Auto)]
    surface: Surface,
}

fn round(text: &str) -> Result<RoundNumber, String> {
    whole(text, 1, 999).map(|n| RoundNumber::at(n as usize - 1))
}

fn turn(text: &str) -> Result<f64, String> {
    within(text, -180.0, 180.0)
}

fn tilt(text: &str) -> Result<f64, String> {
    within(text, 10.0, 90.0)
}

fn within(text: &str, low: f64, high: f64) -> Result<f64, String> {
    let degrees = number(text)?;
    match (low..=high).contains(&degrees) {
        true => Ok(degrees),
        false => Err(format!("give {low} to {high} degrees")),
    }
}

/// The joint with everything that is known of it.
pub(super) struct Studied {
    job: Job,
    advice: Advice,
    working: Option<Working>,
    past: Vec<PastRound>,
    view: View,
}

impl Study {
    /// Reads the joint and works it out.
    pub(super) fn work(&self, screen: &Screen) -> Result<Studied, Failure> {
        let JointInBowl { job, start, .. } = advice::open(&self.path).map_err(Failure::wrong)?;
        let job = match self.round {
            Some(round) => until(&job, round)?,
            None => job,
        };
        announce(&job, screen);
        let options = Options { surface: self.surface.into(), start };
        Ok(while_working("working out the joint", || studied(job, &options, self.view())))
    }

    fn view(&self) -> View {
        let usual = View::default();
        View { turn: self.turn.unwrap_or(usual.turn), tilt: self.tilt.unwrap_or(usual.tilt) }
    }
}

/// Works out a joint. One without an estimate has no past either.
fn studied(job: Job, options: &Options, view: View) -> Studied {
    let (advice, working) = advice::advise_and_show(&job, options);
    let past = advice::past(&job, options).unwrap_or_default();
    Studied { job, advice, working, past, view }
}

impl Studied {
    /// What pictures are drawn from.
    pub(super) fn album(&self) -> Album<'_> {
        let Studied { job, advice, working, past, view } = self;
        Album { job, advice, working: working.as_ref(), past, view: *view }
    }
}

/// The job as it stood when a round had been read and nothing planed since.
fn until(job: &Job, round: RoundNumber) -> Result<Job, Failure> {
    if job.round(round).is_none() {
        let there = match job.rounds.len() {
            0 => "the joint has no rounds yet".to_owned(),
            n => format!("the joint has rounds 1 to {n}"),
        };
        return Err(Failure::wrong(format!("--round {round}: {there}; give one of them")));
    }
    let mut job = Job { rounds: job.rounds[..=round.index()].to_vec(), ..job.clone() };
    if let Some(last) = job.rounds.last_mut() {
        last.strokes.clear();
    }
    Ok(job)
}
