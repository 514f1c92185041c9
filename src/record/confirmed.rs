//! What the maker confirmed, kept a second time: `confirmed.log` beside the tables, so that a
//! round is not lost without a word when a spreadsheet saves its older copy.
//!
//! The file grows by one line for each round, correction or stroke list that was confirmed, after
//! the table holds it. A line is a JSON object, lengths in mm, whose last key is the sum of all
//! before it; one that doesn't add up is named and left out. A last line without its end was
//! cut off by a power failure, and is dropped.

use std::collections::BTreeMap;
use std::io::{self, ErrorKind};

use serde::{Deserialize, Serialize};

use super::{JournalError, NewStroke};
use crate::job::names::CONFIRMED;
use crate::job::{Against, Figure, Job, Quantity, Reading, Round, RoundNumber};
use crate::store::{Day, Kind, Place};
use crate::table::Problems;
use crate::table::file::{Part, Raw};

/// One line: what was confirmed about a round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Line {
    round: RoundNumber,
    what: What,
    /// When; filled in as it is written.
    date: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    against: Option<Against>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rebent: Option<bool>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    readings: Vec<At>,
    /// What stood there before a correction.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    was: Vec<At>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    planed: Vec<NewStroke>,
}

/// What happened to a round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum What {
    /// It was read.
    Read,
    /// Readings of some stations took the place of others.
    Corrected,
    /// Strokes were planed after it.
    Planed,
    /// It was kept as the tables have it, whatever was confirmed before.
    Kept,
    /// It was given up, likewise.
    Gone,
}

/// The reading at a station, mm: a number, or an interval as a list of its ends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct At {
    station: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    overlap_mm: Option<Figure>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    lift_mm: Option<Figure>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    seat_mm: Option<Figure>,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    bears: bool,
}

impl At {
    fn new(station: &str, reading: &Reading) -> At {
        let [overlap_mm, lift_mm, seat_mm] = Quantity::ALL.map(|q| q.told(reading));
        At { station: station.to_owned(), overlap_mm, lift_mm, seat_mm, bears: reading.bears }
    }

    fn reading(&self) -> Reading {
        let mut reading = Reading { bears: self.bears, ..Reading::default() };
        let told = [self.overlap_mm, self.lift_mm, self.seat_mm];
        Quantity::ALL.iter().zip(told).for_each(|(quantity, told)| quantity.put(&mut reading, told));
        reading
    }
}

impl Line {
    fn new(round: RoundNumber, what: What) -> Line {
        let (readings, was, planed) = Default::default();
        Line { round, what, date: String::new(), against: None, rebent: None, readings, was, planed }
    }

    /// A round was read.
    pub fn read(job: &Job, number: RoundNumber, round: &Round) -> Line {
        let read = job.stations.iter().zip(&round.readings).filter(|(_, r)| **r != Reading::default());
        let readings = read.map(|(s, r)| At::new(&s.name, r)).collect();
        let (against, rebent) = (Some(round.against), Some(round.rebent));
        Line { against, rebent, readings, ..Line::new(number, What::Read) }
    }

    /// Readings (by station, index) took the place of those of a round.
    pub fn corrected(
        job: &Job,
        (number, before): (RoundNumber, &Round),
        readings: &[(usize, Reading)],
    ) -> Line {
        let new = readings
            .iter()
            .filter(|(i, r)| before.readings.get(*i).is_some_and(|old| At::new("", old) != At::new("", r)));
        let name = |i: usize| job.stations.get(i).map_or("", |s| &s.name);
        let was = new.clone().map(|(i, _)| At::new(name(*i), &before.readings[*i])).collect();
        let readings = new.map(|(i, r)| At::new(name(*i), r)).collect();
        Line { readings, was, ..Line::new(number, What::Corrected) }
    }

    /// Strokes were planed after a round.
    pub fn planed(number: RoundNumber, planed: &[NewStroke]) -> Line {
        Line { planed: planed.to_vec(), ..Line::new(number, What::Planed) }
    }

    /// A round stays as the tables have it, or is given up where they have none.
    pub fn kept(job: &Job, number: RoundNumber) -> Line {
        match job.round(number) {
            None => Line::new(number, What::Gone),
            Some(round) => {
                let planed = round.strokes.iter().map(|s| s.named(job)).collect();
                Line { what: What::Kept, planed, ..Line::read(job, number, round) }
            }
        }
    }

