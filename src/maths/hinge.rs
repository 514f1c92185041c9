//! A small convex program with hinges: few unknowns, many one-sided rows.
//!
//! Minimises over `x`
//!
//! ```text
//! 1/2 x'Hx + g'x + sum_j w_j max(0, a_j'x - b_j)
//! ```
//!
//! A row with infinite weight is hard: `a_j'x <= b_j`. Seating a rib and
//! finding the next slice are both of this kind, with six to a dozen unknowns
//! and a few rows a station. Why not a general solver: the slacks and hinges
//! of all rows fold into an m by m system, so an iteration costs
//! rows x m^2, linear in stations, and a program of 6 unknowns and 60 rows
//! takes tens of microseconds. The method is the primal-dual interior point
//! with predictor and corrector (S. Mehrotra, SIAM J. Optimization 2(4), 1992;
//! from memory), with the multipliers of soft rows boxed into [0, w_j].

use nalgebra::{DMatrix, DVector};
use smallvec::SmallVec;

use super::dot;

/// A row's coefficients: six stand inside the row itself, so that rows lie one behind the other.
pub type Coefficients = SmallVec<[f64; 6]>;

/// One row `a'x - b`, hinged with weight `weight`, or hard where it is infinite.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Coefficients, one per unknown.
    pub a: Coefficients,
    /// Right side.
    pub b: f64,
    /// Cost of one unit beyond `b`; `f64::INFINITY` forbids going beyond.
    pub weight: f64,
}

impl Row {
    /// A row that may not be exceeded: `a'x <= b`.
    pub fn hard(a: impl IntoIterator<Item = f64>, b: f64) -> Row {
        Row { a: a.into_iter().collect(), b, weight: f64::INFINITY }
    }

    /// A row that costs `weight` for each unit of `a'x` beyond `b`.
    pub fn soft(a: impl IntoIterator<Item = f64>, b: f64, weight: f64) -> Row {
        Row { a: a.into_iter().collect(), b, weight }
    }
}

/// A convex program with hinges; see the module's documentation.
#[derive(Debug, Clone)]
pub struct Program {
    /// Symmetric, positive semidefinite, m by m.
    pub h: DMatrix<f64>,
    /// Linear cost, m.
    pub g: DVector<f64>,
    /// The rows.
    pub rows: Vec<Row>,
}

/// The minimum of a [`Program`].
#[derive(Debug, Clone)]
pub struct Minimum {
    /// The unknowns.
    pub x: DVector<f64>,
    /// One multiplier per row, between 0 and its weight: what one unit more of
    /// `b` would save.
    pub multipliers: Vec<f64>,
    /// Cost at the minimum.
    pub cost: f64,
}

/// Why no minimum was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Failure {
    /// No x satisfies all hard rows, or the cost has no lower bound.
    #[error("no point satisfies all hard rows, or the cost falls without end")]
    NoMinimum,
    /// A coefficient is not a finite number.
    #[error("a coefficient is not a finite number")]
    NotFinite,
}

const MAX_ITERATIONS: usize = 80;
/// Of rows and level cost, relative to the program's scale.
const TOLERANCE: f64 = 1e-11;
/// Of the mean product of slack and multiplier: where both of a row go to zero
/// its slack is only as good as the root of this.
const GAP: f64 = 1e-15;

impl Program {
    /// A program in `m` unknowns without cost or rows.
    pub fn new(m: usize) -> Program {
        Program { h: DMatrix::zeros(m, m), g: DVector::zeros(m), rows: Vec::new() }
    }

    /// Cost at `x`, hard rows left out.
    pub fn cost(&self, x: &DVector<f64>) -> f64 {
        let smooth = 0.5 * x.dot(&(&self.h * x)) + self.g.dot(x);
        let beyond = |row: &Row| row.weight * (dot(&row.a, x.as_slice()) - row.b).max(0.0);
        smooth + self.rows.iter().filter(|r| r.weight.is_finite()).map(beyond).sum::<f64>()
    }

