//! One cell to one number, exactly or not at all.

use super::Decimal;

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

/// Why a cell is no number that can be read exactly.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Fault {
    /// What was expected instead.
    pub expected: String,
    /// What to do now.
    pub next: String,
}

impl Fault {
    fn new(expected: impl Into<String>, next: impl Into<String>) -> Self {
        Fault {
            expected: expected.into(),
            next: next.into(),
        }
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
    let decimal = if digits[at..].starts_with(',') {
        Decimal::Comma
    } else {
        Decimal::Point
    };
    let thousands = rest.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    if thousands {
        Mark::Either(decimal)
    } else {
        Mark::Sure(decimal)
    }
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
    if let Some(fault) = date(&text) {
        return Err(fault);
    }
    if text.contains('/') {
        return fraction(&text, how.fractions);
    }
    decimal(&text, how.decimal)
}

/// Without white space around it, with plain minus, slash and fractions.
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

const VULGAR: [(char, &str); 7] = [
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
];

fn push_fraction(text: &mut String, fraction: &str) {
    if text.ends_with(|c: char| c.is_ascii_digit()) {
        text.push(' ');
    }
    text.push_str(fraction);
}

fn all_digits(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit())
}

fn decimal(text: &str, mark: Decimal) -> Result<f64, Fault> {
    let body = text.trim_start_matches(['-', '+']);
    if body.is_empty() || !body.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return Err(Fault::new(
            "a number",
            "write a number such as 0.4, or leave the cell empty if it may be",
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
            format!(
                "a number with a {}, as in the rest of the file",
                mark.name()
            ),
            "write all numbers of the file with one decimal mark",
        ));
    }
    if body.len() > 1
        && body.starts_with('0')
        && body[1..].starts_with(|c: char| c.is_ascii_digit())
    {
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
        _ => Err(Fault::new(
            "a number",
            "write plain digits with one decimal mark, such as 0.4",
        )),
    }
}

