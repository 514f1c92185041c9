//! Pass by pass: each stroke a bar over its run, and under it the edge as the
//! stroke leaves it, over the surface aimed at.

mod frames;

pub use frames::{narrow_frames, pass_frames};

use std::ops::Range;

use super::axis::Axis;
use super::curve::{Curve, runs};
use super::frame::{Along, MARGIN, Sample, WIDTH, heading, key, subject};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AFTER, AXIS, BEFORE, CHECK, LEADING, Look, STROKE, TAKEN, TARGET, TEXT};
use super::text::fitted;
use crate::advice::{Advice, PlannedStroke};
use crate::job::Job;
use crate::show::names::clean;
use crate::show::strokes::done_text;
use crate::show::table::CAUTION;

/// Left side of the plot; names of strokes and heights stand before it.
const LEFT: f64 = 190.0;
/// Height of a stroke's bar.
const BAR: f64 = 14.0;
/// Height of the edge under it.
const EDGE: f64 = 60.0;
/// From one stroke to the next.
const ROW: f64 = BAR + 8.0 + EDGE + 24.0;

/// Draws the edge after every stroke, one under another. Marks by class: `stroke`
/// and `check` the bars over their runs, `after` the edge after a stroke, `before`
/// the edge before it, `taken` what lies between, `target` the surface aimed at.
/// Heights share one scale.
pub fn passes(job: &Job, advice: &Advice) -> Sheet {
    rows("passes".into(), job, advice, 0..advice.strokes.len())
}

/// The same on as many sheets as it takes to hold no more than `most` strokes each.
pub fn pass_pages(job: &Job, advice: &Advice, most: usize) -> Vec<Sheet> {
    let count = advice.strokes.len();
    // As many on each as on any other, so that no last one stands alone.
    let each = count.div_ceil(count.div_ceil(most.max(1)).max(1)).max(1);
    let page = |from: usize| {
        let name = format!("passes-{}", from + 1);
        rows(name, job, advice, from..(from + each).min(count))
    };
    (0..count).step_by(each).map(page).collect()
}

/// The sheet with some of the strokes.
fn rows(name: String, job: &Job, advice: &Advice, some: Range<usize>) -> Sheet {
    let title = format!("Pass by pass: {}", subject(job, advice));
    let mut sheet = Sheet::new(name, WIDTH, title, description(job, advice));
    let words = match some.start {
        0 => "Pass by pass: the strokes in their order",
        _ => "Pass by pass, continued",
    };
    let y = heading(&mut sheet, words, &subject(job, advice));
    let y = key(&mut sheet, y, &entries(advice)) + 10.0;
    let words = format!("edge over the surface aimed at, {}", job.unit.symbol());
    sheet.text(Text::new(Point(LEFT, y), words, Anchor::Start));
    let top = y + 14.0;
    let bottom = top + ROW * some.len() as f64;
    let rows = Rows { job, advice, along: Along::new(job, advice, LEFT), edges: edges(job, advice) };
    rows.along.guides(&mut sheet, top, bottom);
    for (k, i) in some.enumerate() {
        rows.row(&mut sheet, i, top + ROW * k as f64);
    }
    let y = rows.along.ground(&mut sheet, bottom);
    sheet.height = caution(&mut sheet, y);
    sheet
}

/// The caution, a sentence a line: the picture may hang at the bench alone.
fn caution(sheet: &mut Sheet, y: f64) -> f64 {
    let mut base = y + LEADING;
    for sentence in CAUTION.split_inclusive(". ") {
        sheet.text(Text::new(Point(MARGIN, base), sentence.trim(), Anchor::Start));
        base += LEADING;
    }
    base
}

/// The edge before any stroke and after each, in the maker's unit; at the same stations in each.
fn edges(job: &Job, advice: &Advice) -> Vec<Vec<Option<f64>>> {
    let known = |v: Option<f64>| v.filter(|v| v.is_finite()).map(|v| v / job.unit.mm());
    let now: Vec<Option<f64>> = advice.stations.iter().map(|s| known(s.edge)).collect();
    let after =
        |s: &PlannedStroke| now.iter().zip(&s.edge_after).map(|(n, v)| n.and(known(Some(*v)))).collect();
    let after: Vec<Vec<Option<f64>>> = advice.strokes.iter().map(after).collect();
    std::iter::once(now).chain(after).collect()
}

struct Rows<'a> {
    job: &'a Job,
    advice: &'a Advice,
    along: Along,
    edges: Vec<Vec<Option<f64>>>,
}

