//! The rib in space as it is planed and pushed home, stroke by stroke, while the eye swings slowly;
//! below it, close by, the station that moves most.

use std::time::Duration;

use nalgebra::{Point3, Vector3};

use super::super::frame::MARGIN;
use super::super::labels::{self, Label};
use super::super::scene::{CaptionedRib, Scene};
use super::super::section::{Opening, Plan};
use super::super::sheet::{Anchor, Point, Sheet, Text};
use super::super::style::{HEADING, IRON, SOLE, TEXT};
use super::super::text::fitted;
use super::shape::Rib;
use super::view::Stage;
use super::{Panel, Play, ROW, View};
use crate::seat::Seated;
use crate::show::names::clean;

/// A moment of the work.
#[derive(Debug, Clone)]
pub struct Moment {
    /// What happens, in a few words.
    pub words: String,
    /// The rib as it lies, or as it lay before it was taken to the plane.
    pub rib: Seated,
    /// From where it is seen.
    pub view: View,
    /// How long it is shown.
    pub time: Duration,
    /// The plane, while the rib is on it.
    pub pass: Option<Pass>,
}

/// A plane at a rib's edge.
#[derive(Debug, Clone)]
pub struct Pass {
    /// What the stroke takes at each station, mm.
    pub wood: Vec<f64>,
    /// The station at the iron; those before it are planed.
    pub iron: usize,
    /// Length and width of the sole, mm.
    pub sole: [f64; 2],
}

/// Height of the letters that say what happens.
const CAPTION: f64 = 28.0;
/// Width of the closer look, pixels.
const CLOSE: f64 = 420.0;
/// Longest part of the sole that is drawn, as a share of the chord.
const SOLE_SHOWN: f64 = 0.26;

/// A sheet for each moment, all of one size, drawn as in [`space`](super::space); marks besides:
/// `sole` and `iron` of the plane.
pub fn film(scene: &Scene, moments: &[Moment]) -> Vec<Sheet> {
    let ribs: Vec<&Seated> = moments.iter().map(|m| &m.rib).collect();
    let (Some(first), Some(last)) = (ribs.first(), ribs.last()) else { return Vec::new() };
    let at = moves_most(scene, first, last);
    let most = ribs.iter().map(|rib| opening(scene, rib, at).most()).fold(0.0, f64::max);
    let close = Plan::new(scene, most, true);
    let frame = |(k, moment): (usize, &Moment)| {
        let mut play = Play::new(scene, moment.view, &ribs);
        play.reach.extend(soles(scene, moments, play.factor));
        Frame { play: &play, moment, close: &close, at }.sheet(k)
    };
    // Seen from elsewhere it is a little higher or lower.
    let mut sheets: Vec<Sheet> = moments.iter().enumerate().map(frame).collect();
    let high = sheets.iter().map(|s| s.height).fold(0.0, f64::max);
    sheets.iter_mut().for_each(|s| s.height = high);
    sheets
}

/// The station whose joint edge and outer edge move most.
fn moves_most(scene: &Scene, first: &Seated, last: &Seated) -> usize {
    let moved = |i: usize| {
        let [a, b] = [first, last].map(|rib| rib.rest.clearances[i]);
        (a.gap - b.gap).abs() + (a.lift - b.lift).abs()
    };
    (0..scene.joint.len()).max_by(|a, b| moved(*a).total_cmp(&moved(*b))).unwrap_or(0)
}

fn opening(scene: &Scene, rib: &Seated, i: usize) -> Opening {
    let open = rib.rest.clearances[i];
    let lift = scene.lifts.then_some(open.lift.max(0.0));
    Opening { gap: Some(open.gap.max(0.0)), seat: Some(open.seat.max(0.0)), lift }
}

struct Frame<'a> {
    play: &'a Play<'a>,
    moment: &'a Moment,
    close: &'a Plan<'a>,
    at: usize,
}

