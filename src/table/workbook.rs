//! Workbooks, as makers keep them: a sheet of an `.xlsx` or `.ods` file as the text table that it
//! stands for, so that every rule of text tables holds for it. A workbook is never written to.
//!
//! Why as text? A number that is stored as text, a date that was a fraction, an error in a cell, a
//! column too many: whatever can be wrong in a table is named already, with its row and column.

use std::io::Cursor;
use std::path::Path;

use calamine::{Data, ExcelDateTime, Ods, OdsError, Reader, Xlsx, XlsxError};
use zip::ZipArchive;

use super::file::{Raw, load_bytes};
use super::layout::plain;
use super::{Delimiter, Problem, Problems, Warning};
use crate::store::Place;

/// Ends of the names of workbooks that are read.
const ENDS: [&str; 2] = ["xlsx", "ods"];
/// A sheet reaches at most so far, rows and columns: as much as a text table.
const MOST: [u32; 2] = [1_000_000, 20_000];
/// No workbook that a maker fills in unpacks to more: 128 MiB, eight times the largest text table.
const UNPACKED: u64 = 128 << 20;

/// Whether the file is a workbook by its name.
pub(crate) fn is_workbook(path: &Path) -> bool {
    let end = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
    end.is_some_and(|end| ENDS.contains(&end.as_str()))
}

/// The workbook that stands in a text table's place: one of its name, of which the sheet of that
/// name counts or else the first; or another workbook of the folder with a sheet of that name.
/// Nothing where there is none.
pub(crate) fn instead_of(table: &Place) -> Option<Result<Raw, Problems>> {
    let name = table.path().file_stem()?.to_str()?;
    if let Some(own) = beside(table) {
        return Some(read(&own, Some(name)));
    }
    let mut holding = others(&table.parent()?).into_iter().filter_map(|path| {
        let book = Book::open(&path).ok()?;
        let sheet = book.named(name)?;
        Some((path, book, sheet))
    });
    let (path, mut book, sheet) = holding.next()?;
    if let Some((other, ..)) = holding.next() {
        let expected = format!("one workbook with a sheet '{name}', but {} has one too", &other);
        return Some(Err(Problem::new(&path, expected, "rename one of the sheets, or move the file").into()));
    }
    Some(book.sheet(&path, &sheet))
}

/// A workbook of a text table's name.
pub(crate) fn beside(table: &Place) -> Option<Place> {
    ENDS.iter().map(|end| table.at(table.path().with_extension(end))).find(Place::is_file)
}

/// Warnings of workbooks that are not read since a text table of their name stands beside them.
pub(crate) fn passed_over(folder: &Place, tables: &[&str]) -> Vec<Warning> {
    let warning = |name: &&str| {
        let table = folder.join(name);
        let book = beside(&table).filter(|_| table.is_file())?;
        let text = format!(
            "{} is not read, since {name} stands beside it: that has its rows, if any were added, and new ones. \
             Keep one of the two, and move the other out of the folder.",
            book
        );
        Some(Warning::new("workbook-beside", text))
    };
    tables.iter().filter_map(warning).collect()
}

/// Workbooks of a folder, in the order of their names.
fn others(folder: &Place) -> Vec<Place> {
    // What an office program has open it marks by such a file.
    let hidden = |name: &str| name.starts_with(['~', '.']);
    let names = folder.plain_names().unwrap_or_default().into_iter();
    names.filter(|name| is_workbook(Path::new(name)) && !hidden(name)).map(|name| folder.join(name)).collect()
}

/// A sheet of a workbook as a text table: the one of that name, or else the first.
pub(crate) fn read(path: &Place, name: Option<&str>) -> Result<Raw, Problems> {
    let mut book = Book::open(path)?;
    let first = || book.names().into_iter().next();
    match name.and_then(|name| book.named(name)).or_else(first) {
        Some(sheet) => book.sheet(path, &sheet),
        None => Err(damaged(path, "it has no sheet").into()),
    }
}

fn damaged(path: &Place, why: &str) -> Problem {
    let next = "open it in the program that wrote it, save it anew, or save the table as CSV text";
    Problem::new(path, format!("a whole workbook ({why})"), next)
}

fn locked(path: &Place) -> Problem {
    let next = "save it without a password, or save the table as CSV text";
    Problem::new(path, "a workbook without a password, but this one asks for it", next)
}

/// Whether the parts of a workbook say that they hold more than [`UNPACKED`] together. One that
/// holds more than it says is refused when it is unpacked; what is no archive, when it is opened.
fn is_too_large(bytes: &[u8]) -> bool {
    let Ok(mut parts) = ZipArchive::new(Cursor::new(bytes)) else { return false };
    let sizes = (0..parts.len()).filter_map(|i| Some(parts.by_index_raw(i).ok()?.size()));
    sizes.fold(0_u64, u64::saturating_add) > UNPACKED
}

fn too_large(path: &Place) -> Problem {
    let next = "save the sheet alone as a new workbook, without pictures, or save the table as CSV text";
    Problem::new(path, "a workbook that unpacks to at most 128 MiB", next)
}

enum Book {
    Xlsx(Box<Xlsx<Cursor<Vec<u8>>>>),
    Ods(Box<Ods<Cursor<Vec<u8>>>>),
}