impl Rows<'_> {
    fn row(&self, sheet: &mut Sheet, i: usize, top: f64) {
        let stroke = &self.advice.strokes[i];
        self.label(sheet, i, top);
        bar(sheet, &self.along, self.job, (i, stroke), top);
        let upper = top + BAR + 8.0;
        let height = scale(self.job, &self.edges, (upper + EDGE, upper));
        self.height_axis(sheet, &height, upper);
        let curves = curves(&self.along, &self.edges[..=i + 1], &height);
        pass(sheet, &self.along, &height, &curves[i], &curves[i + 1]);
    }

    /// `1. long, 2 strokes`, how deep, and whether it is the check.
    fn label(&self, sheet: &mut Sheet, i: usize, top: f64) {
        let stroke = &self.advice.strokes[i];
        let plane = &self.job.planes[stroke.plane];
        let room = LEFT - MARGIN - 52.0;
        let many = format!(" × {}", stroke.count);
        let many = if stroke.count > 1 { many.as_str() } else { "" };
        let wide = super::text::width(&format!("{}. {many}", i + 1), TEXT, true);
        let name = fitted(&clean(&plane.name), TEXT, true, room - wide);
        let depth = self.job.unit.say(f64::from(stroke.count) * plane.shaving);
        let mut lines = vec![format!("{}. {name}{many}", i + 1), depth];
        lines.extend(stroke.check.then(|| "the check".to_owned()));
        for (k, words) in lines.into_iter().enumerate() {
            let at = Point(MARGIN, top + 12.0 + LEADING * k as f64);
            let text = Text::new(at, words, Anchor::Start);
            sheet.text(if k == 0 { text.bold() } else { text });
        }
    }

    fn height_axis(&self, sheet: &mut Sheet, height: &Axis, upper: f64) {
        for (y, number) in height.ticks(18.0) {
            sheet.line(AXIS, &[Point(LEFT - 5.0, y), Point(LEFT, y)]);
            sheet.text(Text::new(Point(LEFT - 9.0, y + 5.0), number, Anchor::End));
        }
        sheet.line(AXIS, &[Point(LEFT, upper), Point(LEFT, upper + EDGE)]);
    }
}

/// A stroke's bar over its run; the run of a single station still shows.
fn bar(sheet: &mut Sheet, along: &Along, job: &Job, (i, stroke): (usize, &PlannedStroke), top: f64) {
    let at = along.stations();
    let (from, to) = (at[stroke.from] - 1.0, at[stroke.to] + 1.0);
    let look = if stroke.check { CHECK } else { STROKE };
    let tip = format!("{}. {}", i + 1, done_text(job, &stroke.named(job)));
    sheet.rect(look, Point(from, top), Point(to, top + BAR), tip);
}

/// One scale for all edges, so that heights compare from pass to pass.
fn scale(job: &Job, edges: &[Vec<Option<f64>>], pixels: (f64, f64)) -> Axis {
    let heights = || edges.iter().flatten().flatten().copied();
    let low = heights().fold(0.0, f64::min);
    let high = heights().fold(0.1 / job.unit.mm(), f64::max);
    Axis::new((low, high), pixels)
}

/// Each edge as curves over the stations at which it is known, each nowhere over the one before:
/// a stroke only takes wood.
fn curves(along: &Along, edges: &[Vec<Option<f64>>], height: &Axis) -> Vec<Vec<Curve>> {
    let at = along.stations();
    let points = |edge: &Vec<Option<f64>>| {
        let point = |(x, v): (&f64, &Option<f64>)| v.map(|v| Point(*x, height.at(v)));
        runs(at.iter().zip(edge).map(point))
    };
    let mut all: Vec<Vec<Curve>> = Vec::new();
    for edge in edges {
        let next = points(edge);
        let curves = match all.last() {
            None => next.iter().map(|run| Curve::through(run)).collect(),
            Some(last) => last.iter().zip(&next).map(|(curve, run)| lowered(curve, run)).collect(),
        };
        all.push(curves);
    }
    all
}

/// The edge after a stroke, from the edge before it and the heights that are left.
fn lowered(before: &Curve, left: &[Point]) -> Curve {
    let down = |(b, a): (&Point, &Point)| (a.1 - b.1).max(0.0);
    before.lowered(&before.points().iter().zip(left).map(down).collect::<Vec<_>>())
}

/// The edge before and after, what was taken between, and the surface aimed at.
fn pass(sheet: &mut Sheet, along: &Along, height: &Axis, before: &[Curve], after: &[Curve]) {
    for (before, after) in before.iter().zip(after) {
        sheet.path(TAKEN, before.strip(after), true);
    }
    aim(sheet, along, height);
    for (look, curves) in [(BEFORE, before), (AFTER, after)] {
        curves.iter().for_each(|run| curve(sheet, look, run));
    }
}

/// The surface aimed at.
fn aim(sheet: &mut Sheet, along: &Along, height: &Axis) {
    let zero = height.at(0.0);
    sheet.line(TARGET, &[Point(along.left, zero), Point(along.right, zero)]);
}

/// An edge through its stations; one alone is a dot.
fn curve(sheet: &mut Sheet, look: Look, run: &Curve) {
    match run.points() {
        [alone] => sheet.dot(look, *alone, 3.0),
        _ => sheet.path(look, run.steps(), false),
    };
}

fn entries(advice: &Advice) -> Vec<(Sample, &'static str)> {
    let box_of = |look: Look, words| (Sample::Box(look), words);
    let line_of = |look: Look, words| (Sample::Line(look), words);
    let mut entries = vec![box_of(STROKE, "stroke")];
    if advice.strokes.iter().any(|s| s.check) {
        entries.push(box_of(CHECK, "the check"));
    }
    entries.extend([
        line_of(BEFORE, "edge before"),
        line_of(AFTER, "edge after"),
        box_of(TAKEN, "taken"),
        line_of(TARGET, "surface aimed at"),
    ]);
    if !advice.bearings.is_empty() {
        entries.push((Sample::Bearing, "bears here now"));
    }
    entries
}

/// The picture in words: the strokes as a list.
fn description(job: &Job, advice: &Advice) -> String {
    let text = |(i, stroke): (usize, &PlannedStroke)| {
        let check = if stroke.check { ", the check" } else { "" };
        format!("{}. {}{check}.", i + 1, done_text(job, &stroke.named(job)))
    };
    let list: Vec<String> = advice.strokes.iter().enumerate().map(text).collect();
    format!("The strokes to take, with the edge after each: {}", list.join(" "))
}
