//! What the readings say about the wood: all rounds together.
//!
//! The wood has its own shape, the same in all rounds but for what was planed
//! off; each round has its own pose. One estimate takes both from every
//! reading of every round, so that noise averages out and wood stays.

pub mod bound;
pub mod cuts;
pub mod evidence;
pub mod field;
mod layout;
mod model;
mod sight;

use nalgebra::DVector;

use crate::job::Job;
use crate::joint::{Joint, Pose};
use crate::maths::arrow::{Estimate, Functional, evaluate};

use layout::Layout;
use model::Model;
pub use model::Prior;
pub use sight::Kind;

/// A reading that doesn't go with the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Round (index).
    pub round: usize,
    /// Station (index).
    pub station: usize,
    /// Which clearance.
    pub kind: Kind,
    /// Distance from what all the others say, in standard deviations.
    pub surprise: f64,
    /// What the others say should stand there, mm, in the sense of a clearance.
    pub expected: f64,
}

/// What the readings say about the wood, as it was in the last round.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Wood beyond the joint surface at each station with the rib lying right, mm.
    pub edge: Vec<f64>,
    /// Standard uncertainty of `edge`, mm.
    pub edge_sd: Vec<f64>,
    /// How far the outer edge stands off the mold by itself, mm.
    pub spring: Vec<f64>,
    /// Standard uncertainty of `spring`, mm.
    pub spring_sd: Vec<f64>,
    /// Error of the drawn line at each station, mm; empty without rounds against a line.
    pub line_error: Vec<f64>,
    /// Pose in each round.
    pub poses: Vec<Pose>,
    /// Each plane's shaving as a share of what the maker stated, with its standard uncertainty.
    pub shavings: Vec<(f64, f64)>,
    /// Wood each recorded group of strokes took, in the order of the rounds.
    pub taken: Vec<cuts::Taken>,
    /// Readings that don't go with the others, worst first.
    pub doubts: Vec<Doubt>,
    /// The prior's amplitudes, as settled by the evidence.
    pub prior: Prior,
    /// Log evidence for a gentle curve over a plane, where both were tried.
    pub curve_evidence: Option<f64>,
    /// Whether the gentle curve is part of the estimate.
    pub curved: bool,
    /// Root mean square of the readings' surprise, in standard deviations.
    pub misfit: f64,
    estimate: Estimate,
    layout: Layout,
    edges: Vec<Functional>,
    springs: Vec<Functional>,
    /// Clearances in the last round: gap, seat, lift of each station in turn.
    last: Vec<Functional>,
}

/// One draw of the wood and of the last round's clearances.
#[derive(Debug, Clone)]
pub struct Draw {
    /// The edge, mm.
    pub edge: Vec<f64>,
    /// The spring, mm.
    pub spring: Vec<f64>,
    /// Gap, seat, lift of each station in the last round, mm.
    pub clearances: Vec<[f64; 3]>,
}

/// Plane, gentle curve, or by evidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SurfaceChoice {
    /// By evidence.
    #[default]
    Auto,
    /// A plane.
    Plane,
    /// A gentle curve.
    Curved,
}

const SETTLE_ROUNDS: usize = 14;

/// Estimates wood and poses from all rounds of a job.
///
/// Returns `None` where there is nothing to estimate from, or numbers so far
/// out that no estimate exists.
pub fn estimate(job: &Job, joint: &Joint, choice: SurfaceChoice) -> Option<Fit> {
    if job.rounds.is_empty() || joint.is_empty() {
        return None;
    }
    let start = evidence::start(job);
    let mut model = Model::new(job, joint, false, start);
    model.settle(SETTLE_ROUNDS).then_some(())?;
    if evidence::improve(&mut model, job) {
        model.settle(SETTLE_ROUNDS).then_some(())?;
    }
    let (model, curve_evidence) = with_curve(model, job, joint, choice)?;
    Fit::of(model, joint, curve_evidence)
}

/// Log evidence that must speak for the curve before it is believed.
const CURVE_NEEDS: f64 = 1.5;

