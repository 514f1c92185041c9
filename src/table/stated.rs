//! Names of columns that are nearly right: with a unit behind them, or misspelt.

use super::cell::Sheet;
use super::layout::Layout;
use super::named::Table;
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

impl Table {
    /// Takes the unit from names such as `lift (mm)`; [`Sheet::check_units`] holds it to the
    /// folder's.
    pub(super) fn take_units(&mut self) {
        for i in 0..self.columns.len() {
            let plain = self.columns[i].clone();
            if let Some((name, stated)) = with_unit(self.layout, &plain)
                && !self.has(name)
            {
                self.columns[i] = name.to_owned();
                self.stated.push((name.to_owned(), stated));
            }
        }
    }

    /// Columns that may be left out, and stand there by nearly their names: to drop them would
    /// answer without them.
    pub(super) fn nearly_named(&self, header: usize) -> Vec<Problem> {
        let known = self.layout.names();
        let required = self.layout.required();
        let needless = |name: &&str| !self.has(name) && !required.iter().any(|any| any.contains(name));
        let lacking: Vec<&str> = known.iter().copied().filter(needless).filter(|n| *n != "note").collect();
        let strangers =
            self.columns.iter().enumerate().filter(|(_, c)| !c.is_empty() && !known.contains(&c.as_str()));
        let filled = |i: usize| self.rows.iter().any(|row| row.filled(i));
        strangers
            .filter(|(i, _)| filled(*i))
            .filter_map(|(i, column)| Some((i, nearest(column, lacking.iter().copied())?)))
            .map(|(i, name)| self.misspelt(header, i, name))
            .collect()
    }

    fn misspelt(&self, header: usize, place: usize, name: &str) -> Problem {
        let here = printable(&self.names[place]);
        let expected = format!("a column name that is read; '{here}' is nearly '{name}'");
        let unit = if here.contains(['(', '[']) { " and in the unit of this folder" } else { "" };
        let next = format!(
            "rename the column '{here}' to '{name}' if it is that{unit}, else give it a name that is like none of \
             them"
        );
        Problem::new(&self.file, expected, next).row(header)
    }
}

impl Sheet<'_> {
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
}
