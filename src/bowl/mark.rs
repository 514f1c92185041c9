//! The outer edge's marks, and the strokes from the present edge down to them.
//!
//! At each station a compass carries the distance from a reference line on the rib
//! to the line on the mold over to the rib. The lines lie in the middle of the
//! spacers, so half a spacer is left off. Marks so made have errors; the edge that is
//! planed through them is gently curved, so that is what is laid through them, by the
//! kernel that fits joints. Then, as at a joint: draws of edge and marks that agree
//! with what was measured, and strokes that are safe on nearly all of them.
//!
//! Where a girth tells how wide the rib should be, lines that agree with it are laid
//! closer to it. Lines that don't are left where they were drawn, and [`Apart`] says so:
//! one of the two is wrong, and no average of them is right.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use serde::Serialize;

use crate::fit::Prior;
use crate::fit::cuts::Thickness;
use crate::job::Job;
use crate::job::bowl::{Bowl, BowlErrors, Mark};
use crate::joint::Joint;
use crate::json::as_mm;
use crate::maths::both_ends::normals;
use crate::maths::normal;
use crate::sole::Bed;
use crate::strokes::{self, Ensemble, Plan, Tool};

use super::along_mold;
use super::divide::divide;
use super::line::{LaidLine, Leeway, OddReading, line_through};

mod apart;

pub use apart::Apart;

/// What to mark and how.
#[derive(Debug, Clone, Copy)]
pub struct Marking<'a> {
    /// What was measured; one entry a station.
    pub marks: &'a [Option<Mark>],
    /// Left off for the spacer, mm.
    pub allowance: f64,
    /// Widths that the rib should have, if the bowl tells them.
    pub wanted: Option<Shares<'a>>,
    /// Mark at those widths instead of at the lines on the mold.
    pub by_widths: bool,
    /// How exact the measuring is.
    pub errors: BowlErrors,
    /// What is known of the planes beforehand.
    pub start: &'a Prior,
}

/// Widths that the girth leaves for a rib; one entry a station, along the mold, mm.
#[derive(Debug, Clone, Copy)]
pub struct Shares<'a> {
    /// The widths.
    pub width: &'a [f64],
    /// Their standard uncertainties.
    pub sd: &'a [f64],
}

/// One station's mark. Lengths in mm; `None` where nothing was measured.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MarkStation {
    /// The mark as the compass gives it, from the reference line, spacer left off.
    #[serde(rename = "compass_mm", serialize_with = "as_mm")]
    pub compass: Option<f64>,
    /// Where to mark, from the reference line: the gently curved edge.
    #[serde(rename = "mark_mm", serialize_with = "as_mm")]
    pub mark: Option<f64>,
    /// Standard uncertainty of the mark.
    #[serde(rename = "mark_sd_mm", serialize_with = "as_mm")]
    pub sd: f64,
    /// The rib's width there, from the joint edge, along the mold.
    #[serde(rename = "width_mm", serialize_with = "as_mm")]
    pub width: f64,
    /// The width that it should have.
    #[serde(rename = "share_mm", serialize_with = "as_mm")]
    pub wanted: Option<f64>,
    /// What is to come off the present outer edge.
    #[serde(rename = "remove_mm", serialize_with = "as_mm")]
    pub remove: Option<f64>,
    /// Standard uncertainty of that.
    #[serde(rename = "remove_sd_mm", serialize_with = "as_mm")]
    pub remove_sd: f64,
    /// What the strokes take.
    #[serde(rename = "remove_now_mm", serialize_with = "as_mm")]
    pub now: f64,
}

/// What was measured of a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Measure {
    /// From the reference line to the line on the mold.
    Compass,
    /// From the reference line to the present outer edge.
    Edge,
}

/// The marks of a rib's outer edge.
#[derive(Debug, Clone)]
pub struct Marks {
    /// One entry a station.
    pub stations: Vec<MarkStation>,
    /// Distances that don't go with the others, as measured.
    pub off: Vec<(Measure, OddReading)>,
    /// Where the lines on the mold and the girth can't both be right.
    pub apart: Option<Apart>,
    /// Whether the rib is marked at the widths wanted.
    pub by_widths: bool,
    /// Whether the edge is gently curved.
    pub curved: bool,
    /// Strokes down to the marks; none while a distance or a line is in doubt.
    pub plan: Plan,
    /// The present edge over the marks, mm.
    pub height: Vec<f64>,
    /// Stations (index) where the edge is already below its mark, beyond the error.
    pub short: Vec<usize>,
}

/// A line on the mold lies near the width wanted (an assumption, no source); without one
/// it may be anywhere.
const LINE: [Leeway; 2] = [Leeway { plane: 0.15, waves: 0.04 }, Leeway { plane: 5.0, waves: 0.04 }];
/// An edge as it is sawn.
const SAWN: Leeway = Leeway { plane: 5.0, waves: 0.25 };
/// How much deeper than its marks an edge may be planed, mm: on simulated bowls ribs then
/// come out as wide as wanted in the mean, without it half a millimetre wider.
const SLACK: f64 = 0.20;
/// Draws of edge and marks.
const DRAWS: usize = 100;

