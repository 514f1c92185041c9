//! The rounds of readings, from `readings.csv` or from the rows of a single table.

use std::collections::HashMap;

use super::columns::{Field, READINGS_AT};
use super::{Against, Reading, Round, ranges};
use crate::table::cell::{Cell, Sheet};
use crate::table::named::Row;
use crate::table::suggest::{did_you_mean, nearest};
use crate::table::{Decimal, Delimiter, Interval, Kind, Problem, Unit, Warning};

/// One row of readings.
struct Line<'a> {
    row: &'a Row,
    round: usize,
    /// `None` if the stations aren't known.
    station: Option<usize>,
    against: Option<Against>,
    rebent: Option<bool>,
    /// Which reading of the place it is while the rib lies as it was, from 1.
    again: u32,
    reading: Reading,
}

/// What the table says: the rounds, and how many there seem to be even if some
/// are faulty; `None` if that can't be told.
pub(crate) struct Rounds {
    /// The rounds that could be read.
    pub list: Vec<Round>,
    /// How many rounds the table names.
    pub count: Option<usize>,
}

/// Reads the rounds; what is wrong is reported to the sheet. `names` are the
/// stations, `None` if they aren't known.
pub(crate) fn read(sheet: &mut Sheet<'_>, names: Option<&[String]>, warnings: &mut Vec<Warning>) -> Rounds {
    if !sheet.table.layout.is_joined() {
        sheet.check_units();
    }
    let (lines, sound) = lines(sheet, names);
    let last = lines.iter().map(|l| l.round).max().unwrap_or(0);
    let stations = names.map_or(0, <[String]>::len);
    let mut of_round: Vec<Vec<&Line<'_>>> = vec![Vec::new(); last + 1];
    lines.iter().for_each(|l| of_round[l.round].push(l));
    let list: Vec<Round> = (1..=last).filter_map(|n| round(sheet, &of_round, n, stations, sound)).collect();
    exchanged(sheet, &lines);
    warnings.extend(later_line(&list, sheet));
    warnings.extend(past_neighbour(&list, names));
    warnings.extend(many(&list, &sheet.table.file));
    warnings.extend(whole_numbers(sheet, &lines));
    Rounds { list, count: sound.then_some(last) }
}

/// The stations' names with their places, for looking them up.
struct Names<'a> {
    list: &'a [String],
    places: HashMap<&'a str, usize>,
}

/// Every line that could be read, and whether all could.
fn lines<'a>(sheet: &mut Sheet<'a>, names: Option<&[String]>) -> (Vec<Line<'a>>, bool) {
    let names = names.map(|list| Names {
        list,
        places: list.iter().enumerate().map(|(i, name)| (name.as_str(), i)).collect(),
    });
    let mut rows: HashMap<(usize, usize, u32), usize> = HashMap::new();
    let (mut lines, mut sound) = (Vec::new(), true);
    for row in &sheet.table.rows {
        let Some(line) = line(sheet, row, names.as_ref()) else {
            sound = false;
            continue;
        };
        let place = line.station.map(|station| (line.round, station, line.again));
        match place.map(|place| *rows.entry(place).or_insert(row.number)) {
            Some(earlier) if earlier != row.number => twice(sheet, row, earlier),
            _ => lines.push(line),
        }
    }
    (lines, sound)
}

fn twice(sheet: &mut Sheet<'_>, row: &Row, earlier: usize) {
    let expected = format!("one row for a station in a round; row {earlier} has the same");
    let next = "delete one of the two rows, or correct its round or station; if the place was read again while the rib \
                lay as it was, number the two in a column 'reading'";
    sheet.wrong(row, "station", expected, next);
}

