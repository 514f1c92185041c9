//! `ribwright planed`: the strokes that were taken after the last round.

mod account;

use std::path::PathBuf;

use anyhow::anyhow;
use clap::Parser;

use self::account::{Account, Told};
use super::advise::Surface;
use super::ask::Ask;
use super::screen::{Failure, Run, Screen};
use crate::advice::{self, Advice, JointInBowl, Options, Verdict};
use crate::job::{self, Job};
use crate::record::{self, NewStroke};
use crate::show;
use crate::show::next_command;

const EXAMPLE: &str = "\
Example:
  ribwright planed demo-readings/plain
  ribwright planed demo-readings/plain --as-advised

A stroke is typed as plane, run and number of pushes, and where the shaving ran
unbroken if you watched it: long 3-9 x2 unbroken 4-8";

/// Record the strokes planed after the last round
///
/// Shows the strokes that were advised: Enter if they were planed so, c if other
/// ones were, n if nothing was planed. The strokes are written together, after
/// all are told. Exit status: 0 recorded, or nothing to record, 2 the command
/// line or a file is wrong, 1 anything else, such as input that ends before the
/// strokes are confirmed.
#[derive(Debug, Parser)]
#[command(name = "planed", after_help = EXAMPLE)]
pub(super) struct Planed {
    /// The joint's folder
    folder: PathBuf,
    /// Record the strokes as advised, without asking
    #[arg(long)]
    as_advised: bool,
    /// The joint surface that `advise` was given
    #[arg(long, value_enum, default_value_t = Surface::Auto)]
    surface: Surface,
}

impl Run for Planed {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        job::read_folder(&self.folder)
            .map_err(|problems| Failure::wrong(record::or_lost(&self.folder, problems)))?;
        let JointInBowl { job, start, .. } = advice::open(&self.folder).map_err(Failure::wrong)?;
        let Some(last) = job.rounds.last() else {
            return Err(self.no_round());
        };
        let advised = match last.strokes.is_empty() {
            true => Some(advice::advise(&job, &Options { surface: self.surface.into(), start })),
            false => None,
        };
        if self.as_advised {
            let strokes = self.as_advised(&job, advised.as_ref())?;
            return self.record(&job, &strokes, &mut Ask::new(screen)?);
        }
        let mut ask = Ask::new(screen)?;
        let told = Account { job: &job, ask: &mut ask }.take(advised.as_ref())?;
        match told {
            Told::Strokes(strokes) => self.record(&job, &strokes, &mut ask),
            Told::Nothing => self.nothing(&mut ask),
            Told::NoInput => {
                Err(anyhow!("The input ended before the strokes were confirmed: nothing was recorded.")
                    .into())
            }
        }
    }
}

impl Planed {
    fn no_round(&self) -> Failure {
        let (folder, next) = (self.folder.display(), next_command("enter", &self.folder));
        Failure::Wrong(anyhow!(
            "{folder}: expected a round of readings, but there is none to plane after. Next: {next}"
        ))
    }

    /// What `--as-advised` records.
    fn as_advised(&self, job: &Job, advised: Option<&Advice>) -> Result<Vec<NewStroke>, Failure> {
        let (folder, round) = (self.folder.display(), job.rounds.len());
        let Some(advice) = advised else {
            let next = next_command("planed", &self.folder);
            return Err(Failure::Wrong(anyhow!(
                "{folder}: strokes are recorded after round {round} already, so nothing was recorded. Next: {next} \
                 (without --as-advised) to add more."
            )));
        };
        if advice.verdict != Verdict::Plane {
            return Err(Failure::Wrong(anyhow!(
                "{folder}: no strokes are advised after round {round}, so nothing was recorded. {} {}",
                show::headline(advice.verdict),
                advice.reason
            )));
        }
        Ok(advice.strokes.iter().map(|s| s.named(job)).collect())
    }

    fn record(&self, job: &Job, strokes: &[NewStroke], ask: &mut Ask<'_>) -> Result<(), Failure> {
        let round = job.last_round().ok_or_else(|| self.no_round())?;
        let known = job.rounds.last().map_or(&[][..], |r| &r.strokes);
        let written = record::add_strokes_to(&self.folder, round, known, strokes);
        match written {
            Err(error) if error.is_written() => ask.say(&format!("Mind: {error}"))?,
            written => written.map_err(Failure::journal)?,
        }
        let rows = if strokes.len() == 1 { "1 row".to_owned() } else { format!("{} rows", strokes.len()) };
        let next = next_command("enter", &self.folder);
        ask.print(&format!("Recorded after round {round}: {rows} in strokes.csv.\nNext: read again: {next}"))
    }

    fn nothing(&self, ask: &mut Ask<'_>) -> Result<(), Failure> {
        let next = next_command("enter", &self.folder);
        ask.print(&format!("Nothing was recorded.\nNext: plane, or read again: {next}"))
    }
}
