//! Following a program's minimum from corner to corner.
//!
//! Draws of the wood differ only in the right sides of the rows. The minimum
//! of a [`Program`] without curvature sits at a corner, where as many rows as
//! there are unknowns meet; when right sides change the multipliers stay valid
//! and only some rows come to lie on the wrong side. The dual simplex with
//! bounded multipliers (textbook method; from memory) mends that in a few
//! exchanges, each a system of six unknowns: many times faster than starting
//! anew. The first corner is found by the active-set method of [`super::dual`], and
//! where that fails by the interior point method of [`super::hinge`].

use nalgebra::{DMatrix, DVector};

use super::hinge::{Failure, Minimum, Program, Row};
use super::{dot, dual};

/// A corner: which rows meet there, and which of the others are exceeded.
#[derive(Debug, Clone)]
pub struct Corner {
    meet: Vec<usize>,
    /// Of each row, whether it is one of those.
    meets: Vec<bool>,
    above: Vec<bool>,
    /// Inverse of the meeting rows' matrix, kept up by rank-one changes.
    inverse: DMatrix<f64>,
    /// Multipliers of the meeting rows; right sides don't change them.
    multipliers: Vec<f64>,
    /// Exchanges since inverse and multipliers were computed afresh.
    age: usize,
}

/// Exchanges after which following is given up.
const MOST_EXCHANGES: usize = 200;
/// Exchanges after which the inverse is computed afresh.
const OLD: usize = 40;
/// A row is on the wrong side beyond this.
const CLEAR: f64 = 1e-10;

/// Minimises programs that differ little from one to the next: from the last
/// corner where the way from there is known, else anew.
#[derive(Debug, Clone, Default)]
pub struct Tracker {
    corner: Option<Corner>,
}

impl Tracker {
    /// The minimum of a program with the same rows as the last one, whose
    /// coefficients and right sides may have changed.
    ///
    /// # Errors
    /// As [`Program::minimise`].
    pub fn minimise(&mut self, program: &Program) -> Result<(DVector<f64>, Vec<f64>), Failure> {
        if let Some(found) = self.near(program) {
            return Ok(found);
        }
        let minimum = dual::minimise(program).or_else(|_| program.minimise())?;
        self.corner = Corner::at(program, &minimum);
        Ok((minimum.x, minimum.multipliers))
    }

    fn near(&mut self, program: &Program) -> Option<(DVector<f64>, Vec<f64>)> {
        let corner = self.corner.as_mut().filter(|c| c.above.len() == program.rows.len())?;
        corner.refresh(program)?;
        if !corner.in_their_boxes(program) {
            return None;
        }
        let x = corner.follow(program)?;
        x.iter().all(|v| v.is_finite()).then(|| (x, corner.all_multipliers(program)))
    }
}

impl Corner {
    /// The corner at a program's minimum; `None` where no corner is there
    /// (fewer independent rows than unknowns).
    pub fn at(program: &Program, minimum: &Minimum) -> Option<Corner> {
        let m = program.g.len();
        let x = minimum.x.as_slice();
        let slacks: Vec<f64> = program.rows.iter().map(|r| r.b - dot(&r.a, x)).collect();
        let inside = |j: usize| minimum.multipliers[j].min(program.rows[j].weight - minimum.multipliers[j]);
        let key: Vec<f64> = (0..slacks.len()).map(|j| slacks[j].abs() - inside(j)).collect();
        let mut order: Vec<usize> = (0..program.rows.len()).collect();
        // Rows that meet have multipliers inside their box, and no slack.
        order.sort_by(|&a, &b| key[a].total_cmp(&key[b]));
        let meet = independent(program, &order, m)?;
        let above = slacks.iter().zip(&program.rows).map(|(s, r)| *s < 0.0 && r.weight.is_finite()).collect();
        let meets = vec![false; program.rows.len()];
        let mut corner =
            Corner { meet, meets, above, inverse: DMatrix::zeros(m, m), multipliers: Vec::new(), age: 0 };
        for &j in &corner.meet {
            (corner.meets[j], corner.above[j]) = (true, false);
        }
        corner.refresh(program)?;
        corner.in_their_boxes(program).then_some(corner)
    }

    fn in_their_boxes(&self, program: &Program) -> bool {
        self.meet.iter().zip(&self.multipliers).all(|(&j, &l)| {
            let weight = program.rows[j].weight;
            let ease = 1e-7 * scale(weight);
            l >= -ease && l <= weight + ease
        })
    }

