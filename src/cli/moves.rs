//! `ribwright moves`: what moisture does to a rib's width.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::number::{length, number, within};
use super::screen::{Failure, Run, Screen};
use crate::bowl::moisture::movement;
use crate::job::bowl::read_bowl;
use crate::job::ranges::{MOISTURE, WIDTH};
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright moves demo-readings/bowl
  ribwright moves demo-readings/bowl --from 10 --to 7,5 --width 36";

/// Say how much moisture moves a rib between fitting and gluing
///
/// By the coefficients of the Wood Handbook, set against the tolerance on equal width.
#[derive(Debug, Parser)]
#[command(name = "moves", after_help = EXAMPLE)]
pub(super) struct Moves {
    /// The bowl's folder
    folder: PathBuf,
    /// Moisture content at fitting, per cent; left out: as in bowl.toml
    #[arg(long, value_name = "PERCENT", value_parser = number)]
    from: Option<f64>,
    /// Moisture content at gluing, per cent; left out: as in bowl.toml
    #[arg(long, value_name = "PERCENT", value_parser = number)]
    to: Option<f64>,
    /// Width of the rib, in the bowl's unit; left out: its widest station
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    width: Option<f64>,
    /// Print the answer for programs, lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for Moves {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let bowl = read_bowl(&self.folder).map_err(Failure::wrong)?;
        let mut settings = bowl.settings.clone();
        for (k, (option, value)) in [("--from", self.from), ("--to", self.to)].into_iter().enumerate() {
            if let Some(value) = value {
                settings.moisture[k] = Some(within(option, value, &MOISTURE, settings.unit)?);
            }
        }
        if settings.moisture.iter().flatten().count() == 1 {
            return Err(Failure::wrong(
                "One moisture is given, and a change needs two. Next: give --from and --to, or write both into bowl.toml \
                 under [moisture].",
            ));
        }
        let widest = bowl.joints.iter().flat_map(|j| &j.job.stations).map(|s| s.width).fold(0.0, f64::max);
        let width = length("--width", self.width, &WIDTH, settings.unit)?.unwrap_or(widest);
        if width == 0.0 {
            return Err(Failure::wrong("The bowl has no joints to tell a width. Next: give --width."));
        }
        let moves = movement(&settings, width).map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::bowl::movement_json(&moves, settings.even)?)?;
        } else {
            show::bowl::movement_text(&moves, settings.unit, settings.even, screen.out())?;
        }
        Ok(())
    }
}
