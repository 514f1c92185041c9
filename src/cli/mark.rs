//! `ribwright mark`: the marks of a rib's outer edge, and the strokes down to them.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::Parser;

use super::ask::Ask;
use super::figures::{Figure, Usual, ask_for, enough};
use super::number::{length, number};
use super::screen::{Failure, Run, Screen};
use crate::advice::{self, JointInBowl};
use crate::bowl::doubt::{Doubt, TypedMarks};
use crate::bowl::mark::{Wish, marks_in};
use crate::bowl::moisture::movement;
use crate::job::bowl::{Bowl, MARKS};
use crate::job::names::READ;
use crate::job::ranges::{Range, SPACER_WIDTH};
use crate::job::{self, Unit, ranges};
use crate::record::{NewMark, add_marks};
use crate::show;
use crate::show::next_command;
use crate::table::misnamed;

const EXAMPLE: &str = "\
Example:
  ribwright mark demo-readings/bowl/joints/02
  ribwright mark demo-readings/bowl/joints/02 --by-widths
  ribwright mark demo-readings/bowl/joints/02 --pictures pictures
  ribwright mark my-bowl/joints/01 --enter

With --enter a line answers each question, from a pipe too: compass, edge and
reference at every station, and at last y to save.";

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
    /// First type compass, edge and reference, station by station, into marks.csv
    #[arg(long)]
    enter: bool,
    /// Write pictures of the rib's outline and of what comes off into this folder, as SVG and PNG
    #[arg(long, value_name = "DIR")]
    pictures: Option<PathBuf>,
    /// Print the answer for programs, lengths in mm
    #[arg(long, conflicts_with = "enter")]
    json: bool,
}

impl Run for Mark {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let mut opened = advice::open(&self.folder).map_err(Failure::wrong)?;
        if let Some(problems) = opened.unread.take() {
            return Err(Failure::wrong(problems));
        }
        if self.enter {
            if !self.type_in(&opened, screen)? {
                return Ok(());
            }
            opened = advice::open(&self.folder).map_err(Failure::wrong)?;
        }
        let (bowl, number) = self.bowl(&opened)?;
        let wish = Wish { allowance: self.allowance(bowl.settings.unit)?, by_widths: self.by_widths };
        let marks = marks_in(bowl, number, &opened.job, &opened.start, wish).map_err(Failure::wrong)?;
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
        if let Some(folder) = &self.pictures {
            let written = show::marks_pictures(&opened.job, &marks, folder);
            for file in written.map_err(|e| Failure::system(folder, e))? {
                screen.note(&format!("wrote {}", file.display()));
            }
        }
        Ok(())
    }
}

impl Mark {
    /// The bowl around the joint, and the joint's number there.
    fn bowl<'a>(&self, opened: &'a JointInBowl) -> Result<(&'a Bowl, usize), Failure> {
        match &opened.bowl {
            Some((bowl, number)) => Ok((bowl, *number)),
            None => Err(Failure::wrong(not_in_a_bowl(&self.folder))),
        }
    }

    /// The marks of every station that has none, asked for; whether they were saved.
    fn type_in(&self, opened: &JointInBowl, screen: &mut Screen) -> Result<bool, Failure> {
        let (bowl, number) = self.bowl(opened)?;
        let there = bowl.joint(number).map(|j| j.marks.as_slice()).unwrap_or_default();
        let open = |i: &usize| there.get(*i).is_none_or(Option::is_none);
        let stations: Vec<usize> = (0..opened.job.stations.len()).filter(open).collect();
        if stations.is_empty() {
            return Err(Failure::wrong(format!(
                "{}: every station has its mark there already. Next: correct it there, and give the command without \
                 --enter",
                self.folder.join("marks.csv").display()
            )));
        }
        let names: Vec<&str> = stations.iter().map(|&i| opened.job.stations[i].name.as_str()).collect();
        let mut ask = Ask::new(screen)?;
        ask.say(show::bowl::MARKS_ASKED)?;
        let known = TypedMarks::new(bowl, number, &opened.job);
        let doubts = |at: usize, mm: f64, typed: &[Option<f64>]| doubt(&known, &stations, at, mm, typed);
        let Some(typed) = ask_for(&mut ask, &questions(&names), opened.job.unit, &doubts)? else {
            ask.say("Nothing was saved.")?;
            return Ok(false);
        };
        let marks = new_marks(&names, &typed);
        enough(marks.len() + there.iter().flatten().count())?;
        add_marks(&bowl.folder, number, &marks).map_err(Failure::journal)?;
        ask.say("The marks are saved.")?;
        ask.print("")?;
        Ok(true)
    }

    fn allowance(&self, unit: Unit) -> Result<Option<f64>, Failure> {
        let left_off = Range { name: "width left off for the spacer", low: 0.0, high: 10.0, ..SPACER_WIDTH };
        length("--allowance", self.allowance, &left_off, unit)
    }
}

/// What speaks against one of a station's three figures, with those typed before it.
fn doubt(known: &TypedMarks, stations: &[usize], at: usize, mm: f64, typed: &[Option<f64>]) -> Option<Doubt> {
    let station = *stations.get(at / 3)?;
    let compass = typed[at - at % 3]?;
    match at % 3 {
        1 => known.edge(compass, mm),
        2 => known.line(station, &job::bowl::Mark { compass, edge: typed[at - 1]?, reference: mm }),
        _ => None,
    }
}

/// Three questions a station; the second and third only where the first was answered.
fn questions(stations: &[&str]) -> Vec<Figure> {
    let figure = |k: usize, word: &str, range, usual, with| Figure {
        words: format!("{}, {word}", show::clean(stations[k])),
        range,
        usual,
        with,
    };
    let asked = |k: usize| {
        let with = Some(3 * k);
        // A reference line mostly stays where it was at the station before.
        let before = (k > 0).then(|| 3 * k - 1);
        [
            figure(k, "compass", &ranges::COMPASS, Usual::Nothing, None),
            figure(k, "edge", &ranges::EDGE, Usual::Needed, with),
            figure(k, "reference", &ranges::REFERENCE, Usual::As(before), with),
        ]
    };
    (0..stations.len()).flat_map(asked).collect()
}

fn new_marks(stations: &[&str], typed: &[Option<f64>]) -> Vec<NewMark> {
    let mark = |(name, figures): (&&str, &[Option<f64>])| match figures {
        &[Some(compass), Some(edge), Some(reference)] => {
            Some(NewMark { station: (*name).to_owned(), mark: job::bowl::Mark { compass, edge, reference } })
        }
        _ => None,
    };
    stations.iter().zip(typed.chunks(3)).filter_map(mark).collect()
}

/// Why a joint can't be marked alone.
fn not_in_a_bowl(folder: &Path) -> String {
    format!(
        "{} is no joint of a bowl: expected a folder such as BOWL/joints/03 beside a BOWL/bowl.toml. Next: lay the bowl out \
         with `ribwright new`, or move the joint's folder there.",
        folder.display()
    )
}

fn no_marks(folder: &Path) -> String {
    let next = match misnamed(folder, MARKS, &READ) {
        Some(near) => format!("rename {near} to {MARKS} if it is that"),
        None => {
            let command = next_command("mark --enter", folder);
            format!("measure compass and edge at each station and type them: {command}")
        }
    };
    format!(
        "{}: expected the marks of the outer edge, but there is no such table. Next: {next}",
        folder.join(MARKS).display()
    )
}
