//! Sections: mold, neighbour and rib across the joint at a station, with gap and lift as they were
//! read. The station that is most open is drawn large, then each by itself.

use nalgebra::Vector3;

use super::frame::{MARGIN, WIDTH, heading};
use super::labels::{self, Label};
use super::scene::Scene;
use super::sheet::{Anchor, Point, Sheet, Step, Text};
use super::space::spaced;
use super::style::{FORMER, GAP, GRAIN, LEADING, LIFT, Look, MOLD, NEIGHBOUR, Pen, RIB, RIB_EDGE, TEXT};
use super::text::{fitted, wrapped};
use crate::job::{Against, Mold, Reading};
use crate::joint::Frame;
use crate::show::names::clean;
use crate::show::units::plural;

/// Most stations that are drawn by themselves.
const CELLS: usize = 24;
/// The drawing's sides in widths of the widest rib: left and right of the joint, over it, under it.
const SIDES: [f64; 4] = [1.5, 1.65, 0.42, 0.45];
/// How thick ribs are drawn, in the same.
const THICK: f64 = 0.1;

/// What is drawn at one station, mm: positive is open, as read; what was not read is not drawn.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Opening {
    pub(super) gap: Option<f64>,
    pub(super) seat: Option<f64>,
    pub(super) lift: Option<f64>,
}

impl Opening {
    fn read(reading: &Reading) -> Opening {
        Opening { gap: reading.overlap.map(|o| -o), seat: reading.seat, lift: reading.lift }
    }

    pub(super) fn most(&self) -> f64 {
        [self.gap, self.seat, self.lift].into_iter().flatten().map(f64::abs).fold(0.0, f64::max)
    }
}

/// Draws the sections of the last round; none without readings. Marks by class: `mold`,
/// `neighbour` (only where it was read against it), `rib`, `joint-face` the joint plane, `gap`
/// and `lift` from what the rib should lie at to the rib.
pub fn sections(scene: &Scene) -> Option<Sheet> {
    let round = scene.job.rounds.last()?;
    let read: Vec<Opening> = round.readings.iter().map(Opening::read).collect();
    let most = read.iter().map(Opening::most).fold(0.0, f64::max);
    let at = read.iter().position(|o| o.most() == most)?;
    let fitted = round.against == Against::Neighbour;
    let plan = Plan::new(scene, most, fitted);
    let title = format!("Sections: {}", scene.subject);
    let mut sheet = Sheet::new("sections", scene.width, title, plan.description(at, &read[at]));
    let y = heading(&mut sheet, "Across the joint, as it was read", &scene.subject);
    let y = plan.large(&mut sheet, y, at, &read[at]);
    sheet.height = plan.cells(&mut sheet, y, &read);
    Some(sheet)
}

/// How sections are drawn.
pub(super) struct Plan<'a> {
    scene: &'a Scene<'a>,
    /// How many times as large openings are.
    factor: f64,
    /// Whether there is a neighbour.
    fitted: bool,
}

/// A place in the section, mm: along the joint plane's normal, and outwards.
type Place = (f64, f64);

/// A section on its place of the sheet.
struct Cut<'a> {
    frame: &'a Frame,
    width: f64,
    thick: f64,
    factor: f64,
    open: &'a Opening,
    origin: Point,
    /// Pixels a mm.
    scale: f64,
}

fn add(a: Place, b: Place, times: f64) -> Place {
    (a.0 + times * b.0, a.1 + times * b.1)
}

