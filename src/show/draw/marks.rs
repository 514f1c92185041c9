//! A rib's outer edge: what comes off it down to its marks, and the rib's outline with them.

use super::curve::{Curve, runs, through};
use super::frame::{Along, MARGIN, SMALL, Sample, WIDTH, bare, heading, key};
use super::labels::{self, Label};
use super::removal::{map, strip};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::space::spaced;
use super::style::{AXIS, BEFORE, LEADING, LIMIT, Look, RIB, RIB_EDGE, TAKEN};
use crate::advice::Advice;
use crate::bowl::mark::Marks;
use crate::job::Job;
use crate::joint::Joint;
use crate::show::names::headed;
use crate::show::units::length;

/// A compass mark.
const MARK: Look = Look { name: "compass-mark", ..AXIS };
/// A rib is drawn at least so high, pixels.
const HIGH: f64 = 110.0;
/// Room for a mark's distance, pixels.
const DISTANCE: f64 = 62.0;
/// Half a mark's length, pixels.
const HALF: f64 = 9.0;

/// Draws what comes off the outer edge: a bar at each station for what the strokes take, a
/// dot at the mark with its standard uncertainty. Marks by class as in
/// [`removal_map`](super::removal_map); mm or inches as the joint's files have them.
pub fn marks(job: &Job, marks: &Marks) -> Sheet {
    map(job, &answer(job, marks), "marks", "What comes off the outer edge", &about(job))
}

/// The same, small and without a heading, for the screen of a phone.
pub fn narrow_marks(job: &Job, marks: &Marks) -> Sheet {
    strip(job, &answer(job, marks), "marks", &format!("What comes off the outer edge: {}", about(job)))
}

fn about(job: &Job) -> String {
    headed(job.title.as_deref(), "down to the marks")
}

fn answer(job: &Job, marks: &Marks) -> Advice {
    let frames = Joint::of(job).frames;
    let places = job.stations.iter().zip(&frames).map(|(s, f)| (s.name.as_str(), f.joint.x, f.arc));
    let mut answer = bare(places);
    for (station, mark) in answer.stations.iter_mut().zip(&marks.stations) {
        station.remove = mark.remove;
        station.remove_sd = mark.remove.map(|_| mark.remove_sd);
        station.remove_now = Some(mark.now);
    }
    answer
}

