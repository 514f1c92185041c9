//! A bearing is a lever's pivot: the rib over the neighbour, what a little off one of its bearings
//! closes, and what that opens elsewhere.

use super::axis::Axis;
use super::curve::{Curve, through};
use super::frame::{Along, MARGIN, Plot, Sample, heading, heights, key, triangle};
use super::labels::{self, Label};
use super::scene::Scene;
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AXIS, BEARING, BORE, DROP, JOINT_FACE, LEADING, LESS, NEIGHBOUR, RIB, RIB_EDGE, TEXT};
use super::text::wrapped;
use crate::joint::Clearances;
use crate::seat::{Leverage, Rest};
use crate::show::names::clean;

/// Left side of the plots.
const LEFT: f64 = 84.0;
/// Height of a plot, of the neighbour under it, and of the rib over its edge.
const HEIGHT: f64 = 150.0;
const GROUND: f64 = 26.0;
const BAR: f64 = 20.0;
/// From the words over a plot to the plot.
const OVER: f64 = 56.0;
/// At most so many bearings.
const ROWS: usize = 3;
/// What moves less is not marked, mm.
const NOTHING: f64 = 0.005;

/// Draws, for each bearing (those first that close most), the rib's edge over the neighbour as it
/// lies and with a little off at that bearing; none where nothing closes. Marks by class: `rib`
/// and `rib-edge` as it lies, `after` its edge then, `drop` how far each station comes down or
/// rises, `bearing` where the wood comes off, `bore` the other bearings.
pub fn lever(scene: &Scene, rest: &Rest, levers: &[Leverage]) -> Option<Sheet> {
    let lies = &rest.clearances;
    let closes = |l: &Leverage| l.closes_most().map_or(0.0, |c| c.1);
    let mut levers: Vec<&Leverage> = levers.iter().filter(|l| l.closes_most().is_some()).collect();
    levers.sort_by(|a, b| closes(b).total_cmp(&closes(a)));
    levers.truncate(ROWS);
    let first = levers.first()?;
    let title = format!("What a bearing holds open: {}", scene.subject);
    let desc = levers.iter().map(|l| said(scene, l)).collect::<Vec<_>>().join(" ");
    let mut sheet = Sheet::new("lever", scene.width, title, desc);
    let y = heading(&mut sheet, "What a bearing holds open", &scene.subject);
    let off = scene.job.unit.say(first.taken);
    let entries = [
        (Sample::Line(RIB_EDGE), "edge as it lies".to_owned()),
        (Sample::Line(LESS), format!("with {off} off at one bearing")),
        (Sample::Bearing, "wood comes off here".to_owned()),
        (Sample::Triangle(BORE), "bears too".to_owned()),
    ];
    let mut y = key(&mut sheet, y, &entries) + 4.0;
    let along = Along::of(scene.job, scene.joint, LEFT).on(scene.width);
    let view = Levers { scene, along: &along, lies, bearings: &rest.bearings, high: highest(lies, &levers) };
    for lever in levers {
        y = view.row(&mut sheet, y, lever);
    }
    sheet.height = along.ground(&mut sheet, y);
    Some(sheet)
}

fn highest(lies: &[Clearances], levers: &[&Leverage]) -> f64 {
    let then = levers.iter().flat_map(|l| lies.iter().zip(&l.change).map(|(c, d)| c.gap + d));
    lies.iter().map(|c| c.gap).chain(then).fold(0.05, f64::max)
}

/// What wood off a bearing does, in a sentence.
fn said(scene: &Scene, lever: &Leverage) -> String {
    let (unit, name) = (scene.job.unit, |i: usize| clean(&scene.job.stations[i].name));
    let others = lever.change.iter().enumerate().filter(|(i, _)| *i != lever.station);
    let opens = others.max_by(|a, b| a.1.total_cmp(b.1)).filter(|(_, change)| **change > NOTHING);
    let closes = lever.closes_most().map(|(i, by)| format!(" closes {} at {}", unit.say(by), name(i)));
    let opens = opens.map(|(i, by)| format!(" and opens {} at {}", unit.say(*by), name(i)));
    let at = format!("{} off at {}", unit.say(lever.taken), name(lever.station));
    format!("{at}{}{}.", closes.unwrap_or_default(), opens.unwrap_or_default())
}

struct Levers<'a> {
    scene: &'a Scene<'a>,
    along: &'a Along,
    lies: &'a [Clearances],
    bearings: &'a [usize],
    /// The widest gap that is shown, mm.
    high: f64,
}

