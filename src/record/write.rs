//! A job written as a fresh folder or as one table, in a chosen dialect.

use std::fs::{self, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::Path;

use super::settings_text;
use crate::job::names::{READINGS, SETTINGS, STATIONS, STROKES};
use crate::job::{Job, Measured, Reading, Round, Station};
use crate::table::rows::{number, rows_text};
use crate::table::{Dialect, Unit, decode};

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
pub fn write_folder(job: &Job, dir: &Path) -> Result<(), WriteError> {
    write_folder_as(job, dir, &Style::default())
}

/// Writes a job as a fresh folder in a chosen dialect; `joint.toml` is always UTF-8.
///
/// # Errors
///
/// [`WriteError`]; files that are there already are never overwritten.
pub fn write_folder_as(job: &Job, dir: &Path, style: &Style) -> Result<(), WriteError> {
    fs::create_dir_all(dir).map_err(|e| io_error(dir, e))?;
    if let Some(there) = [SETTINGS, STATIONS, READINGS, STROKES].iter().find(|n| dir.join(n).exists()) {
        return Err(WriteError::Exists(dir.join(there).display().to_string()));
    }
    let sheet = Form { job, style, unit: job.unit };
    let settings = dir.join(SETTINGS);
    let text = settings_text::of(job).map_err(|e| io_error(&settings, io::Error::other(e)))?;
    fresh(&settings, text.as_bytes())?;
    sheet.save(&dir.join(STATIONS), sheet.stations())?;
    if !job.rounds.is_empty() {
        sheet.save(&dir.join(READINGS), sheet.readings())?;
    }
    if job.rounds.iter().any(|r| !r.strokes.is_empty()) {
        sheet.save(&dir.join(STROKES), sheet.strokes())?;
    }
    Ok(())
}

/// Writes stations and readings as one table, always in millimetres. Settings and
/// strokes have no place in it.
///
/// # Errors
///
/// [`WriteError`]; a file that is there already is never overwritten.
pub fn write_table(job: &Job, file: &Path, style: &Style) -> Result<(), WriteError> {
    let sheet = Form { job, style, unit: Unit::Mm };
    sheet.save(file, sheet.single())
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
pub(crate) fn fresh(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let made = OpenOptions::new().write(true).create_new(true).open(path);
    let mut file = match made {
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
            return Err(WriteError::Exists(path.display().to_string()));
        }
        made => made.map_err(|e| io_error(path, e))?,
    };
    file.write_all(bytes).and_then(|()| file.sync_all()).map_err(|e| io_error(path, e))
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
    fn save(&self, path: &Path, rows: Rows) -> Result<(), WriteError> {
        let dialect = &self.style.dialect;
        let text = rows_text(&rows, dialect).map_err(|e| io_error(path, e))?;
        let text = dialect.sep_text() + &text;
        let bytes = decode::encode(&text, dialect.encoding)
            .map_err(|character| WriteError::Encoding { file: path.display().to_string(), character })?;
        fresh(path, &bytes)
    }

    fn length(&self, mm: f64, decimals: usize) -> String {
        let more = if self.unit == Unit::Inch { 2 } else { 0 };
        number(mm / self.unit.mm(), decimals + more, &self.style.dialect)
    }

    fn angle(&self, radians: f64) -> String {
        number(radians.to_degrees(), self.style.geometry, &self.style.dialect)
    }

    fn stations(&self) -> Rows {
        let header = self.geometry_names().iter().map(ToString::to_string).collect();
        let rows = self.job.stations.iter().map(|s| self.geometry(s));
        std::iter::once(header).chain(rows).collect()
    }

    fn geometry_names(&self) -> Vec<&'static str> {
        let along = if self.job.measured == Measured::Arc { "arc" } else { "along" };
        let mut names = vec!["station", along, "width", "bevel"];
        let given = |get: fn(&Station) -> Option<f64>| self.job.stations.iter().any(|s| get(s).is_some());
        names.extend(given(|s| s.rise).then_some("rise"));
        names.extend(given(|s| s.outer_bevel).then_some("outer_bevel"));
        names.extend(given(|s| s.inner_bevel).then_some("inner_bevel"));
        names.extend(given(|s| s.out_of_plane).then_some("out_of_plane"));
        names
    }

    fn geometry(&self, station: &Station) -> Vec<String> {
        let length = |mm: f64| self.length(mm, self.style.geometry);
        let cell = |name: &&str| match *name {
            "station" => station.name.clone(),
            "width" => length(station.width),
            "bevel" => self.angle(station.bevel),
            "rise" => station.rise.map(length).unwrap_or_default(),
            "outer_bevel" => station.outer_bevel.map(|a| self.angle(a)).unwrap_or_default(),
            "inner_bevel" => station.inner_bevel.map(|a| self.angle(a)).unwrap_or_default(),
            "out_of_plane" => station.out_of_plane.map(length).unwrap_or_default(),
            _ => length(station.along),
        };
        self.geometry_names().iter().map(cell).collect()
    }

    fn reading_names(&self) -> Vec<&'static str> {
        let any = |get: fn(&Reading) -> Option<f64>| {
            self.job.rounds.iter().flat_map(|r| &r.readings).any(|r| get(r).is_some())
        };
        let mut names = vec!["overlap"];
        names.extend(any(|r| r.lift).then_some("lift"));
        names.extend(any(|r| r.seat).then_some("seat"));
        names.extend(self.job.rounds.iter().any(|r| r.rebent).then_some("rebent"));
        names
    }

    fn reading(&self, reading: &Reading, round: &Round) -> Vec<String> {
        let length = |mm: Option<f64>| mm.map(|v| self.length(v, self.style.readings)).unwrap_or_default();
        let cell = |name: &&str| match *name {
            "overlap" => length(reading.overlap),
            "lift" => length(reading.lift),
            "seat" => length(reading.seat),
            _ => if round.rebent { "yes" } else { "" }.to_string(),
        };
        self.reading_names().iter().map(cell).collect()
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
        let header =
            self.geometry_names().into_iter().chain(rounds.iter().copied()).chain(self.reading_names());
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
        let names = ["round", "plane", "from", "to", "count", "shaving_from", "shaving_to"];
        let mut rows = vec![names.map(str::to_string).to_vec()];
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
