//! `bowl.toml`: what the maker says about the bowl; only `ribs` must stand there.

use toml::de::{DeTable, DeValue};

use super::{BOWL, BowlErrors, BowlSettings, Grain, Spacer};
use crate::job::ranges;
use crate::job::settings::{self, Reader};
use crate::job::table::Raw;
use crate::job::toml_file::{self, Entry};
use crate::job::{Problem, Unit};

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

/// Reads the settings, and the unit if the file tells it beyond doubt.
pub(super) fn read(raw: &Raw, problems: &mut Vec<Problem>) -> Option<(BowlSettings, Option<Unit>)> {
    settings::open(raw, problems, |reader, table| (top(reader, table), reader.unit))
}

fn top(reader: &mut Reader<'_>, table: &DeTable<'_>) -> BowlSettings {
    let entries = toml_file::entries(table);
    let unit = reader.units(&entries);
    let mut to = BowlSettings { unit, ..BowlSettings::default() };
    for entry in &entries {
        key(reader, entry, &mut to);
    }
    if !entries.iter().any(|e| e.key == "ribs") {
        let next = "write a line such as ribs = 15";
        let missing = Problem::new(reader.source.file, "the number of ribs, from rim to rim", next);
        reader.problems.push(missing.column("ribs"));
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
        let fit = |n: &String| !n.trim().is_empty() && n.trim() == n && !n.chars().any(char::is_control);
        names.iter().all(fit) && (1..names.len()).all(|i| !names[..i].contains(&names[i]))
    };
    match names.filter(own) {
        Some(names) if !names.is_empty() => names,
        _ => {
            let next = "write them in order from the neck end to the tail end, such as [\"1\", \"2\", \"3\"]";
            let problem = r.source.problem(entry, "names of stations in quotes, each once", next);
            r.problems.push(problem);
            Vec::new()
        }
    }
}
