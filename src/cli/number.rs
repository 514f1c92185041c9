//! Numbers on the command line, with a decimal point or a decimal comma.

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

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn a_comma_and_a_point_mean_the_same() {
        for (text, value) in [("0,5", 0.5), ("0.5", 0.5), ("-1,25", -1.25), ("+3", 3.0), (",5", 0.5)] {
            assert_eq!(number(text), Ok(value));
        }
    }

    #[test]
    fn what_cannot_be_read_exactly_is_refused() {
        for text in ["1,000.5", "1.000,5", "1,2,3", "", "-", "nan", "inf", "1e3", "0,5mm", "--1"] {
            assert!(number(text).is_err(), "{text}");
        }
    }
}