impl Cut<'_> {
    fn flat(&self, v: &Vector3<f64>) -> Place {
        let out = Vector3::new(-self.frame.tangent.z, 0.0, self.frame.tangent.x);
        (v.y, v.dot(&out))
    }

    fn at(&self, p: Place) -> Point {
        Point(self.origin.0 + self.scale * p.0, self.origin.1 - self.scale * p.1)
    }

    /// Across the rib, and the mold's normals at its two edges.
    fn ways(&self) -> [Place; 3] {
        let across = (self.frame.outer - self.frame.joint) / self.width;
        let unit = |p: Place| (p.0 / libm::hypot(p.0, p.1), p.1 / libm::hypot(p.0, p.1));
        [
            self.flat(&across),
            unit(self.flat(&self.frame.seat_normal)),
            unit(self.flat(&self.frame.lift_normal)),
        ]
    }

    /// The rib's edges on the mold, slid along it by the gap that was read.
    fn lain(&self) -> [Place; 2] {
        let [across, seat, lift] = self.ways();
        let gap = self.factor * self.open.gap.unwrap_or(0.0);
        let outer = add((0.0, 0.0), across, self.width);
        [add((0.0, 0.0), (seat.1, -seat.0), gap), add(outer, (lift.1, -lift.0), gap)]
    }

    /// The same, standing off as was read.
    fn edges(&self) -> [Place; 2] {
        let ([_, seat, lift], [edge, outer]) = (self.ways(), self.lain());
        let enlarged = |v: Option<f64>| self.factor * v.unwrap_or(0.0);
        [add(edge, seat, enlarged(self.open.seat)), add(outer, lift, enlarged(self.open.lift))]
    }

    /// The rib: its edge at the joint, along the mold, its outer side, and back.
    fn rib(&self) -> [Place; 4] {
        let [edge, outer] = self.edges();
        let long = libm::hypot(outer.0 - edge.0, outer.1 - edge.1);
        let along = ((outer.0 - edge.0) / long, (outer.1 - edge.1) / long);
        let up = (-along.1, along.0);
        // The edge is cut along the joint plane.
        let top = add(add(edge, up, self.thick), along, self.thick * along.1 / along.0);
        [edge, outer, add(outer, up, self.thick), top]
    }

    /// The mold from past the neighbour to past the rib: each place with its normal.
    fn mold(&self) -> [(Place, Place); 5] {
        let [across, seat, lift] = self.ways();
        let outer = add((0.0, 0.0), across, self.width);
        // On by as much again, it leans by as much more.
        let lean = libm::atan2(lift.0, lift.1) - libm::atan2(seat.0, seat.1);
        let on = libm::atan2(lift.0, lift.1) + 0.45 * lean;
        let past = (libm::sin(on), libm::cos(on));
        let near = add(outer, (past.1, -past.0), 0.45 * self.width);
        let mirrored = |(p, n): (Place, Place)| ((-p.0, p.1), (-n.0, n.1));
        let half = [(outer, lift), (near, past)];
        [mirrored(half[1]), mirrored(half[0]), ((0.0, 0.0), (0.0, 1.0)), half[0], half[1]]
    }

    /// The mold's surface.
    fn surface(&self, mold: Mold) -> Vec<Step> {
        let places = self.mold();
        let mut steps = vec![Step::Move(self.at(places[0].0))];
        for pair in places.windows(2) {
            let ((p, m), (q, n)) = (pair[0], pair[1]);
            let third = libm::hypot(q.0 - p.0, q.1 - p.1) / 3.0;
            steps.push(match mold {
                Mold::Round => {
                    let (a, b) = (add(p, (m.1, -m.0), third), add(q, (n.1, -n.0), -third));
                    Step::Cubic(self.at(a), self.at(b), self.at(q))
                }
                Mold::Faceted => Step::Line(self.at(q)),
            });
        }
        steps
    }

    /// The mold, cut off below.
    fn ground(&self, mold: Mold, floor: f64) -> Vec<Step> {
        let places = self.mold();
        let feet = [places[4].0, places[0].0].map(|p| Step::Line(Point(self.at(p).0, floor)));
        self.surface(mold).into_iter().chain(feet).collect()
    }

    fn polygon(&self, sheet: &mut Sheet, look: Look, places: &[Place]) {
        let corners: Vec<Point> = places.iter().map(|p| self.at(*p)).collect();
        sheet.outline(look, &corners);
    }
}

