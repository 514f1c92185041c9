//! What the pictures of one joint share: the heading, the stations with their
//! names below, the scale along the joint, the key.

use super::axis::{Axis, spread};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AXIS, BEARING, GUIDE, HEADING, LEADER, LEADING, Look, TEXT};
use super::text::{fitted, shortened, width};
use crate::advice::{Advice, StationAdvice, Verdict};
use crate::job::{Job, Measured, Unit};
use crate::joint::Joint;
use crate::show::names::{clean, headed};
use crate::show::table::headline;

/// Width of every picture, pixels.
pub(super) const WIDTH: f64 = 960.0;
/// Width of a picture for the screen of a phone.
pub(super) const SMALL: f64 = 400.0;
/// Blank at the left and right of everything.
pub(super) const MARGIN: f64 = 20.0;
/// From the plot's sides to the first and the last station.
const INSET: f64 = 22.0;
/// Width of a sample in the key.
const SAMPLE: f64 = 28.0;
/// Longest name, pixels, where names stand upright.
const LONGEST: f64 = 150.0;

/// The joint along the sheet.
pub(super) struct Along {
    unit: Unit,
    measured: Measured,
    names: Vec<String>,
    /// Places of the stations, in the maker's unit.
    places: Vec<f64>,
    bearings: Vec<usize>,
    /// The scale along the joint, in the maker's unit.
    pub(super) axis: Axis,
    /// Sides of the plot.
    pub(super) left: f64,
    /// Right side.
    pub(super) right: f64,
}

impl Along {
    /// The joint of an answer between two sides of a plot, with what bears now.
    pub(super) fn new(job: &Job, advice: &Advice, left: f64) -> Self {
        let stations = advice.stations.iter();
        let places = stations.map(|s| (s.name.as_str(), s.along, s.arc)).collect();
        Along::at(job, places, left).bearing(&advice.bearings)
    }

    /// The same on a sheet of another width.
    pub(super) fn on(self, width: f64) -> Self {
        let inset = if width < WIDTH { 0.4 * INSET } else { INSET };
        self.within(width - MARGIN, inset)
    }

    /// The same up to another right side, with another blank to both sides.
    pub(super) fn within(self, right: f64, inset: f64) -> Self {
        let ends = (self.places.first().copied().unwrap_or(0.0), self.places.last().copied().unwrap_or(0.0));
        Along { axis: Axis::new(ends, (self.left + inset, right - inset)), right, ..self }
    }

    /// The joint by its frames, without bearings.
    pub(super) fn of(job: &Job, joint: &Joint, left: f64) -> Self {
        let stations = job.stations.iter().zip(&joint.frames);
        Along::at(job, stations.map(|(s, f)| (s.name.as_str(), f.joint.x, f.arc)).collect(), left)
    }

    /// Stations by name, place along the chord and along the arc, mm.
    fn at(job: &Job, stations: Vec<(&str, f64, f64)>, left: f64) -> Self {
        let right = WIDTH - MARGIN;
        let place = |s: &(&str, f64, f64)| match job.measured {
            Measured::Along => s.1 / job.unit.mm(),
            Measured::Arc => s.2 / job.unit.mm(),
        };
        let places: Vec<f64> = stations.iter().map(place).collect();
        let ends = (places.first().copied().unwrap_or(0.0), places.last().copied().unwrap_or(0.0));
        Along {
            unit: job.unit,
            measured: job.measured,
            names: stations.iter().map(|s| s.0.to_owned()).collect(),
            axis: Axis::new(ends, (left + INSET, right - INSET)),
            places,
            bearings: Vec::new(),
            left,
            right,
        }
    }

    /// The same with the stations that bear.
    fn bearing(self, bearings: &[usize]) -> Self {
        Along { bearings: bearings.to_vec(), ..self }
    }

    /// A station's name, fit to print.
    pub(super) fn name(&self, i: usize) -> String {
        clean(&self.names[i])
    }

    /// Where each station stands.
    pub(super) fn stations(&self) -> Vec<f64> {
        self.places.iter().map(|p| self.axis.at(*p)).collect()
    }

