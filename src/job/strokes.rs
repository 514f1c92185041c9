//! What was planed after each round, from `strokes.csv`.

use std::collections::HashMap;

use super::rounds::station_index;
use super::{Plane, Stroke, ranges};
use crate::table::cell::Sheet;
use crate::table::named::Row;
use crate::table::suggest::did_you_mean;

/// What the other files say, as far as it is known.
pub(crate) struct Known<'a> {
    /// The stations' names.
    pub stations: Option<&'a [String]>,
    /// The planes.
    pub planes: Option<&'a [Plane]>,
    /// The file that describes them.
    pub file: &'a str,
    /// How many rounds there are.
    pub rounds: Option<usize>,
}

/// Strokes in the file's order, each with its round, counted from 0.
pub(crate) fn read(sheet: &mut Sheet<'_>, known: &Known<'_>) -> Vec<(usize, Stroke)> {
    let mut wood = HashMap::new();
    let mut strokes = Vec::new();
    for row in &sheet.table.rows {
        let Some((round, stroke)) = stroke(sheet, row, known) else { continue };
        if let Some(planes) = known.planes {
            let taken: &mut Vec<f64> = wood.entry(round).or_default();
            if !plausible(sheet, row, taken, &stroke, (&planes[stroke.plane], known.file)) {
                break;
            }
        }
        strokes.push((round, stroke));
    }
    strokes
}

/// Adds a stroke to the wood (mm, at each station) that its round's strokes would
/// take, and tells when that is more than any reading could ask for.
fn plausible(
    sheet: &mut Sheet<'_>,
    row: &Row,
    taken: &mut Vec<f64>,
    stroke: &Stroke,
    (plane, file): (&Plane, &str),
) -> bool {
    let most = ranges::OVERLAP.high;
    taken.resize(taken.len().max(stroke.to + 1), 0.0);
    let run = &mut taken[stroke.from..=stroke.to];
    run.iter_mut().for_each(|t| *t += f64::from(stroke.count) * plane.shaving);
    let deepest = run.iter().copied().fold(0.0, f64::max);
    if deepest <= most {
        return true;
    }
    let say = |mm| sheet.unit.unwrap_or_default().say(mm);
    let expected = format!(
        "strokes that together take at most {} of wood in one round, not {}",
        say(most),
        say(deepest)
    );
    let next = format!("correct the number of pushes, or the plane's shaving in {file}");
    sheet.wrong(row, "count", expected, next);
    false
}

fn stroke(sheet: &mut Sheet<'_>, row: &Row, known: &Known<'_>) -> Option<(usize, Stroke)> {
    let round = round(sheet, row, known.rounds);
    let plane = plane(sheet, row, known);
    let from = place(sheet, row, "from", known.stations);
    let to = place(sheet, row, "to", known.stations);
    let count = sheet.whole(row, "count", &ranges::COUNT);
    let count = sheet.needed(row, "count", count);
    let run = in_order(sheet, row, ("from", from?), ("to", to?));
    let shaving = shaving(sheet, row, known.stations, run);
    let (from, to) = run?;
    let stroke = Stroke { plane: plane?, from, to, count: count?, shaving: shaving? };
    Some((round?, stroke))
}

fn round(sheet: &mut Sheet<'_>, row: &Row, rounds: Option<usize>) -> Option<usize> {
    let cell = sheet.whole(row, "round", &ranges::ROUND);
    let number = sheet.needed(row, "round", cell)?;
    let number = usize::try_from(number).ok()?;
    if rounds.is_some_and(|last| number > last) {
        let expected = match rounds {
            Some(0) | None => "a round of readings.csv, which has none yet".to_string(),
            Some(last) => format!("a round of readings.csv, 1 to {last}"),
        };
        sheet.wrong(row, "round", expected, "correct the round, or add its readings first");
        return None;
    }
    Some(number - 1)
}

fn plane(sheet: &mut Sheet<'_>, row: &Row, known: &Known<'_>) -> Option<usize> {
    let file = known.file;
    let name = sheet.table.cell(row, "plane");
    if name.is_empty() {
        sheet.wrong(row, "plane", "the name of a plane", format!("write the plane's name as in {file}"));
        return None;
    }
    let planes = known.planes?;
    let found = planes.iter().position(|p| p.name == name);
    if found.is_none() {
        let next = did_you_mean(name, planes.iter().map(|p| p.name.as_str()));
        let next = format!("{next}, or describe the plane in {file} as [planes.NAME]");
        sheet.wrong(row, "plane", format!("a plane that {file} describes"), next);
    }
    found
}

fn place(sheet: &mut Sheet<'_>, row: &Row, column: &str, names: Option<&[String]>) -> Option<usize> {
    if sheet.table.cell(row, column).is_empty() {
        sheet.wrong(row, column, "the name of a station", "write the station where it began or ended");
        return None;
    }
    station_index(sheet, row, column, names?)
}

type End<'a> = (&'a str, usize);

fn in_order(sheet: &mut Sheet<'_>, row: &Row, from: End<'_>, to: End<'_>) -> Option<(usize, usize)> {
    if from.1 <= to.1 {
        return Some((from.1, to.1));
    }
    let expected = format!("a station not after that of '{}' ({})", to.0, sheet.table.cell(row, to.0));
    sheet.wrong(row, from.0, expected, format!("swap '{}' and '{}'", from.0, to.0));
    None
}

/// Where the shaving ran unbroken: both ends or none, inside the stroke. `None` if
/// something was reported.
fn shaving(
    sheet: &mut Sheet<'_>,
    row: &Row,
    names: Option<&[String]>,
    run: Option<(usize, usize)>,
) -> Option<Option<(usize, usize)>> {
    const ENDS: [&str; 2] = ["shaving_from", "shaving_to"];
    match ENDS.map(|c| sheet.table.cell(row, c).is_empty()) {
        [true, true] => return Some(None),
        [false, false] => {}
        [lone, _] => {
            let (empty, full) = if lone { (ENDS[0], ENDS[1]) } else { (ENDS[1], ENDS[0]) };
            let expected = format!("a station, since '{full}' has one");
            sheet.wrong(row, empty, expected, "fill both in, or neither");
            return None;
        }
    }
    let from = place(sheet, row, ENDS[0], names);
    let to = place(sheet, row, ENDS[1], names);
    let shaving = in_order(sheet, row, (ENDS[0], from?), (ENDS[1], to?))?;
    let run = run?;
    if shaving.0 < run.0 || shaving.1 > run.1 {
        let column = if shaving.0 < run.0 { ENDS[0] } else { ENDS[1] };
        sheet.wrong(
            row,
            column,
            "a station inside the stroke's run",
            "correct it, or correct 'from' and 'to'",
        );
        return None;
    }
    Some(Some(shaving))
}
