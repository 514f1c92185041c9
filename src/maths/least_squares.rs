//! Weighted linear least squares that keeps its digits and knows its limits.
//!
//! `min |W (b - A x)|` with `W = diag(1 / sd)`. The columns are scaled by
//! powers of two (which rounds nothing), factored by Householder QR with
//! column pivoting, and the answer is refined on the augmented system
//!
//! ```text
//! r + A x = f,   A' r = g
//! ```
//!
//! with residuals summed [twofold](crate::maths::twofold) (Å. Björck, BIT 7,
//! 1967; N. J. Higham, Accuracy and Stability of Numerical Algorithms, ch. 20;
//! from memory). The rank is read from the singular values of the scaled
//! matrix.
//!
//! **Why `Option`s?** Where columns depend on one another, some unknowns, and
//! some sums of unknowns, are not determined by the data. For those there is no
//! number to return; the others keep their values. [`Solution::undetermined`]
//! holds the directions in which the unknowns may drift unseen, so that a
//! caller can say in words what can't be known.
//!
//! **Why two standard deviations?** Those of a [`Solution`] take the stated
//! `sd` as true. [`Solution::scaled_by_residuals`] lets the scatter of the
//! residuals set the size of the errors instead.

use super::twofold::Sum;
use nalgebra::{ColPivQR, DMatrix, DVector};

/// A combination of unknowns counts as undetermined when more than this share
/// of it lies along an undetermined direction.
const UNDETERMINED: f64 = 1e-8;

/// Refinement stops by itself, mostly after two steps; this bounds it.
const MAX_STEPS: usize = 8;

/// Why there is no solution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// The matrix is empty, or its rows don't match the right side or the sds.
    #[error("matrix, right side and standard deviations differ in length, or there are none")]
    Shape,
    /// An entry of the matrix or the right side is NaN or infinite.
    #[error("row {row} holds a value that is not a finite number")]
    NotFinite {
        /// Row, counted from 0.
        row: usize,
    },
    /// A standard deviation is NaN, zero or negative.
    #[error("the standard deviation of row {row} is not above zero")]
    BadSd {
        /// Row, counted from 0.
        row: usize,
    },
}

/// The least-squares solution of m rows in n unknowns.
#[derive(Debug, Clone)]
pub struct Solution {
    /// `b - A x`, m, in the units of `b`, unweighted.
    pub residuals: DVector<f64>,
    /// Sum of the squared residuals, each divided by its sd.
    pub chi_squared: f64,
    /// Rows in use (of finite sd) less the rank.
    pub dof: usize,
    /// How many combinations of unknowns the data determine.
    pub rank: usize,
    /// Largest over smallest singular value of the weighted, column-scaled
    /// matrix, over the part that is determined; 1 when nothing is.
    pub condition: f64,
    /// n by (n - rank): along each column the unknowns may drift without
    /// changing the fit. One unknown drifts by 1; the others follow it.
    pub undetermined: DMatrix<f64>,
    /// Values with the drifting unknowns held at 0: true for what is determined.
    basic: DVector<f64>,
    /// n by rank, `spread spread'` is the covariance of `basic`.
    spread: DMatrix<f64>,
}

impl Solution {
    /// All unknowns, when all are determined.
    pub fn estimates(&self) -> Option<&DVector<f64>> {
        (self.undetermined.ncols() == 0).then_some(&self.basic)
    }

    /// Covariance of the unknowns, n by n, when all are determined.
    pub fn covariance(&self) -> Option<DMatrix<f64>> {
        self.estimates().map(|_| &self.spread * self.spread.transpose())
    }

    /// Value and standard deviation of unknown `j`; `None` when the data don't
    /// determine it, or there is no such unknown.
    pub fn value(&self, j: usize) -> Option<(f64, f64)> {
        let n = self.basic.len();
        (j < n)
            .then(|| DVector::from_fn(n, |i, _| f64::from(u8::from(i == j))))
            .and_then(|row| self.predict(&row))
    }

    /// Value and standard deviation of `row . x`, the uncertainty of the fit
    /// alone; `None` when the data don't determine it or `row` is not n long.
    pub fn predict(&self, row: &DVector<f64>) -> Option<(f64, f64)> {
        if row.len() != self.basic.len() || !self.determines(row) {
            return None;
        }
        Some((dot(row, &self.basic), self.spread.tr_mul(row).norm()))
    }

    /// Whether the data determine `row . x`, `row` being n long.
    pub fn determines(&self, row: &DVector<f64>) -> bool {
        self.undetermined.column_iter().all(|drift| {
            let parts = row.component_mul(&drift);
            parts.sum().abs() <= UNDETERMINED * parts.amax()
        })
    }

