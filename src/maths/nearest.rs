//! The point of a polyhedron nearest to a given one, in a few dimensions.
//!
//! `min |x - start|` subject to `a_i'x <= b_i`: the dual active-set method of
//! D. Goldfarb and A. Idnani, Mathematical Programming 27, 1983 (from memory),
//! with the identity as its metric. Each step takes in the row that is broken
//! the most and lets go of rows that would pull. It ends on an exact set of
//! touching rows, in as many steps as rows touch, or a few more; a step costs
//! rows x dimensions. Form references, with two to four unknowns and
//! thousands of points, want just that.

use nalgebra::{DMatrix, DVector};

/// A row counts as satisfied when the point is beyond it by no more than this
/// share of 1 + |start|: bounds are meant to be of size 1.
const SLACK: f64 = 1e-13;

/// A normal is made of the held ones when less than this share of it is new.
const DEPENDENT: f64 = 1e-11;

/// The nearest point and the rows that hold it there.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// The point.
    pub x: DVector<f64>,
    /// Rows (indices) that touch and hold, at most one a dimension.
    pub holding: Vec<usize>,
}

/// The point nearest to `start` among those with `rows * x <= bounds`; n rows
/// in k dimensions. `None` when no point satisfies all rows, or on NaN.
pub fn nearest(start: &DVector<f64>, rows: &DMatrix<f64>, bounds: &DVector<f64>) -> Option<Nearest> {
    let mut search = Search {
        start,
        rows,
        bounds,
        lengths: rows.row_iter().map(|r| r.norm()).collect(),
        x: start.clone(),
        held: Vec::new(),
        pull: Vec::new(),
    };
    for _ in 0..10 * (rows.nrows() + 10) {
        match search.broken_most() {
            Some(row) => search.take_in(row)?,
            None => return search.finish(),
        }
    }
    None
}

struct Search<'a> {
    start: &'a DVector<f64>,
    rows: &'a DMatrix<f64>,
    bounds: &'a DVector<f64>,
    lengths: Vec<f64>,
    x: DVector<f64>,
    held: Vec<usize>,
    /// Multiplier of each held row, never negative.
    pull: Vec<f64>,
}

impl Search<'_> {
    fn broken_most(&self) -> Option<usize> {
        let over = self.rows * &self.x - self.bounds;
        let slack = SLACK * (1.0 + self.start.norm());
        let share = |i: usize| over[i] / self.lengths[i].max(f64::MIN_POSITIVE);
        (0..over.len())
            .filter(|i| !self.held.contains(i) && share(*i) > slack)
            .max_by(|i, j| share(*i).total_cmp(&share(*j)))
    }

    /// Moves until `row` touches; `None` when it can't.
    fn take_in(&mut self, row: usize) -> Option<()> {
        let normal = self.rows.row(row).transpose();
        let mut own = 0.0;
        loop {
            let (shares, new) = self.split(&normal)?;
            let free = new.norm() > DEPENDENT * self.lengths[row];
            let over = normal.dot(&self.x) - self.bounds[row];
            let full = if free { over / new.norm_squared() } else { f64::INFINITY };
            let (letting, length) = self.first_to_let_go(&shares, full);
            if !length.is_finite() {
                return None;
            }
            if free {
                self.x.axpy(-length, &new, 1.0);
            }
            let change = self.pull.iter_mut().zip(shares.iter());
            change.for_each(|(pull, share)| *pull -= length * share);
            own += length;
            let Some(k) = letting else {
                self.held.push(row);
                self.pull.push(own);
                return Some(());
            };
            self.held.remove(k);
            self.pull.remove(k);
        }
    }

    /// `normal` as shares of the held ones and what is new in it.
    fn split(&self, normal: &DVector<f64>) -> Option<(DVector<f64>, DVector<f64>)> {
        if self.held.is_empty() {
            return Some((DVector::zeros(0), normal.clone()));
        }
        let held = self.normals();
        let qr = held.clone().qr();
        let shares = qr.r().solve_upper_triangular(&qr.q().tr_mul(normal))?;
        let new = normal - held * &shares;
        Some((shares, new))
    }

    /// The held row whose pull ends within the step `full`, and how far that is.
    fn first_to_let_go(&self, shares: &DVector<f64>, full: f64) -> (Option<usize>, f64) {
        let mut first = (None, full);
        for (k, share) in shares.iter().enumerate() {
            if *share > 0.0 && self.pull[k] / share < first.1 {
                first = (Some(k), self.pull[k] / share);
            }
        }
        first
    }

    /// The held rows as columns.
    fn normals(&self) -> DMatrix<f64> {
        self.rows.select_rows(&self.held).transpose()
    }

    /// The point once more from the held rows alone, free of the steps' rounding.
    fn finish(self) -> Option<Nearest> {
        let mut x = self.start.clone();
        if !self.held.is_empty() {
            let normals = self.normals();
            let qr = normals.clone().qr();
            // The second time round what a far start cost in digits comes back.
            for _ in 0..2 {
                let over = normals.tr_mul(&x) - self.bounds.select_rows(&self.held);
                x -= qr.q() * qr.r().tr_solve_upper_triangular(&over)?;
            }
        }
        let holding = self.held;
        x.iter().all(|v| v.is_finite()).then_some(Nearest { x, holding })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{dmatrix, dvector};

    #[test]
    fn a_corner_holds_with_both_its_sides() {
        let rows = dmatrix![1.0, 0.0; 0.0, 1.0; 1.0, 1.0];
        let near = nearest(&dvector![3.0, 2.0], &rows, &dvector![1.0, 1.0, 5.0]);
        let near = near.unwrap();
        assert_eq!(near.x, dvector![1.0, 1.0]);
        assert_eq!(near.holding.len(), 2);
    }

    #[test]
    fn a_row_taken_in_early_is_let_go() {
        // The steep row is broken the most at first, yet the other one holds.
        let rows = dmatrix![1.0, 0.2; 1.0, -1.0];
        let near = nearest(&dvector![2.0, 0.0], &rows, &dvector![1.0, -1.0]).unwrap();
        assert_eq!(near.holding, [1]);
        assert!((near.x - dvector![0.5, 1.5]).amax() < 1e-14);
    }

    #[test]
    fn inside_stays_and_contradictions_have_no_point() {
        let rows = dmatrix![1.0; -1.0];
        let inside = nearest(&dvector![0.5], &rows, &dvector![1.0, 0.0]).unwrap();
        assert_eq!((inside.x[0], inside.holding.len()), (0.5, 0));
        assert_eq!(nearest(&dvector![0.5], &rows, &dvector![-1.0, -1.0]), None);
    }
}
