//! Lengths in the maker's unit, written one way everywhere.

use crate::job::Unit;

/// What stands where a number does not exist.
pub(super) const MISSING: &str = "–";

/// The unit as it is written in a sentence.
pub(crate) fn plural(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "mm",
        Unit::Inch => "inches",
    }
}

/// Which ways to type a length mean the same.
pub(crate) fn typed_alike(unit: Unit) -> &'static str {
    match unit {
        Unit::Mm => "0.35 and 0,35 are the same",
        Unit::Inch => "0.014 and 0,014 are the same, 11/32 and 1 3/32 will do",
    }
}

/// A length given in mm, in the maker's unit, without the unit's symbol.
pub(super) fn length(mm: f64, unit: Unit) -> String {
    unit.figure(mm, unit.decimals())
}

/// A reading given in mm, in the maker's unit, without the unit's symbol: as many
/// decimals as it has, up to 4 and at least as many as any other length shows.
pub(crate) fn exact(mm: f64, unit: Unit) -> String {
    let value = mm / unit.mm();
    let text = |decimals: usize| format!("{value:.decimals$}");
    let whole =
        |decimals: &usize| text(*decimals).parse().is_ok_and(|shown: f64| (shown - value).abs() < 1e-9);
    let decimals = (unit.decimals()..4).find(whole).unwrap_or(4);
    if value == 0.0 { length(0.0, unit) } else { text(decimals) }
}

/// A length that may not exist; the dash stands in its place.
pub(crate) fn cell(mm: Option<f64>, unit: Unit) -> String {
    match mm {
        Some(mm) if mm.is_finite() => length(mm, unit),
        _ => MISSING.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_length_is_a_dash_and_a_small_negative_is_zero() {
        assert_eq!(cell(None, Unit::Mm), "–");
        assert_eq!(cell(Some(f64::NAN), Unit::Mm), "–");
        assert_eq!(length(-0.004, Unit::Mm), "0.00");
        assert_eq!(length(-0.006, Unit::Mm), "-0.01");
    }

    #[test]
    fn a_reading_is_shown_as_it_was_typed() {
        let shown = [(0.35, "0.35"), (0.5, "0.50"), (0.125, "0.125"), (-0.0, "0.00"), (0.04567, "0.0457")];
        for (mm, text) in shown {
            assert_eq!(exact(mm, Unit::Mm), text);
        }
        assert_eq!(exact(25.4 * 11.0 / 32.0, Unit::Inch), "0.3438");
        assert_eq!(exact(25.4 * 0.014, Unit::Inch), "0.014");
    }

    /// One inch is 25.4 mm exactly (the international yard of 1959).
    #[test]
    fn inches_have_three_decimals() {
        assert_eq!(Unit::Inch.say(25.4), "1.000 in");
        assert_eq!(Unit::Inch.say(0.16), "0.006 in");
    }
}
