//! The tables of a bowl: girths, widths, minutes, and the marks of its joints.

use std::collections::{BTreeMap, HashMap};

use super::types::{Bowl, Girth, Mark};
use crate::job::columns::{self, MARKED};
use crate::job::names::{BOWL, GIRTH, MARKS, READ, SETTINGS, TIME, WIDTHS};
use crate::job::{Job, ranges};
use crate::store::Place;
use crate::table::cell::{Cell, Sheet};
use crate::table::file::Part;
use crate::table::layout::Layout;
use crate::table::misnamed;
use crate::table::named::Row;
use crate::table::suggest::did_you_mean;
use crate::table::{Problem, Problems, Range, Told, Unit, Warning};

/// The bowl's tables while they are read.
struct Tables<'a> {
    folder: &'a Place,
    unit: Option<Unit>,
    problems: &'a mut Vec<Problem>,
    warnings: Vec<Warning>,
}

impl Tables<'_> {
    fn read<T>(&mut self, layout: &'static Layout, read: impl FnOnce(&mut Sheet<'_>) -> T) -> Option<T> {
        let table = Part::load_table(&self.folder.join(layout.file)).table(layout, self.problems)?;
        self.warnings.extend(table.extra_warning());
        Some(read(&mut Sheet {
            table: &table,
            unit: self.unit,
            told: Told::In(BOWL),
            problems: self.problems,
        }))
    }
}

/// Reads the bowl's own tables into it.
pub(super) fn read(bowl: &mut Bowl, unit: Option<Unit>, problems: &mut Vec<Problem>) {
    let (ribs, names) = (bowl.settings.ribs, &bowl.settings.stations);
    let most = |high: usize, range: Range| Range { high: high as f64, ..range };
    let mut tables = Tables { folder: &bowl.folder, unit, problems, warnings: Vec::new() };
    let stations = Stations::of(names);
    let sd = bowl.settings.errors.girth;
    let girths = tables.read(&columns::GIRTH, |sheet| {
        let after = most(ribs - 1, ranges::FITTED);
        let girths = values(sheet, ("after", &after), ("girth", &ranges::GIRTH), &stations);
        shrinking(sheet, &girths, sd);
        girths
    });
    let fitted = fitted(bowl, girths.as_ref());
    let widths = tables.read(&columns::WIDTHS, |sheet| {
        let rib = most(ribs, ranges::RIB);
        let widths = values(sheet, ("rib", &rib), ("width", &ranges::WIDTH), &stations);
        (unfitted(sheet, &widths, fitted), widths)
    });
    let minutes = tables.read(&columns::TIME, |sheet| {
        let joint = most(ribs - 1, ranges::JOINT);
        let rows = &sheet.table.rows;
        rows.iter().filter_map(|row| minutes(sheet, row, &joint)).collect::<Vec<_>>()
    });
    let mut warnings = tables.warnings;
    warnings.extend(misnamed::warnings(&bowl.folder, &[GIRTH, WIDTHS, TIME], &READ));
    let (unfitted, widths) = widths.unwrap_or_default();
    warnings.extend(unfitted);
    bowl.girths = gathered(&girths.unwrap_or_default(), names.len());
    let measured = |rib: usize| (0..names.len()).map(|i| widths.get(&(rib, i)).map(|w| w.0)).collect();
    bowl.widths = (1..=ribs).map(measured).collect();
    bowl.minutes = minutes.unwrap_or_default();
    bowl.warnings.extend(warnings);
}

/// Values by a number and a station (index), each with its row (index).
type Values = BTreeMap<(usize, usize), (f64, usize)>;

/// The names of the stations, with their places.
struct Stations<'a> {
    names: &'a [String],
    places: HashMap<&'a str, usize>,
}

impl Stations<'_> {
    fn of(names: &[String]) -> Stations<'_> {
        Stations { names, places: names.iter().enumerate().map(|(i, n)| (n.as_str(), i)).collect() }
    }

    fn index(&self, sheet: &mut Sheet<'_>, row: &Row) -> Option<usize> {
        let name = sheet.table.cell(row, "station");
        if name.is_empty() {
            sheet.wrong(row, "station", "a station's name", "name the station, or empty the whole row");
            return None;
        }
        let found = self.places.get(name).copied();
        // Without any station known the joints' own faults say why.
        if found.is_none() && !self.names.is_empty() && !sheet.full() {
            let next = did_you_mean(name, self.names.iter().map(String::as_str));
            sheet.wrong(row, "station", "the name of a station of this bowl", next);
        }
        found
    }
}

