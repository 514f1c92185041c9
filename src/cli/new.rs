//! `ribwright new`: a bowl laid out from a few answers.

use std::path::{Path, PathBuf};

use clap::{Parser, ValueEnum};

use super::ask::Ask;
use super::number::{length, number, whole};
use super::screen::{Failure, Run, Screen};
use crate::bowl::layout::{LENGTH, OPENING, SPARE, STATIONS, Wanted, exchanged, lay_out};
use crate::bowl::shape::{Outline, WIDEST};
use crate::job::bowl::{BowlSettings, Spacer, read_outline};
use crate::job::ranges::{self, Range, Slip};
use crate::job::{Mold, Plane, Unit};
use crate::record::Style;
use crate::record::write_bowl;
use crate::seat::wood::{UNTOLD, Wood};
use crate::show;
use crate::table::{LONGEST_TEXT, typed_length};

const EXAMPLE: &str = "\
Example:
  ribwright new my-bowl --ribs 15 --length 480 --width 348
  ribwright new my-bowl --ribs 13 --outline demo-readings/bowl/outline.csv --depth 110
  ribwright new my-bowl --ribs 11 --length 19 --width 13.5 --units inch --mold faceted

Left out, number of ribs and opening are asked for, and then all else that counts (depth,
spacers, plane, spare width, wood), where Enter alone takes what stands in [ ]; from a pipe a
line answers each question.";

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
    #[arg(long, default_value_t = STATIONS, value_parser = stations)]
    stations: usize,
    /// The unit of all lengths, here and in the files
    #[arg(long, value_enum, default_value_t = Units::Mm)]
    units: Units,
    /// The mold across a rib
    #[arg(long, value_enum, default_value_t = Across::Round)]
    mold: Across,
    /// The ribs' wood, one that is known, or `unknown`
    #[arg(long, value_parser = wood)]
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

/// A wood that is known, by its name here, or `unknown`.
fn wood(text: &str) -> Result<String, String> {
    let name = one_line(text)?;
    if name.trim().eq_ignore_ascii_case(UNKNOWN) {
        return Ok(UNKNOWN.into());
    }
    let known = |w: Wood| w.name.to_owned();
    Wood::named(&name).map(known).ok_or_else(|| {
        let woods = Wood::names().collect::<Vec<_>>().join(", ");
        let near = Wood::like(&name);
        let near = if near.is_empty() { String::new() } else { format!(" (probably {})", near.join(" or ")) };
        format!("how this wood bends and moves isn't known; expected one of {woods}{near}, or {UNKNOWN}: then {UNTOLD} can't be told")
    })
}

/// The word for a wood that is not among those known.
const UNKNOWN: &str = "unknown";

impl Run for New {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let unit = self.units.into();
        if self.spacer_height.is_some() && self.spacer.is_none() {
            return Err(Failure::wrong(
                "--spacer-height: there is no spacer. Next: give its width too, with --spacer.",
            ));
        }
        let wanted = self.wanted(unit, screen)?;
        let laid = lay_out(&wanted).map_err(Failure::wrong)?;
        let style = Style { geometry: 2, ..Style::default() };
        write_bowl(&laid.settings, &laid.joints, &[], &self.folder, &style).map_err(Failure::write)?;
        show::bowl::laid_out_text(&laid, &self.folder, screen.out())?;
        Ok(())
    }
}

/// A length that may be left out.
struct Wish<'a> {
    option: &'a str,
    question: &'a str,
    given: Option<f64>,
    range: &'a Range,
    /// What it is if left out, mm; none where there is nothing then.
    usual: Option<f64>,
}

impl<'a> Wish<'a> {
    fn new(
        option: &'a str,
        question: &'a str,
        (given, range): (Option<f64>, &'a Range),
        usual: Option<f64>,
    ) -> Self {
        Wish { option, question, given, range, usual }
    }
}

impl New {
    /// Whether the number of ribs or the opening is left to questions: then so is the rest.
    fn asks(&self) -> bool {
        let opening = self.outline.is_some() || (self.length.is_some() && self.width.is_some());
        self.ribs.is_none() || !opening
    }

    /// Everything from the command line, or from answers in the order of the work.
    fn wanted(&self, unit: Unit, screen: &mut Screen) -> Result<Wanted, Failure> {
        let ribs = self.ribs(screen)?;
        let outline = self.opening(unit, screen)?;
        let depth = self.wished(self.depth(outline.widest().0), unit, screen)?;
        let spacer = self.wished(self.spacer(), unit, screen)?;
        let plane = self.plane(unit, screen)?;
        let spare = self.wished(self.spare(), unit, screen)?.unwrap_or(SPARE);
        let wood = self.wood(screen)?;
        let settings = self.settings(unit, (ribs, spacer, wood))?;
        Ok(Wanted { settings, outline, depth, stations: self.stations, plane, spare })
    }

    fn settings(
        &self,
        unit: Unit,
        (ribs, spacer, wood): (usize, Option<f64>, Option<String>),
    ) -> Result<BowlSettings, Failure> {
        let height = length("--spacer-height", self.spacer_height, &ranges::SPACER_HEIGHT, unit)?;
        let usual = Spacer::default();
        let spacer = spacer.map(|width| Spacer { width, height: height.unwrap_or(usual.height) });
        Ok(BowlSettings {
            title: self.title.clone(),
            unit,
            mold: match self.mold {
                Across::Round => Mold::Round,
                Across::Faceted => Mold::Faceted,
            },
            ribs,
            wood,
            thickness: length("--thickness", self.thickness, &ranges::THICKNESS, unit)?,
            spacer,
            ..BowlSettings::default()
        })
    }

