//! New rows in a joint's folder: nothing that is there is changed, and whatever
//! happens the folder holds the old state or the new one.
//!
//! One writer at a time holds a lock on the file `.lock`. The table is written
//! anew into a file beside it, read back in memory and compared with what was
//! there, synced, and renamed over the old one. Columns that new rows need and the
//! table lacks are named at the end of the header row; older rows stay shorter.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use super::append::{NewRow, Target, Trouble};
use super::lock;
use crate::job::columns::{Field, READINGS, READINGS_AT, STATIONS, STROKES};
use crate::job::folder::{Files, no_folder};
use crate::job::{Against, Job, Reading, Round, Stroke};
use crate::table::file::{Part, Raw};
use crate::table::layout::Layout;
use crate::table::rows::number;
use crate::table::{Decimal, Dialect, Problems, Unit};

/// A round to be added.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRound {
    /// What the rib was held against.
    pub against: Against,
    /// The rib was bent again before this round.
    pub rebent: bool,
    /// One entry per station, in station order, in mm; written in the folder's unit.
    pub readings: Vec<Reading>,
    /// A note, kept with the round's first row.
    pub note: Option<String>,
}

/// Strokes to be added, by the maker's names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewStroke {
    /// The plane's name.
    pub plane: String,
    /// The station where the run began.
    pub from: String,
    /// The station where it ended.
    pub to: String,
    /// Number of pushes.
    pub count: u32,
    /// First and last station between which the shaving ran unbroken, if watched.
    pub shaving: Option<(String, String)>,
    /// A note.
    pub note: Option<String>,
}

impl Stroke {
    /// The same stroke by the maker's names.
    pub fn named(&self, job: &Job) -> NewStroke {
        let station = |i: usize| job.stations.get(i).map(|s| s.name.clone()).unwrap_or_default();
        let plane = job.planes.get(self.plane).map(|p| p.name.clone()).unwrap_or_default();
        let shaving = self.shaving.map(|(from, to)| (station(from), station(to)));
        let (from, to) = (station(self.from), station(self.to));
        NewStroke { plane, from, to, count: self.count, shaving, note: None }
    }
}

/// Why nothing was added. In every case the folder is as it was, except
/// [`JournalError::Unsynced`].
#[derive(Debug, thiserror::Error)]
pub enum JournalError {
    /// Another writer holds the folder.
    #[error(
        "{0}: another program is writing into this folder just now, so nothing was written. Next: try again when it is done."
    )]
    Busy(String),
    /// Another program is typing a round into the folder.
    #[error(
        "{0}: another program is typing a round into this folder just now. Next: finish or stop it there, and try again."
    )]
    Typing(String),
    /// Someone else added a round or strokes since the folder was read.
    #[error(
        "{0}: {1} added by another program meanwhile, so nothing was written. Next: look at what is there now, and try again."
    )]
    Overtaken(String, &'static str),
    /// The folder has problems of its own.
    #[error("Nothing was written, since the folder can't be read as it stands:\n{0}")]
    Folder(Problems),
    /// The new rows can't be right; rows are counted as if they had been added.
    #[error("Nothing was written, since the new rows can't be right:\n{0}")]
    Rows(Problems),
    /// There is nothing to add.
    #[error("There is nothing to add. Next: give at least one reading or stroke.")]
    Nothing,
    /// The readings don't match the stations.
    #[error(
        "Nothing was written: {given} readings for {stations} stations. Next: give one reading per station, empty where not read."
    )]
    Stations {
        /// How many readings were given.
        given: usize,
        /// How many stations the joint has.
        stations: usize,
    },
    /// The table's encoding lacks a character.
    #[error(
        "{file}: its encoding has no '{character}', so nothing was written. Next: save the table as UTF-8 in the spreadsheet, or use another name."
    )]
    Encoding {
        /// The table.
        file: String,
        /// The character.
        character: char,
    },
    /// The table was changed by someone else meanwhile.
    #[error(
        "{0} was changed while the new rows were made, so nothing was written. Next: save and close it in the spreadsheet, and try again."
    )]
    Changed(String),
    /// Reading the new table back did not give the old rows and the new ones.
    #[error(
        "{0}: the new table, read back, is not the old one with the new rows, so nothing was written. Next: save the table anew as CSV in the spreadsheet, and try again."
    )]
    ReadBack(String),
    /// The system refused.
    #[error(
        "{file}: nothing was written ({source}). Next: check that folder and file may be written and the disk has room."
    )]
    Io {
        /// The file or folder.
        file: String,
        /// What the system said.
        source: io::Error,
    },
    /// The new table is in its place, but the system could not promise that it
    /// outlives a power cut.
    #[error(
        "{file} holds the new rows, but they may be lost if the power fails ({source}). Next: check the disk."
    )]
    Unsynced {
        /// The table.
        file: String,
        /// What the system said.
        source: io::Error,
    },
}

