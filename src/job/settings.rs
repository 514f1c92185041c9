//! `joint.toml`: what the maker says about the joint, every key optional.

use std::path::Path;

use super::names::{BOWL, SETTINGS};
use super::settings_keys::{self, JOINT};
use super::{Job, Plane, keys};
use crate::table::file::Raw;
use crate::table::toml_file::{Entry, Form, Reader, open};
use crate::table::{Problem, Unit, Warning};

const FORM: Form = Form { name: SETTINGS, such: "spare = 3.0", or: ", or delete it if it may be left out" };

/// What could be read, and the unit if it is known beyond doubt.
pub(crate) struct Outcome {
    /// A job of which nothing but its settings is told; defaults where something was wrong.
    pub settings: Job,
    /// The unit of lengths in the whole folder; `None` if the file didn't tell it.
    pub unit: Option<Unit>,
    /// Whether the planes are known.
    pub planes_known: bool,
}

/// A job of which nothing is said, not even its planes.
pub(crate) fn unsaid() -> Job {
    Job { planes: Vec::new(), ..Job::default() }
}

/// Reads `joint.toml`; a folder without it, or a single table, has the defaults.
pub(crate) fn read(raw: Option<&Raw>, problems: &mut Vec<Problem>) -> Outcome {
    let defaults = |unit| Outcome { settings: unsaid(), unit, planes_known: unit.is_some() };
    let Some(raw) = raw else {
        return defaults(Some(Unit::Mm));
    };
    let before = problems.len();
    let read = open(raw, FORM, problems, |reader, table| {
        let mut said = Job { unit: reader.units(table), ..unsaid() };
        reader.all(table, &JOINT, &keys::names(&JOINT), &mut said, &stranger);
        (said, reader.unit)
    });
    let Some((settings, unit)) = read else {
        return defaults(None);
    };
    Outcome { settings, unit, planes_known: problems.len() == before }
}

/// A key that no joint has.
fn stranger(reader: &mut Reader<'_>, entry: &Entry<'_>) {
    reader.problems.push(match keys::names(&settings_keys::BOWL).contains(&entry.key) {
        true => reader.source.of_another_file(entry, "a bowl", BOWL),
        false => reader.source.unknown(entry, "at the top", &keys::names(&JOINT), &[]),
    });
}

/// What the maker should add.
pub(crate) fn missing(said: &Job, single: bool) -> Vec<Warning> {
    let place = if single {
        "in a joint.toml, in a folder together with the table's columns as \
        stations.csv and readings.csv"
    } else {
        "in joint.toml"
    };
    let spare = said.spare.is_none().then(|| {
        let text = format!("No spare width is given, so nothing bounds the slice. Write the most that may come off, such as spare = 3.0, {place}.");
        Warning::new("no-spare", text)
    });
    let plane = said.planes.is_empty().then(|| {
        let p = Plane::default();
        let text = format!("No plane is described; reckoned with a sole of {} by {} mm and shavings of {} mm. Describe yours under [planes.NAME] {place}.", p.sole, p.width, p.shaving);
        Warning::new("default-plane", text)
    });
    spare.into_iter().chain(plane).collect()
}

/// The folder says inches, and its lengths are millimetres.
pub(crate) fn in_mm(file: String, first: &Problem, count: usize) -> Problem {
    let there = Path::new(&first.file).file_name().unwrap_or_default().to_string_lossy();
    let expected = format!(
        "the unit of all lengths in this folder; {count} of them, such as '{}' for {} in {} {} of {there}, \
         can only be millimetres",
        first.found.as_deref().unwrap_or_default(),
        first.column.as_deref().unwrap_or_default(),
        first.row_word(),
        first.row.unwrap_or_default(),
    );
    let next =
        "write units = \"mm\", or leave the key out; if it is in inches after all, correct those lengths";
    Problem::new(file, expected, next).column("units").found("inch")
}
