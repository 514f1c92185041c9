//! Fractions that a spreadsheet turned into dates.

use super::number::{Fault, all_digits};

/// Names a fraction that a spreadsheet turned into a date.
pub(crate) fn date(text: &str) -> Option<Fault> {
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
    let text = text.trim_end_matches("00:00:00").trim_end_matches([' ', 'T']);
    let words: Vec<&str> = text.split(['-', '.', '/', ' ', ',']).filter(|w| !w.is_empty()).collect();
    let month = words.iter().find_map(|w| month(w));
    let numbers: Vec<u32> =
        words.iter().filter(|w| all_digits(w) && w.len() <= 4).filter_map(|w| w.parse().ok()).collect();
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
    if a > 31 { proper([(b, c), (c, b)]) } else { proper([(a, b), (b, a)]) }
}

/// Those pairs that are fractions of an inch as rules are divided.
fn proper(pairs: [(u32, u32); 2]) -> Vec<String> {
    let divided = |(over, under): &(u32, u32)| {
        matches!(under, 2 | 4 | 8 | 16 | 32 | 64) && over < under && over % 2 == 1
    };
    pairs.iter().filter(|p| divided(p)).map(|(over, under)| format!("{over}/{under}")).collect()
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