fn with_curve<'a>(
    flat: Model<'a>,
    job: &'a Job,
    joint: &'a Joint,
    choice: SurfaceChoice,
) -> Option<(Model<'a>, Option<f64>)> {
    if choice == SurfaceChoice::Plane || flat.forms.modes.is_empty() {
        return Some((flat, None));
    }
    let mut curved = Model::new(job, joint, true, flat.prior);
    curved.start_from(&flat);
    curved.settle(SETTLE_ROUNDS).then_some(())?;
    let gain = curved.log_evidence(&curved.prior) - flat.log_evidence(&flat.prior);
    let believe = choice == SurfaceChoice::Curved || gain > CURVE_NEEDS;
    Some((if believe { curved } else { flat }, Some(gain)))
}

impl Fit {
    fn of(model: Model, joint: &Joint, curve_evidence: Option<f64>) -> Option<Fit> {
        let n = joint.len();
        let covariance = model.covariance()?;
        let last_round = model.poses.len() - 1;
        let layout = &model.layout;
        let edges: Vec<Functional> = (0..n)
            .map(|i| layout::edge(layout, &model.forms, i, 1.0))
            .collect();
        let springs: Vec<Functional> = (0..n)
            .map(|i| single(i, layout.spring(layout.bending[last_round])))
            .collect();
        let last = model.sights[3 * n * last_round..]
            .iter()
            .map(|s| s.functional.clone())
            .collect();
        let doubts = model.doubts();
        let misfit = model.misfit();
        let estimate = model.estimate?;
        let sd = |fs: &[Functional]| fs.iter().map(|f| covariance.variance(f).sqrt()).collect();
        let mean = |fs: &[Functional]| fs.iter().map(|f| estimate.value(f)).collect();
        let line: Vec<Functional> = if layout.line {
            (0..n).map(|i| single(i, layout.line_error())).collect()
        } else {
            Vec::new()
        };
        Some(Fit {
            edge: mean(&edges),
            edge_sd: sd(&edges),
            spring: mean(&springs),
            spring_sd: sd(&springs),
            line_error: mean(&line),
            shavings: shavings(&model.layout, &estimate, &covariance.corner, model.planes),
            poses: model.poses,
            taken: model.taken,
            doubts,
            prior: model.prior,
            curve_evidence,
            curved: model.layout.modes > 0,
            misfit,
            layout: model.layout,
            estimate,
            edges,
            springs,
            last,
        })
    }

    /// A draw from the estimate; `normals` yields standard normal numbers.
    pub fn draw(&self, normals: impl FnMut() -> f64) -> Draw {
        let (inner, outer) = self.estimate.draw(normals);
        let all = |fs: &[Functional]| self.values(fs, &inner, &outer);
        Draw {
            edge: all(&self.edges),
            spring: all(&self.springs),
            clearances: triples(&all(&self.last)),
        }
    }

    /// Gap, seat and lift of each station in the last round, best estimate, mm.
    pub fn last_clearances(&self) -> Vec<[f64; 3]> {
        triples(
            &self
                .last
                .iter()
                .map(|f| self.estimate.value(f))
                .collect::<Vec<_>>(),
        )
    }

    fn values(&self, fs: &[Functional], inner: &[f64], outer: &DVector<f64>) -> Vec<f64> {
        fs.iter()
            .map(|f| evaluate(&self.layout.shape, f, inner, outer))
            .collect()
    }
}

fn triples(flat: &[f64]) -> Vec<[f64; 3]> {
    flat.chunks_exact(3).map(|c| [c[0], c[1], c[2]]).collect()
}

fn single(block: usize, place: usize) -> Functional {
    Functional {
        block,
        inner: vec![(place, 1.0)],
        ..Functional::default()
    }
}

/// Each plane's shaving as a share of the stated one.
fn shavings(
    layout: &Layout,
    estimate: &Estimate,
    corner: &nalgebra::DMatrix<f64>,
    planes: usize,
) -> Vec<(f64, f64)> {
    let learned = |plane: usize| {
        let used = layout.used.iter().position(|p| *p == plane)?;
        let place = layout.plane(used);
        Some((1.0 + estimate.outer[place], corner[(place, place)].sqrt()))
    };
    (0..planes)
        .map(|p| learned(p).unwrap_or((1.0, cuts::PLANE_SPREAD)))
        .collect()
}
