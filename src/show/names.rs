//! Station names where room is short: cut in the middle, still told apart.

use std::collections::HashSet;
use std::path::Path;

use unicode_width::UnicodeWidthStr;

pub(crate) use crate::advice::capital;

/// A name fit to print: control characters become spaces.
pub(crate) fn clean(name: &str) -> String {
    name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// What the words are about, in front of them: the maker's title, if there is one.
pub(crate) fn headed(title: Option<&str>, words: &str) -> String {
    title.map_or_else(|| capital(words), |title| format!("{}, {words}", clean(title)))
}

/// The command to give next, with a folder as a shell takes it.
pub(crate) fn next_command(name: &str, folder: &Path) -> String {
    let folder = folder.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || "/._-+:\\".contains(c);
    match folder.chars().all(plain) {
        true => format!("ribwright {name} {folder}"),
        false => format!("ribwright {name} '{folder}'"),
    }
}

/// Columns a text takes on a terminal.
pub(super) fn columns(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// The names, each cut in its middle until `fits` accepts it. Beginning and
/// end stay, since names of stations mostly differ there; two that would look
/// alike carry their number along the joint instead of their end.
pub(super) fn shortened(names: &[&str], fits: impl Fn(&str) -> bool) -> Vec<String> {
    let mut seen = HashSet::new();
    let clean: Vec<String> = names.iter().map(|n| clean(n)).collect();
    let cut = clean.iter().map(|n| cut(n, "", &fits));
    let cut: Vec<String> = cut.collect();
    let twice: HashSet<&String> = cut.iter().filter(|n| !seen.insert(*n)).collect();
    let number = |i: usize| format!("#{}", i + 1);
    let choose = |(i, short): (usize, &String)| match twice.contains(short) {
        true => self::cut(&clean[i], &number(i), &fits),
        false => short.clone(),
    };
    cut.iter().enumerate().map(choose).collect()
}

/// The longest form of one name that fits: whole, or its head, an ellipsis
/// and `end` (its own tail when `end` is empty).
fn cut(name: &str, end: &str, fits: impl Fn(&str) -> bool) -> String {
    if end.is_empty() && fits(name) {
        return name.to_owned();
    }
    let letters: Vec<char> = name.chars().collect();
    let form = |kept: usize| -> String {
        let tail = if end.is_empty() { kept / 2 } else { 0 };
        let head = letters[..kept - tail].iter();
        let tail = letters[letters.len() - tail..].iter();
        head.chain(&['…']).chain(tail).collect::<String>() + end
    };
    let kept = (1..letters.len()).rev().find(|&kept| fits(&form(kept)));
    form(kept.unwrap_or(1.min(letters.len())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_names_stay_and_long_ones_keep_both_ends() {
        let names = ["1", "highest rise by the neck block"];
        let short = shortened(&names, |n| columns(n) <= 11);
        assert_eq!(short, ["1", "highe…block"]);
    }

    #[test]
    fn names_that_would_look_alike_carry_their_number() {
        let names = ["station under tack one of row", "station under tack two of row"];
        let short = shortened(&names, |n| columns(n) <= 10);
        assert_eq!(short, ["station…#1", "station…#2"]);
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        assert_eq!(shortened(&["a\u{1b}[31m\nb"], |_| true), ["a [31m b"]);
    }
}
