//! The conversation at the bench: question by question, every answer kept.

use std::path::Path;

use super::question::{Matter, word};
use crate::advice;
use crate::cli::ask::{Ask, yes_or_no};
use crate::cli::screen::Failure;
use crate::job::{self, Job, Quantity, ReadingColumns, Round, RoundNumber};
use crate::record::{self, Draft, DraftEntry, JournalError, Step, TypedRound, at_station, steps};
use crate::show;
use crate::show::next_command;
use crate::table;

/// A round being typed.
pub(super) struct Bench<'a> {
    pub folder: &'a Path,
    pub job: Job,
    pub columns: ReadingColumns,
    pub typed: TypedRound,
    /// Where answers are kept until the round is saved; none while a saved one is corrected.
    pub draft: Option<Draft>,
    /// The only stations (indices) that are asked for, if not all are.
    pub only: Option<Vec<usize>>,
    /// The round that is corrected; the job then ends before it.
    pub saved: Option<Round>,
    pub ask: Ask<'a>,
    /// Why the round could not be saved when that was tried last.
    pub refusal: Option<JournalError>,
}

/// How a conversation, or a part of it, ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// All was answered, and at last saved.
    Done,
    /// The maker wants to go on another time.
    Stopped,
    /// There is no more input.
    NoInput,
}

const TWICE: &str = "Give the value once more to keep it, or the right one, or none for not read.";

/// Where an answer leads.
enum Lead {
    On,
    Back,
    Out(End),
}

/// How to answer; what `stop` does depends on what is typed.
fn words(stop: &str) -> String {
    format!(
        "An interval will do: 0.10..0.15, <0.05 or >0.50. b: the rib is felt to bear here, or no more. \
         Enter alone: what stands in [ ], or else not read. none: not read. back: the question before. \
         stop: {stop}. ?: this again."
    )
}

