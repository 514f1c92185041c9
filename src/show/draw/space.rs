//! The rib in space: mold, neighbour and rib as bodies, now and with the wood off, one over the
//! other; gaps and lifts drawn larger than they are so that they show.

mod faces;
mod film;
mod named;
mod shape;
pub mod view;

pub use film::{Moment, Pass, film};
pub use view::View;

use nalgebra::{Point3, Vector3};

use self::shape::{Bowl, Rib};
use self::view::{Eye, Stage};
use super::frame::{MARGIN, heading, triangle};
use super::labels::{self, Label};
use super::scene::{CaptionedRib, Scene};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{
    BEARING, FORMER, GAP, GRAIN, JOINT_FACE, JOINT_LINE, LEADING, LIFT, MOLD, NEIGHBOUR, RIB, RIB_EDGE,
    RIB_OUTER, TAKEN, TAKEN_GRAIN, TEXT,
};
use super::text::wrapped;
use crate::joint::Clearance;
use crate::seat::Seated;
use crate::show::names::{capital, clean};
use crate::show::units::length;

/// Most height of one drawing, pixels.
const HEIGHT: f64 = 340.0;
/// Height of a row of labels with its leaders.
const ROW: f64 = 40.0;
/// Lines across the wood that comes off, from one station to the next.
const ACROSS: usize = 5;
/// At most so many lines across.
const CROSSING: usize = 62;
/// Gaps, lifts and wood below this show nothing, mm.
const NOTHING: f64 = 0.01;

/// Draws the rib in space as it lies and, under that, as it lies with wood off. Marks by class:
/// `mold`, `neighbour`, its `joint-face` and `joint-line`, `rib` with its `rib-edge` and
/// `rib-outer`, `taken` the wood that comes off, `former` where the outer edge lay before,
/// `gap` and `lift` a line where a station is open, `bearing` where the edge bears.
///
/// Every displacement is drawn [`exaggeration`] times as large as it is, the same in both; the
/// picture says so.
pub fn space(scene: &Scene, view: View, before: Option<CaptionedRib>, now: CaptionedRib) -> Sheet {
    let ribs: Vec<&Seated> = before.iter().chain([&now]).map(|s| s.rib).collect();
    let play = Play::new(scene, view, &ribs);
    let wood = before.map(|b| b.rib.edge.iter().zip(&now.rib.edge).map(|(b, n)| b - n).collect::<Vec<f64>>());
    let mut panels = Vec::new();
    if let (Some(before), Some(wood)) = (before, &wood) {
        panels.push(Panel { rib: before, wood: Some(wood), former: None });
    }
    panels.push(Panel { rib: now, wood: None, former: before.map(|b| b.rib) });
    play.sheet("space".into(), &panels, &change(scene, before, now))
}

/// The same for ribs that follow one another, such as after each stroke: sheets of
/// the same size, from the same eye, exaggerated alike. Dashed is the first.
pub fn motion(scene: &Scene, view: View, states: &[CaptionedRib]) -> Vec<Sheet> {
    let ribs: Vec<&Seated> = states.iter().map(|s| s.rib).collect();
    let play = Play::new(scene, view, &ribs);
    let first = states.first().map(|s| s.rib);
    let frame = |(k, now): (usize, &CaptionedRib)| {
        let panel = Panel { rib: *now, wood: None, former: first };
        play.sheet(format!("motion-{k}"), &[panel], &lies(scene, now.rib))
    };
    states.iter().enumerate().map(frame).collect()
}

/// How many times as large displacements are drawn: a round number, so that the
/// largest of these ribs' takes up about two thirds of the rib's width.
pub fn exaggeration(scene: &Scene, ribs: &[&Seated]) -> f64 {
    let furthest = |rib: &&Seated| {
        let all = (0..scene.joint.len()).flat_map(|i| rib.displaced(scene.joint, i));
        all.map(|d| d.norm()).fold(0.0, f64::max)
    };
    let most = ribs.iter().map(furthest).fold(0.0, f64::max);
    let widest = scene.job.stations.iter().map(|s| s.width).fold(0.0, f64::max);
    let wanted = 0.67 * widest / most.max(1e-3);
    const ROUND: [f64; 9] = [200.0, 100.0, 50.0, 40.0, 30.0, 20.0, 10.0, 5.0, 2.0];
    ROUND.into_iter().find(|f| *f <= wanted).unwrap_or(1.0)
}

