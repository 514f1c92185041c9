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
    let density = (-u * u / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let beyond = 0.5 * libm::erfc(u / std::f64::consts::SQRT_2);
    decides.price * s * (density - u * beyond)
}

/// What is still open of the unknowns.
#[derive(Clone)]
struct Open<'a> {
    decides: &'a [Decides],
    before: DVector<f64>,
    covariance: DMatrix<f64>,
}

impl Open<'_> {
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

/// The readings (places among `candidates`) that bring most beyond `cost` each, in the order in
/// which they were chosen; at least `fewest` of them. With the value of all of them.
pub fn choose(
    covariance: &DMatrix<f64>,
    decides: &[Decides],
    candidates: &[Candidate],
    cost: f64,
    fewest: usize,
) -> (Vec<usize>, f64) {
    let mut open = Open { decides, before: covariance.diagonal(), covariance: covariance.clone() };
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Five unknowns along a line, neighbours alike.
    fn line(n: usize) -> DMatrix<f64> {
        DMatrix::from_fn(n, n, |i, j| 0.04 * (-(i as f64 - j as f64).abs() / 2.0).exp())
    }

    fn worth_of(covariance: &DMatrix<f64>, decides: &[Decides], readings: &[Candidate]) -> f64 {
        let mut open = Open { decides, before: covariance.diagonal(), covariance: covariance.clone() };
        readings.iter().for_each(|r| open.read(r));
        open.worth(None)
    }

    /// Standard normal loss at 0 and 1: 0.3989 and 0.0833 (tables).
    #[test]
    fn the_value_is_the_unit_normal_loss() {
        let at = |off| value(&Decides { unknown: 0, off, price: 1.0 }, 1.0);
        assert!((at(0.0) - 0.3989).abs() < 5e-5 && (at(1.0) - 0.0833).abs() < 5e-5);
        assert!((at(-1.0) - at(1.0)).abs() < 1e-15);
    }

    /// Against every set of the readings, on joints small enough for that.
    #[test]
    fn the_greedy_choice_is_close_to_the_best_of_all_sets() {
        for (case, offs) in
            [[0.0, 0.1, 0.3, 0.05, 0.2, 0.0, 0.4, 0.1], [0.5, 0.02, 0.0, 0.3, 0.3, 0.1, 0.1, 0.0], [0.1; 8]]
                .iter()
                .enumerate()
        {
            let covariance = line(8);
            let decides: Vec<Decides> =
                (0..8).map(|i| Decides { unknown: i, off: offs[i], price: 1000.0 }).collect();
            let candidates: Vec<Candidate> = (0..8).map(|i| Candidate { unknown: i, error: 0.01 }).collect();
            let net = |set: u32| {
                let readings: Vec<Candidate> =
                    (0..8).filter(|i| set & (1 << i) != 0).map(|i| candidates[i]).collect();
                worth_of(&covariance, &decides, &readings) - 8.0 * readings.len() as f64
            };
            let best = (0..256u32).map(net).fold(f64::NEG_INFINITY, f64::max);
            let (chosen, worth) = choose(&covariance, &decides, &candidates, 8.0, 0);
            let got = worth - 8.0 * chosen.len() as f64;
            let set = chosen.iter().fold(0, |set, i| set | (1u32 << i));
            assert!((net(set) - got).abs() < 1e-9 * best.abs());
            assert!(got >= 0.97 * best, "case {case}: {got} of {best}");
        }
    }

    #[test]
    fn what_is_far_from_its_threshold_is_not_read() {
        let decides = [Decides { unknown: 0, off: 2.0, price: 1000.0 }];
        let candidates = [Candidate { unknown: 0, error: 0.01 }];
        assert_eq!(choose(&line(3), &decides, &candidates, 8.0, 0).0, Vec::<usize>::new());
        assert_eq!(choose(&line(3), &decides, &candidates, 8.0, 1).0, vec![0]);
        let near = [Decides { off: 0.05, ..decides[0] }];
        assert_eq!(choose(&line(3), &near, &candidates, 8.0, 0).0, vec![0]);
    }
}
