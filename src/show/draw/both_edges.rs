//! Both edges of the rib, station under station: the gaps at the joint, the
//! lifts along the outer edge, before and after, with what may stay.

use super::axis::Axis;
use super::curve::through;
use super::frame::{Along, Plot, Sample, diamond, heading, heights, key, triangle};
use super::scene::{CaptionedRib, Scene};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{
    AFTER, AFTER_POINT, AXIS, BEARING, BEFORE, BEFORE_POINT, BORE, LIMIT, Look, READ, TOLERANCE,
};
use crate::job::{Against, Reading};
use crate::joint::Clearance;
use crate::seat::Seated;
use crate::show::names::clean;

/// Left side of the plots.
const LEFT: f64 = 84.0;
/// Height of each plot.
const HEIGHT: f64 = 170.0;
/// From one plot to the next: the bearings and the name of the lower one.
const BETWEEN: f64 = 66.0;

/// Draws both edges, before and, where there is an after, after. Marks by class:
/// `before`, `before-point`, `after`, `after-point` gap above and lift below,
/// `read` the last round's readings against the neighbour, `tolerance` and
/// `limit` what may stay, `bore` and `bearing` where the edge bears before and after.
pub fn both_edges(scene: &Scene, before: CaptionedRib, after: Option<CaptionedRib>) -> Sheet {
    let title = format!("Both edges: {}", scene.subject);
    let mut sheet = Sheet::new("both-edges", scene.width, title, description(scene, before, after));
    let y = heading(&mut sheet, "Both edges of the rib", &scene.subject);
    let read = readings(scene);
    let names = [before.words, after.map_or("", |a| a.words)];
    let top = key(&mut sheet, y, &entries(scene, names, after, !read.is_empty())) + 26.0;
    let along = Along::of(scene.job, scene.joint, LEFT).on(scene.width);
    let panels = [(top, &JOINT), (top + HEIGHT + BETWEEN, &OUTER)];
    let last = panels[1].0 + HEIGHT;
    along.guides(&mut sheet, top, last);
    for (top, edge) in panels {
        let plot = Plot { left: LEFT, right: along.right, top, bottom: top + HEIGHT };
        let panel = Panel { scene, along: &along, plot, edge, before, after, read: &read };
        panel.draw(&mut sheet);
    }
    bearings(&mut sheet, &along, top + HEIGHT, before.rib, after.map(|a| a.rib));
    sheet.height = along.ground(&mut sheet, last);
    sheet
}

/// One of the two edges.
struct Edge {
    name: &'static str,
    of: Clearance,
    known: fn(&Scene) -> bool,
}

const NO_LIFTS: &str = "No lifts were read: how far the outer edge stands off is not known.";

const JOINT: Edge = Edge { name: "Joint edge", of: Clearance::Gap, known: |_| true };
const OUTER: Edge = Edge { name: "Outer edge", of: Clearance::Lift, known: |s| s.lifts };

/// The last round's readings, where they can be compared with a rib pushed home.
fn readings(scene: &Scene) -> Vec<Reading> {
    let last = scene.job.rounds.last().filter(|r| r.against == Against::Neighbour);
    last.map(|r| r.readings.clone()).unwrap_or_default()
}

struct Panel<'a> {
    scene: &'a Scene<'a>,
    along: &'a Along,
    plot: Plot,
    edge: &'static Edge,
    before: CaptionedRib<'a>,
    after: Option<CaptionedRib<'a>>,
    read: &'a [Reading],
}

