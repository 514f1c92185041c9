//! The removal map: what comes off where, now and in the end, and how surely.

use super::axis::Axis;
use super::curve::{Curve, runs, through};
use super::frame::{Along, Plot, Sample, WIDTH, heading, heights, key, subject, whisker};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{END, END_BAND, END_POINT, END_SD, GUIDE, Look, MISSING, NARROW, NOW};
use crate::advice::{Advice, StationAdvice};
use crate::job::Job;
use crate::show::names::clean;

/// Left side of the plot.
const LEFT: f64 = 84.0;
/// Height of the plot.
const HEIGHT: f64 = 300.0;

/// Draws the removal map. Marks by class: `now` a bar at each station up to
/// `remove_now`, `end-point` a dot at `remove`, `end-sd` its standard
/// uncertainty, `end` and `end-band` the same between stations, `missing` a
/// dash where there is no `remove`. Figures that don't exist are not drawn.
pub fn removal_map(job: &Job, advice: &Advice) -> Sheet {
    map(job, advice, "removal-map", "What comes off", &subject(job, advice))
}

/// The same map of any edge, by its name, heading and subject.
pub(super) fn map(job: &Job, advice: &Advice, name: &'static str, head: &str, about: &str) -> Sheet {
    let title = format!("{head}: {about}");
    let mut sheet = Sheet::new(name, WIDTH, title, description(job, advice));
    let y = heading(&mut sheet, head, about);
    let top = key(&mut sheet, y, &entries(advice)) + 10.0;
    let bottom = top + HEIGHT;
    let map = Map::new(job, advice, Along::new(job, advice, LEFT), (bottom, top));
    let plot = Plot { left: LEFT, right: map.along.right, top, bottom };
    heights(&mut sheet, &map.height, &plot, format!("wood to come off, {}", job.unit.symbol()));
    map.along.guides(&mut sheet, top, bottom);
    map.band(&mut sheet);
    map.bars(&mut sheet, bottom);
    map.figures(&mut sheet, bottom);
    sheet.height = map.along.ground(&mut sheet, bottom);
    sheet
}

/// Width of the small map, its left side and its plot's height.
const SMALL: [f64; 3] = [360.0, 36.0, 92.0];

/// The same map, small and without a heading, for the screen of a phone. Marks as
/// in [`removal_map`].
pub fn removal_strip(job: &Job, advice: &Advice) -> Sheet {
    strip(job, advice, "removal-strip", &format!("What comes off: {}", subject(job, advice)))
}

/// The same of any edge, by its name and title.
pub(super) fn strip(job: &Job, advice: &Advice, name: &'static str, title: &str) -> Sheet {
    let [width, left, height] = SMALL;
    let mut sheet = Sheet::new(name, width, title.to_owned(), description(job, advice));
    let (top, bottom) = (12.0, 12.0 + height);
    let along = Along::new(job, advice, left).within(width - 4.0, 12.0);
    let map = Map::new(job, advice, along, (bottom, top));
    for (y, number) in map.height.ticks(30.0) {
        sheet.line(GUIDE, &[Point(left, y), Point(map.along.right, y)]);
        sheet.text(Text::new(Point(left - 5.0, y + 5.0), number, Anchor::End));
    }
    map.along.guides(&mut sheet, top, bottom);
    map.band(&mut sheet);
    map.bars(&mut sheet, bottom);
    map.figures(&mut sheet, bottom);
    sheet.height = map.along.floor(&mut sheet, bottom) + 4.0;
    sheet
}

/// Figures that exist, in the maker's unit.
fn figure(job: &Job, value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite()).map(|v| v / job.unit.mm())
}

struct Map<'a> {
    job: &'a Job,
    stations: &'a [StationAdvice],
    along: Along,
    height: Axis,
}

impl<'a> Map<'a> {
    fn new(job: &'a Job, advice: &'a Advice, along: Along, pixels: (f64, f64)) -> Self {
        let most = |s: &StationAdvice| {
            let end = figure(job, s.remove).map(|r| r + figure(job, s.remove_sd).unwrap_or(0.0));
            end.into_iter().chain(figure(job, s.remove_now)).fold(0.0, f64::max)
        };
        let most = advice.stations.iter().map(most).fold(0.0, f64::max);
        // At least a tenth of a millimetre, so that nothing looks like much.
        let high = (most * 1.06).max(0.1 / job.unit.mm());
        Map { job, stations: &advice.stations, along, height: Axis::new((0.0, high), pixels) }
    }

    /// A station's height on the sheet for `remove` and so many uncertainties;
    /// never below zero: no wood is put on.
    fn end(&self, station: &StationAdvice, sds: f64) -> Option<f64> {
        let sd = if sds == 0.0 { 0.0 } else { sds * figure(self.job, station.remove_sd)? };
        Some(self.height.at((figure(self.job, station.remove)? + sd).max(0.0)))
    }

