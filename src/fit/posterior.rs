//! Prior and observations in one Gaussian: the estimate, and the evidence of amplitudes.
//!
//! With `x` the unknowns, prior mean `m` and precision `P`, and observations `h x + c` of value
//! `y` and precision `w`, the posterior has precision `P + sum w h h'` and information vector
//! `P m + sum w (y - c) h` (linear Gaussian model, textbook). The evidence is the chance of what
//! was read with `x` integrated out:
//!
//! `log Z = (log |P| + sum log w - sum w (y - c)^2 + b' x - log |P + sum w h h'|) / 2 + constant`
//!
//! with `b` the information vector and `x` the estimate. A clearance's bound stands in either as
//! a Gaussian term (see `bound`); errors that neighbours share add what `alike` says.

use crate::job::RoundNumber;
use crate::joint::Clearances;
use crate::maths::both_ends::BothEnds;
use crate::maths::information::{Estimate, Information};

use super::bound::Term;
use super::observation::Observation;
use super::prior::{Amplitudes, Prior};
use super::unknowns::Unknowns;

/// Why there is no estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoEstimate {
    /// There is no round, or no station.
    #[error("nothing was read")]
    NothingRead,
    /// A reading, or what it is compared with, is no finite number.
    #[error("a number in round {round} at station {} is not finite", station + 1)]
    NotFinite {
        /// The round.
        round: RoundNumber,
        /// Station (index).
        station: usize,
    },
    /// The precision is not positive to the digits there are: sizes too far apart.
    #[error("the numbers don't determine an estimate")]
    Undetermined,
}

/// All that an estimate is made of. Lists have one entry an observation.
pub struct Weighed<'a> {
    /// The unknowns.
    pub unknowns: &'a Unknowns,
    /// What was known beforehand.
    pub prior: &'a Prior,
    /// What was read.
    pub observations: &'a [Observation],
    /// Weight of each reading: 1, less for doubted ones.
    pub weights: &'a [f64],
    /// The bounds' terms.
    pub terms: &'a [Term],
    /// Standard deviations of the places' own springs beforehand, in the order of [`Unknowns::own`], mm.
    pub own: &'a [f64],
    /// How alike the errors of neighbouring readings are, see `alike`: their correlation.
    pub alike: &'a Clearances,
}

