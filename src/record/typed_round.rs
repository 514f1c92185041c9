//! The round as far as it is typed, and the questions that make it up.

use std::collections::BTreeMap;

use super::journal::same_round;
use super::{DraftEntry, NewRound};
use crate::job::{Against, Figure, Job, Quantity, Reading, ReadingColumns, Round, RoundNumber};

/// One question of a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// What the rib is held against.
    Against,
    /// Whether it was bent again.
    Rebent,
    /// One reading at a station (index).
    Read(usize, Quantity),
}

/// Every question of the next round, in order.
pub fn steps(job: &Job, columns: &ReadingColumns) -> Vec<Step> {
    let again = (!job.rounds.is_empty()).then_some(Step::Rebent);
    let stations = (0..job.stations.len()).flat_map(|i| at_station(i, columns));
    [Step::Against].into_iter().chain(again).chain(stations).collect()
}

/// The questions at one station.
pub fn at_station(station: usize, columns: &ReadingColumns) -> Vec<Step> {
    columns.quantities().into_iter().map(|quantity| Step::Read(station, quantity)).collect()
}

/// What was answered so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TypedRound {
    /// What the rib is held against.
    pub against: Option<Against>,
    /// Whether it was bent again.
    pub rebent: Option<bool>,
    readings: BTreeMap<(usize, Quantity), Option<Figure>>,
    /// Whether it bears, where that was told.
    bears: BTreeMap<usize, bool>,
    /// What was typed and is no reading that can be believed yet.
    unsettled: BTreeMap<(usize, Quantity), String>,
    /// The number of the round that it was begun for.
    pub begun_for: Option<RoundNumber>,
}

impl TypedRound {
    /// All that a draft holds, in the order in which it was typed.
    pub fn of(entries: &[DraftEntry], job: &Job) -> Self {
        let mut typed = TypedRound::default();
        for entry in entries {
            typed.take(entry, job);
        }
        typed
    }

    /// Takes an answer; an earlier one to the same question is forgotten. `false` if
    /// it is about a station that the joint doesn't have.
    pub fn take(&mut self, entry: &DraftEntry, job: &Job) -> bool {
        match entry {
            DraftEntry::Round(number) => self.begun_for = Some(*number),
            DraftEntry::Against(against) => self.against = Some(*against),
            DraftEntry::Rebent(rebent) => self.rebent = Some(*rebent),
            DraftEntry::Bears { station, bears } => {
                let Some(i) = place(job, station) else { return false };
                self.bears.insert(i, *bears);
            }
            DraftEntry::Reading { station, quantity, mm } => {
                let Some(i) = place(job, station) else { return false };
                self.unsettled.remove(&(i, *quantity));
                self.readings.insert((i, *quantity), *mm);
            }
            DraftEntry::Unsettled { station, quantity, text } => {
                let Some(i) = place(job, station) else { return false };
                self.readings.remove(&(i, *quantity));
                self.unsettled.insert((i, *quantity), text.clone());
            }
        }
        true
    }

    /// What was typed in a reading's place that can't be believed yet.
    pub fn unsettled(&self, station: usize, quantity: Quantity) -> Option<&str> {
        self.unsettled.get(&(station, quantity)).map(String::as_str)
    }

    /// What was answered about a reading: nothing yet, not read, or what was told in mm.
    pub fn reading(&self, station: usize, quantity: Quantity) -> Option<Option<Figure>> {
        self.readings.get(&(station, quantity)).copied()
    }

    /// Whether it was told that the rib bears at a station.
    pub fn bears(&self, station: usize) -> bool {
        self.bears.get(&station) == Some(&true)
    }

    /// Whether a question was answered.
    pub fn has(&self, step: Step) -> bool {
        match step {
            Step::Against => self.against.is_some(),
            Step::Rebent => self.rebent.is_some(),
            Step::Read(station, quantity) => self.reading(station, quantity).is_some(),
        }
    }

    /// Whether nothing was answered yet.
    pub fn is_empty(&self) -> bool {
        self.against.is_none()
            && self.rebent.is_none()
            && self.readings.is_empty()
            && self.bears.is_empty()
            && self.unsettled.is_empty()
    }

    /// Whether anything was answered about this quantity.
    pub fn knows(&self, quantity: Quantity) -> bool {
        self.readings.keys().any(|(_, of)| *of == quantity)
    }

    /// A reading for every station.
    pub fn readings(&self, job: &Job) -> Vec<Reading> {
        let mut readings = vec![Reading::default(); job.stations.len()];
        for ((station, quantity), mm) in &self.readings {
            if let Some(reading) = readings.get_mut(*station) {
                quantity.put(reading, *mm);
            }
        }
        for (station, bears) in &self.bears {
            readings.get_mut(*station).into_iter().for_each(|reading| reading.bears = *bears);
        }
        readings
    }

    /// The round to be saved; `None` before it is known what the rib was held against.
    pub fn new_round(&self, job: &Job) -> Option<NewRound> {
        let rebent = self.rebent.unwrap_or(false);
        Some(NewRound { against: self.against?, rebent, readings: self.readings(job), note: None })
    }

    /// The same as a round of the job.
    pub fn round(&self, job: &Job) -> Option<Round> {
        let NewRound { against, rebent, readings, .. } = self.new_round(job)?;
        Some(Round { against, rebent, readings, strokes: Vec::new() })
    }

    /// Whether this is the job's last round: a draft that outlived its own saving,
    /// since the program was stopped in between.
    pub fn is_last_of(&self, job: &Job) -> bool {
        let Some(last) = job.rounds.last() else {
            return false;
        };
        let last = Round { strokes: Vec::new(), ..last.clone() };
        self.begun_for == job.last_round() && self.round(job).is_some_and(|typed| same_round(&typed, &last))
    }

    /// The round as it was saved, to be corrected.
    pub fn saved(round: &Round) -> Self {
        let mut typed = TypedRound { against: Some(round.against), ..TypedRound::default() };
        typed.rebent = Some(round.rebent);
        for (i, reading) in round.readings.iter().enumerate() {
            typed.readings.extend(Quantity::ALL.map(|q| ((i, q), q.told(reading))));
            typed.bears.extend(reading.bears.then_some((i, true)));
        }
        typed
    }
}

/// The index of a station by its name.
fn place(job: &Job, station: &str) -> Option<usize> {
    job.stations.iter().position(|s| s.name == station)
}
