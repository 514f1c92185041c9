//! `ribwright new`: a bowl laid out from a few answers.

use std::path::PathBuf;

use clap::{Parser, ValueEnum};

use super::ask::Ask;
use super::number::{length, number, whole};
use super::screen::{Failure, Run, Screen};
use crate::bowl::layout::{Wanted, lay_out};
use crate::bowl::shape::Outline;
use crate::job::bowl::{BowlSettings, Spacer, read_outline};
use crate::job::ranges::{self, Range, Slip};
use crate::job::{Mold, Plane, Unit};
use crate::record::Style;
use crate::record::write_bowl;
use crate::show;
use crate::table::{LONGEST_TEXT, typed_length};

const EXAMPLE: &str = "\
Example:
  ribwright new my-bowl --ribs 15 --length 480 --width 348
  ribwright new my-bowl --ribs 13 --outline demo-readings/bowl/outline.csv --depth 110
  ribwright new my-bowl --ribs 11 --length 19 --width 13.5 --units inch --mold faceted

What is left out and needed is asked for; from a pipe a line answers each question.";

/// Lay out a bowl's folder: settings, and joints with regular geometry filled in
///
/// From the number of ribs, the outline of the opening (its length and width, or a table
/// of along and half_width) and the depth (left out: a round bowl), every joint gets
/// stations with rises, widths and bevels, so that readings can begin at once. Nothing
/// that is there is overwritten.
#[derive(Debug, Parser)]
#[command(name = "new", after_help = EXAMPLE)]
pub(super) struct New {
    /// The folder to make
    folder: PathBuf,
    /// Ribs from rim to rim
    #[arg(long, value_parser = ribs)]
    ribs: Option<usize>,
    /// Length of the opening from end to end
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    length: Option<f64>,
    /// Largest width of the opening from rim to rim
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    width: Option<f64>,
    /// From the neck end to the widest place; left out: 0.58 of the length
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    widest: Option<f64>,
    /// A table of along and half_width, in place of length and width
    #[arg(long, value_name = "TABLE", conflicts_with_all = ["length", "width", "widest"])]
    outline: Option<PathBuf>,
    /// Depth at the widest place; left out: half the width, a round bowl
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    depth: Option<f64>,
    /// Stations of each joint
    #[arg(long, default_value_t = 13, value_parser = stations)]
    stations: usize,
    /// The unit of all lengths, here and in the files
    #[arg(long, value_enum, default_value_t = Units::Mm)]
    units: Units,
    /// The mold across a rib
    #[arg(long, value_enum, default_value_t = Across::Round)]
    mold: Across,
    /// The ribs' wood
    #[arg(long, value_parser = one_line)]
    wood: Option<String>,
    /// The ribs' thickness
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    thickness: Option<f64>,
    /// Width of the spacers; left out: none
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    spacer: Option<f64>,
    /// Height of the spacers; left out: 2.5 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    spacer_height: Option<f64>,
    /// Length of your plane's sole; left out: 600 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    sole: Option<f64>,
    /// Thickness of its shaving; left out: 0.08 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    shaving: Option<f64>,
    /// The most that may come off a rib's edge at any station; left out: 3 mm
    #[arg(long, value_name = "LENGTH", value_parser = number)]
    spare: Option<f64>,
    /// The bowl's title
    #[arg(long, value_parser = one_line)]
    title: Option<String>,
}

/// Units, as the command takes them.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Units {
    Mm,
    Inch,
}

impl From<Units> for Unit {
    fn from(units: Units) -> Unit {
        match units {
            Units::Mm => Unit::Mm,
            Units::Inch => Unit::Inch,
        }
    }
}

/// Kinds of mold, as the command takes them.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Across {
    Round,
    Faceted,
}

fn stations(text: &str) -> Result<usize, String> {
    whole(text, 3, 60)
        .map(|n| n as usize)
        .map_err(|why| format!("{why}, ten to fifteen on a bowl of ordinary size"))
}

fn ribs(text: &str) -> Result<usize, String> {
    let (low, high) = (ranges::RIBS.low as u64, ranges::RIBS.high as u64);
    whole(text, low, high)
        .map(|n| n as usize)
        .map_err(|_| format!("expected {low} to {high} ribs, from rim to rim"))
}

/// A text as the settings' files take it.
fn one_line(text: &str) -> Result<String, String> {
    let (room, joint) = (LONGEST_TEXT, ", joint 99".len());
    let fits = text.chars().count() + joint <= room && !text.chars().any(char::is_control);
    fits.then(|| text.to_owned())
        .ok_or_else(|| format!("expected at most {} plain characters on one line", room - joint))
}

