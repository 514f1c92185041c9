//! Clearances that can't be negative, as Gaussian terms.
//!
//! Nothing passes through anything: a gap, lift or seat is at least zero in
//! every round. Cutting a Gaussian off at zero moves its mean and narrows it;
//! the Gaussian term that does the same to the rest of the estimate is found
//! by expectation propagation (T. Minka, 2001; from memory).
//!
//! **Why not clip?** Clipping keeps the mean of an impossible wood and an uncertainty that is
//! too wide; a bound is knowledge and narrows both.

use crate::job::Interval;
use crate::maths::normal::{below, density};

/// A Gaussian term on one clearance: precision, and precision times mean.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Term {
    /// Precision, 1/mm^2.
    pub precision: f64,
    /// Precision times mean, 1/mm.
    pub pull: f64,
}

/// How far the terms go towards where they should be, all at once.
///
/// Terms on neighbouring clearances say nearly the same, so that going the whole way goes
/// too far, the more so the more stations there are; no fixed share serves both a dozen and
/// a hundred. The share is that at which the last step would have left the least: Aitken's
/// relaxation for vectors (B. Irons and R. Tuck, 1969; from memory).
#[derive(Debug, Clone)]
pub struct Stride {
    share: f64,
    /// How far each term was off before the last step, in standard deviations.
    off: Vec<f64>,
}

impl Default for Stride {
    fn default() -> Self {
        Stride { share: 0.7, off: Vec::new() }
    }
}

impl Stride {
    /// Moves terms towards `next`, given as place, variance of the clearance, and the term
    /// that should stand there; returns the largest move of a clearance's mean still to go, mm.
    pub fn go(&mut self, terms: &mut [Term], next: &[(usize, f64, Term)]) -> f64 {
        let pull = |(j, variance, n): &(usize, f64, Term)| (n.pull - terms[*j].pull) * variance.sqrt();
        let off: Vec<f64> = next.iter().map(pull).collect();
        self.share = self.better(&off).clamp(0.02, 0.9);
        let moves = off.iter().zip(next).map(|(off, (_, variance, _))| off.abs() * variance.sqrt());
        let most = moves.fold(0.0, f64::max);
        for (j, _, next) in next {
            let term = &mut terms[*j];
            term.precision = (term.precision + self.share * (next.precision - term.precision)).max(0.0);
            term.pull += self.share * (next.pull - term.pull);
        }
        self.off = off;
        most
    }

    fn better(&self, off: &[f64]) -> f64 {
        let changes = || off.iter().zip(&self.off).map(|(now, before)| (now - before, before));
        let square: f64 = changes().map(|(d, _)| d * d).sum();
        let along: f64 = changes().map(|(d, before)| d * before).sum();
        match -self.share * along / square {
            better if better > 0.0 => better,
            _ if square > 0.0 => self.share / 2.0,
            _ => self.share,
        }
    }
}

/// The term that stands for `clearance >= 0` and for a push of `push` (1/mm)
/// that closes it, `exp(-push c)`, given the clearance's mean and variance in
/// the whole estimate and the term's present value.
pub fn update(mean: f64, variance: f64, now: Term, push: f64) -> Term {
    let precision = 1.0 / variance - now.precision;
    if precision <= 1e-9 / variance {
        return now;
    }
    let (cavity_mean, cavity_variance) = ((mean / variance - now.pull) / precision, 1.0 / precision);
    let sd = cavity_variance.sqrt();
    let z = cavity_mean / sd;
    let (first, second) = hazard(z - push * sd);
    let cut_mean = cavity_mean - push * cavity_variance + sd * first;
    let cut_variance = cavity_variance * (1.0 - second).max(1e-6);
    let term_precision = (1.0 / cut_variance - precision).max(0.0);
    Term { precision: term_precision, pull: cut_mean / cut_variance - cavity_mean * precision }
}

/// The term that stands for a reading in an interval, given that it is normal about `mean` by
/// everything else: moments of the doubly truncated normal (textbook; ends may be infinite).
pub fn inside(mean: f64, variance: f64, within: Interval) -> Term {
    let sd = variance.sqrt();
    let (a, b) = ((within.low - mean) / sd, (within.high - mean) / sd);
    // The nearer tail, so that no difference of two ones is taken.
    let (first, narrowed) = if a + b > 0.0 { cut(a, b) } else { mirrored(cut(-b, -a)) };
    let precision = (1.0 / narrowed - 1.0).max(LEAST) / variance;
    let cut_mean = mean + sd * first;
    let total = precision + 1.0 / variance;
    Term { precision, pull: cut_mean * total - mean / variance }
}

/// A reading that says less than this, of what everything else does, says nothing.
const LEAST: f64 = 1e-6;

fn mirrored((first, narrowed): (f64, f64)) -> (f64, f64) {
    (-first, narrowed)
}

/// Mean and variance of a standard normal between `a` and `b`, whose middle is not below zero.
fn cut(a: f64, b: f64) -> (f64, f64) {
    let mass = below(-a) - below(-b);
    if mass < 1e-250 {
        // So far out that all of it lies at the near end.
        return (a, (1.0 / (a * a)).min(1.0));
    }
    let weighed = |z: f64| if z.is_finite() { z * density(z) } else { 0.0 };
    let first = (density(a) - density(b)) / mass;
    let width = (b - a).min(1e3);
    let narrowed = 1.0 + (weighed(a) - weighed(b)) / mass - first * first;
    // Narrow ones are rectangular; of a difference of ones nothing would be left.
    if width < 1e-3 { ((a + b) / 2.0, width * width / 12.0) } else { (first, narrowed.clamp(1e-9, 1.0)) }
}

/// The normal hazard `phi(z)/Phi(z)` and `h (z + h)`, by which a cut at zero
/// moves the mean and narrows the variance of a normal at `z` sd above it.
fn hazard(z: f64) -> (f64, f64) {
    let h = if z < -25.0 {
        // Two terms of the asymptotic series.
        let u = -z;
        u + 1.0 / u - 2.0 / (u * u * u)
    } else {
        density(z) / below(z)
    };
    (h, h * (z + h))
}

/// How a reading of zero, 'no daylight', is weighed: a normal noise that was
/// cut off at zero gives `Phi(-c/sd)` as the likelihood of clearance c. For
/// c >= 0 that is, within 3 %, a Gaussian about -1.08 sd with 1.16 sd
/// (fitted here; a test checks it). Returns centre and sd in units of the reading's sd.
pub const ZERO_READING: (f64, f64) = (-1.08, 1.162);
