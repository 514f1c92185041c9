//! Following a program's minimum from corner to corner as right sides change.
//!
//! Draws of the wood differ only in the right sides of the rows. The minimum of a [`Program`]
//! whose curvature is only a trace sits at a corner, where as many rows as there are unknowns
//! meet; when right sides change the multipliers stay valid and only some rows come to lie on
//! the wrong side. The dual simplex with bounded multipliers (textbook method; from memory)
//! mends that in a few exchanges, each a change of rank one of a small inverse: many times faster
//! than starting anew.

use nalgebra::{DMatrix, DVector};

use super::active_set::Place;
use super::dot;
use super::program::{Failure, Minimum, Program};

/// A corner: which rows meet there, and where the others' multipliers stand.
#[derive(Debug, Clone)]
struct Corner {
    /// Rows that meet.
    meet: Vec<usize>,
    place: Vec<Place>,
    /// Inverse of the meeting rows' matrix, one column of `m` numbers a meeting row; kept up by
    /// changes of rank one.
    inverse: Vec<f64>,
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
/// Multipliers may be out of their boxes by this share of the weight and 1.
const EASE: f64 = 1e-7;
/// A multiplier that changes more slowly than this, for an entering one's change of 1, stays.
const STILL: f64 = 1e-13;
/// A row depends on others when less than this share of it is new.
const DEPENDS: f64 = 1e-5;

/// Minimises programs that differ little from one to the next: from the last
/// corner where the way from there is known, else anew.
#[derive(Debug, Clone, Default)]
pub struct Tracker {
    corner: Option<Corner>,
    anew: usize,
    scratch: Scratch,
}

/// Lists that each look and exchange fills anew.
#[derive(Debug, Clone, Default)]
struct Scratch {
    excess: Vec<f64>,
    wrong: Vec<(f64, usize, bool)>,
    rate: Vec<f64>,
}

impl Tracker {
    /// The minimum of a program of the same shape as the last one, all of whose numbers may
    /// have changed.
    ///
    /// # Errors
    /// As [`Program::minimise`].
    pub fn minimise(&mut self, program: &Program) -> Result<Minimum, Failure> {
        let known = self.corner.as_mut().filter(|c| c.place.len() == program.len());
        if known.is_none_or(|c| c.refresh(program).is_none()) {
            self.corner = None;
        }
        self.follow(program)
    }

    /// The minimum of a program that differs from the last one in its right sides only.
    ///
    /// # Errors
    /// As [`Program::minimise`].
    pub fn follow(&mut self, program: &Program) -> Result<Minimum, Failure> {
        let scratch = &mut self.scratch;
        let near = self.corner.as_mut().and_then(|corner| corner.follow(program, scratch));
        if let Some(minimum) = near {
            return Ok(minimum);
        }
        self.anew += 1;
        let minimum = program.minimise()?;
        self.corner = Corner::at(program, &minimum);
        Ok(minimum)
    }

    /// How many minima were sought anew, since there was no corner or the way from it was lost.
    pub fn anew(&self) -> usize {
        self.anew
    }
}

impl Corner {
    /// The corner at a program's minimum; `None` where no corner is there
    /// (fewer independent rows than unknowns).
    fn at(program: &Program, minimum: &Minimum) -> Option<Corner> {
        let excess = program.excess(minimum.x.as_slice());
        let boxes = minimum.multipliers.iter().zip(&program.weights);
        let inside = boxes.map(|(lambda, weight)| lambda.min(weight - lambda));
        let key: Vec<f64> = excess.iter().zip(inside).map(|(e, inside)| e.abs() - inside).collect();
        let mut order: Vec<usize> = (0..program.len()).collect();
        // Rows that meet have multipliers inside their box, and no slack.
        order.sort_by(|&a, &b| key[a].total_cmp(&key[b]));
        let meet = independent(program, &order)?;
        let high = |(e, w): (&f64, &f64)| if *e > 0.0 && w.is_finite() { Place::High } else { Place::Low };
        let mut place: Vec<Place> = excess.iter().zip(&program.weights).map(high).collect();
        meet.iter().for_each(|&j| place[j] = Place::Inside);
        let mut corner = Corner { meet, place, inverse: Vec::new(), multipliers: Vec::new(), age: 0 };
        corner.refresh(program)?;
        Some(corner)
    }

    /// Computes inverse and multipliers from the rows; `None` where the rows meet no more, or
    /// a multiplier is out of its box.
    fn refresh(&mut self, program: &Program) -> Option<()> {
        let m = self.meet.len();
        let mut transposed = DMatrix::zeros(m, m);
        for (k, &j) in self.meet.iter().enumerate() {
            transposed.column_mut(k).iter_mut().zip(program.rows.row(j)).for_each(|(v, a)| *v = a);
        }
        self.inverse = transposed.transpose().try_inverse()?.as_slice().to_vec();
        let mut level = -&program.g;
        for j in (0..self.place.len()).filter(|j| self.place[*j] == Place::High) {
            let weight = program.weights[j];
            level.iter_mut().zip(program.rows.row(j)).for_each(|(l, a)| *l -= weight * a);
        }
        let columns = self.inverse.chunks_exact(m);
        self.multipliers = columns.map(|column| dot(column, level.as_slice())).collect();
        self.age = 0;
        let inside = self.meet.iter().zip(&self.multipliers).all(|(&j, &lambda)| {
            let weight = program.weights[j];
            let ease = EASE * if weight.is_finite() { 1.0 + weight } else { 1.0 };
            lambda >= -ease && lambda <= weight + ease
        });
        inside.then_some(())
    }

