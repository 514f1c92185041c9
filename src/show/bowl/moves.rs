//! What moisture does to a width.

use std::io::{self, Write};

use crate::bowl::moisture::Movement;
use crate::job::Unit;
use crate::job::bowl::Grain;
use crate::json::{self, mm, object};
use crate::show::wrap::paragraph;

/// The movement in a sentence, set against the tolerance on equal width (mm):
/// `2 per cent of moisture move this rib (36.00 mm) by 0.14 mm ...`.
pub fn movement_said(m: &Movement, unit: Unit, even: f64) -> String {
    let say = |mm: f64| unit.say(mm.abs());
    let by = match m.moisture {
        Some([from, to]) => format!("From {from} to {to} % of moisture"),
        None => format!("{} per cent of moisture, more or less,", m.change.abs()),
    };
    let direction = match m.moisture {
        Some([from, to]) if to > from => "widen",
        Some([from, to]) if to < from => "narrow",
        _ => "move",
    };
    let verb = if m.moisture.is_some() { direction } else { "move" };
    let grain = match m.grain {
        Some(Grain::Radial) => format!("{} (quartered)", say(m.moves[0])),
        Some(Grain::Tangential) => format!("{} (flat sawn)", say(m.moves[1])),
        None => format!("{} if it is quartered, {} if flat sawn", say(m.moves[0]), say(m.moves[1])),
    };
    let share = 100.0 * m.counts().abs() / even;
    let ends = if m.moisture.is_some() { "s" } else { "" };
    format!(
        "{by} {verb}{ends} a rib of {} {} by {grain}: {share:.0} % of the tolerance of {} on equal width.",
        m.wood.name,
        format_args!("{} wide", unit.say(m.width)),
        unit.say(even)
    )
}

/// Writes the movement and what to do about it.
///
/// # Errors
///
/// Those of the stream.
pub fn movement_text(m: &Movement, unit: Unit, even: f64, out: &mut impl Write) -> io::Result<()> {
    for text in [&movement_said(m, unit, even), movement_next(m, even), MOVEMENT_SOURCE] {
        paragraph(out, "", text)?;
    }
    Ok(())
}

/// What to do about it.
pub(crate) fn movement_next(m: &Movement, even: f64) -> &'static str {
    match m.counts().abs() > even / 2.0 {
        true => {
            "That is more than half the tolerance: let the ribs come to the moisture of the workshop before you fit \
             them, and fit and glue in the same air."
        }
        false => "Fit and glue in the same air, and it does not count.",
    }
}

/// Where the figures are from.
pub(crate) const MOVEMENT_SOURCE: &str =
    "Wood Handbook (FPL-GTR-190), Table 13-5, good from 6 to 14 % moisture content; single boards differ.";

/// The movement as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no valid one causes.
pub fn movement_json(m: &Movement, even: f64) -> serde_json::Result<String> {
    json::answer(object! {
        wood: m.wood.name,
        width_mm: mm(m.width),
        from_percent: m.moisture.map(|p| p[0]),
        to_percent: m.moisture.map(|p| p[1]),
        change_percent: m.change,
        radial_mm: mm(m.moves[0]),
        tangential_mm: mm(m.moves[1]),
        even_mm: mm(even),
    })
}
