//! One length as a maker types it at a prompt.

use super::interval::{Figure, Interval, ends};
use super::number::{self, Reading};
use super::problem::printable;
use super::unit::Told;
use super::{Decimal, Range, Unit};

/// Reads one typed length in `unit`, and gives it in mm.
///
/// A decimal point and a decimal comma mean the same, and there are no separators
/// of thousands: no plausible reading reaches 1000, so `1,234` can only be 1.234.
/// In inches `11/32` and `1 3/32` are understood too.
///
/// # Errors
///
/// A sentence saying what was expected, if the text is no number or the value is
/// out of `range`.
pub fn typed_length(text: &str, range: &Range, unit: Unit) -> Result<f64, String> {
    let decimal = number::mark(text).decimal().unwrap_or(Decimal::Point);
    let units: &[&str] = if unit == Unit::Mm { &["mm"] } else { &["inch", "in", "\""] };
    let how = Reading { decimal, fractions: unit == Unit::Inch, units, told: Told::Already };
    let raw = number::parse(text, how).map_err(|_| no_number(text, unit))?;
    let mm = raw * range.scale(unit);
    if range.holds(mm) {
        return Ok(mm);
    }
    Err(format!("{} is out of range: expected {}.", shown(text), range.in_words(unit)))
}

/// Reads a typed length or an interval of lengths, `0.10..0.15`, `<0.05` or `>0.5`, in mm.
/// `dashed`: a dash may stand between two ends, as in a column where no number is below zero.
///
/// # Errors
///
/// Those of [`typed_length`], and a sentence where the ends are not in order.
pub fn typed_figure(text: &str, range: &Range, unit: Unit, dashed: bool) -> Result<Figure, String> {
    let Some((low, high)) = ends(text, dashed) else {
        return typed_length(text, range, unit).map(Figure::Number);
    };
    let end = |text: Option<&str>| text.map(|text| typed_length(text, range, unit)).transpose();
    let interval = Interval::from([end(low)?, end(high)?]);
    if interval.low < interval.high {
        return Ok(Figure::Within(interval));
    }
    Err(format!("{}: expected the smaller number first, such as 0.10..0.15.", shown(text)))
}

pub(crate) fn shown(text: &str) -> String {
    format!("'{}'", printable(text.trim()))
}

fn no_number(text: &str, unit: Unit) -> String {
    let (such, more) = match unit {
        Unit::Mm if text.contains(['/', '⁄']) => {
            ("0.35 or 0,35", " Fractions are for a folder in inches: units = \"inch\" in joint.toml.")
        }
        Unit::Mm => ("0.35 or 0,35", ""),
        Unit::Inch => ("0.014, 0,014, 11/32 or 1 3/32", ""),
    };
    format!("{} is no number: expected one such as {such}.{more}", shown(text))
}
