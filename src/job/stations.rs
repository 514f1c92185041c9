//! The stations of a joint, from `stations.csv` or from the rows of a single table.

use std::collections::HashMap;

use super::columns::{GEOMETRY, STATIONS};
use super::{Measured, Station, ranges};
use crate::table::cell::Sheet;
use crate::table::layout::Need;
use crate::table::lookalike::{difference, seen};
use crate::table::named::Row;
use crate::table::problem::printable;
use crate::table::range::short;
use crate::table::{Problem, Range, Unit, Warning};

/// What the table says about the stations.
#[derive(Debug)]
pub(crate) struct Stations {
    /// Their names in order, rows with faulty numbers included, so that other tables
    /// can be checked; `None` if a name was faulty or there is none.
    pub names: Option<Vec<String>>,
    /// The stations whose cells could be read.
    pub list: Vec<Station>,
    /// How their places were measured.
    pub measured: Measured,
}

/// Reads the stations; what is wrong is reported to the sheet.
pub(crate) fn read(sheet: &mut Sheet<'_>) -> Stations {
    let measured = if sheet.table.has("arc") { Measured::Arc } else { Measured::Along };
    let before = sheet.problems.len();
    sheet.check_units();
    let rows = named_rows(sheet);
    let mut sure = !rows.is_empty() && sheet.problems.len() == before;
    let mut list = Vec::new();
    if rows.is_empty() {
        nothing_there(sheet);
    } else if whole_column(sheet, &rows, place_column(measured)) {
        sure = false;
    } else {
        list = all(sheet, &rows, measured);
    }
    let names = sure.then(|| rows.into_iter().map(|(_, name)| name).collect());
    Stations { names, list, measured }
}

/// The stations, each cell checked.
fn all(sheet: &mut Sheet<'_>, rows: &[Named<'_>], measured: Measured) -> Vec<Station> {
    let read: Vec<(Option<f64>, Option<Station>)> =
        rows.iter().map(|(row, name)| station(sheet, row, name)).collect();
    let places: Vec<Option<f64>> = read.iter().map(|(along, _)| *along).collect();
    grows(sheet, rows, &places, place_column(measured));
    let optional = STATIONS.columns().filter(|c| c.need == Need::May && c.range().is_some());
    optional.for_each(|column| all_or_none(sheet, rows, column.name));
    read.into_iter().filter_map(|(_, station)| station).collect()
}

/// More than anyone reads at; what is beyond it is another kind of file.
const MOST_STATIONS: usize = 100_000;

type Named<'a> = (&'a Row, String);

/// One row a station, in order: the first of its name.
fn named_rows<'a>(sheet: &mut Sheet<'a>) -> Vec<Named<'a>> {
    let table = sheet.table;
    let mut first: Vec<Named<'a>> = Vec::new();
    let mut rows: HashMap<&str, &Row> = HashMap::new();
    let mut looks: HashMap<String, (&str, usize)> = HashMap::new();
    for row in &table.rows {
        let name = table.cell(row, "station");
        if !usable(sheet, row, name) {
            continue;
        }
        match rows.get(name) {
            None if first.len() == MOST_STATIONS => {
                let next = "check that it is the right table, and keep the stations that you read at";
                sheet.wrong(row, "station", format!("at most {MOST_STATIONS} stations"), next);
                break;
            }
            None => {
                let (other, earlier) = *looks.entry(seen(name)).or_insert((name, row.number));
                if let Some(differ) = difference(name, other) {
                    looks_alike(sheet, row, earlier, &differ);
                    continue;
                }
                rows.insert(name, row);
                first.push((row, name.to_string()));
            }
            Some(earlier) if table.layout.is_joined() => same_again(sheet, earlier, row),
            Some(earlier) => {
                let expected = format!("a name of its own; row {} has the same", earlier.number);
                sheet.wrong(row, "station", expected, "rename one of the two stations, or delete one row");
            }
        }
    }
    first
}

/// Two names that nobody can tell apart by looking.
fn looks_alike(sheet: &mut Sheet<'_>, row: &Row, earlier: usize, differ: &str) {
    let expected = format!("a name that looks different from that in row {earlier}, but {differ}");
    let next = "write both alike if one station is meant; else rename one";
    sheet.wrong(row, "station", expected, next);
}

fn usable(sheet: &mut Sheet<'_>, row: &Row, name: &str) -> bool {
    if name.is_empty() {
        sheet.wrong(row, "station", "a station's name or number", "name the station, or empty the whole row");
        return false;
    }
    if !is_name(name) {
        let expected = format!("a name of at most {LONGEST_NAME} characters on one line");
        sheet.wrong(row, "station", expected, "write a short name on one line");
        return false;
    }
    true
}

/// In a single table a station comes once a round: its geometry may be repeated or
/// left out, not changed.
fn same_again(sheet: &mut Sheet<'_>, earlier: &Row, row: &Row) {
    let table = sheet.table;
    for column in GEOMETRY.iter().map(|f| f.name) {
        let (first, now) = (table.cell(earlier, column), table.cell(row, column));
        if !now.is_empty() && first != now {
            let expected = format!("'{}' as for this station in row {}", printable(first), earlier.number);
            sheet.wrong(row, column, expected, "correct one of the two, or leave this cell empty");
        }
    }
}

fn nothing_there(sheet: &mut Sheet<'_>) {
    let next = "add a row for each station";
    let problem = Problem::new(&sheet.table.file, "at least one station", next);
    sheet.problems.push(problem);
}

