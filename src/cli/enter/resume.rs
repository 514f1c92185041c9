//! Beginning: a draft that an earlier run left is offered, or a new one begun.

use super::bench::{Bench, End};
use crate::advice::lost_said;
use crate::cli::screen::Failure;
use crate::job::{ReadingColumns, RoundNumber};
use crate::record::{self, Draft, DraftEntry, TypedRound};
use crate::show;
use crate::show::next_command;

impl Bench<'_> {
    /// Goes on with the entries found in the draft, if the maker wants; `decided`:
    /// whether, without asking.
    pub fn resume(&mut self, found: &[DraftEntry], decided: Option<bool>) -> Result<End, Failure> {
        let columns = self.columns;
        let strange = self.take_all(found);
        if self.typed.is_empty() {
            return self.begin_anew(columns);
        }
        let begun_for = begun_for(found);
        if self.typed.is_last_of(&self.job) {
            let number = self.job.rounds.len();
            self.ask.say(&format!("The round typed last is saved as round {number} already."))?;
            return self.begin_anew(columns);
        }
        self.describe(begun_for, &strange)?;
        let question = "Go on with it? (y/n; n throws it away) [y]: ";
        let go_on = match decided {
            Some(decided) => decided,
            None => match self.ask.yes(question, Some(true))? {
                Some(answer) => answer,
                None => return Ok(End::NoInput),
            },
        };
        if go_on { self.begin() } else { self.begin_anew(columns) }
    }

    /// Applies the entries; gives the names of stations that the joint doesn't have.
    fn take_all(&mut self, found: &[DraftEntry]) -> Vec<String> {
        let mut strange: Vec<String> = Vec::new();
        for entry in found {
            let known = self.typed.take(entry, &self.job);
            if let (false, DraftEntry::Reading { station, .. }) = (known, entry) {
                strange.extend((!strange.contains(station)).then(|| show::clean(station)));
            }
        }
        self.widen();
        strange
    }

    fn describe(&mut self, begun_for: Option<RoundNumber>, strange: &[String]) -> Result<(), Failure> {
        let steps = self.asked();
        let (all, open) = (steps.len(), steps.iter().filter(|s| !self.typed.has(**s)).count());
        let number = self.number();
        self.ask.say(&format!("A draft of a round is here: {} of {all} questions answered.", all - open))?;
        if let Some(other) = begun_for.filter(|begun| *begun != number) {
            let text =
                format!("It was begun as round {other}; the next round of this folder is now {number}.");
            self.ask.say(&text)?;
        }
        if !strange.is_empty() {
            let text =
                format!("It has readings at {}, no station of this joint now: left out.", strange.join(", "));
            self.ask.say(&text)?;
        }
        Ok(())
    }

    /// Throws away what is there, and begins with the columns as they were.
    fn begin_anew(&mut self, columns: ReadingColumns) -> Result<End, Failure> {
        (self.typed, self.columns) = (TypedRound::default(), columns);
        let cleared = self.draft.as_mut().map_or(Ok(()), Draft::clear);
        let begun = cleared.map_err(Failure::journal).and_then(|()| self.begin());
        if let (Err(_), Some(draft)) = (&begun, &self.draft) {
            // Better no draft than an empty one; if it stays, it does no harm.
            let _ = draft.remove();
        }
        begun
    }

    /// Marks the draft with the round's number.
    fn begin(&mut self) -> Result<End, Failure> {
        let round = DraftEntry::Round(self.number());
        self.draft.as_mut().map_or(Ok(()), |draft| draft.keep(&round)).map_err(Failure::journal)?;
        Ok(End::Done)
    }

    /// What is typed, how, and what should have come before.
    pub fn greet(&mut self) -> Result<(), Failure> {
        self.explain()?;
        let lost = record::lost(self.folder, &self.job);
        if !lost.rounds.is_empty() {
            let (said, recover) = (lost_said(&lost), next_command("recover", self.folder));
            self.ask
                .say(&format!("Mind: not as it was confirmed: {said}. Stop here and look into it first:"))?;
            self.ask.print(&format!("  {recover}"))?;
        }
        if self.job.rounds.last().is_some_and(|last| last.strokes.is_empty()) {
            let (last, planed) = (self.job.rounds.len(), next_command("planed", self.folder));
            self.ask.say(&format!(
                "Mind: no strokes are recorded after round {last}. If you planed since, stop here and \
                 record them first:"
            ))?;
            self.ask.print(&format!("  {planed}"))?;
        }
        if !self.columns.lift {
            self.ask
                .say("No lift is asked for, since readings.csv has no such column; --lift asks for it.")?;
        }
        Ok(())
    }
}

/// The number that the draft's round was to have.
fn begun_for(found: &[DraftEntry]) -> Option<RoundNumber> {
    let number =
        |entry: &DraftEntry| if let DraftEntry::Round(number) = entry { Some(*number) } else { None };
    found.iter().rev().find_map(number)
}