    /// Pixels between the two stations that are closest.
    pub(super) fn closest(&self) -> f64 {
        let at = self.stations();
        at.windows(2).map(|p| p[1] - p[0]).fold(f64::INFINITY, f64::min)
    }

    /// Faint lines up from each station, unless they would make a wall.
    pub(super) fn guides(&self, sheet: &mut Sheet, top: f64, bottom: f64) {
        if self.closest() < 6.0 {
            return;
        }
        for x in self.stations() {
            sheet.line(GUIDE, &[Point(x, top), Point(x, bottom)]);
        }
    }

    /// The base line at `y`, bearings, names, and the scale below; returns
    /// where the picture may end.
    pub(super) fn ground(&self, sheet: &mut Sheet, y: f64) -> f64 {
        let bottom = self.floor(sheet, y);
        self.scale(sheet, bottom + 12.0)
    }

    /// The base line at `y` with bearings and names; returns where they end.
    pub(super) fn floor(&self, sheet: &mut Sheet, y: f64) -> f64 {
        sheet.line(AXIS, &[Point(self.left, y), Point(self.right, y)]);
        let at = self.stations();
        for (i, &x) in at.iter().enumerate() {
            sheet.line(AXIS, &[Point(x, y), Point(x, y + 5.0)]);
            if self.bearings.contains(&i) {
                let tip = format!("bears at station {}", self.name(i));
                triangle(sheet, BEARING, Point(x, y + 3.0)).tip = Some(tip);
            }
        }
        self.names(sheet, &at, y + 14.0)
    }

    /// The stations' names, side by side where they fit, else upright.
    fn names(&self, sheet: &mut Sheet, at: &[f64], y: f64) -> f64 {
        let names: Vec<&str> = self.names.iter().map(String::as_str).collect();
        let names = shortened(&names, TEXT, LONGEST);
        if side_by_side(&names, at, self.right + MARGIN) {
            for (name, &x) in names.iter().zip(at) {
                sheet.text(Text::new(Point(x, y + 13.0), name.as_str(), Anchor::Middle));
            }
            return y + LEADING;
        }
        self.upright_names(sheet, &names, at, y)
    }

    /// Names turned upright, moved apart where stations are close, each with a
    /// line to its station; only every second, third, ... when there are more
    /// than fit.
    fn upright_names(&self, sheet: &mut Sheet, names: &[String], at: &[f64], y: f64) -> f64 {
        let gap = TEXT + 1.5;
        let (low, high) = (self.left, self.right - gap / 2.0);
        let fit = ((high - low) / gap) as usize + 1;
        let every = names.len().div_ceil(fit);
        let shown: Vec<usize> = (0..names.len()).step_by(every).collect();
        let wanted: Vec<f64> = shown.iter().map(|&i| at[i]).collect();
        let top = y + 12.0;
        for (&i, x) in shown.iter().zip(spread(&wanted, gap, low, high)) {
            sheet.line(LEADER, &[Point(at[i], y - 2.0), Point(x, top - 2.0)]);
            let foot = Point(x + 0.35 * TEXT, top + 2.0);
            sheet.text(Text::new(foot, names[i].as_str(), Anchor::End).upright());
        }
        let longest = shown.iter().map(|&i| width(&names[i], TEXT, false));
        top + longest.fold(0.0, f64::max) + 6.0
    }

    /// The scale along the joint, with its unit.
    fn scale(&self, sheet: &mut Sheet, y: f64) -> f64 {
        sheet.line(AXIS, &[Point(self.left, y), Point(self.right, y)]);
        for (x, number) in self.axis.widened(INSET).ticks(70.0) {
            sheet.line(AXIS, &[Point(x, y), Point(x, y + 5.0)]);
            let half = width(&number, TEXT, false) / 2.0;
            let inside = x.min(sheet.width - 4.0 - half);
            sheet.text(Text::new(Point(inside, y + 20.0), number, Anchor::Middle));
        }
        let middle = (self.left + self.right) / 2.0;
        let way = match self.measured {
            Measured::Along => "station, and its distance along the joint",
            Measured::Arc => "station, and its distance along the edge (arc)",
        };
        let title = format!("{way}, {}", self.unit.symbol());
        sheet.text(Text::new(Point(middle, y + 42.0), title, Anchor::Middle));
        y + 54.0
    }
}

