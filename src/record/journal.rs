//! New rows in a joint's folder: nothing that is there is changed, and whatever
//! happens the folder holds the old state or the new one.
//!
//! One writer at a time holds a lock on the file `.lock`. The table is written
//! anew into a file beside it, read back in memory and compared with what was
//! there, synced, and renamed over the old one. Columns that new rows need and the
//! table lacks are named at the end of the header row; older rows stay shorter.

use serde::{Deserialize, Serialize};

use super::append::{Edit, NewRow, Target};
use super::confirmed::{Line, append};
use super::{JournalError, lock};
use crate::job::columns::{READINGS, STATIONS, STROKES};
use crate::job::folder::{Files, no_folder};
use crate::job::{Against, Figure, Job, Quantity, Reading, ReadingColumns, Round, RoundNumber, Stroke};
use crate::store::{Lock, Place};
use crate::table::file::{Part, Raw};
use crate::table::layout::Layout;
use crate::table::rows::number;
use crate::table::{Decimal, Dialect, Unit};

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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
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
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shaving: Option<(String, String)>,
    /// A note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
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

/// Adds a round of readings to `readings.csv`, which is made if there is none.
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_round(folder: impl Into<Place>, new: &NewRound) -> Result<(), JournalError> {
    Session::open(&folder.into())?.confirm_round(new)
}

/// Adds a round of readings as round `number` and as no other.
///
/// # Errors
///
/// [`JournalError::Overtaken`] if the folder's next round is another one by now, and
/// all of [`add_round`].
pub fn add_round_as(
    folder: impl Into<Place>,
    number: RoundNumber,
    new: &NewRound,
) -> Result<(), JournalError> {
    let session = Session::open(&folder.into())?;
    if session.job.next_round() != number {
        return Err(JournalError::Overtaken(session.folder.to_string(), "a round was"));
    }
    session.confirm_round(new)
}

/// Adds strokes that were planed after `round` to `strokes.csv`,
/// which is made if there is none.
///
/// # Errors
///
/// [`JournalError`]; the folder is then as it was.
pub fn add_strokes(
    folder: impl Into<Place>,
    round: RoundNumber,
    new: &[NewStroke],
) -> Result<(), JournalError> {
    Session::open(&folder.into())?.confirm_strokes(round, new)
}

/// Adds strokes to the `known` ones told after `round` and to no others, so that
/// two programs don't tell the same strokes twice.
///
/// # Errors
///
/// [`JournalError::Overtaken`] if other strokes came in between, and all of
/// [`add_strokes`].
pub fn add_strokes_to(
    folder: impl Into<Place>,
    round: RoundNumber,
    known: &[Stroke],
    new: &[NewStroke],
) -> Result<(), JournalError> {
    let session = Session::open(&folder.into())?;
    let there = session.job.round(round);
    if there.is_some_and(|there| there.strokes != known) {
        return Err(JournalError::Overtaken(session.folder.to_string(), "strokes were"));
    }
    session.confirm_strokes(round, new)
}

/// The folder, locked and read.
pub(super) struct Session {
    pub(super) folder: Place,
    files: Files,
    pub job: Job,
    _lock: Lock,
}

impl Session {
    pub fn open(folder: &Place) -> Result<Session, JournalError> {
        Session::open_as(folder, Files::load)
    }

    /// The same as if no strokes were told.
    pub fn open_rounds(folder: &Place) -> Result<Session, JournalError> {
        Session::open_as(folder, |folder| Files::load(folder).without_strokes())
    }

    fn open_as(folder: &Place, load: impl Fn(&Place) -> Files) -> Result<Session, JournalError> {
        if !folder.is_folder() {
            return Err(JournalError::Folder(no_folder(folder).into()));
        }
        let lock = lock::lock_soon(folder)?;
        let files = load(folder);
        let job = files.job().map_err(JournalError::Folder)?;
        Ok(Session { folder: folder.clone(), files, job, _lock: lock })
    }

