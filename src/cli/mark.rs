//! `ribwright mark`: the marks of a rib's outer edge, and the strokes down to them.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::number::number;
use super::{Failure, Run, Screen};
use crate::advice;
use crate::bowl::mark::{Wish, marks_in};
use crate::bowl::moisture::movement;
use crate::job::Unit;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright mark demo-readings/bowl/joints/02
  ribwright mark demo-readings/bowl/joints/02 --by-widths
  ribwright mark demo-readings/bowl/joints/02 --json";

/// Mark the outer edge of a joint's new rib, and say which strokes lead down to it
///
/// Reads the joint's marks.csv: station, compass (from a reference line on the rib to
/// the line on the mold), edge (from the reference line to the present outer edge) and,
/// where the reference line is not the joint edge itself, reference (from the joint edge
/// to it). Half the spacer is left off. A gently curved edge is laid through the marks;
/// one that does not go with the others is named before wood is cut.
#[derive(Debug, Parser)]
#[command(name = "mark", after_help = EXAMPLE)]
pub(super) struct Mark {
    /// The joint's folder, in a bowl
    folder: PathBuf,
    /// Mark at the widths that `divide` tells, not at the lines on the mold
    #[arg(long)]
    by_widths: bool,
    /// What to leave off for the spacer, in the bowl's unit; half its width if not given
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    allowance: Option<f64>,
    /// Print the answer for programs, lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for Mark {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let opened = advice::open(&self.folder).map_err(Failure::wrong)?;
        let Some((bowl, number)) = &opened.bowl else {
            return Err(Failure::wrong(not_in_a_bowl(&self.folder, &opened)));
        };
        let wish = Wish { allowance: self.allowance(bowl.settings.unit)?, by_widths: self.by_widths };
        let marks = marks_in(bowl, *number, &opened.job, &opened.start, wish).map_err(Failure::wrong)?;
        let marks = marks.ok_or_else(|| Failure::wrong(no_marks(&self.folder)))?;
        let widest = marks.stations.iter().map(|s| s.width).fold(0.0, f64::max);
        let movement = movement(&bowl.settings, widest).ok();
        let even = bowl.settings.even;
        if self.json {
            let text = show::bowl::marks_json(&opened.job, &marks, even, movement.as_ref())?;
            writeln!(screen.out(), "{text}")?;
        } else {
            show::bowl::marks_text(&opened.job, &marks, even, movement.as_ref(), screen.out())?;
        }
        Ok(())
    }
}

impl Mark {
    fn allowance(&self, unit: Unit) -> Result<Option<f64>, Failure> {
        let mm = self.allowance.map(|a| a * unit.mm());
        match mm {
            Some(mm) if !(0.0..=10.0).contains(&mm) => {
                let most = unit.say(10.0);
                Err(Failure::wrong(format!("--allowance: expected 0 to {most}, half a spacer's width")))
            }
            other => Ok(other),
        }
    }
}

/// Why a joint can't be marked alone.
fn not_in_a_bowl(folder: &std::path::Path, opened: &advice::Opened) -> String {
    let unread = opened.job.warnings.iter().find(|w| w.code == "bowl-unread");
    match unread {
        Some(warning) => warning.text.clone(),
        None => format!(
            "{} is no joint of a bowl: expected a folder such as BOWL/joints/03 beside a BOWL/bowl.toml. Next: lay the \
             bowl out with `ribwright new`, or move the joint's folder there",
            folder.display()
        ),
    }
}

fn no_marks(folder: &std::path::Path) -> String {
    format!(
        "{}: expected the marks of the outer edge, but there is no such table. Next: measure compass and edge at each \
         station and write them there: station, compass, edge, reference",
        folder.join("marks.csv").display()
    )
}