/// Whether every name has room between its neighbours and inside the sheet.
fn side_by_side(names: &[String], at: &[f64], wide: f64) -> bool {
    let spans = names.iter().zip(at).map(|(name, x)| {
        let half = width(name, TEXT, false) / 2.0;
        (x - half, x + half)
    });
    let spans: Vec<(f64, f64)> = spans.collect();
    let inside = spans.iter().all(|s| s.0 > 4.0 && s.1 < wide - 4.0);
    inside && spans.windows(2).all(|pair| pair[1].0 - pair[0].1 > 6.0)
}

/// The scale of heights at the left of a plot, its numbers and lines across, and
/// what it shows, in words with the unit.
pub(super) fn heights(sheet: &mut Sheet, axis: &Axis, plot: &Plot, words: String) {
    for (y, number) in axis.ticks(30.0) {
        sheet.line(GUIDE, &[Point(plot.left, y), Point(plot.right, y)]);
        sheet.line(AXIS, &[Point(plot.left - 5.0, y), Point(plot.left, y)]);
        sheet.text(Text::new(Point(plot.left - 9.0, y + 5.0), number, Anchor::End));
    }
    sheet.line(AXIS, &[Point(plot.left, plot.top), Point(plot.left, plot.bottom)]);
    let middle = Point(28.0, (plot.top + plot.bottom) / 2.0);
    sheet.text(Text::new(middle, words, Anchor::Middle).upright());
}

/// The sides of a plot, pixels.
#[derive(Debug, Clone, Copy)]
pub(super) struct Plot {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

/// A triangle that points up to where the edge bears.
pub(super) fn triangle(sheet: &mut Sheet, look: Look, top: Point) -> &mut super::sheet::Element {
    let foot = top.1 + 10.0;
    sheet.outline(look, &[top, Point(top.0 + 6.0, foot), Point(top.0 - 6.0, foot)])
}

/// An answer that is nothing but stations, each by its name, place along the chord and
/// along the arc: what this frame reads, for pictures of what no advice was asked on.
pub(super) fn bare<'a>(stations: impl Iterator<Item = (&'a str, f64, f64)>) -> Advice {
    let station = |(name, along, arc): (&str, f64, f64)| StationAdvice {
        name: name.to_owned(),
        along,
        arc,
        overlap: None,
        lift: None,
        remove: None,
        remove_sd: None,
        remove_now: None,
        gap_after: None,
        lift_after: None,
        edge: None,
    };
    Advice {
        verdict: Verdict::Plane,
        reason: String::new(),
        round: None,
        surface: None,
        stations: stations.map(station).collect(),
        strokes: Vec::new(),
        bearings: Vec::new(),
        doubted: Vec::new(),
        read_next: None,
        warnings: Vec::new(),
    }
}

/// What a picture is about: the joint, the round, and the verdict unless it is
/// to plane, which the picture itself shows.
pub(super) fn subject(job: &Job, advice: &Advice) -> String {
    let round = match advice.round {
        Some(round) => format!("round {round}"),
        None => "no round read yet".to_owned(),
    };
    let verdict = match advice.verdict {
        Verdict::Plane => String::new(),
        verdict => format!(". {}", headline(verdict)),
    };
    headed(job.title.as_deref(), &(round + &verdict))
}

/// The heading and what it is about; returns where the next line goes.
pub(super) fn heading(sheet: &mut Sheet, words: &str, subject: &str) -> f64 {
    let room = sheet.width - 2.0 * MARGIN;
    let words = Text::new(Point(MARGIN, 34.0), words, Anchor::Start);
    sheet.text(words.sized(HEADING).bold());
    let subject = fitted(subject, TEXT, false, room);
    sheet.text(Text::new(Point(MARGIN, 34.0 + 22.0), subject, Anchor::Start));
    34.0 + 22.0 + 26.0
}