    /// Finds the minimum, to about 1e-10 relative to the program's scale.
    ///
    /// # Errors
    /// [`Failure::NoMinimum`] when hard rows contradict each other or the cost
    /// has no lower bound, [`Failure::NotFinite`] on NaN or infinite entries.
    pub fn minimise(&self) -> Result<Minimum, Failure> {
        self.check_finite()?;
        let mut point = Iterate::start(self);
        let scale = self.scale();
        for _ in 0..MAX_ITERATIONS {
            let residual = Residual::of(self, &point);
            let (off, mu) = (residual.size() / scale, point.mu(self) / scale);
            if off <= TOLERANCE && mu <= GAP {
                return Ok(self.finish(point));
            }
            // Beyond that the steps only stir up rounding.
            let spent = mu <= 1e-3 * GAP || mu <= TOLERANCE && off > 1e-8;
            if spent || !point.advance(self, &residual) {
                break;
            }
        }
        // Accept what is good to eight digits: degenerate rows slow the last steps.
        let good = Residual::of(self, &point).size() <= 1e-7 * scale && point.mu(self) <= 1e-8 * scale;
        if good { Ok(self.finish(point)) } else { Err(Failure::NoMinimum) }
    }

    fn finish(&self, point: Iterate) -> Minimum {
        let cost = self.cost(&point.x);
        Minimum { x: point.x, multipliers: point.lambda, cost }
    }

    pub(super) fn check_finite(&self) -> Result<(), Failure> {
        let rows = self.rows.iter().all(|r| {
            r.b.is_finite() && !r.weight.is_nan() && r.weight >= 0.0 && r.a.iter().all(|v| v.is_finite())
        });
        let smooth = self.h.iter().chain(self.g.iter()).all(|v| v.is_finite());
        if rows && smooth { Ok(()) } else { Err(Failure::NotFinite) }
    }

    fn scale(&self) -> f64 {
        let finite = self.rows.iter().map(|r| r.b.abs());
        1.0 + finite.fold(self.g.amax(), f64::max)
    }
}

/// Unknowns, slacks `s`, excesses `t` of soft rows, multipliers.
struct Iterate {
    x: DVector<f64>,
    s: Vec<f64>,
    t: Vec<f64>,
    lambda: Vec<f64>,
}

struct Residual {
    dual: DVector<f64>,
    primal: Vec<f64>,
}

impl Residual {
    fn of(program: &Program, at: &Iterate) -> Residual {
        let mut dual = &program.h * &at.x + &program.g;
        let mut primal = Vec::with_capacity(program.rows.len());
        for (j, row) in program.rows.iter().enumerate() {
            dual.iter_mut().zip(&row.a).for_each(|(d, a)| *d += a * at.lambda[j]);
            primal.push(dot(&row.a, at.x.as_slice()) - row.b + at.s[j] - at.t[j]);
        }
        Residual { dual, primal }
    }

    fn size(&self) -> f64 {
        self.primal.iter().fold(self.dual.amax(), |m, p| m.max(p.abs()))
    }
}

/// Centring targets for `s lambda` and `t nu`, one pair a row.
type Targets = Vec<(f64, f64)>;

struct Step {
    x: DVector<f64>,
    s: Vec<f64>,
    t: Vec<f64>,
    lambda: Vec<f64>,
}

impl Iterate {
    fn start(program: &Program) -> Iterate {
        let x = DVector::zeros(program.g.len());
        let lambda: Vec<f64> =
            program.rows.iter().map(|r| if r.weight.is_finite() { r.weight / 2.0 } else { 1.0 }).collect();
        let over: Vec<f64> = program.rows.iter().map(|r| -r.b).collect();
        let s = over.iter().map(|o| (-o).max(0.0) + 1.0).collect();
        let soft = |r: &Row, o: &f64| {
            if r.weight.is_finite() { o.max(0.0) + 1.0 } else { 0.0 }
        };
        let t = program.rows.iter().zip(&over).map(|(r, o)| soft(r, o)).collect();
        Iterate { x, s, t, lambda }
    }

    fn nu(&self, program: &Program, j: usize) -> f64 {
        program.rows[j].weight - self.lambda[j]
    }

