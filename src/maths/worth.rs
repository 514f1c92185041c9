//! What readings are worth before they are made, and a choice among them.
//!
//! Unknown are quantities, jointly normal; a reading is one of them and an error. A quantity
//! decides something: above its threshold one thing is right, below it another, and acting on the
//! wrong side costs its price times the distance. Readings that explain the variance `s^2` of a
//! quantity with mean `m` bring, in the mean,
//!
//! `price * s * psi(|m - t| / s)`, `psi(u) = phi(u) - u (1 - Phi(u))`
//!
//! the expected value of sample information under linear loss (H. Raiffa and R. Schlaifer, 1961;
//! from memory). Variances alone decide nothing: a quantity far from its threshold is worth no
//! reading, however uncertain.
//!
//! ## Why greedy?
//!
//! One reading more brings less the more is known, mostly, so that taking the best each time comes
//! close to the best set; a test compares it with all sets. Where a first reading alone turns no
//! decision but several together do, the choice would stop too early; so it goes on to the end, and
//! the part of the row that brings most is kept. Each step is an update of rank one.

use nalgebra::{DMatrix, DVector};

use super::normal;

/// A quantity that decides something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decides {
    /// Which unknown it is.
    pub unknown: usize,
    /// How far its mean lies from its threshold.
    pub off: f64,
    /// The cost of acting wrongly, for each unit that it lies beyond.
    pub price: f64,
}

/// A reading that can be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Which unknown is read.
    pub unknown: usize,
    /// Variance of the reading's error.
    pub error: f64,
}

/// The value of readings that explain `explained` (a variance) of a quantity.
fn value(decides: &Decides, explained: f64) -> f64 {
    let s = explained.max(0.0).sqrt();
    if s <= 1e-12 {
        return 0.0;
    }
    let u = decides.off.abs() / s;
    decides.price * s * (normal::density(u) - u * normal::below(-u))
}

/// What is still open of the unknowns.
#[derive(Clone)]
struct Open<'a> {
    decides: &'a [Decides],
    before: DVector<f64>,
    covariance: DMatrix<f64>,
}

impl<'a> Open<'a> {
    fn new(covariance: &DMatrix<f64>, decides: &'a [Decides]) -> Self {
        Open { decides, before: covariance.diagonal(), covariance: covariance.clone() }
    }

    /// The value of all readings so far and, if given, of one more.
    fn worth(&self, more: Option<&Candidate>) -> f64 {
        let with = |d: &Decides| {
            let now = self.covariance[(d.unknown, d.unknown)];
            let gained = more.map_or(0.0, |c| {
                let own = self.covariance[(c.unknown, c.unknown)] + c.error;
                self.covariance[(d.unknown, c.unknown)].powi(2) / own.max(1e-300)
            });
            value(d, self.before[d.unknown] - now + gained)
        };
        self.decides.iter().map(with).sum()
    }

    fn read(&mut self, reading: &Candidate) {
        let own = self.covariance[(reading.unknown, reading.unknown)] + reading.error;
        let column = self.covariance.column(reading.unknown).into_owned();
        self.covariance.ger(-1.0 / own.max(1e-300), &column, &column, 1.0);
    }
}

/// The value of some readings together, whatever they cost.
pub fn worth(covariance: &DMatrix<f64>, decides: &[Decides], readings: &[Candidate]) -> f64 {
    let mut open = Open::new(covariance, decides);
    readings.iter().for_each(|r| open.read(r));
    open.worth(None)
}

/// The readings (places among `candidates`) that bring most beyond `cost` each, in the order in
/// which they were chosen; at least `fewest` of them, or all there are. With the value of all of them.
pub fn choose(
    covariance: &DMatrix<f64>,
    decides: &[Decides],
    candidates: &[Candidate],
    cost: f64,
    fewest: usize,
) -> (Vec<usize>, f64) {
    let fewest = fewest.min(candidates.len());
    let mut open = Open::new(covariance, decides);
    let mut chosen: Vec<usize> = Vec::new();
    let mut best = (0, if fewest == 0 { 0.0 } else { f64::NEG_INFINITY });
    while chosen.len() < candidates.len() {
        let left = (0..candidates.len()).filter(|j| !chosen.contains(j));
        let ranked = left.map(|j| (j, open.worth(Some(&candidates[j]))));
        let Some((next, worth)) = ranked.max_by(|a, b| a.1.total_cmp(&b.1)) else { break };
        open.read(&candidates[next]);
        chosen.push(next);
        let net = worth - cost * chosen.len() as f64;
        if chosen.len() >= fewest && net > best.1 {
            best = (chosen.len(), net);
        }
    }
    chosen.truncate(best.0);
    (chosen, best.1 + cost * best.0 as f64)
}
