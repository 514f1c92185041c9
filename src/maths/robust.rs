//! Fits that a few wrong values can't bend: iteratively reweighted least
//! squares with the weights of Huber and of Tukey's bisquare.
//!
//! `min sum rho(r_i / (s sd_i))`. A row counts with weight 1 while its residual
//! is small, with less the further it is off; the bisquare drops it altogether
//! beyond `c`. The usual tuning (95 % as efficient as least squares on clean
//! normal errors) is [`Loss::HUBER`] and [`Loss::BISQUARE`] (P. J. Huber, Robust
//! Statistics, 1981; A. E. Beaton and J. W. Tukey, Technometrics 16(2), 1974;
//! from memory). The scale `s` is the median absolute residual, taken about
//! zero, over 0.6745, so that it equals the standard deviation of normal errors.

use super::least_squares::{self, Error, Solution};
use nalgebra::{DMatrix, DVector};

/// Median absolute value of a standard normal variable.
pub const NORMAL_MEDIAN: f64 = 0.674_489_750_196_081_7;

const MAX_ROUNDS: usize = 500;

/// Residuals have settled when none changes by more than this share of the scale.
const SETTLED: f64 = 1e-13;

/// How weight falls off with a residual's size, in units of its scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Loss {
    /// Weight `min(1, k/|u|)`: convex, one answer wherever it starts.
    Huber(f64),
    /// Weight `(1 - (u/c)^2)^2`, none beyond c: starts from least squares, and
    /// may settle in a valley of its own.
    Bisquare(f64),
}

impl Loss {
    /// Huber's weights with k = 1.345.
    pub const HUBER: Loss = Loss::Huber(1.345);
    /// Tukey's bisquare with c = 4.685.
    pub const BISQUARE: Loss = Loss::Bisquare(4.685);

    /// Weight, 0 to 1, of a row whose residual is `u` scales off.
    pub fn weight(self, u: f64) -> f64 {
        match self {
            Loss::Huber(k) if u.abs() <= k => 1.0,
            Loss::Huber(k) => k / u.abs(),
            Loss::Bisquare(c) if u.abs() >= c => 0.0,
            Loss::Bisquare(c) => (1.0 - (u / c).powi(2)).powi(2),
        }
    }
}

/// What a residual is measured by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Scale {
    /// From the residuals themselves: median absolute residual over 0.6745.
    Median,
    /// Known beforehand, above zero; 1 when `sd` states the errors fully.
    Known(f64),
}

/// A robust fit.
#[derive(Debug, Clone)]
pub struct Fit {
    /// The weighted least-squares solution with the final weights.
    pub solution: Solution,
    /// One weight a row, 0 to 1: the rows with small ones are suspect.
    pub weights: Vec<f64>,
    /// The scale `s`, in units of `sd`; 0 when more than half of the rows fit
    /// exactly, and only those then count.
    pub scale: f64,
    /// False when the weights had not settled after 500 rounds.
    pub settled: bool,
}

/// Fits the m by n system `a x = b` with standard deviations `sd` (1 where left
/// out), weighting rows by `loss`.
///
/// # Errors
/// As [`least_squares::solve`].
pub fn fit(
    a: &DMatrix<f64>,
    b: &DVector<f64>,
    sd: Option<&DVector<f64>>,
    loss: Loss,
    scale: Scale,
) -> Result<Fit, Error> {
    let sd = sd.map_or_else(|| DVector::repeat(b.len(), 1.0), Clone::clone);
    let mut solution = least_squares::solve(a, b, Some(&sd))?;
    let mut off = solution.residuals.component_div(&sd);
    let exact = 1e-14 * b.component_div(&sd).amax();
    for _ in 0..MAX_ROUNDS {
        let size = scale.of(&off, exact);
        let weights = weights(&off, size, exact, loss);
        let widened = DVector::from_fn(b.len(), |i, _| sd[i] / weights[i].sqrt());
        solution = least_squares::solve(a, b, Some(&widened))?;
        let next = solution.residuals.component_div(&sd);
        let change = (&next - &off).amax();
        off = next;
        if size == 0.0 || change <= SETTLED * size {
            return Ok(Fit { solution, weights, scale: size, settled: true });
        }
    }
    let scale = scale.of(&off, exact);
    let weights = weights(&off, scale, exact, loss);
    Ok(Fit { solution, weights, scale, settled: false })
}

impl Scale {
    /// `exact` is the size below which a residual is rounding.
    fn of(self, off: &DVector<f64>, exact: f64) -> f64 {
        match self {
            Scale::Known(scale) => scale,
            Scale::Median => match median(off.iter().map(|v| v.abs()).collect()) {
                size if size <= exact => 0.0,
                size => size / NORMAL_MEDIAN,
            },
        }
    }
}

fn weights(off: &DVector<f64>, scale: f64, exact: f64, loss: Loss) -> Vec<f64> {
    let weight = |off: &f64| match scale {
        // The limit of either loss as the scale goes to zero.
        0.0 => f64::from(u8::from(off.abs() <= exact)),
        scale => loss.weight(off / scale),
    };
    off.iter().map(weight).collect()
}

/// The middle value, or the mean of the middle two; 0 of nothing.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[half],
        _ => 0.5 * (values[half - 1] + values[half]),
    }
}
