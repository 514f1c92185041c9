//! The estimate as it settles: linearise, solve, bound, and look where the rib bore.
//!
//! Poses turn clearances nonlinearly, bounds depend on the estimate, doubts on its residuals. So
//! each step writes the observations down around the poses believed now, solves, moves poses and
//! bounds to where the estimate says, until nothing moves any more.

use crate::joint::{Clearances, Pose};
use crate::maths::information::{Covariance, Estimate};

use super::bearings;
use super::bound::{self, Stride, Term};
use super::observation::{Data, Observation};
use super::own;
use super::posterior::{NoEstimate, Weighed};
use super::prior::{Amplitudes, Prior};
use super::unknowns::Unknowns;

/// When a settling ends, and when it looks anew where the rib bore.
#[derive(Debug, Clone, Copy)]
pub struct Schedule {
    /// The most steps.
    most: usize,
    /// Steps (from 0) after which it looks where the rib bore.
    bearings: &'static [usize],
}

/// From no pose at all: bearings are looked for once poses are rough, and once more.
pub const ROUGH: Schedule = Schedule { most: 8, bearings: &[2, 5] };
/// With one round more than have settled.
pub const NEXT: Schedule = Schedule { most: 6, bearings: &[1, 3] };
/// From a rough estimate until nothing moves, a dozen steps as a rule, bearings looked for at once;
/// a spring of a place's own that is in doubt takes longer.
pub const FINE: Schedule = Schedule { most: 80, bearings: &[0] };

/// A reading this many standard deviations off is weighed down.
const DOUBT: f64 = 2.5;
/// Steps that lead near to how alike errors are.
const LOOKS: usize = 3;
/// Poses and cuts are settled when no clearance moves more than this, mm.
const SETTLED: f64 = 1e-4;

/// What has settled, and from where the estimate of one round more goes on. Lists have one entry an
/// observation, unless said otherwise; those of earlier rounds come first.
#[derive(Debug, Clone, Default)]
pub struct Settled {
    /// Amplitudes as believed now.
    pub amplitudes: Amplitudes,
    /// Pose in each round.
    pub poses: Vec<Pose>,
    /// How strongly each clearance carried the push home, 1/mm: a row a round.
    pub carried: Vec<Vec<Clearances>>,
    /// The bounds' terms.
    terms: Vec<Term>,
    /// What the readings that are intervals say, as normal curves about the reading.
    inside: Vec<Term>,
    /// Weight of each reading, 1 but for doubted ones.
    weights: Vec<f64>,
    /// Standard deviations of the places' own springs, mm.
    own: Vec<f64>,
    /// How alike the errors of neighbouring readings are: their correlation.
    pub alike: Clearances,
}

impl Settled {
    /// Whether no round has settled yet.
    pub fn is_nothing(&self) -> bool {
        self.poses.is_empty()
    }

    /// The same with places for rounds that came after: the rib lies as it did in the last one.
    fn with_rounds(mut self, data: &Data, unknowns: &Unknowns, prior: &Prior) -> Settled {
        let (rounds, stations) = (data.job.rounds.len(), data.joint.len());
        let count = 3 * rounds * stations;
        if self.is_nothing() {
            self.amplitudes = prior.amplitudes;
        }
        self.poses.resize(rounds, self.poses.last().copied().unwrap_or_default());
        self.carried.resize(rounds, vec![Clearances::default(); stations]);
        self.terms.resize(count, Term::default());
        self.inside.resize(count, Term::default());
        self.weights.resize(count, 1.0);
        self.own.resize(unknowns.own().count(), own::widest(&prior.amplitudes));
        self
    }
}

/// The estimate while it settles.
#[derive(Clone)]
pub struct Settling<'a> {
    /// What is read.
    pub data: Data<'a>,
    /// What was known beforehand.
    pub prior: &'a Prior,
    /// The unknowns.
    pub unknowns: Unknowns,
    /// As far as it has settled.
    pub now: Settled,
    /// Observations around the poses as they are now.
    pub observations: Vec<Observation>,
    /// Each reading's distance from what all the others say, in standard deviations: one entry an
    /// observation.
    pub surprise: Vec<f64>,
    stride: Stride,
    inside_stride: Stride,
}

