//! What force closes what is left, as an upper bound.
//!
//! Edgewise a rib is a beam of height `w` (its width) and breadth `t` (its
//! thickness): `I = t w^3 / 12`. A gap `g` in the middle of a span `s` between
//! two bearings needs `48 E I g / s^3`, more precisely, shear included, the
//! load `P` in
//!
//! ```text
//! g = kb P s^3 / (E I) + ks P s / (G A'),   A' = 5/6 t w
//! ```
//!
//! with `kb = 1/48` and `ks = 1/4` (USDA Wood Handbook, FPL-GTR-190, Table 9-1;
//! A' from memory of the same chapter). A gap elsewhere in the span takes the
//! load at its place instead of the middle; an end that stands off beyond the
//! last bearing is a beam held at that bearing (`kb = 1/3`, `ks = 1`).
//!
//! ## Why only a bound?
//!
//! The formulas hold for a straight strip that bends only in its own plane. A
//! curved rib also gives way by twisting and is easily ten times softer, and a
//! rib whose end stands off turns about its bearing as well. Both make the
//! true force smaller.

use crate::job::Job;
use crate::joint::{Clearances, Joint};

use super::wood::Wood;

/// How a strip is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// Resting on a bearing at each end of the span; loads at these shares of it.
    BothEnds,
    /// Clamped at one end of the span and free at the other.
    OneEnd,
}

impl Held {
    /// Deflection by bending at `at` from a unit load at `load`, both as
    /// shares of the span from its (clamped) beginning: times `P s^3 / (E I)`.
    pub fn bending(self, load: f64, at: f64) -> f64 {
        match self {
            Held::BothEnds if at > load => self.bending(1.0 - load, 1.0 - at),
            Held::BothEnds => (1.0 - load) * at * (1.0 - (1.0 - load).powi(2) - at * at) / 6.0,
            Held::OneEnd if at > load => load * load * (3.0 * at - load) / 6.0,
            Held::OneEnd => at * at * (3.0 * load - at) / 6.0,
        }
    }

    /// The same by shear: times `P s / (G A')`, `A'` the section's area that carries shear.
    pub fn shear(self, load: f64, at: f64) -> f64 {
        match self {
            Held::BothEnds => load.min(at) * (1.0 - load.max(at)),
            Held::OneEnd => load.min(at),
        }
    }
}

/// A strip of wood, bent edgewise. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Its wood.
    pub wood: Wood,
    /// Thickness: the beam's breadth.
    pub thickness: f64,
    /// Width: the beam's height.
    pub width: f64,
}

impl Strip {
    /// Newtons that press the strip down by `gap` (mm) at the load, which
    /// stands at the share `load` of a span of `span` mm.
    pub fn force(&self, gap: f64, span: f64, held: Held, load: f64) -> f64 {
        let inertia = self.thickness * self.width.powi(3) / 12.0;
        let area = 5.0 / 6.0 * self.thickness * self.width;
        let bending = held.bending(load, load) * span.powi(3) / (self.wood.elasticity * inertia);
        // Without a published ratio shear is left out, which keeps the bound an upper one.
        let shear = self
            .wood
            .shear
            .map_or(0.0, |ratio| held.shear(load, load) * span / (ratio * self.wood.elasticity * area));
        gap / (bending + shear)
    }
}

/// Why no force can be told.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unknown {
    /// The job names no wood.
    #[error("no wood is named: set `wood` in joint.toml to one of {}", known())]
    NoWood,
    /// The stiffness of the named wood isn't known.
    #[error("the stiffness of `{name}` isn't known here; {next}", next = near(name))]
    Wood {
        /// Its name in the job.
        name: String,
    },
    /// The job gives no thickness.
    #[error("the rib's thickness isn't given: set `thickness` in joint.toml")]
    NoThickness,
}

/// What to write for a wood that isn't known.
fn near(name: &str) -> String {
    match Wood::like(name).as_slice() {
        [] => format!("set `wood` in joint.toml to one of {} if it is one of them", known()),
        like => format!("set `wood` in joint.toml to {} if it is that", like.join(" or ")),
    }
}

fn known() -> String {
    Wood::names().collect::<Vec<_>>().join(", ")
}

/// The wood and the thickness (mm) of a job's rib.
///
/// # Errors
/// What is missing, with the next step.
pub fn material(job: &Job) -> Result<(Wood, f64), Unknown> {
    let name = job.wood.as_deref().ok_or(Unknown::NoWood)?;
    let wood = Wood::named(name).ok_or_else(|| Unknown::Wood { name: name.to_owned() })?;
    Ok((wood, job.thickness.ok_or(Unknown::NoThickness)?))
}

/// A gap that counts as touching, mm.
const TOUCHES: f64 = 0.005;

/// The force that closes each gap of a rib at rest: for each run of stations
/// that stand open, the station (index) of its widest gap and an upper bound
/// of the newtons pressed there, edgewise. `None` where wood or thickness are
/// unknown, see [`material`]. A rib at rest
/// touches somewhere; for clearances that touch nowhere the answer is empty.
pub fn closing_force(job: &Job, joint: &Joint, clearances: &[Clearances]) -> Option<Vec<(usize, f64)>> {
    let (wood, thickness) = material(job).ok()?;
    let force = |run: Run| {
        let widths = job.stations[run.from..=run.to].iter().map(|s| s.width);
        let strip = Strip { wood, thickness, width: widths.fold(0.0, f64::max) };
        let arc = |i: usize| joint.frames[i].arc;
        let span = arc(run.to) - arc(run.from);
        let newtons = match run.held {
            Held::BothEnds => {
                let load = (arc(run.widest) - arc(run.from)) / span;
                strip.force(clearances[run.widest].gap, span, run.held, load)
            }
            Held::OneEnd => {
                let held = if run.at_start { run.to } else { run.from };
                let reach = (arc(run.widest) - arc(held)).abs();
                strip.force(clearances[run.widest].gap, reach, run.held, 1.0)
            }
        };
        (run.widest, newtons)
    };
    Some(open_runs(clearances).into_iter().map(force).collect())
}

/// Stations between two bearings, or between a bearing and an end, these included.
struct Run {
    from: usize,
    to: usize,
    held: Held,
    /// Open towards the first station.
    at_start: bool,
    widest: usize,
}

fn open_runs(clearances: &[Clearances]) -> Vec<Run> {
    let last = clearances.len().saturating_sub(1);
    let touching: Vec<usize> = (0..clearances.len()).filter(|&i| clearances[i].gap <= TOUCHES).collect();
    let (Some(&first), Some(&end)) = (touching.first(), touching.last()) else { return Vec::new() };
    let run = |from: usize, to: usize, held: Held, at_start: bool| {
        let widest = (from..=to).max_by(|&a, &b| clearances[a].gap.total_cmp(&clearances[b].gap))?;
        (clearances[widest].gap > TOUCHES).then_some(Run { from, to, held, at_start, widest })
    };
    let start = run(0, first, Held::OneEnd, true);
    let between = touching.windows(2).map(|pair| run(pair[0], pair[1], Held::BothEnds, false));
    let between: Vec<Option<Run>> = between.collect();
    let tail = run(end, last, Held::OneEnd, false);
    [start].into_iter().chain(between).chain([tail]).flatten().collect()
}
