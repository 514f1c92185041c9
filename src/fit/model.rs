//! The estimate of wood and poses for given prior amplitudes.

use nalgebra::DVector;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

use crate::job::{Against, Job};
use crate::joint::{Clearance, Clearances, Joint, Pose};
use crate::maths::arrow::{Covariance, Estimate, Functional, Information, evaluate};
use crate::seat;

use super::bound::{self, Stride, Term};
use super::cuts::{STROKE_SPREAD, Taken};
use super::field::Field;
use super::layout::{Forms, Layout};
use super::result::Doubt;
use super::sight::{Scene, Sight};
use super::start::Start;

/// What is known beforehand: amplitudes and lengths, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// The edge's waves.
    pub waves: Field,
    /// The rib's spring.
    pub spring: Field,
    /// The line's error.
    pub line: Field,
    /// Size of the gentle curve.
    pub curve: f64,
    /// The reading errors as a multiple of what the maker stated.
    pub errors: f64,
    /// Size of the edge's own plane.
    pub plane: f64,
    /// Standard deviation of a pose, mm at half the joint's length.
    pub pose: f64,
}

impl Default for Prior {
    fn default() -> Self {
        Prior {
            waves: Field { amplitude: 0.15, length: 90.0 },
            spring: Field { amplitude: 0.06, length: 200.0 },
            line: Field { amplitude: 1.0, length: 200.0 },
            curve: 0.5,
            errors: 1.0,
            plane: 5.0,
            pose: 2.0,
        }
    }
}

/// A reading this many standard deviations off is weighed down.
const DOUBT: f64 = 2.5;
/// Poses and cuts are settled when no clearance moves more than this, mm.
const SETTLED: f64 = 1e-4;
/// Draws over which the bearings are averaged.
const PUSH_DRAWS: usize = 40;
/// How firmly a rib is pushed home: the excess over rest is about six over this, mm.
const PUSH_STRENGTH: f64 = 70.0;

/// State of the estimate while it settles.
pub struct Model<'a> {
    job: &'a Job,
    joint: &'a Joint,
    pub layout: Layout,
    pub planes: usize,
    pub forms: Forms,
    pub prior: Prior,
    /// What was known beforehand.
    pub start: &'a Start,
    pub taken: &'a [Taken],
    pub poses: Vec<Pose>,
    pub sights: Vec<Sight>,
    terms: Vec<Term>,
    stride: Stride,
    /// How strongly each clearance carried the push home, 1/mm.
    pub push: Vec<f64>,
    /// Weight of each reading, 1 but for doubted ones.
    pub weights: Vec<f64>,
    /// Each reading's distance from what all the others say, in standard deviations.
    pub surprise: Vec<f64>,
    pub estimate: Option<Estimate>,
}

