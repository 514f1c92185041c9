//! What was confirmed and is not in the tables any more: told, brought back, or given up.
//!
//! ## Why by value?
//!
//! A spreadsheet that saves a table changes its bytes, its delimiter, its decimals. What was
//! confirmed is lost only where a number is another one. What the tables have beyond it, rounds
//! and readings typed by hand, is no loss.

use super::append::{Edit, NewRow};
use super::confirmed::{Confirmed, Line, Log, append};
use super::correct::rows_of;
use super::journal::Session;
use super::{JournalError, NewRound, NewStroke};
use crate::job::columns::READINGS;
use crate::job::folder::Files;
use crate::job::{Against, Figure, Job, Problem, Quantity, Reading, Round, RoundNumber, read_folder};
use crate::store::Place;
use crate::table::Problems;

/// What is not as it was confirmed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Lost {
    /// Round by round.
    pub rounds: Vec<LostRound>,
    /// Lines of the log that can't be read, counted from 1.
    pub unreadable: Vec<usize>,
    /// Why the log can't be read at all.
    pub trouble: Option<Problems>,
}

/// What is not as it was confirmed in a round.
#[derive(Debug, Clone, PartialEq)]
pub struct LostRound {
    /// Its number, from 1.
    pub round: RoundNumber,
    /// The table has no such round.
    pub missing: bool,
    /// What it was held against and whether the rib was bent again before, if the table says
    /// otherwise, or not at all.
    pub held: Option<(Against, bool)>,
    /// Readings that the table has otherwise, or not at all.
    pub readings: Vec<LostReading>,
    /// Stations at which it is not told any more that the rib was felt to bear.
    pub bears: Vec<String>,
    /// Strokes that are not told any more.
    pub strokes: Vec<NewStroke>,
    /// Others are told in their place.
    pub other_strokes: bool,
}

/// A reading that is not as it was confirmed, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct LostReading {
    /// The station's name.
    pub station: String,
    /// What was read.
    pub quantity: Quantity,
    /// What was confirmed.
    pub was: Figure,
    /// What the table has; `None` where nothing stands there.
    pub now: Option<Figure>,
}

impl Lost {
    /// Whether all is as it was confirmed, as far as is known.
    pub fn is_nothing(&self) -> bool {
        *self == Lost::default()
    }
}

impl LostRound {
    /// The stations, each once, whose readings are not as confirmed.
    pub fn stations(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.readings.iter().map(|r| r.station.as_str()).collect();
        names.dedup();
        let bears = self.bears.iter().map(String::as_str).filter(|name| !names.contains(name));
        let bears: Vec<&str> = bears.collect();
        [names, bears].concat()
    }

    fn is_nothing(&self) -> bool {
        let nothing = self.readings.is_empty() && self.bears.is_empty() && self.strokes.is_empty();
        !self.missing && self.held.is_none() && nothing
    }
}

/// Compares a folder's log with the job that its tables describe. Without a log nothing is lost.
pub fn lost(folder: impl Into<Place>, job: &Job) -> Lost {
    let Log { rounds, unreadable, trouble } = Log::of(&folder.into());
    let rounds = rounds.iter().map(|(number, confirmed)| compared(job, *number, confirmed));
    Lost { rounds: rounds.filter(|r| !r.is_nothing()).collect(), unreadable, trouble }
}

fn compared(job: &Job, number: RoundNumber, confirmed: &Confirmed) -> LostRound {
    let round = job.round(number);
    let (strokes, other_strokes) = lost_strokes(job, round, &confirmed.planed);
    let held = confirmed.against.map(|against| (against, confirmed.rebent));
    LostRound {
        round: number,
        missing: round.is_none(),
        held: held.filter(|held| round.is_none_or(|round| (round.against, round.rebent) != *held)),
        readings: lost_readings(job, round, confirmed),
        bears: lost_bearings(job, round, confirmed),
        strokes,
        other_strokes,
    }
}

