//! The ribs' widths against each other.

use super::axis::{Axis, spread};
use super::curve::through;
use super::frame::{MARGIN, Plot, SMALL, Sample, WIDTH, heading, heights, key};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AFTER, AXIS, BEFORE, END_BAND, GUIDE, LEADER, LEADING, Look, MOST, TARGET, TEXT};
use super::text::{shortened, width};
use crate::bowl::divide::{Division, Source};
use crate::job::bowl::Bowl;
use crate::show::bowl::offsets;
use crate::show::names::clean;
use crate::show::units::length;

/// Within this band all ribs count as equally wide.
const EVEN: Look = Look { name: "even", ..END_BAND };
/// A fitted rib.
const FITTED: Look = Look { name: "fitted", ..MOST };
/// The share of the rib that comes next.
const NEXT: Look = Look { name: "next", ..AFTER };
/// The share of a rib that is left.
const SHARE: Look = Look { name: "share", ..BEFORE };

const LEFT: f64 = 90.0;
/// On a phone's screen.
const SMALL_LEFT: f64 = 58.0;
const HEIGHT: f64 = 340.0;
/// Room for the ribs' numbers at the right.
const NUMBERS: f64 = 60.0;
/// Shares that differ by less are one line, mm.
const ALIKE: f64 = 0.02;

/// Draws a line for every rib: how its width differs, station by station, from the mean of all
/// ribs there, with the rib's number at its end. Marks by class: `fitted`, `next` and `share` a
/// rib's line, `even` the band within the tolerance, `mean` the zero line. Shares that are alike
/// are one line.
pub fn widths(bowl: &Bowl, division: &Division) -> Sheet {
    sheet(bowl, division, WIDTH)
}

/// The same for the screen of a phone.
pub fn narrow_widths(bowl: &Bowl, division: &Division) -> Sheet {
    sheet(bowl, division, SMALL)
}

fn sheet(bowl: &Bowl, division: &Division, width: f64) -> Sheet {
    let s = &bowl.settings;
    let about = s.title.as_deref().map(|t| format!("{}, ", clean(t))).unwrap_or_default();
    let about = format!("{about}{} of {} ribs fitted", division.fitted, s.ribs);
    let title = format!("Widths of the ribs: {about}");
    let mut sheet = Sheet::new("widths", width, title, description(bowl, division));
    let y = heading(&mut sheet, "The ribs' widths against each other", &about);
    let lines = grouped(division);
    let top = key(&mut sheet, y, &entries(&lines)) + 14.0 + LEADING;
    let chart = Chart::new(bowl, division, width, top);
    chart.ground(&mut sheet);
    sheet.height = chart.scales(&mut sheet);
    lines.iter().for_each(|line| chart.line(&mut sheet, line));
    chart.numbers(&mut sheet, &lines);
    sheet
}

/// Ribs that are drawn as one line, counted from 0.
struct Line {
    first: usize,
    last: usize,
    look: Look,
}

impl Line {
    fn name(&self) -> String {
        match self.first == self.last {
            true => (self.first + 1).to_string(),
            false => format!("{}–{}", self.first + 1, self.last + 1),
        }
    }
}

fn grouped(division: &Division) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for (k, rib) in division.ribs.iter().enumerate() {
        let look = match rib.source {
            Source::Share if k == division.fitted => NEXT,
            Source::Share => SHARE,
            _ => FITTED,
        };
        let near = |other: &[f64]| rib.at.iter().zip(other).all(|(a, b)| (a - b).abs() < ALIKE);
        match lines.last_mut() {
            Some(line)
                if rib.source == Source::Share
                    && line.look != FITTED
                    && near(&division.ribs[line.first].at) =>
            {
                line.last = k;
            }
            _ => lines.push(Line { first: k, last: k, look }),
        }
    }
    lines
}

fn entries(lines: &[Line]) -> Vec<(Sample, &'static str)> {
    let all = [(FITTED, "fitted"), (NEXT, "the next rib's share"), (SHARE, "share of one that is left")];
    let there = all.into_iter().filter(|(look, _)| lines.iter().any(|l| l.look == *look));
    let lines = there.map(|(look, words)| (Sample::Line(look), words));
    lines.chain([(Sample::Box(EVEN), "within the tolerance")]).collect()
}

struct Chart<'a> {
    bowl: &'a Bowl,
    /// How each rib differs from the mean, in the maker's unit.
    off: Vec<Vec<f64>>,
    /// Half the tolerance, in the maker's unit.
    even: f64,
    across: Axis,
    up: Axis,
    plot: Plot,
}

impl<'a> Chart<'a> {
    fn new(bowl: &'a Bowl, division: &'a Division, width: f64, top: f64) -> Self {
        let unit = bowl.settings.unit.mm();
        let off: Vec<Vec<f64>> =
            offsets(division).iter().map(|r| r.iter().map(|v| v / unit).collect()).collect();
        let even = bowl.settings.even / 2.0 / unit;
        let most = off.iter().flatten().fold(even, |m, v| m.max(v.abs())) * 1.15;
        let left = if width < WIDTH { SMALL_LEFT } else { LEFT };
        let plot = Plot { left, right: width - MARGIN - NUMBERS, top, bottom: top + HEIGHT };
        let last = bowl.settings.stations.len().saturating_sub(1) as f64;
        Chart {
            bowl,
            off,
            even,
            across: Axis::new((0.0, last), (left + 14.0, plot.right - 14.0)),
            up: Axis::new((-most, most), (plot.bottom, top)),
            plot,
        }
    }

