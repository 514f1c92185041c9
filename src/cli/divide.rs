//! `ribwright divide`: the girth shared out.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::{Failure, Run, Screen};
use crate::bowl::divide::divide;
use crate::job::bowl::read_bowl;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright divide demo-readings/bowl
  ribwright divide demo-readings/bowl --symmetric
  ribwright divide demo-readings/bowl --after 2 --json";

/// Share out the girth still to cover: how wide the ribs left become
///
/// Reads girth.csv (after, station, girth: along the mold from the last fitted edge,
/// or from the rim where after = 0, to the far rim) and says how wide each rib left
/// is to be at each station, so that all ribs, fitted ones included, differ as little
/// as they can; how far edges have moved past their lines; and whether the difference
/// stays within the tolerance.
#[derive(Debug, Parser)]
#[command(name = "divide", after_help = EXAMPLE)]
pub(super) struct Divide {
    /// The bowl's folder
    folder: PathBuf,
    /// Give each rib the width of its partner on the other side of the middle rib, as nearly as can be
    #[arg(long)]
    symmetric: bool,
    /// By the girth read after so many ribs, not by the last one
    #[arg(long, value_name = "RIBS")]
    after: Option<usize>,
    /// Print the answer for programs, lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for Divide {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let bowl = read_bowl(&self.folder).map_err(Failure::wrong)?;
        let division = divide(&bowl, self.after, self.symmetric).map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::bowl::division_json(&bowl, &division, self.symmetric)?)?;
        } else {
            show::bowl::division_text(&bowl, &division, self.symmetric, screen.out())?;
        }
        Ok(())
    }
}