    /// Standard deviation of a row of unit weight, from the scatter of the
    /// residuals; with `sd` left out, that of the residuals. `None` without
    /// degrees of freedom.
    pub fn residual_sd(&self) -> Option<f64> {
        (self.dof > 0).then(|| (self.chi_squared / self.dof as f64).sqrt())
    }

    /// The same solution with its standard deviations multiplied by
    /// [`Solution::residual_sd`]; `None` without degrees of freedom.
    pub fn scaled_by_residuals(mut self) -> Option<Solution> {
        self.spread *= self.residual_sd()?;
        Some(self)
    }
}

/// Solves the m by n system `a x = b` by least squares, each row with the
/// standard deviation `sd` (1 where left out). An infinite sd leaves its row
/// out; m may be smaller than n.
///
/// # Errors
/// [`Error`], on shapes that don't match, NaN, and standard deviations that are
/// not above zero. Columns that depend on one another are no error: see
/// [`Solution::undetermined`].
pub fn solve(a: &DMatrix<f64>, b: &DVector<f64>, sd: Option<&DVector<f64>>) -> Result<Solution, Error> {
    check(a, b, sd)?;
    let weight = |i: usize| sd.map_or(1.0, |sd| 1.0 / sd[i]);
    let weighted = DMatrix::from_fn(a.nrows(), a.ncols(), |i, j| a[(i, j)] * weight(i));
    let target = DVector::from_fn(b.len(), |i, _| b[i] * weight(i));
    let factor = Factor::of(&weighted);
    let basic = factor.unscaled(&factor.solve(&target));
    let residuals = residual(a, b, None, &basic);
    let used = (0..b.len()).filter(|i| weight(*i) > 0.0).count();
    let squares = residuals.iter().enumerate();
    Ok(Solution {
        chi_squared: squares.map(|(i, r)| (r * weight(i)).powi(2)).sum(),
        residuals,
        dof: used.saturating_sub(factor.rank()),
        rank: factor.rank(),
        condition: factor.condition,
        undetermined: factor.drifts(),
        spread: factor.spread(),
        basic,
    })
}

fn check(a: &DMatrix<f64>, b: &DVector<f64>, sd: Option<&DVector<f64>>) -> Result<(), Error> {
    if a.is_empty() || a.nrows() != b.len() || sd.is_some_and(|sd| sd.len() != b.len()) {
        return Err(Error::Shape);
    }
    let finite = |i: &usize| b[*i].is_finite() && a.row(*i).iter().all(|v| v.is_finite());
    if let Some(row) = (0..b.len()).find(|i| !finite(i)) {
        return Err(Error::NotFinite { row });
    }
    let bad = sd.and_then(|sd| sd.iter().position(|v| v.is_nan() || *v <= 0.0));
    bad.map_or(Ok(()), |row| Err(Error::BadSd { row }))
}

/// `b - r - A x`, summed twofold.
fn residual(a: &DMatrix<f64>, b: &DVector<f64>, r: Option<&DVector<f64>>, x: &DVector<f64>) -> DVector<f64> {
    let mut sums: Vec<Sum> = b.iter().map(|b| Sum::new(*b)).collect();
    if let Some(r) = r {
        sums.iter_mut().zip(r.iter()).for_each(|(sum, r)| sum.add(-r));
    }
    for (column, x) in a.column_iter().zip(x.iter()) {
        sums.iter_mut().zip(column.iter()).for_each(|(sum, a)| sum.add_product(-a, *x));
    }
    DVector::from_iterator(b.len(), sums.into_iter().map(Sum::value))
}

fn dot(a: &DVector<f64>, b: &DVector<f64>) -> f64 {
    let mut sum = Sum::default();
    a.iter().zip(b.iter()).for_each(|(a, b)| sum.add_product(*a, *b));
    sum.value()
}

/// Column-scaled QR of the columns that are independent, in pivot order.
struct Factor {
    /// The kept columns, scaled, m by rank.
    a: DMatrix<f64>,
    q: DMatrix<f64>,
    r: DMatrix<f64>,
    /// What the dropped columns are made of: `a[dropped] = a[kept] * follows`.
    follows: DMatrix<f64>,
    /// All columns, the kept ones first.
    pivots: Vec<usize>,
    /// One a column, a power of two.
    scale: Vec<f64>,
    condition: f64,
}