/// One value for a number and a station, each pair once.
fn values(
    sheet: &mut Sheet<'_>,
    number: (&str, &Range),
    (column, range): (&str, &Range),
    stations: &Stations<'_>,
) -> Values {
    let mut values = Values::new();
    if exchanged(sheet, number, column, stations) {
        return values;
    }
    let rows = &sheet.table.rows;
    for (at, row) in rows.iter().enumerate() {
        let which = counted(sheet, row, number.0, number.1);
        let station = stations.index(sheet, row);
        let value = sheet.number(row, column, range);
        let (Some(which), Some(station), Cell::Value(value)) = (which, station, value) else { continue };
        match values.get(&(which, station)) {
            None => _ = values.insert((which, station), (value, at)),
            Some((_, earlier)) => {
                let earlier = rows[*earlier].number;
                let expected =
                    format!("one row for a station with {} {which}; row {earlier} has the same", number.0);
                sheet.wrong(row, "station", expected, "delete one of the two rows, or correct it");
            }
        }
    }
    values
}

/// The number of a rib or a joint; one beyond the bowl may mean that `ribs` is wrong.
fn counted(sheet: &mut Sheet<'_>, row: &Row, column: &str, range: &Range) -> Option<usize> {
    let before = sheet.problems.len();
    let number = sheet.whole(row, column, range);
    let number = sheet.needed(row, column, number);
    let beyond = sheet.table.cell(row, column).parse::<u32>().is_ok_and(|n| f64::from(n) > range.high);
    if let Some(problem) = sheet.problems.get_mut(before).filter(|_| beyond) {
        problem.next.push_str(", or correct `ribs` in bowl.toml");
    }
    number.map(|n| n as usize)
}

/// Whether two columns change places: as they stand rows are faulty, the other way
/// round none is. That is one fault.
fn exchanged(sheet: &mut Sheet<'_>, number: (&str, &Range), value: &str, stations: &Stations<'_>) -> bool {
    let table = sheet.table;
    let whole = |cell: &str| cell.parse::<u32>().is_ok_and(|n| number.1.holds(f64::from(n)));
    let length = |cell: &str| cell.replace(',', ".").parse::<f64>().is_ok();
    let station = |cell: &str| stations.places.contains_key(cell);
    let count = |column: &str, fits: &dyn Fn(&str) -> bool| {
        table.rows.iter().filter(|r| fits(table.cell(r, column))).count()
    };
    let all = |column: &str, fits: &dyn Fn(&str) -> bool| count(column, fits) == table.rows.len();
    // One wrong cell is a slip in it.
    let sound = count(number.0, &whole).min(count("station", &station));
    let other = if table.rows.len() < 2 || 2 * sound > table.rows.len() {
        return false;
    } else if all(number.0, &station) && all("station", &whole) {
        "station"
    } else if all(number.0, &length) && all(value, &whole) {
        value
    } else {
        return false;
    };
    let expected = format!("{}, and here is what belongs into '{other}'", number.1.in_words(Unit::Mm));
    let next = format!("swap the names '{}' and '{other}' in the header row", number.0);
    sheet.wrong(&table.rows[0], number.0, expected, next);
    true
}

/// Every rib covers some of the girth: what is left only becomes less.
fn shrinking(sheet: &mut Sheet<'_>, girths: &Values, sd: f64) {
    let table = sheet.table;
    let mut least: HashMap<usize, (usize, f64)> = HashMap::new();
    for (&(after, station), &(girth, at)) in girths {
        match least.get(&station) {
            Some((before, less)) if girth > less + 4.0 * sd => {
                let less = sheet.unit.unwrap_or_default().say(*less);
                let expected = format!("at most {less}, as at this station where 'after' is {before}");
                let next = "correct one of the two girths, or 'after', the number of ribs fitted by then";
                sheet.wrong(&table.rows[at], "girth", expected, next);
            }
            _ => _ = least.insert(station, (after, girth)),
        }
    }
}

