//! The tables of a bowl: girths, widths, minutes, and the marks of its joints.

use std::path::Path;

use super::{Bowl, Girth, MARKS, Mark};
use crate::job::cell::{Cell, Sheet};
use crate::job::columns::Kind;
use crate::job::folder::{Part, shown};
use crate::job::ranges::{self, Range};
use crate::job::rounds::station_index;
use crate::job::table::Row;
use crate::job::{Job, Problem, Problems, Unit};

/// Reads the bowl's own tables into it.
pub(super) fn read(bowl: &mut Bowl, unit: Option<Unit>, problems: &mut Vec<Problem>) {
    let (folder, ribs) = (bowl.folder.clone(), bowl.settings.ribs);
    let names = bowl.settings.stations.clone();
    let mut warnings = Vec::new();
    let mut each = |name: &str, kind: Kind, row: &mut dyn FnMut(&mut Sheet<'_>, &Row)| {
        let Some(table) = Part::load(&folder.join(name)).table(kind, problems) else { return };
        warnings.extend(table.extra_warning());
        let mut sheet = Sheet { table: &table, unit, problems };
        table.rows.iter().for_each(|r| row(&mut sheet, r));
    };
    let mut girths: Vec<(usize, usize, f64)> = Vec::new();
    let mut widths = girths.clone();
    let most = |high: usize, range: Range| Range { high: high as f64, ..range };
    each(super::GIRTH, Kind::Girth, &mut |sheet, row| {
        let value = (row, "girth", &ranges::GIRTH);
        read_value(sheet, ("after", &most(ribs - 1, ranges::FITTED)), value, &names, &mut girths);
    });
    each(super::WIDTHS, Kind::Widths, &mut |sheet, row| {
        let value = (row, "width", &ranges::WIDTH);
        read_value(sheet, ("rib", &most(ribs, ranges::NUMBER)), value, &names, &mut widths);
    });
    let minutes = &mut bowl.minutes;
    each(super::TIME, Kind::Time, &mut |sheet, row| {
        minutes.extend(read_minutes(sheet, row, &most(ribs - 1, ranges::NUMBER)));
    });
    bowl.warnings.extend(warnings);
    bowl.girths = gathered(&girths, names.len());
    let of = |rib: usize| {
        let at = |i: usize| widths.iter().find(|(r, s, _)| (*r, *s) == (rib, i)).map(|w| w.2);
        (0..names.len()).map(at).collect()
    };
    bowl.widths = (1..=ribs).map(of).collect();
}

type Value<'a> = (&'a Row, &'a str, &'a Range);

/// One value for a number and a station, each pair once.
fn read_value(
    sheet: &mut Sheet<'_>,
    number: (&str, &Range),
    (row, column, range): Value<'_>,
    names: &[String],
    to: &mut Vec<(usize, usize, f64)>,
) {
    let which = sheet.whole(row, number.0, number.1);
    let which = sheet.needed(row, number.0, number.1.name, which);
    let station = named_station(sheet, row, names);
    let value = sheet.number(row, column, range);
    let (Some(which), Some(station), Cell::Value(value)) = (which, station, value) else { return };
    let which = which as usize;
    if to.iter().any(|(w, s, _)| (*w, *s) == (which, station)) {
        let expected = format!("one row for each station with {} {which}", number.0);
        sheet.wrong(row, "station", expected, "delete one of the two rows, or correct it");
        return;
    }
    to.push((which, station, value));
}

fn named_station(sheet: &mut Sheet<'_>, row: &Row, names: &[String]) -> Option<usize> {
    if sheet.table.cell(row, "station").is_empty() {
        sheet.wrong(row, "station", "a station's name", "name the station, or empty the whole row");
        return None;
    }
    // Without any station known the joints' own faults say why.
    if names.is_empty() { None } else { station_index(sheet, row, "station", names) }
}

fn read_minutes(sheet: &mut Sheet<'_>, row: &Row, joints: &Range) -> Option<(usize, f64)> {
    let joint = sheet.whole(row, "joint", joints);
    let joint = sheet.needed(row, "joint", "the joint's number", joint);
    let minutes = sheet.number(row, "minutes", &ranges::MINUTES);
    let minutes = sheet.needed(row, "minutes", "minutes of work", minutes);
    Some((joint? as usize, minutes?))
}

