//! How a table was written: what separates cells, which mark is decimal, where lines end.

use super::Encoding;
use super::grid::{self, Record};
use super::layout::{Layout, plain};

/// What stands between two cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Delimiter {
    /// `,`
    #[default]
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
}

impl Delimiter {
    /// The character itself.
    pub fn char(self) -> char {
        match self {
            Delimiter::Comma => ',',
            Delimiter::Semicolon => ';',
            Delimiter::Tab => '\t',
        }
    }

    fn from_char(c: char) -> Option<Delimiter> {
        Delimiter::ALL.into_iter().find(|d| d.char() == c)
    }

    const ALL: [Delimiter; 3] = [Delimiter::Tab, Delimiter::Semicolon, Delimiter::Comma];
}

/// What stands before the decimals of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Decimal {
    /// `0.4`
    #[default]
    Point,
    /// `0,4`
    Comma,
}

impl Decimal {
    /// The character itself.
    pub fn char(self) -> char {
        match self {
            Decimal::Point => '.',
            Decimal::Comma => ',',
        }
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Decimal::Point => "decimal point",
            Decimal::Comma => "decimal comma",
        }
    }
}

/// What ends a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LineEnd {
    /// Line feed.
    #[default]
    Lf,
    /// Carriage return and line feed.
    CrLf,
    /// Carriage return alone.
    Cr,
}

impl LineEnd {
    /// The characters themselves.
    pub fn text(self) -> &'static str {
        match self {
            LineEnd::Lf => "\n",
            LineEnd::CrLf => "\r\n",
            LineEnd::Cr => "\r",
        }
    }

    /// The first line end in `rest`.
    pub(crate) fn at(rest: &str) -> LineEnd {
        if rest.starts_with("\r\n") {
            LineEnd::CrLf
        } else if rest.starts_with('\r') {
            LineEnd::Cr
        } else {
            LineEnd::Lf
        }
    }
}

/// How a table is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dialect {
    /// What separates cells.
    pub delimiter: Delimiter,
    /// Which mark is decimal.
    pub decimal: Decimal,
    /// What ends a line.
    pub line_end: LineEnd,
    /// How characters are stored.
    pub encoding: Encoding,
    /// A `sep=` line stands above the header.
    pub sep_line: bool,
}

impl Dialect {
    /// The `sep=` line, if there is to be one.
    pub(crate) fn sep_text(&self) -> String {
        let line = format!("sep={}{}", self.delimiter.char(), self.line_end.text());
        if self.sep_line { line } else { String::new() }
    }
}

/// What a `sep=` line in front of a table says; `Err` holds a mark that isn't known.
pub(crate) fn sep_line(text: &str) -> Option<Result<Delimiter, String>> {
    let line = text.split(['\r', '\n']).next()?.trim_matches('"');
    let head = line.get(..4)?;
    if !head.eq_ignore_ascii_case("sep=") {
        return None;
    }
    let mark = line[4..].chars().next();
    Some(mark.and_then(Delimiter::from_char).ok_or_else(|| line.to_string()))
}

/// The delimiter with which most of the header's names are known; with none
/// known, the one that stands there most often.
pub(crate) fn recognise(text: &str, layout: &Layout) -> Delimiter {
    let score = |d: &Delimiter| {
        let header = header(text, *d);
        let known = header.cells.iter().filter(|c| layout.knows(&plain(c))).count();
        (known, header.cells.len())
    };
    Delimiter::ALL.into_iter().max_by_key(score).unwrap_or_default()
}

/// The first record that holds anything.
fn header(text: &str, delimiter: Delimiter) -> Record {
    grid::records(text, delimiter.char()).find(|r| !r.is_blank()).unwrap_or_default()
}