impl Levers<'_> {
    /// One bearing; returns where the next line goes.
    fn row(&self, sheet: &mut Sheet, y: f64, lever: &Leverage) -> f64 {
        let mut y = y + 8.0;
        for line in wrapped(&said(self.scene, lever), TEXT, true, sheet.width - 2.0 * MARGIN) {
            sheet.text(Text::new(Point(MARGIN, y), line, Anchor::Start).bold());
            y += LEADING;
        }
        let top = y - LEADING + OVER;
        let plot = Plot { left: LEFT, right: self.along.right, top, bottom: top + HEIGHT };
        let unit = self.scene.job.unit;
        let axis = Axis::new((0.0, 1.06 * self.high / unit.mm()), (plot.bottom, plot.top));
        heights(sheet, &axis, &plot, format!("gap, {}", unit.symbol()));
        self.neighbour(sheet, &plot);
        let now: Vec<f64> = self.lies.iter().map(|c| c.gap.max(0.0)).collect();
        let then: Vec<f64> = now.iter().zip(&lever.change).map(|(n, d)| (n + d).max(0.0)).collect();
        let points = |gaps: &[f64]| -> Vec<Point> {
            let at = self.along.stations().into_iter().zip(gaps);
            at.map(|(x, gap)| Point(x, axis.at(gap / unit.mm()))).collect()
        };
        let (now, then) = (points(&now), points(&then));
        self.rib(sheet, &now);
        sheet.path(LESS, through(&then), false);
        self.drops(sheet, lever, &now, &then);
        self.pivots(sheet, lever, &now);
        self.words(sheet, lever, (&now, &then), y - LEADING + 24.0);
        plot.bottom + GROUND + LEADING
    }

    fn neighbour(&self, sheet: &mut Sheet, plot: &Plot) {
        let (left, right) = (plot.left, plot.right);
        let corners = |a: f64, b: f64| [Point(left, a), Point(right, a), Point(right, b), Point(left, b)];
        sheet.outline(NEIGHBOUR, &corners(plot.bottom, plot.bottom + GROUND));
        sheet.outline(JOINT_FACE, &corners(plot.bottom, plot.bottom + 4.0));
        sheet.line(AXIS, &[Point(left, plot.bottom), Point(right, plot.bottom)]);
        // Where the joint is open most, nothing bears.
        let gaps = self.lies.iter().map(|c| c.gap).enumerate();
        let open = gaps.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(i, _)| i);
        let at = self.along.stations()[open].clamp(left + 40.0, right - 40.0);
        sheet.text(Text::new(Point(at, plot.bottom + GROUND - 6.0), "neighbour", Anchor::Middle));
    }

    fn rib(&self, sheet: &mut Sheet, edge: &[Point]) {
        let upper: Vec<Point> = edge.iter().map(|p| Point(p.0, p.1 - BAR)).collect();
        sheet.path(RIB, Curve::through(&upper).strip(&Curve::through(edge)), true);
        sheet.path(RIB_EDGE, through(edge), false);
    }

    fn drops(&self, sheet: &mut Sheet, lever: &Leverage, now: &[Point], then: &[Point]) {
        for (i, (a, b)) in now.iter().zip(then).enumerate() {
            if lever.change[i].abs() > NOTHING {
                let way = if lever.change[i] < 0.0 { "closes" } else { "opens" };
                let by = self.scene.job.unit.say(lever.change[i].abs());
                let tip = format!("station {}: {way} {by}", self.along.name(i));
                sheet.line(DROP, &[*a, *b]).tip = Some(tip);
            }
        }
    }

    fn pivots(&self, sheet: &mut Sheet, lever: &Leverage, now: &[Point]) {
        for &i in self.bearings {
            let look = if i == lever.station { BEARING } else { BORE };
            triangle(sheet, look, Point(now[i].0, now[i].1 + 2.0)).tip =
                Some(format!("bears at station {}", self.along.name(i)));
        }
    }

    /// What closes and what opens most, by its place.
    fn words(&self, sheet: &mut Sheet, lever: &Leverage, (now, then): (&[Point], &[Point]), y: f64) {
        let middle = |i: usize| Point(now[i].0, (now[i].1 + then[i].1) / 2.0);
        let unit = self.scene.job.unit;
        let mut labels = Vec::new();
        if let Some((i, by)) = lever.closes_most() {
            labels.push(Label { at: middle(i), words: format!("closes {}", unit.say(by)) });
        }
        let others = lever.change.iter().enumerate().filter(|(i, _)| *i != lever.station);
        if let Some((i, by)) = others.max_by(|a, b| a.1.total_cmp(b.1)).filter(|(_, by)| **by > NOTHING) {
            labels.push(Label { at: middle(i), words: format!("opens {}", unit.say(*by)) });
        }
        let off = format!("{} off", unit.say(lever.taken));
        labels.push(Label { at: now[lever.station], words: off });
        labels::row(sheet, y, labels, true);
    }
}
