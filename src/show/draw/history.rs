//! How the work went: widest gap, widest lift and wood taken, round by round.

use super::axis::Axis;
use super::frame::{MARGIN, Plot, Sample, WIDTH, diamond, heading, heights, key};
use super::sheet::{Anchor, Point, Sheet, Text};
use super::style::{AFTER, AFTER_POINT, AXIS, LIMIT, MOST, READ, TEXT, TOLERANCE, WOOD};
use super::text::width;
use crate::advice::PastRound;
use crate::job::{Job, Unit};
use crate::joint::Clearance;
use crate::show::names::clean;

/// Left side of the plots.
const LEFT: f64 = 84.0;
/// Height of each plot.
const HEIGHT: f64 = 130.0;
/// From one plot to the next.
const BETWEEN: f64 = 44.0;
/// From the plot's sides to the first and the last round.
const INSET: f64 = 44.0;

/// Draws the rounds. Marks by class: `read` the widest gap or lift that was read,
/// `after` and `after-point` the estimate, `tolerance` and `limit` what may stay,
/// `wood` the mean wood taken after a round and `most` the most at a station.
/// What is not known is not drawn.
pub fn history(job: &Job, rounds: &[PastRound]) -> Sheet {
    let about = job.title.as_deref().map_or("The rounds so far".to_owned(), clean);
    let title = format!("How the work went: {about}");
    let mut sheet = Sheet::new("history", WIDTH, title, description(job, rounds));
    let y = heading(&mut sheet, "How the work went, round by round", &about);
    let top = key(&mut sheet, y, &entries(rounds)) + 26.0;
    let chart = Chart { job, rounds, at: Rounds::new(rounds.len()) };
    let step = HEIGHT + BETWEEN;
    chart.clearance(&mut sheet, top, Clearance::Gap);
    chart.clearance(&mut sheet, top + step, Clearance::Lift);
    chart.wood(&mut sheet, top + 2.0 * step);
    sheet.height = chart.ground(&mut sheet, top + 2.0 * step + HEIGHT);
    sheet
}

/// Where the rounds stand on the sheet.
struct Rounds(Axis);

impl Rounds {
    fn new(count: usize) -> Rounds {
        let last = count.max(1) as f64;
        Rounds(Axis::new((1.0, last), (LEFT + INSET, WIDTH - MARGIN - INSET)))
    }

    fn at(&self, k: usize) -> f64 {
        self.0.at((k + 1) as f64)
    }
}

struct Chart<'a> {
    job: &'a Job,
    rounds: &'a [PastRound],
    at: Rounds,
}

