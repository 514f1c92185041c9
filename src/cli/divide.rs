//! `ribwright divide`: the girth shared out.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::ask::Ask;
use super::figures::{Figure, Usual, ask_for, enough};
use super::number::whole;
use super::{Failure, Run, Screen};
use crate::advice;
use crate::bowl::divide::divide;
use crate::job::bowl::{Bowl, add_girth, read_bowl};
use crate::job::ranges;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright divide demo-readings/bowl
  ribwright divide demo-readings/bowl --symmetric
  ribwright divide demo-readings/bowl --after 2 --json
  ribwright divide my-bowl --enter

With --enter a line answers each question, from a pipe too: the girth at every
station, and at last y to save.";

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
    #[arg(long, value_name = "RIBS", value_parser = fitted)]
    after: Option<usize>,
    /// First type the girth, station by station, into girth.csv
    #[arg(long)]
    enter: bool,
    /// Print the answer for programs, lengths in mm
    #[arg(long, conflicts_with = "enter")]
    json: bool,
}

fn fitted(text: &str) -> Result<usize, String> {
    whole(text, 0, 98).map(|n| n as usize)
}

impl Run for Divide {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let mut bowl = read_bowl(&self.folder).map_err(Failure::wrong)?;
        if self.enter {
            if !self.type_in(&bowl, screen)? {
                return Ok(());
            }
            bowl = read_bowl(&self.folder).map_err(Failure::wrong)?;
        }
        let division = divide(&bowl, self.after, self.symmetric).map_err(Failure::wrong)?;
        if self.json {
            writeln!(screen.out(), "{}", show::bowl::division_json(&bowl, &division, self.symmetric)?)?;
        } else {
            show::bowl::division_text(&bowl, &division, self.symmetric, screen.out())?;
        }
        Ok(())
    }
}

impl Divide {
    /// The girth of every station, asked for; whether it was saved.
    fn type_in(&self, bowl: &Bowl, screen: &mut Screen) -> Result<bool, Failure> {
        let after = self.after.unwrap_or_else(|| advice::girth_due(bowl));
        if bowl.girths.iter().any(|g| g.after == after) {
            return Err(Failure::wrong(format!(
                "{}: the girth after {after} ribs is written there already. Next: correct it there, or say after how \
                 many ribs you measured: --after {}",
                self.folder.join("girth.csv").display(),
                after + 1
            )));
        }
        let stations = &bowl.settings.stations;
        let ask_one = |name: &String| Figure {
            words: format!("{}, girth", show::clean(name)),
            range: &ranges::GIRTH,
            usual: Usual::Nothing,
            with: None,
        };
        let figures: Vec<Figure> = stations.iter().map(ask_one).collect();
        let mut ask = Ask::new(screen)?;
        ask.say(&match after {
            0 => "Girth along the mold at each station, from rim to rim.".to_owned(),
            1 => "Girth along the mold at each station, from the outer edge of rib 1 to the far rim.".to_owned(),
            _ => format!(
                "Girth along the mold at each station, from the outer edge of rib {after} to the far rim; {after} ribs \
                 are in their places."
            ),
        })?;
        let Some(typed) = ask_for(&mut ask, &figures, bowl.settings.unit)? else {
            ask.say("Nothing was saved.")?;
            return Ok(false);
        };
        enough(typed.iter().flatten().count())?;
        add_girth(&self.folder, after, &typed).map_err(Failure::journal)?;
        ask.say("The girth is saved.")?;
        ask.print("")?;
        Ok(true)
    }
}
