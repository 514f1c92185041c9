//! Text in lines of at most 80 columns.

use std::io::{self, Write};

use super::names::columns;

/// The widest line of any text output.
pub const WIDTH: usize = 80;

/// Writes `head` and `text` in lines of at most [`WIDTH`] columns; lines after
/// the first start below the text, not below the head.
pub fn paragraph(out: &mut impl Write, head: &str, text: &str) -> io::Result<()> {
    let indent = columns(head);
    let mut line = head.to_owned();
    let mut blank = true;
    for word in text.split_whitespace().flat_map(|w| pieces(w, WIDTH - indent)) {
        if !blank && columns(&line) + 1 + columns(&word) > WIDTH {
            writeln!(out, "{line}")?;
            line = " ".repeat(indent);
        } else if !blank {
            line.push(' ');
        }
        line.push_str(&word);
        blank = false;
    }
    writeln!(out, "{line}")
}

/// A message in lines of at most [`WIDTH`] columns; lines after the first stand below
/// the text, not below `head`. A word stays whole, so that a path can be copied; each
/// line of the text begins one.
pub fn message(head: &str, text: &str) -> String {
    let indent = " ".repeat(columns(head));
    let mut lines = Vec::new();
    for (i, part) in text.lines().enumerate() {
        let mut line = if i == 0 { head.to_owned() } else { String::new() };
        for (k, word) in part.split(' ').enumerate() {
            if k > 0 && columns(&line) + 1 + columns(word) > WIDTH {
                lines.push(std::mem::replace(&mut line, indent.clone()));
            } else if k > 0 {
                line.push(' ');
            }
            line.push_str(word);
        }
        lines.push(line);
    }
    lines.join("\n")
}

/// Text in lines of at most `width` columns.
pub(super) fn lines(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace().flat_map(|w| pieces(w, width)) {
        match lines.last_mut() {
            Some(line) if columns(line) + 1 + columns(&word) <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// A word, broken where it is wider than a line.
fn pieces(word: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for letter in word.chars().filter(|c| !c.is_control()) {
        let last = pieces.len() - 1;
        let grown = format!("{}{letter}", pieces[last]);
        if columns(&grown) > width {
            pieces.push(letter.to_string());
        } else {
            pieces[last] = grown;
        }
    }
    pieces
}