    fn depth(&self, half: f64) -> Wish<'_> {
        let question = "How deep is it, from the opening to the deepest rib? Half its width: a round bowl";
        Wish::new("--depth", question, (self.depth, &ranges::DEPTH), Some(half))
    }

    fn spacer(&self) -> Wish<'_> {
        let question = "How wide are the spacers between the ribs?";
        Wish::new("--spacer", question, (self.spacer, &ranges::SPACER_WIDTH), None)
    }

    fn spare(&self) -> Wish<'_> {
        let question = "How much may come off a rib's edge at most?";
        Wish::new("--spare", question, (self.spare, &ranges::SPARE), Some(SPARE))
    }

    fn plane(&self, unit: Unit, screen: &mut Screen) -> Result<Plane, Failure> {
        let usual = Plane::default();
        let question = "How long is the sole of your plane?";
        let sole = Wish::new("--sole", question, (self.sole, &ranges::SOLE), Some(usual.sole));
        let question = "How thick is its shaving, by the caliper?";
        let shaving = Wish::new("--shaving", question, (self.shaving, &ranges::SHAVING), Some(usual.shaving));
        let sole = self.wished(sole, unit, screen)?.unwrap_or(usual.sole);
        let shaving = self.wished(shaving, unit, screen)?.unwrap_or(usual.shaving);
        Ok(Plane { sole, shaving, ..usual })
    }

    /// From the command line, or from an answer where anything is asked; an empty one leaves it out.
    fn wished(&self, wish: Wish<'_>, unit: Unit, screen: &mut Screen) -> Result<Option<f64>, Failure> {
        let given = length(wish.option, wish.given, wish.range, unit)?;
        if given.is_some() || !self.asks() {
            return Ok(given);
        }
        let usual = wish.usual.map_or_else(|| "none".to_owned(), |mm| unit.say(mm));
        ask(screen, wish.option, &format!("{} [{usual}] ", wish.question), |text| match text {
            "" => Ok(None),
            text => typed_length(text, wish.range, unit).map(Some),
        })
    }

    /// The wood, if it is known.
    fn wood(&self, screen: &mut Screen) -> Result<Option<String>, Failure> {
        if self.wood.is_some() || !self.asks() {
            return Ok(self.wood.clone().filter(|name| name != UNKNOWN));
        }
        let question = format!("Which wood? [{UNKNOWN}] ");
        let name = ask(screen, "--wood", &question, |text| match text {
            "" => Ok(UNKNOWN.to_owned()),
            text => wood(text).map_err(|why| format!("'{text}': {why}.")),
        })?;
        Ok(Some(name).filter(|name| name != UNKNOWN))
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
        loop {
            let long = match self.long(unit, screen)? {
                Long::Is(mm) => mm,
                Long::Table(outline) => return Ok(outline),
            };
            let wide = self.wide(unit, screen)?;
            let Some(why) = exchanged(long, wide, unit) else { return self.numbers(long, wide, unit) };
            if self.length.is_some() && self.width.is_some() {
                return Err(Failure::wrong(format!(
                    "--length and --width: {why} Next: exchange them, or give the outline as a table, with --outline."
                )));
            }
            Ask::new(screen)?.say(&format!("{why} Once more:"))?;
        }
    }

    fn long(&self, unit: Unit, screen: &mut Screen) -> Result<Long, Failure> {
        if let Some(mm) = length("--length", self.length, &LENGTH, unit)? {
            return Ok(Long::Is(mm));
        }
        let question = "How long is the opening, end to end? Or: the file of its outline. ";
        ask(screen, "--length", question, |text| {
            if Path::new(text).is_file() {
                let points = read_outline(Path::new(text), unit).map_err(|p| p.to_string())?;
                return Ok(Long::Table(Outline::through(&points)));
            }
            typed_length(text, &LENGTH, unit).map(Long::Is)
        })
    }

    fn wide(&self, unit: Unit, screen: &mut Screen) -> Result<f64, Failure> {
        let question = "How wide is it at its widest, rim to rim? ";
        match length("--width", self.width, &OPENING, unit)? {
            Some(mm) => Ok(mm),
            None => ask(screen, "--width", question, |text| typed_length(text, &OPENING, unit)),
        }
    }

    fn numbers(&self, long: f64, wide: f64, unit: Unit) -> Result<Outline, Failure> {
        let within = Range {
            name: "place between a third and four fifths of the length",
            low: long / 3.0,
            high: 0.8 * long,
            slip: Slip::Unknown,
            ..ranges::LENGTH
        };
        let widest = length("--widest", self.widest, &within, unit)?.unwrap_or(WIDEST * long);
        Ok(Outline::Numbers { length: long, half_width: wide / 2.0, widest })
    }
}

/// The length of the opening, or what stands in its place.
enum Long {
    /// So long, mm.
    Is(f64),
    /// Its outline, from a table.
    Table(Outline),
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