/// One drawing of the rib.
struct Panel<'a> {
    rib: CaptionedRib<'a>,
    /// What comes off at each station, mm.
    wood: Option<&'a [f64]>,
    /// The rib as it lay before.
    former: Option<&'a Seated>,
}

/// What all drawings of one view share.
struct Play<'a> {
    scene: &'a Scene<'a>,
    view: View,
    factor: f64,
    bowl: Bowl,
    /// Everything that must fit on the sheet.
    reach: Vec<Point3<f64>>,
    /// The station that is most open in the first of the ribs, at the joint and along the outer edge.
    widest: [usize; 2],
}

impl<'a> Play<'a> {
    fn new(scene: &'a Scene<'a>, view: View, ribs: &[&Seated]) -> Self {
        let factor = exaggeration(scene, ribs);
        let bowl = Bowl::of(scene);
        let mut reach = bowl.reach();
        ribs.iter().for_each(|rib| reach.extend(Rib::of(scene, rib, factor).solid.reach()));
        let widest =
            ribs.first().map_or([0; 2], |rib| [widest(rib, Clearance::Gap), widest(rib, Clearance::Lift)]);
        Play { scene, view, factor, bowl, reach, widest }
    }

    fn sheet(&self, name: String, panels: &[Panel], words: &str) -> Sheet {
        let said = panels.last().map_or("", |p| p.rib.words);
        let subject = format!("{}. {}", self.scene.subject, capital(said));
        let title = format!("The rib in space: {subject}");
        let mut sheet = Sheet::new(name, self.scene.width, title, self.description(panels, words));
        let head = if panels.len() > 1 { self.scene.subject.as_str() } else { &subject };
        let mut y = heading(&mut sheet, "The rib in space", head);
        y = self.notes(&mut sheet, y, words);
        let mut unnamed = None;
        for panel in panels {
            y = self.panel(&mut sheet, panel, (y, panels.len() > 1), &mut unnamed);
        }
        sheet.height = y;
        sheet
    }

    /// What moves, and how much larger it is drawn; returns where the next line goes.
    fn notes(&self, sheet: &mut Sheet, y: f64, words: &str) -> f64 {
        let drawn = format!("Gaps, lifts and wood are drawn {} times as large as they are.", self.factor);
        let unknown = [(self.scene.lifts, NO_LIFTS), (self.scene.joint.has_rise, NO_RISES)];
        let unknown = unknown.into_iter().filter(|(known, _)| !known).map(|(_, words)| words);
        let room = sheet.width - 2.0 * MARGIN;
        let mut y = y;
        for (k, text) in [words, drawn.as_str()].into_iter().chain(unknown).enumerate() {
            for line in wrapped(text, TEXT, k == 0, room) {
                let line = Text::new(Point(MARGIN, y), line, Anchor::Start);
                sheet.text(if k == 0 { line.bold() } else { line });
                y += LEADING;
            }
        }
        y + 4.0
    }

    /// One drawing under its name, objects named over and under it; returns where it ends. Objects
    /// are named once: in the first drawing, those that have no room there in the next.
    fn panel(
        &self,
        sheet: &mut Sheet,
        panel: &Panel,
        (mut top, named): (f64, bool),
        unnamed: &mut Option<Vec<String>>,
    ) -> f64 {
        if named {
            top += 6.0;
            sheet.text(Text::new(Point(MARGIN, top), capital(panel.rib.words), Anchor::Start).bold());
        }
        let over = top + if named { 22.0 } else { 4.0 };
        let stage = self.stage(over + ROW);
        let rib = Rib::of(self.scene, panel.rib.rib, self.factor);
        self.draw(sheet, &stage, panel, &rib);
        let under = stage.bottom + ROW;
        let (mut upper, mut lower) = (self.opening(&stage, panel, &rib), self.resting(&stage, panel, &rib));
        let wanted = |label: &Label| unnamed.as_ref().is_none_or(|left| left.contains(&label.words));
        upper.extend(self.fitted(&stage).into_iter().filter(wanted));
        lower.extend(self.carried(&stage, &rib).into_iter().filter(wanted));
        let mut left = labels::row(sheet, over, upper, true);
        left.extend(labels::row(sheet, under, lower, false));
        *unnamed = Some(left);
        under + LEADING
    }

