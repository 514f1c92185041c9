//! Gaussian estimates whose precision matrix is banded with a dense border.
//!
//! The inner unknowns come in blocks along a line (the stations); each block
//! is tied to the next one only. The border unknowns (poses, planes) are tied
//! to everything, but they are few. Cholesky in that order keeps the zeros:
//! with n blocks of size b and m border unknowns the cost is n b (b + m)^2,
//! linear in blocks. Covariances inside the band come from the recursion of
//! Takahashi, Fagan and Chin (1973; from memory), also linear.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::block_tridiagonal::{
    backward_border, backward_vector, factor_band, forward_border, forward_vector, inverse_band,
};
use super::{add_scaled, dot};

/// Shape of the unknowns: `blocks` blocks of `size`, then `border` more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// Number of blocks along the line.
    pub blocks: usize,
    /// Unknowns in a block.
    pub size: usize,
    /// Unknowns tied to all blocks.
    pub border: usize,
}

impl Shape {
    pub(super) fn inner(&self) -> usize {
        self.blocks * self.size
    }

    /// Entries of a stored band row: the row's own block and the one before.
    pub(super) fn band(&self) -> usize {
        2 * self.size
    }
}

/// Values of the unknowns: those of the blocks, and those of the border.
pub type Values = (Vec<f64>, DVector<f64>);

/// A linear functional of one block and the border: `offset + h'x`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Functional {
    /// The block it looks at.
    pub block: usize,
    /// Coefficients inside the block: place, value.
    pub inner: Vec<(usize, f64)>,
    /// Coefficients in the border: place, value.
    pub border: Vec<(usize, f64)>,
    /// Value at x = 0.
    pub offset: f64,
}

impl Functional {
    /// Its inner coefficients by row, times a factor.
    fn rows(&self, shape: Shape, factor: f64) -> impl Iterator<Item = (usize, f64)> {
        let first = self.block * shape.size;
        self.inner.iter().map(move |&(place, h)| (first + place, factor * h))
    }
}

/// An information matrix and vector being gathered.
#[derive(Debug, Clone)]
pub struct Information {
    pub(super) shape: Shape,
    /// Row r holds the entries at columns of the block before and of its own block.
    pub(super) band: Vec<f64>,
    pub(super) border: Vec<f64>,
    /// Its lower triangle, which is all that the factor reads.
    pub(super) corner: DMatrix<f64>,
    pub(super) inner_rhs: Vec<f64>,
    pub(super) border_rhs: DVector<f64>,
}

impl Information {
    /// Nothing known yet.
    pub fn new(shape: Shape) -> Information {
        Information {
            shape,
            band: vec![0.0; shape.inner() * shape.band()],
            border: vec![0.0; shape.inner() * shape.border],
            corner: DMatrix::zeros(shape.border, shape.border),
            inner_rhs: vec![0.0; shape.inner()],
            border_rhs: DVector::zeros(shape.border),
        }
    }

    /// Adds `weight` at two inner places, which lie in the same or in adjacent blocks.
    pub fn add_inner(&mut self, row: usize, column: usize, weight: f64) {
        let (row, column) = (row.max(column), row.min(column));
        let start = self.shape.band_start(row);
        self.band[row * self.shape.band() + column - start] += weight;
    }

    /// Adds `weight` to the precision of one border unknown.
    pub fn add_border(&mut self, place: usize, weight: f64) {
        self.corner[(place, place)] += weight;
    }

    /// Adds `pull` to one border unknown: its prior mean times its prior precision.
    pub fn pull_border(&mut self, place: usize, pull: f64) {
        self.border_rhs[place] += pull;
    }

    /// Adds the observation `functional = value` with the given precision.
    pub fn add(&mut self, f: &Functional, value: f64, precision: f64) {
        self.add_raw(f, precision, precision * (value - f.offset));
    }