impl<'a> Settling<'a> {
    /// Begins without the gentle curve, where the estimate of earlier rounds has settled.
    pub fn from(settled: Settled, data: Data<'a>, prior: &'a Prior) -> Settling<'a> {
        let unknowns = Unknowns::of(data.job, data.joint, data.taken, false, prior);
        let observations = data.observations(&unknowns);
        Settling {
            now: settled.with_rounds(&data, &unknowns, prior),
            surprise: vec![0.0; observations.len()],
            data,
            prior,
            unknowns,
            observations,
            stride: Stride::default(),
            inside_stride: Stride::default(),
        }
    }

    /// The same with a gentle curve, begun where this one has settled.
    pub fn curved(&self) -> Settling<'a> {
        let Data { job, joint, taken } = self.data;
        let unknowns = Unknowns::of(job, joint, taken, true, self.prior);
        let mut curved = Settling {
            observations: self.data.observations(&unknowns),
            unknowns,
            stride: Stride::default(),
            inside_stride: Stride::default(),
            surprise: vec![0.0; self.surprise.len()],
            ..self.clone()
        };
        curved.look();
        curved
    }

    /// Steps until nothing moves any more, at most as the schedule says.
    ///
    /// # Errors
    /// Where the numbers don't determine an estimate.
    pub fn settle(&mut self, schedule: Schedule) -> Result<(), NoEstimate> {
        for k in 0..schedule.most {
            self.look();
            let estimate = self.weighed().estimate(&self.now.amplitudes)?;
            let covariance = estimate.covariance();
            let bounds = self.bound(&estimate, &covariance).max(self.narrow(&estimate, &covariance));
            let moved = self.move_poses(&estimate).max(bounds);
            if schedule.bearings.contains(&k) {
                let ends = self.weighed().both_ends(&self.now.amplitudes)?;
                self.now.carried = bearings::carried(&self.data, &self.unknowns, &ends, &self.now.poses);
                self.stride = Stride::default();
            } else if moved < SETTLED {
                break;
            }
        }
        self.look();
        Ok(())
    }

    /// Writes down every observation around the present poses.
    fn look(&mut self) {
        self.data.linearise(&mut self.observations, &self.now.poses);
        for (observation, told) in self.observations.iter_mut().zip(&self.now.inside) {
            if let Some(read) = observation.read.as_mut().filter(|_| told.precision > 0.0) {
                (read.value, read.open) = (told.pull / told.precision, 1.0 / told.precision);
            }
        }
    }

    /// Looks how alike the errors of neighbouring readings are: not in a single round, where what
    /// neighbours share may as well be wood.
    ///
    /// # Errors
    /// Where the numbers don't determine an estimate.
    pub fn liken(&mut self) -> Result<(), NoEstimate> {
        let looks = if self.data.job.rounds.len() < 2 { 0 } else { LOOKS };
        for _ in 0..looks {
            let estimate = self.weighed().estimate(&self.now.amplitudes)?;
            self.now.alike = self.weighed().likened(&self.now.amplitudes, &estimate);
        }
        Ok(())
    }

    /// All of it as it is weighed now.
    pub fn weighed(&self) -> Weighed<'_> {
        Weighed {
            unknowns: &self.unknowns,
            prior: self.prior,
            observations: &self.observations,
            weights: &self.now.weights,
            terms: &self.now.terms,
            own: &self.now.own,
            alike: &self.now.alike,
        }
    }

    /// Moves the poses to the estimate; returns how far any clearance moved at most, mm.
    fn move_poses(&mut self, estimate: &Estimate) -> f64 {
        let mut moved: f64 = 0.0;
        for (round, pose) in self.now.poses.iter_mut().enumerate() {
            let place = self.unknowns.pose_place(round);
            let next = estimate.outer.fixed_rows::<6>(place).into_owned();
            moved = moved.max(self.unknowns.pose_size(&(next - pose.vector())));
            *pose = Pose::from_vector(&next);
        }
        moved
    }

    /// Updates the terms of clearances that can't be negative, and the doubts
    /// about single readings; returns the largest move of a bound's mean, mm.
    fn bound(&mut self, estimate: &Estimate, covariance: &Covariance) -> f64 {
        let mut next = Vec::with_capacity(self.observations.len());
        let mut inside = Vec::new();
        for j in 0..self.observations.len() {
            let Observation { round, station, of, bounded, ref sum, .. } = self.observations[j];
            let (mean, variance) = (estimate.value(sum), covariance.variance(sum));
            self.surprise[j] = self.surprise_of(j, mean, variance);
            self.now.weights[j] = (DOUBT / self.surprise[j].abs().max(DOUBT)).powi(3);
            inside.extend(self.told(j, mean, variance));
            if bounded {
                let push = self.now.carried[round][station][of];
                next.push((j, variance, bound::update(mean, variance, self.now.terms[j], push)));
            }
        }
        let moved = self.stride.go(&mut self.now.terms, &next);
        if inside.is_empty() {
            moved
        } else {
            moved.max(self.inside_stride.go(&mut self.now.inside, &inside))
        }
    }

    /// What an interval says of its reading, given what everything else does: place, variance of
    /// the reading, and the term. None for a plain number.
    fn told(&self, j: usize, mean: f64, variance: f64) -> Option<(usize, f64, Term)> {
        let read = self.observations[j].read?;
        let within = read.within?;
        let (precision, value) = self.weighed().reading(&self.now.amplitudes, j)?;
        let others = 1.0 / variance - precision;
        if others <= 1e-6 / variance {
            return None;
        }
        let expected = (mean / variance - precision * value) / others;
        let spread = 1.0 / others + read.variance(self.now.amplitudes.errors) - read.open;
        Some((j, spread, bound::inside(expected, spread, within)))
    }

    /// Narrows the places' own springs where no reading speaks for one; returns how far any moved
    /// at most, mm.
    fn narrow(&mut self, estimate: &Estimate, covariance: &Covariance) -> f64 {
        let mut moved: f64 = 0.0;
        for (own, sd) in self.unknowns.own().zip(&mut self.now.own) {
            let next = own::narrowed(&self.now.amplitudes, estimate.value(&own), covariance.variance(&own));
            moved = moved.max((next - *sd).abs() * own::FOLLOWS);
            *sd = next;
        }
        moved
    }

    /// How far a reading is from what everything else says, in standard deviations: the estimate
    /// of its clearance with the reading taken out again, against the reading.
    fn surprise_of(&self, j: usize, mean: f64, variance: f64) -> f64 {
        let Some(read) = self.observations[j].read.filter(|r| r.by_maker) else {
            return 0.0;
        };
        let Some((precision, value)) = self.weighed().reading(&self.now.amplitudes, j) else {
            return 0.0;
        };
        let others = 1.0 / variance - precision;
        if others <= 1e-6 / variance {
            return 0.0;
        }
        let expected = (mean / variance - precision * value) / others;
        let (off, open) = read.off(expected);
        off / (1.0 / others + read.variance(self.now.amplitudes.errors) - read.open + open).sqrt()
    }
}
