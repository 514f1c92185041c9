//! Numbers on the command line, with a decimal point or a decimal comma.

use super::screen::Failure;
use crate::job::Unit;
use crate::job::ranges::Range;
use crate::table::Told;

/// Reads a number such as `0.5`, `0,5`, `-1.25` or `+3`, for clap's
/// `value_parser`. The one comma or point is the decimal mark: nothing is
/// taken for a mark between thousands, and nothing is guessed at.
///
/// # Errors
///
/// A sentence saying what was expected.
pub fn number(text: &str) -> Result<f64, String> {
    let expected = || format!("`{text}` is no number; expected one such as 0.5 or 0,5");
    let digits = text.trim().strip_prefix(['-', '+']).unwrap_or(text.trim());
    let marks = digits.matches(['.', ',']).count();
    let plain = digits.chars().all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    if !plain || marks > 1 || !digits.contains(|c: char| c.is_ascii_digit()) {
        return Err(expected());
    }
    text.trim().replace(',', ".").parse().map_err(|_| expected())
}

/// A number of things, from `low` to `high`, for clap's `value_parser`.
///
/// # Errors
///
/// A sentence saying what was expected.
pub fn whole(text: &str, low: u64, high: u64) -> Result<u64, String> {
    let expected = || format!("expected a whole number from {low} to {high}");
    let text = text.trim();
    text.parse().ok().filter(|n| (low..=high).contains(n)).ok_or_else(expected)
}

/// A length of the command line in mm.
pub(super) fn length(
    option: &str,
    value: Option<f64>,
    range: &Range,
    unit: Unit,
) -> Result<Option<f64>, Failure> {
    value.map(|v| within(option, v, range, unit)).transpose()
}

/// A number of the command line in its range; a length in mm.
pub(super) fn within(option: &str, value: f64, range: &Range, unit: Unit) -> Result<f64, Failure> {
    let inside = value * range.scale(unit);
    if range.holds(inside) {
        return Ok(inside);
    }
    let advice = range.advice(value, unit, Told::Already);
    let expected = range.in_words(unit);
    Err(Failure::wrong(format!("{option}: found {value}; expected {expected}. Next: {advice}.")))
}
