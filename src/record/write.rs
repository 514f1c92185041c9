//! A job written as a fresh folder or as one table, in a chosen dialect.

use std::cell::RefCell;
use std::io::{self, ErrorKind};
use std::path::Path;

use crate::job::columns::{Field, GEOMETRY, READINGS, READINGS_AT, STATIONS, STROKES};
use crate::job::keys::Written;
use crate::job::names::SETTINGS;
use crate::job::settings_keys;
use crate::job::{Job, Measured, Reading, Round, Station};
use crate::store::Place;
use crate::table::layout::{Layout, Need};
use crate::table::rows::{number, rows_text};
use crate::table::{Dialect, Measure, Unit, decode};

/// How tables are written: their dialect, and decimals of a millimetre or degree
/// (two more where lengths are in inches).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Style {
    /// Delimiter, decimal mark, line end, encoding, `sep=` line.
    pub dialect: Dialect,
    /// Decimals of readings.
    pub readings: usize,
    /// Decimals of the stations' geometry.
    pub geometry: usize,
}

impl Default for Style {
    fn default() -> Self {
        Style { dialect: Dialect::default(), readings: 2, geometry: 3 }
    }
}

/// Why a job could not be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// A file of that name is there already; nothing is ever overwritten.
    #[error("{0} is there already. Next: choose an empty folder or another name.")]
    Exists(String),
    /// The chosen encoding lacks a character.
    #[error("{file}: the encoding has no '{character}'. Next: choose UTF-8.")]
    Encoding {
        /// The file that would have held it.
        file: String,
        /// The character.
        character: char,
    },
    /// Where a folder is needed stands something else.
    #[error("{0}: a file or a link stands where a folder is needed. Next: choose another folder.")]
    NotAFolder(String),
    /// The system refused.
    #[error("{file} could not be written ({said}). Next: {next}.")]
    Io {
        /// The file or folder.
        file: String,
        /// What the system said.
        said: String,
        /// What helps.
        next: &'static str,
    },
}

/// Writes a job as a fresh folder: comma-separated, decimal points, in the job's
/// unit. Warnings and notes are not part of it.
///
/// # Errors
///
/// [`WriteError`]; files that are there already are never overwritten.
pub fn write_folder(job: &Job, dir: impl Into<Place>) -> Result<(), WriteError> {
    write_folder_as(job, dir, &Style::default())
}

/// Writes a job as a fresh folder in a chosen dialect; `joint.toml` is always UTF-8.
///
/// # Errors
///
/// [`WriteError`]; files that are there already are never overwritten.
pub fn write_folder_as(job: &Job, dir: impl Into<Place>, style: &Style) -> Result<(), WriteError> {
    let dir = dir.into();
    dir.make().map_err(|e| io_error(dir.path(), e))?;
    if let Some(there) =
        [SETTINGS, STATIONS.file, READINGS.file, STROKES.file].iter().find(|n| dir.join(n).kind().is_ok())
    {
        return Err(WriteError::Exists(dir.join(there).to_string()));
    }
    let sheet = Form { job, style, unit: job.unit };
    let settings = dir.join(SETTINGS);
    let of = &RefCell::new(job.clone());
    let written = Written { keys: &settings_keys::JOINT, of, unit: job.unit, sorted: true };
    let text = toml::to_string(&written).map_err(|e| io_error(settings.path(), io::Error::other(e)))?;
    fresh(&settings, text.as_bytes())?;
    sheet.save(&dir.join(STATIONS.file), sheet.stations())?;
    if !job.rounds.is_empty() {
        sheet.save(&dir.join(READINGS.file), sheet.readings())?;
    }
    if job.rounds.iter().any(|r| !r.strokes.is_empty()) {
        sheet.save(&dir.join(STROKES.file), sheet.strokes())?;
    }
    Ok(())
}

/// Writes stations and readings as one table, always in millimetres. Settings and
/// strokes have no place in it.
///
/// # Errors
///
/// [`WriteError`]; a file that is there already is never overwritten.
pub fn write_table(job: &Job, file: impl Into<Place>, style: &Style) -> Result<(), WriteError> {
    let sheet = Form { job, style, unit: Unit::Mm };
    sheet.save(&file.into(), sheet.single())
}

/// What the system refused, or what stands in the way.
pub(crate) fn io_error(path: &Path, source: io::Error) -> WriteError {
    let next = match source.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "give yourself permission to write there, or choose another folder"
        }
        ErrorKind::NotADirectory | ErrorKind::AlreadyExists => {
            return WriteError::NotAFolder(path.display().to_string());
        }
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "make room on the disk, and try again in a new folder"
        }
        _ => "check that the folder may be written and the disk has room",
    };
    WriteError::Io { file: path.display().to_string(), said: source.to_string(), next }
}

/// A file that was not there before, safe on the disk.
pub(crate) fn fresh(file: impl Into<Place>, bytes: &[u8]) -> Result<(), WriteError> {
    let file = file.into();
    file.fresh(bytes).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => WriteError::Exists(file.to_string()),
        _ => io_error(file.path(), error),
    })
}

/// Rows of cells, the header first.
type Rows = Vec<Vec<String>>;

/// What is to be written and how.
struct Form<'a> {
    job: &'a Job,
    style: &'a Style,
    unit: Unit,
}