    /// The line as it is written on a day, with its sum.
    fn text(self, today: Day) -> io::Result<String> {
        let object = serde_json::to_string(&Line { date: today.to_string(), ..self })?;
        let open = object.strip_suffix('}').unwrap_or(&object);
        Ok(format!("{open}{SUM}{}\"}}\n", sum(&object)))
    }

    /// A line that adds up.
    fn of(text: &str) -> Option<Line> {
        let (object, told) = text.trim_end().rsplit_once(SUM)?;
        let object = format!("{object}}}");
        (told.strip_suffix("\"}")? == sum(&object)).then(|| serde_json::from_str(&object).ok())?
    }
}

/// Before the sum.
const SUM: &str = ",\"sum\":\"";

/// A line's sum: FNV-1a with 64 bits (RFC 9923; constants from memory), against slips, not malice.
fn sum(text: &str) -> String {
    let step = |sum: u64, byte: u8| (sum ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    format!("{:016x}", text.bytes().fold(0xcbf2_9ce4_8422_2325, step))
}

/// A round as it was confirmed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Confirmed {
    pub against: Option<Against>,
    pub rebent: bool,
    /// By the stations' names.
    pub readings: BTreeMap<String, Reading>,
    pub planed: Vec<NewStroke>,
}

/// All that the log says.
#[derive(Debug, Default)]
pub(super) struct Log {
    /// The rounds by their numbers.
    pub rounds: BTreeMap<RoundNumber, Confirmed>,
    /// Lines that can't be read, counted from 1.
    pub unreadable: Vec<usize>,
    /// Why all of it can't be read.
    pub trouble: Option<Problems>,
}

impl Log {
    /// The log of a folder; nothing if there is none.
    pub fn of(folder: &Place) -> Log {
        match Part::load(&folder.join(CONFIRMED)) {
            Part::Absent => Log::default(),
            Part::Faulty(problems) => Log { trouble: Some(problems), ..Log::default() },
            Part::There(Raw { bytes, .. }) => Log::read(&bytes),
        }
    }

    fn read(bytes: &[u8]) -> Log {
        let mut log = Log::default();
        let lines = bytes.split_inclusive(|b| *b == b'\n').enumerate();
        for (i, line) in lines.filter(|(_, line)| !line.trim_ascii().is_empty()) {
            match str::from_utf8(line).ok().and_then(Line::of) {
                Some(line) => log.take(line),
                None if line.ends_with(b"\n") => log.unreadable.push(i + 1),
                None => {}
            }
        }
        log
    }

    fn take(&mut self, line: Line) {
        let readings = || line.readings.iter().map(|at| (at.station.clone(), at.reading()));
        match (line.what, self.rounds.get_mut(&line.round)) {
            (What::Gone, _) => drop(self.rounds.remove(&line.round)),
            (What::Corrected, Some(round)) => round.readings.extend(readings()),
            (What::Planed, Some(round)) => round.planed.extend(line.planed),
            (_, _) => {
                let (against, rebent) = (line.against, line.rebent.unwrap_or(false));
                let readings = readings().collect();
                let round = Confirmed { against, rebent, readings, planed: line.planed };
                self.rounds.insert(line.round, round);
            }
        }
    }
}

/// Adds lines and has the disk keep them; a line that was cut off goes first.
pub(super) fn append(folder: &Place, lines: Vec<Line>) -> Result<(), JournalError> {
    let log = folder.join(CONFIRMED);
    add(&log, lines).map_err(|source| JournalError::Unlogged { file: log.to_string(), source })
}

fn add(log: &Place, lines: Vec<Line>) -> io::Result<()> {
    if log.kind().is_ok_and(|kind| kind != Kind::File) {
        return Err(io::Error::other("it is no plain file"));
    }
    let text: String = lines.into_iter().map(|line| line.text(log.today())).collect::<io::Result<_>>()?;
    let mut file = log.hold()?.ok_or(ErrorKind::ResourceBusy)?;
    let old = file.bytes()?;
    let whole = old.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
    let sound = str::from_utf8(&old[whole..]).ok().and_then(Line::of).is_some();
    let (kept, end) = if sound { (old.len(), "\n") } else { (whole, "") };
    file.extend(kept as u64, format!("{end}{text}").as_bytes())
}