    /// Adds `precision h h'` to the matrix and `pull h` to the vector.
    pub fn add_raw(&mut self, f: &Functional, precision: f64, pull: f64) {
        let (first, m) = (f.block * self.shape.size, self.shape.border);
        for (k, &(place, h)) in f.inner.iter().enumerate() {
            let row = first + place;
            self.inner_rhs[row] += pull * h;
            for &(other, g) in &f.inner[..=k] {
                self.add_inner(row, first + other, precision * h * g);
            }
            for &(column, g) in &f.border {
                self.border[row * m + column] += precision * h * g;
            }
        }
        self.add_to_corner(&f.border, precision, pull);
    }

    /// Adds `precision h h'` to the matrix and `pull h` to the vector, with `h` that of `a f - b g`: two
    /// functionals of the same block or of adjacent ones, and of the same border places in one order.
    pub fn add_difference(
        &mut self,
        (a, f): (f64, &Functional),
        (b, g): (f64, &Functional),
        precision: f64,
        pull: f64,
    ) {
        let inner: Vec<(usize, f64)> = f.rows(self.shape, a).chain(g.rows(self.shape, -b)).collect();
        let border: Vec<(usize, f64)> =
            f.border.iter().zip(&g.border).map(|(&(p, h), &(_, k))| (p, a * h - b * k)).collect();
        let m = self.shape.border;
        for (k, &(row, h)) in inner.iter().enumerate() {
            self.inner_rhs[row] += pull * h;
            self.add_inner(row, row, precision * h * h);
            for &(other, g) in &inner[..k] {
                let twice = if other == row { 2.0 } else { 1.0 };
                self.add_inner(row, other, twice * precision * h * g);
            }
            border.iter().for_each(|&(column, g)| self.border[row * m + column] += precision * h * g);
        }
        self.add_to_corner(&border, precision, pull);
    }

    fn add_to_corner(&mut self, border: &[(usize, f64)], precision: f64, pull: f64) {
        for &(row, h) in border {
            self.border_rhs[row] += pull * h;
            for &(column, g) in border.iter().filter(|(column, _)| *column <= row) {
                self.corner[(row, column)] += precision * h * g;
            }
        }
    }

    /// Factors the matrix; `None` where it is not positive definite.
    pub fn factor(mut self) -> Option<Estimate> {
        let shape = self.shape;
        factor_band(&shape, &mut self.band)?;
        forward_border(&shape, &self.band, &mut self.border);
        let m = shape.border;
        let mut schur = self.corner;
        for row in self.border.chunks_exact(m.max(1)).filter(|_| m > 0) {
            for (c, &g) in row.iter().enumerate().filter(|(_, g)| **g != 0.0) {
                let below = &mut schur.as_mut_slice()[c * m + c..(c + 1) * m];
                below.iter_mut().zip(&row[c..]).for_each(|(s, r)| *s -= g * r);
            }
        }
        let schur = Cholesky::new(schur)?;
        Some(Estimate::solve(shape, self.band, self.border, schur, self.inner_rhs, self.border_rhs))
    }
}

impl Shape {
    /// First column stored for a row: where the block before begins.
    pub(super) fn band_start(&self, row: usize) -> usize {
        (row / self.size).saturating_sub(1) * self.size
    }
}

/// A Gaussian estimate: mean and, on demand, covariances and draws.
#[derive(Debug, Clone)]
pub struct Estimate {
    pub(super) shape: Shape,
    band: Vec<f64>,
    /// L^-1 times the border.
    border: Vec<f64>,
    schur: Cholesky<f64, Dyn>,
    /// Mean of the inner unknowns.
    pub inner: Vec<f64>,
    /// Mean of the border unknowns.
    pub outer: DVector<f64>,
    /// Information vector times mean.
    explained: f64,
}

