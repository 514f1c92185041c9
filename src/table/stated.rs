//! Names of columns that are nearly right: with a unit behind them, or misspelt.

use super::layout::Layout;
use super::problem::printable;
use super::suggest::nearest;
use super::{Measure, Problem, Unit};

/// A unit that stands behind a column's name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stated {
    /// Of a length.
    Length(Unit),
    /// Of an angle.
    Degrees,
}

/// A compared name that has a unit behind it (`lift_(mm)`, `bevel_deg`): the name, and the
/// unit; `None` where the unit is not one that the column's numbers can have.
fn with_unit<'a>(layout: &Layout, plain: &'a str) -> Option<(&'a str, Stated)> {
    let (name, unit) = match plain.find(['(', '[']) {
        Some(bracket) => plain.split_at(bracket),
        None => plain.rsplit_once('_')?,
    };
    let name = name.trim_end_matches('_');
    let stated = match unit.trim_matches(['(', ')', '[', ']', '.']) {
        "mm" => Stated::Length(Unit::Mm),
        "in" | "inch" | "inches" => Stated::Length(Unit::Inch),
        "deg" | "degrees" | "°" => Stated::Degrees,
        _ => return None,
    };
    let measure = layout.column(name)?.range()?.measure;
    let fits = match stated {
        Stated::Length(_) => measure == Measure::Length,
        Stated::Degrees => measure == Measure::Angle,
    };
    fits.then_some((name, stated))
}

/// Takes the units from compared names such as `lift_(mm)`: the names, and what was stated of them.
/// Who reads the table holds it to the folder's unit.
pub(super) fn take_units(layout: &Layout, columns: &mut [String]) -> Vec<(String, Stated)> {
    let mut taken = Vec::new();
    for i in 0..columns.len() {
        let plain = columns[i].clone();
        if let Some((name, stated)) = with_unit(layout, &plain)
            && !columns.iter().any(|c| c == name)
        {
            columns[i] = name.to_owned();
            taken.push((name.to_owned(), stated));
        }
    }
    taken
}

/// Columns (places) that may be left out, and stand there by nearly their names (with these): to
/// drop them would answer without them. `filled` says whether anything stands in one.
pub(super) fn nearly_named<'a>(
    layout: &'a Layout,
    columns: &'a [String],
    filled: impl Fn(usize) -> bool + 'a,
) -> impl Iterator<Item = (usize, &'static str)> + 'a {
    let (known, required) = (layout.names(), layout.required());
    let has = |name: &str| columns.iter().any(|c| c == name);
    let needless = |name: &&str| !has(name) && !required.iter().any(|any| any.contains(name));
    // What makers name columns of their own after.
    let common = ["note", "reading"];
    let lacking: Vec<&str> = known.iter().copied().filter(needless).filter(|n| !common.contains(n)).collect();
    let strange = move |column: &str| !column.is_empty() && !known.contains(&column);
    let strangers = columns.iter().enumerate().filter(move |(i, c)| strange(c) && filled(*i));
    strangers.filter_map(move |(i, column)| Some((i, nearest(column, lacking.iter().copied())?)))
}

/// A column is named `here` where `name` may be meant.
pub(super) fn misspelt(file: &str, header: usize, here: &str, name: &str) -> Problem {
    let here = printable(here);
    let expected = format!("a column name that is read; '{here}' is nearly '{name}'");
    let unit = if here.contains(['(', '[']) { " and in the unit of this folder" } else { "" };
    let next = format!(
        "rename the column '{here}' to '{name}' if it is that{unit}, else give it a name that is like none of them"
    );
    Problem::new(file, expected, next).row(header)
}