impl Bench<'_> {
    /// The number that the round will have.
    pub fn number(&self) -> RoundNumber {
        self.job.next_round()
    }

    fn matter(&self) -> Matter<'_> {
        Matter { job: &self.job, columns: &self.columns, typed: &self.typed }
    }

    /// What is about to be typed, and how.
    pub fn explain(&mut self) -> Result<(), Failure> {
        let (lengths, alike) = (show::plural(self.job.unit), show::typed_alike(self.job.unit));
        let round = show::headed(self.job.title.as_deref(), &format!("round {}", self.number()));
        let legend = self.matter().legend();
        self.ask.say(&format!("{round}. Lengths in {lengths}; {alike}."))?;
        self.ask.say(&legend)?;
        if let Some(next) = self.read_next() {
            self.ask.say(&format!("{next} You may read others too, or leave any out."))?;
        }
        let stop =
            if self.draft.is_some() { "keep what is typed for another time" } else { "leave it as it is" };
        self.ask.say(&words(stop))
    }

    /// What is worth reading in this round.
    fn read_next(&self) -> Option<String> {
        if self.saved.is_some() || self.only.is_some() {
            return None;
        }
        let advice = advice::advise(&self.job, &advice::Options::default());
        let next = advice.read_next.filter(|next| next.setting == advice::Setting::New)?;
        Some(show::read_next_text(&self.job, &next))
    }

    /// The questions of this round, in order.
    pub fn asked(&self) -> Vec<Step> {
        let about = |step: &Step| match step {
            Step::Read(station, _) => self.only.as_ref().is_none_or(|only| only.contains(station)),
            Step::Against | Step::Rebent => self.saved.is_none(),
        };
        steps(&self.job, &self.columns).into_iter().filter(about).collect()
    }

    /// Asks everything that is not answered yet; of a saved round, all that is in question.
    pub fn type_in(&mut self) -> Result<End, Failure> {
        let steps = self.asked();
        let first = if self.saved.is_some() { 0 } else { self.next_open(&steps, 0) };
        self.go_through(&steps, first)
    }

    /// Why an answer should be given twice. Only a doubt is worth the estimate that tells
    /// whether the reading it is compared with is in doubt itself.
    fn doubt(&self, step: Step, entry: &DraftEntry) -> Option<String> {
        self.matter().doubt(step, entry)?;
        let doubted = advice::doubted(&self.job, &advice::Options::default());
        let believed = job::believed(&self.job, &doubted);
        Matter { job: &believed, ..self.matter() }.doubt(step, entry)
    }

    /// Asks from one question on. Behind one that is answered for the first time,
    /// those that a draft answered already are left out; behind a correction, none.
    fn go_through(&mut self, steps: &[Step], mut at: usize) -> Result<End, Failure> {
        while let Some(step) = steps.get(at) {
            let new = !self.typed.has(*step);
            match self.settle(*step)? {
                Lead::On if new => at = self.next_open(steps, at + 1),
                Lead::On => at += 1,
                Lead::Back if at == 0 => self.ask.say("This is the first question.")?,
                Lead::Back => at -= 1,
                Lead::Out(end) => return Ok(end),
            }
        }
        Ok(End::Done)
    }

    fn next_open(&self, steps: &[Step], from: usize) -> usize {
        let open = steps.iter().skip(from).position(|step| !self.typed.has(*step));
        open.map_or(steps.len(), |ahead| from + ahead)
    }

    /// Asks one question until it has an answer that is beyond doubt, or was given
    /// twice.
    fn settle(&mut self, step: Step) -> Result<Lead, Failure> {
        let mut doubted = None;
        loop {
            let question = self.matter().question(step);
            let answer = match self.ask.line(&question)?.as_deref() {
                None => return Ok(Lead::Out(End::NoInput)),
                Some("stop") => return Ok(Lead::Out(End::Stopped)),
                Some("back") => return Ok(Lead::Back),
                Some("?") => {
                    self.explain()?;
                    continue;
                }
                // Too easily struck to mean that a reading in doubt is given up.
                Some("") if doubted.is_some() && !self.typed.has(step) => Err(TWICE.into()),
                Some(answer) => self.matter().meaning(step, answer),
            };
            match answer {
                Err(expected) => self.ask.say(&expected)?,
                // The question is asked still.
                Ok(entry @ DraftEntry::Bears { .. }) => {
                    self.keep(entry)?;
                }
                Ok(entry) => match self.doubt(step, &entry) {
                    Some(why) if doubted.as_ref() != Some(&entry) => {
                        self.ask.say(&format!("{why} Look again; the same answer once more keeps it."))?;
                        doubted = Some(entry);
                    }
                    _ => return self.keep(entry),
                },
            }
        }
    }

    /// Takes an answer and has the disk keep it. A disk that refuses is no reason to
    /// stop: the answers are still here, and the next one tries again.
    fn keep(&mut self, entry: DraftEntry) -> Result<Lead, Failure> {
        self.typed.take(&entry, &self.job);
        let Some(draft) = &mut self.draft else { return Ok(Lead::On) };
        let before = draft.is_kept();
        match draft.keep(&entry) {
            Err(error) if before => {
                let text = "What you type is kept only while this program runs, until that is mended.";
                self.ask.say(&format!("Mind: {error} {text}"))?;
            }
            Ok(()) if !before => self.ask.say("All that was typed is on the disk again.")?,
            _ => {}
        }
        Ok(Lead::On)
    }

    /// Shows the whole round, corrects it as wanted, and saves it once confirmed.
    pub fn review(&mut self) -> Result<End, Failure> {
        loop {
            self.show()?;
            let question = self.last_question();
            let end = match self.ask.line(&question)? {
                None => return Ok(End::NoInput),
                Some(answer) => self.reviewed(&answer)?,
            };
            if let Some(end) = end {
                return Ok(end);
            }
        }
    }

    fn last_question(&self) -> String {
        let number = self.number();
        match self.saved {
            None => {
                format!("Save this as round {number}? (y, n, or correct: a station's name, against, back) ")
            }
            Some(_) => {
                format!(
                    "Put this in the place of round {number}? (y, n, or correct: a station's name, back) "
                )
            }
        }
    }

    fn show(&mut self) -> Result<(), Failure> {
        let against = self.typed.against.map(word).unwrap_or_default();
        let again = if self.typed.rebent == Some(true) { ", bent again" } else { "" };
        self.ask.say("")?;
        self.ask.say(&format!("Round {}, against the {against}{again}:", self.number()))?;
        let readings = self.typed.readings(&self.job);
        Ok(show::round_text(&self.job, &self.columns, &readings, self.ask.out())?)
    }

    /// Does what was answered to the whole round; `None`: show it again. Names of
    /// stations come first: a station may be called `n`, and `no` says no as well.
    fn reviewed(&mut self, answer: &str) -> Result<Option<End>, Failure> {
        let station = self.job.stations.iter().position(|s| s.name == answer);
        let all = self.asked();
        let last = all.len().saturating_sub(1);
        let (steps, at) = match (station, answer) {
            (Some(station), _) => (at_station(station, &self.columns), 0),
            (None, "against") if self.saved.is_none() => {
                (all.into_iter().filter(|s| !matches!(s, Step::Read(..))).collect(), 0)
            }
            (None, "back") => (all, last),
            (None, "stop") => return Ok(Some(End::Stopped)),
            (None, _) => match yes_or_no(answer) {
                Some(true) => return self.save(),
                Some(false) => return Ok(Some(End::Stopped)),
                None => return self.unknown(answer),
            },
        };
        let end = self.go_through(&steps, at)?;
        Ok((end != End::Done).then_some(end))
    }

    fn unknown(&mut self, answer: &str) -> Result<Option<End>, Failure> {
        let names = self.job.stations.iter().map(|s| s.name.as_str());
        let next = table::did_you_mean(answer, names);
        self.ask.say(&format!(
            "'{}' is no station of this joint: {next}. y saves the round, n keeps it as a draft.",
            show::clean(answer)
        ))?;
        Ok(None)
    }

    /// Saves the round. A refusal leaves the maker at the table, where a reading can
    /// be corrected or saving tried again.
    fn save(&mut self) -> Result<Option<End>, Failure> {
        let Some(new) = self.typed.new_round(&self.job) else {
            return Ok(None);
        };
        let written = match &self.saved {
            None => record::add_round_as(self.folder, self.number(), &new),
            Some(saved) => {
                let readings: Vec<_> = new.readings.into_iter().enumerate().collect();
                record::correct_round(self.folder, (self.number(), saved), &readings)
            }
        };
        match written {
            Ok(()) => self.done().map(Some),
            Err(error) if error.is_written() => {
                self.ask.say(&format!("Mind: {error}"))?;
                self.done().map(Some)
            }
            Err(error) => {
                self.ask.print(&error.to_string())?;
                self.refusal = Some(error);
                Ok(None)
            }
        }
    }

    fn done(&mut self) -> Result<End, Failure> {
        if let Some((path, error)) = self.draft.as_ref().and_then(|d| Some((d.path(), d.remove().err()?))) {
            self.ask.say(&format!("Mind: {path} is done with but still there: {error}"))?;
        }
        let now = job::read_folder(self.folder).map_err(Failure::wrong)?;
        for warning in now.warnings.iter().filter(|w| !self.job.warnings.contains(w)) {
            self.ask.say(&format!("Mind: {}", warning.text))?;
        }
        let next = next_command("advise", self.folder);
        let saved = match self.saved {
            None => format!("Round {} is saved.", self.number()),
            Some(_) => format!("Round {} is corrected; its notes say what was there.", self.number()),
        };
        self.ask.print(&format!("{saved}\nNext: {next}"))?;
        Ok(End::Done)
    }

    /// Asks for a quantity that the draft knows, even where the folder has no column.
    pub fn widen(&mut self) {
        self.columns.lift |= self.typed.knows(Quantity::Lift);
        self.columns.seat |= self.typed.knows(Quantity::Seat);
    }
}