/// How the maker wants the marks.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wish {
    /// Left off for the spacer, mm; half the spacer unless set.
    pub allowance: Option<f64>,
    /// Mark at the widths shared out instead of at the lines on the mold.
    pub by_widths: bool,
}

/// The marks of the new rib at joint `number` of a bowl, held against the widths that
/// its girth leaves, if that was read before the rib. `None` without anything measured.
///
/// # Errors
/// As [`marks`].
pub fn marks_in(
    bowl: &Bowl,
    number: usize,
    job: &Job,
    start: &Prior,
    wish: Wish,
) -> Result<Option<Marks>, String> {
    let measured = bowl.joint(number).map(|j| j.marks.as_slice()).unwrap_or_default();
    if measured.is_empty() {
        return Ok(None);
    }
    let read = bowl.girths.iter().any(|g| g.after == number);
    let division = if read { divide(bowl, Some(number), false).ok() } else { None };
    let marking = Marking {
        marks: measured,
        allowance: wish.allowance.unwrap_or(bowl.settings.spacer.map_or(0.0, |s| s.width / 2.0)),
        wanted: division.as_ref().map(|d| Shares { width: d.next(), sd: &d.sd }),
        by_widths: wish.by_widths,
        errors: bowl.settings.errors,
        start,
    };
    marks(job, &marking).map(Some)
}

/// Lays the marks of a rib's outer edge and plans the strokes down to them.
///
/// # Errors
/// What is missing, as a sentence with the next step.
pub fn marks(job: &Job, marking: &Marking<'_>) -> Result<Marks, String> {
    let joint = Joint::of(job);
    let laid = Laid::out(job, &joint, marking)?;
    let ensemble = laid.ensemble(job);
    let off = laid.off();
    let doubtful = |o: &(Measure, OddReading)| o.0 == Measure::Edge || !marking.by_widths;
    let open = laid.apart.is_some() && !marking.by_widths;
    let plan = match open || off.iter().any(doubtful) {
        true => Plan::default(),
        false => strokes_for(job, &joint, marking.start, &ensemble),
    };
    let count = laid.base.len();
    Ok(Marks {
        stations: (0..count).map(|i| laid.station(i, &plan)).collect(),
        off,
        apart: laid.apart,
        by_widths: marking.by_widths,
        curved: laid.line.curved,
        short: (0..count).filter(|&i| laid.height(i) < -2.0 * laid.sd(i)).collect(),
        plan,
        height: ensemble.mean,
    })
}

impl Marking<'_> {
    /// What was measured from the joint edge, over a base; one entry a station.
    fn over(&self, base: &[f64], of: &dyn Fn(&Mark) -> f64) -> Vec<Option<f64>> {
        let beyond_base = |(m, b): (&Option<Mark>, &f64)| m.map(|m| m.reference + of(&m) - b);
        self.marks.iter().zip(base).map(beyond_base).collect()
    }

    /// The lines on the mold, spacer left off, over a base.
    fn lines(&self, base: &[f64]) -> Vec<Option<f64>> {
        self.over(base, &|m| m.compass - self.allowance)
    }

    /// Widths as laid out, shifted to where most of the lines are.
    fn about_the_lines(&self, job: &Job, joint: &Joint) -> Vec<f64> {
        let stations = job.stations.iter().zip(&joint.frames);
        let plan: Vec<f64> = stations.map(|(s, f)| along_mold(s.width, f.across_curvature)).collect();
        let mut over: Vec<f64> = self.lines(&plan).into_iter().flatten().collect();
        over.sort_by(f64::total_cmp);
        let shift = over.get(over.len() / 2).copied().unwrap_or(0.0);
        plan.iter().map(|width| width + shift).collect()
    }
}

/// Everything that the stations' figures come from; widths from the joint edge, mm.
struct Laid<'a> {
    marking: &'a Marking<'a>,
    /// What departures are counted from: the width wanted, or about the lines.
    base: Vec<f64>,
    /// Where lines and girth can't both be right.
    apart: Option<Apart>,
    /// The lines on the mold, spacer left off, over the base.
    line: LaidLine,
    /// The present edge over the base.
    edge: LaidLine,
}