    /// Follows the minimum to where the right sides have moved it; `None` where the way there is
    /// lost.
    fn follow(&mut self, program: &Program, scratch: &mut Scratch) -> Option<Minimum> {
        let mut x = DVector::zeros(self.meet.len());
        for _ in 0..MOST_EXCHANGES {
            if self.age > OLD {
                self.refresh(program)?;
            }
            self.meeting_point(program, x.as_mut_slice());
            self.look(program, x.as_slice(), scratch);
            if scratch.wrong.is_empty() {
                let sound = x.iter().all(|v| v.is_finite());
                return sound.then(|| Minimum { x, multipliers: self.all_multipliers(program) });
            }
            // Rows that only cross over leave the corner where it is, so the
            // next one can follow at once.
            for &(_, row, up) in &scratch.wrong {
                if !self.exchange(program, row, up, &mut scratch.rate)? {
                    break;
                }
            }
        }
        None
    }

    /// The point at which the rows meet.
    fn meeting_point(&self, program: &Program, x: &mut [f64]) {
        x.fill(0.0);
        for (column, &j) in self.inverse.chunks_exact(x.len()).zip(&self.meet) {
            let side = program.sides[j];
            x.iter_mut().zip(column).for_each(|(x, v)| *x += v * side);
        }
    }

    /// Rows on the wrong side of a point, the furthest first: by how much, which, and
    /// whether the multiplier must grow.
    fn look(&self, program: &Program, x: &[f64], scratch: &mut Scratch) {
        let Scratch { excess, wrong, .. } = scratch;
        program.rows.times(x, excess);
        wrong.clear();
        for (j, (product, b)) in excess.iter().zip(&program.sides).enumerate() {
            let over = product - b;
            if over.abs() > CLEAR {
                match self.place[j] {
                    Place::Low if over > 0.0 => wrong.push((over, j, true)),
                    Place::High if over < 0.0 => wrong.push((-over, j, false)),
                    _ => {}
                }
            }
        }
        wrong.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    }

    /// Lets `row` in: its multiplier moves until a meeting row's multiplier, or
    /// its own, comes to the end of its box. True where the row only crossed
    /// over and the corner stayed; `None` where there is no end.
    fn exchange(&mut self, program: &Program, row: usize, up: bool, rate: &mut Vec<f64>) -> Option<bool> {
        let weight = program.weights[row];
        let sign = if up { -1.0 } else { 1.0 };
        rate.clear();
        for column in self.inverse.chunks_exact(self.meet.len()) {
            rate.push(column.iter().zip(program.rows.row(row)).map(|(v, a)| v * a).sum());
        }
        let mut first = (weight, None);
        for (k, (lambda, rate)) in self.multipliers.iter().zip(&*rate).enumerate() {
            let change = sign * rate;
            let room = room(*lambda, program.weights[self.meet[k]], change);
            if room < first.0 {
                first = (room, Some((k, change > 0.0)));
            }
        }
        let (way, leaving) = first;
        if !way.is_finite() {
            return None;
        }
        self.multipliers.iter_mut().zip(&*rate).for_each(|(l, r)| *l += sign * r * way);
        self.age += 1;
        match leaving {
            None => self.place[row] = if up { Place::High } else { Place::Low },
            Some((k, full)) => {
                self.place[self.meet[k]] = if full { Place::High } else { Place::Low };
                self.replace(k, row, rate);
                self.multipliers[k] = if up { way } else { weight - way };
            }
        }
        Some(leaving.is_none())
    }

    /// Puts `row` in the place of the k-th meeting row.
    fn replace(&mut self, k: usize, row: usize, rate: &[f64]) {
        let m = self.meet.len();
        let (before, rest) = self.inverse.split_at_mut(k * m);
        let (own, after) = rest.split_at_mut(m);
        own.iter_mut().for_each(|v| *v /= rate[k]);
        let others =
            before.chunks_exact_mut(m).zip(rate).chain(after.chunks_exact_mut(m).zip(&rate[k + 1..]));
        for (column, rate) in others {
            column.iter_mut().zip(&*own).for_each(|(v, o)| *v -= rate * o);
        }
        self.meet[k] = row;
        self.place[row] = Place::Inside;
    }

    /// The multipliers of all rows at this corner.
    fn all_multipliers(&self, program: &Program) -> Vec<f64> {
        let at_bound = |(place, weight): (&Place, &f64)| if *place == Place::High { *weight } else { 0.0 };
        let mut all: Vec<f64> = self.place.iter().zip(&program.weights).map(at_bound).collect();
        for (&j, lambda) in self.meet.iter().zip(&self.multipliers) {
            all[j] = lambda.clamp(0.0, program.weights[j]);
        }
        all
    }
}

/// How far a multiplier may go at a rate of `change` within its box.
fn room(lambda: f64, weight: f64, change: f64) -> f64 {
    if change < -STILL {
        lambda.max(0.0) / -change
    } else if change > STILL {
        (weight - lambda).max(0.0) / change
    } else {
        f64::INFINITY
    }
}

/// The first rows of `order` that are independent, as many as there are unknowns.
fn independent(program: &Program, order: &[usize]) -> Option<Vec<usize>> {
    let m = program.g.len();
    let mut basis: Vec<DVector<f64>> = Vec::with_capacity(m);
    let mut chosen = Vec::with_capacity(m);
    for &j in order {
        let own = DVector::from_iterator(m, program.rows.row(j));
        let rest = basis.iter().fold(own.clone(), |r, b| &r - b * b.dot(&r));
        let size = rest.norm();
        if size > DEPENDS * own.norm() {
            basis.push(rest / size);
            chosen.push(j);
            if chosen.len() == m {
                return Some(chosen);
            }
        }
    }
    None
}
