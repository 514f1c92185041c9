//! Text in lines of at most 80 columns.

use std::io::{self, Write};

use super::names::columns;

/// The widest line of any text output.
pub(super) const WIDTH: usize = 80;

/// Writes `head` and `text` in lines of at most [`WIDTH`] columns; lines after
/// the first start below the text, not below the head.
pub(crate) fn paragraph(out: &mut impl Write, head: &str, text: &str) -> io::Result<()> {
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
pub(crate) fn message(head: &str, text: &str) -> String {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(head: &str, text: &str) -> Vec<String> {
        let mut out = Vec::new();
        paragraph(&mut out, head, text).expect("a vector takes every write");
        String::from_utf8_lossy(&out).lines().map(str::to_owned).collect()
    }

    #[test]
    fn a_message_is_wrapped_and_its_paths_stay_whole() {
        let path = format!("a/{}.csv", "long".repeat(30));
        let text = format!("{path}: {} Next:  mend it.\nAnother problem.", "words ".repeat(20));
        let told = message("error: ", &text);
        assert!(told.lines().all(|l| columns(l) <= WIDTH || l.contains(&path)));
        assert!(told.lines().count() > 3 && told.ends_with("\nAnother problem."));
        assert_eq!(told.replace("\n       ", " "), format!("error: {text}"), "nothing is lost");
    }

    #[test]
    fn no_line_is_wider_than_the_page_and_no_letter_is_lost() {
        for text in ["word ".repeat(60), "x".repeat(300), format!("{} a b", "y".repeat(79))] {
            let lines = lines(" 1. ", &text);
            assert!(lines.iter().all(|l| columns(l) <= WIDTH));
            let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).count();
            assert_eq!(lines.iter().map(|l| letters(l)).sum::<usize>(), 2 + letters(&text));
            assert!(lines[1..].iter().all(|l| l.starts_with("    ")));
        }
    }
}