/// `11/32`, `1 3/32`, `-1/16`.
fn fraction(text: &str, allowed: bool) -> Result<f64, Fault> {
    let Some(value) = mixed(text) else {
        return Err(Fault::new(
            "a number or a fraction such as 11/32 or 1 3/32",
            "write a whole number, a space and a proper fraction, or a decimal number",
        ));
    };
    if allowed {
        return Ok(value);
    }
    Err(Fault::new(
        "millimetres or degrees as a decimal number",
        "if lengths are in inches, set units = \"inch\" in joint.toml; else write a decimal number",
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

/// Names a fraction that a spreadsheet turned into a date.
fn date(text: &str) -> Option<Fault> {
    let fractions = dated(text)?;
    let meant = match fractions.as_slice() {
        [] => "probably a fraction".to_string(),
        list => format!("probably {}", list.join(" or ")),
    };
    Some(Fault::new(
        format!("a number; a spreadsheet made a date out of it, {meant}"),
        "make the column plain text in the spreadsheet, then write the number again",
    ))
}

/// The fractions that a date may have been; `None` if the text is no date.
fn dated(text: &str) -> Option<Vec<String>> {
    let text = text
        .trim_end_matches("00:00:00")
        .trim_end_matches([' ', 'T']);
    let words: Vec<&str> = text
        .split(['-', '.', '/', ' ', ','])
        .filter(|w| !w.is_empty())
        .collect();
    let month = words.iter().find_map(|w| month(w));
    let numbers: Vec<u32> = words
        .iter()
        .filter(|w| all_digits(w) && w.len() <= 4)
        .filter_map(|w| w.parse().ok())
        .collect();
    match (month, words.len() - numbers.len(), numbers.as_slice()) {
        (Some(m), 1, [n] | [n, _]) => Some(proper([(m, *n % 100), (*n % 100, m)])),
        (None, 0, &[a, b, c]) if day_like(&words) && !text.contains(' ') => Some(numeric(a, b, c)),
        _ => None,
    }
}

/// Two parts of one or two digits and a year of two or four.
fn day_like(words: &[&str]) -> bool {
    let long = words.iter().filter(|w| w.len() > 2).count();
    long == 0 || (long == 1 && words.iter().any(|w| w.len() == 4))
}

/// Year, month and day in the orders that spreadsheets write.
fn numeric(a: u32, b: u32, c: u32) -> Vec<String> {
    if a > 31 {
        proper([(b, c), (c, b)])
    } else {
        proper([(a, b), (b, a)])
    }
}

/// Those pairs that are fractions of an inch as rules are divided.
fn proper(pairs: [(u32, u32); 2]) -> Vec<String> {
    let divided = |(over, under): &(u32, u32)| {
        matches!(under, 2 | 4 | 8 | 16 | 32 | 64) && over < under && over % 2 == 1
    };
    pairs
        .iter()
        .filter(|p| divided(p))
        .map(|(over, under)| format!("{over}/{under}"))
        .collect()
}

/// The month of a name in English, German, French, Spanish, Italian or Dutch,
/// short or long.
fn month(word: &str) -> Option<u32> {
    let word = word.to_lowercase();
    let short: String = word.chars().take(3).collect();
    if word.chars().count() < 3 || !word.chars().all(char::is_alphabetic) {
        return None;
    }
    if matches!(short.as_str(), "jui") {
        return Some(if word.starts_with("juil") { 7 } else { 6 });
    }
    MONTHS
        .iter()
        .position(|names| names.split(' ').any(|n| n == short))
        .and_then(|i| u32::try_from(i + 1).ok())
}

const MONTHS: [&str; 12] = [
    "jan ene gen",
    "feb fév fev",
    "mar mär mrz maa mrt",
    "apr avr abr",
    "may mai mei mag",
    "jun giu",
    "jul lug",
    "aug aoû aou ago",
    "sep set",
    "oct okt ott",
    "nov",
    "dec dez déc dic",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn read(cell: &str, decimal: Decimal) -> Result<f64, Fault> {
        parse(
            cell,
            Reading {
                decimal,
                fractions: true,
                units: &["in", "\""],
            },
        )
    }

    #[test]
    fn numbers_are_read_exactly() {
        let point = [
            ("0.435", 0.435),
            ("-0.21", -0.21),
            ("\u{2212}0.21", -0.21),
            (".5", 0.5),
            ("5.", 5.0),
            ("+1", 1.0),
            ("1e-3", 0.001),
            ("11/32", 0.34375),
            ("1 3/32", 1.09375),
            ("-1/16", -0.0625),
            ("1½", 1.5),
            ("3/4\"", 0.75),
            ("0", 0.0),
            ("-1 1/2", -1.5),
            ("0.5 in", 0.5),
        ];
        for (cell, value) in point {
            assert_eq!(read(cell, Decimal::Point), Ok(value), "{cell}");
        }
        assert_eq!(read("0,435", Decimal::Comma), Ok(0.435));
        assert_eq!(read(",5", Decimal::Comma), Ok(0.5));
    }

    #[test]
    fn what_can_be_read_in_two_ways_is_refused() {
        let cells = [
            "0,435",
            "1.234,5",
            "1,234.5",
            "1 234",
            "1'234",
            "NaN",
            "inf",
            "1e999",
            "",
            "-",
            "--1",
            "1.2.3",
            "05",
            "0x10",
            "1_000",
            "1.234.567",
            "abc",
            "1 3/2",
            "3/0",
            "1-3/32",
            "3//4",
            ".",
            "1e",
            "½½",
        ];
        for cell in cells {
            assert!(read(cell, Decimal::Point).is_err(), "{cell}");
        }
        assert!(read("0.435", Decimal::Comma).is_err());
    }

    #[test]
    fn dates_are_named_with_the_fraction_they_were() {
        let dates = [
            ("16-Mar", "probably 3/16"),
            ("11-Mar", "probably a fraction"),
            ("Nov 32", "probably 11/32"),
            ("Nov-32", "probably 11/32"),
            ("2026-11-32", "probably 11/32"),
            ("11.03.2026", "a date"),
            ("3/16/2026", "probably 3/16"),
            ("05. Mrz", "a date"),
            ("01/02/2026", "probably 1/2"),
            ("8-déc", "a date"),
            ("2026-03-16", "probably 3/16"),
            ("3/1/1932", "a date"),
            ("Nov-1932", "probably 11/32"),
            ("2026-03-16 00:00:00", "probably 3/16"),
        ];
        for (cell, meant) in dates {
            let fault = read(cell, Decimal::Point).expect_err(cell);
            assert!(fault.expected.contains(meant), "{cell}: {}", fault.expected);
        }
    }

    #[test]
    fn the_mark_is_told_from_thousands() {
        use Decimal::{Comma, Point};
        let cells = [
            ("0,435", Mark::Sure(Comma)),
            ("1,234", Mark::Either(Comma)),
            ("-1.234", Mark::Either(Point)),
            ("1.2340", Mark::Sure(Point)),
            ("1234.567", Mark::Sure(Point)),
            ("12", Mark::None),
            ("1.234,5", Mark::None),
            ("x", Mark::None),
            (".5", Mark::Sure(Point)),
            (".", Mark::None),
        ];
        for (cell, expected) in cells {
            assert_eq!(mark(cell), expected, "{cell}");
        }
    }
}
