//! `ribwright history`: how the work on a joint went.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::progress::{announce, while_working};
use super::screen::{Failure, Run, Screen};
use crate::advice::{self, JointInBowl, Options};
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright history demo-readings/plain
  ribwright history demo-readings/fitted --json";

/// Show how the work on a joint went, round by round
///
/// Worst gap and lift as read and as estimated, wood taken, what each plane's
/// shaving turned out to be, and how well the strokes' effect was foreseen.
#[derive(Debug, Parser)]
#[command(name = "history", after_help = EXAMPLE)]
pub(super) struct History {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// Print the figures for programs, lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for History {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let JointInBowl { job, start, .. } = advice::open(&self.path).map_err(Failure::wrong)?;
        announce(&job, screen);
        let options = Options { start, ..Options::default() };
        let looked = while_working("looking back", || advice::past(&job, &options));
        let rounds = looked.map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::past_json(&job, &rounds)?)?;
        } else {
            show::past_text(&job, &rounds, screen.out())?;
        }
        Ok(())
    }
}
