//! The estimate as the rooms above see it.

use crate::job::RoundNumber;
use nalgebra::DVector;

use crate::joint::{Clearance, Clearances, Pose};
use crate::maths::both_ends::BothEnds;
use crate::maths::information::{Covariance, Estimate, Functional, evaluate};

use super::cuts::Taken;
use super::observation::{Data, Observation};
use super::posterior::NoEstimate;
use super::prior::Amplitudes;
use super::settle::Settling;
use super::unknowns::Unknowns;

/// A reading that doesn't go with the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// The round.
    pub round: RoundNumber,
    /// Station (index).
    pub station: usize,
    /// Which clearance.
    pub of: Clearance,
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
    /// Wood each recorded group of strokes took, in the order of the rounds, mm,
    /// as the readings since then tell.
    pub taken: Vec<Taken>,
    /// Readings that don't go with the others, worst first.
    pub doubts: Vec<Doubt>,
    /// Amplitudes as settled by the evidence.
    pub amplitudes: Amplitudes,
    /// How alike the errors of neighbouring readings are: their correlation.
    pub alike: Clearances,
    /// How strongly each clearance carried the push home, 1/mm: one row a round, in it one
    /// entry a station; zero in rounds against a line.
    pub carried: Vec<Vec<Clearances>>,
    /// Log evidence for a gentle curve over a plane, where both were tried.
    pub curve_evidence: Option<f64>,
    /// Whether the gentle curve is part of the estimate.
    pub curved: bool,
    /// How many times their stated errors the readings miss what all others say, root mean
    /// square; those in doubt don't count.
    pub misfit: f64,
    /// Each plane's shaving as known before the first reading, in the same shares.
    known: Vec<(f64, f64)>,
    /// The same as learned, however far off: no shaving can be below zero, but what is told can.
    learned: Vec<(f64, f64)>,
    ends: BothEnds,
    unknowns: Unknowns,
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
    /// Clearances at each station in the last round, mm.
    pub clearances: Vec<Clearances>,
    /// Each plane's shaving as a share of what the maker stated.
    pub shavings: Vec<f64>,
}

/// Draws spread this much wider than the estimate says: on the practice bench
/// errors were 1.2 to 1.4 times what it says, since no model is quite true.
const MODEL_ALLOWANCE: f64 = 1.25;

impl Fit {
    /// From a joint as it has settled.
    ///
    /// # Errors
    /// Where the numbers don't determine an estimate.
    pub(super) fn of(settled: Settling, curve_evidence: Option<f64>) -> Result<Fit, NoEstimate> {
        let ends = settled.weighed().both_ends(&settled.now.amplitudes)?;
        let estimate = &ends.estimate;
        let Data { job, joint, taken } = settled.data;
        let (unknowns, n, last) = (&settled.unknowns, joint.len(), job.rounds.len().saturating_sub(1));
        let covariance = estimate.covariance();
        let edges: Vec<Functional> = (0..n).map(|i| unknowns.edge(i, 1.0)).collect();
        let springs: Vec<Functional> = (0..n).map(|i| unknowns.spring(i, last)).collect();
        let lines = if unknowns.line { n } else { 0 };
        let line: Vec<Functional> = (0..lines).map(|i| unknowns.line_error(i, 1.0)).collect();
        let known: Vec<(f64, f64)> = (0..job.planes.len()).map(|p| settled.prior.plane(p)).collect();
        let learned = learned(unknowns, estimate, &covariance, &known);
        let sd = |fs: &[Functional]| fs.iter().map(|f| covariance.variance(f).sqrt()).collect();
        let mean = |fs: &[Functional]| fs.iter().map(|f| estimate.value(f)).collect();
        Ok(Fit {
            edge: mean(&edges),
            edge_sd: sd(&edges),
            spring: mean(&springs),
            spring_sd: sd(&springs),
            line_error: mean(&line),
            shavings: learned.iter().map(|(share, sd)| (share.clamp(0.4, 2.5), *sd)).collect(),
            taken: revised(unknowns, estimate, taken),
            doubts: doubts(&settled, estimate),
            amplitudes: settled.now.amplitudes,
            alike: settled.now.alike,
            curve_evidence,
            curved: unknowns.modes > 0,
            misfit: misfit(&settled) * settled.now.amplitudes.errors,
            last: settled.observations[3 * n * last..].iter().map(|o| o.sum.clone()).collect(),
            poses: settled.now.poses,
            carried: settled.now.carried,
            known,
            learned,
            unknowns: settled.unknowns,
            ends,
            edges,
            springs,
        })
    }

