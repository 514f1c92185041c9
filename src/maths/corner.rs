//! Following a program's minimum from corner to corner.
//!
//! Draws of the wood differ only in the right sides of the rows. The minimum
//! of a [`Program`] without curvature sits at a corner, where as many rows as
//! there are unknowns meet; when right sides change the multipliers stay valid
//! and only some rows come to lie on the wrong side. The dual simplex with
//! bounded multipliers (textbook method; from memory) mends that in a few
//! exchanges, each a system of six unknowns: many times faster than starting
//! anew. Checked against the interior point method of [`super::hinge`].

use nalgebra::{DMatrix, DVector, Dyn, LU};

use super::hinge::{Minimum, Program, Row};

/// A corner: which rows meet there, and which of the others are exceeded.
#[derive(Debug, Clone)]
pub struct Corner {
    meet: Vec<usize>,
    above: Vec<bool>,
}

/// Exchanges after which following is given up.
const MOST_EXCHANGES: usize = 200;
/// A row is on the wrong side beyond this.
const CLEAR: f64 = 1e-10;

impl Corner {
    /// The corner at a program's minimum; `None` where no corner is there
    /// (fewer independent rows than unknowns).
    pub fn at(program: &Program, minimum: &Minimum) -> Option<Corner> {
        let m = program.g.len();
        let slack = |j: usize| program.rows[j].b - dot(&program.rows[j].a, &minimum.x);
        let inside = |j: usize| minimum.multipliers[j].min(program.rows[j].weight - minimum.multipliers[j]);
        let mut order: Vec<usize> = (0..program.rows.len()).collect();
        // Rows that meet have multipliers inside their box, and no slack.
        order.sort_by(|&a, &b| (slack(a).abs() - inside(a)).total_cmp(&(slack(b).abs() - inside(b))));
        let meet = independent(program, &order, m)?;
        let above =
            (0..program.rows.len()).map(|j| slack(j) < 0.0 && program.rows[j].weight.is_finite()).collect();
        let corner = Corner { meet, above };
        corner
            .multipliers(program)?
            .iter()
            .all(|&(l, w)| l >= -1e-7 * scale(w) && l <= w + 1e-7 * scale(w))
            .then_some(corner)
    }

    /// Follows the minimum to where `program`'s right sides have moved it.
    ///
    /// The rows' coefficients and weights must be those the corner was found
    /// with. Returns `None` where the way there is lost.
    pub fn follow(&mut self, program: &Program) -> Option<DVector<f64>> {
        for _ in 0..MOST_EXCHANGES {
            let matrix = self.matrix(program).lu();
            let sides = DVector::from_iterator(self.meet.len(), self.meet.iter().map(|&j| program.rows[j].b));
            let x = matrix.solve(&sides)?;
            let Some((row, up)) = self.worst(program, &x) else { return Some(x) };
            self.exchange(program, row, up)?;
        }
        None
    }

    /// The multipliers of all rows at this corner.
    pub fn all_multipliers(&self, program: &Program) -> Option<Vec<f64>> {
        let at = |j: usize| if self.above[j] { program.rows[j].weight } else { 0.0 };
        let mut all: Vec<f64> = (0..program.rows.len()).map(at).collect();
        let met = self.multipliers(program)?;
        self.meet.iter().zip(met).for_each(|(&j, (l, w))| all[j] = l.clamp(0.0, w));
        Some(all)
    }

    fn matrix(&self, program: &Program) -> DMatrix<f64> {
        let m = self.meet.len();
        DMatrix::from_fn(m, m, |r, c| program.rows[self.meet[r]].a[c])
    }

    /// Multiplier and weight of each row that meets here.
    fn multipliers(&self, program: &Program) -> Option<Vec<(f64, f64)>> {
        let mut rhs = -&program.g;
        for (j, row) in program.rows.iter().enumerate() {
            if self.above[j] && !self.meet.contains(&j) {
                rhs.iter_mut().zip(&row.a).for_each(|(r, a)| *r -= row.weight * a);
            }
        }
        let lambda = transposed(&self.matrix(program)).solve(&rhs)?;
        Some(lambda.iter().zip(&self.meet).map(|(l, &j)| (*l, program.rows[j].weight)).collect())
    }