    fn part(&self, layout: &Layout) -> &Part {
        if layout.file == STROKES.file { &self.files.strokes } else { &self.files.readings }
    }

    /// The table and the dialect for its new rows: its own; where it shows no
    /// decimal mark, or is to be made, that of the stations.
    pub fn target(&self, layout: &'static Layout) -> Target {
        // The folder was read without problems, so there are none to gather here.
        let problems = &mut Vec::new();
        let table = self.part(layout).table(layout, problems);
        let stations = self.files.stations.table(&STATIONS, problems);
        let model = table.as_ref().or(stations.as_ref()).map(|t| t.dialect).unwrap_or_default();
        let marked = [&table, &stations].into_iter().flatten().find(|t| t.mark_seen);
        let decimal = marked.map_or(Decimal::Point, |t| t.dialect.decimal);
        Target { layout, table, dialect: Dialect { decimal, ..model } }
    }

    fn confirm_round(&self, new: &NewRound) -> Result<(), JournalError> {
        let written = self.add_round(new);
        let NewRound { against, rebent, readings, .. } = new.clone();
        let round = Round { against, rebent, readings, strokes: Vec::new() };
        self.keep(written, || Line::read(&self.job, self.job.next_round(), &round))
    }

    fn confirm_strokes(&self, round: RoundNumber, new: &[NewStroke]) -> Result<(), JournalError> {
        self.keep(self.add_strokes(round, new), || Line::planed(round, new))
    }

    /// Keeps a second time what was confirmed, once it is written.
    pub fn keep(
        &self,
        written: Result<(), JournalError>,
        line: impl FnOnce() -> Line,
    ) -> Result<(), JournalError> {
        if written.as_ref().is_err_and(|error| !error.is_written()) {
            return written;
        }
        append(&self.folder, vec![line()]).and(written)
    }

    /// Adds a round to the table.
    pub fn add_round(&self, new: &NewRound) -> Result<(), JournalError> {
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
        self.write(&target, &[], &rows, |old, job| match job.rounds.split_last() {
            Some((last, earlier)) => earlier == old.rounds && same_round(last, &expected),
            None => false,
        })
    }

    /// Adds strokes to the table.
    pub fn add_strokes(&self, round: RoundNumber, new: &[NewStroke]) -> Result<(), JournalError> {
        let target = self.target(&STROKES);
        let rows: Vec<NewRow> = new.iter().map(|s| stroke_row(round, s)).collect();
        self.write(&target, &[], &rows, |old, job| {
            let mut wanted = old.rounds.clone();
            let added: Option<Vec<Stroke>> = new.iter().map(|s| resolved(s, job)).collect();
            match (wanted.get_mut(round.index()), added) {
                (Some(r), Some(added)) => r.strokes.extend(added),
                _ => return false,
            }
            wanted == job.rounds
        })
    }

    /// Changes cells and adds rows; `right` compares the job before with the one after.
    pub fn write(
        &self,
        target: &Target,
        edits: &[Edit],
        rows: &[NewRow],
        right: impl Fn(&Job, &Job) -> bool,
    ) -> Result<(), JournalError> {
        if rows.is_empty() && edits.is_empty() {
            return Err(JournalError::Nothing);
        }
        let part = self.part(target.layout);
        let path = self.folder.join(target.layout.file);
        let file = path.to_string();
        let old = match part {
            Part::There(raw) => Some(raw),
            _ => None,
        };
        let bytes = target
            .revised(old.map(|raw| raw.bytes.as_slice()), edits, rows)
            .map_err(|trouble| trouble.of(&file))?;
        let job = self.after(target.layout, &file, &bytes)?;
        if job.stations != self.job.stations || !right(&self.job, &job) {
            return Err(JournalError::ReadBack(file));
        }
        lock::replace(&path, old.and_then(Raw::in_file), &bytes)
    }

