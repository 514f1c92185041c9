//! One cell to one number, exactly or not at all.

use super::Decimal;
use super::dates;
use super::problem::printable;
use super::unit::Told;

/// Which decimal mark a cell shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// No mark: a whole number, a fraction, or no number.
    None,
    /// This mark, beyond doubt.
    Sure(Decimal),
    /// This mark, or a separator of thousands: `1.234`.
    Either(Decimal),
}

impl Mark {
    /// The mark, sure or not.
    pub fn decimal(self) -> Option<Decimal> {
        match self {
            Mark::None => None,
            Mark::Sure(d) | Mark::Either(d) => Some(d),
        }
    }
}

/// Why a cell is no number that can be read exactly.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    /// What was expected instead.
    pub expected: String,
    /// What to do now.
    pub next: String,
}

impl Fault {
    pub fn new(expected: impl Into<String>, next: impl Into<String>) -> Self {
        Fault { expected: expected.into(), next: next.into() }
    }
}

/// What the decimal mark is and whether fractions are understood.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reading {
    /// The file's decimal mark.
    pub decimal: Decimal,
    /// Whether a fraction such as `1 3/32` is a number here.
    pub fractions: bool,
    /// Marks of the unit that may stand behind the number.
    pub units: &'static [&'static str],
    /// Where the unit is told.
    pub told: Told,
}

/// The mark that a cell shows, seen without the rest of the file.
pub(crate) fn mark(cell: &str) -> Mark {
    let cell = plain(cell);
    let digits = cell.trim_start_matches(['-', '+']);
    let digits = digits.split(['e', 'E']).next().unwrap_or(digits);
    let digits = digits.trim_end_matches(|c: char| c.is_alphabetic() || " \"°".contains(c));
    let Some(at) = digits.find(['.', ',']) else {
        return Mark::None;
    };
    let (whole, rest) = (&digits[..at], &digits[at + 1..]);
    if !(all_digits(whole) && all_digits(rest)) || whole.len() + rest.len() == 0 {
        return Mark::None;
    }
    let decimal = if digits[at..].starts_with(',') { Decimal::Comma } else { Decimal::Point };
    let thousands = rest.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    if thousands { Mark::Either(decimal) } else { Mark::Sure(decimal) }
}

/// The number in a cell that isn't empty.
pub(crate) fn parse(cell: &str, how: Reading) -> Result<f64, Fault> {
    let mut text = plain(cell);
    for unit in how.units {
        if let Some(rest) = text.strip_suffix(unit) {
            text = rest.trim_end().to_string();
            break;
        }
    }
    if let Some(fault) = dates::date(&text).or_else(|| slip(&text, how.told)) {
        return Err(fault);
    }
    let value = if text.contains('/') { fraction(&text, how)? } else { decimal(&text, how)? };
    // A zero without its minus.
    Ok(value + 0.0)
}

/// What stands where a number should, and what to do about it, for the usual slips.
fn slip(text: &str, told: Told) -> Option<Fault> {
    let plain = Reading { decimal: Decimal::Point, fractions: false, units: &[], told };
    let letters = |c: char| "OoIl".contains(c);
    let (expected, next) = match text {
        _ if text.starts_with('#') => (
            "a number, not what a spreadsheet shows in place of one",
            "make the column wider or mend the formula in the spreadsheet, and save the table again",
        ),
        _ if text.starts_with('=') => {
            ("a number, not a formula", "save the table with the values, or write the number itself")
        }
        _ if text.contains('±') => {
            let sure = format!("how sure readings are is said under [reading] in {}", told.file());
            return Some(Fault::new("a number alone", format!("write the number alone; {sure}")));
        }
        _ if text.ends_with('"') => {
            let next = format!("if lengths are in inches, {}", told.set_inch());
            return Some(Fault::new("a number in mm", next));
        }
        _ if text.contains(letters) && decimal(&as_digits(text), plain).is_ok() => {
            ("a number, but a letter stands among the digits", "write 0 and 1 as digits, not as letters")
        }
        _ => return None,
    };
    Some(Fault::new(expected, next))
}