/// Draws the new rib laid flat: the joint edge below, the outer edge as it is to be, the wood over
/// it, and the compass marks with their distances from the reference line. Marks by class: `rib`,
/// `taken`, `before` the present edge, `compass-mark` one a station that has its mark.
pub fn outline(job: &Job, marks: &Marks) -> Sheet {
    laid(job, marks, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_outline(job: &Job, marks: &Marks) -> Sheet {
    laid(job, marks, SMALL)
}

fn laid(job: &Job, found: &Marks, width: f64) -> Sheet {
    let about = headed(job.title.as_deref(), &format!("distances in {}", job.unit.symbol()));
    let desc = "The new rib laid flat, its joint edge below, with the compass marks of its outer edge.";
    let mut sheet = Sheet::new("outline", width, format!("The new rib and its marks: {about}"), desc.into());
    let y = heading(&mut sheet, "The new rib and its marks", &about);
    let flat = Flat::new(job, found, width);
    let entries = [
        (Sample::Line(MARK), "mark"),
        (Sample::Line(LIMIT), "reference line"),
        (Sample::Line(BEFORE), "outer edge now"),
        (Sample::Box(TAKEN), "comes off"),
        (Sample::Line(RIB_EDGE), "joint edge"),
    ];
    let top = key(&mut sheet, y, &entries) + 34.0;
    let bottom = top + flat.height();
    flat.draw(&mut sheet, bottom);
    flat.distances(&mut sheet, job, bottom, top - 16.0);
    sheet.height = flat.along.ground(&mut sheet, bottom + 8.0);
    if flat.times > 1.0 {
        let words = format!("Widths are drawn {} times as large as lengths.", flat.times);
        sheet.text(Text::new(Point(MARGIN, sheet.height + 0.5 * LEADING), words, Anchor::Start));
        sheet.height += 1.5 * LEADING;
    }
    sheet
}

/// The rib on the sheet, its joint edge straight.
struct Flat<'a> {
    found: &'a Marks,
    along: Along,
    /// Pixels a mm across, and how many times those along.
    across: f64,
    times: f64,
}

impl Flat<'_> {
    fn new<'a>(job: &Job, found: &'a Marks, width: f64) -> Flat<'a> {
        let joint = Joint::of(job);
        let along = Along::of(job, &joint, MARGIN).on(width);
        let x = along.stations();
        let reach = |all: &[f64]| all.last().zip(all.first()).map_or(1.0, |(last, first)| last - first);
        let arcs: Vec<f64> = joint.frames.iter().map(|f| f.arc).collect();
        let scale = reach(&x) / reach(&arcs).max(1e-9);
        let times = (HIGH / (scale * widest(found))).ceil().max(1.0);
        Flat { found, along, across: scale * times, times }
    }

    fn height(&self) -> f64 {
        self.across * widest(self.found)
    }

    /// A curve so many mm from the joint edge at each station.
    fn curve(&self, bottom: f64, from_joint: impl Fn(usize) -> f64) -> Curve {
        let x = self.along.stations();
        let points = x.iter().enumerate().map(|(i, x)| Point(*x, bottom - self.across * from_joint(i)));
        Curve::through(&points.collect::<Vec<_>>())
    }

    fn draw(&self, sheet: &mut Sheet, bottom: f64) {
        let stations = &self.found.stations;
        let wide = |i: usize| stations[i].width;
        let now = |i: usize| wide(i) + stations[i].remove.unwrap_or(0.0);
        let [joint, edge, before] =
            [self.curve(bottom, |_| 0.0), self.curve(bottom, wide), self.curve(bottom, now)];
        sheet.path(TAKEN, before.strip(&edge), true);
        sheet.path(RIB, edge.strip(&joint), true);
        sheet.path(BEFORE, before.steps(), false);
        // From the joint edge itself there is no line to draw.
        let reference = |i: usize| wide(i) - stations[i].mark.unwrap_or(wide(i));
        let line = self.curve(bottom, reference);
        let drawn = line.points().iter().enumerate().map(|(i, at)| Some(*at).filter(|_| reference(i) > 0.5));
        for run in runs(drawn) {
            sheet.path(LIMIT, through(&run), false);
        }
        sheet.path(RIB_EDGE, joint.steps(), false);
        for (at, station) in edge.points().iter().zip(stations).filter(|(_, s)| s.mark.is_some()) {
            let ends = [Point(at.0 - HALF, at.1), Point(at.0 + HALF, at.1)];
            sheet.line(MARK, &ends).tip =
                station.mark.map(|mm| format!("mark {mm:.2} mm from the reference line"));
        }
    }

    /// The distances of the marks, evenly as many as there is room for.
    fn distances(&self, sheet: &mut Sheet, job: &Job, bottom: f64, y: f64) {
        let edge = self.curve(bottom, |i| self.found.stations[i].width);
        let marked: Vec<usize> =
            (0..self.found.stations.len()).filter(|i| self.found.stations[*i].mark.is_some()).collect();
        let room = ((sheet.width - 2.0 * MARGIN) / DISTANCE) as usize;
        let label = |k: usize| {
            let mark = self.found.stations[marked[k]].mark.unwrap_or_default();
            Label { at: edge.points()[marked[k]], words: length(mark, job.unit) }
        };
        labels::row(sheet, y, spaced(marked.len(), room).into_iter().map(label).collect(), true);
    }
}

/// The widest that the rib is, with the wood that comes off, mm.
fn widest(found: &Marks) -> f64 {
    let now = found.stations.iter().map(|s| s.width + s.remove.unwrap_or(0.0).max(0.0));
    now.fold(1.0, f64::max)
}