impl Weighed<'_> {
    /// Precision (1/mm^2) and value (mm) of a reading as it is weighed by itself.
    pub fn reading(&self, amplitudes: &Amplitudes, j: usize) -> Option<(f64, f64)> {
        self.alone(amplitudes, j).map(|(precision, value)| (precision * self.own_share(j), value))
    }

    /// The same if no error were like another's.
    pub(super) fn alone(&self, amplitudes: &Amplitudes, j: usize) -> Option<(f64, f64)> {
        let read = self.observations[j].read?;
        Some((self.weights[j] / read.variance(amplitudes.errors), read.value))
    }

    /// The estimate.
    ///
    /// # Errors
    /// Where the numbers don't determine one.
    pub fn estimate(&self, amplitudes: &Amplitudes) -> Result<Estimate, NoEstimate> {
        self.gathered(amplitudes).factor().ok_or_else(|| self.why_none())
    }

    /// The same, ready to be drawn from.
    ///
    /// # Errors
    /// Where the numbers don't determine one.
    pub fn both_ends(&self, amplitudes: &Amplitudes) -> Result<BothEnds, NoEstimate> {
        BothEnds::of(self.gathered(amplitudes), self.unknowns.mirror()).ok_or_else(|| self.why_none())
    }

    /// Prior and observations, added up.
    fn gathered(&self, amplitudes: &Amplitudes) -> Information {
        let mut information = Information::new(self.unknowns.shape);
        self.add_prior(amplitudes, &mut information);
        for (j, observation) in self.observations.iter().enumerate() {
            let term = self.terms[j];
            let (precision, pull) = self.reading(amplitudes, j).map_or((0.0, 0.0), |(p, v)| (p, p * v));
            let total = precision + term.precision;
            if total > 0.0 {
                let offset = observation.sum.offset;
                information.add_raw(&observation.sum, total, pull + term.pull - total * offset);
            }
        }
        self.add_ties(amplitudes, &mut information);
        information
    }

    /// A reading that is no number spoils all sums, so readings are looked through first.
    fn why_none(&self) -> NoEstimate {
        let first = |bad: &dyn Fn(&&Observation) -> bool| self.observations.iter().find(bad);
        let unread = first(&|o| o.read.is_some_and(|r| !r.value.is_finite()));
        match unread.or_else(|| first(&|o| !o.sum.offset.is_finite())) {
            Some(o) => NoEstimate::NotFinite { round: RoundNumber::at(o.round), station: o.station },
            None => NoEstimate::Undetermined,
        }
    }

    /// The log evidence of amplitudes, given the present linearisation, doubts and bounds; up to
    /// a constant. With it the estimate at these amplitudes; `None` where there is none.
    pub fn log_evidence(&self, amplitudes: &Amplitudes) -> Option<(f64, Estimate)> {
        let mut information = Information::new(self.unknowns.shape);
        let mut log = 0.5 * self.add_prior(amplitudes, &mut information);
        for (j, Observation { sum, .. }) in self.observations.iter().enumerate() {
            let (precision, value) = self.reading(amplitudes, j).unwrap_or_default();
            let term = if self.terms[j].precision > 1e-9 { self.terms[j] } else { Term::default() };
            let total = precision + term.precision;
            if total > 0.0 {
                let (pull, offset) = (precision * value + term.pull, sum.offset);
                let square = precision * value * value
                    + if term.precision > 0.0 { term.pull * term.pull / term.precision } else { 0.0 };
                information.add_raw(sum, total, pull - total * offset);
                log -= 0.5 * (square - 2.0 * pull * offset + total * offset * offset);
            }
            if precision > 0.0 {
                log += 0.5 * libm::log(precision);
            }
        }
        log -= 0.5 * self.add_ties(amplitudes, &mut information);
        let estimate = information.factor()?;
        let log = log + 0.5 * estimate.explained() - 0.5 * estimate.log_determinant();
        Some((log, estimate))
    }

    /// How the log evidence grows with the logarithms of the waves' amplitude, the spring's and
    /// the reading errors. With `x` the estimate and `S` its covariance: of a field with precision
    /// `P`, `tr(P S) + x'P x` less its unknowns; of each reading, `(w (r^2 + h'S h) - 1)` times the
    /// share of its variance that grows, `r` its distance from the estimate (the derivative of the
    /// formula above).
    pub fn slopes(&self, amplitudes: &Amplitudes, estimate: &Estimate) -> [f64; 3] {
        let covariance = estimate.covariance();
        let (arc, size) = (self.unknowns.arc(), self.unknowns.shape.size);
        let mut slopes = [0.0; 3];
        for (place, field) in self.unknowns.fields(amplitudes) {
            let Some(slope) = self.unknowns.amplitude_of(place).map(|k| &mut slopes[k]) else { continue };
            *slope -= 2.0 * arc.len() as f64;
            field.precision(arc, size, place, |row, column, weight| {
                let square = covariance.inner(row, column) + estimate.inner[row] * estimate.inner[column];
                *slope += if row == column { weight * square } else { 2.0 * weight * square };
            });
        }
        for (j, Observation { sum, read, .. }) in self.observations.iter().enumerate() {
            let (Some(read), Some((precision, value))) = (read, self.reading(amplitudes, j)) else {
                continue;
            };
            let growing = read.growing(amplitudes.errors) / read.variance(amplitudes.errors);
            if growing > 0.0 {
                let square = (value - estimate.value(sum)).powi(2) + covariance.variance(sum);
                slopes[2] += growing * (precision * square - 1.0);
            }
        }
        slopes[2] += self.tied_slope(amplitudes, estimate, &covariance);
        slopes
    }

    /// Adds the prior of every unknown; returns the log determinant of its precision.
    fn add_prior(&self, amplitudes: &Amplitudes, information: &mut Information) -> f64 {
        let (arc, size) = (self.unknowns.arc(), self.unknowns.shape.size);
        let mut log_determinant = 0.0;
        for (place, field) in self.unknowns.fields(amplitudes) {
            log_determinant += field.add_prior(information, arc, size, place);
        }
        for (own, sd) in self.unknowns.own().zip(self.own) {
            information.add(&own, 0.0, 1.0 / (sd * sd));
            log_determinant -= 2.0 * libm::log(*sd);
        }
        let sizes = self.unknowns.border_sizes(amplitudes, self.prior);
        for (place, sd) in sizes.iter().enumerate() {
            information.add_border(place, 1.0 / (sd * sd));
            log_determinant -= 2.0 * libm::log(*sd);
        }
        for (place, mean) in self.unknowns.border_means(self.prior) {
            information.pull_border(place, mean / (sizes[place] * sizes[place]));
        }
        log_determinant
    }
}
