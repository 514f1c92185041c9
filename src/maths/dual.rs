//! A dense dual active-set method for small convex programs with hinges.
//!
//! The same programs as [`super::hinge`], with a positive definite `H`, several times
//! faster where rows are few hundreds at most. In the dual every multiplier lies in a
//! box, `0 <= lambda_j <= w_j`; the rows whose multipliers lie inside theirs are the
//! active set. With `H = R R'` and `M = A R^-T` the Gram matrix of their rows of `M` is
//! kept as `L D L'`, one row appended or taken out by recursion (D. Goldfarb and
//! A. Idnani, Mathematical Programming 27, 1983; D. Arnström, A. Bemporad and
//! D. Axehill, arXiv:2103.16236; boxes in place of half lines are ours).

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::dot;
use super::hinge::{Failure, Minimum, Program};

/// Where a multiplier stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    /// At zero: the row is kept to.
    Low,
    /// Inside its box: the row is active.
    Inside,
    /// At the row's weight: the row is exceeded.
    High,
}

/// Exchanges after which the way is given up.
const MOST: usize = 2000;
/// A row is on the wrong side beyond this, for right sides about 1.
const CLEAR: f64 = 1e-10;
/// A row depends on the active ones when less than this share of its square is left.
const DEPENDS: f64 = 1e-10;
/// Multipliers beyond this, times the size of the cost's slope, say that hard rows
/// contradict each other.
const ENDLESS: f64 = 1e9;
/// Active rows have no slack beyond this, for right sides about 1.
const LEVEL: f64 = 1e-14;

/// The minimum of a program; the unknowns to about 1e-9 where `H` is well conditioned.
///
/// # Errors
/// [`Failure::NoMinimum`] when hard rows contradict each other or `H` is not
/// positive definite, [`Failure::NotFinite`] on NaN or infinite entries.
pub fn minimise(program: &Program) -> Result<Minimum, Failure> {
    program.check_finite()?;
    let factor = Cholesky::new(program.h.clone()).ok_or(Failure::NoMinimum)?;
    let mut set = ActiveSet::none(program, factor);
    for _ in 0..MOST {
        while !set.level()? {}
        let Some((j, up)) = set.wrong() else {
            return Ok(set.finish());
        };
        set.append(j);
        if set.d[set.active.len() - 1] == 0.0 {
            set.along_dependence(up)?;
        }
    }
    Err(Failure::NoMinimum)
}

/// The state on the way.
struct ActiveSet<'a> {
    program: &'a Program,
    factor: Cholesky<f64, Dyn>,
    m: usize,
    /// Rows of `M`, one after another.
    rows: Vec<f64>,
    /// Squared length of each.
    square: Vec<f64>,
    lambda: Vec<f64>,
    place: Vec<Place>,
    /// `R^-1 g + M' lambda`, which is `-R' x`.
    y: Vec<f64>,
    /// Active rows in the order of the factor.
    active: Vec<usize>,
    /// Unit lower triangle, row by row, `m + 1` columns a row.
    l: Vec<f64>,
    d: Vec<f64>,
}

/// Solves `R y = right`, a few numbers after the others of `out`.
fn forward(r: &DMatrix<f64>, right: &[f64], out: &mut Vec<f64>) {
    let start = out.len();
    for (c, value) in right.iter().enumerate() {
        let done: f64 = out[start..].iter().enumerate().map(|(k, v)| r[(c, k)] * v).sum();
        out.push((value - done) / r[(c, c)]);
    }
}