/// One station, and its place even if something else is faulty.
fn station(sheet: &mut Sheet<'_>, row: &Row, name: &str) -> (Option<f64>, Option<Station>) {
    let mut station = Station { name: name.to_string(), ..Station::default() };
    let (mut along, mut whole) = (None, true);
    for field in GEOMETRY.iter().filter(|f| sheet.table.has(f.name)) {
        let optional = STATIONS.column(field.name).is_some_and(|c| c.need == Need::May);
        let value = match optional {
            true => sheet.value(row, field.name).value(),
            false => sheet.needed_value(row, field.name),
        };
        whole &= optional || value.is_some();
        let Some(value) = value else { continue };
        (field.put)(&mut station, value);
        if matches!(field.name, "along" | "arc") {
            along = Some(value);
        }
    }
    (along, whole.then_some(station))
}

fn place_column(measured: Measured) -> &'static str {
    match measured {
        Measured::Along => "along",
        Measured::Arc => "arc",
    }
}

/// Places grow from row to row, and the whole length is plausible.
fn grows(sheet: &mut Sheet<'_>, rows: &[Named<'_>], places: &[Option<f64>], column: &str) {
    let known: Vec<(&Row, f64)> =
        rows.iter().zip(places).filter_map(|((row, _), along)| Some((*row, (*along)?))).collect();
    let back: Vec<&[(&Row, f64)]> = known.windows(2).filter(|w| w[1].1 <= w[0].1).collect();
    for pair in &back {
        let expected =
            format!("more than in row {}, since {column} grows from station to station", pair[0].0.number);
        let next = "correct the place, or put the stations in order from the neck end to the tail end";
        sheet.wrong(pair[1].0, column, expected, next);
    }
    if let (true, [first, .., last]) = (back.is_empty() && known.len() == rows.len(), known.as_slice()) {
        whole_length(sheet, last.0, column, last.1 - first.1);
    }
}

/// Says in one word that a column of places doesn't grow because it was exchanged
/// with another, or because the stations stand the other way round.
fn whole_column(sheet: &mut Sheet<'_>, rows: &[Named<'_>], column: &str) -> bool {
    let Some(places) = plain_numbers(sheet, rows, column) else { return false };
    let back = places.windows(2).filter(|w| w[1] <= w[0]).count();
    if back < 2 {
        return false;
    }
    let grows = |name: &&str| {
        let values = plain_numbers(sheet, rows, name);
        values.is_some_and(|v| v.windows(2).all(|w| w[0] < w[1]))
    };
    let next = match ["width", "rise", "bevel"].into_iter().find(grows) {
        Some(other) => format!(
            "swap the names '{column}' and '{other}' in the header row if the two were exchanged; \
             '{other}' grows as '{column}' should"
        ),
        None if back + 1 == places.len() => {
            "put the rows in the opposite order, so that they run from the neck end to the tail end"
                .to_string()
        }
        None => return false,
    };
    sheet.wrong(rows[1].0, column, format!("{column} to grow from station to station"), next);
    true
}

/// A column's cells as numbers, if all are.
fn plain_numbers(sheet: &Sheet<'_>, rows: &[Named<'_>], column: &str) -> Option<Vec<f64>> {
    let cell = |(row, _): &Named<'_>| sheet.table.cell(row, column).replace(',', ".").parse().ok();
    rows.iter().map(cell).collect()
}

/// The widest rib that is likely, mm, and the steepest bevel, degrees. Common
/// practice, no source.
const WIDE: f64 = 80.0;
const STEEP: f64 = 20.0;

/// Columns in range that look exchanged: wide ribs of little rise, steep bevels on
/// a narrow rib.
pub(crate) fn exchange(stations: &Stations, file: &str) -> Option<Warning> {
    let most = |of: fn(&Station) -> f64| stations.list.iter().map(of).fold(0.0, f64::max);
    let [width, bevel] = [most(|s| s.width), most(|s| s.bevel.in_degrees())];
    let rise = most(|s| s.rise.unwrap_or(f64::INFINITY));
    let (a, b) = match () {
        () if width > WIDE && width > 2.0 * rise => ("width", "rise"),
        () if bevel > STEEP && width < bevel && width < 15.0 => ("bevel", "width"),
        () => return None,
    };
    let text = format!(
        "{file}: the columns '{a}' and '{b}' look exchanged. If they are, swap their names in the header \
         row; if not, go on."
    );
    Some(Warning::new("exchanged-columns", text))
}

fn whole_length(sheet: &mut Sheet<'_>, row: &Row, column: &str, length: f64) {
    let Some(unit) = sheet.unit else { return };
    let range: Range = ranges::LENGTH;
    if !range.holds(length) {
        let raw = length / unit.mm();
        let unit_name = if unit == Unit::Mm { "mm" } else { "inch" };
        let next = range.advice(raw, unit, sheet.told);
        let problem = sheet.table.problem(row, column, range.in_words(unit), next);
        let problem = problem.in_other_unit(&range, raw, unit);
        sheet.problems.push(problem.found(format!("{} {unit_name} in all", short(raw))));
    }
}

/// A column that is filled in at some stations only would leave the curve to guesses.
fn all_or_none(sheet: &mut Sheet<'_>, rows: &[Named<'_>], column: &str) {
    let empty = |row: &Row| sheet.table.cell(row, column).is_empty();
    let holes: Vec<&Row> = rows.iter().map(|(row, _)| *row).filter(|row| empty(row)).collect();
    if let Some(first) = holes.first().filter(|_| holes.len() < rows.len()) {
        let count = holes.len();
        let expected = format!("a value at every station or at none; empty cells here: {count}");
        sheet.wrong(first, column, expected, "fill the column in, or empty it");
    }
}

/// The most characters of a station's name.
pub(crate) const LONGEST_NAME: usize = 40;

/// Whether a text can name a station: short, on one line, and not nothing.
pub(crate) fn is_name(text: &str) -> bool {
    !text.is_empty() && text.chars().count() <= LONGEST_NAME && !text.chars().any(char::is_control)
}