    /// The draw of a number from the estimate, see [`BothEnds::draw`]; `normals` yields standard
    /// normal numbers.
    pub fn draw(&self, number: usize, mut normals: impl FnMut() -> f64) -> Draw {
        let (inner, outer) = self.ends.draw(number, || MODEL_ALLOWANCE * normals());
        let all = |fs: &[Functional]| self.values(fs, &inner, &outer);
        let (edge, spring, clearances) = (all(&self.edges), all(&self.springs), all(&self.last));
        let mut shaving = |p: usize| match self.unknowns.shaving_place(p) {
            Some(place) => 1.0 + outer[place],
            None => self.shavings[p].0 + self.shavings[p].1 * normals(),
        };
        let shavings = (0..self.shavings.len()).map(|p| shaving(p).clamp(0.3, 3.0)).collect();
        Draw { edge, spring, clearances: Clearances::rows(&clearances), shavings }
    }

    /// Clearances at each station in the last round, best estimate, mm.
    pub fn last_clearances(&self) -> Vec<Clearances> {
        Clearances::rows(&self.last.iter().map(|f| self.ends.estimate.value(f)).collect::<Vec<_>>())
    }

    /// A plane's shaving as known before this joint's first reading, as a share of the stated
    /// one, with its standard uncertainty. `None` for a plane that is not there.
    pub fn shaving_before(&self, plane: usize) -> Option<(f64, f64)> {
        self.known.get(plane).copied()
    }

    /// What this joint's readings alone say of a plane's shaving, less what was known before
    /// them: its share of the stated one, with its standard uncertainty; below zero where the
    /// edge seems to have grown. None where they say next to nothing.
    pub fn shaving_told(&self, plane: usize) -> Option<(f64, f64)> {
        let precision = |sd: f64| 1.0 / (sd * sd);
        let ((share, sd), (before, spread)) = (*self.learned.get(plane)?, *self.known.get(plane)?);
        let (all, prior) = (precision(sd), precision(spread));
        let own = all - prior;
        (own > 0.05 * prior).then(|| ((share * all - before * prior) / own, 1.0 / own.sqrt()))
    }

    fn values(&self, fs: &[Functional], inner: &[f64], outer: &DVector<f64>) -> Vec<f64> {
        fs.iter().map(|f| evaluate(&self.unknowns.shape, f, inner, outer)).collect()
    }
}

/// Cuts at the shavings that the readings since then tell.
fn revised(unknowns: &Unknowns, estimate: &Estimate, taken: &[Taken]) -> Vec<Taken> {
    let factor = |(group, t): (usize, &Taken)| {
        let own = unknowns.shaving_place(t.plane).map_or(0.0, |place| estimate.outer[place]);
        let share = (1.0 + own + estimate.outer[unknowns.group_place(group)]).max(0.0);
        Taken { cut: t.cut.iter().map(|c| c * share).collect(), ..t.clone() }
    };
    taken.iter().enumerate().map(factor).collect()
}

/// Each plane's shaving as a share of the stated one.
fn learned(
    unknowns: &Unknowns,
    estimate: &Estimate,
    covariance: &Covariance,
    known: &[(f64, f64)],
) -> Vec<(f64, f64)> {
    let told = |plane: usize| {
        let border = vec![(unknowns.shaving_place(plane)?, 1.0)];
        let share = Functional { border, offset: 1.0, ..Functional::default() };
        Some((estimate.value(&share), covariance.variance(&share).sqrt()))
    };
    known.iter().enumerate().map(|(p, known)| told(p).unwrap_or(*known)).collect()
}

/// Readings that don't go with the others, worst first.
fn doubts(settled: &Settling, estimate: &Estimate) -> Vec<Doubt> {
    let surprising = settled.observations.iter().zip(&settled.surprise);
    let doubt = |(o, &surprise): (&Observation, &f64)| {
        let expected = estimate.value(&o.sum);
        let doubt =
            Doubt { round: RoundNumber::at(o.round), station: o.station, of: o.of, surprise, expected };
        (surprise.abs() > settled.prior.outlier).then_some(doubt)
    };
    let mut doubts: Vec<Doubt> = surprising.filter_map(doubt).collect();
    doubts.sort_by(|a, b| b.surprise.abs().total_cmp(&a.surprise.abs()));
    doubts
}

/// Root mean square surprise of all readings that are not doubted, in their errors as settled.
fn misfit(settled: &Settling) -> f64 {
    let surprises = settled.observations.iter().zip(&settled.surprise);
    let counts = |(o, v): &(&Observation, &f64)| {
        o.read.is_some_and(|r| r.scatters()) && v.abs() <= settled.prior.outlier
    };
    let squares: Vec<f64> = surprises.filter(counts).map(|(_, v)| v * v).collect();
    (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt()
}