fn gathered(rows: &[(usize, usize, f64)], stations: usize) -> Vec<Girth> {
    let mut afters: Vec<usize> = rows.iter().map(|r| r.0).collect();
    afters.sort_unstable();
    afters.dedup();
    let at = |after: usize, i: usize| rows.iter().find(|(a, s, _)| (*a, *s) == (after, i)).map(|r| r.2);
    let girth = |&after: &usize| Girth { after, at: (0..stations).map(|i| at(after, i)).collect() };
    afters.iter().map(girth).collect()
}

/// The marks measured at a joint, one entry a station; empty without a table.
pub(super) fn marks(folder: &Path, job: &Job, problems: &mut Vec<Problem>) -> Vec<Option<Mark>> {
    let Some(table) = Part::load(&folder.join(MARKS)).table(Kind::Marks, problems) else { return Vec::new() };
    let names: Vec<String> = job.stations.iter().map(|s| s.name.clone()).collect();
    let mut marks: Vec<Option<Mark>> = vec![None; names.len()];
    let mut sheet = Sheet { table: &table, unit: Some(job.unit), problems };
    for row in &table.rows {
        let station = named_station(&mut sheet, row, &names);
        let mark = mark(&mut sheet, row);
        let Some(station) = station else { continue };
        if marks[station].is_some() {
            sheet.wrong(
                row,
                "station",
                "one row for each station",
                "delete one of the two rows, or correct it",
            );
        }
        marks[station] = mark;
    }
    marks
}

fn mark(sheet: &mut Sheet<'_>, row: &Row) -> Option<Mark> {
    let compass = sheet.number(row, "compass", &ranges::COMPASS);
    let compass =
        sheet.needed(row, "compass", "the distance from the reference line to the line on the mold", compass);
    let edge = sheet.number(row, "edge", &ranges::EDGE);
    let edge =
        sheet.needed(row, "edge", "the distance from the reference line to the present outer edge", edge);
    let reference = sheet.number(row, "reference", &ranges::REFERENCE);
    let faulty = matches!(reference, Cell::Bad);
    let (compass, edge) = (compass?, edge?);
    (!faulty).then(|| Mark { compass, edge, reference: reference.value().unwrap_or(0.0) })
}

/// One place of a bowl's opening, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutlinePoint {
    /// From the neck end.
    pub along: f64,
    /// From the middle line to the rim.
    pub half_width: f64,
}

/// Reads a table of `along, half_width` in `unit`: the outline of a bowl's opening,
/// four places at least, growing.
///
/// # Errors
///
/// Every problem of the table at once, see [`Problems`].
pub fn read_outline(file: &Path, unit: Unit) -> Result<Vec<OutlinePoint>, Problems> {
    let mut problems = Vec::new();
    let mut points = Vec::new();
    match Part::load(file) {
        Part::Absent => {
            let next = "check the spelling of the path";
            problems.push(Problem::new(shown(file), "a table of the outline, but there is none", next));
        }
        part => {
            if let Some(table) = part.table(Kind::Outline, &mut problems) {
                let mut sheet = Sheet { table: &table, unit: Some(unit), problems: &mut problems };
                points = outline(&mut sheet);
            }
        }
    }
    for p in &mut problems {
        p.next = p.next.replace("set units = \"inch\" in joint.toml", "give --units inch");
    }
    Problems::none_in(problems)?;
    Ok(points)
}

fn outline(sheet: &mut Sheet<'_>) -> Vec<OutlinePoint> {
    let mut points: Vec<OutlinePoint> = Vec::new();
    let table = sheet.table;
    for row in &table.rows {
        let along = sheet.number(row, "along", &ranges::ALONG);
        let along = sheet.needed(row, "along", "the place from the neck end", along);
        let half_width = sheet.number(row, "half_width", &ranges::HALF_WIDTH);
        let half_width = sheet.needed(row, "half_width", "from the middle line to the rim", half_width);
        let (Some(along), Some(half_width)) = (along, half_width) else { continue };
        if points.last().is_some_and(|p| p.along >= along) {
            let next = "put the rows in order from the neck end to the tail end";
            sheet.wrong(row, "along", "more than in the row before", next);
        }
        points.push(OutlinePoint { along, half_width });
    }
    if points.len() < 4 && sheet.problems.is_empty() {
        let next = "measure the outline at more places, ten or more on a bowl of ordinary size";
        sheet.problems.push(Problem::new(&table.file, "four places of the outline at least", next));
    }
    points
}
