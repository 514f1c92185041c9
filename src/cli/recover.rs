//! `ribwright recover`: what was confirmed, brought back.

use std::io::Write;
use std::path::PathBuf;

use anyhow::anyhow;
use clap::Parser;

use super::ask::{Ask, yes_or_no};
use super::screen::{Failure, Run, Screen};
use crate::advice::{lost_said, unreadable};
use crate::job::{self, Job};
use crate::record::{self, JournalError, Lost};
use crate::show::{self, next_command};

const EXAMPLE: &str = "\
Example:
  ribwright recover demo-readings/plain
  ribwright recover demo-readings/plain --json";

/// Show what is not as it was confirmed, and bring it back
///
/// Rounds, corrections and strokes that you confirm are kept a second time, in
/// FOLDER/confirmed.log. If a spreadsheet saves its older copy of a table, this says
/// what is missing or another value, and brings it back if you want: rounds below the
/// others, readings in their places, whose notes keep what stood there. Changed on
/// purpose, keep it so: it is then what counts as confirmed.
#[derive(Debug, Parser)]
#[command(name = "recover", after_help = EXAMPLE)]
pub(super) struct Recover {
    /// The joint's folder
    folder: PathBuf,
    /// Bring it back without asking
    #[arg(long, conflicts_with_all = ["accept", "json"])]
    yes: bool,
    /// Keep the tables as they are, without asking
    #[arg(long, conflicts_with = "json")]
    accept: bool,
    /// Print what is not as it was confirmed, for programs; lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for Recover {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let (job, lost) = record::look_back(&self.folder).map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::lost_json(&lost)?)?;
            return Ok(());
        }
        if let Some(text) = unreadable(&lost) {
            screen.note(&text);
        }
        if lost.rounds.is_empty() {
            writeln!(screen.out(), "Nothing is missing: the tables hold all that was confirmed here.")?;
            return Ok(());
        }
        let kept = job::reading_columns(&self.folder).map_err(Failure::wrong)?;
        show::lost_text(&job, &kept, &lost, screen.out())?;
        self.settle(&job, screen)
    }
}

/// What becomes of it.
#[derive(Clone, Copy)]
enum Choice {
    Back,
    Keep,
    Leave,
}

const QUESTION: &str = "Bring it back? (y; n: leave all as it is; keep: the tables are right, ask no more) ";

impl Recover {
    fn settle(&self, job: &Job, screen: &mut Screen) -> Result<(), Failure> {
        let mut ask = Ask::new(screen)?;
        let choice = match (self.yes, self.accept) {
            (true, _) => Choice::Back,
            (_, true) => Choice::Keep,
            _ => choose(&mut ask)?,
        };
        let next = next_command("advise", &self.folder);
        match choice {
            Choice::Leave => ask.print("Nothing was changed."),
            Choice::Keep => {
                self.written(record::keep_as_it_is(&self.folder), &mut ask)?;
                ask.print(&format!("Kept as it is.\nNext: {next}"))
            }
            Choice::Back => {
                self.written(record::bring_back(&self.folder), &mut ask)?;
                let (_, left) = record::look_back(&self.folder).map_err(Failure::wrong)?;
                self.left(job, &left, &mut ask)?;
                ask.print(&format!("Next: {next}"))
            }
        }
    }

    fn written(&self, done: Result<(), JournalError>, ask: &mut Ask<'_>) -> Result<(), Failure> {
        match done {
            Err(error) if error.is_written() => ask.say(&format!("Mind: {error}")),
            done => done.map_err(Failure::journal),
        }
    }

    /// What was brought back, and what could not be.
    fn left(&self, job: &Job, left: &Lost, ask: &mut Ask<'_>) -> Result<(), Failure> {
        if left.rounds.is_empty() {
            return ask.print("Brought back: all is as it was confirmed.");
        }
        let first = job.next_round();
        let hole = left.rounds.iter().any(|r| r.missing && r.round > first);
        let why = match hole {
            true => "a round can only follow the one before it",
            false => "a station of that name, or a place for those strokes, is missing",
        };
        ask.say(&format!(
            "Not all could be brought back, since {why}: {}. Write it into the table by hand.",
            lost_said(left)
        ))
    }
}

fn choose(ask: &mut Ask<'_>) -> Result<Choice, Failure> {
    loop {
        let Some(answer) = ask.line(QUESTION)? else {
            return Err(anyhow!("The input ended before an answer: nothing was changed.").into());
        };
        match (answer.as_str(), yes_or_no(&answer)) {
            ("keep", _) => return Ok(Choice::Keep),
            (_, Some(true)) => return Ok(Choice::Back),
            (_, Some(false)) => return Ok(Choice::Leave),
            _ => ask.say("Answer y, n or keep.")?,
        }
    }
}