    /// The job as it will be read.
    fn after(&self, layout: &Layout, file: &str, bytes: &[u8]) -> Result<Job, JournalError> {
        let mut files = self.files.clone();
        let part = Part::There(Raw { file: file.to_string(), bytes: bytes.to_vec(), in_workbook: false });
        let place = if layout.file == STROKES.file { &mut files.strokes } else { &mut files.readings };
        *place = part;
        files.job().map_err(JournalError::Rows)
    }
}

fn round_rows(job: &Job, new: &NewRound, target: &Target) -> Vec<NewRow> {
    let read = job.stations.iter().zip(&new.readings).filter(|(_, r)| **r != Reading::default());
    let mut rows: Vec<NewRow> = Vec::new();
    let heading = (job.next_round(), new.against, new.rebent);
    for (station, reading) in read {
        let mut row = reading_row(heading, (&station.name, reading), job.unit, target);
        row.extend(new.note.as_deref().filter(|_| rows.is_empty()).map(|n| ("note", one_line(n))));
        rows.push(row);
    }
    rows
}

/// The row of one station; its round's number, what it is held against, and whether it
/// was bent again come first.
pub(super) fn reading_row(
    (round, against, rebent): (RoundNumber, Against, bool),
    (station, reading): (&str, &Reading),
    unit: Unit,
    target: &Target,
) -> NewRow {
    let mut row = vec![
        ("round", round.to_string()),
        ("station", station.to_owned()),
        ("against", against.word().to_owned()),
    ];
    row.extend(reading_cells(reading, unit, target));
    row.extend(reading.bears.then(|| ("bears", "yes".to_owned())));
    row.extend(rebent.then(|| ("rebent", "yes".to_owned())));
    row
}

/// Every row names `overlap` (or `gap`), read or not, so that a new table has it.
fn reading_cells(reading: &Reading, unit: Unit, target: &Target) -> NewRow {
    let columns = columns(target);
    let cell = |quantity: Quantity| {
        let text = figure_cell(quantity, reading, unit, target);
        let named = quantity == Quantity::Overlap;
        (named || !text.is_empty()).then(|| (columns.name(quantity), text))
    };
    Quantity::ALL.into_iter().filter_map(cell).collect()
}

/// What is read at a station as this table has it, a gap or an overlap; a new one has gaps.
pub(super) fn columns(target: &Target) -> ReadingColumns {
    let gap = target.table.as_ref().map_or(ReadingColumns::default().gap, |t| t.has("gap"));
    ReadingColumns { gap, lift: true, seat: true }
}

/// What was told of a quantity, as its cell has it; nothing where it was not read.
pub(super) fn figure_cell(quantity: Quantity, reading: &Reading, unit: Unit, target: &Target) -> String {
    let told = quantity.told(reading).map(|told| columns(target).told(quantity, told));
    told.map(|told| told.written(|mm| length_cell(mm, unit, &target.dialect))).unwrap_or_default()
}

/// Fine enough for every reading: 0.0001 mm, or 1/64 inch exactly.
fn length_cell(mm: f64, unit: Unit, dialect: &Dialect) -> String {
    number(mm / unit.mm(), if unit == Unit::Inch { 6 } else { 4 }, dialect)
}

fn stroke_row(round: RoundNumber, stroke: &NewStroke) -> NewRow {
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
pub(super) fn one_line(note: &str) -> String {
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
    let close = |a: Option<Figure>, b: Option<Figure>| match (a, b) {
        (Some(a), Some(b)) => a.is_near(b, 1e-4),
        (a, b) => a.is_none() && b.is_none(),
    };
    let same = |(a, b): (&Reading, &Reading)| {
        a.bears == b.bears && Quantity::ALL.iter().all(|q| close(q.told(a), q.told(b)))
    };
    a.against == b.against
        && a.rebent == b.rebent
        && a.strokes == b.strokes
        && a.readings.len() == b.readings.len()
        && a.readings.iter().zip(&b.readings).all(same)
}