impl Factor {
    fn of(weighted: &DMatrix<f64>) -> Factor {
        let (m, n) = weighted.shape();
        let scale: Vec<f64> = weighted.column_iter().map(|c| shrink(c.amax())).collect();
        let scaled =
            DMatrix::from_fn(m.max(n), n, |i, j| if i < m { weighted[(i, j)] * scale[j] } else { 0.0 });
        let qr = ColPivQR::new(scaled.clone());
        let r = qr.r();
        let (rank, condition) = rank(&r, m);
        let mut order = DMatrix::from_fn(1, n, |_, j| j as f64);
        qr.p().permute_columns(&mut order);
        let pivots: Vec<usize> = order.iter().map(|j| *j as usize).collect();
        let top = r.view((0, 0), (rank, rank)).into_owned();
        let rest = r.view((0, rank), (rank, n - rank));
        Factor {
            a: DMatrix::from_fn(m, rank, |i, j| scaled[(i, pivots[j])]),
            q: qr.q().view((0, 0), (m, rank)).into_owned(),
            follows: top.solve_upper_triangular_unchecked(&rest),
            r: top,
            pivots,
            scale,
            condition,
        }
    }

    fn rank(&self) -> usize {
        self.r.ncols()
    }

    /// The kept unknowns, scaled, refined until the steps no longer shrink.
    fn solve(&self, target: &DVector<f64>) -> DVector<f64> {
        let mut x = DVector::zeros(self.rank());
        let mut r = DVector::zeros(target.len());
        let mut last = f64::INFINITY;
        for _ in 0..MAX_STEPS {
            let f = residual(&self.a, target, Some(&r), &x);
            let g = self.a.column_iter().map(|a| -dot(&a.into_owned(), &r));
            let g = DVector::from_iterator(self.rank(), g);
            let (dx, dr) = self.augmented(&f, g);
            if dx.norm() > 0.5 * last {
                break;
            }
            last = dx.norm();
            x += dx;
            r += dr;
            if last <= 0.25 * f64::EPSILON * x.norm() {
                break;
            }
        }
        x
    }

    /// `dr + A dx = f`, `A' dr = g`.
    fn augmented(&self, f: &DVector<f64>, g: DVector<f64>) -> (DVector<f64>, DVector<f64>) {
        let h = self.r.tr_solve_upper_triangular_unchecked(&g);
        let inside = self.q.tr_mul(f);
        let dx = self.r.solve_upper_triangular_unchecked(&(&inside - &h));
        (dx, f + &self.q * (h - inside))
    }

    /// From kept and scaled unknowns to all of them, in the caller's units.
    fn unscaled(&self, kept: &DVector<f64>) -> DVector<f64> {
        let mut x = DVector::zeros(self.pivots.len());
        for (value, j) in kept.iter().zip(&self.pivots) {
            x[*j] = value * self.scale[*j];
        }
        x
    }

    fn spread(&self) -> DMatrix<f64> {
        let identity = DMatrix::identity(self.rank(), self.rank());
        let inverse = self.r.solve_upper_triangular_unchecked(&identity);
        let mut spread = DMatrix::zeros(self.pivots.len(), self.rank());
        for (row, j) in inverse.row_iter().zip(&self.pivots) {
            spread.set_row(*j, &(row * self.scale[*j]));
        }
        spread
    }

    fn drifts(&self) -> DMatrix<f64> {
        let (n, rank) = (self.pivots.len(), self.rank());
        let mut drifts = DMatrix::zeros(n, n - rank);
        for (c, mut drift) in drifts.column_iter_mut().enumerate() {
            let free = self.pivots[rank + c];
            drift[free] = 1.0;
            let follows = self.follows.column(c);
            // What is left of rounding would read as a dependence.
            let noise = UNDETERMINED * follows.amax().min(1.0);
            for (value, j) in follows.iter().zip(&self.pivots) {
                if value.abs() > noise {
                    drift[*j] = -value * self.scale[*j] / self.scale[free];
                }
            }
        }
        drifts
    }
}

/// The power of two that brings `size` near 1; 1 for a column of zeros.
fn shrink(size: f64) -> f64 {
    if size > 0.0 { (-size.log2().round()).exp2() } else { 1.0 }
}

/// Rank and condition from the singular values of the triangle.
fn rank(r: &DMatrix<f64>, rows: usize) -> (usize, f64) {
    let values = r.singular_values();
    let largest = values.amax();
    let floor = f64::EPSILON * rows.max(r.ncols()) as f64 * largest;
    let kept = values.iter().filter(|v| **v > floor);
    let smallest = kept.clone().fold(f64::INFINITY, |a, b| a.min(*b));
    let rank = kept.count();
    let condition = if rank == 0 { 1.0 } else { largest / smallest };
    (rank, condition)
}
