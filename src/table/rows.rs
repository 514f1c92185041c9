//! Values to cells, and rows of cells to text.

use std::io;

use super::range::trimmed;
use super::{Decimal, Delimiter, Dialect};

/// A number with at most that many decimals, so that no reader can take it for
/// another: `1.234` gets a fourth decimal where it might be 1234.
pub(crate) fn number(value: f64, decimals: usize, dialect: &Dialect) -> String {
    let mut text = trimmed(format!("{value:.decimals$}"));
    let certain = dialect.delimiter == Delimiter::Comma && dialect.decimal == Decimal::Point;
    if !certain && text.split_once('.').is_some_and(|(_, d)| d.len() == 3) {
        text.push('0');
    }
    text.replace('.', &dialect.decimal.char().to_string())
}

/// Rows as text, cells quoted where needed.
pub(crate) fn rows_text(rows: &[Vec<String>], dialect: &Dialect) -> io::Result<String> {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(u8::try_from(dialect.delimiter.char()).unwrap_or(b','))
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        writer.write_record(row)?;
    }
    let bytes = writer.into_inner().map_err(|e| e.into_error())?;
    let text = String::from_utf8(bytes).map_err(io::Error::other)?;
    Ok(with_line_ends(&text, dialect))
}

/// The writer ends every row with a line feed; cells hold none, since names are
/// one line and notes are made so.
fn with_line_ends(text: &str, dialect: &Dialect) -> String {
    text.replace('\n', dialect.line_end.text())
}