/// Letters that look like digits as those digits.
fn as_digits(text: &str) -> String {
    text.replace(['O', 'o'], "0").replace(['I', 'l'], "1").replace(',', ".")
}

/// The text without white space around it, with plain minus, slash and fractions.
fn plain(cell: &str) -> String {
    let mut text = String::new();
    for c in cell.trim().chars() {
        match c {
            '\u{2212}' => text.push('-'),
            '\u{2044}' => text.push('/'),
            '\u{2033}' => text.push('"'),
            '\u{a0}' | '\u{202f}' => text.push(' '),
            _ => match VULGAR.iter().find(|(v, _)| *v == c) {
                Some((_, plain)) => push_fraction(&mut text, plain),
                None => text.push(c),
            },
        }
    }
    text
}

const VULGAR: [(char, &str); 7] =
    [('½', "1/2"), ('¼', "1/4"), ('¾', "3/4"), ('⅛', "1/8"), ('⅜', "3/8"), ('⅝', "5/8"), ('⅞', "7/8")];

fn push_fraction(text: &mut String, fraction: &str) {
    if text.ends_with(|c: char| c.is_ascii_digit()) {
        text.push(' ');
    }
    text.push_str(fraction);
}

pub(crate) fn all_digits(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit())
}

fn decimal(text: &str, how: Reading) -> Result<f64, Fault> {
    let mark = how.decimal;
    let body = text.trim_start_matches(['-', '+']);
    if body.is_empty() || !body.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return Err(Fault::new(
            "a number",
            "write a number such as 0.4, or leave the cell empty if it may be",
        ));
    }
    if let Some(at) = body.find(|c: char| c.is_alphabetic() && !"eE".contains(c)) {
        let behind = body[at..].trim();
        return Err(Fault::new(
            format!("a number alone, without '{}'", printable(behind)),
            format!("write the number alone; the unit of all lengths is set by units in {}", how.told.file()),
        ));
    }
    if body.contains([' ', '\'', '’']) || body.matches(['.', ',']).count() > 1 {
        return Err(Fault::new(
            "a number without separators of thousands",
            "write it without them, with one decimal mark at most",
        ));
    }
    let other = if mark == Decimal::Point { ',' } else { '.' };
    if body.contains(other) {
        return Err(Fault::new(
            format!("a number with a {}, as in the rest of the file", mark.name()),
            "write all numbers of the file with one decimal mark",
        ));
    }
    if body.len() > 1 && body.starts_with('0') && body[1..].starts_with(|c: char| c.is_ascii_digit()) {
        return Err(Fault::new(
            "a number that does not begin with a needless 0",
            "put the decimal mark in its place if it was lost, else leave the 0 out",
        ));
    }
    number(&text.replace(mark.char(), "."))
}

fn number(text: &str) -> Result<f64, Fault> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(Fault::new("a number", "write plain digits with one decimal mark, such as 0.4")),
    }
}

/// `11/32`, `1 3/32`, `-1/16`.
fn fraction(text: &str, how: Reading) -> Result<f64, Fault> {
    let Some(value) = mixed(text) else {
        return Err(Fault::new(
            "a number or a fraction such as 11/32 or 1 3/32",
            "write a whole number, a space and a proper fraction, or a decimal number",
        ));
    };
    if how.fractions {
        return Ok(value);
    }
    Err(Fault::new(
        "millimetres or degrees as a decimal number",
        format!("if lengths are in inches, {}; else write a decimal number", how.told.set_inch()),
    ))
}

fn mixed(text: &str) -> Option<f64> {
    let (sign, body) = match text.strip_prefix('-') {
        Some(body) => (-1.0, body),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, part) = match body.trim().split_once(' ') {
        Some((whole, part)) => (count(whole)?, part.trim()),
        None => (0.0, body.trim()),
    };
    let (over, under) = part.split_once('/')?;
    let (over, under) = (count(over)?, count(under)?);
    let proper = under > 0.0 && (over < under || whole == 0.0);
    proper.then(|| sign * (whole + over / under))
}

/// A whole number of at most six digits.
fn count(text: &str) -> Option<f64> {
    let text = text.trim();
    (!text.is_empty() && text.len() <= 6 && all_digits(text)).then(|| text.parse().ok())?
}