impl Estimate {
    fn solve(
        shape: Shape,
        band: Vec<f64>,
        border: Vec<f64>,
        schur: Cholesky<f64, Dyn>,
        inner_rhs: Vec<f64>,
        border_rhs: DVector<f64>,
    ) -> Estimate {
        let m = shape.border;
        let mut y = inner_rhs.clone();
        forward_vector(&shape, &band, &mut y);
        let mut outer = border_rhs.clone();
        for (r, row) in border.chunks_exact(m.max(1)).enumerate().filter(|_| m > 0) {
            outer.as_mut_slice().iter_mut().zip(row).for_each(|(o, b)| *o -= b * y[r]);
        }
        schur.solve_mut(&mut outer);
        let mut e = Estimate { shape, band, border, schur, inner: y, outer, explained: 0.0 };
        let (mut inner, outer) = (std::mem::take(&mut e.inner), e.outer.clone());
        e.subtract_border(&mut inner, &outer);
        backward_vector(&e.shape, &e.band, &mut inner);
        let own: f64 = inner_rhs.iter().zip(&inner).map(|(a, b)| a * b).sum();
        e.explained = own + border_rhs.dot(&e.outer);
        e.inner = inner;
        e
    }

    fn subtract_border(&self, y: &mut [f64], outer: &DVector<f64>) {
        let (m, outer) = (self.shape.border, outer.as_slice());
        for (r, row) in self.border.chunks_exact(m.max(1)).enumerate().filter(|_| m > 0) {
            y[r] -= dot(row, outer);
        }
    }

    /// The value of a functional at the mean.
    pub fn value(&self, f: &Functional) -> f64 {
        evaluate(&self.shape, f, &self.inner, &self.outer)
    }

    /// The natural logarithm of the precision matrix's determinant.
    pub fn log_determinant(&self) -> f64 {
        let w = self.shape.band();
        let inner =
            (0..self.shape.inner()).map(|r| libm::log(self.band[r * w + r - self.shape.band_start(r)]));
        let corner = self.schur.l_dirty().diagonal();
        2.0 * (inner.sum::<f64>() + corner.iter().map(|v| libm::log(*v)).sum::<f64>())
    }

    /// Information vector times mean: the part of the data's square that the estimate explains.
    pub fn explained(&self) -> f64 {
        self.explained
    }

    /// A draw from the estimate, the inner unknowns and the border's; `normals` yields standard
    /// normal numbers.
    pub fn draw(&self, mut normals: impl FnMut() -> f64) -> Values {
        let mut outer = DVector::from_fn(self.shape.border, |_, _| normals());
        self.schur.l_dirty().tr_solve_lower_triangular_mut(&mut outer);
        let mut inner: Vec<f64> = (0..self.shape.inner()).map(|_| normals()).collect();
        self.subtract_border(&mut inner, &outer);
        backward_vector(&self.shape, &self.band, &mut inner);
        inner.iter_mut().zip(&self.inner).for_each(|(d, mean)| *d += mean);
        (inner, outer + &self.outer)
    }

    /// Prepares covariances.
    pub fn covariance(&self) -> Covariance {
        let (shape, m) = (self.shape, self.shape.border);
        let corner = inverse_of(&self.schur);
        // K = L^-T times the border, so that cov(inner, border) = -K corner.
        let mut k = self.border.clone();
        backward_border(&shape, &self.band, &mut k);
        let mut cross = vec![0.0; k.len()];
        for (row, k) in cross.chunks_exact_mut(m.max(1)).zip(k.chunks_exact(m.max(1))) {
            corner.chunks_exact(m.max(1)).zip(k).for_each(|(c, k)| add_scaled(row, -k, c));
        }
        let mut band = inverse_band(&shape, &self.band);
        for row in (0..shape.inner()).filter(|_| m > 0) {
            for column in shape.band_start(row)..=row {
                band[row * shape.band() + column - shape.band_start(row)] -=
                    dot(&cross[row * m..(row + 1) * m], &k[column * m..(column + 1) * m]);
            }
        }
        Covariance { shape, band, cross, corner }
    }
}

