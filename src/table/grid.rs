//! Text to rows of cells, counted as a spreadsheet counts them.
//!
//! Why not the csv crate for reading? It skips blank lines, counts lines rather
//! than rows, takes a quote that never closes for the rest of the file, and
//! doesn't say where the header ends. Row numbers in messages and adding columns
//! without touching a row need all four. Writing goes through that crate.

use std::ops::Range;

/// One row of cells.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Record {
    /// The cells, unquoted and without white space around them.
    pub cells: Vec<String>,
    /// Where the row's text ends, before its line end; bytes from the start.
    pub end: usize,
    /// What is wrong with the quotes, if anything.
    pub fault: Option<Fault>,
}

/// A quoted cell that can't be read exactly.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fault {
    /// A quote was opened and never closed.
    Open,
    /// Text stands between the closing quote and the end of the cell.
    After,
}

impl Record {
    /// Nothing stands in any cell.
    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(String::is_empty)
    }
}

/// The rows of `text`, blank ones included.
pub(crate) fn records(text: &str, delimiter: char) -> impl Iterator<Item = Record> {
    let mut rest = Scanner { text, at: 0, delimiter };
    std::iter::from_fn(move || (rest.at < text.len()).then(|| rest.record(&mut |_| ())))
}

/// The rows, each with where its cells stand in the text, with their quotes and the white space
/// around them. Apart from [`records`], since of millions of rows the places would take as much
/// memory again.
pub(crate) fn placed_records(
    text: &str,
    delimiter: char,
) -> impl Iterator<Item = (Record, Vec<Range<usize>>)> {
    let mut rest = Scanner { text, at: 0, delimiter };
    std::iter::from_fn(move || {
        let mut places = Vec::new();
        (rest.at < text.len()).then(|| (rest.record(&mut |place| places.push(place)), places))
    })
}

struct Scanner<'a> {
    text: &'a str,
    at: usize,
    delimiter: char,
}

impl Scanner<'_> {
    fn record(&mut self, placed: &mut dyn FnMut(Range<usize>)) -> Record {
        let mut record = Record::default();
        loop {
            let from = self.at;
            let cell = self.cell(&mut record.fault);
            record.cells.push(cell);
            placed(from..self.at);
            record.end = self.at;
            match self.peek() {
                Some(c) if c == self.delimiter => self.skip(c),
                Some(c) => {
                    self.line_end(c);
                    return record;
                }
                None => return record,
            }
        }
    }

    fn cell(&mut self, fault: &mut Option<Fault>) -> String {
        if self.peek() != Some('"') {
            return self.plain().trim().to_string();
        }
        let quoted = self.quoted(fault);
        if !self.plain().trim().is_empty() {
            fault.get_or_insert(Fault::After);
        }
        quoted.trim().to_string()
    }

    /// Up to the next delimiter or line end.
    fn plain(&mut self) -> &str {
        let from = self.at;
        let stop = [self.delimiter, '\r', '\n'];
        self.at = self.text[from..].find(stop).map_or(self.text.len(), |n| from + n);
        &self.text[from..self.at]
    }

    fn quoted(&mut self, fault: &mut Option<Fault>) -> String {
        self.skip('"');
        let mut out = String::new();
        while let Some(c) = self.peek() {
            self.skip(c);
            if c != '"' {
                out.push(c);
            } else if self.peek() == Some('"') {
                self.skip('"');
                out.push('"');
            } else {
                return out;
            }
        }
        fault.get_or_insert(Fault::Open);
        out
    }

    fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    fn skip(&mut self, c: char) {
        self.at += c.len_utf8();
    }

    fn line_end(&mut self, c: char) {
        self.skip(c);
        if c == '\r' && self.peek() == Some('\n') {
            self.skip('\n');
        }
    }
}
