//! The rib in space: the mold, the neighbour, the joint plane and the rib, before
//! and after, gaps and lifts drawn larger than they are so that they show.

mod key;
mod shape;
pub mod view;

pub use view::View;

use nalgebra::{Point3, Vector3};

use self::shape::{Bowl, Rib};
use self::view::{Eye, Line, Stage};
use super::axis::spread;
use super::frame::{MARGIN, heading, triangle};
use super::scene::{CaptionedRib, Scene};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{
    BEARING, BORE, FORMER, GAP, JOINT_PLANE, LEADER, LEADING, LIFT, MOLD, NEIGHBOUR, RIB, RIB_EDGE, SECTION,
    TAKEN, TEXT,
};
use super::text::{shortened, width};
use crate::seat::Seated;
use crate::show::names::{capital, clean};

/// Height of the drawing itself, pixels.
const HEIGHT: f64 = 400.0;
/// Least room for a station's name, pixels.
const NAME: f64 = 110.0;
/// At most so many lines across the mold.
const CROSSING: usize = 62;
/// Blank between two names.
const APART: f64 = 10.0;
/// Gaps and lifts below this show no line, mm.
const NOTHING: f64 = 0.01;

/// Draws the rib in space as it lies, and dashed as it lay before. Marks by
/// class: `mold`, `section` lines across it, `neighbour`,
/// `joint-plane`, `rib` with its `rib-edge`, `former`, `taken` the wood that is
/// gone since, `gap` and `lift` a line where a station is open, `bearing`
/// and `bore` where the edge bears and where it bore.
///
/// Every displacement is drawn [`exaggeration`] times as large as it is; the
/// picture says so.
pub fn space(scene: &Scene, view: View, before: Option<CaptionedRib>, now: CaptionedRib) -> Sheet {
    let ribs: Vec<&Seated> = before.iter().map(|b| b.rib).chain([now.rib]).collect();
    let play = Play::new(scene, view, &ribs);
    play.sheet("space".into(), before, now)
}

/// The rib in space moving from one state to the next: a sheet for each, all of
/// the same size, from the same eye, exaggerated alike. Dashed is the first.
pub fn motion(scene: &Scene, view: View, states: &[CaptionedRib]) -> Vec<Sheet> {
    let ribs: Vec<&Seated> = states.iter().map(|s| s.rib).collect();
    let play = Play::new(scene, view, &ribs);
    // The first one too lies over itself, so that all sheets have the same key.
    let first = states.first().copied();
    let frame = |(k, now): (usize, &CaptionedRib)| play.sheet(format!("motion-{k}"), first, *now);
    states.iter().enumerate().map(frame).collect()
}

/// How many times as large displacements are drawn: a round number, so that the
/// largest of these ribs' takes up about two thirds of the rib's width.
pub fn exaggeration(scene: &Scene, ribs: &[&Seated]) -> f64 {
    let of = |rib: &&Seated| {
        let all = (0..scene.joint.len()).flat_map(|i| rib.displaced(scene.joint, i));
        all.map(|d| d.norm()).fold(0.0, f64::max)
    };
    let most = ribs.iter().map(of).fold(0.0, f64::max);
    let widest = scene.job.stations.iter().map(|s| s.width).fold(0.0, f64::max);
    let wanted = 0.67 * widest / most.max(1e-3);
    const ROUND: [f64; 9] = [200.0, 100.0, 50.0, 40.0, 30.0, 20.0, 10.0, 5.0, 2.0];
    ROUND.into_iter().find(|f| *f <= wanted).unwrap_or(1.0)
}

/// What all sheets of one view share.
struct Play<'a> {
    scene: &'a Scene<'a>,
    view: View,
    factor: f64,
    bowl: Bowl,
    /// Everything that must fit on the sheet.
    reach: Vec<Point3<f64>>,
    /// The outer edges of all the ribs that are shown.
    outer: Vec<Line>,
    /// Stations that are named.
    named: Vec<usize>,
}

impl<'a> Play<'a> {
    fn new(scene: &'a Scene<'a>, view: View, ribs: &[&Seated]) -> Self {
        let factor = exaggeration(scene, ribs);
        let bowl = Bowl::of(scene);
        let mut reach = bowl.reach();
        let shapes: Vec<Rib> = ribs.iter().map(|rib| Rib::of(scene, rib, factor)).collect();
        for (shape, rib) in shapes.iter().zip(ribs) {
            reach.extend(shape.reach());
            reach.extend(shape.with_wood(scene, ribs[0], rib, factor).points());
        }
        let outer = shapes.into_iter().map(|rib| rib.outer).collect();
        let last = scene.joint.len().saturating_sub(1);
        let bear = ribs.iter().flat_map(|r| r.rest.bearings.iter().copied());
        let mut named: Vec<usize> = bear.chain([0, last]).filter(|i| *i < scene.joint.len()).collect();
        named.sort_unstable();
        named.dedup();
        Play { scene, view, factor, bowl, reach, outer, named }
    }

