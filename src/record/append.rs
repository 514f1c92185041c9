//! A table with new rows below: what stays, byte for byte, and what is new.

use std::io;

use crate::table::decode::encode;
use crate::table::layout::Layout;
use crate::table::named::Table;
use crate::table::rows::rows_text;
use crate::table::{Dialect, Encoding};

/// A row as the names of its columns with what stands there.
pub(crate) type NewRow = Vec<(&'static str, String)>;

/// The table to be added to.
pub(crate) struct Target {
    /// What it holds.
    pub layout: &'static Layout,
    /// The table as it stands, `None` if it is to be made.
    pub table: Option<Table>,
    /// How new rows are written.
    pub dialect: Dialect,
}

/// The new table in four parts, in order: the old one is head and tail.
pub(crate) struct Grown {
    head: String,
    /// Names of columns that the header lacked.
    names: String,
    tail: String,
    rows: String,
}

/// Why a table can't be grown.
pub(crate) enum Trouble {
    /// The encoding lacks this character.
    Character(char),
    /// The old bytes would not stay as they are.
    Changed,
    /// The rows can't be written.
    Rows(io::Error),
}

impl Target {
    /// The bytes of the table with new rows below, the bytes of `old` all kept.
    pub fn grown(&self, old: Option<&[u8]>, rows: &[NewRow]) -> Result<Vec<u8>, Trouble> {
        let grown = match &self.table {
            Some(table) => self.longer(table, rows),
            None => self.begun(rows),
        };
        grown.map_err(Trouble::Rows)?.bytes(self.dialect.encoding, old)
    }

    fn longer(&self, table: &Table, rows: &[NewRow]) -> io::Result<Grown> {
        let (head, tail) = table.text.split_at(table.header_end);
        let lacking: Vec<&str> = used(self.layout, rows).filter(|name| !table.has(name)).collect();
        let delimiter = self.dialect.delimiter.char();
        let names = lacking.iter().map(|name| format!("{delimiter}{name}")).collect();
        let columns = table.columns.iter().map(String::as_str).chain(lacking);
        let mut below = String::new();
        if !table.text.ends_with(['\n', '\r']) {
            below.push_str(self.dialect.line_end.text());
        }
        below.push_str(&self.cells(&columns.collect::<Vec<_>>(), rows)?);
        Ok(Grown { head: head.into(), names, tail: tail.into(), rows: below })
    }

    fn begun(&self, rows: &[NewRow]) -> io::Result<Grown> {
        let columns: Vec<&str> = used(self.layout, rows).collect();
        let header = vec![columns.iter().map(ToString::to_string).collect()];
        let head = self.dialect.sep_text() + &rows_text(&header, &self.dialect)?;
        let rows = self.cells(&columns, rows)?;
        Ok(Grown { head, names: String::new(), tail: String::new(), rows })
    }

    fn cells(&self, columns: &[&str], rows: &[NewRow]) -> io::Result<String> {
        let cell = |row: &NewRow, column: &str| {
            let found = row.iter().find(|(name, _)| *name == column);
            found.map(|(_, cell)| cell.clone()).unwrap_or_default()
        };
        let row = |row: &NewRow| columns.iter().map(|c| cell(row, c)).collect();
        rows_text(&rows.iter().map(row).collect::<Vec<_>>(), &self.dialect)
    }
}

impl Grown {
    fn bytes(&self, encoding: Encoding, old: Option<&[u8]>) -> Result<Vec<u8>, Trouble> {
        // The byte order mark stands once, in front of all.
        let rest = Encoding { mark: false, ..encoding };
        let encoded = |text: &str, encoding| encode(text, encoding).map_err(Trouble::Character);
        let (head, tail) = (encoded(&self.head, encoding)?, encoded(&self.tail, rest)?);
        if old.is_some_and(|old| old != [head.as_slice(), tail.as_slice()].concat()) {
            return Err(Trouble::Changed);
        }
        Ok([head, encoded(&self.names, rest)?, tail, encoded(&self.rows, rest)?].concat())
    }
}

/// The columns that rows use, in the usual order.
fn used(layout: &Layout, rows: &[NewRow]) -> impl Iterator<Item = &'static str> {
    layout.names().into_iter().filter(|name| rows.iter().flatten().any(|(column, _)| column == name))
}
