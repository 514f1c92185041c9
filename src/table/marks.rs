//! Which decimal mark a whole table uses, told by all its numbers together.

use super::interval;
use super::layout::Holds;
use super::named::{Row, Table};
use super::number::{self, Mark};
use super::problem::printable;
use super::{Decimal, Delimiter, Problem};

/// One cell's mark and where it stands.
struct Seen<'a> {
    row: &'a Row,
    column: &'a str,
    mark: Mark,
}

/// The file's decimal mark, if any was seen; and what makes it doubtful.
///
/// A mark is sure in a cell such as `0,4` or `12.5`; `1.234` may be a separator of
/// thousands, except that in a comma-separated file an unquoted point can't be
/// one. One sure cell settles all others of its mark; two marks in one file are
/// never settled by guessing.
pub(crate) fn decimal_mark(table: &Table) -> (Option<Decimal>, Option<Problem>) {
    let seen = marks(table);
    let with = |d: Decimal| seen.iter().filter(move |s| s.mark.decimal() == Some(d));
    let sure = |d: Decimal| with(d).filter(|s| s.mark == Mark::Sure(d)).count();
    let weight = |d: Decimal| (sure(d), with(d).count());
    let (mark, other) = if weight(Decimal::Comma) > weight(Decimal::Point) {
        (Decimal::Comma, Decimal::Point)
    } else {
        (Decimal::Point, Decimal::Comma)
    };
    let Some(first) = with(mark).next() else {
        return (None, None);
    };
    let trouble = match with(other).next() {
        Some(odd) => Some(mixed(table, odd, first, mark)),
        None if sure(mark) == 0 => Some(doubtful(table, first, mark)),
        None => None,
    };
    (Some(mark), trouble)
}

fn marks(table: &Table) -> Vec<Seen<'_>> {
    let measured = |name: &&str| table.layout.any(name, |c| matches!(c.holds, Holds::Number(_)));
    let numbers = table.columns.iter().map(String::as_str).filter(measured);
    let cell = |row, column| {
        let text = table.cell(row, column);
        let ends = interval::ends(text, true).map(|(low, high)| low.or(high).unwrap_or_default());
        let mark = match number::mark(ends.unwrap_or(text)) {
            Mark::None => return None,
            Mark::Either(Decimal::Point) if table.dialect.delimiter == Delimiter::Comma => {
                Mark::Sure(Decimal::Point)
            }
            mark => mark,
        };
        Some(Seen { row, column, mark })
    };
    let row = |row| numbers.clone().filter_map(move |column| cell(row, column));
    table.rows.iter().flat_map(row).collect()
}

fn mixed(table: &Table, odd: &Seen<'_>, first: &Seen<'_>, mark: Decimal) -> Problem {
    let expected = format!(
        "one decimal mark in the whole file; '{}' in row {} has a {}",
        printable(table.cell(first.row, first.column)),
        first.row.number,
        mark.name()
    );
    let next = "write all numbers with the same decimal mark and without separators of thousands";
    table.problem(odd.row, odd.column, expected, next)
}

fn doubtful(table: &Table, seen: &Seen<'_>, mark: Decimal) -> Problem {
    let cell = table.cell(seen.row, seen.column);
    let expected = format!(
        "a number that can be read in one way only; '{}' may be a {} or a separator of thousands",
        printable(cell),
        mark.name()
    );
    let next = format!(
        "write one more decimal ({}0) if it is a decimal mark, else leave the mark out",
        printable(cell)
    );
    table.problem(seen.row, seen.column, expected, next)
}
