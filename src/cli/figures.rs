//! Figures of the bowl typed at the bench, one question after another.

use std::iter;

use anyhow::anyhow;

use super::ask::Ask;
use super::screen::Failure;
use crate::bowl::doubt::Doubt;
use crate::job::Unit;
use crate::job::ranges::Range;
use crate::show;
use crate::table::typed_length;

/// One figure to ask for.
pub(super) struct Figure {
    /// What is asked for, such as `3, compass`.
    pub words: String,
    /// What can be right, mm.
    pub range: &'static Range,
    /// What an empty answer gives; without one it means: not measured.
    pub usual: Usual,
    /// The figure without which this one is not asked for.
    pub with: Option<usize>,
}

/// What an empty answer gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Usual {
    /// Not measured.
    Nothing,
    /// There is none: it must be typed.
    Needed,
    /// As at the figure of this number; where that was skipped, as that would have been; 0 with none before.
    As(Option<usize>),
}

/// What speaks against a figure (its number, mm), with those typed before it.
pub(super) type Doubts<'a> = &'a dyn Fn(usize, f64, &[Option<f64>]) -> Option<Doubt>;

/// Said where a figure is in doubt.
const LOOK: &str = "Look again; the same once more keeps it, back leads to the questions before.";

/// Asks for all of them; mm, `None` where not measured. No figures if the maker stops.
///
/// # Errors
///
/// The input ends before they are confirmed, or the screen is gone.
pub(super) fn ask_for(
    ask: &mut Ask,
    figures: &[Figure],
    unit: Unit,
    doubts: Doubts<'_>,
) -> Result<Option<Vec<Option<f64>>>, Failure> {
    ask.say(&legend(unit))?;
    let mut talk = Talk { figures, unit, doubts, typed: vec![None; figures.len()], at: 0, doubted: None };
    loop {
        let step = match talk.open() {
            Some(figure) => talk.ask(figure, ask)?,
            None => confirmed(ask)?,
        };
        match step {
            Step::Is(figure) => talk.settle(figure, ask)?,
            Step::Again => {}
            Step::Back => (talk.at, talk.doubted) = (talk.before(), None),
            Step::Stop => return Ok(None),
            Step::Save => return Ok(Some(talk.typed)),
        }
    }
}

/// What an answer asks for.
enum Step {
    /// This figure, mm.
    Is(Option<f64>),
    /// The same question once more.
    Again,
    /// The question before.
    Back,
    /// To save nothing.
    Stop,
    /// To save everything.
    Save,
}

/// The questions, and what was answered so far.
struct Talk<'a> {
    figures: &'a [Figure],
    unit: Unit,
    doubts: Doubts<'a>,
    typed: Vec<Option<f64>>,
    at: usize,
    /// The figure that was given once and is in doubt.
    doubted: Option<(usize, f64)>,
}

impl<'a> Talk<'a> {
    fn is_asked(&self, i: usize) -> bool {
        self.figures[i].with.is_none_or(|with| self.typed[with].is_some())
    }

    /// The next figure to ask for, if any is left.
    fn open(&mut self) -> Option<&'a Figure> {
        while self.at < self.figures.len() && !self.is_asked(self.at) {
            self.at += 1;
        }
        self.figures.get(self.at)
    }

    /// The question before, of those that are asked.
    fn before(&self) -> usize {
        (0..self.at).rev().find(|i| self.is_asked(*i)).unwrap_or(0)
    }

    /// Takes a figure that is beyond doubt, or was given twice.
    fn settle(&mut self, figure: Option<f64>, ask: &mut Ask) -> Result<(), Failure> {
        let here = figure.map(|mm| (self.at, mm));
        match here.and_then(|(at, mm)| (self.doubts)(at, mm, &self.typed)) {
            Some(Doubt::Cannot(why)) => return ask.say(&why),
            Some(Doubt::Hardly(why)) if self.doubted != here => {
                self.doubted = here;
                return ask.say(&format!("{why} {LOOK}"));
            }
            _ => {}
        }
        self.typed[self.at] = figure;
        (self.at, self.doubted) = (self.at + 1, None);
        Ok(())
    }

    fn is_doubted(&self) -> bool {
        self.doubted.is_some_and(|(at, _)| at == self.at)
    }

    fn usual(&self, figure: &Figure) -> Option<f64> {
        match figure.usual {
            Usual::Nothing | Usual::Needed => None,
            Usual::As(other) => {
                let before = |o: &usize| match self.figures[*o].usual {
                    Usual::As(before) => before,
                    Usual::Nothing | Usual::Needed => None,
                };
                iter::successors(other, before).find_map(|o| self.typed[o]).or(Some(0.0))
            }
        }
    }

    fn ask(&self, figure: &Figure, ask: &mut Ask) -> Result<Step, Failure> {
        let usual = self.usual(figure);
        let bracket = usual.map(|mm| format!(" [{}]", show::exact(mm, self.unit))).unwrap_or_default();
        let line = ask.line(&format!("{}{bracket}: ", figure.words))?.ok_or_else(ended)?;
        let again = match line.as_str() {
            "stop" => return Ok(Step::Stop),
            "back" => return Ok(Step::Back),
            "" if figure.usual == Usual::Needed => {
                "This one is needed; back goes to the question before.".into()
            }
            // Too easily struck to keep what is in doubt.
            "" if usual.is_some() && self.is_doubted() => LOOK.into(),
            "" => return Ok(Step::Is(usual)),
            text => match typed_length(text, figure.range, self.unit) {
                Ok(mm) => return Ok(Step::Is(Some(mm))),
                Err(why) => why,
            },
        };
        ask.say(&again)?;
        Ok(Step::Again)
    }
}

fn confirmed(ask: &mut Ask) -> Result<Step, Failure> {
    let line = ask.line("Save these? (y, n, back) ")?.ok_or_else(ended)?;
    Ok(match line.as_str() {
        "y" | "yes" => Step::Save,
        "n" | "no" | "stop" => Step::Stop,
        "back" => Step::Back,
        _ => {
            ask.say("Answer y (save), n (save nothing) or back.")?;
            Step::Again
        }
    })
}

/// Whether as many stations were measured as make a line.
///
/// # Errors
///
/// Fewer than three.
pub(super) fn enough(stations: usize) -> Result<(), Failure> {
    match stations {
        0..3 => Err(Failure::wrong(show::bowl::TOO_FEW)),
        _ => Ok(()),
    }
}

fn legend(unit: Unit) -> String {
    format!(
        "Lengths in {}; {}. Enter alone: what stands in [ ], or else not measured. back: the question before. stop: \
         nothing is saved.",
        show::plural(unit),
        show::typed_alike(unit)
    )
}

fn ended() -> Failure {
    anyhow!("The input ended before the figures were confirmed: nothing was saved.").into()
}