impl Form<'_> {
    fn save(&self, file: &Place, rows: Rows) -> Result<(), WriteError> {
        let dialect = &self.style.dialect;
        let text = rows_text(&rows, dialect).map_err(|e| io_error(file.path(), e))?;
        let text = dialect.sep_text() + &text;
        let bytes = decode::encode(&text, dialect.encoding)
            .map_err(|character| WriteError::Encoding { file: file.to_string(), character })?;
        fresh(file, &bytes)
    }

    /// A value as its column has it, with so many decimals of a millimetre or degree.
    fn cell(&self, value: Option<f64>, layout: &Layout, name: &str, decimals: usize) -> String {
        let (Some(value), Some(column)) = (value, layout.column(name)) else { return String::new() };
        let length = column.range().is_some_and(|range| range.measure == Measure::Length);
        let more = if length && self.unit == Unit::Inch { 2 } else { 0 };
        number(column.outside(value, self.unit), decimals + more, &self.style.dialect)
    }

    fn stations(&self) -> Rows {
        let rows = self.job.stations.iter().map(|s| self.geometry(s));
        std::iter::once(self.geometry_names().map(str::to_owned).collect()).chain(rows).collect()
    }

    /// The columns of the geometry that any station fills.
    fn fields(&self) -> impl Iterator<Item = &'static Field<Station>> {
        let other = if self.job.measured == Measured::Arc { "along" } else { "arc" };
        let must = |f: &Field<Station>| STATIONS.column(f.name).is_some_and(|c| c.need != Need::May);
        let given =
            move |f: &&Field<Station>| must(f) || self.job.stations.iter().any(|s| (f.get)(s).is_some());
        GEOMETRY.iter().filter(move |f| f.name != other).filter(given)
    }

    fn geometry_names(&self) -> impl Iterator<Item = &'static str> {
        ["station"].into_iter().chain(self.fields().map(|f| f.name))
    }

    fn geometry(&self, station: &Station) -> Vec<String> {
        let cell = |f: &Field<Station>| self.cell((f.get)(station), &STATIONS, f.name, self.style.geometry);
        [station.name.clone()].into_iter().chain(self.fields().map(cell)).collect()
    }

    /// The columns of readings that any station fills; overlaps always have theirs.
    fn read_fields(&self) -> impl Iterator<Item = &'static Field<Reading>> {
        let given = |f: &&Field<Reading>| {
            f.name == "overlap"
                || self.job.rounds.iter().flat_map(|r| &r.readings).any(|r| (f.get)(r).is_some())
        };
        READINGS_AT.iter().filter(|f| f.name != "gap").filter(given)
    }

    fn any_rebent(&self) -> bool {
        self.job.rounds.iter().any(|r| r.rebent)
    }

    fn reading_names(&self) -> impl Iterator<Item = &'static str> {
        self.read_fields().map(|f| f.name).chain(self.any_rebent().then_some("rebent"))
    }

    fn reading(&self, reading: &Reading, round: &Round) -> Vec<String> {
        let cell = |f: &Field<Reading>| self.cell((f.get)(reading), &READINGS, f.name, self.style.readings);
        let rebent = self.any_rebent().then(|| if round.rebent { "yes" } else { "" }.to_string());
        self.read_fields().map(cell).chain(rebent).collect()
    }

    fn readings(&self) -> Rows {
        let header = ["round", "station", "against"].into_iter().chain(self.reading_names());
        let mut rows = vec![header.map(str::to_string).collect()];
        for (k, round) in self.job.rounds.iter().enumerate() {
            for (station, reading) in
                self.job.stations.iter().zip(&round.readings).filter(|(_, r)| is_read(r))
            {
                let mut row =
                    vec![(k + 1).to_string(), station.name.clone(), round.against.word().to_string()];
                row.extend(self.reading(reading, round));
                rows.push(row);
            }
        }
        rows
    }

    fn single(&self) -> Rows {
        let told = !self.job.rounds.is_empty();
        let rounds: &[&str] = if told { &["round", "against"] } else { &[] };
        let header = self.geometry_names().chain(rounds.iter().copied()).chain(self.reading_names());
        let mut rows = vec![header.map(str::to_string).collect()];
        if !told {
            let row = |s: &Station| [self.geometry(s), vec![String::new()]].concat();
            rows.extend(self.job.stations.iter().map(row));
        }
        for (k, round) in self.job.rounds.iter().enumerate() {
            // The first round names every station, read or not.
            let pairs = self.job.stations.iter().zip(&round.readings).filter(|(_, r)| k == 0 || is_read(r));
            for (station, reading) in pairs {
                let mut row = self.geometry(station);
                row.extend([(k + 1).to_string(), round.against.word().to_string()]);
                row.extend(self.reading(reading, round));
                rows.push(row);
            }
        }
        rows
    }

    fn strokes(&self) -> Rows {
        let names = STROKES.names().into_iter().filter(|n| *n != "note");
        let mut rows = vec![names.map(str::to_string).collect()];
        let station = |i: usize| self.job.stations.get(i).map(|s| s.name.clone()).unwrap_or_default();
        for (k, round) in self.job.rounds.iter().enumerate() {
            rows.extend(round.strokes.iter().map(|s| {
                let plane = self.job.planes.get(s.plane).map(|p| p.name.clone()).unwrap_or_default();
                let (from, to) = s.shaving.map(|(a, b)| (station(a), station(b))).unwrap_or_default();
                vec![
                    (k + 1).to_string(),
                    plane,
                    station(s.from),
                    station(s.to),
                    s.count.to_string(),
                    from,
                    to,
                ]
            }));
        }
        rows
    }
}

fn is_read(reading: &Reading) -> bool {
    *reading != Reading::default()
}