impl<'a> Laid<'a> {
    fn out(job: &Job, joint: &Joint, marking: &'a Marking<'a>) -> Result<Laid<'a>, String> {
        if marking.by_widths && marking.wanted.is_none() {
            let next = "Read the girth before the rib is marked, and write it into girth.csv.";
            return Err(format!("There is no girth to tell how wide the rib should be. {next}"));
        }
        let few = || {
            String::from(
                "Marks at fewer than three stations determine no edge. Measure compass and edge at three stations \
                 at least, better at all, and write them into marks.csv.",
            )
        };
        let errors = marking.errors;
        let through = |base: &[f64], loose| {
            line_through(job, &marking.lines(base), errors.compass, loose).ok_or_else(few)
        };
        let drawn = marking.about_the_lines(job, joint);
        let own = through(&drawn, LINE[1])?;
        let apart = marking.wanted.and_then(|wanted| apart::apart(&drawn, &own, wanted));
        let (base, line) = match marking.wanted {
            Some(wanted) if apart.is_none() => (wanted.width.to_vec(), through(wanted.width, LINE[0])?),
            _ => (drawn, own),
        };
        let edges = marking.over(&base, &|m| m.edge);
        let edge = line_through(job, &edges, errors.edge, SAWN).ok_or_else(few)?;
        Ok(Laid { marking, base, apart, line, edge })
    }

    /// Where the edge is to be, over the base.
    fn target(&self, i: usize) -> f64 {
        self.by_width(i).unwrap_or(self.line.value[i])
    }

    /// The width wanted over the base, if the rib is marked by that.
    fn by_width(&self, i: usize) -> Option<f64> {
        let wanted = self.marking.wanted.filter(|_| self.marking.by_widths)?;
        Some(wanted.width[i] - self.base[i])
    }

    fn height(&self, i: usize) -> f64 {
        self.edge.value[i] - self.target(i)
    }

    fn mark_sd(&self, i: usize) -> f64 {
        if self.marking.by_widths { 0.0 } else { self.line.sd[i] }
    }

    fn sd(&self, i: usize) -> f64 {
        libm::hypot(self.mark_sd(i), self.edge.sd[i])
    }

    /// Distances in doubt, as the maker measured them.
    fn off(&self) -> Vec<(Measure, OddReading)> {
        let measured = |measure: Measure, off: &OddReading, left_off: f64| {
            let reference = self.marking.marks[off.station].map_or(0.0, |m| m.reference);
            let shift = self.base[off.station] - reference + left_off;
            (measure, OddReading { read: off.read + shift, expected: off.expected + shift, ..*off })
        };
        let lines = self.line.off.iter().map(|o| measured(Measure::Compass, o, self.marking.allowance));
        lines.chain(self.edge.off.iter().map(|o| measured(Measure::Edge, o, 0.0))).collect()
    }

    fn station(&self, i: usize, plan: &Plan) -> MarkStation {
        let mark = self.marking.marks[i];
        let width = self.base[i] + self.target(i);
        MarkStation {
            compass: mark.map(|m| m.compass - self.marking.allowance),
            mark: mark.map(|m| width - m.reference),
            sd: self.mark_sd(i),
            width,
            wanted: self.marking.wanted.map(|w| w.width[i]),
            remove: mark.map(|_| self.height(i).max(0.0)),
            remove_sd: self.sd(i),
            now: plan.taken.get(i).copied().unwrap_or(0.0),
        }
    }

    /// Edges over marks that agree with what was measured.
    fn ensemble(&self, job: &Job) -> Ensemble {
        let drawn = |number: usize| {
            let mut normals = normals(0x0a3a, number);
            let edge = self.edge.draw(number, &mut normals);
            let line = self.line.draw(number, &mut normals);
            let target = |i: usize| self.by_width(i).unwrap_or(line[i]);
            edge.iter().enumerate().map(|(i, e)| e - target(i)).collect::<Vec<f64>>()
        };
        let heights: Vec<Vec<f64>> = (0..DRAWS).map(drawn).collect();
        let remove = heights.iter().map(|d| d.iter().map(|h| h.max(0.0)).collect()).collect();
        let mean: Vec<f64> = (0..self.base.len()).map(|i| self.height(i)).collect();
        Ensemble {
            most: vec![f64::INFINITY; mean.len()],
            mean,
            heights,
            remove,
            slack: SLACK,
            overcut: job.tolerance.overcut,
        }
    }
}

/// The strokes of the plane that brings the edge furthest.
fn strokes_for(job: &Job, joint: &Joint, start: &Prior, ensemble: &Ensemble) -> Plan {
    let arc = outer_arc(joint);
    let mut rng = ChaCha8Rng::seed_from_u64(0x0a3b);
    let bend = || joint.frames.iter().map(|f| f.along_curvature);
    let beds: Vec<Bed> = job.planes.iter().map(|p| Bed::new(&arc, bend(), p.sole, p.width)).collect();
    let mut tool = |(p, bed): (usize, &Bed)| {
        let (plane, (share, sd)) = (&job.planes[p], start.plane(p));
        let mut own = || plane.shaving * (share + sd * normal::draw(&mut rng)).max(0.3);
        let shavings: Vec<f64> = (0..ensemble.heights.len()).map(|_| own()).collect();
        let tool = Tool {
            plane: p,
            bed,
            shaving: plane.shaving * share,
            shavings,
            thickness: Thickness::of(plane.shaving, (share, sd)),
            shortest: plane.shortest,
        };
        strokes::plan(&tool, ensemble)
    };
    let plans: Vec<Plan> = beds.iter().enumerate().map(&mut tool).collect();
    strokes::best(plans, &joint.shares())
}

/// Length along the outer edge from the first station, mm: straight from station to station.
fn outer_arc(joint: &Joint) -> Vec<f64> {
    let mut arc = vec![0.0; joint.len()];
    for i in 1..joint.len() {
        let step = (joint.frames[i].outer - joint.frames[i - 1].outer).norm();
        arc[i] = arc[i - 1] + step.max(1e-3);
    }
    arc
}