/// Outlines for bodies that are cut through.
fn outlined(look: Look, like: Look) -> Look {
    Look { pen: like.pen.map(|pen| Pen { width: 1.4, ..pen }), ..look }
}

impl<'a> Plan<'a> {
    /// For openings up to `most`, mm: drawn so many times as large that it takes a third of the rib.
    pub(super) fn new(scene: &'a Scene<'a>, most: f64, fitted: bool) -> Self {
        let plan = Plan { scene, factor: 1.0, fitted };
        let wanted = 0.34 * plan.widest() / most.max(1e-3);
        let factor = [50.0, 20.0, 10.0, 5.0, 2.0].into_iter().find(|f| *f <= wanted).unwrap_or(1.0);
        Plan { factor, ..plan }
    }

    fn widest(&self) -> f64 {
        self.scene.job.stations.iter().map(|s| s.width).fold(0.0, f64::max)
    }

    /// Draws a station's section on the sheet, `wide` pixels from a left side and a top; returns
    /// how high it is, and the places of what can be named.
    pub(super) fn cut(
        &self,
        sheet: &mut Sheet,
        i: usize,
        open: &Opening,
        (corner, wide): (Point, f64),
    ) -> (f64, Named) {
        let widest = self.widest();
        let [left, right, over, under] = SIDES;
        let scale = wide / ((left + right) * widest);
        let origin = Point(corner.0 + left * widest * scale, corner.1 + over * widest * scale);
        let floor = corner.1 + (over + under) * widest * scale;
        let cut = Cut {
            frame: &self.scene.joint.frames[i],
            width: self.scene.job.stations[i].width,
            thick: THICK * widest,
            factor: self.factor,
            open,
            origin,
            scale,
        };
        sheet.path(MOLD, cut.ground(self.scene.job.mold, floor), true);
        sheet.path(GRAIN, cut.surface(self.scene.job.mold), false);
        let top = cut.at((0.0, 0.36 * widest));
        sheet.line(Look { name: "joint-face", pen: FORMER.pen, ..FORMER }, &[Point(origin.0, floor), top]);
        let [across, ..] = cut.ways();
        if self.fitted {
            let mirrored = |p: &Place| (-p.0, p.1);
            let right = Cut { open: &Opening::default(), ..cut };
            cut.polygon(sheet, outlined(NEIGHBOUR, GAP), &right.rib().each_ref().map(mirrored));
        }
        let rib = cut.rib();
        cut.polygon(sheet, outlined(RIB, RIB_EDGE), &rib);
        let [_, lain] = cut.lain();
        if open.lift.is_some_and(|l| l > 0.0) {
            sheet.line(LIFT, &[cut.at(lain), cut.at(rib[1])]);
        }
        let level = rib[3].1;
        if open.gap.is_some_and(|g| g != 0.0) {
            sheet.line(GAP, &[cut.at((0.0, level)), cut.at(rib[3])]);
        }
        let middle = |a: Place, b: Place| cut.at(((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0));
        let half = add((0.0, 0.0), across, cut.width / 2.0);
        let named = Named {
            gap: middle((0.0, level), rib[3]),
            lift: middle(lain, rib[1]),
            rib: middle(rib[0], rib[2]),
            neighbour: cut.at((-half.0, half.1 + cut.thick / 2.0)),
            mold: cut.at((0.5 * widest, -0.4 * widest)),
            plane: Point(origin.0, floor - 0.12 * widest * scale),
        };
        (floor - corner.1, named)
    }

    /// The section of the station that is most open, everything named.
    fn large(&self, sheet: &mut Sheet, y: f64, i: usize, open: &Opening) -> f64 {
        let room = sheet.width - 2.0 * MARGIN;
        let words = format!("Station {}, where most is open: {}", self.name(i), self.said(open));
        let unit = plural(self.scene.job.unit);
        let drawn =
            format!("Gaps and lifts, in {unit}, are drawn {} times as large as they are.", self.factor);
        let mut y = y;
        for (k, text) in [words, drawn].iter().enumerate() {
            for line in wrapped(text, TEXT, k == 0, room) {
                let line = Text::new(Point(MARGIN, y), line, Anchor::Start);
                sheet.text(if k == 0 { line.bold() } else { line });
                y += LEADING;
            }
        }
        let wide = room.min(720.0);
        let corner = Point((sheet.width - wide) / 2.0, y + 30.0);
        let (high, named) = self.cut(sheet, i, open, (corner, wide));
        let label = |at: Point, words: String| Label { at, words };
        let mut over = vec![label(named.gap, self.gap(open)), label(named.rib, "rib".into())];
        if self.fitted {
            over.push(label(named.neighbour, "neighbour".into()));
        }
        let mut under = vec![label(named.plane, "joint plane".into()), label(named.mold, "mold".into())];
        under.extend(open.lift.map(|_| label(named.lift, self.lift(open))));
        labels::row(sheet, y + 8.0, over, true);
        let low = corner.1 + high + 28.0;
        labels::row(sheet, low, under, false);
        low + LEADING
    }

    /// Each station by itself, small.
    fn cells(&self, sheet: &mut Sheet, y: f64, read: &[Opening]) -> f64 {
        let shown = spaced(read.len(), CELLS);
        let across = if sheet.width < WIDTH { 2 } else { 4 };
        let wide = (sheet.width - 2.0 * MARGIN + 16.0) / f64::from(across);
        let mut top = y;
        for row in shown.chunks(across as usize) {
            let mut high: f64 = 0.0;
            for (k, &i) in row.iter().enumerate() {
                let left = MARGIN + wide * k as f64;
                let room = wide - 16.0;
                let name = fitted(&format!("Station {}", self.name(i)), TEXT, true, room);
                sheet.text(Text::new(Point(left, top + 16.0), name, Anchor::Start).bold());
                let said = fitted(&self.figures(&read[i]), TEXT, false, room);
                sheet.text(Text::new(Point(left, top + 16.0 + LEADING), said, Anchor::Start));
                high = high.max(self.cut(sheet, i, &read[i], (Point(left, top + 40.0), room)).0);
            }
            top += 40.0 + high + 12.0;
        }
        top + 8.0
    }

    fn name(&self, i: usize) -> String {
        clean(&self.scene.job.stations[i].name)
    }

    pub(super) fn gap(&self, open: &Opening) -> String {
        let said = |v: f64| self.scene.job.unit.say(v);
        match open.gap {
            Some(gap) if gap < 0.0 => format!("overlap {}", said(-gap)),
            Some(gap) => format!("gap {}", said(gap)),
            None => "gap not read".to_owned(),
        }
    }

    pub(super) fn lift(&self, open: &Opening) -> String {
        open.lift.map_or("lift not read".to_owned(), |l| format!("lift {}", self.scene.job.unit.say(l)))
    }

    fn said(&self, open: &Opening) -> String {
        format!("{}, {}", self.gap(open), self.lift(open))
    }

    /// The same in little room, without the unit.
    fn figures(&self, open: &Opening) -> String {
        self.said(open).replace(&format!(" {}", self.scene.job.unit.symbol()), "")
    }

    fn description(&self, i: usize, open: &Opening) -> String {
        format!(
            "Sections across the joint at its stations, in {}: mold, neighbour and rib with gap and lift as they were \
             read, drawn {} times as large as they are. Most is open at station {}: {}.",
            plural(self.scene.job.unit),
            self.factor,
            self.name(i),
            self.said(open)
        )
    }
}

/// Where what can be named lies on the sheet.
pub(super) struct Named {
    gap: Point,
    lift: Point,
    rib: Point,
    neighbour: Point,
    mold: Point,
    plane: Point,
}
