//! Thin things by their places along the joint: a shim's wedge, a spacer with its tacks.

use super::axis::Axis;
use super::curve::{Curve, through};
use super::frame::{Along, MARGIN, Plot, SMALL, Sample, WIDTH, heading, heights, key};
use super::labels::{self, Label};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::space::spaced;
use super::style::{AFTER, AXIS, END_POINT, GUIDE, LEADING, Look, NEIGHBOUR, TARGET, TEXT};
use super::text::{shortened, width};
use crate::bowl::shim::{Shim, Shims};
use crate::bowl::spacer::SpacerPlan;
use crate::job::Job;
use crate::joint::Joint;
use crate::show::names::{clean, headed};
use crate::show::units::length;

/// A shim: wood that is put under, in the fitted rib's colour.
const SHIM: Look = Look { name: "shim", pen: TARGET.pen, ..NEIGHBOUR };
/// The strip between two ribs.
const STRIP: Look = Look { name: "strip", pen: TARGET.pen, ..NEIGHBOUR };
/// A tack.
const TACK: Look = Look { name: "tack", ..END_POINT };

const LEFT: f64 = 84.0;
const HEIGHT: f64 = 150.0;
/// Room for a tack's place, pixels.
const PLACE: f64 = 46.0;

/// Draws how far the outer edge stands off the mold by itself and the wedges under it. Marks by
/// class: `after` what stands off, `shim` a wedge from nothing over its thickest place to nothing.
pub fn shims(job: &Job, found: &Shims) -> Sheet {
    wedges(job, found, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_shims(job: &Job, found: &Shims) -> Sheet {
    wedges(job, found, SMALL)
}

fn wedges(job: &Job, found: &Shims, width: f64) -> Sheet {
    let about = headed(job.title.as_deref(), "along the outer edge");
    let desc =
        format!("How far the rib stands off its mold by itself, with {} shims under it.", found.shims.len());
    let mut sheet = Sheet::new("shims", width, format!("Shims: {about}"), desc);
    let y = heading(&mut sheet, "Shims under the outer edge", &about);
    let entries = [(Sample::Line(AFTER), "stands off by itself"), (Sample::Box(SHIM), "shim")];
    let top = key(&mut sheet, y, &entries) + 30.0;
    let along = Along::of(job, &Joint::of(job), LEFT).on(width);
    let plot = Plot { left: LEFT, right: along.right, top, bottom: top + HEIGHT };
    let high = found.stations.iter().map(|s| s.spring).fold(0.1, f64::max) * 1.1;
    let axis = Axis::new((0.0, high / job.unit.mm()), (plot.bottom, plot.top));
    heights(&mut sheet, &axis, &plot, format!("off the mold, {}", job.unit.symbol()));
    along.guides(&mut sheet, plot.top, plot.bottom);
    let edge = found.stations.iter().zip(along.stations());
    let edge: Vec<Point> = edge.map(|(s, x)| Point(x, axis.at(s.spring.max(0.0) / job.unit.mm()))).collect();
    let named = found.shims.iter().map(|shim| wedge(&mut sheet, job, &edge, axis.at(0.0), shim)).collect();
    sheet.path(AFTER, through(&edge), false);
    labels::row(&mut sheet, top - 12.0, named, true);
    sheet.height = along.ground(&mut sheet, plot.bottom);
    sheet
}

/// One shim: it fills what is open under the edge, from its first station to its last.
fn wedge(sheet: &mut Sheet, job: &Job, edge: &[Point], zero: f64, shim: &Shim) -> Label {
    let upper = Curve::through(&edge[shim.from..=shim.to]);
    let lower: Vec<Point> = upper.points().iter().map(|p| Point(p.0, zero)).collect();
    let tip =
        format!("{} thick at station {}", job.unit.say(shim.thickness), clean(&job.stations[shim.at].name));
    sheet.path(SHIM, upper.strip(&Curve::through(&lower)), true).tip = Some(tip);
    Label { at: edge[shim.at], words: format!("{} thick", job.unit.say(shim.thickness)) }
}

/// Draws the spacer stretched out straight, with the stations under it and its tacks. Marks by
/// class: `strip`, `tack`.
pub fn tacks(job: &Job, plan: &SpacerPlan) -> Sheet {
    stretched(job, plan, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_tacks(job: &Job, plan: &SpacerPlan) -> Sheet {
    stretched(job, plan, SMALL)
}

fn stretched(job: &Job, plan: &SpacerPlan, wide: f64) -> Sheet {
    let unit = job.unit;
    let first = job.stations.first().map(|s| clean(&s.name)).unwrap_or_default();
    let about = headed(job.title.as_deref(), &format!("{} from station {first} on", unit.symbol()));
    let desc = format!(
        "The spacer, {} long, stretched out with {} tacks.",
        unit.say(plan.length()),
        plan.tacks.at.len()
    );
    let mut sheet = Sheet::new("tacks", wide, format!("The spacer and its tacks: {about}"), desc);
    let y = heading(&mut sheet, "The spacer and its tacks", &about);
    let x = Axis::new((-plan.allowance, plan.arc + plan.allowance), (MARGIN, wide - MARGIN));
    let (top, bottom) = (y + 34.0, y + 58.0);
    sheet.rect(
        STRIP,
        Point(MARGIN, top),
        Point(wide - MARGIN, bottom),
        format!("{} long", unit.say(plan.length())),
    );
    stations(&mut sheet, job, plan, (&x, [top, bottom]));
    let middle = (top + bottom) / 2.0;
    for mm in &plan.tacks.at {
        sheet.dot(TACK, Point(x.at(*mm), middle), 5.0).tip = Some(format!("tack at {}", unit.say(*mm)));
    }
    // Those that have room for their places, evenly; whole millimetres will do for a tack.
    let room = ((wide - 2.0 * MARGIN) / PLACE) as usize;
    let named = spaced(plan.tacks.at.len(), room).into_iter().map(|k| {
        let words = length(plan.tacks.at[k], unit);
        Label { at: Point(x.at(plan.tacks.at[k]), middle), words: words.trim_end_matches(".00").to_owned() }
    });
    labels::row(&mut sheet, y + 8.0, named.collect(), true);
    let words =
        if wide < WIDTH { "stations below, tacks above" } else { "stations below the strip, tacks above it" };
    sheet.text(Text::new(Point(wide / 2.0, bottom + 44.0), words, Anchor::Middle));
    sheet.height = bottom + 44.0 + LEADING;
    sheet
}

/// A tick for each station, named where there is room.
fn stations(sheet: &mut Sheet, job: &Job, plan: &SpacerPlan, (x, [top, bottom]): (&Axis, [f64; 2])) {
    let names: Vec<String> = job.stations.iter().map(|s| clean(&s.name)).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let names = shortened(&names, TEXT, 80.0);
    let mut free = 0.0;
    for (name, place) in names.iter().zip(&plan.stations) {
        let at = x.at(*place);
        sheet.line(GUIDE, &[Point(at, top), Point(at, bottom)]);
        sheet.line(AXIS, &[Point(at, bottom), Point(at, bottom + 5.0)]);
        let half = width(name, TEXT, false) / 2.0;
        if at - half > free && at + half < sheet.width {
            sheet.text(Text::new(Point(at, bottom + 20.0), name.as_str(), Anchor::Middle));
            free = at + half + 6.0;
        }
    }
}