impl Frame<'_> {
    fn sheet(&self, k: usize) -> Sheet {
        let (scene, words) = (self.play.scene, self.moment.words.as_str());
        let rib = CaptionedRib { words, rib: &self.moment.rib };
        let panel = Panel { rib, wood: None, former: None };
        let title = format!("{words}: {}", scene.subject);
        let desc = self.play.description(std::slice::from_ref(&panel), words);
        let mut sheet = Sheet::new(format!("film-{k}"), scene.width, title, desc);
        let room = sheet.width - 2.0 * MARGIN;
        let caption = fitted(words, CAPTION, true, room);
        sheet.text(Text::new(Point(MARGIN, 42.0), caption, Anchor::Start).sized(CAPTION).bold());
        let drawn = format!("{}. Gaps, lifts and wood: {} times as large.", scene.subject, self.play.factor);
        sheet.text(Text::new(Point(MARGIN, 68.0), fitted(&drawn, TEXT, false, room), Anchor::Start));
        let over = 100.0;
        let stage = self.play.stage(over + ROW);
        let under = over + 2.0 * ROW + super::HEIGHT;
        match &self.moment.pass {
            None => self.home(&mut sheet, &stage, &panel, [over, under]),
            Some(pass) => self.planing(&mut sheet, &stage, pass, over),
        }
        sheet.height = self.closer(&mut sheet, under + 28.0);
        sheet
    }

    /// The rib on the mold.
    fn home(&self, sheet: &mut Sheet, stage: &Stage, panel: &Panel, [over, under]: [f64; 2]) {
        let rib = Rib::of(self.play.scene, panel.rib.rib, self.play.factor);
        self.play.draw(sheet, stage, panel, &rib);
        labels::row(sheet, over, self.play.opening(stage, panel, &rib), true);
        let mut lower = self.play.resting(stage, panel, &rib);
        lower.extend(self.play.carried(stage, &rib));
        labels::row(sheet, under, lower, false);
    }

    /// The rib off the mold, its edge on the plane's sole.
    fn planing(&self, sheet: &mut Sheet, stage: &Stage, pass: &Pass, over: f64) {
        let play = self.play;
        let rib = Rib::of(play.scene, &self.moment.rib, play.factor);
        let mold = play.bowl.mold.windows(2);
        mold.for_each(|pair| super::faces::strip(sheet, stage, (&pair[0], &pair[1]), super::MOLD));
        let (sole, iron) = sole(play.scene, pass, &rib);
        let corners: Vec<Point> = sole.iter().map(|p| stage.at(p)).collect();
        sheet.outline(SOLE, &corners);
        sheet.line(IRON, &iron.map(|p| stage.at(&p)));
        super::faces::solid(sheet, stage, &rib.solid, super::RIB, super::RIB);
        let left = rib.without(play.scene, &pass.wood, play.factor);
        let last = pass.wood.len().saturating_sub(1);
        let (ahead, done) = (rib.edge().part(pass.iron, last), left.part(0, pass.iron));
        sheet.path(super::TAKEN, ahead.strip(&left.part(pass.iron, last), stage), true);
        for line in [&done, &ahead] {
            sheet.path(super::RIB_EDGE, line.steps(stage), false);
        }
        for line in rib.outer() {
            sheet.path(super::RIB_OUTER, line.steps(stage), false);
        }
        let whole = pass.sole[0] <= longest(play.scene);
        let words = if whole { "the plane's sole" } else { "the plane's sole, cut short" };
        let place = nalgebra::center(&sole[2], &sole[3]);
        let labels = vec![
            Label { at: stage.at(&place), words: words.into() },
            Label { at: stage.at(&iron[1]), words: "iron".into() },
        ];
        labels::row(sheet, over, labels, true);
    }

    /// The station that moves most, across and large, with its figures; returns
    /// where the sheet may end.
    fn closer(&self, sheet: &mut Sheet, y: f64) -> f64 {
        let scene = self.play.scene;
        let name = clean(&scene.job.stations[self.at].name);
        let open = opening(scene, &self.moment.rib, self.at);
        let (high, _) = self.close.cut(sheet, self.at, &open, (Point(MARGIN, y), CLOSE));
        let left = MARGIN + CLOSE + 30.0;
        let room = sheet.width - MARGIN - left;
        let head = fitted(&format!("Station {name}, which moves most"), HEADING, true, room);
        sheet.text(Text::new(Point(left, y + 40.0), head, Anchor::Start).sized(HEADING).bold());
        let figures = [self.close.gap(&open), self.close.lift(&open)];
        for (k, words) in figures.iter().take(1 + usize::from(scene.lifts)).enumerate() {
            let at = Point(left, y + 80.0 + 34.0 * k as f64);
            sheet.text(Text::new(at, words.as_str(), Anchor::Start).sized(CAPTION));
        }
        y + high + MARGIN
    }
}

/// The most of a sole that is drawn, mm.
fn longest(scene: &Scene) -> f64 {
    let frames = &scene.joint.frames;
    let chord = frames.last().map_or(0.0, |f| f.joint.x) - frames.first().map_or(0.0, |f| f.joint.x);
    SOLE_SHOWN * chord
}

/// The sole's corners and the iron's ends: the sole lies along the edge at the iron, in the
/// joint's plane, its middle on the edge.
fn sole(scene: &Scene, pass: &Pass, rib: &Rib) -> ([Point3<f64>; 4], [Point3<f64>; 2]) {
    let along = scene.joint.frames[pass.iron].tangent * (pass.sole[0].min(longest(scene)) / 2.0);
    let outward = Vector3::new(-along.z, 0.0, along.x).normalize() * (pass.sole[1] / 2.0);
    let middle = rib.edge().points()[pass.iron];
    let corner = |a: f64, o: f64| middle + along * a + outward * o;
    (
        [corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)],
        [corner(0.0, -1.0), corner(0.0, 1.0)],
    )
}

/// The corners of all soles that are shown.
fn soles(scene: &Scene, moments: &[Moment], factor: f64) -> Vec<Point3<f64>> {
    let shown = moments.iter().filter_map(|m| Some((m.pass.as_ref()?, &m.rib)));
    shown.flat_map(|(pass, rib)| sole(scene, pass, &Rib::of(scene, rib, factor)).0).collect()
}