impl<'a> Model<'a> {
    pub fn new(
        job: &'a Job,
        joint: &'a Joint,
        taken: &'a [Taken],
        modes: bool,
        start: &'a Start,
    ) -> Model<'a> {
        let forms = Forms::of(joint);
        let layout = Layout::of(job, joint, taken, if modes { forms.modes.len() } else { 0 }, &start.prior);
        let poses = vec![Pose::default(); job.rounds.len()];
        let count = 3 * job.rounds.len() * joint.len();
        Model {
            planes: job.planes.len(),
            job,
            joint,
            layout,
            forms,
            prior: start.prior,
            start,
            taken,
            poses,
            sights: Vec::new(),
            terms: vec![Term::default(); count],
            stride: Stride::default(),
            push: vec![0.0; count],
            weights: vec![1.0; count],
            surprise: vec![0.0; count],
            estimate: None,
        }
    }

    /// Number of stations.
    pub fn stations(&self) -> usize {
        self.joint.len()
    }

    /// The same model with a gentle curve, begun where this one has settled.
    pub fn curved(&self) -> Model<'a> {
        Model {
            poses: self.poses.clone(),
            terms: self.terms.clone(),
            push: self.push.clone(),
            weights: self.weights.clone(),
            prior: self.prior,
            ..Model::new(self.job, self.joint, self.taken, true, self.start)
        }
    }

    /// Readings that don't go with the others, worst first.
    pub fn doubts(&self) -> Vec<Doubt> {
        let Some(estimate) = &self.estimate else {
            return Vec::new();
        };
        let mut doubts: Vec<Doubt> = self
            .sights
            .iter()
            .zip(&self.surprise)
            .filter(|(_, surprise)| surprise.abs() > self.start.outlier)
            .map(|(s, &surprise)| {
                let expected = estimate.value(&s.functional);
                Doubt { round: s.round, station: s.station, kind: s.kind, surprise, expected }
            })
            .collect();
        doubts.sort_by(|a, b| b.surprise.abs().total_cmp(&a.surprise.abs()));
        doubts
    }

    /// Root mean square surprise of all readings that are not doubted, in their errors as settled.
    pub fn misfit(&self) -> f64 {
        let squares: Vec<f64> = self
            .sights
            .iter()
            .zip(&self.surprise)
            .filter(|(s, v)| s.seen.is_some_and(|s| s.read) && v.abs() <= self.start.outlier)
            .map(|(_, v)| v * v)
            .collect();
        (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt()
    }

    /// Repeats linearising, solving and bounding until nothing moves any more, at most so
    /// many times; after the steps in `pushes` it looks anew where the rib bore.
    /// Returns false where the numbers don't determine an estimate.
    pub fn settle(&mut self, most: usize, pushes: &[usize]) -> bool {
        for k in 0..most {
            self.look();
            if !self.solve() {
                return false;
            }
            let moved = self.move_poses().max(self.bound());
            if pushes.contains(&k) {
                self.push_home();
                self.stride = Stride::default();
            } else if moved < SETTLED {
                break;
            }
        }
        self.look();
        self.solve()
    }

    fn scene(&self) -> Scene<'_> {
        Scene {
            job: self.job,
            joint: self.joint,
            layout: &self.layout,
            forms: &self.forms,
            taken: self.taken,
        }
    }

    /// Writes down every sight around the present poses.
    pub fn look(&mut self) {
        self.sights = self.scene().sights(&self.poses);
    }

    pub fn solve(&mut self) -> bool {
        let mut information = Information::new(self.layout.shape);
        self.add_prior(&self.prior, &mut information);
        for (j, sight) in self.sights.iter().enumerate() {
            let term = self.terms[j];
            let (precision, pull) = self.reading(&self.prior, j).map_or((0.0, 0.0), |(p, v)| (p, p * v));
            let total = precision + term.precision;
            if total > 0.0 {
                let offset = sight.functional.offset;
                information.add_raw(&sight.functional, total, pull + term.pull - total * offset);
            }
        }
        self.estimate = information.factor();
        self.estimate.is_some()
    }

    /// Precision and value of a reading, as weighed now.
    fn reading(&self, prior: &Prior, j: usize) -> Option<(f64, f64)> {
        let seen = self.sights[j].seen?;
        let scale = if seen.read { prior.errors } else { 1.0 };
        let variance = (seen.reading_sd * scale).powi(2) + seen.blur;
        Some((self.weights[j] / variance, seen.value))
    }

    /// Adds all priors; returns the log determinant of their precision.
    fn add_prior(&self, prior: &Prior, information: &mut Information) -> f64 {
        let arc = &self.layout.arc;
        let size = self.layout.shape.size;
        let mut log_determinant = prior.waves.add_prior(information, arc, size, Layout::WAVES);
        for s in 0..self.layout.springs {
            log_determinant += prior.spring.add_prior(information, arc, size, self.layout.spring(s));
        }
        if self.layout.line {
            log_determinant += prior.line.add_prior(information, arc, size, self.layout.line_error());
        }
        for (place, sd) in self.border_sizes(prior).into_iter().enumerate() {
            information.add_border(place, 1.0 / (sd * sd));
            log_determinant -= 2.0 * sd.ln();
        }
        for (used, &plane) in self.layout.used.iter().enumerate() {
            let (share, sd) = self.start.plane(plane);
            information.pull_border(self.layout.plane(used), (share - 1.0) / (sd * sd));
        }
        log_determinant
    }

    /// Prior standard deviation of each border unknown, in their order.
    fn border_sizes(&self, prior: &Prior) -> Vec<f64> {
        let arm = (self.joint.arc_length() / 2.0).max(1.0);
        let (shift, turn) = (prior.pose, prior.pose / arm);
        let pose = [shift, shift, shift, turn, turn, turn];
        let mut sizes = vec![prior.plane; 3];
        sizes.extend(std::iter::repeat_n(prior.curve, self.layout.modes));
        self.poses.iter().for_each(|_| sizes.extend(pose));
        sizes.extend(self.layout.used.iter().map(|&p| self.start.plane(p).1));
        sizes.extend(self.layout.groups.iter().zip(self.taken).map(|(_, t)| {
            let most = t.pushes.iter().fold(1.0, |m: f64, p| m.max(*p));
            STROKE_SPREAD / most.sqrt()
        }));
        sizes
    }

    /// Moves the poses to the estimate; returns how far any clearance moved at most.
    fn move_poses(&mut self) -> f64 {
        let Some(estimate) = &self.estimate else {
            return 0.0;
        };
        let arm = self.joint.arc_length() / 2.0;
        let mut moved: f64 = 0.0;
        for (k, pose) in self.poses.iter_mut().enumerate() {
            let place = self.layout.pose(k);
            let next = estimate.outer.fixed_rows::<6>(place).into_owned();
            let change = next - pose.vector();
            moved = moved.max(change.rows(0, 3).amax()).max(arm * change.rows(3, 3).amax());
            *pose = Pose::from_vector(&next);
        }
        moved
    }

    /// Updates the terms of clearances that can't be negative, and the doubts
    /// about single readings; returns the largest move of a bound's mean, mm.
    fn bound(&mut self) -> f64 {
        let Some(estimate) = &self.estimate else {
            return 0.0;
        };
        let covariance = estimate.covariance();
        let mut next = Vec::with_capacity(self.sights.len());
        for j in 0..self.sights.len() {
            let f = &self.sights[j].functional;
            let (mean, variance) = (estimate.value(f), covariance.variance(f));
            self.surprise[j] = self.surprise_of(j, mean, variance);
            self.weights[j] = (DOUBT / self.surprise[j].abs().max(DOUBT)).powi(3);
            if self.sights[j].bounded {
                next.push((j, variance, bound::update(mean, variance, self.terms[j], self.push[j])));
            }
        }
        self.stride.go(&mut self.terms, &next)
    }

    /// How far a reading is from what everything else says, in standard deviations.
    fn surprise_of(&self, j: usize, mean: f64, variance: f64) -> f64 {
        let Some(seen) = self.sights[j].seen.filter(|s| s.read) else {
            return 0.0;
        };
        let Some((precision, value)) = self.reading(&self.prior, j) else {
            return 0.0;
        };
        let others = 1.0 / variance - precision;
        if others <= 1e-6 / variance {
            return 0.0;
        }
        let expected = (mean / variance - precision * value) / others;
        let noise = (seen.reading_sd * self.prior.errors).powi(2) + seen.blur;
        (value - expected) / (1.0 / others + noise).sqrt()
    }

    /// Finds where the rib bore in each round against the neighbour.
    ///
    /// A rib pushed home rests where the push does no more work, so what bears
    /// touches: the push's excess over rest is the sum of clearances times
    /// what each carries (linear programming duality). Which points bear
    /// depends on the wood, so shares are averaged over draws of it.
    fn push_home(&mut self) {
        let Some(estimate) = &self.estimate else { return };
        let mut rng = ChaCha8Rng::seed_from_u64(7);
        let mut draw = || estimate.draw(|| StandardNormal.sample(&mut rng));
        let draws: Vec<_> = (0..PUSH_DRAWS).map(|_| draw()).collect();
        let mean = (estimate.inner.clone(), estimate.outer.clone());
        let mut carried = vec![0.0; self.push.len()];
        for (k, carried) in carried.chunks_exact_mut(3 * self.joint.len()).enumerate() {
            if self.job.rounds[k].against == Against::Line {
                continue;
            }
            let own = |of| -> Vec<Functional> {
                (0..self.joint.len()).map(|i| self.scene().own(k, i, of)).collect()
            };
            let (gaps, lifts) = (own(Clearance::Gap), own(Clearance::Lift));
            let (edge, spring) = self.wood([&gaps, &lifts], &mean);
            let Ok(mut push) = seat::Push::around(self.joint, &edge, &spring, self.poses[k]) else {
                continue;
            };
            for draw in &draws {
                let (edge, spring) = self.wood([&gaps, &lifts], draw);
                let shares = push.carrying(&edge, &spring).unwrap_or_default();
                carried
                    .iter_mut()
                    .zip(shares.into_iter().flat_map(Clearances::into_pairs))
                    .for_each(|(c, (_, s))| *c += s / PUSH_DRAWS as f64);
            }
        }
        self.push = carried.iter().map(|c| PUSH_STRENGTH * c).collect();
    }

    /// Edge and spring at given unknowns, from what the wood itself adds to a round's gaps
    /// and lifts.
    fn wood(&self, [gaps, lifts]: [&[Functional]; 2], at: &(Vec<f64>, DVector<f64>)) -> (Vec<f64>, Vec<f64>) {
        let value = |f: &Functional| evaluate(&self.layout.shape, f, &at.0, &at.1);
        (gaps.iter().map(|f| -value(f)).collect(), lifts.iter().map(value).collect())
    }

    /// The log evidence of a prior's amplitudes, given the present linearisation,
    /// doubts and bounds; up to a constant.
    pub fn log_evidence(&self, prior: &Prior) -> f64 {
        let mut information = Information::new(self.layout.shape);
        let mut log = 0.5 * self.add_prior(prior, &mut information);
        let mut add = |j: usize, value: f64, precision: f64| {
            let f = &self.sights[j].functional;
            information.add(f, value, precision);
            log -= 0.5 * precision * (value - f.offset).powi(2);
        };
        let mut weight = 0.0;
        for j in 0..self.sights.len() {
            if let Some((precision, value)) = self.reading(prior, j) {
                add(j, value, precision);
                weight += 0.5 * precision.ln();
            }
            let term = self.terms[j];
            if term.precision > 1e-9 {
                add(j, term.pull / term.precision, term.precision);
            }
        }
        match information.factor() {
            Some(e) => log + weight + 0.5 * e.explained() - 0.5 * e.log_determinant(),
            None => f64::NEG_INFINITY,
        }
    }

    /// Covariances of the present estimate.
    pub fn covariance(&self) -> Option<Covariance> {
        self.estimate.as_ref().map(Estimate::covariance)
    }
}