/// What stands for a mark in the key.
pub(super) enum Sample {
    /// A line.
    Line(Look),
    /// A box.
    Box(Look),
    /// A figure with its uncertainty, on the band between figures.
    Figure([Look; 4]),
    /// A bearing.
    Bearing,
    /// A triangle of another look.
    Triangle(Look),
    /// A line with a dot on it.
    Dotted(Look, Look),
    /// A diamond.
    Diamond(Look),
    /// A band and the line that bounds it.
    Limit([Look; 2]),
}

/// The key, from base line `y` on; returns where the next line goes.
pub(super) fn key<W: AsRef<str>>(sheet: &mut Sheet, y: f64, entries: &[(Sample, W)]) -> f64 {
    let (mut x, mut y) = (MARGIN, y);
    for (sample, words) in entries {
        let words = &fitted(words.as_ref(), TEXT, false, sheet.width - 2.0 * MARGIN - SAMPLE - 8.0);
        let wide = SAMPLE + 8.0 + width(words, TEXT, false);
        if x > MARGIN && x + wide > sheet.width - MARGIN {
            (x, y) = (MARGIN, y + LEADING + 4.0);
        }
        let first = sheet.marks.len();
        sample.draw(sheet, Point(x, y - 5.0));
        sheet.marks[first..].iter_mut().for_each(|mark| mark.name = "key");
        sheet.text(Text::new(Point(x + SAMPLE + 8.0, y), words.as_str(), Anchor::Start));
        x += wide + 18.0;
    }
    y + LEADING
}

impl Sample {
    /// Draws it [`SAMPLE`] wide from its middle left.
    fn draw(&self, sheet: &mut Sheet, at: Point) {
        let Point(x, y) = at;
        match self {
            Sample::Line(look) => {
                sheet.line(*look, &[Point(x, y), Point(x + SAMPLE, y)]);
            }
            Sample::Box(look) => {
                sheet.rect(*look, Point(x, y - 7.0), Point(x + SAMPLE, y + 7.0), String::new());
            }
            Sample::Figure([band, line, sd, point]) => {
                sheet.rect(*band, Point(x, y - 8.0), Point(x + SAMPLE, y + 8.0), String::new());
                sheet.line(*line, &[Point(x, y), Point(x + SAMPLE, y)]);
                whisker(sheet, *sd, x + SAMPLE / 2.0, [y - 8.0, y + 8.0], 4.0);
                sheet.dot(*point, Point(x + SAMPLE / 2.0, y), 4.5);
            }
            Sample::Bearing => Sample::Triangle(BEARING).draw(sheet, at),
            Sample::Triangle(look) => {
                triangle(sheet, *look, Point(x + SAMPLE / 2.0, y - 5.0));
            }
            Sample::Dotted(line, dot) => {
                sheet.line(*line, &[Point(x, y), Point(x + SAMPLE, y)]);
                sheet.dot(*dot, Point(x + SAMPLE / 2.0, y), 4.0);
            }
            Sample::Diamond(look) => {
                diamond(sheet, *look, Point(x + SAMPLE / 2.0, y), 5.0);
            }
            Sample::Limit([band, line]) => {
                sheet.rect(*band, Point(x, y - 6.0), Point(x + SAMPLE, y + 7.0), String::new());
                sheet.line(*line, &[Point(x, y - 6.0), Point(x + SAMPLE, y - 6.0)]);
            }
        }
    }
}

/// A square on its corner, reaching so far each way.
pub(super) fn diamond(sheet: &mut Sheet, look: Look, at: Point, reach: f64) -> &mut super::sheet::Element {
    let corners = [(0.0, -reach), (reach, 0.0), (0.0, reach), (-reach, 0.0)];
    sheet.outline(look, &corners.map(|(x, y)| Point(at.0 + x, at.1 + y)))
}

/// An upright line between two heights, with caps reaching out on both sides.
pub(super) fn whisker(sheet: &mut Sheet, look: Look, x: f64, heights: [f64; 2], reach: f64) {
    let [top, bottom] = heights;
    let cap = |y: f64| [Point(x - reach, y), Point(x + reach, y)];
    sheet.line(look, &[Point(x, top), Point(x, bottom)]);
    sheet.line(look, &cap(top));
    sheet.line(look, &cap(bottom));
}