    /// Follows the minimum to where `program`'s right sides have moved it.
    ///
    /// The rows' coefficients and weights must be those the corner was found
    /// with. Returns `None` where the way there is lost.
    pub fn follow(&mut self, program: &Program) -> Option<DVector<f64>> {
        let mut sides = DVector::zeros(self.meet.len());
        for _ in 0..MOST_EXCHANGES {
            if self.age > OLD {
                self.refresh(program)?;
            }
            sides.iter_mut().zip(&self.meet).for_each(|(s, &j)| *s = program.rows[j].b);
            let x = &self.inverse * &sides;
            let wrong = self.wrong(program, x.as_slice());
            if wrong.is_empty() {
                return Some(x);
            }
            // Rows that only cross over leave the corner where it is, so the
            // next one can follow at once.
            for (_, row, up) in wrong {
                if !self.exchange(program, row, up)? {
                    break;
                }
            }
        }
        None
    }

    /// The multipliers of all rows at this corner.
    fn all_multipliers(&self, program: &Program) -> Vec<f64> {
        let at = |j: usize| if self.above[j] { program.rows[j].weight } else { 0.0 };
        let mut all: Vec<f64> = (0..program.rows.len()).map(at).collect();
        for (&j, l) in self.meet.iter().zip(&self.multipliers) {
            all[j] = l.clamp(0.0, program.rows[j].weight);
        }
        all
    }

    /// Computes inverse and multipliers from the rows.
    fn refresh(&mut self, program: &Program) -> Option<()> {
        let m = self.meet.len();
        let matrix = DMatrix::from_fn(m, m, |r, c| program.rows[self.meet[r]].a[c]);
        self.inverse = matrix.try_inverse()?;
        let mut rhs = -&program.g;
        for (row, _) in program.rows.iter().zip(&self.above).filter(|(_, above)| **above) {
            rhs.iter_mut().zip(&row.a).for_each(|(r, a)| *r -= row.weight * a);
        }
        self.multipliers = self.inverse.tr_mul(&rhs).iter().copied().collect();
        self.age = 0;
        Some(())
    }

    /// Rows on the wrong side, the furthest first: by how much, which, and
    /// whether the multiplier must grow.
    fn wrong(&self, program: &Program, x: &[f64]) -> Vec<(f64, usize, bool)> {
        let mut wrong = Vec::new();
        for (j, (row, &above)) in program.rows.iter().zip(&self.above).enumerate() {
            let over = dot(&row.a, x) - row.b;
            let off = if above { -over } else { over };
            if off > CLEAR && !self.meets[j] {
                wrong.push((off, j, !above));
            }
        }
        wrong.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        wrong
    }

    /// Lets `row` in: its multiplier moves until a meeting row's multiplier, or
    /// its own, comes to the end of its box. True where the row only crossed
    /// over and the corner stayed; `None` where there is no end.
    fn exchange(&mut self, program: &Program, row: usize, up: bool) -> Option<bool> {
        let weight = program.rows[row].weight;
        let rate = self.inverse.tr_mul(&DVector::from_column_slice(&program.rows[row].a));
        let sign = if up { -1.0 } else { 1.0 };
        let mut first = (weight, None);
        for (k, &lambda) in self.multipliers.iter().enumerate() {
            let change = sign * rate[k];
            let room = room(lambda, program.rows[self.meet[k]].weight, change);
            if room < first.0 {
                first = (room, Some((k, change > 0.0)));
            }
        }
        let (way, leaving) = first;
        if !way.is_finite() {
            return None;
        }
        self.multipliers.iter_mut().zip(rate.iter()).for_each(|(l, r)| *l += sign * r * way);
        self.age += 1;
        match leaving {
            None => self.above[row] = up,
            Some((k, full)) => {
                self.above[self.meet[k]] = full;
                self.replace(k, row, &rate);
                self.multipliers[k] = if up { way } else { weight - way };
            }
        }
        Some(leaving.is_none())
    }

    /// Puts `row` in the place of the k-th meeting row.
    fn replace(&mut self, k: usize, row: usize, rate: &DVector<f64>) {
        let column = self.inverse.column(k) / rate[k];
        let mut change = rate.clone();
        change[k] -= 1.0;
        self.inverse.ger(-1.0, &column, &change, 1.0);
        self.meets[self.meet[k]] = false;
        self.meet[k] = row;
        self.meets[row] = true;
        self.above[row] = false;
    }
}

/// How far a multiplier may go at a rate of `change` within its box.
fn room(lambda: f64, weight: f64, change: f64) -> f64 {
    if change < -1e-13 {
        lambda.max(0.0) / -change
    } else if change > 1e-13 {
        (weight - lambda).max(0.0) / change
    } else {
        f64::INFINITY
    }
}

fn scale(weight: f64) -> f64 {
    if weight.is_finite() { 1.0 + weight } else { 1.0 }
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
            let a = [random(), random(), random()].into_iter().collect();
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
                let all = corner.all_multipliers(&p);
                assert!(all.iter().zip(&anew.multipliers).all(|(a, b)| (a - b).abs() < 1e-5));
                followed += 1;
            }
        }
        assert!(followed > 500, "{followed}");
    }
}