/// How many ribs stand in their places, as far as rounds and girths tell.
fn fitted(bowl: &Bowl, girths: Option<&Values>) -> usize {
    let read = bowl.joints.iter().filter(|j| !j.job.rounds.is_empty()).map(|j| j.number + 1).max();
    let girth = girths.and_then(|g| g.keys().next_back()).map(|key| key.0);
    read.max(girth).unwrap_or(0)
}

/// A width of a rib that can't stand in its place yet.
fn unfitted(sheet: &Sheet<'_>, widths: &Values, fitted: usize) -> Option<Warning> {
    let (&(rib, _), &(_, at)) = widths.iter().find(|(key, _)| key.0 > fitted.max(1))?;
    let text = format!(
        "{}, row {}: rib {rib} is measured, but readings and girths tell of {} only. Its width is not used until then; \
         correct the rib's number if it is a slip.",
        sheet.table.file,
        sheet.table.rows[at].number,
        if fitted < 2 { "the first".to_owned() } else { format!("{fitted} ribs") }
    );
    Some(Warning::new("width-unfitted", text))
}

fn minutes(sheet: &mut Sheet<'_>, row: &Row, joints: &Range) -> Option<(usize, f64)> {
    let joint = counted(sheet, row, "joint", joints);
    if sheet.table.cell(row, "minutes").contains(':') {
        let next = "write the minutes alone, such as 75 for an hour and a quarter";
        sheet.wrong(row, "minutes", "minutes of work, not hours or a time of day", next);
        return None;
    }
    let minutes = sheet.needed_value(row, "minutes");
    Some((joint?, minutes?))
}

fn gathered(values: &Values, stations: usize) -> Vec<Girth> {
    let mut girths: Vec<Girth> = Vec::new();
    for (&(after, station), &(girth, _)) in values {
        if girths.last().is_none_or(|g| g.after != after) {
            girths.push(Girth { after, at: vec![None; stations] });
        }
        if let Some(last) = girths.last_mut() {
            last.at[station] = Some(girth);
        }
    }
    girths
}

/// The marks measured at a joint, one entry a station; empty without a table.
pub(super) fn marks(folder: &Place, job: &Job, problems: &mut Vec<Problem>) -> Vec<Option<Mark>> {
    let Some(table) = Part::load_table(&folder.join(MARKS)).table(&columns::MARKS, problems) else {
        return Vec::new();
    };
    let names: Vec<String> = job.stations.iter().map(|s| s.name.clone()).collect();
    let mut marks: Vec<Option<Mark>> = vec![None; names.len()];
    let mut sheet = Sheet { table: &table, unit: Some(job.unit), told: Told::In(SETTINGS), problems };
    let stations = Stations::of(&names);
    for row in &table.rows {
        let station = stations.index(&mut sheet, row);
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
    let mut mark = Mark { compass: 0.0, edge: 0.0, reference: 0.0 };
    let before = sheet.problems.len();
    for field in &MARKED {
        let optional = field.name == "reference";
        let cell = sheet.value(row, field.name);
        let value = if optional { cell.value() } else { sheet.needed(row, field.name, cell) };
        value.into_iter().for_each(|v| (field.put)(&mut mark, v));
    }
    (sheet.problems.len() == before).then_some(mark)
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
pub fn read_outline(file: impl Into<Place>, unit: Unit) -> Result<Vec<OutlinePoint>, Problems> {
    let file = file.into();
    let mut problems = Vec::new();
    let mut points = Vec::new();
    match Part::load(&file) {
        Part::Absent => {
            let next = "check the spelling of the path";
            problems.push(Problem::new(&file, "a table of the outline, but there is none", next));
        }
        part => {
            if let Some(table) = part.table(&columns::OUTLINE, &mut problems) {
                let mut sheet =
                    Sheet { table: &table, unit: Some(unit), told: Told::Flag, problems: &mut problems };
                points = outline(&mut sheet);
            }
        }
    }
    Problems::none_in(problems)?;
    Ok(points)
}

fn outline(sheet: &mut Sheet<'_>) -> Vec<OutlinePoint> {
    let mut points: Vec<OutlinePoint> = Vec::new();
    let table = sheet.table;
    for row in &table.rows {
        let along = sheet.needed_value(row, "along");
        let half_width = sheet.needed_value(row, "half_width");
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
