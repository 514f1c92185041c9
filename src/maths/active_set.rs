//! The minimum of a [`Program`] by a dense dual active-set method.
//!
//! In the dual every multiplier lies in a box, `0 <= lambda_j <= w_j`; the rows whose multipliers
//! lie inside theirs are the active set. With `H = R R'` and `M = A R^-T` the Gram matrix of
//! their rows of `M` is kept as `L D L'`, one row appended or taken out by recursion (D. Goldfarb
//! and A. Idnani, Mathematical Programming 27, 1983; D. Arnström, A. Bemporad and D. Axehill,
//! arXiv:2103.16236; boxes in place of half lines are ours).

use nalgebra::{Cholesky, DMatrix, DVector};

use super::program::{Failure, Minimum, Program, Rows};

/// Where a row's multiplier stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
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

/// The minimum of a program of finite numbers.
pub(super) fn minimise(program: &Program) -> Result<Minimum, Failure> {
    let factor = Cholesky::new(program.h.clone()).ok_or(Failure::NoMinimum)?;
    let mut set = ActiveSet::none(program, factor.l_dirty().lower_triangle().transpose());
    if !set.square.iter().chain(&set.y).all(|v| v.is_finite()) {
        return Err(Failure::LostPrecision);
    }
    for _ in 0..MOST {
        while !set.level()? {}
        let Some((j, up)) = set.wrong() else {
            return set.finish();
        };
        set.append(j);
        if set.d[set.active.len() - 1] == 0.0 {
            set.along_dependence(up)?;
        }
    }
    Err(Failure::LostPrecision)
}

/// The state on the way.
struct ActiveSet<'a> {
    program: &'a Program,
    /// `R'`.
    upper: DMatrix<f64>,
    m: usize,
    /// Rows of `M`.
    rows: Rows,
    /// Squared length of each.
    square: Vec<f64>,
    lambda: Vec<f64>,
    place: Vec<Place>,
    /// `R^-1 g + M' lambda`, which is `-R' x`.
    y: Vec<f64>,
    /// Active rows in the order of the factor.
    active: Vec<usize>,
    /// Their rows of `M` as columns, `m + 1` numbers a coefficient.
    held: Vec<f64>,
    /// Unit lower triangle, row by row, `m + 1` columns a row.
    l: Vec<f64>,
    d: Vec<f64>,
    /// Products of all rows with `y`, and a step of the active multipliers.
    products: Vec<f64>,
    step: Vec<f64>,
}

