//! A table of figures with heads over it and, above these, what some share.

use std::io::{self, Write};

use super::names::columns;

/// Columns of figures, numbers to the right.
pub(super) struct Grid {
    /// What the columns from one to the next but one share, such as ` gap `.
    pub groups: Vec<(usize, &'static str)>,
    /// Head of each column.
    pub heads: Vec<&'static str>,
    /// The cells, row by row.
    pub rows: Vec<Vec<String>>,
}

impl Grid {
    /// Width of each column, the two blanks before it left out.
    fn widths(&self) -> Vec<usize> {
        let widest = |c: usize| self.rows.iter().map(|r| columns(&r[c])).max().unwrap_or(0);
        self.heads.iter().enumerate().map(|(c, head)| widest(c).max(columns(head))).collect()
    }

    /// Width of all columns together.
    pub(super) fn width(&self) -> usize {
        self.widths().iter().map(|w| w + 2).sum()
    }

    /// Writes the table; `names` stand before the rows, the first before the
    /// heads, all padded to one width.
    pub(super) fn write(&self, names: &[String], out: &mut impl Write) -> io::Result<()> {
        let widths = self.widths();
        let room = names.iter().map(|n| columns(n)).max().unwrap_or(0);
        if !self.groups.is_empty() {
            line(out, &" ".repeat(room), &self.over(&widths))?;
        }
        let heads: Vec<String> = self.heads.iter().map(|h| (*h).to_owned()).collect();
        for (name, cells) in names.iter().zip([&heads].into_iter().chain(&self.rows)) {
            let figure = |(c, w): (&String, &usize)| format!("  {}{c}", " ".repeat(w - columns(c)));
            let figures: String = cells.iter().zip(&widths).map(figure).collect();
            line(out, &format!("{name}{}", " ".repeat(room - columns(name))), &figures)?;
        }
        Ok(())
    }

    /// The line over the heads.
    fn over(&self, widths: &[usize]) -> String {
        let mut text = String::new();
        let mut c = 0;
        while c < widths.len() {
            let group = self.groups.iter().find(|(at, _)| *at == c && c + 1 < widths.len());
            let (taken, part) = match group {
                Some((_, name)) => (2, format!("{name:-^w$}", w = widths[c] + 2 + widths[c + 1])),
                None => (1, " ".repeat(widths[c])),
            };
            text.push_str("  ");
            text.push_str(&part);
            c += taken;
        }
        text
    }
}

/// One line without blanks at its end.
fn line(out: &mut impl Write, name: &str, figures: &str) -> io::Result<()> {
    writeln!(out, "{}", format!("{name}{figures}").trim_end())
}
