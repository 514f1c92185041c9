//! `ribwright practise`: the advice and simpler rules on invented joints.

use std::io::Write;

use clap::builder::PossibleValue;
use clap::{Parser, ValueEnum};

use super::number::{number, whole};
use super::progress::Progress;
use super::screen::{Failure, Run, Screen};
use crate::advice::Costs;
use crate::practice::{Bowls, Practice, Recipe, Strategy, World, Wrong};
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright practise --joints 20 --plain
  ribwright practise --joints 20 --bowl flattened --ribs 13 --stations 9 --noise 0.15
  ribwright practise --strategy advice --strategy one-round --json
  ribwright practise --strategy advice --world low-mold --world alike

It needs no folder: joints and wood are invented. For a joint that was really
read, such as demo-readings/plain, see `ribwright advise`.";

/// Play invented joints to the end, where the wood is known, and compare who decides
///
/// Each joint's blank is set in place, read with errors, planed with uneven
/// shavings and read again, until it is fitted or ten rounds have passed. The
/// table shows what the advice and simpler rules needed and what they left.
/// The same seed gives the same figures on any number of cores.
#[derive(Debug, Parser)]
#[command(name = "practise", after_help = EXAMPLE)]
pub(super) struct Practise {
    /// Number of invented joints
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = joints)]
    joints: usize,
    /// Where the invention starts: another seed, other joints
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = seed)]
    seed: u64,
    /// Four plain bowls, 13 stations, errors of 0.1 mm, shavings of 0.08 mm; else all mixed
    #[arg(long)]
    plain: bool,
    /// Shape of the bowls
    #[arg(long, value_enum, default_value_t = Shape::Mixed)]
    bowl: Shape,
    /// Ribs over the bowl [default: drawn, 9 to 21]
    #[arg(long, value_name = "N", value_parser = ribs)]
    ribs: Option<usize>,
    /// Which joint of the bowl, from 1 to one less than the ribs [default: drawn]
    #[arg(long, value_name = "N", requires = "ribs", value_parser = joint)]
    joint: Option<usize>,
    /// Stations along the joint [default: drawn, 7 to 21]
    #[arg(long, value_name = "N", value_parser = stations)]
    stations: Option<usize>,
    /// Standard deviation of a gap's reading, mm; a lift's is half as much again [default: drawn, 0.05 to 0.2]
    #[arg(long, value_name = "MM", value_parser = error)]
    noise: Option<f64>,
    /// Thickness of a shaving, mm [default: drawn, 0.04 to 0.15]
    #[arg(long, value_name = "MM", value_parser = shaving)]
    shaving: Option<f64>,
    /// Spare width: the most that may come off, mm [default: 3]
    #[arg(long, value_name = "MM", value_parser = spare)]
    spare: Option<f64>,
    /// One thing that the maker states wrongly
    #[arg(long, value_enum, value_name = "WHAT")]
    wrong: Option<Wrong>,
    /// One thing that isn't as the advice takes it to be; give it again for several together
    #[arg(long, value_enum, value_name = "NAME")]
    world: Vec<World>,
    /// Seconds to set the rib in place and take it off again, once a round
    #[arg(long, value_name = "S", default_value_t = Costs::default().setting, value_parser = seconds)]
    setting_seconds: f64,
    /// Seconds of one reading
    #[arg(long, value_name = "S", default_value_t = Costs::default().reading, value_parser = seconds)]
    reading_seconds: f64,
    /// Seconds of one stroke; all three are assumptions, without a source
    #[arg(long, value_name = "S", default_value_t = Costs::default().stroke, value_parser = seconds)]
    stroke_seconds: f64,
    /// Who decides; give it again for several [default: all]
    #[arg(long, value_enum, value_name = "WHO")]
    strategy: Vec<Who>,
    /// Print the figures for programs, lengths in mm
    #[arg(long)]
    json: bool,
    /// Print every run too (for tuning)
    #[arg(long, hide = true)]
    each: bool,
    /// Places between stations at which the edge can bear (for tuning)
    #[arg(long, hide = true, value_name = "N", default_value_t = 1, value_parser = refine)]
    refine: usize,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Shape {
    Round,
    Flattened,
    Mixed,
}

impl ValueEnum for Wrong {
    fn value_variants<'a>() -> &'a [Wrong] {
        &Wrong::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.name()).help(self.describe()))
    }
}

