//! From a slice to whole shavings, in strokes of a plane.
//!
//! Shavings come whole: at each station as many as are safe, in the fewest
//! strokes, short runs first and long ones after, so that the long sole levels
//! what the short ones left. Every stroke is simulated with the real sole on
//! the edge before it is advised.
//!
//! ## What is safe?
//!
//! A hundred draws of wood and shavings are ribs that agree with the readings, and each has its
//! own least-wood slice. Strokes, fewest first runs from the best estimate, are tried push by
//! push on all of them with uneven shavings, and a push is kept only while it is too much on no
//! more than `overcut` of them at any station, and within the spare width at its upper bound.
//!
//! **Too much** is more than the least-wood slice of the true edge takes at a station, by more
//! than the gap tolerance: a cut that deep can't be closed again without taking wood elsewhere.
//! Why not any excess at all? The advice grew so timid that fitting took twice the rounds
//! (`src/practice/MEASURED.md`). Three tenths of a shaving are allowed on top, since shavings
//! come whole.

use crate::job::Stroke;

/// A stroke on a plan: one plane over a run of stations, some pushes.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// Plane (index).
    pub plane: usize,
    /// First station of the run.
    pub from: usize,
    /// Last station of the run.
    pub to: usize,
    /// Number of pushes.
    pub count: u32,
    /// A full-length stroke held back for the end as the check.
    pub check: bool,
}

impl Planned {
    /// The same as a stroke that was planed, with nothing watched of its shaving.
    pub fn stroke(&self) -> Stroke {
        let &Planned { plane, from, to, count, .. } = self;
        Stroke { plane, from, to, count, shaving: None }
    }
}

/// Runs that take exactly `counts` whole shavings, as few as possible: the
/// number is the sum of `max(0, n_i - n_(i-1))`. Shortest first.
pub fn fewest(counts: &[u32]) -> Vec<(usize, usize, u32)> {
    let mut runs: Vec<(usize, usize, u32)> = Vec::new();
    for level in 1..=counts.iter().copied().max().unwrap_or(0) {
        let mut from = None;
        for i in 0..=counts.len() {
            match (from, counts.get(i).is_some_and(|n| *n >= level)) {
                (None, true) => from = Some(i),
                (Some(start), false) => {
                    add_run(&mut runs, start, i - 1);
                    from = None;
                }
                _ => {}
            }
        }
    }
    runs.sort_by_key(|&(from, to, _)| (to - from, from));
    runs
}

fn add_run(runs: &mut Vec<(usize, usize, u32)>, from: usize, to: usize) {
    match runs.iter_mut().find(|r| (r.0, r.1) == (from, to)) {
        Some(run) => run.2 += 1,
        None => runs.push((from, to, 1)),
    }
}

mod ensemble;

pub use ensemble::{BEYOND, Ensemble, Plan, Tool, best, plan};
