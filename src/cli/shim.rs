//! `ribwright shim`: where a rib stands off its mold by itself.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::number::{length, number};
use super::screen::{Failure, Run, Screen};
use crate::advice;
use crate::job::bowl::BowlSettings;
use crate::job::ranges::THICKNESS;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright shim demo-readings/bowl/joints/03
  ribwright shim demo-readings/plain --thinnest 1,2 --json";

/// Say where to put a shim under a rib and how thick, from its rounds
///
/// A lift that no pose of the rib explains is a low mold or a rib that springs. Says the
/// step that is left without a shim, and how thin the rib becomes once it is levelled.
#[derive(Debug, Parser)]
#[command(name = "shim", after_help = EXAMPLE)]
pub(super) struct Shim {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// What must be left of the rib, in the folder's unit; left out: as in bowl.toml, else 1 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    thinnest: Option<f64>,
    /// Print the answer for programs, lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for Shim {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let opened = advice::open(&self.path).map_err(Failure::wrong)?;
        if let Some(lost) = opened.lost() {
            screen.note(&lost);
        }
        let usual =
            opened.bowl.as_ref().map_or(BowlSettings::default().thinnest, |(b, _)| b.settings.thinnest);
        let thinnest = length("--thinnest", self.thinnest, &THICKNESS, opened.job.unit)?.unwrap_or(usual);
        let shims = advice::shims(&opened, thinnest).map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::bowl::shims_json(&opened.job, &shims)?)?;
        } else {
            show::bowl::shims_text(&opened.job, &shims, thinnest, screen.out())?;
        }
        Ok(())
    }
}