impl ActiveSet<'_> {
    /// Every multiplier at zero.
    fn none(program: &Program, upper: DMatrix<f64>) -> ActiveSet<'_> {
        let (m, n) = (program.g.len(), program.len());
        let mut y = program.g.clone();
        upper.tr_solve_upper_triangular_mut(&mut y);
        let rows = program.rows.solved(&upper);
        ActiveSet {
            program,
            m,
            square: rows.squares(),
            rows,
            upper,
            lambda: vec![0.0; n],
            place: vec![Place::Low; n],
            y: y.as_slice().to_vec(),
            active: Vec::with_capacity(m + 1),
            held: vec![0.0; m * (m + 1)],
            l: vec![0.0; (m + 1) * (m + 1)],
            d: vec![0.0; m + 1],
            products: Vec::with_capacity(n + 8),
            step: Vec::with_capacity(m + 1),
        }
    }

    /// `b - a'x` of the active rows, with its sign turned, as the next step's right side; whether
    /// it is nothing but rounding.
    fn excess(&mut self) -> bool {
        let (w, count) = (self.m + 1, self.active.len());
        self.step.clear();
        self.step.resize(count, 0.0);
        for (c, y) in self.y.iter().enumerate() {
            let held = &self.held[c * w..c * w + count];
            self.step.iter_mut().zip(held).for_each(|(s, v)| *s -= v * y);
        }
        let sides = self.active.iter().map(|&j| self.program.sides[j]);
        let mut level = true;
        for (s, b) in self.step.iter_mut().zip(sides) {
            *s -= b;
            level &= s.abs() < LEVEL * (1.0 + b.abs());
        }
        level
    }

    /// Steps of the active multipliers to where their rows have no slack; false where one
    /// left its box on the way.
    fn level(&mut self) -> Result<bool, Failure> {
        // The second step mends what rounding left of the first.
        for _ in 0..3 {
            if self.excess() {
                return Ok(true);
            }
            self.gram_solve();
            let (way, blocked) = self.reach(1.0);
            self.walk(way);
            self.check_ends()?;
            if let Some((k, high)) = blocked {
                self.leave(k, high);
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Whether the multipliers stay at sizes at which there is a minimum.
    fn check_ends(&self) -> Result<(), Failure> {
        let endless = ENDLESS * (1.0 + self.program.g.amax());
        let largest = self.active.iter().map(|&j| self.lambda[j]).fold(0.0, f64::max);
        let lost = self.active.iter().any(|&j| !self.lambda[j].is_finite());
        match (lost, largest > endless) {
            (true, _) => Err(Failure::LostPrecision),
            (_, true) => Err(Failure::Infeasible),
            _ => Ok(()),
        }
    }

    /// The last active row depends on the others: multipliers move along what keeps `x`
    /// until one leaves its box.
    fn along_dependence(&mut self, up: bool) -> Result<(), Failure> {
        let k = self.active.len() - 1;
        self.step.clear();
        self.step.extend(self.l[k * (self.m + 1)..][..k].iter().map(|v| -v));
        self.transposed();
        self.step.push(1.0);
        if !up {
            self.step.iter_mut().for_each(|v| *v = -*v);
        }
        let (way, blocked) = self.reach(f64::INFINITY);
        let (k, high) = blocked.ok_or(Failure::Infeasible)?;
        self.walk(way);
        self.leave(k, high);
        Ok(())
    }

    /// How far the active multipliers may go, and which then stands at the end of its box.
    fn reach(&self, most: f64) -> (f64, Option<(usize, bool)>) {
        let (mut way, mut blocked) = (most, None);
        for (k, (&j, &p)) in self.active.iter().zip(&self.step).enumerate() {
            let room = if p < 0.0 { self.lambda[j] } else { self.program.weights[j] - self.lambda[j] };
            if p != 0.0 && room.max(0.0) < way * p.abs() {
                way = room.max(0.0) / p.abs();
                blocked = Some((k, p > 0.0));
            }
        }
        (way, blocked)
    }

    /// Goes so far along the step.
    fn walk(&mut self, way: f64) {
        let w = self.m + 1;
        for (s, &j) in self.step.iter_mut().zip(&self.active) {
            *s *= way;
            self.lambda[j] += *s;
        }
        for (c, y) in self.y.iter_mut().enumerate() {
            *y += self.held[c * w..].iter().zip(&self.step).map(|(v, s)| v * s).sum::<f64>();
        }
    }

    /// The row furthest on the wrong side, and whether its multiplier is to grow.
    fn wrong(&mut self) -> Option<(usize, bool)> {
        self.rows.times(&self.y, &mut self.products);
        let (mut worst, mut most) = (None, 0.0);
        for (j, (product, b)) in self.products.iter().zip(&self.program.sides).enumerate() {
            let slack = b + product;
            let off = match self.place[j] {
                Place::Low => -slack,
                Place::Inside => continue,
                Place::High => slack,
            };
            let square = self.square[j];
            if off > CLEAR * (1.0 + b.abs()) && off * off > most * square {
                most = off * off / square.max(1e-300);
                worst = Some((j, self.place[j] == Place::Low));
            }
        }
        worst
    }

    /// Appends a row to the factor; its pivot is zero where it depends on the active ones.
    fn append(&mut self, j: usize) {
        let (k, w) = (self.active.len(), self.m + 1);
        let (before, last) = self.l.split_at_mut(k * w);
        last[..k].fill(0.0);
        for (c, v) in self.rows.row(j).enumerate() {
            let held = &mut self.held[c * w..(c + 1) * w];
            last.iter_mut().zip(&held[..k]).for_each(|(gram, h)| *gram += h * v);
            held[k] = v;
        }
        let mut left = self.square[j];
        for c in 0..k {
            let value = last[c];
            (c + 1..k).for_each(|r| last[r] -= before[r * w + c] * value);
            last[c] = value / self.d[c];
            left -= value * last[c];
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
        self.lambda[j] = if high { self.program.weights[j] } else { 0.0 };
        self.held.chunks_exact_mut(w).for_each(|held| held.copy_within(k + 1..count, k));
        let mut column = std::mem::take(&mut self.step);
        column.clear();
        column.extend((k + 1..count).map(|r| self.l[r * w + k]));
        let mut weight = self.d[k];
        for r in k + 1..count {
            self.l.copy_within(r * w..r * w + k, (r - 1) * w);
            self.l.copy_within(r * w + k + 1..r * w + r, (r - 1) * w + k);
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
        self.step = column;
    }

    /// Solves `L D L' x = step` in place.
    fn gram_solve(&mut self) {
        let (w, count) = (self.m + 1, self.step.len());
        for c in 0..count {
            let value = self.step[c];
            (c + 1..count).for_each(|r| self.step[r] -= self.l[r * w + c] * value);
        }
        self.step.iter_mut().zip(&self.d).for_each(|(v, d)| *v /= d);
        self.transposed();
    }

    /// Solves `L' x = step` in place, of as many rows as the step has.
    fn transposed(&mut self) {
        let w = self.m + 1;
        for r in (0..self.step.len()).rev() {
            let (below, value) = self.step.split_at_mut(r);
            let l = &self.l[r * w..];
            below.iter_mut().zip(l).for_each(|(v, l)| *v -= l * value[0]);
        }
    }

    fn finish(self) -> Result<Minimum, Failure> {
        let mut x = -DVector::from_vec(self.y);
        self.upper.solve_upper_triangular_mut(&mut x);
        let sound = x.iter().all(|v| v.is_finite());
        if sound { Ok(Minimum { x, multipliers: self.lambda }) } else { Err(Failure::LostPrecision) }
    }
}