impl ValueEnum for World {
    fn value_variants<'a>() -> &'a [World] {
        &World::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.name()).help(self.describe()))
    }
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Who {
    /// Knows the wood exactly, and goes on until less than half a shaving is wanted
    Knowing,
    /// The advice that `ribwright advise` gives
    Advice,
    /// The same, reading only what it says to read next
    ReadNext,
    /// The same estimate from the last round alone, its slice taken whole
    OneRound,
    /// Levels every place with the widest gap
    Levelling,
    /// A straight line in x from the last round, no rise, no lift
    StraightLine,
}

impl From<Who> for Strategy {
    fn from(who: Who) -> Self {
        match who {
            Who::Knowing => Strategy::Knowing,
            Who::Advice => Strategy::Advice,
            Who::ReadNext => Strategy::ReadNext,
            Who::OneRound => Strategy::OneRound,
            Who::Levelling => Strategy::Levelling,
            Who::StraightLine => Strategy::StraightLine,
        }
    }
}

fn joints(text: &str) -> Result<usize, String> {
    whole(text, 1, 100_000).map(|n| n as usize)
}

pub(super) fn seed(text: &str) -> Result<u64, String> {
    text.trim().parse().map_err(|_| "expected a whole number, 0 or above".to_owned())
}

fn ribs(text: &str) -> Result<usize, String> {
    whole(text, 5, 60).map(|n| n as usize)
}

fn joint(text: &str) -> Result<usize, String> {
    whole(text, 1, 59).map(|n| n as usize)
}

fn stations(text: &str) -> Result<usize, String> {
    whole(text, 3, 1300).map(|n| n as usize)
}

fn refine(text: &str) -> Result<usize, String> {
    whole(text, 1, 10).map(|n| n as usize)
}

fn error(text: &str) -> Result<f64, String> {
    within(text, 0.005, 1.0)
}

fn shaving(text: &str) -> Result<f64, String> {
    within(text, 0.01, 1.0)
}

fn spare(text: &str) -> Result<f64, String> {
    within(text, 0.1, 10.0)
}

fn seconds(text: &str) -> Result<f64, String> {
    let value = number(text)?;
    match (0.0..=3600.0).contains(&value) {
        true => Ok(value),
        false => Err("expected 0 to 3600 seconds".to_owned()),
    }
}

fn within(text: &str, low: f64, high: f64) -> Result<f64, String> {
    let value = number(text)?;
    match (low..=high).contains(&value) {
        true => Ok(value),
        false => Err(format!("expected {low} to {high} mm")),
    }
}

impl Run for Practise {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let practice = self.practice()?;
        let progress = Progress::new(practice.runs(), "runs");
        let played = practice.play(&|| progress.step());
        progress.clear();
        if self.json {
            writeln!(screen.out(), "{}", show::practice_json(&practice, &played, self.each)?)?;
        } else {
            show::practice_text(&practice, &played, self.each, screen.out())?;
        }
        Ok(())
    }
}

impl Practise {
    fn practice(&self) -> Result<Practice, Failure> {
        if let (Some(joint), Some(ribs)) = (self.joint, self.ribs)
            && joint >= ribs
        {
            let last = ribs - 1;
            return Err(Failure::wrong(format!(
                "--joint: a bowl of {ribs} ribs has joints 1 to {last}, not {joint}. Next: give one of them."
            )));
        }
        let mut strategies: Vec<Strategy> = Vec::new();
        for strategy in self.strategy.iter().map(|&who| who.into()) {
            if !strategies.contains(&strategy) {
                strategies.push(strategy);
            }
        }
        if strategies.is_empty() {
            strategies = Strategy::ALL.to_vec();
        }
        let joints = self.joints;
        Ok(Practice { joints, seed: self.seed, recipe: self.recipe(), strategies, costs: self.costs() })
    }

    fn costs(&self) -> Costs {
        Costs { setting: self.setting_seconds, reading: self.reading_seconds, stroke: self.stroke_seconds }
    }

    fn recipe(&self) -> Recipe {
        Recipe {
            plain: self.plain,
            bowl: match self.bowl {
                Shape::Round => Bowls::Round,
                Shape::Flattened => Bowls::Flattened,
                Shape::Mixed => Bowls::Mixed,
            },
            ribs: self.ribs,
            joint: self.joint,
            stations: self.stations,
            noise: self.noise,
            shaving: self.shaving,
            refine: self.refine,
            spare: self.spare,
            wrong: self.wrong,
            worlds: self.world.iter().copied().collect(),
        }
    }
}
