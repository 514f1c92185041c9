//! `ribwright spacer`: the strip between two ribs.

use std::io::Write;
use std::path::PathBuf;

use clap::Parser;

use super::number::{length, number};
use super::screen::{Failure, Run, Screen};
use crate::advice;
use crate::bowl::spacer::{ALLOWANCE, spacer};
use crate::job::bowl::Spacer as Section;
use crate::job::ranges::{Range, SPACER_HEIGHT, SPACER_WIDTH};
use crate::seat::wood::Wood;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright spacer demo-readings/bowl/joints/03
  ribwright spacer demo-readings/plain --height 3 --wood \"sugar maple\" --json";

/// Say how long a joint's spacer is, how hard it is bent, and where tacks go
///
/// The strain at the joint's tightest curve, against what the wood stands cold and hot;
/// tacks clear of the stations; the order of work, and cautions.
#[derive(Debug, Parser)]
#[command(name = "spacer", after_help = EXAMPLE)]
pub(super) struct Spacer {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// Width of the strip, in the folder's unit; left out: as in bowl.toml, else 1.2 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    width: Option<f64>,
    /// Height of the strip, in the folder's unit; left out: as in bowl.toml, else 2.5 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    height: Option<f64>,
    /// What to add at each end, in the folder's unit; left out: 20 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    allowance: Option<f64>,
    /// The strip's wood; left out: the rib's
    #[arg(long)]
    wood: Option<String>,
    /// Print the answer for programs, lengths in mm
    #[arg(long)]
    json: bool,
}

impl Run for Spacer {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let opened = advice::open(&self.path).map_err(Failure::wrong)?;
        if let Some(lost) = opened.lost() {
            screen.note(&lost);
        }
        let job = &opened.job;
        if job.stations.len() < 3 {
            return Err(Failure::wrong(
                "The joint has fewer than three stations: its curve is unknown. Next: measure more of them.",
            ));
        }
        let usual = opened.bowl.as_ref().and_then(|(b, _)| b.settings.spacer).unwrap_or_default();
        let width = length("--width", self.width, &SPACER_WIDTH, job.unit)?.unwrap_or(usual.width);
        let height = length("--height", self.height, &SPACER_HEIGHT, job.unit)?.unwrap_or(usual.height);
        let ends = Range { name: "length at an end", low: 0.0, high: 200.0, ..SPACER_HEIGHT };
        let allowance = length("--allowance", self.allowance, &ends, job.unit)?.unwrap_or(ALLOWANCE);
        let wood = wood(self.wood.as_deref(), job.wood.as_deref())?;
        let plan = spacer(job, Section { width, height }, wood, allowance);
        if self.json {
            writeln!(screen.out(), "{}", show::bowl::spacer_json(job, &plan)?)?;
        } else {
            show::bowl::spacer_text(job, &plan, screen.out())?;
        }
        Ok(())
    }
}

/// The wood that was asked for, which must be known, or the rib's, if it is.
fn wood(asked: Option<&str>, own: Option<&str>) -> Result<Option<Wood>, Failure> {
    let Some(name) = asked else { return Ok(own.and_then(Wood::named)) };
    let known = || Wood::names().collect::<Vec<_>>().join(", ");
    let unknown = || {
        Failure::wrong(format!(
            "--wood: how '{name}' bends is not known here. Next: give one of {}.",
            known()
        ))
    };
    Wood::named(name).map(Some).ok_or_else(unknown)
}
