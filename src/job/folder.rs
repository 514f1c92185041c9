//! A joint's folder or single table, whole: every file read, every problem kept.

use super::bowl::planes_around;
use super::names::{BOWL, JOINTS, MARKS, READ, READINGS, SETTINGS, STATIONS, STROKES};
use super::settings::{self, Outcome};
use super::stations::{self, Stations};
use super::strokes::{self, Known};
use super::{Job, Plane, Round, Stroke, columns, rounds};
use crate::store::{self, Place};
use crate::table::cell::Sheet;
use crate::table::file::{Part, load};
use crate::table::misnamed;
use crate::table::named::Table;
use crate::table::suggest::nearest;
use crate::table::unreadable::{entered, unreadable};
use crate::table::workbook;
use crate::table::{Kind, Problem, Problems, Told, Unit, Warning};

/// Reads a joint's folder, or a single table with the columns of stations and
/// readings.
///
/// A folder holds `stations.csv` and, each optional, `joint.toml`,
/// `readings.csv` (none: no rounds yet) and `strokes.csv`. A single table has no
/// settings: millimetres and every default. Where it has no column `round` all of
/// it is round 1; where it has none `against`, it was read against a line.
///
/// # Errors
///
/// Every problem of every file at once, see [`Problems`].
pub fn read(path: impl Into<Place>) -> Result<Job, Problems> {
    let path = path.into();
    match path.kind() {
        Err(error) => Err(unreadable(&path, &error).into()),
        Ok(store::Kind::Folder) => match entered(&path) {
            Some(problem) => Err(problem.into()),
            None => Files::load(&path).job(),
        },
        Ok(_) => single(&path),
    }
}

/// Reads a joint's folder and nothing else: what is to be added to can't be a
/// single table.
///
/// # Errors
///
/// Every problem of every file at once, see [`Problems`].
pub fn read_folder(path: impl Into<Place>) -> Result<Job, Problems> {
    let path = path.into();
    if path.kind().is_ok_and(|kind| kind != store::Kind::Folder) {
        return Err(no_folder(&path).into());
    }
    read(path)
}

/// What is given is no folder.
pub(crate) fn no_folder(path: &Place) -> Problem {
    Problem::new(path, "a joint's folder", "give the folder of a joint; a single table can't be added to")
}

/// The planes that a bowl states for all its joints.
#[derive(Clone, Copy)]
pub(crate) enum Shared<'a> {
    /// They are looked for in the bowl around the joint, if there is one.
    Around,
    /// These.
    Are(&'a [Plane]),
    /// They can't be read.
    Unknown,
}

/// The files of a joint's folder.
#[derive(Clone)]
pub(crate) struct Files {
    folder: Place,
    settings: Part,
    /// `stations.csv`
    pub stations: Part,
    /// `readings.csv`
    pub readings: Part,
    /// `strokes.csv`
    pub strokes: Part,
}

impl Files {
    /// Loads them all.
    pub fn load(folder: &Place) -> Files {
        let part = |name| Part::load_table(&folder.join(name));
        Files {
            folder: folder.clone(),
            settings: Part::load(&folder.join(SETTINGS)),
            stations: part(STATIONS),
            readings: part(READINGS),
            strokes: part(STROKES),
        }
    }

    /// The same as if no strokes were told.
    pub fn without_strokes(mut self) -> Files {
        self.strokes = Part::Absent;
        self
    }

    /// What each of them holds; `None` where there is nothing that can be read.
    pub fn contents(&self) -> [Option<&[u8]>; 4] {
        [&self.settings, &self.stations, &self.readings, &self.strokes].map(|part| match part {
            Part::There(raw) => Some(raw.bytes.as_slice()),
            Part::Absent | Part::Faulty(_) => None,
        })
    }

    /// The job that they describe.
    pub fn job(&self) -> Result<Job, Problems> {
        self.job_among(Shared::Around)
    }

    /// The same with what is known already of the planes of the bowl around it.
    pub fn job_among(&self, shared: Shared<'_>) -> Result<Job, Problems> {
        let mut problems = Vec::new();
        let outcome = self.settings(shared, &mut problems);
        let mut told = self.tables(&outcome, &mut problems);
        Problems::none_in(self.one_unit(outcome.unit, problems))?;
        told.warnings.extend(misnamed::warnings(&self.folder, &[SETTINGS, READINGS, STROKES, MARKS], &READ));
        told.warnings.extend(workbook::passed_over(&self.folder, &[STATIONS, READINGS, STROKES, MARKS]));
        Ok(assemble(outcome.settings, told, false))
    }