    fn sheet(&self, name: String, before: Option<CaptionedRib>, now: CaptionedRib) -> Sheet {
        let subject = format!("{}. {}", self.scene.subject, capital(now.words));
        let title = format!("The rib in space: {subject}");
        let mut sheet = Sheet::new(name, self.scene.width, title, self.description(before, now));
        let y = heading(&mut sheet, "The rib in space", &subject);
        let y = key::marks(&mut sheet, y, before.is_some());
        let stage = self.stage(y + 8.0);
        let y = key::scales(&mut sheet, &stage, self.factor, self.scene, y);
        let stage = self.stage(y + 8.0);
        self.draw(&mut sheet, &stage, before, now);
        sheet.height = self.names(&mut sheet, &stage, stage.bottom + 34.0);
        sheet
    }

    fn stage(&self, top: f64) -> Stage {
        let (from, to) = (Point(MARGIN, top), Point(self.scene.width - MARGIN, top + HEIGHT));
        Stage::fitting(Eye::of(self.view), &self.reach, from, to)
    }

    /// From back to front; the mold lies under everything.
    fn draw(&self, sheet: &mut Sheet, stage: &Stage, before: Option<CaptionedRib>, now: CaptionedRib) {
        self.mold(sheet, stage);
        let rib_is_near = stage.eye.depth(&Vector3::y()) >= 0.0;
        if rib_is_near {
            self.neighbour(sheet, stage);
            self.plane(sheet, stage);
        }
        self.ribs(sheet, stage, before, now);
        if !rib_is_near {
            self.plane(sheet, stage);
            self.neighbour(sheet, stage);
        }
        self.bearings(sheet, stage, before, now);
    }

    fn mold(&self, sheet: &mut Sheet, stage: &Stage) {
        let bowl = &self.bowl;
        sheet.path(MOLD, bowl.beyond.strip(&bowl.near, stage), true);
        for section in bowl.sections.iter().step_by(self.every()) {
            sheet.path(SECTION, section.steps(stage), false);
        }
    }

    fn neighbour(&self, sheet: &mut Sheet, stage: &Stage) {
        let bowl = &self.bowl;
        let fill = super::style::Look { hatch: None, ..NEIGHBOUR };
        sheet.path(fill, bowl.joint.strip(&bowl.far, stage), true);
        let grain = super::style::Look { name: "grain", fill: None, pen: NEIGHBOUR.hatch, hatch: None };
        for line in &bowl.grain {
            sheet.path(grain, line.steps(stage), false);
        }
    }

    fn plane(&self, sheet: &mut Sheet, stage: &Stage) {
        let (low, high) = (&self.bowl.joint, &self.bowl.upper);
        sheet.path(JOINT_PLANE, low.strip(high, stage), true);
        for (a, b) in low.points().iter().zip(high.points()).step_by(self.every()) {
            sheet.line(JOINT_PLANE, &[stage.at(a), stage.at(b)]);
        }
    }

    fn ribs(&self, sheet: &mut Sheet, stage: &Stage, before: Option<CaptionedRib>, now: CaptionedRib) {
        let rib = Rib::of(self.scene, now.rib, self.factor);
        sheet.path(RIB, rib.edge.strip(&rib.outer, stage), true);
        for (a, b) in rib.edge.points().iter().zip(rib.outer.points()).step_by(self.every()) {
            sheet.line(SECTION, &[stage.at(a), stage.at(b)]);
        }
        if let Some(before) = before {
            let gone = rib.with_wood(self.scene, before.rib, now.rib, self.factor);
            sheet.path(TAKEN, gone.strip(&rib.edge, stage), true);
            let former = Rib::of(self.scene, before.rib, self.factor);
            sheet.path(FORMER, former.edge.strip(&former.outer, stage), true);
        }
        sheet.path(RIB_EDGE, rib.edge.steps(stage), false);
        self.open(sheet, stage, now, &rib);
    }