const LENGTH: Range = Range { name: "length of the opening", ..ranges::LENGTH };
const OPENING: Range = Range { name: "width of the opening", low: 60.0, high: 1000.0, ..ranges::LENGTH };
/// The most that may come off, for a start, mm (common practice, no source).
const SPARE: f64 = 3.0;

impl Run for New {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let unit = self.units.into();
        if self.spacer_height.is_some() && self.spacer.is_none() {
            return Err(Failure::wrong(
                "--spacer-height: there is no spacer. Next: give its width too, with --spacer.",
            ));
        }
        let ribs = self.ribs(screen)?;
        let outline = self.opening(unit, screen)?;
        let wanted = Wanted {
            settings: self.settings(unit, ribs)?,
            outline,
            depth: length("--depth", self.depth, &ranges::DEPTH, unit)?,
            stations: self.stations,
            plane: self.plane(unit)?,
            spare: length("--spare", self.spare, &ranges::SPARE, unit)?.unwrap_or(SPARE),
        };
        let laid = lay_out(&wanted).map_err(Failure::wrong)?;
        let style = Style { geometry: 2, ..Style::default() };
        write_bowl(&laid.settings, &laid.joints, &[], &self.folder, &style).map_err(Failure::write)?;
        show::bowl::laid_out_text(&laid, &self.folder, screen.out())?;
        Ok(())
    }
}

impl New {
    fn settings(&self, unit: Unit, ribs: usize) -> Result<BowlSettings, Failure> {
        let width = length("--spacer", self.spacer, &ranges::SPACER_WIDTH, unit)?;
        let height = length("--spacer-height", self.spacer_height, &ranges::SPACER_HEIGHT, unit)?;
        let usual = Spacer::default();
        let spacer = width.map(|width| Spacer { width, height: height.unwrap_or(usual.height) });
        Ok(BowlSettings {
            title: self.title.clone(),
            unit,
            mold: match self.mold {
                Across::Round => Mold::Round,
                Across::Faceted => Mold::Faceted,
            },
            ribs,
            wood: self.wood.clone(),
            thickness: length("--thickness", self.thickness, &ranges::THICKNESS, unit)?,
            spacer,
            ..BowlSettings::default()
        })
    }

    fn plane(&self, unit: Unit) -> Result<Plane, Failure> {
        let usual = Plane::default();
        let sole = length("--sole", self.sole, &ranges::SOLE, unit)?.unwrap_or(usual.sole);
        let shaving = length("--shaving", self.shaving, &ranges::SHAVING, unit)?.unwrap_or(usual.shaving);
        Ok(Plane { sole, shaving, ..usual })
    }

    fn ribs(&self, screen: &mut Screen) -> Result<usize, Failure> {
        if let Some(ribs) = self.ribs {
            return Ok(ribs);
        }
        ask(screen, "--ribs", "How many ribs, from rim to rim? ", |text| {
            ribs(text).map_err(|why| format!("'{text}': {why}."))
        })
    }

    fn opening(&self, unit: Unit, screen: &mut Screen) -> Result<Outline, Failure> {
        if let Some(file) = &self.outline {
            let points = read_outline(file, unit).map_err(Failure::wrong)?;
            return Ok(Outline::through(&points));
        }
        let long =
            needed(screen, "--length", "How long is the opening, end to end? ", self.length, &LENGTH, unit)?;
        let wide = needed(
            screen,
            "--width",
            "How wide is it at its widest, rim to rim? ",
            self.width,
            &OPENING,
            unit,
        )?;
        let within = Range {
            name: "place between a third and four fifths of the length",
            low: long / 3.0,
            high: 0.8 * long,
            slip: Slip::Unknown,
            ..ranges::LENGTH
        };
        let widest = length("--widest", self.widest, &within, unit)?.unwrap_or(0.58 * long);
        Ok(Outline::Numbers { length: long, half_width: wide / 2.0, widest })
    }
}

/// A length that must be known, mm: from the command line, or asked for.
fn needed(
    screen: &mut Screen,
    option: &str,
    question: &str,
    given: Option<f64>,
    range: &Range,
    unit: Unit,
) -> Result<f64, Failure> {
    match length(option, given, range, unit)? {
        Some(mm) => Ok(mm),
        None => ask(screen, option, question, |text| typed_length(text, range, unit)),
    }
}

/// Asks until the answer can be read; the end of the input names the option.
fn ask<T>(
    screen: &mut Screen,
    option: &str,
    question: &str,
    read: impl Fn(&str) -> Result<T, String>,
) -> Result<T, Failure> {
    let mut ask = Ask::new(screen)?;
    loop {
        let Some(line) = ask.line(question)? else {
            return Err(Failure::wrong(format!("the input ended before an answer: give {option}")));
        };
        match read(&line) {
            Ok(value) => return Ok(value),
            Err(why) => ask.say(&why)?,
        }
    }
}
