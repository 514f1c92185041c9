//! `ribwright enter`: a round typed at the bench.

mod bench;
mod correct;
mod question;
mod resume;

use std::path::PathBuf;

use anyhow::anyhow;
use clap::Parser;

use self::bench::{Bench, End};
use super::ask::Ask;
use super::screen::{Failure, Run, Screen};
use crate::job::{self, ReadingColumns};
use crate::record::{self, Draft, TypedRound};
use crate::show::next_command;

const EXAMPLE: &str = "\
Example:
  ribwright enter demo-readings/plain
  ribwright enter demo-readings/plain --anew
  ribwright enter demo-readings/mistyped --station 5

From a pipe a line answers each question: what the rib is held against, from
round 2 on whether it was bent again, the readings station by station, and at
last y to save.";

/// Type a round of readings at the bench, station by station
///
/// Shows the last round's reading beside each question, asks again where a value
/// is implausible, and saves only a whole round that you confirm. What you type
/// is kept in FOLDER/.round-draft value by value until then: if the power goes,
/// the next `enter` goes on from there. Exit status: 0 saved or stopped as you
/// asked, 2 the command line or a file is wrong, 1 anything else, such as input
/// that ends before the round is confirmed.
///
/// It asks for what readings.csv has, in a new one for gaps: 0.45 is daylight. An
/// overlap, wood past the joint line, is then `over 0.45` or -0.45; where the table
/// has overlaps, daylight is `gap 0.45` or -0.45.
///
/// With --station only these stations of the last round are asked for again, and
/// what you confirm takes the place of what stands there; its notes keep the old
/// reading. That is for a slip, or a reading repeated with the rib as it lay. If
/// the rib was set anew, add --new-round: a round of these stations only.
#[derive(Debug, Parser)]
#[command(name = "enter", after_help = EXAMPLE)]
pub(super) struct Enter {
    /// The joint's folder
    folder: PathBuf,
    /// Ask for the lift even if readings.csv has no such column yet
    #[arg(long)]
    lift: bool,
    /// Ask for the seat even if readings.csv has no such column yet
    #[arg(long)]
    seat: bool,
    /// Correct the last round at this station only; may be repeated: 4,5
    #[arg(long = "station", value_name = "NAME")]
    stations: Vec<String>,
    /// Type a new round of the stations given by --station only
    #[arg(long, requires = "stations")]
    new_round: bool,
    /// Go on with a draft that is there, without asking
    #[arg(long = "continue", conflicts_with = "anew")]
    go_on: bool,
    /// Throw away a draft that is there, without asking
    #[arg(long)]
    anew: bool,
}

impl Run for Enter {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        // Nothing is made in a folder that can't be read.
        let before = job::read_folder(&self.folder)
            .map_err(|problems| Failure::wrong(record::or_lost(&self.folder, problems)))?;
        let only = self.only(&before)?;
        if let Some(only) = only.clone().filter(|_| !self.new_round) {
            return self.correct(before, only, screen);
        }
        let (draft, found) = Draft::open(&self.folder).map_err(Failure::journal)?;
        // Read again: only now no other round can be typed in between.
        let job = job::read_folder(&self.folder).map_err(Failure::wrong)?;
        let columns = self.columns()?;
        let (ask, typed, draft) = (Ask::new(screen)?, TypedRound::default(), Some(draft));
        let folder = &self.folder;
        let mut bench = Bench { folder, job, columns, typed, draft, only, saved: None, ask, refusal: None };
        let end = self.converse(&mut bench, &found)?;
        part(bench, end)
    }
}

impl Enter {
    fn columns(&self) -> Result<ReadingColumns, Failure> {
        let there = job::reading_columns(&self.folder).map_err(Failure::wrong)?;
        Ok(ReadingColumns { lift: there.lift || self.lift, seat: there.seat || self.seat, ..there })
    }

    fn converse(&self, bench: &mut Bench<'_>, found: &[record::DraftEntry]) -> Result<End, Failure> {
        let decided = if self.go_on { Some(true) } else { self.anew.then_some(false) };
        if bench.resume(found, decided)? == End::NoInput {
            return Ok(End::NoInput);
        }
        bench.greet()?;
        match bench.type_in()? {
            End::Done => bench.review(),
            end => Ok(end),
        }
    }
}

/// The last words, and what becomes of the draft.
fn part(mut bench: Bench<'_>, end: End) -> Result<(), Failure> {
    if end == End::Done {
        return Ok(());
    }
    let kept = kept(&bench);
    match (end, bench.refusal.take()) {
        (End::NoInput, Some(refusal)) => {
            bench.ask.print(&kept)?;
            Err(Failure::journal(refusal))
        }
        (End::NoInput, None) => {
            Err(anyhow!("The input ended before the round was confirmed: nothing was saved. {kept}").into())
        }
        _ => bench.ask.print(&format!("Nothing was saved. {kept}")),
    }
}

/// Where what was typed is now.
fn kept(bench: &Bench<'_>) -> String {
    let Some(draft) = &bench.draft else {
        return "The round is as it was.".into();
    };
    if bench.typed.is_empty() {
        return match draft.remove() {
            Ok(()) => "Nothing was typed.".into(),
            Err(error) => error.to_string(),
        };
    }
    let path = draft.path();
    let next = next_command("enter", bench.folder);
    match draft.is_kept() {
        true => format!("What you typed is kept in {path}.\nNext: {next}"),
        false => {
            format!("{path} lacks the last values, which the disk refused.\nNext: make room, then {next}")
        }
    }
}
