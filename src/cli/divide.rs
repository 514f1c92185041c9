//! `ribwright divide`: the girth shared out.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::ask::Ask;
use super::figures::{Figure, Usual, ask_for, enough};
use super::number::whole;
use super::screen::{Failure, Run, Screen};
use crate::advice;
use crate::bowl::divide::{divide, when};
use crate::bowl::doubt::{TypedGirth, with_girth};
use crate::job::bowl::{Bowl, read_bowl};
use crate::job::ranges;
use crate::record::add_girth;
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
        self.leaves_a_rib(bowl.settings.ribs)?;
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
    /// Whether `--after` leaves a rib whose girth can be measured.
    ///
    /// # Errors
    ///
    /// It doesn't.
    fn leaves_a_rib(&self, ribs: usize) -> Result<(), Failure> {
        match self.after {
            Some(after) if after >= ribs => Err(Failure::wrong(format!(
                "--after: found {after}; expected fitted ribs from 0 to {}, since the bowl has {ribs}. Next: say how many \
                 ribs stood in their places when you measured, or correct `ribs` in bowl.toml.",
                ribs - 1
            ))),
            _ => Ok(()),
        }
    }

    /// After how many ribs the girth was read that is to be typed.
    ///
    /// # Errors
    ///
    /// It is written already, or none is due.
    fn to_type(&self, bowl: &Bowl) -> Result<usize, Failure> {
        let free = |after: &usize| bowl.girths.iter().all(|g| g.after != *after);
        let Some(after) = self.after.or_else(|| advice::girth_due(bowl)) else {
            return Err(Failure::wrong(
                "Every rib is in its place, so no girth is due. Next: if you read one before, say after how many ribs, \
                 such as --after 1.",
            ));
        };
        if free(&after) {
            return Ok(after);
        }
        let other = (after + 1..bowl.settings.ribs).find(free).map_or_else(
            || "give the command without --enter".to_owned(),
            |other| format!("say after how many ribs you measured, such as --after {other}"),
        );
        Err(Failure::wrong(format!(
            "{}: the girth {} is written there already. Next: correct it there, or {other}.",
            self.folder.join("girth.csv").display(),
            when(after)
        )))
    }

    /// The girth of every station, asked for; whether it was saved.
    fn type_in(&self, bowl: &Bowl, screen: &mut Screen) -> Result<bool, Failure> {
        let after = self.to_type(bowl)?;
        let stations = &bowl.settings.stations;
        let ask_one = |name: &String| Figure {
            words: format!("{}, girth", show::clean(name)),
            range: &ranges::GIRTH,
            usual: Usual::Nothing,
            with: None,
        };
        let figures: Vec<Figure> = stations.iter().map(ask_one).collect();
        let mut ask = Ask::new(screen)?;
        ask.say(&show::bowl::girth_asked(after))?;
        let girth = TypedGirth::new(bowl, after);
        let doubts = |station: usize, mm: f64, _: &[Option<f64>]| girth.doubt(station, mm);
        let Some(typed) = ask_for(&mut ask, &figures, bowl.settings.unit, &doubts)? else {
            ask.say("Nothing was saved.")?;
            return Ok(false);
        };
        enough(typed.iter().flatten().count())?;
        let shared = divide(&with_girth(bowl, after, typed.clone()), Some(after), false);
        shared.map_err(|why| Failure::wrong(format!("{why} Nothing was saved.")))?;
        add_girth(&self.folder, after, &typed).map_err(Failure::journal)?;
        ask.say("The girth is saved.")?;
        ask.print("")?;
        Ok(true)
    }
}