    /// The row furthest on the wrong side, and whether its multiplier must grow.
    fn worst(&self, program: &Program, x: &DVector<f64>) -> Option<(usize, bool)> {
        let mut worst = (CLEAR, None);
        for (j, row) in program.rows.iter().enumerate() {
            let over = dot(&row.a, x) - row.b;
            let wrong = if self.above[j] { -over } else { over };
            if wrong > worst.0 && !self.meet.contains(&j) {
                worst = (wrong, Some((j, !self.above[j])));
            }
        }
        worst.1
    }

    /// Lets `row` in: its multiplier moves until a meeting row's multiplier, or
    /// its own, comes to the end of its box.
    fn exchange(&mut self, program: &Program, row: usize, up: bool) -> Option<()> {
        let met = self.multipliers(program)?;
        let entering = DVector::from_column_slice(&program.rows[row].a);
        let rate = transposed(&self.matrix(program)).solve(&entering)?;
        let sign = if up { -1.0 } else { 1.0 };
        let mut first = (program.rows[row].weight, None);
        for (k, &(lambda, weight)) in met.iter().enumerate() {
            let change = sign * rate[k];
            let room = if change < -1e-13 {
                lambda.max(0.0) / -change
            } else if change > 1e-13 {
                (weight - lambda).max(0.0) / change
            } else {
                f64::INFINITY
            };
            if room < first.0 {
                first = (room, Some((k, change > 0.0)));
            }
        }
        match first {
            (room, None) if room.is_finite() => self.above[row] = up,
            (_, None) => return None,
            (_, Some((k, full))) => {
                self.above[self.meet[k]] = full;
                self.meet[k] = row;
                self.above[row] = false;
            }
        }
        Some(())
    }
}

fn scale(weight: f64) -> f64 {
    if weight.is_finite() { 1.0 + weight } else { 1.0 }
}

fn dot(a: &[f64], x: &DVector<f64>) -> f64 {
    a.iter().zip(x.iter()).map(|(a, x)| a * x).sum()
}

fn transposed(matrix: &DMatrix<f64>) -> LU<f64, Dyn, Dyn> {
    matrix.transpose().lu()
}

/// The first `m` rows of `order` that are independent.
fn independent(program: &Program, order: &[usize], m: usize) -> Option<Vec<usize>> {
    let mut basis: Vec<DVector<f64>> = Vec::with_capacity(m);
    let mut chosen = Vec::with_capacity(m);
    for &j in order {
        let Row { a, .. } = &program.rows[j];
        let own = DVector::from_column_slice(a);
        let rest = basis.iter().fold(own.clone(), |r, b| &r - b * b.dot(&r));
        let size = rest.norm();
        if size > 1e-5 * own.norm() {
            basis.push(rest / size);
            chosen.push(j);
            if chosen.len() == m {
                return Some(chosen);
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::{RngCore, SeedableRng};

    fn program(random: &mut impl FnMut() -> f64) -> Program {
        let mut p = Program::new(3);
        p.g = DVector::from_fn(3, |_, _| 0.3 * random());
        for k in 0..24 {
            let a = vec![random(), random(), random()];
            let weight = if k % 3 == 0 { f64::INFINITY } else { 1.0 + random().abs() };
            p.rows.push(Row { a, b: random().abs(), weight });
        }
        p
    }

    #[test]
    fn following_ends_where_starting_anew_ends() {
        let mut rng = ChaCha8Rng::seed_from_u64(3);
        let mut random = move || rng.next_u32() as f64 / u32::MAX as f64 * 2.0 - 1.0;
        let mut followed = 0;
        for _ in 0..200 {
            let mut p = program(&mut random);
            let Ok(start) = p.minimise() else { continue };
            let Some(mut corner) = Corner::at(&p, &start) else { continue };
            for _ in 0..5 {
                p.rows.iter_mut().for_each(|r| r.b = (r.b + 0.2 * random()).abs());
                let x = corner.follow(&p).expect("a way there");
                let anew = p.minimise().expect("a minimum");
                assert!((p.cost(&x) - anew.cost).abs() < 1e-8, "{} {}", p.cost(&x), anew.cost);
                let all = corner.all_multipliers(&p).expect("multipliers");
                assert!(all.iter().zip(&anew.multipliers).all(|(a, b)| (a - b).abs() < 1e-5));
                followed += 1;
            }
        }
        assert!(followed > 500, "{followed}");
    }
}