/// Lifts below 0 while no overlap is: the two columns were exchanged, and one
/// word says it.
fn exchanged(sheet: &mut Sheet<'_>, lines: &[Line<'_>]) {
    let table = sheet.table;
    let column = if table.has("gap") { "gap" } else { "overlap" };
    let below = |cell: &str| cell.starts_with(['-', '\u{2212}']);
    let lifts: Vec<&Row> = table.rows.iter().filter(|row| below(table.cell(row, "lift"))).collect();
    let other = table.rows.iter().filter(|row| below(table.cell(row, column))).count();
    let Some(first) = lifts.first().filter(|_| lifts.len() > 1 && other == 0 && !lines.is_empty()) else {
        return;
    };
    let told = |p: &Problem| {
        let lift = p.column.as_deref() == Some("lift") && p.found.as_deref().is_some_and(below);
        p.file == table.file && (p.kind == Kind::Signs || lift)
    };
    sheet.problems.retain(|p| !told(p));
    let expected = format!("no lift below 0, and here are {}, while no {column} is below 0", lifts.len());
    let next = format!(
        "swap the names '{column}' and 'lift' in the header row if the two were exchanged; else read \
         those lifts again"
    );
    sheet.wrong(first, "lift", expected, next);
}

fn line<'a>(sheet: &mut Sheet<'_>, row: &'a Row, names: Option<&Names<'_>>) -> Option<Line<'a>> {
    let round = round_number(sheet, row);
    let station = station(sheet, row, names);
    let against = against(sheet, row);
    let rebent = sheet.yes_or_no(row, "rebent");
    let reading = reading(sheet, row);
    let again = sheet.whole(row, "reading", &ranges::REPEAT).value().unwrap_or(1);
    let (round, station) = match station {
        Cell::Bad => return None,
        other => (round?, other.value()),
    };
    Some(Line { row, round, station, against, rebent, again, reading })
}

fn round_number(sheet: &mut Sheet<'_>, row: &Row) -> Option<usize> {
    if sheet.table.layout.is_joined() && !sheet.table.has("round") {
        return Some(1);
    }
    let cell = sheet.whole(row, "round", &ranges::ROUND);
    let number = sheet.needed(row, "round", cell)?;
    usize::try_from(number).ok()
}

/// The index of the named station; empty if the stations aren't known.
fn station(sheet: &mut Sheet<'_>, row: &Row, names: Option<&Names<'_>>) -> Cell<usize> {
    if sheet.table.cell(row, "station").is_empty() {
        // In a single table the stations' own check has said so.
        if !sheet.table.layout.is_joined() {
            sheet.wrong(row, "station", "a station's name", "name the station, or empty the whole row");
        }
        return Cell::Bad;
    }
    let Some(names) = names else {
        return Cell::Empty;
    };
    match names.places.get(sheet.table.cell(row, "station")) {
        Some(place) => Cell::Value(*place),
        None => station_index(sheet, row, "station", names.list).map_or(Cell::Bad, Cell::Value),
    }
}

/// The index of the station that a cell names; reports an unknown one.
pub(crate) fn station_index(
    sheet: &mut Sheet<'_>,
    row: &Row,
    column: &str,
    names: &[String],
) -> Option<usize> {
    let name = sheet.table.cell(row, column);
    let found = names.iter().position(|n| n == name);
    if found.is_none() && !sheet.full() {
        let next = did_you_mean(name, names.iter().map(String::as_str));
        sheet.wrong(row, column, "the name of a station of this joint", next);
    }
    found
}

fn against(sheet: &mut Sheet<'_>, row: &Row) -> Option<Against> {
    if sheet.table.layout.is_joined() && !sheet.table.has("against") {
        return Some(Against::Line);
    }
    let text = sheet.table.cell(row, "against").to_lowercase();
    match text.as_str() {
        "" => None,
        "line" => Some(Against::Line),
        "neighbour" | "neighbor" => Some(Against::Neighbour),
        _ => {
            let near = nearest(&text, ["neighbour", "line"]);
            let next = near.map_or_else(
                || "write what the rib was held against in this round".to_string(),
                |n| format!("write '{n}' if that was meant"),
            );
            sheet.wrong(row, "against", "neighbour or line", next);
            None
        }
    }
}

fn reading(sheet: &mut Sheet<'_>, row: &Row) -> Reading {
    let mut reading = Reading::default();
    for field in &READINGS_AT {
        // A dash between two numbers is none before a number only where none is below zero.
        match sheet.interval(row, field.name, field.name != "overlap") {
            Cell::Value(told) => put_interval(&mut reading, field, told),
            Cell::Bad => {}
            Cell::Empty => {
                let value = sheet.value(row, field.name).value();
                value.into_iter().for_each(|value| (field.put)(&mut reading, value));
            }
        }
    }
    reading.bears = sheet.yes_or_no(row, "bears").unwrap_or(false);
    reading
}