    /// Where the places along the joint, and so all lengths, are in the other unit,
    /// that is one problem, not one for each cell.
    fn one_unit(&self, unit: Option<Unit>, mut problems: Vec<Problem>) -> Vec<Problem> {
        let place =
            |p: &Problem| p.kind == Kind::OtherUnit && matches!(p.column.as_deref(), Some("along" | "arc"));
        let count = problems.iter().filter(|p| p.kind == Kind::OtherUnit).count();
        // One or two may be slips in a folder that is what it says.
        let enough = unit == Some(Unit::Mm) || count > 2;
        let Some(first) = problems.iter().find(|p| place(p) && enough).cloned() else {
            return problems;
        };
        problems.retain(|p| p.kind != Kind::OtherUnit);
        if unit == Some(Unit::Inch) {
            let file = self.folder.join(SETTINGS).to_string();
            problems.insert(0, settings::in_mm(file, &first, count));
        } else {
            problems.insert(0, first);
        }
        problems
    }

    /// What `joint.toml` says; without planes there, those of the bowl count.
    fn settings(&self, shared: Shared<'_>, problems: &mut Vec<Problem>) -> Outcome {
        let before = problems.len();
        let raw = self.settings.raw(problems);
        let faulty = problems.len() > before;
        let mut outcome = settings::read(raw, problems);
        if faulty {
            (outcome.unit, outcome.planes_known) = (None, false);
        }
        if outcome.planes_known && outcome.settings.planes.is_empty() {
            let before = problems.len();
            outcome.settings.planes = match shared {
                Shared::Around => planes_around(&self.folder, problems),
                Shared::Are(planes) => planes.to_vec(),
                Shared::Unknown => Vec::new(),
            };
            outcome.settings.planes_of_bowl = !outcome.settings.planes.is_empty();
            outcome.planes_known = problems.len() == before && !matches!(shared, Shared::Unknown);
        }
        outcome
    }

    fn tables(&self, outcome: &Outcome, problems: &mut Vec<Problem>) -> Tables {
        let unit = outcome.unit;
        let mut told = Tables::default();
        if matches!(self.stations, Part::Absent) {
            problems.push(no_stations(&self.folder));
        }
        if let Some(table) = self.stations.table(&columns::STATIONS, problems) {
            let sheet = &mut Sheet { table: &table, unit, told: Told::In(SETTINGS), problems };
            told.warnings.extend(table.extra_warning());
            let stations = stations::read(sheet);
            told.warnings.extend(stations::exchange(&stations, &table.file));
            told.stations = Some(stations);
        }
        let names = told.stations.as_ref().and_then(|s| s.names.as_deref());
        let mut count = matches!(self.readings, Part::Absent).then_some(0);
        if let Some(table) = self.readings.table(&columns::READINGS, problems) {
            let sheet = &mut Sheet { table: &table, unit, told: Told::In(SETTINGS), problems };
            told.warnings.extend(table.extra_warning());
            let read = rounds::read(sheet, names, &mut told.warnings);
            (told.rounds, count) = (read.list, read.count);
        }
        if let Some(table) = self.strokes.table(&columns::STROKES, problems) {
            let sheet = &mut Sheet { table: &table, unit, told: Told::In(SETTINGS), problems };
            told.warnings.extend(table.extra_warning());
            let planes = planes(&outcome.settings);
            let planes = outcome.planes_known.then_some(planes.as_slice());
            let file = outcome.settings.planes_file();
            told.strokes = strokes::read(sheet, &Known { stations: names, planes, file, rounds: count });
        }
        told
    }
}

