//! A lesson's pictures: the rib as the apprentice finds it, and what came of a choice.

use super::axis::Axis;
use super::curve::{Curve, through};
use super::frame::{Along, MARGIN, SMALL, Sample, WIDTH, bare, heading, key};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{
    AFTER, AXIS, BEFORE, END_BAND, END_POINT, GUIDE, LEADING, Look, NARROW, NOW, TAKEN, TARGET,
};
use crate::advice::Advice;
use crate::job::Job;
use crate::practice::lesson::{Answer, Lesson, Lie, Topic};

/// Left side of the plots.
const LEFT: f64 = 84.0;
/// Height of a plot.
const HEIGHT: f64 = 150.0;
/// From one plot to the next, room for its title.
const APART: f64 = 44.0;

/// The least wood between stations.
const LEAST: Look = Look { name: "least", ..TARGET };

/// The rib of a lesson before anything is decided. Marks by class: `after` the
/// gap (and the lift) along the joint, `end-band` what may stay, `end-point`
/// single readings.
pub fn question(lesson: &Lesson) -> Sheet {
    Plots::new(lesson, None).sheet("question", WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_question(lesson: &Lesson) -> Sheet {
    Plots::new(lesson, None).sheet("question-narrow", SMALL)
}

/// What came of a choice; `name` tells several of them in one page apart.
/// Marks by class: `before` and `after` the gap (and the lift, and the edge),
/// `end-band` what may stay, `now` the wood taken, `least` and `end-point` the least wood,
/// `taken` what the plane took from the edge.
pub fn answer(lesson: &Lesson, answer: &Answer, name: &'static str) -> Sheet {
    Plots::new(lesson, Some(answer)).sheet(name, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_answer(lesson: &Lesson, answer: &Answer, name: &'static str) -> Sheet {
    Plots::new(lesson, Some(answer)).sheet(name, SMALL)
}

/// Where each station of a lesson stands on its sheets, pixels from the left.
pub fn places(lesson: &Lesson) -> Vec<f64> {
    Along::new(lesson.rib.job(), &stand_in(lesson, None), LEFT).stations()
}

/// A line of the key for single dots; returns where the next one goes.
fn dots(sheet: &mut Sheet, y: f64, words: &str) -> f64 {
    for x in [4.0, 14.0, 24.0] {
        sheet.dot(Look { name: "key", ..END_POINT }, Point(MARGIN + x, y - 5.0), 4.0);
    }
    sheet.text(Text::new(Point(MARGIN + 36.0, y), words, Anchor::Start));
    y + LEADING
}

/// What the frame of every picture reads of an answer: stations and bearings.
fn stand_in(lesson: &Lesson, answer: Option<&Answer>) -> Advice {
    let stations = lesson.stations.iter().zip(&lesson.along);
    // Where it bears is for the apprentice to find.
    let bearings = answer.map(|a| a.after.bearings.clone()).unwrap_or_default();
    Advice { bearings, ..bare(stations.map(|(name, &along)| (name.as_str(), along, along))) }
}

struct Plots<'a> {
    lesson: &'a Lesson,
    answer: Option<&'a Answer>,
    frame: Advice,
}

/// One plot: its axis' words, what may stay, and its lines in drawing order.
struct Plot<'a> {
    words: String,
    aim: Option<f64>,
    lines: Vec<(Look, &'a [f64])>,
}

impl<'a> Plots<'a> {
    fn new(lesson: &'a Lesson, answer: Option<&'a Answer>) -> Self {
        Plots { lesson, answer, frame: stand_in(lesson, answer) }
    }

    fn job(&self) -> &'a Job {
        self.lesson.rib.job()
    }

    fn sheet(&self, name: &'static str, width: f64) -> Sheet {
        let lesson = self.lesson;
        let head = if self.answer.is_some() { "What came of it" } else { "As the rib lies" };
        let title = format!("{head}: {}", self.subject());
        let mut sheet = Sheet::new(name, width, title, self.description());
        let y = heading(&mut sheet, head, &self.subject());
        let mut y = key(&mut sheet, y, &self.entries());
        if self.answer.is_none() && !lesson.readings.is_empty() {
            y = dots(&mut sheet, y, &format!("as it was read, {} times", lesson.readings.len()));
        }
        let along = Along::new(self.job(), &self.frame, LEFT).on(width);
        let mut top = y + APART - 14.0;
        for plot in &self.plots() {
            self.plot(&mut sheet, &along, plot, top);
            top += HEIGHT + APART;
        }
        if let Some(answer) = self.answer {
            self.wood(&mut sheet, &along, answer, top);
            top += HEIGHT + APART;
        }
        sheet.height = along.ground(&mut sheet, top - APART);
        sheet
    }

    fn plots(&self) -> Vec<Plot<'a>> {
        let (lesson, answer) = (self.lesson, self.answer);
        let pair = |before: &'a [f64], after: Option<&'a [f64]>| match after {
            Some(after) => vec![(BEFORE, before), (AFTER, after)],
            None => vec![(AFTER, before)],
        };
        let gap = pair(&lesson.before.gap, answer.map(|a| &a.after.gap[..]));
        let words = |what: &str| format!("{what}, {}", lesson.unit().symbol());
        let mut plots =
            vec![Plot { words: words("gap at the joint"), aim: Some(lesson.aim.gap), lines: gap }];
        if let Some(aim) = lesson.aim.lift {
            let lines = pair(&lesson.before.lift, answer.map(|a| &a.after.lift[..]));
            plots.push(Plot { words: words("lift of the outer edge"), aim: Some(aim), lines });
        }
        if let Some(edges) = answer.and_then(|a| a.edges.as_ref()) {
            let lines = pair(&edges.before, Some(&edges.after));
            plots.push(Plot { words: words("edge over the joint surface"), aim: None, lines });
        }
        plots
    }

    /// The highest clearance of all plots, mm: they share a scale.
    fn highest(&self) -> f64 {
        let lies = [Some(&self.lesson.before), self.answer.map(|a| &a.after)];
        let lift = self.lesson.aim.lift;
        let most = |lie: &Lie| lie.widest_gap().1.max(lift.map_or(0.0, |_| lie.highest_lift().1));
        let aim = 1.3 * self.lesson.aim.gap.max(lift.unwrap_or(0.0));
        let read = self.lesson.readings.iter().flatten().copied();
        let shown = lies.into_iter().flatten().map(most).chain([aim]).fold(0.0, f64::max);
        if self.answer.is_none() { read.fold(shown, f64::max) } else { shown }
    }

    /// A length in the unit of the axes.
    fn scaled(&self, mm: f64) -> f64 {
        mm / self.lesson.unit().mm()
    }

    /// The scale of one plot, in the lesson's unit: clearances from zero, an edge from its lowest place.
    fn scale(&self, plot: &Plot<'_>, top: f64) -> Axis {
        let values = || plot.lines.iter().flat_map(|l| l.1.iter().copied());
        let (low, high) = match plot.aim {
            Some(_) => (0.0, self.highest()),
            None => (values().fold(f64::MAX, f64::min), values().fold(f64::MIN, f64::max)),
        };
        let high = high + 0.06 * (high - low);
        Axis::new((self.scaled(low), self.scaled(high)), (top + HEIGHT, top))
    }

    /// Draws one plot from `top` down.
    fn plot(&self, sheet: &mut Sheet, along: &Along, plot: &Plot<'_>, top: f64) {
        let scale = self.scale(plot, top);
        if let Some(aim) = plot.aim {
            let corner = Point(along.right, scale.at(0.0));
            let tip = format!("what may stay: up to {}", self.lesson.unit().say(aim));
            sheet.rect(END_BAND, Point(LEFT, scale.at(self.scaled(aim))), corner, tip);
        }
        self.axis(sheet, along, &scale, (&plot.words, top));
        let at = along.stations();
        let points = |values: &[f64]| -> Vec<Point> {
            at.iter().zip(values).map(|(&x, &v)| Point(x, scale.at(self.scaled(v)))).collect()
        };
        if let ([before, after], None) = (&plot.lines[..], plot.aim) {
            let [before, after] = [before, after].map(|line| Curve::through(&points(line.1)));
            sheet.path(TAKEN, before.strip(&after), true);
        }
        for (look, values) in &plot.lines {
            sheet.path(*look, through(&points(values)), false);
        }
        for point in self.readings(plot).iter().flat_map(|round| points(round)) {
            sheet.dot(END_POINT, point, 4.0);
        }
    }

    /// Readings belong to the gap, before anything is decided.
    fn readings(&self, plot: &Plot<'_>) -> &'a [Vec<f64>] {
        let shown = self.answer.is_none() && plot.words.starts_with("gap");
        if shown { &self.lesson.readings } else { &[] }
    }

    /// The upright axis with its numbers, and its words over it.
    fn axis(&self, sheet: &mut Sheet, along: &Along, scale: &Axis, (words, top): (&str, f64)) {
        along.guides(sheet, top, top + HEIGHT);
        for (y, number) in scale.ticks(26.0) {
            sheet.line(GUIDE, &[Point(LEFT, y), Point(along.right, y)]);
            sheet.line(AXIS, &[Point(LEFT - 5.0, y), Point(LEFT, y)]);
            sheet.text(Text::new(Point(LEFT - 9.0, y + 5.0), number, Anchor::End));
        }
        sheet.line(AXIS, &[Point(LEFT, top), Point(LEFT, top + HEIGHT)]);
        sheet.line(AXIS, &[Point(LEFT, top + HEIGHT), Point(along.right, top + HEIGHT)]);
        sheet.text(Text::new(Point(LEFT - 9.0, top - 12.0), words, Anchor::Start));
    }

    /// Bars of the wood taken and dots of the least wood.
    fn wood(&self, sheet: &mut Sheet, along: &Along, answer: &Answer, top: f64) {
        let unit = self.lesson.unit();
        let values = answer.taken.iter().chain(&answer.least).copied();
        let high = self.scaled(1.06 * values.fold(0.1, f64::max));
        let scale = Axis::new((0.0, high), (top + HEIGHT, top));
        self.axis(sheet, along, &scale, (&format!("wood, {}", unit.symbol()), top));
        let half = (along.closest() * 0.27).clamp(0.5, 9.0);
        let look = if half < 3.0 { NARROW } else { NOW };
        let at = along.stations();
        for (i, &x) in at.iter().enumerate() {
            let taken = answer.taken[i];
            let tip = format!("station {}: {} taken", self.lesson.stations[i], unit.say(taken));
            if taken > 0.0 {
                sheet.rect(
                    look,
                    Point(x - half, scale.at(self.scaled(taken))),
                    Point(x + half, scale.at(0.0)),
                    tip,
                );
            }
        }
        let line: Vec<Point> =
            at.iter().zip(&answer.least).map(|(&x, &l)| Point(x, scale.at(self.scaled(l)))).collect();
        sheet.path(LEAST, through(&line), false);
        for (i, &point) in line.iter().enumerate() {
            let least = answer.least[i];
            let tip = format!("station {}: least {}", self.lesson.stations[i], unit.say(least));
            sheet.dot(END_POINT, point, 4.0).tip = Some(tip);
        }
    }

    fn subject(&self) -> String {
        let rib = format!("{}, seed {}", self.lesson.title, self.lesson.seed);
        match self.answer {
            None => rib,
            Some(answer) => format!("{rib}. Chosen: {}", answer.chosen),
        }
    }

    fn entries(&self) -> Vec<(Sample, &'static str)> {
        let may_stay = (Sample::Box(END_BAND), "what may stay");
        if self.answer.is_none() {
            let line = match self.lesson.topic {
                Topic::Noise => "as it is",
                _ => "as the rib lies now",
            };
            return vec![(Sample::Line(AFTER), line), may_stay];
        }
        vec![
            (Sample::Line(BEFORE), "before"),
            (Sample::Line(AFTER), "after"),
            may_stay,
            (Sample::Box(NOW), "wood taken"),
            (Sample::Line(LEAST), "least wood"),
            (Sample::Bearing, "bears here now"),
        ]
    }

    fn description(&self) -> String {
        match self.answer {
            None => format!(
                "Gap along the joint at {} stations, at most {} at station {}. {}",
                self.lesson.stations.len(),
                self.lesson.unit().say(self.lesson.before.widest_gap().1),
                self.lesson.stations[self.lesson.before.widest_gap().0],
                self.lesson.question
            ),
            Some(answer) => format!("{} {}", answer.happened, answer.compared),
        }
    }
}