    fn stage(&self, top: f64) -> Stage {
        let (from, to) = (Point(MARGIN, top), Point(self.scene.width - MARGIN, top + HEIGHT));
        Stage::fitting(Eye::of(self.view), &self.reach, from, to)
    }

    /// From back to front; the mold lies under everything.
    fn draw(&self, sheet: &mut Sheet, stage: &Stage, panel: &Panel, rib: &Rib) {
        self.bowl.mold.windows(2).for_each(|pair| faces::strip(sheet, stage, (&pair[0], &pair[1]), MOLD));
        if stage.eye.depth(&Vector3::y()) >= 0.0 {
            self.neighbour(sheet, stage);
            self.rib(sheet, stage, panel, rib);
        } else {
            self.rib(sheet, stage, panel, rib);
            self.neighbour(sheet, stage);
        }
        self.open(sheet, stage, panel.rib, rib);
        self.bearings(sheet, stage, panel.rib, rib);
    }

    fn neighbour(&self, sheet: &mut Sheet, stage: &Stage) {
        let body = &self.bowl.neighbour;
        faces::solid(sheet, stage, body, NEIGHBOUR, JOINT_FACE);
        for line in self.bowl.grain.iter().chain(&body.rims[..1]) {
            sheet.path(GRAIN, line.steps(stage), false);
        }
        sheet.path(JOINT_LINE, body.rims[1].steps(stage), false);
    }

    fn rib(&self, sheet: &mut Sheet, stage: &Stage, panel: &Panel, rib: &Rib) {
        faces::solid(sheet, stage, &rib.solid, RIB, RIB);
        if let Some(wood) = panel.wood {
            self.wood(sheet, stage, wood, rib);
        }
        let [outer, low] = rib.outer();
        if let Some(former) = panel.former {
            let former = Rib::of(self.scene, former, self.factor);
            sheet.path(FORMER, former.outer()[0].steps(stage), false);
        }
        sheet.path(RIB_OUTER, outer.steps(stage), false);
        sheet.path(RIB_OUTER, low.steps(stage), false);
        sheet.path(RIB_EDGE, rib.edge().steps(stage), false);
    }

    /// What comes off, on the rib's face along its edge.
    fn wood(&self, sheet: &mut Sheet, stage: &Stage, wood: &[f64], rib: &Rib) {
        let left = rib.without(self.scene, wood, self.factor);
        sheet.path(TAKEN, rib.edge().strip(&left, stage), true);
        sheet.path(TAKEN_GRAIN, left.steps(stage), false);
        let across = (ACROSS * CROSSING / (2 * wood.len().max(1))).clamp(1, ACROSS);
        for i in (1..wood.len()).filter(|i| wood[i - 1] + wood[*i] > NOTHING) {
            for part in (0..across).map(|k| k as f64 / across as f64) {
                let ends = [rib.edge(), &left].map(|line| stage.at(&line.on(i - 1, part).0));
                sheet.line(TAKEN_GRAIN, &ends);
            }
        }
    }

    /// Lines across the gap and under the lift.
    fn open(&self, sheet: &mut Sheet, stage: &Stage, now: CaptionedRib, rib: &Rib) {
        for i in (0..self.scene.joint.len()).step_by(self.every()) {
            for (look, of) in [(GAP, Clearance::Gap), (LIFT, Clearance::Lift)] {
                let value = now.rib.rest.clearances[i][of];
                if value > NOTHING && (of == Clearance::Gap || self.scene.lifts) {
                    let ends = self.across(of, rib, i, value).map(|p| stage.at(&p));
                    let said = format!("{} {}", look.name, self.scene.job.unit.say(value));
                    sheet.line(look, &ends).tip = Some(format!("station {}: {said}", self.name(i)));
                }
            }
        }
    }

