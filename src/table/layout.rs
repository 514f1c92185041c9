//! What a table may hold, as plain data: its columns, each declared once. Reading,
//! messages, writing and the documentation follow from it.

use super::{Measure, Range, Unit};

/// What stands in a column's cells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Holds {
    /// Words or names.
    Text,
    /// Whole numbers.
    Whole(Range),
    /// Measured numbers, which show the file's decimal mark.
    Number(Range),
}

/// Whether a table must have a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Need {
    /// It must.
    Must,
    /// It may.
    May,
    /// This one or that one, never both.
    Or(&'static str),
}

/// A column of a table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
    /// Its name, as it is compared (see [`plain`]).
    pub name: &'static str,
    /// What stands in it.
    pub holds: Holds,
    /// Whether the table must have it.
    pub need: Need,
    /// What an empty cell lacks.
    pub what: &'static str,
    /// Which sign means what, where another column has the opposite one.
    pub sign: &'static str,
    /// What the documentation says of it, if it has a line of its own there.
    pub line: &'static str,
}

impl Column {
    const fn new(name: &'static str, holds: Holds, what: &'static str) -> Column {
        Column { name, holds, need: Need::Must, what, sign: "", line: "" }
    }

    /// A column of words that the table must have.
    pub const fn text(name: &'static str, what: &'static str) -> Column {
        Column::new(name, Holds::Text, what)
    }

    /// A column of whole numbers that the table must have.
    pub const fn whole(name: &'static str, range: Range, what: &'static str) -> Column {
        Column::new(name, Holds::Whole(range), what)
    }

    /// A column of measured numbers that the table must have.
    pub const fn number(name: &'static str, range: Range, what: &'static str) -> Column {
        Column::new(name, Holds::Number(range), what)
    }

    /// The table may go without it.
    pub const fn may(mut self) -> Column {
        self.need = Need::May;
        self
    }

    /// The other column may stand in its place.
    pub const fn or(mut self, other: &'static str) -> Column {
        self.need = Need::Or(other);
        self
    }

    /// What its positive sign means.
    pub const fn sign(mut self, sign: &'static str) -> Column {
        self.sign = sign;
        self
    }

    /// Its line in the documentation.
    pub const fn line(mut self, line: &'static str) -> Column {
        self.line = line;
        self
    }

    /// The range of its numbers.
    pub fn range(&self) -> Option<&Range> {
        match &self.holds {
            Holds::Text => None,
            Holds::Whole(range) | Holds::Number(range) => Some(range),
        }
    }

    /// A value inside (mm, radians) as a file in this unit has it.
    pub fn outside(&self, value: f64, unit: Unit) -> f64 {
        match self.range().map(|range| range.measure) {
            Some(Measure::Length) => value / unit.mm(),
            Some(Measure::Angle) => value.to_degrees(),
            _ => value,
        }
    }
}

/// Everything that tables of one kind have in common.
pub(crate) struct Layout {
    /// The file that holds one; empty where any file may.
    pub file: &'static str,
    /// Its columns in the order in which a new file gets them; of two with one name the
    /// first counts.
    pub parts: &'static [&'static [Column]],
    /// Columns that it needn't have though they are marked so.
    pub spared: &'static [&'static str],
    /// Whether a unit may stand behind a column's name; who reads the table then checks it.
    pub units: bool,
    /// What to do where nothing stands in the file.
    pub empty: &'static str,
    /// All layouts, this one too: a table may stand in another one's place.
    pub family: &'static [&'static Layout],
}

impl Layout {
    /// What to do with an empty file unless a layout says more.
    pub const EMPTY: &'static str = "write the table into it, or delete the file if it may be left out";

    /// Whether it is put together of two tables.
    pub fn is_joined(&self) -> bool {
        self.parts.len() > 1
    }

    /// The columns, each name once.
    pub fn columns(&self) -> impl Iterator<Item = &'static Column> {
        let all: Vec<&'static Column> = self.parts.iter().copied().flatten().collect();
        let first =
            move |(i, column): (usize, &&'static Column)| !all[..i].iter().any(|c| c.name == column.name);
        let all = self.parts.iter().copied().flatten();
        all.enumerate().filter(move |(i, c)| first((*i, c))).map(|(_, column)| column)
    }

    /// The column of that name.
    pub fn column(&self, name: &str) -> Option<&'static Column> {
        self.parts.iter().copied().flatten().find(|c| c.name == name)
    }

    /// Every column's name.
    pub fn names(&self) -> Vec<&'static str> {
        self.columns().map(|c| c.name).collect()
    }

    /// The names of which the table must have one each.
    pub fn required(&self) -> Vec<Vec<&'static str>> {
        let mut groups: Vec<Vec<&'static str>> = Vec::new();
        for column in self.columns().filter(|c| !self.spared.contains(&c.name)) {
            match column.need {
                Need::Must => groups.push(vec![column.name]),
                Need::Or(other) if !groups.iter().flatten().any(|n| *n == column.name) => {
                    groups.push(vec![column.name, other]);
                }
                _ => {}
            }
        }
        groups
    }

    /// Whether any table of the family has a column of that name that `is` so.
    pub fn any(&self, name: &str, is: impl Fn(&Column) -> bool) -> bool {
        self.family.iter().filter_map(|layout| layout.column(name)).any(is)
    }

    /// Whether any table of the family has this column.
    pub fn knows(&self, name: &str) -> bool {
        self.any(name, |_| true)
    }
}

/// A column's name as it is compared: `Outer Bevel` is `outer_bevel`.
pub(crate) fn plain(header: &str) -> String {
    let joined: Vec<&str> =
        header.split([' ', '-', '_', '\n', '\r', '\u{a0}']).filter(|w| !w.is_empty()).collect();
    joined.join("_").to_lowercase()
}