impl Chart<'_> {
    fn plot(&self, top: f64) -> Plot {
        Plot { left: LEFT, right: WIDTH - MARGIN, top, bottom: top + HEIGHT }
    }

    /// The frame of one plot: its name, its scale from nothing to `most` mm, its ground.
    fn frame(&self, sheet: &mut Sheet, plot: &Plot, name: &str, what: &str, most: f64) -> Axis {
        let unit = self.job.unit;
        let axis = Axis::new((0.0, 1.08 * most / unit.mm()), (plot.bottom, plot.top));
        let at = Point(plot.left, plot.top - 8.0);
        sheet.text(Text::new(at, name, Anchor::Start).bold());
        heights(sheet, &axis, plot, format!("{what}, {}", unit.symbol()));
        sheet.line(AXIS, &[Point(plot.left, plot.bottom), Point(plot.right, plot.bottom)]);
        axis
    }

    /// The widest of one clearance.
    fn clearance(&self, sheet: &mut Sheet, top: f64, of: Clearance) {
        let what = of.name();
        let (name, limit) = (format!("Widest {what}"), self.job.tolerance.of(of));
        let values = self.rounds.iter().flat_map(|r| [r.read[of], r.estimated[of]]).flatten();
        let plot = self.plot(top);
        let first = sheet.marks.len();
        let axis = self.frame(sheet, &plot, &name, what, values.fold(1.3 * limit, f64::max));
        let y = axis.at(limit / self.job.unit.mm());
        sheet.rect(TOLERANCE, Point(plot.left, y), Point(plot.right, plot.bottom), String::new());
        // The band lies under the scale's lines.
        let band = sheet.marks.len() - 1;
        sheet.marks[first..=band].rotate_right(1);
        sheet.line(LIMIT, &[Point(plot.left, y), Point(plot.right, y)]);
        self.estimates(sheet, &axis, of, what);
        self.readings(sheet, &axis, of, what);
    }

    fn estimates(&self, sheet: &mut Sheet, axis: &Axis, of: Clearance, what: &str) {
        let unit = self.job.unit;
        let known = self.rounds.iter().enumerate().filter_map(|(k, r)| Some((k, r.estimated[of]?)));
        let known: Vec<(usize, f64)> = known.collect();
        let points: Vec<Point> =
            known.iter().map(|(k, v)| Point(self.at.at(*k), axis.at(v / unit.mm()))).collect();
        sheet.line(AFTER, &points);
        for ((k, v), p) in known.iter().zip(points) {
            let tip = format!("round {}: {what} {} as estimated", k + 1, unit.say(*v));
            sheet.dot(AFTER_POINT, p, 4.5).tip = Some(tip);
        }
    }

    fn readings(&self, sheet: &mut Sheet, axis: &Axis, of: Clearance, what: &str) {
        let unit = self.job.unit;
        for (k, round) in self.rounds.iter().enumerate() {
            // Against a line an overlap everywhere leaves no gap to show.
            let Some(value) = round.read[of] else { continue };
            let at = Point(self.at.at(k), axis.at(value.max(0.0) / unit.mm()));
            let tip = format!("round {}: {what} {} read", k + 1, unit.say(value));
            diamond(sheet, READ, at, 5.5).tip = Some(tip);
        }
    }

    /// Wood that came off after each round: the mean as a bar, the most as a line over it.
    fn wood(&self, sheet: &mut Sheet, top: f64) {
        let unit = self.job.unit;
        let plot = self.plot(top);
        let most = self.rounds.iter().filter_map(|r| r.wood).map(|w| w.1).fold(0.1, f64::max);
        let axis = self.frame(sheet, &plot, "Wood taken after the round", "wood", most);
        let half = (0.3 * (self.at.at(1) - self.at.at(0)).abs()).clamp(2.0, 22.0);
        for (k, round) in self.rounds.iter().enumerate() {
            let Some((mean, most)) = round.wood else { continue };
            let x = self.at.at(k);
            let [mean_y, most_y] = [mean, most].map(|v| axis.at(v / unit.mm()));
            let said = |v: f64| unit.say(v);
            let tip = format!("after round {}: mean {}, most {}", k + 1, said(mean), said(most));
            sheet.rect(WOOD, Point(x - half, mean_y), Point(x + half, plot.bottom), tip);
            sheet.line(MOST, &[Point(x, mean_y), Point(x, most_y)]);
            sheet.line(MOST, &[Point(x - 0.6 * half, most_y), Point(x + 0.6 * half, most_y)]);
        }
    }

    /// The rounds' numbers under the last plot.
    fn ground(&self, sheet: &mut Sheet, y: f64) -> f64 {
        let count = self.rounds.len();
        let wide = width(&count.to_string(), TEXT, false) + 10.0;
        let apart = (self.at.at(1) - self.at.at(0)).abs().max(1.0);
        let every = (wide / apart).ceil().max(1.0) as usize;
        for k in (0..count).step_by(every) {
            let x = self.at.at(k);
            sheet.line(AXIS, &[Point(x, y), Point(x, y + 5.0)]);
            sheet.text(Text::new(Point(x, y + 21.0), (k + 1).to_string(), Anchor::Middle));
        }
        let middle = (LEFT + WIDTH - MARGIN) / 2.0;
        sheet.text(Text::new(Point(middle, y + 43.0), "round", Anchor::Middle));
        y + 56.0
    }
}

fn entries(rounds: &[PastRound]) -> Vec<(Sample, &'static str)> {
    let mut entries = vec![
        (Sample::Diamond(READ), "as read"),
        (Sample::Dotted(AFTER, AFTER_POINT), "as estimated from all rounds until then"),
        (Sample::Limit([TOLERANCE, LIMIT]), "may stay"),
    ];
    if rounds.iter().any(|r| r.wood.is_some()) {
        entries.push((Sample::Box(WOOD), "wood, mean over the joint"));
        entries.push((Sample::Line(MOST), "most at a station"));
    }
    entries
}

/// The picture in words.
fn description(job: &Job, rounds: &[PastRound]) -> String {
    let said = |v: Option<f64>, unit: Unit| v.map_or("not known".to_owned(), |v| unit.say(v));
    let round = |(k, r): (usize, &PastRound)| {
        let wood = r.wood.map(|w| format!(", then {} of wood taken", job.unit.say(w.0)));
        let [gap, lift] = [r.estimated.gap, r.estimated.lift].map(|v| said(v, job.unit));
        format!("Round {}: widest gap {gap}, widest lift {lift}{}.", k + 1, wood.unwrap_or_default())
    };
    let rounds: Vec<String> = rounds.iter().enumerate().map(round).collect();
    format!("Widest gap, widest lift and wood taken by round. {}", rounds.join(" "))
}