fn no_stations(folder: &Place) -> Problem {
    let names = folder.plain_names().unwrap_or_default();
    if names.iter().any(|n| n == BOWL) {
        let next = format!("this is a whole bowl: give one of its joints, such as {folder}/{JOINTS}/01");
        return Problem::new(folder, "a joint's folder", next);
    }
    let of_a_joint = |n: &&str| [READINGS, STROKES, SETTINGS].contains(n);
    let (known, others): (Vec<&str>, Vec<&str>) = names.iter().map(String::as_str).partition(of_a_joint);
    let is_joint = |n: &&&str| folder.join(n).join(STATIONS).is_file();
    let next = match (nearest(STATIONS, others.iter().copied()), others.iter().filter(is_joint).min()) {
        (Some(near), _) => format!("rename {near} to {STATIONS} if it is that"),
        (None, Some(joint)) if known.is_empty() => {
            let joint = folder.join(joint);
            let next = format!("this is a folder of joints: give one of them, such as {joint}");
            return Problem::new(folder, "a joint's folder", next);
        }
        _ => "write the stations there: station, along, width, bevel".to_string(),
    };
    Problem::new(&folder.join(STATIONS), "the table of stations, but there is none", next)
}

/// What the tables say.
#[derive(Default)]
struct Tables {
    stations: Option<Stations>,
    rounds: Vec<Round>,
    strokes: Vec<(usize, Stroke)>,
    warnings: Vec<Warning>,
}

fn planes(settings: &Job) -> Vec<Plane> {
    if settings.planes.is_empty() { vec![Plane::default()] } else { settings.planes.clone() }
}

/// A single table with the columns of stations and readings.
fn single(path: &Place) -> Result<Job, Problems> {
    let raw = load(path)?;
    let mut problems = Vec::new();
    let Some(table) = Table::read(&raw, &columns::SINGLE, &mut problems) else {
        part_of_folder(path, &mut problems);
        Problems::none_in(problems)?;
        return Err(Problem::new(raw.file, "a table", "check the file").into());
    };
    let mut sheet =
        Sheet { table: &table, unit: Some(Unit::Mm), told: Told::In(SETTINGS), problems: &mut problems };
    let stations = stations::read(&mut sheet);
    let mut warnings: Vec<Warning> = table.extra_warning().into_iter().collect();
    warnings.extend(stations::exchange(&stations, &table.file));
    let read = rounds::read(&mut sheet, stations.names.as_deref(), &mut warnings);
    Problems::none_in(problems)?;
    let told = Tables { stations: Some(stations), rounds: read.list, strokes: Vec::new(), warnings };
    Ok(assemble(settings::unsaid(), told, true))
}

/// Someone gave one file of a folder where the folder was meant.
fn part_of_folder(path: &Place, problems: &mut Vec<Problem>) {
    let name = path.name().unwrap_or_default();
    let named = path.parent().filter(|folder| !folder.path().as_os_str().is_empty());
    let folder = named.unwrap_or_else(|| path.at("."));
    let whole = folder.join(STATIONS).is_file();
    if whole && [SETTINGS, STATIONS, READINGS, STROKES].contains(&name) {
        let expected =
            "a table with the columns of stations and readings, but this is one file of a joint's folder";
        *problems = vec![Problem::new(path, expected, format!("give the folder: {folder}"))];
    }
}

fn assemble(said: Job, told: Tables, single: bool) -> Job {
    let mut rounds = told.rounds;
    for (round, stroke) in told.strokes {
        if let Some(round) = rounds.get_mut(round) {
            round.strokes.push(stroke);
        }
    }
    let mut warnings = settings::missing(&said, single);
    warnings.extend(told.warnings);
    warnings.extend(unplaned(&rounds));
    let planes = planes(&said);
    let (stations, measured) = told.stations.map(|s| (s.list, s.measured)).unwrap_or_default();
    Job { planes, measured, stations, rounds, warnings, ..said }
}

/// Rounds that follow each other with no stroke told between them.
fn unplaned(rounds: &[Round]) -> Option<Warning> {
    let before_last = &rounds[..rounds.len().saturating_sub(1)];
    let silent: Vec<String> = before_last
        .iter()
        .enumerate()
        .filter(|(_, r)| r.strokes.is_empty())
        .map(|(k, _)| (k + 1).to_string())
        .collect();
    (!silent.is_empty()).then(|| {
        let text = format!(
            "No strokes are told after round {}, so the wood is taken to be the same in the next round. \
             If it was planed, write the strokes into {STROKES}.",
            silent.join(", ")
        );
        Warning::new("no-strokes", text)
    })
}
