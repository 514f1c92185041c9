//! What is wrong with a file: where, what stands there, what was expected, what next.

use std::fmt;

/// One thing that is wrong in one file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Problem {
    /// The file, as the maker would find it.
    pub file: String,
    /// The row as a spreadsheet counts it (the header is row 1, or row 2 under a
    /// `sep=` line); in `joint.toml` the line.
    pub row: Option<usize>,
    /// The column's name; in `joint.toml` the key.
    pub column: Option<String>,
    /// What stands there.
    pub found: Option<String>,
    /// What was expected there.
    pub expected: String,
    /// What to do now.
    pub next: String,
}

impl Problem {
    pub(crate) fn new(file: impl Into<String>, expected: impl Into<String>, next: impl Into<String>) -> Self {
        let (file, expected, next) = (file.into(), expected.into(), next.into());
        Problem { file, row: None, column: None, found: None, expected, next }
    }

    pub(crate) fn row(mut self, row: usize) -> Self {
        self.row = Some(row);
        self
    }

    pub(crate) fn column(mut self, column: impl Into<String>) -> Self {
        self.column = Some(column.into());
        self
    }

    pub(crate) fn found(mut self, found: impl AsRef<str>) -> Self {
        self.found = Some(printable(found.as_ref()));
        self
    }
}

/// At most 60 characters, none of them able to steer a terminal.
pub(crate) fn printable(text: &str) -> String {
    let mut out: String = text.chars().take(60).flat_map(visible).collect();
    if text.chars().count() > 60 {
        out.push('…');
    }
    out
}

fn visible(c: char) -> Vec<char> {
    if c.is_control() { c.escape_default().collect() } else { vec![c] }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(row) = self.row {
            let word = if self.file.ends_with(".toml") { "line" } else { "row" };
            write!(f, ", {word} {row}")?;
        }
        if let Some(column) = &self.column {
            let word = if self.file.ends_with(".toml") { "key" } else { "column" };
            write!(f, ", {word} {column}")?;
        }
        match self.found.as_deref() {
            Some("") => write!(f, ": nothing stands there")?,
            Some(found) => write!(f, ": found '{found}'")?,
            None => {}
        }
        let joint = if self.found.is_some() { "; expected" } else { ": expected" };
        write!(f, "{joint} {}. Next: {}.", self.expected, self.next)
    }
}

/// Everything that is wrong in a folder or table; never empty.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub struct Problems(Vec<Problem>);

impl Problems {
    /// `Ok` when there is nothing wrong.
    pub(crate) fn none_in(list: Vec<Problem>) -> Result<(), Problems> {
        if list.is_empty() { Ok(()) } else { Err(Problems(list)) }
    }

    /// Problems that were found before, told otherwise.
    pub(crate) fn of(list: Vec<Problem>) -> Problems {
        Problems(list)
    }

    /// The problems, file by file.
    pub fn list(&self) -> &[Problem] {
        &self.0
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Problems(vec![problem])
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}
