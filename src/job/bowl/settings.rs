//! `bowl.toml`: what the maker says about the bowl; only `ribs` must stand there.

use toml::de::DeTable;

use super::types::BowlSettings;
use crate::job::keys;
use crate::job::names;
use crate::job::settings_keys::{BOWL, JOINT};
use crate::table::file::Raw;
use crate::table::suggest::nearest;
use crate::table::toml_file::{self, Entry, Form, Reader, open};
use crate::table::{Problem, Unit};

/// Reckoned with where the number of ribs is faulty, so that tables are judged mildly.
pub(super) const MOST_RIBS: usize = 99;

const FORM: Form = Form { name: names::BOWL, such: "ribs = 15", or: "" };

/// Reads the settings, and the unit if the file tells it beyond doubt.
pub(super) fn read(raw: &Raw, problems: &mut Vec<Problem>) -> Option<(BowlSettings, Option<Unit>)> {
    open(raw, FORM, problems, |reader, table| (top(reader, table), reader.unit))
}

fn top(reader: &mut Reader<'_>, table: &DeTable<'_>) -> BowlSettings {
    let unit = reader.units(table);
    let mut to = BowlSettings { unit, ribs: MOST_RIBS, ..BowlSettings::default() };
    let known = keys::names(&BOWL);
    reader.all(table, &BOWL, &known, &mut to, &stranger);
    let entries = toml_file::entries(table);
    // A key that looks like it is told already.
    let near =
        |e: &&Entry<'_>| !known.contains(&e.key) && nearest(e.key, known.iter().copied()) == Some("ribs");
    if !entries.iter().any(|e| e.key == "ribs") && !entries.iter().any(|e| near(&e)) {
        let next = "write a line such as ribs = 15 at the top of the file";
        let missing = Problem::new(reader.source.file, "the number of ribs, from rim to rim", next);
        reader.problems.push(missing.column("ribs"));
    }
    if let (Some(thickness), Some(entry)) = (to.thickness, entries.iter().find(|e| e.key == "thinnest"))
        && to.thinnest > thickness
    {
        let expected = format!("at most the ribs' thickness, {}", unit.say(thickness));
        let next = "correct one of the two: thinnest is what must be left once steps are levelled";
        reader.problems.push(reader.source.problem(entry, expected, next));
    }
    to
}

/// A key that no bowl has.
fn stranger(reader: &mut Reader<'_>, entry: &Entry<'_>) {
    reader.problems.push(match keys::names(&JOINT).contains(&entry.key) {
        true => reader.source.of_another_file(entry, "a joint", "the settings of each joint"),
        false => reader.source.unknown(entry, &format!("of {}", names::BOWL), &keys::names(&BOWL), &[]),
    });
}
