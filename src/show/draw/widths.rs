//! The ribs' widths against each other.

use super::axis::Axis;
use super::frame::{MARGIN, Sample, WIDTH, heading, key, whisker};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AXIS, END_BAND, END_POINT, END_SD, GUIDE, LEADING, Look, NOW, TARGET};
use crate::bowl::divide::{Division, Source};
use crate::job::bowl::Bowl;
use crate::show::bowl::offsets;
use crate::show::names::clean;
use crate::show::units::{length, symbol};

/// Within this band all ribs count as equally wide.
const EVEN: Look = Look { name: "even", ..END_BAND };
/// A fitted rib's width at a station.
const FITTED: Look = Look { name: "fitted", ..END_POINT };
/// From a fitted rib's narrowest station to its widest.
const RANGE: Look = Look { name: "range", ..END_SD };
/// The share of a rib that is left.
const SHARE: Look = Look { name: "share", ..NOW };

const LEFT: f64 = 90.0;
const HEIGHT: f64 = 320.0;

/// Draws, for every rib, how its width differs from the mean of all ribs at each
/// station. Marks by class: `fitted` a station's dot, `range` from least to most,
/// `share` a rib that is left, `even` the band within the tolerance, `mean` the zero line.
pub fn widths(bowl: &Bowl, division: &Division) -> Sheet {
    let s = &bowl.settings;
    let about = s.title.as_deref().map(|t| format!("{}, ", clean(t))).unwrap_or_default();
    let about = format!("{about}{} of {} ribs fitted", division.fitted, s.ribs);
    let title = format!("Widths of the ribs: {about}");
    let mut sheet = Sheet::new("widths", WIDTH, title, description(bowl, division));
    let y = heading(&mut sheet, "The ribs' widths against each other", &about);
    let entries = [
        (Sample::Line(RANGE), "fitted, all its stations"),
        (Sample::Box(SHARE), "its share, not fitted yet"),
        (Sample::Box(EVEN), "within the tolerance"),
    ];
    let top = key(&mut sheet, y, &entries) + 14.0;
    let plot = Plot::new(bowl, division, top);
    plot.ground(&mut sheet);
    (0..division.ribs.len()).for_each(|k| plot.rib(&mut sheet, k));
    plot.scales(&mut sheet);
    sheet.height = plot.bottom + 3.6 * LEADING;
    sheet
}

struct Plot<'a> {
    bowl: &'a Bowl,
    division: &'a Division,
    /// In the maker's unit.
    off: Vec<Vec<f64>>,
    /// Half the tolerance, in the maker's unit.
    even: f64,
    across: Axis,
    up: Axis,
    top: f64,
    bottom: f64,
}

impl<'a> Plot<'a> {
    fn new(bowl: &'a Bowl, division: &'a Division, top: f64) -> Self {
        let unit = bowl.settings.unit.mm();
        let off: Vec<Vec<f64>> =
            offsets(division).iter().map(|r| r.iter().map(|v| v / unit).collect()).collect();
        let even = bowl.settings.even / 2.0 / unit;
        let most = off.iter().flatten().fold(even, |m, v| m.max(v.abs())) * 1.15;
        let bottom = top + HEIGHT;
        let last = division.ribs.len() as f64 + 0.5;
        Plot {
            bowl,
            division,
            off,
            even,
            across: Axis::new((0.5, last), (LEFT, WIDTH - MARGIN)),
            up: Axis::new((-most, most), (bottom, top)),
            top,
            bottom,
        }
    }

    /// Band, zero line, and a faint line for each rib.
    fn ground(&self, sheet: &mut Sheet) {
        let right = WIDTH - MARGIN;
        let corner = |x, value| Point(x, self.up.at(value));
        sheet.rect(EVEN, corner(LEFT, -self.even), corner(right, self.even), "within the tolerance".into());
        for k in 0..self.off.len() {
            let x = self.across.at(k as f64 + 1.0);
            sheet.line(GUIDE, &[Point(x, self.top), Point(x, self.bottom)]);
        }
        let mean = Look { name: "mean", ..TARGET };
        sheet.line(mean, &[corner(LEFT, 0.0), corner(right, 0.0)]);
    }

    fn rib(&self, sheet: &mut Sheet, k: usize) {
        let x = self.across.at(k as f64 + 1.0);
        let (low, high) = self.off[k].iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        let (low, high) = (self.up.at(low), self.up.at(high));
        if self.division.ribs[k].source == Source::Share {
            let tip = format!("rib {}, its share", k + 1);
            // A share that is alike at every station still shows.
            sheet.rect(SHARE, Point(x - 6.0, high - 2.0), Point(x + 6.0, low + 2.0), tip);
            return;
        }
        whisker(sheet, RANGE, x, [high, low], 5.0);
        let unit = self.bowl.settings.unit;
        for (station, off) in self.bowl.settings.stations.iter().zip(&self.off[k]) {
            let over = length(off * unit.mm(), unit);
            let tip = format!("rib {}, station {}: {over} {}", k + 1, clean(station), symbol(unit));
            sheet.dot(FITTED, Point(x, self.up.at(*off)), 3.2).tip = Some(tip);
        }
    }

    fn scales(&self, sheet: &mut Sheet) {
        sheet.line(AXIS, &[Point(LEFT, self.top), Point(LEFT, self.bottom)]);
        sheet.line(AXIS, &[Point(LEFT, self.bottom), Point(WIDTH - MARGIN, self.bottom)]);
        for (y, number) in self.up.ticks(36.0) {
            sheet.line(AXIS, &[Point(LEFT - 5.0, y), Point(LEFT, y)]);
            sheet.text(Text::new(Point(LEFT - 9.0, y + 5.0), number, Anchor::End));
        }
        let every = self.off.len().div_ceil(34).max(1);
        for k in (0..self.off.len()).step_by(every) {
            let x = self.across.at(k as f64 + 1.0);
            sheet.line(AXIS, &[Point(x, self.bottom), Point(x, self.bottom + 5.0)]);
            sheet.text(Text::new(Point(x, self.bottom + 20.0), (k + 1).to_string(), Anchor::Middle));
        }
        let middle = (LEFT + WIDTH - MARGIN) / 2.0;
        sheet.text(Text::new(Point(middle, self.bottom + 42.0), "rib", Anchor::Middle));
        let words = format!("over the mean width, {}", symbol(self.bowl.settings.unit));
        let at = Point(MARGIN + 14.0, (self.top + self.bottom) / 2.0);
        sheet.text(Text::new(at, words, Anchor::Middle).upright());
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