impl Book {
    fn open(path: &Place) -> Result<Book, Problems> {
        let bytes = load_bytes(path)?;
        if is_too_large(&bytes) {
            return Err(too_large(path).into());
        }
        let bytes = Cursor::new(bytes);
        let ods = path.path().extension().is_some_and(|e| e.eq_ignore_ascii_case("ods"));
        let book = match ods {
            false => Xlsx::new(bytes).map(|b| Book::Xlsx(Box::new(b))).map_err(|e| match e {
                XlsxError::Password => locked(path),
                e => damaged(path, &e.to_string()),
            }),
            true => Ods::new(bytes).map(|b| Book::Ods(Box::new(b))).map_err(|e| match e {
                OdsError::Password => locked(path),
                e => damaged(path, &e.to_string()),
            }),
        };
        Ok(book?)
    }

    fn names(&self) -> Vec<String> {
        match self {
            Book::Xlsx(book) => book.sheet_names(),
            Book::Ods(book) => book.sheet_names(),
        }
    }

    /// The sheet of a name, as names of columns are compared.
    fn named(&self, name: &str) -> Option<String> {
        self.names().into_iter().find(|sheet| plain(sheet) == plain(name))
    }

    fn sheet(&mut self, path: &Place, sheet: &str) -> Result<Raw, Problems> {
        let mut cells = Cells::default();
        let read = match self {
            Book::Xlsx(book) => fill_xlsx(book, sheet, &mut cells),
            Book::Ods(book) => fill_ods(book, sheet, &mut cells),
        };
        read.map_err(|why| damaged(path, &why))?;
        let file = match self.names().len() {
            1 => path.to_string(),
            _ => format!("{}, sheet {sheet}", path),
        };
        let bytes = cells.text().map_err(|e| damaged(path, &e.to_string()))?;
        Ok(Raw { file, bytes, in_workbook: true })
    }
}

/// Cell by cell, since a sheet with one cell far out would fill the memory as a whole.
fn fill_xlsx(book: &mut Xlsx<Cursor<Vec<u8>>>, sheet: &str, cells: &mut Cells) -> Result<(), String> {
    let mut reader = book.worksheet_cells_reader(sheet).map_err(|e| e.to_string())?;
    while let Some(cell) = reader.next_cell().map_err(|e| e.to_string())? {
        cells.put(cell.get_position(), text(&Data::from(cell.get_value().clone())))?;
    }
    Ok(())
}

fn fill_ods(book: &mut Ods<Cursor<Vec<u8>>>, sheet: &str, cells: &mut Cells) -> Result<(), String> {
    let range = book.worksheet_range(sheet).map_err(|e| e.to_string())?;
    let (row, column) = range.start().unwrap_or_default();
    for (i, j, value) in range.used_cells() {
        cells.put((row + i as u32, column + j as u32), text(value))?;
    }
    Ok(())
}

/// What a spreadsheet would write into a text table for it.
fn text(value: &Data) -> String {
    match value {
        Data::Empty => String::new(),
        Data::String(text) => text.clone(),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => float(*number),
        Data::Bool(true) => "TRUE".to_owned(),
        Data::Bool(false) => "FALSE".to_owned(),
        Data::DateTime(date) => dated(date),
        Data::DateTimeIso(date) => date.split('T').next().unwrap_or_default().to_owned(),
        Data::DurationIso(time) => time.clone(),
        Data::Error(error) => error.to_string(),
    }
}

/// A spreadsheet counts with 15 digits, and shows no more.
fn float(number: f64) -> String {
    let rounded = format!("{number:.14e}").parse::<f64>().unwrap_or(number);
    format!("{rounded}")
}

fn dated(date: &ExcelDateTime) -> String {
    if !date.is_datetime() {
        return float(date.as_f64());
    }
    let (year, month, day, ..) = date.to_ymd_hms_milli();
    format!("{year:04}-{month:02}-{day:02}")
}

/// A sheet's cells by row and column, from the first of either on.
#[derive(Default)]
struct Cells {
    rows: Vec<Vec<String>>,
}

impl Cells {
    fn put(&mut self, (row, column): (u32, u32), text: String) -> Result<(), String> {
        if text.is_empty() {
            return Ok(());
        }
        if row >= MOST[0] || column >= MOST[1] {
            return Err(format!("a cell stands in row {}, column {}: too far out", row + 1, column + 1));
        }
        let (row, column) = (row as usize, column as usize);
        if self.rows.len() <= row {
            self.rows.resize_with(row + 1, Vec::new);
        }
        let cells = &mut self.rows[row];
        if cells.len() <= column {
            cells.resize_with(column + 1, String::new);
        }
        cells[column] = text;
        Ok(())
    }

    /// As a text table with decimal points; semicolons where a comma stands in a cell, which may
    /// be a decimal one.
    fn text(&self) -> csv::Result<Vec<u8>> {
        let comma = self.rows.iter().flatten().any(|cell| cell.contains(','));
        let delimiter = if comma { Delimiter::Semicolon } else { Delimiter::Comma };
        let mut out = csv::WriterBuilder::new()
            .delimiter(delimiter.char() as u8)
            .flexible(true)
            .from_writer(Vec::new());
        for row in &self.rows {
            match row.is_empty() {
                true => out.write_record([""])?,
                false => out.write_record(row)?,
            }
        }
        out.into_inner().map_err(|e| e.into_error().into())
    }
}

/// The name of a cell: its column's letters and its row.
pub(crate) fn cell_name(row: usize, column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect::<String>() + &row.to_string()
}
