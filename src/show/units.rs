//! Lengths in the maker's unit, written one way everywhere.

use crate::job::{Figure, Unit};

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
pub fn exact(mm: f64, unit: Unit) -> String {
    let value = mm / unit.mm();
    let text = |decimals: usize| format!("{value:.decimals$}");
    let whole =
        |decimals: &usize| text(*decimals).parse().is_ok_and(|shown: f64| (shown - value).abs() < 1e-9);
    let decimals = (unit.decimals()..4).find(whole).unwrap_or(4);
    if value == 0.0 { length(0.0, unit) } else { text(decimals) }
}

/// The same of what was told, a number or an interval.
pub fn told(told: Figure, unit: Unit) -> String {
    told.written(|mm| exact(mm, unit))
}

/// A length that may not exist; the dash stands in its place.
pub fn cell(mm: Option<f64>, unit: Unit) -> String {
    match mm {
        Some(mm) if mm.is_finite() => length(mm, unit),
        _ => MISSING.to_owned(),
    }
}
