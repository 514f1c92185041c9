//! A table with new rows below, and with cells corrected: what stays, byte for byte, and
//! what is new.

use std::io;

use crate::table::decode::encode;
use crate::table::grid;
use crate::table::layout::Layout;
use crate::table::named::Table;
use crate::table::rows::rows_text;
use crate::table::{Dialect, Encoding};

/// A row as the names of its columns with what stands there.
pub(crate) type NewRow = Vec<(&'static str, String)>;

/// What is to stand in some cells of a row that is there.
pub(crate) struct Edit {
    /// The row, as a spreadsheet counts it.
    pub row: usize,
    /// The cells.
    pub cells: NewRow,
}

/// The table to be added to.
pub(crate) struct Target {
    /// What it holds.
    pub layout: &'static Layout,
    /// The table as it stands, `None` if it is to be made.
    pub table: Option<Table>,
    /// How new rows are written.
    pub dialect: Dialect,
}

/// The new table in four parts, in order: head, names, tail and rows.
pub(crate) struct Grown {
    head: String,
    /// Names of columns that the header lacked.
    names: String,
    tail: String,
    /// What stood in the tail's place.
    old_tail: String,
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
        self.revised(old, &[], rows)
    }

    /// The same with cells of rows that are there changed: those cells and no others.
    pub fn revised(&self, old: Option<&[u8]>, edits: &[Edit], rows: &[NewRow]) -> Result<Vec<u8>, Trouble> {
        let grown = match &self.table {
            Some(table) => self.longer(table, edits, rows),
            None => self.begun(rows),
        };
        grown.map_err(Trouble::Rows)?.bytes(self.dialect.encoding, old)
    }

    fn longer(&self, table: &Table, edits: &[Edit], rows: &[NewRow]) -> io::Result<Grown> {
        let (head, tail) = table.text.split_at(table.header_end);
        let cells = || edits.iter().map(|e| &e.cells).chain(rows);
        let lacking: Vec<&str> = used(self.layout, cells).filter(|name| !table.has(name)).collect();
        let delimiter = self.dialect.delimiter.char();
        let names = lacking.iter().map(|name| format!("{delimiter}{name}")).collect();
        let columns: Vec<&str> = table.columns.iter().map(String::as_str).chain(lacking).collect();
        let mut below = String::new();
        if !rows.is_empty() && !table.text.ends_with(['\n', '\r']) {
            below.push_str(self.dialect.line_end.text());
        }
        below.push_str(&self.cells(&columns, rows)?);
        let tail_now = self.edited(&table.text, &columns, edits)?.split_off(head.len());
        Ok(Grown { head: head.into(), names, tail: tail_now, old_tail: tail.into(), rows: below })
    }

    /// The text with the edits made in it.
    fn edited(&self, text: &str, columns: &[&str], edits: &[Edit]) -> io::Result<String> {
        let (mut now, mut kept) = (String::new(), 0);
        for (i, (record, places)) in grid::placed_records(text, self.dialect.delimiter.char()).enumerate() {
            let (Some(edit), Some(first)) = (edits.iter().find(|e| e.row == i + 1), places.first()) else {
                continue;
            };
            let cells = places.iter().map(|place| text[place.clone()].to_owned()).collect();
            now.push_str(&text[kept..first.start]);
            now.push_str(&self.row(cells, columns, edit)?);
            kept = record.end;
        }
        now.push_str(&text[kept..]);
        Ok(now)
    }

    /// A row with an edit made in it.
    fn row(&self, mut cells: Vec<String>, columns: &[&str], edit: &Edit) -> io::Result<String> {
        for (name, cell) in &edit.cells {
            let Some(at) = columns.iter().position(|column| column == name) else { continue };
            cells.resize(cells.len().max(at + 1), String::new());
            cells[at] = match cell.is_empty() {
                true => String::new(),
                false => rows_text(&[vec![cell.clone()]], &self.dialect)?.trim_end().to_owned(),
            };
        }
        Ok(cells.join(&self.dialect.delimiter.char().to_string()))
    }

    fn begun(&self, rows: &[NewRow]) -> io::Result<Grown> {
        let columns: Vec<&str> = used(self.layout, || rows.iter()).collect();
        let header = vec![columns.iter().map(ToString::to_string).collect()];
        let head = self.dialect.sep_text() + &rows_text(&header, &self.dialect)?;
        let rows = self.cells(&columns, rows)?;
        Ok(Grown { head, names: String::new(), tail: String::new(), old_tail: String::new(), rows })
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
        let (head, old_tail) = (encoded(&self.head, encoding)?, encoded(&self.old_tail, rest)?);
        if old.is_some_and(|old| old != [head.as_slice(), old_tail.as_slice()].concat()) {
            return Err(Trouble::Changed);
        }
        let (names, tail) = (encoded(&self.names, rest)?, encoded(&self.tail, rest)?);
        Ok([head, names, tail, encoded(&self.rows, rest)?].concat())
    }
}

/// The columns that rows use, in the usual order.
fn used<'a, R: Iterator<Item = &'a NewRow>>(
    layout: &Layout,
    rows: impl Fn() -> R,
) -> impl Iterator<Item = &'static str> {
    layout.names().into_iter().filter(move |name| rows().flatten().any(|(column, _)| column == name))
}