    fn pairs(program: &Program) -> f64 {
        program.rows.iter().map(|r| if r.weight.is_finite() { 2.0 } else { 1.0 }).sum::<f64>().max(1.0)
    }

    fn mu(&self, program: &Program) -> f64 {
        let total: f64 = (0..self.s.len())
            .map(|j| {
                let soft = program.rows[j].weight.is_finite();
                self.s[j] * self.lambda[j] + if soft { self.t[j] * self.nu(program, j) } else { 0.0 }
            })
            .sum();
        total / Iterate::pairs(program)
    }

    /// One predictor-corrector step; false when no progress is possible.
    fn advance(&mut self, program: &Program, residual: &Residual) -> bool {
        let Some(system) = System::of(program, self) else {
            return false;
        };
        let rows = program.rows.len();
        let affine = system.step(program, self, residual, &vec![(0.0, 0.0); rows]);
        let mu = self.mu(program);
        let reach = self.reach(program, &affine);
        let sigma = (self.mu_after(program, &affine, reach) / mu).powi(3);
        let aim = |j: usize| {
            let corner = (affine.s[j] * affine.lambda[j], -affine.t[j] * affine.lambda[j]);
            (sigma * mu - corner.0, sigma * mu - corner.1)
        };
        let targets: Targets = (0..rows).map(aim).collect();
        let mut step = system.step(program, self, residual, &targets);
        let mut length = (0.995 * self.reach(program, &step)).min(1.0);
        if !self.falls(program, &step, length) {
            step = system.step(program, self, residual, &vec![(0.3 * mu, 0.3 * mu); rows]);
            length = self.cautious(program, &step);
        }
        // A step lost to rounding must not spoil the point that is there.
        let sound = length > 1e-10 && step.x.iter().chain(&step.lambda).all(|v| v.is_finite());
        if sound {
            self.take(&step, length);
        }
        sound
    }

    /// Whether the step brings mu down as it should: Mehrotra's corrector may
    /// otherwise run in circles.
    fn falls(&self, program: &Program, step: &Step, length: f64) -> bool {
        self.mu_after(program, step, length) <= (1.0 - 0.1 * length) * self.mu(program)
    }

    /// A length at which mu falls, as it does for short enough steps that aim
    /// at the centre.
    fn cautious(&self, program: &Program, step: &Step) -> f64 {
        let mut length = (0.9 * self.reach(program, step)).min(1.0);
        while length > 1e-10 && !self.falls(program, step, length) {
            length *= 0.8;
        }
        length
    }

    fn take(&mut self, step: &Step, length: f64) {
        self.x.axpy(length, &step.x, 1.0);
        for j in 0..self.s.len() {
            self.s[j] += length * step.s[j];
            self.t[j] += length * step.t[j];
            self.lambda[j] += length * step.lambda[j];
        }
    }

    /// The longest step that keeps slacks and multipliers positive.
    fn reach(&self, program: &Program, step: &Step) -> f64 {
        let mut reach: f64 = 1.0 / 0.995;
        let mut limit = |value: f64, change: f64| {
            if change < 0.0 {
                reach = reach.min(-value / change);
            }
        };
        for j in 0..self.s.len() {
            limit(self.s[j], step.s[j]);
            limit(self.lambda[j], step.lambda[j]);
            if program.rows[j].weight.is_finite() {
                limit(self.t[j], step.t[j]);
                limit(self.nu(program, j), -step.lambda[j]);
            }
        }
        reach
    }

    fn mu_after(&self, program: &Program, step: &Step, length: f64) -> f64 {
        let after = |j: usize| {
            let lambda = self.lambda[j] + length * step.lambda[j];
            let first = (self.s[j] + length * step.s[j]) * lambda;
            let soft = program.rows[j].weight.is_finite();
            let second = (self.t[j] + length * step.t[j]) * (program.rows[j].weight - lambda);
            first + if soft { second } else { 0.0 }
        };
        (0..self.s.len()).map(after).sum::<f64>() / Iterate::pairs(program)
    }
}

