//! The minimum of a smooth function of a few variables, by L-BFGS (argmin).
//!
//! Variables should be scaled to where the function changes by about one over one. What is found
//! moves as smoothly as the function does: a search that only compares values ends on another path
//! when a value changes in its last digit (Nocedal and Wright, Numerical Optimization, chapter 7:
//! from memory).

use std::cell::{Cell, RefCell};

use argmin::core::{CostFunction, Error, Executor, Gradient};
use argmin::solver::linesearch::MoreThuenteLineSearch;
use argmin::solver::quasinewton::LBFGS;
use nalgebra::SVector;

/// The slope at which the minimum is reached.
const LEVEL: f64 = 1e-3;
/// Steps back that are remembered, and steps at most.
const REMEMBERED: usize = 4;
const MOST: u64 = 12;
/// Looks at the function along all lines together: a line search that finds no end has one.
const LOOKS: u32 = 60;

/// A function's value at a place, and its slopes there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Looked<const N: usize> {
    /// Its value.
    pub value: f64,
    /// Its derivatives by the variables.
    pub slope: SVector<f64, N>,
}

/// The variables at the minimum next to `start`; where the function is not finite, the lowest place
/// at which it was.
pub fn minimum<const N: usize>(
    look: impl Fn(&SVector<f64, N>) -> Option<Looked<N>>,
    start: SVector<f64, N>,
) -> SVector<f64, N> {
    let lowest = Cell::new((f64::INFINITY, start));
    let solver = LBFGS::new(MoreThuenteLineSearch::new(), REMEMBERED).with_tolerance_grad(LEVEL);
    let Ok(solver) = solver.and_then(|s| s.with_tolerance_cost(LEVEL * LEVEL)) else { return start };
    let from = start.as_slice().to_vec();
    let seen = Seen { look, lowest: &lowest, last: RefCell::new(None), looks: Cell::new(0) };
    // Where a line leads nowhere the search ends; the lowest place was noted on the way. A browser
    // has no clock that could time it.
    let _ended = Executor::new(seen, solver).configure(|s| s.param(from).max_iters(MOST)).timer(false).run();
    lowest.get().1
}

/// A function as it is looked at: value and slopes at a place cost one look.
struct Seen<'a, F, const N: usize> {
    look: F,
    /// The lowest value met, and where.
    lowest: &'a Cell<(f64, SVector<f64, N>)>,
    last: RefCell<Option<(SVector<f64, N>, Looked<N>)>>,
    looks: Cell<u32>,
}

impl<F: Fn(&SVector<f64, N>) -> Option<Looked<N>>, const N: usize> Seen<'_, F, N> {
    fn at(&self, place: &[f64]) -> Result<Looked<N>, Error> {
        let place = SVector::from_column_slice(place);
        if let Some((_, looked)) = self.last.borrow().as_ref().filter(|(last, _)| *last == place) {
            return Ok(*looked);
        }
        self.looks.set(self.looks.get() + 1);
        let finite =
            |looked: &Looked<N>| looked.value.is_finite() && looked.slope.iter().all(|s| s.is_finite());
        let looked =
            Some(place).filter(|_| self.looks.get() <= LOOKS).and_then(|p| (self.look)(&p)).filter(finite);
        let looked = looked.ok_or_else(|| Error::msg("no way down from here"))?;
        if looked.value < self.lowest.get().0 {
            self.lowest.set((looked.value, place));
        }
        *self.last.borrow_mut() = Some((place, looked));
        Ok(looked)
    }
}

impl<F: Fn(&SVector<f64, N>) -> Option<Looked<N>>, const N: usize> CostFunction for Seen<'_, F, N> {
    type Param = Vec<f64>;
    type Output = f64;

    fn cost(&self, at: &Vec<f64>) -> Result<f64, Error> {
        Ok(self.at(at)?.value)
    }
}

impl<F: Fn(&SVector<f64, N>) -> Option<Looked<N>>, const N: usize> Gradient for Seen<'_, F, N> {
    type Param = Vec<f64>;
    type Gradient = Vec<f64>;

    fn gradient(&self, at: &Vec<f64>) -> Result<Vec<f64>, Error> {
        Ok(self.at(at)?.slope.as_slice().to_vec())
    }
}
