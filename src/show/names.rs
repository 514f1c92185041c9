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
pub fn next_command(name: &str, folder: &Path) -> String {
    format!("ribwright {name} {}", quoted(&folder.display().to_string()))
}

/// The command that reads some stations of a joint's last round again.
#[cfg(feature = "program")]
pub(crate) fn read_again_command(folder: &Path, stations: &[&str]) -> String {
    let asked: String = stations.iter().map(|name| format!(" --station {}", quoted(name))).collect();
    next_command("enter", folder) + &asked
}

/// A path as a shell takes it, with nothing in it that steers a terminal.
fn quoted(path: &str) -> String {
    // Unquoted, a backslash is a letter only to shells of Windows.
    let plain = |c: char| c.is_alphanumeric() || "/._-+:".contains(c) || (cfg!(windows) && c == '\\');
    if path.chars().all(plain) {
        return path.to_owned();
    }
    if path.chars().any(char::is_control) {
        return format!("$'{}'", path.chars().map(escaped).collect::<String>());
    }
    format!("'{}'", path.replace('\'', r"'\''"))
}

/// A character between `$'` and `'`.
fn escaped(c: char) -> String {
    match c {
        '\'' | '\\' => format!("\\{c}"),
        c if c.is_control() => c.to_string().bytes().map(|b| format!("\\{b:03o}")).collect(),
        c => c.to_string(),
    }
}

/// Columns a text takes on a terminal.
pub(super) fn columns(text: &str) -> usize {
    UnicodeWidthStr::width(text)
}

/// The names, each cut in its middle until `fits` accepts it. Beginning and
/// end stay, since names of stations mostly differ there; two that would look
/// alike carry their number along the joint instead of their end.
pub fn shortened(names: &[&str], fits: impl Fn(&str) -> bool) -> Vec<String> {
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
