//! The conversation: which strokes were taken.

use crate::advice::{Advice, Verdict};
use crate::cli::ask::{Ask, yes_or_no};
use crate::cli::screen::Failure;
use crate::job::Job;
use crate::record::{self, NewStroke};
use crate::show;

/// The maker's account of what was planed after the last round.
pub(super) struct Account<'a, 's> {
    pub job: &'a Job,
    pub ask: &'a mut Ask<'s>,
}

/// What was told.
pub(super) enum Told {
    /// These strokes, at least one, in this order.
    Strokes(Vec<NewStroke>),
    /// Nothing was planed, or nothing is to be recorded.
    Nothing,
    /// The input ended before that was sure.
    NoInput,
}

/// An answer about one advised stroke.
enum One {
    Planed(NewStroke),
    Skipped,
    Back,
    Stop,
}

const FURTHER: &str = "A stroke is plane, run and number of pushes; with one plane its name may be left out. \
    Enter: that is all. back: take the last one away. stop: record nothing.";

impl Account<'_, '_> {
    /// Asks what was planed; `advised` is `None` if strokes are recorded already.
    pub fn take(&mut self, advised: Option<&Advice>) -> Result<Told, Failure> {
        match advised {
            None => self.more(),
            Some(advice) if advice.verdict == Verdict::Plane => self.compared(advice),
            Some(advice) => self.unadvised(advice),
        }
    }

    /// Strokes are there already: they stay, and others may be added.
    fn more(&mut self) -> Result<Told, Failure> {
        let round = self.job.rounds.len();
        self.ask.say(&format!("Strokes are recorded after round {round} already:"))?;
        let there = self.job.rounds.last().map(|r| r.strokes.as_slice()).unwrap_or_default();
        let there: Vec<NewStroke> = there.iter().map(|s| s.named(self.job)).collect();
        self.list(&there)?;
        match self.ask.yes("Add more? (y/n) [n]: ", Some(false))? {
            None => Ok(Told::NoInput),
            Some(false) => Ok(Told::Nothing),
            Some(true) => self.further(Vec::new()),
        }
    }

    fn unadvised(&mut self, advice: &Advice) -> Result<Told, Failure> {
        let round = self.job.rounds.len();
        let verdict = show::headline(advice.verdict);
        self.ask.say(&format!("No strokes are advised after round {round}. {verdict}"))?;
        match self.ask.yes("Was something planed all the same? (y/n) [n]: ", Some(false))? {
            None => Ok(Told::NoInput),
            Some(false) => Ok(Told::Nothing),
            Some(true) => self.further(Vec::new()),
        }
    }

    /// One key if it was planed as advised.
    fn compared(&mut self, advice: &Advice) -> Result<Told, Failure> {
        self.ask.say(&format!("Advised after round {}:", self.job.rounds.len()))?;
        for (i, stroke) in advice.strokes.iter().enumerate() {
            self.ask.item(i + 1, &show::planned_text(self.job, stroke))?;
        }
        let advised: Vec<NewStroke> = advice.strokes.iter().map(|s| s.named(self.job)).collect();
        loop {
            let question = "Planed as advised? (y, c: changed, n: nothing was planed) [y]: ";
            let Some(answer) = self.ask.line(question)? else {
                return Ok(Told::NoInput);
            };
            match (answer.as_str(), yes_or_no(&answer)) {
                ("", _) | (_, Some(true)) => return Ok(Told::Strokes(advised)),
                ("stop", _) | (_, Some(false)) => return Ok(Told::Nothing),
                ("c" | "C", _) => return self.changed(&advised),
                ("?", _) => self.ask.say(
                    "y or Enter: every stroke was taken as it stands above. c: go through them one by one. n: \
                     nothing was planed, nothing is recorded.",
                )?,
                _ => self.ask.say("Answer y (as advised), c (changed) or n (nothing was planed).")?,
            }
        }
    }

    /// Stroke by stroke.
    fn changed(&mut self, advised: &[NewStroke]) -> Result<Told, Failure> {
        self.explain()?;
        let mut told: Vec<One> = Vec::new();
        while let Some(stroke) = advised.get(told.len()) {
            match self.one(told.len() + 1, stroke)? {
                None => return Ok(Told::NoInput),
                Some(One::Stop) => return Ok(Told::Nothing),
                Some(One::Back) => drop(told.pop()),
                Some(one) => told.push(one),
            }
        }
        let planed = told.into_iter().filter_map(|one| if let One::Planed(s) = one { Some(s) } else { None });
        self.further(planed.collect())
    }

    fn explain(&mut self) -> Result<(), Failure> {
        let example = record::stroke_example(self.job);
        self.ask.say(&format!(
            "For each stroke: Enter if it was planed so, the number of pushes if there were others, skip if it was \
             left out, or the stroke that was taken instead, such as {example}. Behind it, unbroken and a run, if \
             you watched where the shaving held. back: the stroke before. stop: record nothing."
        ))
    }

    fn one(&mut self, number: usize, stroke: &NewStroke) -> Result<Option<One>, Failure> {
        let question = format!("{number:2}. {} [{}]: ", show::done_text(self.job, stroke), stroke.count);
        loop {
            let Some(answer) = self.ask.line(&question)? else {
                return Ok(None);
            };
            let stroke = match answer.as_str() {
                "" => return Ok(Some(One::Planed(stroke.clone()))),
                "?" => {
                    self.explain()?;
                    continue;
                }
                "skip" | "0" => return Ok(Some(One::Skipped)),
                "back" => return Ok(Some(One::Back)),
                "stop" => return Ok(Some(One::Stop)),
                text => record::typed_change(text, stroke, self.job)
                    .unwrap_or_else(|| record::typed_stroke(text, self.job)),
            };
            match stroke {
                Ok(stroke) => return Ok(Some(One::Planed(stroke))),
                Err(expected) => self.ask.say(&expected)?,
            }
        }
    }

    /// Strokes that were not advised, then a last look at all of them.
    fn further(&mut self, mut strokes: Vec<NewStroke>) -> Result<Told, Failure> {
        loop {
            let example = record::stroke_example(self.job);
            let question = format!("another stroke, such as {example}, or Enter if that is all: ");
            let Some(answer) = self.ask.line(&question)? else {
                return Ok(Told::NoInput);
            };
            match answer.as_str() {
                "" => return self.confirmed(strokes),
                "back" => drop(strokes.pop()),
                "stop" => return Ok(Told::Nothing),
                "?" => self.ask.say(FURTHER)?,
                text => match record::typed_stroke(text, self.job) {
                    Ok(stroke) => strokes.push(stroke),
                    Err(expected) => self.ask.say(&expected)?,
                },
            }
        }
    }

    fn confirmed(&mut self, strokes: Vec<NewStroke>) -> Result<Told, Failure> {
        if strokes.is_empty() {
            return Ok(Told::Nothing);
        }
        self.ask.say("Planed, in this order:")?;
        self.list(&strokes)?;
        Ok(match self.ask.yes("Record these? (y/n) ", None)? {
            None => Told::NoInput,
            Some(true) => Told::Strokes(strokes),
            Some(false) => Told::Nothing,
        })
    }

    fn list(&mut self, strokes: &[NewStroke]) -> Result<(), Failure> {
        for (i, stroke) in strokes.iter().enumerate() {
            self.ask.item(i + 1, &show::done_text(self.job, stroke))?;
        }
        Ok(())
    }
}