/// In order along the joint; those of stations that it doesn't have now come last.
fn lost_readings(job: &Job, round: Option<&Round>, confirmed: &Confirmed) -> Vec<LostReading> {
    let place = |name: &str| job.stations.iter().position(|s| s.name == name);
    let mut stations: Vec<_> = confirmed.readings.iter().collect();
    stations.sort_by_key(|(name, _)| place(name).unwrap_or(usize::MAX));
    let compared = |name: &str, reading: &Reading, quantity: Quantity| {
        let was = quantity.told(reading)?;
        let there = place(name).and_then(|i| round?.readings.get(i));
        let now = there.and_then(|reading| quantity.told(reading));
        let same = now.is_some_and(|now| now.is_near(was, SAME));
        (!same).then(|| LostReading { station: name.to_owned(), quantity, was, now })
    };
    let all_compared =
        |(name, reading): (&String, &Reading)| Quantity::ALL.map(|q| compared(name, reading, q));
    stations.into_iter().flat_map(all_compared).flatten().collect()
}

/// Stations of the joint, in order, where the rib was felt to bear and the table has no word of it.
fn lost_bearings(job: &Job, round: Option<&Round>, confirmed: &Confirmed) -> Vec<String> {
    let told = |i: usize| round.and_then(|r| r.readings.get(i)).is_some_and(|r| r.bears);
    let lost =
        |(i, name): (usize, &&String)| confirmed.readings.get(*name).is_some_and(|r| r.bears) && !told(i);
    let names = job.stations.iter().map(|s| &s.name).enumerate();
    names.filter(|(i, name)| lost((*i, name))).map(|(_, name)| name.clone()).collect()
}

/// The last decimal that a table is written with, mm.
const SAME: f64 = 1e-4;

/// Strokes that were told and aren't any more, and whether others are.
fn lost_strokes(job: &Job, round: Option<&Round>, planed: &[NewStroke]) -> (Vec<NewStroke>, bool) {
    let mut there: Vec<NewStroke> = round.iter().flat_map(|r| &r.strokes).map(|s| s.named(job)).collect();
    let mut lost = Vec::new();
    for stroke in planed.iter().map(|s| NewStroke { note: None, ..s.clone() }) {
        match there.iter().position(|other| *other == stroke) {
            Some(at) => drop(there.remove(at)),
            None => lost.push(stroke),
        }
    }
    let other = !lost.is_empty() && !there.is_empty();
    (lost, other)
}

/// A folder's job and what is not as it was confirmed. Strokes may be told after a round that
/// is missing: the folder is then read without them.
///
/// # Errors
///
/// [`Problems`] of the folder, if a missing round is not what is wrong with it.
pub fn look_back(folder: impl Into<Place>) -> Result<(Job, Lost), Problems> {
    let folder = folder.into();
    match read_folder(&folder) {
        Ok(job) => {
            let lost = lost(&folder, &job);
            Ok((job, lost))
        }
        Err(problems) => without_strokes(&folder).ok_or(problems),
    }
}

fn without_strokes(folder: &Place) -> Option<(Job, Lost)> {
    // Large tables are not read twice for nothing.
    if Log::of(folder).rounds.is_empty() {
        return None;
    }
    let job = Files::load(folder).without_strokes().job().ok()?;
    let mut lost = lost(folder, &job);
    lost.rounds.iter_mut().for_each(|r| r.strokes.clear());
    lost.rounds.retain(|r| !r.is_nothing());
    lost.rounds.iter().any(|r| r.missing).then_some((job, lost))
}

/// What is wrong with a folder; where rounds are missing that were confirmed, that comes first.
pub fn or_lost(folder: impl Into<Place>, problems: Problems) -> Problems {
    let folder = folder.into();
    let Some((_, lost)) = without_strokes(&folder) else { return problems };
    let missing: Vec<String> =
        lost.rounds.iter().filter(|r| r.missing).map(|r| r.round.to_string()).collect();
    let expected = format!("round {} too, which was confirmed", missing.join(", "));
    let first = Problem::new(
        &folder.join(READINGS.file),
        expected,
        format!("bring it back: ribwright recover {folder}"),
    );
    Problems::of([vec![first], problems.list().to_vec()].concat())
}