/// Puts an interval in its place, told of an overlap or of a clearance.
fn put_interval(reading: &mut Reading, field: &Field<Reading>, told: Interval) {
    (field.put)(reading, told.middle());
    match field.name {
        "overlap" => reading.within.gap = Some(told.negated()),
        "gap" => reading.within.gap = Some(told),
        "lift" => reading.within.lift = Some(told),
        _ => reading.within.seat = Some(told),
    }
}

fn is_read(sheet: &Sheet<'_>, row: &Row) -> bool {
    let read = READINGS_AT.iter().map(|f| f.name).chain(["bears"]);
    read.into_iter().any(|name| !sheet.table.cell(row, name).is_empty())
}

/// Gathers one round and checks it as a whole.
fn round(
    sheet: &mut Sheet<'_>,
    of_round: &[Vec<&Line<'_>>],
    number: usize,
    stations: usize,
    sound: bool,
) -> Option<Round> {
    let of_it = of_round[number].as_slice();
    let Some(first) = of_it.first() else {
        missing_round(sheet, of_round, number, sound);
        return None;
    };
    let read = of_it.iter().any(|l| is_read(sheet, l.row));
    if !read {
        // A single table without any reading yet is a joint without rounds.
        if sheet.table.layout.is_joined() && number == 1 && of_round.len() == 2 {
            return None;
        }
        let next = "write the readings in, or delete the rows of this round";
        let expected = format!("at least one reading in round {number}");
        let problem = sheet.table.problem(first.row, "overlap", expected, next);
        sheet.problems.push(problem);
    }
    let against = one_against(sheet, of_it, number);
    let rebent = one_rebent(sheet, of_it, number);
    signs(sheet, of_it, against);
    let readings = spread(of_it, stations);
    Some(Round { against: against?, rebent, readings, strokes: Vec::new() })
}

fn spread(of_it: &[&Line<'_>], stations: usize) -> Vec<Reading> {
    let mut at: Vec<Vec<&Reading>> = vec![Vec::new(); stations];
    for line in of_it {
        line.station.and_then(|i| at.get_mut(i)).into_iter().for_each(|here| here.push(&line.reading));
    }
    at.iter().map(|here| Reading::joined(here)).collect()
}

fn missing_round(sheet: &mut Sheet<'_>, of_round: &[Vec<&Line<'_>>], number: usize, sound: bool) {
    let after = of_round[number..].iter().find_map(|of_it| of_it.first());
    // Rows that could not be read may have been that round.
    let hole = number == 1 || !of_round[number - 1].is_empty();
    if let Some(after) = after.filter(|_| sound && hole) {
        let expected = format!("round {number} first: rounds count from 1 without holes");
        sheet.wrong(after.row, "round", expected, "renumber the rounds, or add the missing one");
    }
}

fn one_against(sheet: &mut Sheet<'_>, of_it: &[&Line<'_>], number: usize) -> Option<Against> {
    let mut told = of_it.iter().filter_map(|l| Some((l.row, l.against?)));
    let Some((row, against)) = told.next() else {
        let silent = of_it.iter().all(|l| sheet.table.cell(l.row, "against").is_empty());
        if let Some(first) = of_it.first().filter(|_| silent) {
            sheet.wrong(
                first.row,
                "against",
                "neighbour or line",
                "write what the rib was held against in this round",
            );
        }
        return None;
    };
    let others: Vec<&Row> = told.filter(|(_, a)| *a != against).map(|(r, _)| r).collect();
    for other in others {
        let here = sheet.table.cell(row, "against");
        let expected = format!("'{here}' as in row {}: one for the whole of round {number}", row.number);
        sheet.wrong(other, "against", expected, "correct it, or make it a round of its own");
    }
    Some(against)
}

/// A round is rebent if any row says so and none denies it.
fn one_rebent(sheet: &mut Sheet<'_>, of_it: &[&Line<'_>], number: usize) -> bool {
    let yes = of_it.iter().find(|l| l.rebent == Some(true));
    let no = of_it.iter().find(|l| l.rebent == Some(false));
    if let (Some(yes), Some(no)) = (yes, no) {
        let expected = format!("the same as in row {}: one for the whole of round {number}", yes.row.number);
        sheet.wrong(
            no.row,
            "rebent",
            expected,
            "write yes in one row of the round and leave the others empty, or yes in all",
        );
    }
    yes.is_some()
}

