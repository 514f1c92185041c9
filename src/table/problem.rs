//! What is wrong with a file: where, what stands there, what was expected, what next.

use std::collections::HashMap;
use std::fmt;

use serde::Serialize;

use super::{Range, Unit};

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
    /// The cell's name in a workbook, such as `D5`.
    pub cell: Option<String>,
    /// What stands there.
    pub found: Option<String>,
    /// What was expected there.
    pub expected: String,
    /// What to do now.
    pub next: String,
    /// What is known of it beyond its words.
    pub kind: Kind,
}

/// What a problem is, where others of its kind are told together with it or in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Kind {
    /// It stands for itself.
    #[default]
    Own,
    /// A length that is out of range, and would be in range in the other unit.
    OtherUnit,
    /// A round whose signs are the wrong way round.
    Signs,
}

impl Problem {
    pub(crate) fn new(file: impl Into<String>, expected: impl Into<String>, next: impl Into<String>) -> Self {
        let [file, expected, next] = [file.into(), expected.into(), next.into()].map(harmless);
        Problem { file, row: None, column: None, cell: None, found: None, expected, next, kind: Kind::Own }
    }

    pub(crate) fn row(mut self, row: usize) -> Self {
        self.row = Some(row);
        self
    }

    pub(crate) fn column(mut self, column: impl Into<String>) -> Self {
        self.column = Some(harmless(column.into()));
        self
    }

    pub(crate) fn in_cell(self, cell: Option<String>) -> Self {
        Problem { cell, ..self }
    }

    /// What a row of the file is called.
    pub(crate) fn row_word(&self) -> &'static str {
        if self.file.ends_with(".toml") { "line" } else { "row" }
    }

    /// A value out of range, as the file has it: would it be in range in the other unit?
    pub(crate) fn in_other_unit(mut self, range: &Range, raw: f64, unit: Unit) -> Self {
        if range.in_other_unit(raw, unit) {
            self.kind = Kind::OtherUnit;
        }
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

/// The text, with nothing in it that could steer a terminal.
fn harmless(text: String) -> String {
    if text.chars().any(char::is_control) { text.chars().flat_map(visible).collect() } else { text }
}

fn visible(c: char) -> Vec<char> {
    if c.is_control() { c.escape_default().collect() } else { vec![c] }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file)?;
        if let Some(row) = self.row {
            write!(f, ", {} {row}", self.row_word())?;
        }
        if let Some(column) = &self.column {
            let word = if self.file.ends_with(".toml") { "key" } else { "column" };
            write!(f, ", {word} {column}")?;
        }
        if let Some(cell) = &self.cell {
            write!(f, " (cell {cell})")?;
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

/// No more problems than this are kept: whoever wrote so many knows what to do.
pub(crate) const MOST: usize = 1000;

/// So many lines are told of one kind of problem; more are counted.
const TOLD: usize = 3;

/// So many lines are told in all.
const MOST_LINES: usize = 50;

/// Problems that are alike: the same file and column, the same words but for numbers.
type Alike<'a> = (&'a str, Option<&'a str>, String);

fn alike(problem: &Problem) -> Alike<'_> {
    let words = problem.expected.chars().filter(|c| !c.is_ascii_digit() && *c != '.').collect();
    (&problem.file, problem.column.as_deref(), words)
}

/// What stands below the last line of a kind that is told: how many more there are.
fn more(rest: &[&Problem]) -> String {
    let column = rest[0].column.as_ref().map(|c| format!(", column {c}")).unwrap_or_default();
    let rows = || rest.iter().filter_map(|p| p.row);
    let (first, last) = (rows().min().unwrap_or(0), rows().max().unwrap_or(0));
    format!("{}{column}: the same {} times more, in rows {first} to {last}.", rest[0].file, rest.len())
}

impl Problems {
    /// The lines, with problems of one kind beyond the first few only counted.
    fn lines(&self) -> Vec<String> {
        let mut kinds: HashMap<Alike<'_>, Vec<&Problem>> = HashMap::new();
        for problem in &self.0 {
            kinds.entry(alike(problem)).or_default().push(problem);
        }
        let mut lines = Vec::new();
        for problem in &self.0 {
            let all = &kinds[&alike(problem)];
            // A line that only says 'once more' saves nothing.
            let told = if all.len() <= TOLD + 1 { all.len() } else { TOLD };
            if all[..told].iter().any(|p| std::ptr::eq(*p, problem)) {
                lines.push(problem.to_string());
            } else if std::ptr::eq(all[told], problem) {
                lines.push(more(&all[told..]));
            }
        }
        if lines.len() > MOST_LINES + 1 {
            let rest = lines.split_off(MOST_LINES).len();
            lines.push(format!("And {rest} more like these; mend what is told, then ask again."));
        }
        if self.0.len() >= MOST {
            lines.push(format!("Only the first {MOST} problems were looked at."));
        }
        lines
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.lines().join("\n"))
    }
}

/// Something the maker should know, short of an error: what, and the next step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// A stable short name, such as `no-lift`.
    pub code: &'static str,
    /// The sentence, with the next step.
    pub text: String,
}

impl Warning {
    /// A warning with a stable code and its sentence.
    pub fn new(code: &'static str, text: impl Into<String>) -> Self {
        Warning { code, text: text.into() }
    }
}