    /// Lines across the gap and under the lift.
    fn open(&self, sheet: &mut Sheet, stage: &Stage, now: CaptionedRib, rib: &Rib) {
        for (i, c) in now.rib.rest.clearances.iter().enumerate().step_by(self.every()) {
            let (edge, outer) = (rib.edge.points()[i], rib.outer.points()[i]);
            let gap = Vector3::y() * (self.factor * c.gap * self.scene.joint.frames[i].cos_bevel);
            let lift = self.scene.joint.frames[i].lift_normal * (self.factor * c.lift);
            for (look, value, from, way) in [(GAP, c.gap, edge, gap), (LIFT, c.lift, outer, lift)] {
                if value > NOTHING && (look != LIFT || self.scene.lifts) {
                    let ends = [stage.at(&(from - way)), stage.at(&from)];
                    let said = format!("{} {}", look.name, self.scene.job.unit.say(value));
                    sheet.line(look, &ends).tip = Some(format!("station {}: {said}", self.name(i)));
                }
            }
        }
    }

    fn bearings(&self, sheet: &mut Sheet, stage: &Stage, before: Option<CaptionedRib>, now: CaptionedRib) {
        for (look, shown, words) in [(BORE, before, "bore"), (BEARING, Some(now), "bears")] {
            let Some(shown) = shown else { continue };
            let rib = Rib::of(self.scene, shown.rib, self.factor);
            for &i in &shown.rib.rest.bearings {
                let at = stage.at(&rib.edge.points()[i]);
                let tip = format!("{words} at station {}, {}", self.name(i), shown.words);
                triangle(sheet, look, Point(at.0, at.1 + 1.0)).tip = Some(tip);
            }
        }
    }

    /// Lines across stand at every station, or at every so many of a crowd.
    fn every(&self) -> usize {
        self.scene.joint.len().div_ceil(CROSSING).max(1)
    }

    fn name(&self, i: usize) -> String {
        clean(&self.scene.job.stations[i].name)
    }

    /// Names of the ends and of the stations that bear, each with a line to the
    /// mold; returns where the picture may end.
    fn names(&self, sheet: &mut Sheet, stage: &Stage, y: f64) -> f64 {
        let wide = self.scene.width - 2.0 * MARGIN;
        let full: Vec<String> = self.named.iter().map(|&i| self.name(i)).collect();
        let longest = full.iter().map(|n| width(n, TEXT, false)).fold(0.0, f64::max);
        let fit = (wide / (longest + APART).min(NAME)) as usize;
        let chosen = spaced(self.named.len(), fit.max(2));
        let shown: Vec<usize> = chosen.iter().map(|&k| self.named[k]).collect();
        let full: Vec<&str> = chosen.iter().map(|&k| full[k].as_str()).collect();
        let room = wide / shown.len().max(1) as f64 - APART;
        let names = shortened(&full, TEXT, room.min(220.0));
        let feet: Vec<Point> = shown.iter().map(|&i| self.foot(stage, i)).collect();
        let halves: Vec<f64> = names.iter().map(|n| width(n, TEXT, false) / 2.0).collect();
        let widest = halves.iter().copied().fold(0.0, f64::max);
        let wanted: Vec<f64> = feet.iter().map(|p| p.0).collect();
        let places =
            spread(&wanted, 2.0 * widest + APART, MARGIN + widest, self.scene.width - MARGIN - widest);
        for ((name, x), foot) in names.iter().zip(places).zip(feet) {
            sheet.line(LEADER, &[Point(foot.0, foot.1 + 3.0), Point(x, y - 14.0)]);
            sheet.text(Text::new(Point(x, y), name.as_str(), Anchor::Middle));
        }
        y + LEADING
    }

    /// The lowest place on the sheet that is drawn on at a station.
    fn foot(&self, stage: &Stage, i: usize) -> Point {
        let near = stage.at(&self.bowl.near.points()[i]);
        let outer = self.outer.iter().map(|line| stage.at(&line.points()[i]));
        outer.fold(near, |low, p| if p.1 > low.1 { p } else { low })
    }

    fn description(&self, before: Option<CaptionedRib>, now: CaptionedRib) -> String {
        let bears = |shown: CaptionedRib| {
            let names: Vec<String> = shown.rib.rest.bearings.iter().map(|&i| self.name(i)).collect();
            format!("{}, the edge bears at {}.", capital(shown.words), names.join(", "))
        };
        let before = before.map(|b| format!(" {}", bears(b))).unwrap_or_default();
        format!(
            "The mold with the fitted neighbour, the joint plane and the new rib, seen from {:.0} degrees above and \
             turned by {:.0} degrees; displacements drawn {} times as large as they are.{before} {}",
            self.view.tilt,
            self.view.turn,
            self.factor,
            bears(now)
        )
    }
}

/// At most `most` of `count` things, evenly chosen, first and last among them.
pub fn spaced(count: usize, most: usize) -> Vec<usize> {
    if count <= most {
        return (0..count).collect();
    }
    (0..most).map(|k| k * (count - 1) / (most - 1)).collect()
}