    fn at(&self, rib: usize, station: usize) -> Point {
        Point(self.across.at(station as f64), self.up.at(self.off[rib][station]))
    }

    /// Band, zero line, and a faint line for each station.
    fn ground(&self, sheet: &mut Sheet) {
        let corner = |x, value| Point(x, self.up.at(value));
        let (left, right) = (self.plot.left, self.plot.right);
        sheet.rect(EVEN, corner(left, -self.even), corner(right, self.even), "within the tolerance".into());
        for i in 0..self.bowl.settings.stations.len() {
            let x = self.across.at(i as f64);
            sheet.line(GUIDE, &[Point(x, self.plot.top), Point(x, self.plot.bottom)]);
        }
        let mean = Look { name: "mean", ..TARGET };
        sheet.line(mean, &[corner(left, 0.0), corner(right, 0.0)]);
    }

    fn line(&self, sheet: &mut Sheet, line: &Line) {
        let unit = self.bowl.settings.unit;
        let stations = &self.bowl.settings.stations;
        let points: Vec<Point> = (0..stations.len()).map(|i| self.at(line.first, i)).collect();
        let said = stations
            .iter()
            .zip(&self.off[line.first])
            .map(|(name, off)| format!("{} at {}", length(off * unit.mm(), unit), clean(name)));
        let said: Vec<String> = said.collect();
        let tip = format!("rib {}: {} {}", line.name(), said.join(", "), unit.symbol());
        sheet.path(line.look, through(&points), false).tip = Some(tip);
    }

    /// Each line's rib at its end, moved apart where lines end close to one another.
    fn numbers(&self, sheet: &mut Sheet, lines: &[Line]) {
        let last = self.bowl.settings.stations.len().saturating_sub(1);
        let mut ends: Vec<(Point, String)> =
            lines.iter().map(|l| (self.at(l.first, last), l.name())).collect();
        ends.sort_by(|a, b| a.0.1.total_cmp(&b.0.1));
        let room = ((self.plot.bottom - self.plot.top) / TEXT) as usize;
        let ends: Vec<(Point, String)> =
            super::space::spaced(ends.len(), room).into_iter().map(|k| ends[k].clone()).collect();
        let wanted: Vec<f64> = ends.iter().map(|e| e.0.1).collect();
        let x = self.plot.right + 18.0;
        for ((at, name), y) in ends.iter().zip(spread(&wanted, TEXT, self.plot.top, self.plot.bottom)) {
            sheet.line(LEADER, &[*at, Point(x - 3.0, y)]);
            sheet.text(Text::new(Point(x, y + 5.0), name.as_str(), Anchor::Start).sized(TEXT - 1.0));
        }
    }

    /// Returns where the picture may end.
    fn scales(&self, sheet: &mut Sheet) -> f64 {
        let Plot { left, right, top, bottom } = self.plot;
        let unit = self.bowl.settings.unit.symbol();
        let words = format!("over the mean width, {unit}");
        if left < LEFT {
            // Beside the numbers there is no room for it.
            sheet.text(Text::new(Point(MARGIN, top - 12.0), words, Anchor::Start));
            for (y, number) in self.up.ticks(36.0) {
                sheet.line(AXIS, &[Point(left - 5.0, y), Point(left, y)]);
                sheet.text(Text::new(Point(left - 9.0, y + 5.0), number, Anchor::End));
            }
            sheet.line(AXIS, &[Point(left, top), Point(left, bottom)]);
        } else {
            heights(sheet, &self.up, &self.plot, words);
        }
        sheet.text(Text::new(Point(right + 18.0, top - 12.0), "rib", Anchor::Start));
        sheet.line(AXIS, &[Point(left, bottom), Point(right, bottom)]);
        self.stations(sheet, bottom);
        sheet.text(Text::new(Point((left + right) / 2.0, bottom + 42.0), "station", Anchor::Middle));
        bottom + 3.4 * LEADING
    }

    /// The stations' names, as many as there is room for.
    fn stations(&self, sheet: &mut Sheet, y: f64) {
        let names: Vec<String> = self.bowl.settings.stations.iter().map(|n| clean(n)).collect();
        let apart = self.across.at(1.0) - self.across.at(0.0);
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let names = shortened(&names, TEXT, (apart - 8.0).max(30.0));
        let widest = names.iter().map(|n| width(n, TEXT, false)).fold(0.0, f64::max) + 8.0;
        let every = (widest / apart).ceil().max(1.0) as usize;
        for (i, name) in names.iter().enumerate().step_by(every) {
            let x = self.across.at(i as f64);
            sheet.line(AXIS, &[Point(x, y), Point(x, y + 5.0)]);
            let half = width(name, TEXT, false) / 2.0;
            let inside = x.clamp(MARGIN.min(half), sheet.width - half - 4.0);
            sheet.text(Text::new(Point(inside.max(half + 4.0), y + 20.0), name.as_str(), Anchor::Middle));
        }
    }
}

/// The picture in words.
fn description(bowl: &Bowl, division: &Division) -> String {
    let (at, worst) = division.worst();
    let s = &bowl.settings;
    format!(
        "For each of {} ribs, how its width differs from the mean of all at each station. {} are fitted. They differ by \
         {} at most, at station {}; the tolerance is {}.",
        s.ribs,
        division.fitted,
        s.unit.say(worst),
        clean(&s.stations[at]),
        s.unit.say(s.even)
    )
}