impl ActiveSet<'_> {
    /// Every multiplier at zero.
    fn none(program: &Program, factor: Cholesky<f64, Dyn>) -> ActiveSet<'_> {
        let (m, n) = (program.g.len(), program.rows.len());
        let (mut rows, mut y) = (Vec::with_capacity(m * n), Vec::with_capacity(m));
        program.rows.iter().for_each(|row| forward(factor.l_dirty(), &row.a, &mut rows));
        forward(factor.l_dirty(), program.g.as_slice(), &mut y);
        ActiveSet {
            program,
            factor,
            m,
            square: rows.chunks_exact(m.max(1)).map(|row| dot(row, row)).collect(),
            rows,
            lambda: vec![0.0; n],
            place: vec![Place::Low; n],
            y,
            active: Vec::with_capacity(m + 1),
            l: vec![0.0; (m + 1) * (m + 1)],
            d: vec![0.0; m + 1],
        }
    }

    fn row(&self, j: usize) -> &[f64] {
        &self.rows[j * self.m..(j + 1) * self.m]
    }

    fn slack(&self, j: usize) -> f64 {
        self.program.rows[j].b + dot(self.row(j), &self.y)
    }

    /// Steps of the active multipliers to where their rows have no slack; false where one
    /// left its box on the way.
    fn level(&mut self) -> Result<bool, Failure> {
        // The second step mends what rounding left of the first.
        for _ in 0..3 {
            let slack: Vec<f64> = self.active.iter().map(|&j| self.slack(j)).collect();
            let sides = self.active.iter().map(|&j| 1.0 + self.program.rows[j].b.abs());
            if slack.iter().zip(sides).all(|(s, side)| s.abs() < LEVEL * side) {
                return Ok(true);
            }
            let step = self.gram_solve(slack.iter().map(|s| -s).collect());
            let (way, blocked) = self.reach(&step, 1.0);
            self.walk(&step, way);
            let endless = ENDLESS * (1.0 + self.program.g.amax());
            if self.active.iter().any(|&j| !self.lambda[j].is_finite() || self.lambda[j] > endless) {
                return Err(Failure::NoMinimum);
            }
            if let Some((k, high)) = blocked {
                self.leave(k, high);
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The last active row depends on the others: multipliers move along what keeps `x`
    /// until one leaves its box.
    fn along_dependence(&mut self, up: bool) -> Result<(), Failure> {
        let k = self.active.len() - 1;
        let mut step: Vec<f64> = self.l[k * (self.m + 1)..][..k].iter().map(|v| -v).collect();
        self.transposed(&mut step);
        step.push(1.0);
        if !up {
            step.iter_mut().for_each(|v| *v = -*v);
        }
        let (way, blocked) = self.reach(&step, f64::INFINITY);
        let (k, high) = blocked.ok_or(Failure::NoMinimum)?;
        self.walk(&step, way);
        self.leave(k, high);
        Ok(())
    }

    /// How far the active multipliers may go, and which then stands at the end of its box.
    fn reach(&self, step: &[f64], most: f64) -> (f64, Option<(usize, bool)>) {
        let (mut way, mut blocked) = (most, None);
        for (k, (&j, &p)) in self.active.iter().zip(step).enumerate() {
            let room = if p < 0.0 { self.lambda[j] } else { self.program.rows[j].weight - self.lambda[j] };
            if p != 0.0 && room.max(0.0) < way * p.abs() {
                way = room.max(0.0) / p.abs();
                blocked = Some((k, p > 0.0));
            }
        }
        (way, blocked)
    }

    fn walk(&mut self, step: &[f64], way: f64) {
        for (&j, &p) in self.active.iter().zip(step) {
            self.lambda[j] += way * p;
            let row = &self.rows[j * self.m..(j + 1) * self.m];
            self.y.iter_mut().zip(row).for_each(|(y, v)| *y += way * p * v);
        }
    }

    /// The row furthest on the wrong side, and whether its multiplier is to grow.
    fn wrong(&self) -> Option<(usize, bool)> {
        let (mut worst, mut most) = (None, 0.0);
        for (j, row) in self.program.rows.iter().enumerate() {
            let slack = row.b + dot(self.row(j), &self.y);
            let off = match self.place[j] {
                Place::Low => -slack,
                Place::High => slack,
                Place::Inside => continue,
            };
            if off > CLEAR * (1.0 + row.b.abs()) && off * off > most * self.square[j] {
                most = off * off / self.square[j].max(1e-300);
                worst = Some((j, self.place[j] == Place::Low));
            }
        }
        worst
    }

    /// Appends a row to the factor; its pivot is zero where it depends on the active ones.
    fn append(&mut self, j: usize) {
        let (k, w) = (self.active.len(), self.m + 1);
        let mut left = self.square[j];
        for r in 0..k {
            let gram = dot(self.row(self.active[r]), self.row(j));
            let done: f64 = (0..r).map(|c| self.l[r * w + c] * self.l[k * w + c]).sum();
            self.l[k * w + r] = gram - done;
        }
        for r in 0..k {
            let value = self.l[k * w + r];
            self.l[k * w + r] = value / self.d[r];
            left -= value * value / self.d[r];
        }
        self.d[k] = if k < self.m && left > DEPENDS * self.square[j] { left } else { 0.0 };
        self.active.push(j);
        self.place[j] = Place::Inside;
    }

    /// Takes the k-th active row out of the factor; its multiplier stays at the end of its box.
    fn leave(&mut self, k: usize, high: bool) {
        let (w, count) = (self.m + 1, self.active.len());
        let j = self.active.remove(k);
        self.place[j] = if high { Place::High } else { Place::Low };
        self.lambda[j] = if high { self.program.rows[j].weight } else { 0.0 };
        let mut column: Vec<f64> = (k + 1..count).map(|r| self.l[r * w + k]).collect();
        let mut weight = self.d[k];
        for r in k + 1..count {
            for c in 0..k {
                self.l[(r - 1) * w + c] = self.l[r * w + c];
            }
            for c in k + 1..r {
                self.l[(r - 1) * w + c - 1] = self.l[r * w + c];
            }
            self.d[r - 1] = self.d[r];
        }
        // A rank-one update of what follows (Gill, Golub, Murray and Saunders, 1974; from memory).
        for c in k..count - 1 {
            let p = column[c - k];
            let before = self.d[c];
            self.d[c] = before + weight * p * p;
            if self.d[c] <= 0.0 {
                continue;
            }
            let share = weight * p / self.d[c];
            weight *= before / self.d[c];
            for r in c + 1..count - 1 {
                column[r - k] -= p * self.l[r * w + c];
                self.l[r * w + c] += share * column[r - k];
            }
        }
    }

    fn gram_solve(&self, mut right: Vec<f64>) -> Vec<f64> {
        let w = self.m + 1;
        for r in 0..right.len() {
            let done: f64 = (0..r).map(|c| self.l[r * w + c] * right[c]).sum();
            right[r] -= done;
        }
        right.iter_mut().zip(&self.d).for_each(|(v, d)| *v /= d);
        self.transposed(&mut right);
        right
    }

    /// Solves `L' x = right` in place, of as many rows as `right` has.
    fn transposed(&self, right: &mut [f64]) {
        let w = self.m + 1;
        for r in (0..right.len()).rev() {
            let value = right[r];
            (0..r).for_each(|c| right[c] -= self.l[r * w + c] * value);
        }
    }

    fn finish(self) -> Minimum {
        let mut x = -DVector::from_vec(self.y);
        self.factor.l_dirty().tr_solve_lower_triangular_mut(&mut x);
        Minimum { cost: self.program.cost(&x), x, multipliers: self.lambda }
    }
}
