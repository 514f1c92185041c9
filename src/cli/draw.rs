//! `ribwright draw`: the pictures of one joint.

use std::path::PathBuf;

use clap::{Parser, ValueEnum};

use super::advise::Surface;
use super::number::number;
use super::progress::{Progress, while_working};
use super::{Failure, Run, Screen};
use crate::advice::{self, Options};
use crate::job::{self, Job};
use crate::show::draw::{Album, Picture, View};

const EXAMPLE: &str = "\
Example:
  ribwright draw demo-readings/plain --into pictures
  ribwright draw demo-readings/plain --into pictures --only space --turn -30 --tilt 60
  ribwright draw demo-readings/fitted --into pictures --round 2";

/// Draw a joint: what comes off, pass by pass, both edges, the rib in space, the rounds
///
/// Every picture is written as SVG and PNG, those that move as GIF as well. A
/// picture that the readings don't give is left out, and said so.
#[derive(Debug, Parser)]
#[command(name = "draw", after_help = EXAMPLE)]
pub(super) struct Draw {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// Write the pictures into this folder, made if it isn't there
    #[arg(long, value_name = "DIR")]
    into: PathBuf,
    /// Only these pictures
    #[arg(long, value_enum, value_delimiter = ',', value_name = "PICTURE")]
    only: Vec<Which>,
    /// Degrees by which the rib in space is turned about its rise, -180 to 180
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = turn)]
    turn: Option<f64>,
    /// Degrees above the chord's level from which it is seen, 10 to 90
    #[arg(long, value_name = "DEGREES", value_parser = tilt)]
    tilt: Option<f64>,
    /// As the joint stood after this round; the last one unless set
    #[arg(long, value_name = "ROUND")]
    round: Option<usize>,
    /// The joint surface: a plane, gently curved, or as the readings tell
    #[arg(long, value_enum, default_value_t = Surface::Auto)]
    surface: Surface,
}

/// The pictures, as the command takes them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Which {
    /// What comes off where, now and in the end
    RemovalMap,
    /// The edge after every stroke
    Passes,
    /// Gap at the joint and lift along the outer edge, before and after
    BothEdges,
    /// Mold, neighbour, joint plane and rib in space
    Space,
    /// Widest gap and lift, and wood taken, by round
    History,
}

impl Which {
    fn picture(self) -> Picture {
        match self {
            Which::RemovalMap => Picture::RemovalMap,
            Which::Passes => Picture::Passes,
            Which::BothEdges => Picture::BothEdges,
            Which::Space => Picture::Space,
            Which::History => Picture::History,
        }
    }
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

impl Run for Draw {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let job = job::read(&self.path).map_err(Failure::wrong)?;
        let job = match self.round {
            Some(round) => until(&job, round)?,
            None => job,
        };
        let options = Options { surface: self.surface.into() };
        let (advice, working, past) = while_working("working out the joint", || {
            let (advice, working) = advice::advise_and_show(&job, &options);
            (advice, working, advice::past(&job, &options).unwrap_or_default())
        });
        let view = self.view();
        let album = Album { job: &job, advice: &advice, working: working.as_ref(), past: &past, view };
        self.write(&album, screen)
    }
}

impl Draw {
    fn view(&self) -> View {
        let usual = View::default();
        View { turn: self.turn.unwrap_or(usual.turn), tilt: self.tilt.unwrap_or(usual.tilt) }
    }

    fn pictures(&self) -> Vec<Picture> {
        let wanted = |p: &Picture| self.only.is_empty() || self.only.iter().any(|w| w.picture() == *p);
        Picture::ALL.into_iter().filter(wanted).collect()
    }

    fn write(&self, album: &Album, screen: &Screen) -> Result<(), Failure> {
        let pictures = self.pictures();
        let progress = Progress::new(pictures.len(), "pictures");
        let files = album.write(&pictures, true, &self.into, &|| progress.step());
        progress.clear();
        for file in files? {
            screen.note(&format!("wrote {}", file.display()));
        }
        for picture in pictures.into_iter().filter(|p| album.still(*p).is_none()) {
            screen.note(missing(picture));
        }
        Ok(())
    }
}

/// Why a picture isn't there.
fn missing(picture: Picture) -> &'static str {
    match picture {
        Picture::Passes => "no passes: no strokes are advised",
        Picture::History => "no history: the readings give no estimate yet; `ribwright advise` says why",
        _ => "a picture is left out: the readings give no estimate; `ribwright advise` says why",
    }
}

/// The job as it stood when a round had been read and nothing planed since.
fn until(job: &Job, round: usize) -> Result<Job, Failure> {
    if round == 0 || round > job.rounds.len() {
        let there = job.rounds.len();
        return Err(Failure::wrong(format!("there is no round {round}: the joint has rounds 1 to {there}")));
    }
    let mut job = Job { rounds: job.rounds[..round].to_vec(), ..job.clone() };
    if let Some(last) = job.rounds.last_mut() {
        last.strokes.clear();
    }
    Ok(job)
}