/// Brings back what was confirmed, as far as it can be: rounds that are missing below the others,
/// readings in their places with the table's as a note, strokes below those that are told.
///
/// # Errors
///
/// [`JournalError`]; what was brought back before it stays.
pub fn bring_back(folder: impl Into<Place>) -> Result<(), JournalError> {
    let folder = folder.into();
    let (_, all) = look_back(&folder).map_err(JournalError::Folder)?;
    let steps: [(Opened, Step); 4] = [
        (Session::open_rounds, Session::round_back),
        (Session::open, Session::held_back),
        (Session::open, Session::readings_back),
        (Session::open, Session::strokes_back),
    ];
    for (open, step) in steps {
        for number in all.rounds.iter().map(|r| r.round) {
            // Each step reads the folder that the one before it wrote.
            let session = open(&folder)?;
            let now = lost(&folder, &session.job);
            now.rounds.iter().find(|r| r.round == number).map_or(Ok(()), |lost| step(&session, lost))?;
        }
    }
    Ok(())
}

type Opened = fn(&Place) -> Result<Session, JournalError>;
type Step = fn(&Session, &LostRound) -> Result<(), JournalError>;

/// Keeps the tables as they are: what they have is what is confirmed from now on.
///
/// # Errors
///
/// [`JournalError`]; the log is then as it was.
pub fn keep_as_it_is(folder: impl Into<Place>) -> Result<(), JournalError> {
    let session = Session::open(&folder.into())?;
    let lost = lost(&session.folder, &session.job);
    let lines: Vec<Line> = lost.rounds.iter().map(|r| Line::kept(&session.job, r.round)).collect();
    if lines.is_empty() { Ok(()) } else { append(&session.folder, lines) }
}

impl Session {
    /// A round that is missing, if it is the next one.
    fn round_back(&self, lost: &LostRound) -> Result<(), JournalError> {
        let Some((against, rebent)) = lost.held.filter(|_| lost.missing) else { return Ok(()) };
        if lost.round != self.job.next_round() {
            return Ok(());
        }
        let readings = self.confirmed(lost, &vec![Reading::default(); self.job.stations.len()]);
        self.add_round(&NewRound { against, rebent, readings, note: None })
    }

    /// What a round that is there was held against, and whether the rib was bent again.
    fn held_back(&self, lost: &LostRound) -> Result<(), JournalError> {
        let Some((against, rebent)) = lost.held.filter(|_| !lost.missing) else { return Ok(()) };
        let target = self.target(&READINGS);
        let Some(table) = &target.table else { return Ok(()) };
        let held: NewRow = vec![
            ("against", against.word().to_owned()),
            ("rebent", if rebent { "yes" } else { "" }.to_owned()),
        ];
        let cells =
            || held.iter().filter(|(name, cell)| !cell.is_empty() || table.has(name)).cloned().collect();
        let rows = rows_of(table, lost.round);
        let edits: Vec<Edit> = rows.map(|row| Edit { row: row.number, cells: cells() }).collect();
        self.write(&target, &edits, &[], |old, job| {
            let mut wanted = old.rounds.clone();
            wanted
                .iter_mut()
                .skip(lost.round.index())
                .take(1)
                .for_each(|r| (r.against, r.rebent) = (against, rebent));
            wanted == job.rounds
        })
    }

    /// Readings of a round that is there.
    fn readings_back(&self, lost: &LostRound) -> Result<(), JournalError> {
        let Some(round) = self.job.round(lost.round) else { return Ok(()) };
        let wanted = self.confirmed(lost, &round.readings);
        if wanted == round.readings {
            return Ok(());
        }
        let readings: Vec<(usize, Reading)> = wanted.into_iter().enumerate().collect();
        self.correct(lost.round, &readings)
    }

    /// Strokes, unless others are told in their place.
    fn strokes_back(&self, lost: &LostRound) -> Result<(), JournalError> {
        if lost.strokes.is_empty() || lost.other_strokes || self.job.round(lost.round).is_none() {
            return Ok(());
        }
        self.add_strokes(lost.round, &lost.strokes)
    }

    /// Readings with those that were confirmed in their places.
    fn confirmed(&self, lost: &LostRound, readings: &[Reading]) -> Vec<Reading> {
        let mut readings = readings.to_vec();
        let place = |name: &str| self.job.stations.iter().position(|s| s.name == name);
        for reading in &lost.readings {
            if let Some(there) = place(&reading.station).and_then(|i| readings.get_mut(i)) {
                reading.quantity.put(there, Some(reading.was));
            }
        }
        for name in &lost.bears {
            let there = place(name).and_then(|i| readings.get_mut(i));
            there.into_iter().for_each(|reading| reading.bears = true);
        }
        readings
    }
}