/// The condensed m by m system of one iterate, factored.
struct System {
    factor: nalgebra::Cholesky<f64, nalgebra::Dyn>,
    /// `1 / (s/lambda + t/nu)` of each row.
    d: Vec<f64>,
}

impl System {
    fn of(program: &Program, at: &Iterate) -> Option<System> {
        let m = program.g.len();
        let mut k = program.h.clone();
        let mut d = Vec::with_capacity(program.rows.len());
        for (j, row) in program.rows.iter().enumerate() {
            let soft = if row.weight.is_finite() { at.t[j] / at.nu(program, j) } else { 0.0 };
            let dj = 1.0 / (at.s[j] / at.lambda[j] + soft);
            for c in 0..m {
                let f = dj * row.a[c];
                (c..m).for_each(|r| k[(r, c)] += f * row.a[r]);
            }
            d.push(dj);
        }
        let ridge = 1e-15 * (0..m).map(|c| k[(c, c)]).fold(1e-30, f64::max);
        (0..m).for_each(|c| k[(c, c)] += ridge);
        Some(System { factor: nalgebra::Cholesky::new(k)?, d })
    }

    fn step(&self, program: &Program, at: &Iterate, residual: &Residual, targets: &Targets) -> Step {
        let rows = program.rows.len();
        let (mut cs, mut ct, mut lambda) = (vec![0.0; rows], vec![0.0; rows], vec![0.0; rows]);
        let mut rhs = -&residual.dual;
        for (j, row) in program.rows.iter().enumerate() {
            cs[j] = (targets[j].0 - at.s[j] * at.lambda[j]) / at.lambda[j];
            if row.weight.is_finite() {
                ct[j] = (targets[j].1 - at.t[j] * at.nu(program, j)) / at.nu(program, j);
            }
            lambda[j] = self.d[j] * (residual.primal[j] + cs[j] - ct[j]);
            rhs.iter_mut().zip(&row.a).for_each(|(r, a)| *r -= a * lambda[j]);
        }
        let x = self.factor.solve(&rhs);
        let (mut s, mut t) = (cs, ct);
        for (j, row) in program.rows.iter().enumerate() {
            lambda[j] += self.d[j] * dot(&row.a, x.as_slice());
            s[j] -= at.s[j] / at.lambda[j] * lambda[j];
            if row.weight.is_finite() {
                t[j] += at.t[j] / at.nu(program, j) * lambda[j];
            }
        }
        Step { x, s, t, lambda }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chebyshev_line_to_a_corner() {
        // min t over |y - (a + b x)| <= t for y = |x| on -1, 0, 1: t = 1/2.
        let mut p = Program::new(3);
        p.g[2] = 1.0;
        for (x, y) in [(-1.0, 1.0), (0.0, 0.0), (1.0, 1.0)] {
            p.rows.push(Row::hard(vec![1.0, x, -1.0], y));
            p.rows.push(Row::hard(vec![-1.0, -x, -1.0], -y));
        }
        let m = p.minimise().unwrap();
        assert!((m.x[2] - 0.5).abs() < 1e-9 && m.x[1].abs() < 1e-9, "{:?}", m.x);
    }

    #[test]
    fn soft_rows_give_the_median() {
        let mut p = Program::new(1);
        for y in [1.0, 2.0, 4.0, 8.0, 100.0] {
            p.rows.push(Row::soft(vec![1.0], y, 1.0));
            p.rows.push(Row::soft(vec![-1.0], -y, 1.0));
        }
        assert!((p.minimise().unwrap().x[0] - 4.0).abs() < 1e-8);
    }

    #[test]
    fn contradictions_and_nan_are_told_apart() {
        let mut p = Program::new(1);
        p.rows.push(Row::hard(vec![1.0], -1.0));
        p.rows.push(Row::hard(vec![-1.0], -1.0));
        assert_eq!(p.minimise().unwrap_err(), Failure::NoMinimum);
        p.rows[0].b = f64::NAN;
        assert_eq!(p.minimise().unwrap_err(), Failure::NotFinite);
    }
}
