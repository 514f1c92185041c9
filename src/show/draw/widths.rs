//! The ribs' widths against each other.

use super::axis::Axis;
use super::frame::{MARGIN, SMALL, Sample, WIDTH, heading, key, whisker};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AXIS, END_BAND, END_POINT, END_SD, GUIDE, LEADING, Look, NOW, TARGET};
use crate::bowl::divide::{Division, Source};
use crate::job::bowl::Bowl;
use crate::show::bowl::offsets;
use crate::show::names::clean;
use crate::show::units::length;

/// Within this band all ribs count as equally wide.
const EVEN: Look = Look { name: "even", ..END_BAND };
/// A fitted rib's width at a station.
const FITTED: Look = Look { name: "fitted", ..END_POINT };
/// From a fitted rib's narrowest station to its widest.
const RANGE: Look = Look { name: "range", ..END_SD };
/// The share of a rib that is left.
const SHARE: Look = Look { name: "share", ..NOW };

const LEFT: f64 = 90.0;
/// On a phone's screen.
const SMALL_LEFT: f64 = 70.0;
const HEIGHT: f64 = 320.0;

/// Draws, for every rib, how its width differs from the mean of all ribs at each
/// station. Marks by class: `fitted` a station's dot, `range` from least to most,
/// `share` a rib that is left, `even` the band within the tolerance, `mean` the zero line.
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
    let entries = [
        (Sample::Line(RANGE), "fitted, all its stations"),
        (Sample::Box(SHARE), "its share, not fitted yet"),
        (Sample::Box(EVEN), "within the tolerance"),
    ];
    let words = if width < WIDTH { LEADING } else { 0.0 };
    let top = key(&mut sheet, y, &entries) + 14.0 + words;
    let plot = Plot::new(bowl, division, width, top);
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
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

impl<'a> Plot<'a> {
    fn new(bowl: &'a Bowl, division: &'a Division, width: f64, top: f64) -> Self {
        let unit = bowl.settings.unit.mm();
        let off: Vec<Vec<f64>> =
            offsets(division).iter().map(|r| r.iter().map(|v| v / unit).collect()).collect();
        let even = bowl.settings.even / 2.0 / unit;
        let most = off.iter().flatten().fold(even, |m, v| m.max(v.abs())) * 1.15;
        let bottom = top + HEIGHT;
        let last = division.ribs.len() as f64 + 0.5;
        let left = if width < WIDTH { SMALL_LEFT } else { LEFT };
        let right = width - MARGIN;
        Plot {
            bowl,
            division,
            off,
            even,
            across: Axis::new((0.5, last), (left, right)),
            up: Axis::new((-most, most), (bottom, top)),
            left,
            right,
            top,
            bottom,
        }
    }

    /// Half the width of a share's bar: ribs side by side never touch.
    fn half(&self) -> f64 {
        (0.3 * (self.across.at(2.0) - self.across.at(1.0))).min(6.0)
    }

    /// Band, zero line, and a faint line for each rib.
    fn ground(&self, sheet: &mut Sheet) {
        let corner = |x, value| Point(x, self.up.at(value));
        sheet.rect(
            EVEN,
            corner(self.left, -self.even),
            corner(self.right, self.even),
            "within the tolerance".into(),
        );
        for k in 0..self.off.len() {
            let x = self.across.at(k as f64 + 1.0);
            sheet.line(GUIDE, &[Point(x, self.top), Point(x, self.bottom)]);
        }
        let mean = Look { name: "mean", ..TARGET };
        sheet.line(mean, &[corner(self.left, 0.0), corner(self.right, 0.0)]);
    }

    fn rib(&self, sheet: &mut Sheet, k: usize) {
        let x = self.across.at(k as f64 + 1.0);
        let (low, high) = self.off[k].iter().fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        let (low, high) = (self.up.at(low), self.up.at(high));
        if self.division.ribs[k].source == Source::Share {
            let (half, tip) = (self.half(), format!("rib {}, its share", k + 1));
            // A share that is alike at every station still shows.
            sheet.rect(SHARE, Point(x - half, high - 2.0), Point(x + half, low + 2.0), tip);
            return;
        }
        whisker(sheet, RANGE, x, [high, low], self.half().min(5.0));
        let unit = self.bowl.settings.unit;
        for (station, off) in self.bowl.settings.stations.iter().zip(&self.off[k]) {
            let over = length(off * unit.mm(), unit);
            let tip = format!("rib {}, station {}: {over} {}", k + 1, clean(station), unit.symbol());
            sheet.dot(FITTED, Point(x, self.up.at(*off)), 3.2).tip = Some(tip);
        }
    }

    fn scales(&self, sheet: &mut Sheet) {
        sheet.line(AXIS, &[Point(self.left, self.top), Point(self.left, self.bottom)]);
        sheet.line(AXIS, &[Point(self.left, self.bottom), Point(self.right, self.bottom)]);
        for (y, number) in self.up.ticks(36.0) {
            sheet.line(AXIS, &[Point(self.left - 5.0, y), Point(self.left, y)]);
            sheet.text(Text::new(Point(self.left - 9.0, y + 5.0), number, Anchor::End));
        }
        // A number takes 24 pixels.
        let every = ((self.off.len() as f64 * 24.0 / (self.right - self.left)).ceil() as usize).max(1);
        for k in (0..self.off.len()).step_by(every) {
            let x = self.across.at(k as f64 + 1.0);
            sheet.line(AXIS, &[Point(x, self.bottom), Point(x, self.bottom + 5.0)]);
            sheet.text(Text::new(Point(x, self.bottom + 20.0), (k + 1).to_string(), Anchor::Middle));
        }
        let middle = (self.left + self.right) / 2.0;
        sheet.text(Text::new(Point(middle, self.bottom + 42.0), "rib", Anchor::Middle));
        let words = format!("over the mean width, {}", self.bowl.settings.unit.symbol());
        if self.left < LEFT {
            // Beside the numbers there is no room for it.
            let at = Point(self.left - 9.0, self.top - 12.0);
            sheet.text(Text::new(at, words, Anchor::Start));
            return;
        }
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
