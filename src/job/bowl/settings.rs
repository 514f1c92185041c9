//! `bowl.toml`: what the maker says about the bowl; only `ribs` must stand there.

use std::collections::HashSet;

use toml::de::{DeTable, DeValue};

use super::types::{BowlErrors, BowlSettings, Grain, Spacer};
use crate::job::names::BOWL;
use crate::job::ranges;
use crate::job::settings::{self, Reader};
use crate::job::stations::{LONGEST_NAME, is_name};
use crate::table::file::Raw;
use crate::table::suggest::nearest;
use crate::table::toml_file::{self, Entry, Form};
use crate::table::{Problem, Unit};

const TOP: [&str; 13] = [
    "title",
    "units",
    "mold",
    "ribs",
    "wood",
    "thickness",
    "thinnest",
    "grain",
    "stations",
    "spacer",
    "tolerance",
    "moisture",
    "reading",
];
const SPACER: [&str; 2] = ["width", "height"];
const TOLERANCE: [&str; 1] = ["width"];
const MOISTURE: [&str; 2] = ["fitting", "gluing"];
const READING: [&str; 4] = ["girth_sd", "width_sd", "compass_sd", "edge_sd"];
const GRAINS: [(&str, Grain); 2] = [("radial", Grain::Radial), ("tangential", Grain::Tangential)];

const FORM: Form = Form { name: BOWL, such: "ribs = 15", or: "" };

/// Reckoned with where the number of ribs is faulty, so that tables are judged mildly.
pub(super) const MOST_RIBS: usize = 99;

/// Reads the settings, and the unit if the file tells it beyond doubt.
pub(super) fn read(raw: &Raw, problems: &mut Vec<Problem>) -> Option<(BowlSettings, Option<Unit>)> {
    settings::open(raw, FORM, problems, |reader, table| (top(reader, table), reader.unit))
}

fn top(reader: &mut Reader<'_>, table: &DeTable<'_>) -> BowlSettings {
    let entries = toml_file::entries(table);
    let unit = reader.units(&entries);
    let mut to = BowlSettings { unit, ribs: MOST_RIBS, ..BowlSettings::default() };
    for entry in &entries {
        key(reader, entry, &mut to);
    }
    // A key that looks like it is told already.
    let near = |e: &&Entry<'_>| !TOP.contains(&e.key) && nearest(e.key, TOP) == Some("ribs");
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

fn key(r: &mut Reader<'_>, entry: &Entry<'_>, to: &mut BowlSettings) {
    match entry.key {
        "units" => {}
        "title" => to.title = r.named(entry, "the bowl's title in quotes"),
        "wood" => to.wood = r.named(entry, "the wood's name in quotes"),
        "mold" => to.mold = r.mold(entry),
        "ribs" => to.ribs = whole(r, entry).unwrap_or(to.ribs),
        "thickness" => to.thickness = r.number(entry, &ranges::THICKNESS),
        "thinnest" => r.number_to(entry, &ranges::THICKNESS, &mut to.thinnest),
        "grain" => to.grain = r.choice(entry, &GRAINS),
        "stations" => to.stations = stations(r, entry),
        "spacer" => r.section(entry, "[spacer]", &SPACER, &TOP, |r, e| spacer(r, e, &mut to.spacer)),
        "tolerance" => r.section(entry, "[tolerance]", &TOLERANCE, &TOP, |r, e| {
            r.number_to(e, &ranges::EVEN, &mut to.even);
        }),
        "moisture" => r.section(entry, "[moisture]", &MOISTURE, &TOP, |r, e| {
            to.moisture[usize::from(e.key == "gluing")] = r.number(e, &ranges::MOISTURE);
        }),
        "reading" => r.section(entry, "[reading]", &READING, &TOP, |r, e| reading(r, e, &mut to.errors)),
        key if settings::JOINTS.contains(&key) => {
            r.problems.push(r.source.of_another_file(entry, "a joint", "the settings of each joint"));
        }
        _ => r.problems.push(r.source.unknown(entry, &format!("of {BOWL}"), &TOP, &[])),
    }
}

fn whole(r: &mut Reader<'_>, entry: &Entry<'_>) -> Option<usize> {
    let value = r.number(entry, &ranges::RIBS)?;
    if value.fract() != 0.0 {
        let problem = r.source.problem(entry, "a whole number of ribs", "write a number without decimals");
        r.problems.push(problem);
        return None;
    }
    Some(value as usize)
}

fn spacer(r: &mut Reader<'_>, entry: &Entry<'_>, to: &mut Option<Spacer>) {
    let spacer = to.get_or_insert_default();
    match entry.key {
        "width" => r.number_to(entry, &ranges::SPACER_WIDTH, &mut spacer.width),
        _ => r.number_to(entry, &ranges::SPACER_HEIGHT, &mut spacer.height),
    }
}

fn reading(r: &mut Reader<'_>, entry: &Entry<'_>, to: &mut BowlErrors) {
    let place = match entry.key {
        "girth_sd" => &mut to.girth,
        "width_sd" => &mut to.width,
        "compass_sd" => &mut to.compass,
        _ => &mut to.edge,
    };
    r.number_to(entry, &ranges::READING_SD, place);
}

/// Names of stations, each its own.
fn stations(r: &mut Reader<'_>, entry: &Entry<'_>) -> Vec<String> {
    let names: Option<Vec<String>> = match entry.value.get_ref() {
        DeValue::Array(list) => list.iter().map(|v| v.get_ref().as_str().map(str::to_owned)).collect(),
        _ => None,
    };
    let own = |names: &Vec<String>| {
        let fit = |n: &String| n.trim() == n && is_name(n);
        names.iter().all(fit) && names.iter().collect::<HashSet<_>>().len() == names.len()
    };
    match names.filter(own) {
        Some(names) if !names.is_empty() => names,
        _ => {
            let next = "write them in order from the neck end to the tail end, such as [\"1\", \"2\", \"3\"], or leave \
                        the key out";
            let expected =
                format!("names of stations in quotes, each once and of at most {LONGEST_NAME} characters");
            let problem = r.source.problem(entry, expected, next);
            r.problems.push(problem);
            Vec::new()
        }
    }
}
