//! The key of the view in space: its marks, its scales along, across and off the mold.

use nalgebra::Vector3;

use super::super::frame::{MARGIN, Sample, key};
use super::super::scene::Scene;
use super::super::sheet::{Anchor, Point, Sheet, Text};
use super::super::style::{
    AXIS, BORE, FORMER, GAP, JOINT_PLANE, LEADING, LIFT, Look, MOLD, NEIGHBOUR, RIB, TAKEN, TEXT,
};
use super::super::text::width;
use super::view::Stage;
use crate::job::Unit;

/// The marks; returns where the next line goes.
pub(super) fn marks(sheet: &mut Sheet, y: f64, before: bool) -> f64 {
    let mut entries = vec![
        (Sample::Box(Look { hatch: None, ..MOLD }), "mold"),
        (Sample::Box(Look { hatch: None, ..NEIGHBOUR }), "neighbour"),
        (Sample::Line(JOINT_PLANE), "joint plane"),
        (Sample::Box(RIB), "rib"),
    ];
    if before {
        entries.push((Sample::Line(FORMER), "rib as it lay"));
        entries.push((Sample::Box(TAKEN), "wood taken"));
    }
    entries.extend([(Sample::Line(GAP), "gap"), (Sample::Line(LIFT), "lift"), (Sample::Bearing, "bears")]);
    if before {
        entries.push((Sample::Triangle(BORE), "bore before"));
    }
    key(sheet, y, &entries)
}

const NO_LIFTS: &str =
    "No lifts were read: how far the outer edge stands off, and so the rib's turn, is a guess.";
const NO_RISES: &str = "No rises were measured: the joint is drawn straight.";

/// How long things are in the picture: a line in each direction, seen as the
/// rib is, and how many times displacements are enlarged. Returns where the
/// next line goes.
pub(super) fn scales(sheet: &mut Sheet, stage: &Stage, factor: f64, scene: &Scene, y: f64) -> f64 {
    let unit = scene.job.unit;
    let (long, small) = match unit {
        Unit::Mm => (50.0, 0.5),
        Unit::Inch => (2.0 * unit.mm(), 0.02 * unit.mm()),
    };
    let small_words = unit.say(small);
    let along = format!("{} {} along", long / unit.mm(), unit.symbol());
    let rows = [
        (Vector3::x() * long, along),
        (Vector3::y() * (small * factor), format!("{small_words} of gap")),
        (Vector3::z() * (small * factor), format!("{small_words} of lift")),
    ];
    let words = format!("Gaps, lifts and wood taken are drawn {factor} times as large as they are.");
    let room = sheet.width - 2.0 * MARGIN;
    let short = format!("Gaps, lifts, wood taken: {factor} times as large");
    let words = if width(&words, TEXT, false) > room { short } else { words };
    sheet.text(Text::new(Point(MARGIN, y + 4.0), words, Anchor::Start));
    let mut y = y;
    for (known, words) in [(scene.lifts, NO_LIFTS), (scene.joint.has_rise, NO_RISES)] {
        if !known {
            y += LEADING;
            sheet.text(Text::new(Point(MARGIN, y + 4.0), words, Anchor::Start));
        }
    }
    let reach = rows.iter().map(|(v, _)| (stage.turned(v, Point(0.0, 0.0)).1 / 2.0).abs());
    let half = reach.fold(8.0, f64::max);
    let mut middle = y + 16.0 + half;
    let mut x = MARGIN;
    for (way, words) in rows {
        let tip = stage.turned(&way, Point(0.0, 0.0));
        if x > MARGIN && x + tip.0.abs() + 10.0 + width(&words, TEXT, false) > MARGIN + room {
            (x, middle) = (MARGIN, middle + 2.0 * half + 4.0);
        }
        let start = Point(x + (-tip.0).max(0.0), middle - tip.1 / 2.0);
        sheet.line(Look { name: "scale", ..AXIS }, &[start, Point(start.0 + tip.0, start.1 + tip.1)]);
        for end in [start, Point(start.0 + tip.0, start.1 + tip.1)] {
            sheet.dot(
                Look { name: "scale-end", fill: AXIS.pen.map(|p| p.colour), pen: None, hatch: None },
                end,
                2.2,
            );
        }
        x += tip.0.abs() + 10.0;
        sheet.text(Text::new(Point(x, middle + 5.0), words.as_str(), Anchor::Start));
        x += width(&words, TEXT, false) + 34.0;
    }
    middle + half + LEADING - 6.0
}
