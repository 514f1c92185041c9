//! `ribwright bowl`: where the work on a whole bowl stands.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::progress::while_working;
use super::screen::{Failure, Run, Screen};
use crate::advice;
use crate::job::bowl::read_bowl;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright bowl demo-readings/bowl
  ribwright bowl demo-readings/bowl --pictures pictures
  ribwright bowl demo-readings/bowl --json";

/// Show where the work on a whole bowl stands, and what comes next
///
/// Joints fitted, rounds and time, wood taken and left, the ribs' widths against
/// each other, what planes and readings turned out to be over all joints.
#[derive(Debug, Parser)]
#[command(name = "bowl", after_help = EXAMPLE)]
pub(super) struct BowlState {
    /// The bowl's folder
    folder: PathBuf,
    /// Print the figures for programs, lengths in mm
    #[arg(long)]
    json: bool,
    /// Write a picture of the widths into this folder, as SVG and PNG
    #[arg(long, value_name = "DIR")]
    pictures: Option<PathBuf>,
}

impl Run for BowlState {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let bowl = read_bowl(&self.folder).map_err(Failure::wrong)?;
        let whole = while_working("working out the joints", || advice::whole(&bowl));
        if self.json {
            writeln!(screen.out(), "{}", show::bowl::whole_json(&bowl, &whole)?)?;
        } else {
            show::bowl::whole_text(&bowl, &whole, screen.out())?;
        }
        if let (Some(folder), Ok(division)) = (&self.pictures, &whole.division) {
            let written = show::widths_pictures(&bowl, division, folder);
            for file in written.map_err(|e| Failure::system(folder, e))? {
                screen.note(&format!("wrote {}", file.display()));
            }
        }
        Ok(())
    }
}