/// Adds a round of readings to `readings.csv`, which is made if there is none.
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_round(folder: &Path, new: &NewRound) -> Result<(), JournalError> {
    Session::open(folder)?.add_round(new)
}

/// Adds a round of readings as round `number` (counted from 1) and as no other.
///
/// # Errors
///
/// [`JournalError::Overtaken`] if the folder's next round is another one by now, and
/// all of [`add_round`].
pub fn add_round_as(folder: &Path, number: usize, new: &NewRound) -> Result<(), JournalError> {
    let session = Session::open(folder)?;
    if session.job.rounds.len() + 1 != number {
        return Err(JournalError::Overtaken(folder.display().to_string(), "a round was"));
    }
    session.add_round(new)
}

/// Adds strokes that were planed after `round` (counted from 1) to `strokes.csv`,
/// which is made if there is none.
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_strokes(folder: &Path, round: usize, new: &[NewStroke]) -> Result<(), JournalError> {
    Session::open(folder)?.add_strokes(round, new)
}

/// Adds strokes to the `known` ones told after `round` and to no others, so that
/// two programs don't tell the same strokes twice.
///
/// # Errors
///
/// [`JournalError::Overtaken`] if other strokes came in between, and all of
/// [`add_strokes`].
pub fn add_strokes_to(
    folder: &Path,
    round: usize,
    known: &[Stroke],
    new: &[NewStroke],
) -> Result<(), JournalError> {
    let session = Session::open(folder)?;
    let there = session.job.rounds.get(round.wrapping_sub(1));
    if there.is_some_and(|there| there.strokes != known) {
        return Err(JournalError::Overtaken(folder.display().to_string(), "strokes were"));
    }
    session.add_strokes(round, new)
}

/// The folder, locked and read.
struct Session {
    folder: PathBuf,
    files: Files,
    job: Job,
    _lock: File,
}

impl Session {
    fn open(folder: &Path) -> Result<Session, JournalError> {
        if !folder.is_dir() {
            return Err(JournalError::Folder(no_folder(folder).into()));
        }
        let lock = lock::lock_soon(folder)?;
        let files = Files::load(folder);
        let job = files.job().map_err(JournalError::Folder)?;
        Ok(Session { folder: folder.to_path_buf(), files, job, _lock: lock })
    }

    fn part(&self, layout: &Layout) -> &Part {
        if layout.file == STROKES.file { &self.files.strokes } else { &self.files.readings }
    }

    /// The table and the dialect for its new rows: its own; where it shows no
    /// decimal mark, or is to be made, that of the stations.
    fn target(&self, layout: &'static Layout) -> Target {
        // The folder was read without problems, so there are none to gather here.
        let problems = &mut Vec::new();
        let table = self.part(layout).table(layout, problems);
        let stations = self.files.stations.table(&STATIONS, problems);
        let model = table.as_ref().or(stations.as_ref()).map(|t| t.dialect).unwrap_or_default();
        let marked = [&table, &stations].into_iter().flatten().find(|t| t.mark_seen);
        let decimal = marked.map_or(Decimal::Point, |t| t.dialect.decimal);
        Target { layout, table, dialect: Dialect { decimal, ..model } }
    }

    fn add_round(&self, new: &NewRound) -> Result<(), JournalError> {
        let stations = self.job.stations.len();
        if new.readings.len() != stations {
            return Err(JournalError::Stations { given: new.readings.len(), stations });
        }
        let expected = Round {
            against: new.against,
            rebent: new.rebent,
            readings: new.readings.clone(),
            strokes: Vec::new(),
        };
        let target = self.target(&READINGS);
        let rows = round_rows(&self.job, new, &target);
        self.add(&target, &rows, |old, job| match job.rounds.split_last() {
            Some((last, earlier)) => earlier == old.rounds && same_round(last, &expected),
            None => false,
        })
    }

    fn add_strokes(&self, round: usize, new: &[NewStroke]) -> Result<(), JournalError> {
        let target = self.target(&STROKES);
        let rows: Vec<NewRow> = new.iter().map(|s| stroke_row(round, s)).collect();
        self.add(&target, &rows, |old, job| {
            let mut wanted = old.rounds.clone();
            let added: Option<Vec<Stroke>> = new.iter().map(|s| resolved(s, job)).collect();
            match (wanted.get_mut(round.wrapping_sub(1)), added) {
                (Some(r), Some(added)) => r.strokes.extend(added),
                _ => return false,
            }
            wanted == job.rounds
        })
    }

