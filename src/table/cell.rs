//! Cells of a table to values inside: mm, radians, counts, yes and no.

use super::interval::{self, Interval};
use super::named::{Row, Table};
use super::number::{self, Reading};
use super::problem::MOST;
use super::stated::Stated;
use super::{Measure, Problem, Range, Told, Unit};

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cell<T> {
    /// Nothing.
    Empty,
    /// Something that was reported as a problem.
    Bad,
    /// A value.
    Value(T),
}

impl<T> Cell<T> {
    /// The value, if there is one.
    pub fn value(self) -> Option<T> {
        if let Cell::Value(v) = self { Some(v) } else { None }
    }
}

/// A table being read: its problems gather here.
pub(crate) struct Sheet<'a> {
    /// The table.
    pub table: &'a Table,
    /// The unit of its lengths; `None` if `joint.toml` didn't tell, when ranges
    /// can't be judged.
    pub unit: Option<Unit>,
    /// Where that is told.
    pub told: Told,
    /// What was found wrong.
    pub problems: &'a mut Vec<Problem>,
}

impl Sheet<'_> {
    /// Reports a problem with one cell.
    pub fn wrong(&mut self, row: &Row, column: &str, expected: impl Into<String>, next: impl Into<String>) {
        let problem = self.table.problem(row, column, expected, next);
        self.report(problem);
    }

    /// Notes a problem, unless there are too many.
    pub fn report(&mut self, problem: Problem) {
        if !self.full() {
            self.problems.push(problem);
        }
    }

    /// A unit that stands behind a column's name must be the one that the lengths have.
    pub fn check_units(&mut self) {
        let Some(unit) = self.unit else { return };
        for (column, stated) in &self.table.stated {
            match stated {
                Stated::Length(other) if *other != unit => {
                    let [here, there] = [unit, *other].map(Unit::symbol);
                    let expected =
                        format!("lengths in {here}, the unit of this folder; the column's name says {there}");
                    let next =
                        format!("write them in {here}, or name the column just '{column}' if they are");
                    self.problems.push(Problem::new(&self.table.file, expected, next).column(column));
                }
                _ => {}
            }
        }
    }

    /// Nothing more is noted.
    pub fn full(&self) -> bool {
        self.problems.len() >= MOST
    }

    /// Reports a number out of its range; `raw` as the file has it.
    fn out_of_range(&mut self, row: &Row, column: &str, range: &Range, raw: f64) {
        let unit = self.unit.unwrap_or_default();
        if !self.full() {
            let advice = range.advice(raw, unit, self.told);
            let problem = self.table.problem(row, column, range.in_words(unit), advice);
            self.problems.push(problem.in_other_unit(range, raw, unit));
        }
    }

    /// A length in mm or an angle in degrees.
    pub fn number(&mut self, row: &Row, column: &str, range: &Range) -> Cell<f64> {
        let text = self.table.cell(row, column);
        if text.is_empty() {
            return Cell::Empty;
        }
        let unit = self.unit.unwrap_or_default();
        match number::parse(text, self.how(range)) {
            Err(fault) => {
                self.wrong(row, column, fault.expected, fault.next);
                Cell::Bad
            }
            Ok(raw) if self.unit.is_some() && !range.holds(raw * range.scale(unit)) => {
                self.out_of_range(row, column, range, raw);
                Cell::Bad
            }
            Ok(raw) => Cell::Value(raw * range.scale(unit)),
        }
    }

    /// An interval in a column of lengths, mm; empty where the cell tells none. In a column where
    /// no number is below zero a dash may stand between its ends.
    pub fn interval(&mut self, row: &Row, column: &str, dashed: bool) -> Cell<Interval> {
        let layout = self.table.layout;
        let text = self.table.cell(row, column);
        let (Some(range), Some((low, high))) =
            (layout.column(column).and_then(|c| c.range()), interval::ends(text, dashed))
        else {
            return Cell::Empty;
        };
        let unit = self.unit.unwrap_or_default();
        let mut end = |text: Option<&str>, missing: f64| match text.map(|t| number::parse(t, self.how(range)))
        {
            None => Some(missing),
            Some(Ok(raw)) if self.unit.is_none() || range.holds(raw * range.scale(unit)) => {
                Some(raw * range.scale(unit))
            }
            Some(Ok(raw)) => {
                self.out_of_range(row, column, range, raw);
                None
            }
            Some(Err(fault)) => {
                self.wrong(row, column, fault.expected, fault.next);
                None
            }
        };
        let (low, high) = (end(low, f64::NEG_INFINITY), end(high, f64::INFINITY));
        let (Some(low), Some(high)) = (low, high) else { return Cell::Bad };
        if low < high {
            return Cell::Value(Interval { low, high });
        }
        self.wrong(
            row,
            column,
            "an interval from a smaller to a larger number",
            "write the smaller number first, such as 0.10..0.15, or a single number",
        );
        Cell::Bad
    }

    fn how(&self, range: &Range) -> Reading {
        let length = range.measure == Measure::Length;
        Reading {
            decimal: self.table.dialect.decimal,
            fractions: length && self.unit != Some(Unit::Mm),
            units: unit_marks(range.measure, self.unit),
            told: self.told,
        }
    }

    /// What stands in a column of numbers: mm, radians, or as it is.
    pub fn value(&mut self, row: &Row, column: &str) -> Cell<f64> {
        let layout = self.table.layout;
        let Some(range) = layout.column(column).and_then(|c| c.range()) else { return Cell::Empty };
        match self.number(row, column, range) {
            Cell::Value(degrees) if range.measure == Measure::Angle => Cell::Value(degrees.to_radians()),
            other => other,
        }
    }

    /// The same where something must stand; `None` if it was reported.
    pub fn needed_value(&mut self, row: &Row, column: &str) -> Option<f64> {
        let cell = self.value(row, column);
        self.needed(row, column, cell)
    }

    /// A whole number; 3.0 is one too.
    pub fn whole(&mut self, row: &Row, column: &str, range: &Range) -> Cell<u32> {
        let text = self.table.cell(row, column);
        if text.is_empty() {
            return Cell::Empty;
        }
        let bare = text.strip_suffix(".0").or(text.strip_suffix(",0")).unwrap_or(text);
        match bare.parse::<u32>() {
            Ok(n) if range.holds(f64::from(n)) => Cell::Value(n),
            _ => {
                let expected = format!("{}, without decimals", range.in_words(Unit::Mm));
                let next = format!("write a whole number from {} to {}", range.low, range.high);
                self.wrong(row, column, expected, next);
                Cell::Bad
            }
        }
    }

    /// A value that must stand there; reports an empty cell.
    pub fn needed<T>(&mut self, row: &Row, column: &str, cell: Cell<T>) -> Option<T> {
        if matches!(cell, Cell::Empty) {
            let what = self.table.layout.column(column).map_or("", |c| c.what);
            self.wrong(row, column, what, "fill the cell in");
        }
        cell.value()
    }

    /// Yes or no; `None` if the cell is empty or was reported.
    pub fn yes_or_no(&mut self, row: &Row, column: &str) -> Option<bool> {
        match self.table.cell(row, column).to_lowercase().as_str() {
            "" => None,
            "yes" | "y" | "true" | "1" | "x" => Some(true),
            "no" | "n" | "false" | "0" => Some(false),
            _ => {
                self.wrong(row, column, "yes or no", "write yes or no, or leave the cell empty for no");
                None
            }
        }
    }
}

/// What may stand behind a number.
pub(crate) fn unit_marks(measure: Measure, unit: Option<Unit>) -> &'static [&'static str] {
    match (measure, unit) {
        (Measure::Length, Some(Unit::Mm)) => &["mm"],
        (Measure::Length, Some(Unit::Inch)) => &["inch", "in", "\""],
        (Measure::Length, None) => &["mm", "inch", "in", "\""],
        (Measure::Angle, _) => &["degrees", "deg", "°"],
        (Measure::Force, _) => &["N"],
        _ => &[],
    }
}