impl Panel<'_> {
    fn draw(&self, sheet: &mut Sheet) {
        let unit = self.scene.job.unit;
        let axis = self.height();
        self.tolerance(sheet, &axis);
        heights(sheet, &axis, &self.plot, format!("{}, {}", self.edge.of.name(), unit.symbol()));
        let at = Point(self.plot.left, self.plot.top - 8.0);
        sheet.text(Text::new(at, self.edge.name, Anchor::Start).bold());
        let y = self.plot.bottom;
        sheet.line(AXIS, &[Point(self.plot.left, y), Point(self.plot.right, y)]);
        if !(self.edge.known)(self.scene) {
            let at = Point((self.plot.left + self.plot.right) / 2.0, (self.plot.top + y) / 2.0 - 4.0);
            sheet.text(Text::new(at, NO_LIFTS, Anchor::Middle));
            return;
        }
        self.curve(sheet, &axis, self.before, BEFORE, BEFORE_POINT);
        self.readings(sheet, &axis);
        if let Some(after) = self.after {
            self.curve(sheet, &axis, after, AFTER, AFTER_POINT);
        }
    }

    /// Heights from nothing to the widest that is shown, at least a third over the tolerance.
    fn height(&self) -> Axis {
        let clearances =
            |s: CaptionedRib| s.rib.rest.clearances.iter().map(|c| c[self.edge.of]).fold(0.0, f64::max);
        let read = self.read.iter().filter_map(|r| r.clearance(self.edge.of)).fold(0.0, f64::max);
        let known = (self.edge.known)(self.scene);
        let most = if known {
            clearances(self.before).max(self.after.map_or(0.0, clearances)).max(read)
        } else {
            0.0
        };
        let high = (1.08 * most).max(1.35 * self.scene.job.tolerance.of(self.edge.of));
        Axis::new((0.0, high / self.scene.job.unit.mm()), (self.plot.bottom, self.plot.top))
    }

    fn tolerance(&self, sheet: &mut Sheet, axis: &Axis) {
        let y = axis.at(self.scene.job.tolerance.of(self.edge.of) / self.scene.job.unit.mm());
        let Plot { left, right, bottom, .. } = self.plot;
        let tip = format!("{} within tolerance", self.edge.of.name());
        sheet.rect(TOLERANCE, Point(left, y), Point(right, bottom), tip);
        sheet.line(LIMIT, &[Point(left, y), Point(right, y)]);
    }

    fn curve(&self, sheet: &mut Sheet, axis: &Axis, shown: CaptionedRib, line: Look, dot: Look) {
        let unit = self.scene.job.unit;
        let values: Vec<f64> =
            shown.rib.rest.clearances.iter().map(|c| c[self.edge.of]).map(|v| v.max(0.0)).collect();
        let points: Vec<Point> = self
            .along
            .stations()
            .into_iter()
            .zip(&values)
            .map(|(x, v)| Point(x, axis.at(v / unit.mm())))
            .collect();
        sheet.path(line, through(&points), false);
        let radius = (self.along.closest() * 0.25).clamp(1.8, 4.0);
        for ((p, v), station) in points.iter().zip(&values).zip(&self.scene.job.stations) {
            let (name, value) = (clean(&station.name), unit.say(*v));
            let tip = format!("station {name}: {} {value} {}", self.edge.of.name(), shown.words);
            sheet.dot(dot, *p, radius).tip = Some(tip);
        }
    }

    fn readings(&self, sheet: &mut Sheet, axis: &Axis) {
        let unit = self.scene.job.unit;
        let reach = (self.along.closest() * 0.35).clamp(2.5, 5.0);
        let stations = self.along.stations().into_iter().zip(&self.scene.job.stations);
        for ((x, station), reading) in stations.zip(self.read) {
            let Some(value) = reading.clearance(self.edge.of) else { continue };
            let y = axis.at(value.max(0.0) / unit.mm());
            let name = clean(&station.name);
            let tip = format!("station {name}: {} read {}", self.edge.of.name(), unit.say(value));
            diamond(sheet, READ, Point(x, y), reach).tip = Some(tip);
        }
    }
}

/// Two rows under the upper plot: where the edge bears before, and after.
fn bearings(sheet: &mut Sheet, along: &Along, y: f64, before: &Seated, after: Option<&Seated>) {
    let at = along.stations();
    for &i in &before.rest.bearings {
        triangle(sheet, BORE, Point(at[i], y + 4.0)).tip = Some(format!("bears at {}", along.name(i)));
    }
    let lower = y + 4.0 + 14.0;
    for &i in after.map_or(&[][..], |a| &a.rest.bearings) {
        let tip = format!("bears afterwards at {}", along.name(i));
        triangle(sheet, BEARING, Point(at[i], lower)).tip = Some(tip);
    }
}

fn entries<'a>(
    scene: &Scene,
    names: [&'a str; 2],
    after: Option<CaptionedRib>,
    read: bool,
) -> Vec<(Sample, std::borrow::Cow<'a, str>)> {
    let mut entries = vec![(Sample::Dotted(BEFORE, BEFORE_POINT), names[0].into())];
    if after.is_some() {
        entries.push((Sample::Dotted(AFTER, AFTER_POINT), names[1].into()));
    }
    if read {
        entries.push((Sample::Diamond(READ), "read in the last round".into()));
    }
    let unit = scene.job.unit;
    let (gap, lift) = (scene.job.tolerance.gap, scene.job.tolerance.lift);
    let within = format!("may stay: gap {}, lift {}", unit.say(gap), unit.say(lift));
    entries.push((Sample::Limit([TOLERANCE, LIMIT]), within.into()));
    entries.push((Sample::Triangle(BORE), format!("bears {}", names[0]).into()));
    if after.is_some() {
        entries.push((Sample::Bearing, format!("bears {}", names[1]).into()));
    }
    entries
}

/// The picture in words.
fn description(scene: &Scene, before: CaptionedRib, after: Option<CaptionedRib>) -> String {
    let said = |shown: CaptionedRib| {
        let worst = |edge: &Edge| {
            let values = shown.rib.rest.clearances.iter().map(|c| c[edge.of]);
            let most = values.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
            most.map_or(String::new(), |(i, v)| {
                let name = clean(&scene.job.stations[i].name);
                format!("the widest {} is {} at {name}", edge.of.name(), scene.job.unit.say(v.max(0.0)))
            })
        };
        let lift = if scene.lifts { worst(&OUTER) } else { "no lift was read".to_owned() };
        format!("{}: {}, {lift}.", shown.words, worst(&JOINT))
    };
    let after = after.map(|a| format!(" {}", said(a))).unwrap_or_default();
    format!("Gap at the joint and lift along the outer edge, station by station. {}{after}", said(before))
}