/// Against the neighbour wood can't pass into wood: a round whose overlaps are all
/// above zero has its signs the wrong way round.
fn signs(sheet: &mut Sheet<'_>, of_it: &[&Line<'_>], against: Option<Against>) {
    let past = |l: &&&Line<'_>| l.reading.overlap.is_some_and(|o| o > 0.0);
    let open = of_it.iter().filter(|l| l.reading.overlap.is_some_and(|o| o < 0.0)).count();
    let count = of_it.iter().filter(past).count();
    let Some(first) = of_it.iter().find(past) else {
        return;
    };
    if against == Some(Against::Neighbour) && open == 0 && count > 1 {
        let (column, now, other) =
            if sheet.table.has("gap") { ("gap", "above", "overlap") } else { ("overlap", "below", "gap") };
        let expected = format!("0 or {now} 0 against the neighbour, since wood can't pass into wood");
        let next =
            format!("name the column '{other}' if that is what it holds, or change the signs of this round");
        let problem = sheet.table.problem(first.row, column, expected, next);
        sheet.report(Problem { kind: Kind::Signs, ..problem });
    }
}

fn later_line(list: &[Round], sheet: &Sheet<'_>) -> Option<Warning> {
    let neighbour = list.iter().position(|r| r.against == Against::Neighbour)?;
    let line = list.iter().skip(neighbour).position(|r| r.against == Against::Line)? + neighbour;
    let text = format!(
        "{}: round {} was read against a line although round {} was already read against the neighbour, \
         which is the surer reading. If that is a slip, correct the column 'against'; else read the next \
         round against the neighbour.",
        sheet.table.file,
        line + 1,
        neighbour + 1
    );
    Some(Warning::new("line-after-neighbour", text))
}

/// More rounds than any joint needs (common practice, no source).
const MANY: usize = 24;

fn many(list: &[Round], file: &str) -> Option<Warning> {
    let text = format!(
        "{file}: {} rounds are on record, and the more there are, the longer an answer takes. A joint mostly fits \
         within ten: if these are of more than one rib, give each rib a folder of its own; if not, look in \
         `ribwright history` for what keeps coming back.",
        list.len()
    );
    (list.len() >= MANY).then(|| Warning::new("many-rounds", text))
}

fn past_neighbour(list: &[Round], names: Option<&[String]>) -> Vec<Warning> {
    let past = |r: &Reading| r.overlap.is_some_and(|o| o > 0.0);
    let warn = |(k, round): (usize, &Round)| {
        let at: Vec<&str> =
            names?.iter().zip(&round.readings).filter(|(_, r)| past(r)).map(|(n, _)| n.as_str()).collect();
        let text = format!(
            "Round {}: an overlap against the neighbour at {}, where wood can't pass into wood. Read it \
             again there; daylight is a negative overlap.",
            k + 1,
            at.join(", ")
        );
        (round.against == Against::Neighbour && !at.is_empty())
            .then(|| Warning::new("overlap-against-neighbour", text))
    };
    list.iter().enumerate().filter_map(warn).collect()
}

/// In a comma-separated table with whole numbers only, decimal commas may have
/// fallen apart into two cells each.
fn whole_numbers(sheet: &Sheet<'_>, lines: &[Line<'_>]) -> Option<Warning> {
    let table = sheet.table;
    let suspect = table.dialect.delimiter == Delimiter::Comma
        && table.dialect.decimal == Decimal::Point
        && !table.mark_seen
        && sheet.unit == Some(Unit::Mm);
    let values = || lines.iter().flat_map(|l| [l.reading.overlap, l.reading.lift, l.reading.seat]).flatten();
    (suspect && values().any(|v| v != 0.0)).then(|| {
        let text = format!(
            "{}: every reading is a whole number of millimetres. If decimal commas were split into two \
             cells, save the table with semicolons; if not, go on.",
            table.file
        );
        Warning::new("whole-numbers", text)
    })
}
