//! Errors that neighbouring readings share: a rib held a little otherwise, one thumb, one slant of
//! the feeler.
//!
//! Along a round the errors of one clearance's readings, each in its own standard deviations, are an
//! autoregressive process of first order: `e_k = rho e_j + sqrt(1 - rho^2) news` from a reading to
//! its neighbour (textbook). With `t_j` the neighbours of a reading their density is
//!
//! `exp(-(sum (1 - t_j rho / (1 + rho)) e_j^2 + rho / (1 - rho^2) sum (e_k - e_j)^2) / 2)`
//!
//! up to a factor: each reading says less by itself, and the difference of neighbours says more.
//!
//! ## Where does `rho` come from?
//!
//! From the evidence, for each clearance by itself: a few steps along its slope, each as long as
//! what the readings can tell of it asks for. Before anything is read it is 0, give or take
//! [`Prior::alike`](super::Prior); in a single round it stays so, since what neighbours share there
//! may as well be wood.

use crate::joint::{Clearance, Clearances};
use crate::maths::information::{Covariance, Estimate, Information};

use super::observation::Observation;
use super::posterior::Weighed;
use super::prior::Amplitudes;

/// No more than this: of readings quite alike nothing could be said any more.
const MOST: f64 = 0.8;
/// How far on an observation's neighbour along the joint stands.
const NEXT: usize = Clearance::ALL.len();

/// What a reading and its neighbour say of the difference of their clearances.
struct Tie {
    /// The earlier one.
    of: usize,
    /// One over the errors' standard deviations, the later one's first, 1/mm.
    scales: [f64; 2],
    /// The difference as read, in standard deviations.
    value: f64,
    precision: f64,
}

impl Weighed<'_> {
    /// What a reading says by itself, as a share of what it would if no error were like another's.
    pub(super) fn own_share(&self, j: usize) -> f64 {
        let tied = |j: usize| self.tied(j).map_or(0.0, |rho| rho / (1.0 + rho));
        1.0 - tied(j) - j.checked_sub(NEXT).map_or(0.0, tied)
    }

    /// Adds what neighbouring readings say together; returns the square of it, as a reading's
    /// distance from nothing known counts in the log evidence.
    pub(super) fn add_ties(&self, amplitudes: &Amplitudes, information: &mut Information) -> f64 {
        let mut square = 0.0;
        for Tie { of, scales: [a, b], value, precision } in self.ties(amplitudes) {
            let (later, earlier) = (&self.observations[of + NEXT].sum, &self.observations[of].sum);
            let value = value - a * later.offset + b * earlier.offset;
            information.add_difference((a, later), (b, earlier), precision, precision * value);
            square += precision * value * value;
        }
        square
    }

    /// How the ties' part of the log evidence grows with the logarithm of the reading errors.
    pub(super) fn tied_slope(&self, amplitudes: &Amplitudes, estimate: &Estimate, known: &Covariance) -> f64 {
        let growing = |j: usize| {
            self.observations[j]
                .read
                .map_or(0.0, |r| r.growing(amplitudes.errors) / r.variance(amplitudes.errors))
        };
        let slope = |Tie { of, precision, .. }: Tie| {
            let [own, both, next] = self.products(amplitudes, estimate, known, of);
            let (here, there) = (growing(of), growing(of + NEXT));
            precision * (here * own + there * next - (here + there) * both)
        };
        self.ties(amplitudes).map(slope).sum()
    }

    /// How alike neighbours' errors are, by one step from what was believed before.
    pub(super) fn likened(&self, amplitudes: &Amplitudes, estimate: &Estimate) -> Clearances {
        let covariance = estimate.covariance();
        let prior = self.prior.alike.powi(-2);
        let mut sums = Clearances::each(|of| (-self.alike[of] * prior, prior));
        for j in (0..self.observations.len()).filter(|&j| self.has_neighbour(j)) {
            let of = self.observations[j].of;
            let [own, both, next] = self.products(amplitudes, estimate, &covariance, j);
            let free = |j: usize| {
                let known = covariance.variance(&self.observations[j].sum);
                (1.0 - self.alone(amplitudes, j).map_or(0.0, |(p, _)| p * known)).max(0.0)
            };
            sums[of].0 += both - self.alike[of] * (own + next) / 2.0;
            sums[of].1 += free(j) * free(j + NEXT);
        }
        Clearances::each(|of| (self.alike[of] + sums[of].0 / sums[of].1).clamp(0.0, MOST))
    }

    fn ties(&self, amplitudes: &Amplitudes) -> impl Iterator<Item = Tie> {
        let tie = |j: usize| {
            let rho = self.tied(j)?;
            let ((p, value), (q, next)) = (self.alone(amplitudes, j)?, self.alone(amplitudes, j + NEXT)?);
            let [a, b] = [q.sqrt(), p.sqrt()];
            Some(Tie {
                of: j,
                scales: [a, b],
                value: a * next - b * value,
                precision: rho / (1.0 - rho * rho),
            })
        };
        let none = *self.alike == Clearances::default();
        (0..if none { 0 } else { self.observations.len() }).filter_map(tie)
    }

    /// How alike the error of a reading is to that of its neighbour at the next station, where it
    /// has one.
    fn tied(&self, j: usize) -> Option<f64> {
        let rho = self.alike[self.observations[j].of];
        (rho > 0.0 && self.has_neighbour(j)).then_some(rho)
    }

    /// Whether a clearance was read, and at the next station too.
    fn has_neighbour(&self, j: usize) -> bool {
        let round = self.observations[j].round;
        let read = |o: &Observation| o.round == round && o.read.is_some_and(|r| r.by_maker);
        read(&self.observations[j]) && self.observations.get(j + NEXT).is_some_and(read)
    }

    /// What is to be expected, in squared standard deviations, of a reading's error: its square,
    /// its product with its neighbour's, and that one's square.
    fn products(
        &self,
        amplitudes: &Amplitudes,
        estimate: &Estimate,
        known: &Covariance,
        j: usize,
    ) -> [f64; 3] {
        let error = |j: usize| {
            let (precision, value) = self.alone(amplitudes, j).unwrap_or_default();
            (precision.sqrt(), value - estimate.value(&self.observations[j].sum))
        };
        let product = |j: usize, k: usize| {
            let ((a, own), (b, other)) = (error(j), error(k));
            a * b * (own * other + known.between(&self.observations[j].sum, &self.observations[k].sum))
        };
        [product(j, j), product(j, j + NEXT), product(j + NEXT, j + NEXT)]
    }
}