    /// The stations' places at so many uncertainties, in runs without a gap.
    fn runs(&self, sds: f64) -> Vec<Vec<Point>> {
        let points = self.along.stations().into_iter().zip(self.stations);
        runs(points.map(|(x, s)| self.end(s, sds).map(|y| Point(x, y))))
    }

    fn band(&self, sheet: &mut Sheet) {
        for (upper, lower) in self.runs(1.0).iter().zip(&self.runs(-1.0)) {
            if upper.len() > 1 {
                let upper = Curve::through(upper);
                let down = |(u, l): (&Point, &Point)| l.1 - u.1;
                let deep: Vec<f64> = upper.points().iter().zip(lower).map(down).collect();
                sheet.path(END_BAND, upper.strip(&upper.lowered(&deep)), true);
            }
        }
    }

    fn bars(&self, sheet: &mut Sheet, bottom: f64) {
        let at = self.along.stations();
        let half = (self.along.closest() * 0.27).clamp(0.5, 9.0);
        let look = if half < 3.0 { NARROW } else { NOW };
        for (x, station) in at.iter().zip(self.stations) {
            let Some(now) = figure(self.job, station.remove_now) else {
                continue;
            };
            let tip = format!(
                "station {}: {} come off now",
                clean(&station.name),
                self.job.unit.say(now * self.job.unit.mm())
            );
            sheet.rect(look, Point(x - half, self.height.at(now)), Point(x + half, bottom), tip);
        }
    }

    fn figures(&self, sheet: &mut Sheet, bottom: f64) {
        for run in self.runs(0.0) {
            sheet.path(END, through(&run), false);
        }
        // Where stations crowd, marks shrink, and the band alone tells how sure.
        let closest = self.along.closest();
        let radius = (closest * 0.25).clamp(1.8, 4.5);
        let pen = END_POINT.pen.filter(|_| radius > 3.0);
        let point = Look { pen, ..END_POINT };
        for (x, station) in self.along.stations().into_iter().zip(self.stations) {
            let Some(y) = self.end(station, 0.0) else {
                let dash = [-1.1 * radius, 1.1 * radius].map(|d| Point(x + d, bottom - 8.0));
                sheet.line(MISSING, &dash).tip = Some(self.no_figure(station));
                continue;
            };
            if let (Some(upper), Some(lower)) = (self.end(station, 1.0), self.end(station, -1.0))
                && closest > 8.0
            {
                whisker(sheet, END_SD, x, [upper, lower], 0.9 * radius);
            }
            sheet.dot(point, Point(x, y), radius).tip = Some(self.in_the_end(station));
        }
    }

    fn no_figure(&self, station: &StationAdvice) -> String {
        format!("station {}: no figure", clean(&station.name))
    }

    fn in_the_end(&self, station: &StationAdvice) -> String {
        let length = |v: Option<f64>| v.map(|v| self.job.unit.say(v)).unwrap_or_default();
        let sd = station.remove_sd.map(|_| format!(" ± {}", length(station.remove_sd)));
        format!(
            "station {}: {}{} still to come off in the end",
            clean(&station.name),
            length(station.remove),
            sd.unwrap_or_default()
        )
    }
}

fn entries(advice: &Advice) -> Vec<(Sample, &'static str)> {
    let mut entries = vec![
        (Sample::Box(NOW), "comes off now"),
        (
            Sample::Figure([END_BAND, END, END_SD, END_POINT]),
            "still to come off in the end, ± one standard uncertainty",
        ),
    ];
    if !advice.bearings.is_empty() {
        entries.push((Sample::Bearing, "bears here now"));
    }
    if advice.stations.iter().any(|s| s.remove.is_none()) {
        entries.push((Sample::Line(MISSING), "no figure"));
    }
    entries
}

/// The picture in words.
fn description(job: &Job, advice: &Advice) -> String {
    let most = |pick: fn(&StationAdvice) -> Option<f64>| {
        let known = advice.stations.iter().filter_map(|s| pick(s).map(|v| (v, &s.name)));
        let most = known.max_by(|a, b| a.0.total_cmp(&b.0));
        most.map_or("no figure".to_owned(), |(v, name)| {
            format!("at most {}, at station {}", job.unit.say(v), clean(name))
        })
    };
    let bearings = advice.bearings.iter().map(|&i| clean(&advice.stations[i].name));
    let bearings: Vec<String> = bearings.collect();
    let bears = match bearings.is_empty() {
        true => String::new(),
        false => format!(" The edge bears now at {}.", bearings.join(", ")),
    };
    format!(
        "Wood to come off the edge at {} stations along the joint. In the end: {}. Now: {}.{bears}",
        advice.stations.len(),
        most(|s| s.remove),
        most(|s| s.remove_now),
    )
}