    /// Adds rows; `right` compares the job before with the one after.
    fn add(
        &self,
        target: &Target,
        rows: &[NewRow],
        right: impl Fn(&Job, &Job) -> bool,
    ) -> Result<(), JournalError> {
        if rows.is_empty() {
            return Err(JournalError::Nothing);
        }
        let part = self.part(target.layout);
        let path = self.folder.join(target.layout.file);
        let file = path.display().to_string();
        let old = match part {
            Part::There(raw) => Some(raw.bytes.as_slice()),
            _ => None,
        };
        let bytes = target.grown(old, rows).map_err(|trouble| trouble.of(&file))?;
        let job = self.after(target.layout, &file, &bytes)?;
        if job.stations != self.job.stations || !right(&self.job, &job) {
            return Err(JournalError::ReadBack(file));
        }
        lock::replace(&path, old, &bytes)
    }

    /// The job as it will be read.
    fn after(&self, layout: &Layout, file: &str, bytes: &[u8]) -> Result<Job, JournalError> {
        let mut files = self.files.clone();
        let part = Part::There(Raw { file: file.to_string(), bytes: bytes.to_vec() });
        let place = if layout.file == STROKES.file { &mut files.strokes } else { &mut files.readings };
        *place = part;
        files.job().map_err(JournalError::Rows)
    }
}

impl Trouble {
    pub(super) fn of(self, file: &str) -> JournalError {
        let file = file.to_string();
        match self {
            Trouble::Character(character) => JournalError::Encoding { file, character },
            Trouble::Changed => JournalError::ReadBack(file),
            Trouble::Rows(source) => JournalError::Io { file, source },
        }
    }
}

fn round_rows(job: &Job, new: &NewRound, target: &Target) -> Vec<NewRow> {
    let read = job.stations.iter().zip(&new.readings).filter(|(_, r)| **r != Reading::default());
    let mut rows: Vec<NewRow> = Vec::new();
    for (station, reading) in read {
        let mut row = vec![
            ("round", (job.rounds.len() + 1).to_string()),
            ("station", station.name.clone()),
            ("against", new.against.word().to_string()),
        ];
        row.extend(reading_cells(reading, job.unit, target));
        row.extend(new.rebent.then(|| ("rebent", "yes".to_string())));
        row.extend(new.note.as_deref().filter(|_| rows.is_empty()).map(|n| ("note", one_line(n))));
        rows.push(row);
    }
    rows
}

/// Every row names `overlap` (or `gap`), read or not, so that a new table has it.
fn reading_cells(reading: &Reading, unit: Unit, target: &Target) -> NewRow {
    // Fine enough for every reading: 0.0001 mm, or 1/64 inch exactly.
    let decimals = if unit == Unit::Inch { 6 } else { 4 };
    let gap = target.table.as_ref().is_some_and(|t| t.has("gap"));
    let fields = READINGS_AT.iter().filter(|f| f.name != if gap { "overlap" } else { "gap" });
    let cell = |f: &Field<Reading>| {
        let text = (f.get)(reading).map(|mm| number(mm / unit.mm(), decimals, &target.dialect));
        let named = matches!(f.name, "overlap" | "gap");
        (named || text.is_some()).then(|| (f.name, text.unwrap_or_default()))
    };
    fields.filter_map(cell).collect()
}

fn stroke_row(round: usize, stroke: &NewStroke) -> NewRow {
    let mut row = vec![
        ("round", round.to_string()),
        ("plane", stroke.plane.clone()),
        ("from", stroke.from.clone()),
        ("to", stroke.to.clone()),
        ("count", stroke.count.to_string()),
    ];
    if let Some((from, to)) = &stroke.shaving {
        row.extend([("shaving_from", from.clone()), ("shaving_to", to.clone())]);
    }
    row.extend(stroke.note.as_deref().map(|n| ("note", one_line(n))));
    row
}

/// A note on one line, so that a row is a line for every program.
fn one_line(note: &str) -> String {
    let words: Vec<&str> =
        note.split(|c: char| c.is_control() || c == ' ').filter(|w| !w.is_empty()).collect();
    words.join(" ")
}

fn resolved(stroke: &NewStroke, job: &Job) -> Option<Stroke> {
    let station = |name: &str| job.stations.iter().position(|s| s.name == name.trim());
    let shaving = match &stroke.shaving {
        Some((from, to)) => Some((station(from)?, station(to)?)),
        None => None,
    };
    let plane = job.planes.iter().position(|p| p.name == stroke.plane.trim())?;
    let (from, to) = (station(&stroke.from)?, station(&stroke.to)?);
    Some(Stroke { plane, from, to, count: stroke.count, shaving })
}

/// The same round, but for the last written decimal.
pub(crate) fn same_round(a: &Round, b: &Round) -> bool {
    let close = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-4,
        (a, b) => a.is_none() && b.is_none(),
    };
    let same = |(a, b): (&Reading, &Reading)| {
        close(a.overlap, b.overlap) && close(a.lift, b.lift) && close(a.seat, b.seat)
    };
    a.against == b.against
        && a.rebent == b.rebent
        && a.strokes == b.strokes
        && a.readings.len() == b.readings.len()
        && a.readings.iter().zip(&b.readings).all(same)
}
