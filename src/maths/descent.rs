//! The minimum of a smooth function of a few variables, by L-BFGS (argmin) on differences.
//!
//! Slopes are central differences over a step of 0.05, so variables should be scaled to where the
//! function changes by about one over one. What is found moves as smoothly as the function does: a
//! search that only compares values ends on another path when a value changes in its last digit
//! (Nocedal and Wright, Numerical Optimization, chapter 7: from memory).

use std::cell::Cell;

use argmin::core::{CostFunction, Error, Executor, Gradient};
use argmin::solver::linesearch::MoreThuenteLineSearch;
use argmin::solver::quasinewton::LBFGS;
use nalgebra::SVector;

/// Over which differences are taken.
const STEP: f64 = 0.05;
/// The slope at which the minimum is reached.
const LEVEL: f64 = 1e-3;
/// Steps back that are remembered, and steps at most.
const REMEMBERED: usize = 4;
const MOST: u64 = 12;

/// Looks at the function along all lines together: a line search that finds no end has one.
const LOOKS: u32 = 60;

/// The variables at the minimum next to `start`; where the function is not finite, the lowest place
/// at which it was.
pub fn minimum<const N: usize>(
    f: impl Fn(&SVector<f64, N>) -> f64,
    start: SVector<f64, N>,
) -> SVector<f64, N> {
    let lowest = Cell::new((f64::INFINITY, start));
    let solver = LBFGS::new(MoreThuenteLineSearch::new(), REMEMBERED).with_tolerance_grad(LEVEL);
    let Ok(solver) = solver.and_then(|s| s.with_tolerance_cost(LEVEL * LEVEL)) else { return start };
    let from = start.as_slice().to_vec();
    let sampled = Sampled { f, lowest: &lowest, looks: Cell::new(0) };
    // Where a line leads nowhere the search ends; the lowest place was noted on the way.
    let _ended = Executor::new(sampled, solver).configure(|s| s.param(from).max_iters(MOST)).run();
    lowest.get().1
}

/// A function by its values.
struct Sampled<'a, F, const N: usize> {
    f: F,
    /// The lowest value met, and where.
    lowest: &'a Cell<(f64, SVector<f64, N>)>,
    looks: Cell<u32>,
}

impl<F: Fn(&SVector<f64, N>) -> f64, const N: usize> CostFunction for Sampled<'_, F, N> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, at: &Vec<f64>) -> Result<f64, Error> {
        let at = SVector::from_column_slice(at);
        let value = (self.f)(&at);
        self.looks.set(self.looks.get() + 1);
        if !value.is_finite() || self.looks.get() > LOOKS {
            return Err(Error::msg("no way down from here"));
        }
        if value < self.lowest.get().0 {
            self.lowest.set((value, at));
        }
        Ok(value)
    }
}

impl<F: Fn(&SVector<f64, N>) -> f64, const N: usize> Gradient for Sampled<'_, F, N> {
    type Param = Vec<f64>;
    type Gradient = Vec<f64>;

    fn gradient(&self, at: &Vec<f64>) -> Result<Vec<f64>, Error> {
        let at = SVector::<f64, N>::from_column_slice(at);
        let along = |k: usize| SVector::<f64, N>::from_fn(|i, _| if i == k { STEP } else { 0.0 });
        let slope = |k| ((self.f)(&(at + along(k))) - (self.f)(&(at - along(k)))) / (2.0 * STEP);
        let slopes: Vec<f64> = (0..N).map(slope).collect();
        match slopes.iter().all(|s| s.is_finite()) {
            true => Ok(slopes),
            false => Err(Error::msg("no slope here")),
        }
    }
}