    /// Across the gap or under the lift of a station, from what the rib should lie at to the rib.
    fn across(&self, of: Clearance, rib: &Rib, i: usize, value: f64) -> [Point3<f64>; 2] {
        let frame = &self.scene.joint.frames[i];
        let (from, way) = match of {
            Clearance::Lift => (rib.outer()[1].points()[i], frame.lift_normal),
            _ => (rib.edge().points()[i], Vector3::y() * frame.cos_bevel),
        };
        [from - way * (self.factor * value), from]
    }

    fn bearings(&self, sheet: &mut Sheet, stage: &Stage, now: CaptionedRib, rib: &Rib) {
        for &i in &now.rib.rest.bearings {
            let at = stage.at(&rib.edge().points()[i]);
            let tip = format!("bears at station {}, {}", self.name(i), now.words);
            triangle(sheet, BEARING, Point(at.0, at.1 + 1.0)).tip = Some(tip);
        }
    }

    /// Lines across stand at every station, or at every so many of a crowd.
    fn every(&self) -> usize {
        self.scene.joint.len().div_ceil(CROSSING).max(1)
    }

    fn name(&self, i: usize) -> String {
        clean(&self.scene.job.stations[i].name)
    }

    fn description(&self, panels: &[Panel], words: &str) -> String {
        let bears = |panel: &Panel| {
            let names: Vec<String> = panel.rib.rib.rest.bearings.iter().map(|&i| self.name(i)).collect();
            format!(" {}, the edge bears at {}.", capital(panel.rib.words), names.join(", "))
        };
        let bears: String = panels.iter().map(bears).collect();
        format!(
            "The mold with the fitted neighbour and the new rib, seen from {:.0} degrees above and turned by {:.0} \
             degrees; displacements drawn {} times as large as they are. {words}{bears}",
            self.view.tilt, self.view.turn, self.factor,
        )
    }
}

const NO_LIFTS: &str =
    "No lifts were read: how far the outer edge stands off, and so the rib's turn, is a guess.";
const NO_RISES: &str = "No rises were measured: the joint is drawn straight.";

/// The station that is most open.
fn widest(rib: &Seated, of: Clearance) -> usize {
    let values: Vec<f64> = rib.rest.clearances.iter().map(|c| c[of]).collect();
    most(&values).map_or(0, |(i, _)| i)
}

fn most(values: &[f64]) -> Option<(usize, f64)> {
    values.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))
}

/// What moves when the wood comes off, in a sentence.
fn change(scene: &Scene, before: Option<CaptionedRib>, now: CaptionedRib) -> String {
    let Some(before) = before else { return lies(scene, now.rib) };
    let said = |of: Clearance| {
        let i = widest(before.rib, of);
        let [from, to] = [before.rib, now.rib].map(|rib| rib.rest.clearances[i][of].max(0.0));
        let (unit, name) = (scene.job.unit, clean(&scene.job.stations[i].name));
        format!("the {} at {name} goes from {} to {}", of.name(), length(from, unit), unit.say(to))
    };
    let lift = if scene.lifts { format!(", {}", said(Clearance::Lift)) } else { String::new() };
    format!("With the wood off and the rib home, {}{lift}.", said(Clearance::Gap))
}

/// How a rib lies, in a sentence.
fn lies(scene: &Scene, rib: &Seated) -> String {
    let said = |of: Clearance| {
        let i = widest(rib, of);
        let (value, name) = (rib.rest.clearances[i][of].max(0.0), clean(&scene.job.stations[i].name));
        format!("widest {} {} at {name}", of.name(), scene.job.unit.say(value))
    };
    let lift = if scene.lifts { format!(", {}", said(Clearance::Lift)) } else { String::new() };
    capital(&format!("{}{lift}.", said(Clearance::Gap)))
}

/// At most `most` of `count` things, evenly chosen, first and last among them.
pub fn spaced(count: usize, most: usize) -> Vec<usize> {
    if count <= most {
        return (0..count).collect();
    }
    (0..most).map(|k| k * (count - 1) / (most - 1)).collect()
}
