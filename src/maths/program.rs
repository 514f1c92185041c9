//! A small convex program: few unknowns, many one-sided rows.
//!
//! Minimises over `x`
//!
//! ```text
//! 1/2 x'Hx + g'x + sum_j w_j max(0, a_j'x - b_j)
//! ```
//!
//! A row of infinite weight is hard: `a_j'x <= b_j`. Seating a rib and finding the next slice
//! are both of this kind, with six unknowns and a few rows a station. At the minimum
//! `Hx + g + sum_j lambda_j a_j = 0`, where the multiplier `lambda_j` lies in `[0, w_j]`: 0 where
//! the row has slack, `w_j` where it is exceeded (the conditions of Karush, Kuhn and Tucker).
//!
//! [`Program::minimise`] starts from nothing (the active set);
//! a [`Tracker`](super::simplex::Tracker) follows the minimum as right sides change.

use nalgebra::{DMatrix, DVector};

use super::active_set;

/// A convex program; see the module's documentation.
#[derive(Debug, Clone)]
pub struct Program {
    /// `H`: symmetric, positive definite, m by m.
    pub h: DMatrix<f64>,
    /// `g`: linear cost, m.
    pub g: DVector<f64>,
    /// `b`: right sides, one a row.
    pub sides: Vec<f64>,
    /// `w`: cost of one unit beyond the right side, one a row; infinite where that is forbidden.
    pub weights: Vec<f64>,
    /// `a`: coefficients.
    pub(super) rows: Rows,
}

/// The minimum of a [`Program`].
#[derive(Debug, Clone)]
pub struct Minimum {
    /// The unknowns.
    pub x: DVector<f64>,
    /// One multiplier a row, between 0 and its weight: what one unit more of its right side
    /// would save.
    pub multipliers: Vec<f64>,
}

/// Why no minimum was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Failure {
    /// The hard rows contradict each other.
    #[error("no point satisfies all hard rows")]
    Infeasible,
    /// The cost is not strictly convex, so that it may fall without end.
    #[error("the cost has no single lowest point")]
    NoMinimum,
    /// Sizes too unlike each other: rounding took the way.
    #[error("the numbers are too unlike in size, and rounding took the answer")]
    LostPrecision,
    /// A coefficient is not a finite number.
    #[error("a coefficient is not a finite number")]
    NotFinite,
}

impl Program {
    /// A program in `m` unknowns without cost or rows.
    pub fn new(m: usize) -> Program {
        Program {
            h: DMatrix::zeros(m, m),
            g: DVector::zeros(m),
            sides: Vec::new(),
            weights: Vec::new(),
            rows: Rows::new(m),
        }
    }

    /// Adds a row that may not be exceeded: `a'x <= b`.
    pub fn hard(&mut self, a: &[f64], b: f64) {
        self.soft(a, b, f64::INFINITY);
    }

    /// Adds a row that costs `weight` for each unit of `a'x` beyond `b`.
    pub fn soft(&mut self, a: &[f64], b: f64, weight: f64) {
        self.rows.push(a);
        self.sides.push(b);
        self.weights.push(weight);
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.sides.len()
    }

    /// Whether there are no rows.
    pub fn is_empty(&self) -> bool {
        self.sides.is_empty()
    }

    /// Coefficients of a row.
    pub fn row(&self, j: usize) -> Vec<f64> {
        self.rows.row(j).collect()
    }

    /// How far each row is exceeded at `x`: `a'x - b`, negative where there is slack.
    pub fn excess(&self, x: &[f64]) -> Vec<f64> {
        let mut excess = Vec::new();
        self.rows.times(x, &mut excess);
        excess.iter_mut().zip(&self.sides).for_each(|(e, b)| *e -= b);
        excess
    }

    /// Cost at `x`, hard rows left out.
    pub fn cost(&self, x: &DVector<f64>) -> f64 {
        let smooth = 0.5 * x.dot(&(&self.h * x)) + self.g.dot(x);
        let excess = self.excess(x.as_slice());
        let soft = excess.iter().zip(&self.weights).filter(|(_, w)| w.is_finite());
        smooth + soft.map(|(e, w)| w * e.max(0.0)).sum::<f64>()
    }

    /// Finds the minimum, the unknowns to about 1e-9 where `H` is well conditioned.
    ///
    /// # Errors
    /// [`Failure`], each of its kinds.
    pub fn minimise(&self) -> Result<Minimum, Failure> {
        let rows = self.sides.iter().chain(&self.rows.a).all(|v| v.is_finite());
        let smooth = self.h.iter().chain(self.g.iter()).all(|v| v.is_finite());
        let weights = self.weights.iter().all(|w| *w >= 0.0);
        if rows && smooth && weights { active_set::minimise(self) } else { Err(Failure::NotFinite) }
    }
}

/// Rows that are looked at together: one coefficient of each lies side by side.
const LANES: usize = 8;

/// Rows of coefficients in groups of [`LANES`], so that a look through all of them is a few
/// vector operations a group.
#[derive(Debug, Clone)]
pub(super) struct Rows {
    m: usize,
    count: usize,
    a: Vec<f64>,
}

impl Rows {
    fn new(m: usize) -> Rows {
        Rows { m, count: 0, a: Vec::new() }
    }

    fn push(&mut self, row: &[f64]) {
        debug_assert_eq!(row.len(), self.m);
        let lane = self.count % LANES;
        if lane == 0 {
            self.a.resize(self.a.len() + self.m * LANES, 0.0);
        }
        let group = self.a.len() - self.m * LANES;
        row.iter().enumerate().for_each(|(c, v)| self.a[group + c * LANES + lane] = *v);
        self.count += 1;
    }

    /// The coefficients of one row.
    pub(super) fn row(&self, j: usize) -> impl Iterator<Item = f64> {
        let first = j / LANES * LANES * self.m + j % LANES;
        (0..self.m).map(move |c| self.a[first + c * LANES])
    }

    /// `a_j'x` of every row.
    pub(super) fn times(&self, x: &[f64], out: &mut Vec<f64>) {
        out.clear();
        for group in self.a.chunks_exact(self.m.max(1) * LANES) {
            let mut sums = [0.0; LANES];
            for (lanes, x) in group.chunks_exact(LANES).zip(x) {
                sums.iter_mut().zip(lanes).for_each(|(s, a)| *s += a * x);
            }
            out.extend_from_slice(&sums);
        }
        out.resize(self.count, 0.0);
    }

    /// The squared length of each row.
    pub(super) fn squares(&self) -> Vec<f64> {
        (0..self.count).map(|j| self.row(j).map(|v| v * v).sum()).collect()
    }

    /// `l^-1 a_j` in place of each row, with `upper` the transpose of a lower triangular `l`.
    pub(super) fn solved(&self, upper: &DMatrix<f64>) -> Rows {
        let mut solved = self.clone();
        for group in solved.a.chunks_exact_mut(self.m.max(1) * LANES) {
            for c in 0..self.m {
                let (done, rest) = group.split_at_mut(c * LANES);
                let l = upper.column(c);
                let mut sums = [0.0; LANES];
                for (lanes, l) in done.chunks_exact(LANES).zip(l.iter()) {
                    sums.iter_mut().zip(lanes).for_each(|(s, v)| *s += l * v);
                }
                rest.iter_mut().zip(sums).for_each(|(v, s)| *v = (*v - s) / l[c]);
            }
        }
        solved
    }
}