/// The inverse of a factored matrix, row by row: `L^-T L^-1`.
fn inverse_of(factor: &Cholesky<f64, Dyn>) -> Vec<f64> {
    let l = factor.l_dirty();
    let m = l.nrows();
    let mut lower = vec![0.0; m * m];
    for r in 0..m {
        let (done, rest) = lower.split_at_mut(r * m);
        let row = &mut rest[..m];
        row[r] = 1.0;
        (0..r).for_each(|k| add_scaled(&mut row[..=k], -l[(r, k)], &done[k * m..k * m + k + 1]));
        row[..=r].iter_mut().for_each(|v| *v /= l[(r, r)]);
    }
    let mut inverse = vec![0.0; m * m];
    for row in lower.chunks_exact(m.max(1)) {
        for (i, &v) in row.iter().enumerate().filter(|(_, v)| **v != 0.0) {
            add_scaled(&mut inverse[i * m..i * m + i + 1], v, row);
        }
    }
    for r in 0..m {
        (0..r).for_each(|c| inverse[c * m + r] = inverse[r * m + c]);
    }
    inverse
}

/// The value of a functional at given unknowns.
pub fn evaluate(shape: &Shape, f: &Functional, inner: &[f64], outer: &DVector<f64>) -> f64 {
    let own: f64 = f.inner.iter().map(|&(p, h)| h * inner[f.block * shape.size + p]).sum();
    f.offset + own + f.border.iter().map(|&(p, h)| h * outer[p]).sum::<f64>()
}

/// Covariances of an [`Estimate`], as far as functionals ask for them.
#[derive(Debug, Clone)]
pub struct Covariance {
    shape: Shape,
    /// Of inner unknowns, stored as the band is.
    band: Vec<f64>,
    /// Of inner unknowns with the border's, row by row.
    cross: Vec<f64>,
    /// Of the border's unknowns, row by row.
    corner: Vec<f64>,
}

impl Covariance {
    /// Covariance of two inner unknowns, of one block or of adjacent ones.
    pub fn inner(&self, row: usize, column: usize) -> f64 {
        let (hi, lo) = (row.max(column), row.min(column));
        self.band[hi * self.shape.band() + lo - self.shape.band_start(hi)]
    }

    /// Covariance of two unknowns of the border.
    pub fn border(&self, row: usize, column: usize) -> f64 {
        self.corner[row * self.shape.border + column]
    }

    /// Covariance of two functionals of the same block or of adjacent ones.
    pub fn between(&self, f: &Functional, g: &Functional) -> f64 {
        let shape = self.shape;
        let to_inner =
            |row: usize| g.rows(shape, 1.0).map(|(column, k)| k * self.inner(row, column)).sum::<f64>();
        let inner: f64 = f.rows(shape, 1.0).map(|(row, h)| h * to_inner(row)).sum();
        let across = |f: &Functional, g: &Functional| -> f64 {
            f.rows(shape, 1.0).map(|(row, h)| h * self.with_border(row, g)).sum()
        };
        let m = self.shape.border;
        let corner = f.border.iter().map(|&(p, h)| {
            let row = &self.corner[p * m..(p + 1) * m];
            h * g.border.iter().map(|&(q, k)| k * row[q]).sum::<f64>()
        });
        inner + across(f, g) + across(g, f) + corner.sum::<f64>()
    }

    /// Covariance of an inner unknown with the border's part of a functional.
    fn with_border(&self, row: usize, f: &Functional) -> f64 {
        let cross = &self.cross[row * self.shape.border..(row + 1) * self.shape.border];
        f.border.iter().map(|&(q, g)| g * cross[q]).sum()
    }

    /// Variance of a functional.
    pub fn variance(&self, f: &Functional) -> f64 {
        let (first, m) = (f.block * self.shape.size, self.shape.border);
        let mut sum = 0.0;
        for (k, &(p, h)) in f.inner.iter().enumerate() {
            let before: f64 = f.inner[..k].iter().map(|&(q, g)| g * self.inner(first + p, first + q)).sum();
            let border = self.with_border(first + p, f);
            sum += h * (h * self.inner(first + p, first + p) + 2.0 * (before + border));
        }
        for (k, &(p, h)) in f.border.iter().enumerate() {
            let row = &self.corner[p * m..(p + 1) * m];
            sum += h * (h * row[p] + 2.0 * f.border[..k].iter().map(|&(q, g)| g * row[q]).sum::<f64>());
        }
        sum.max(0.0)
    }
}
