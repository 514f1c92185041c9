//! What is safe to take now: the least-wood slice over draws of the wood.
//!
//! The readings leave the wood uncertain. Each draw from the estimate is a rib
//! that agrees with them; its own least-wood slice says how much that rib
//! should lose. Taking at a station more than most of the draws would lose is
//! what 'too much' means.

use crate::fit::{Draw, Fit};
use crate::joint::{Clearances, Joint};
use crate::maths::both_ends::normals;
use crate::seat::{PushHome, seat};

use super::{Aims, Slice};

/// The wood and its slices over a number of draws.
#[derive(Debug, Clone)]
pub struct Chances {
    /// One row a draw, one column a station: wood that rib should lose, mm.
    pub remove: Vec<Vec<f64>>,
    /// The draws of wood, clearances and shavings themselves.
    pub draws: Vec<Draw>,
    /// Clearances of each draw's rib pushed home: one row a draw, one entry a station, mm.
    pub rest: Vec<Vec<Clearances>>,
}

/// The seed of all draws: the same readings give the same advice.
const SEED: u64 = 0x5ee_d0f_0ad;
/// Draws for a joint of ordinary length; fewer where stations are many.
const DRAWS: usize = 100;
/// And never fewer than this.
const FEWEST_DRAWS: usize = 24;

/// Draws wood from the fit, at most `most` times.
pub fn draws(fit: &Fit, most: usize) -> Vec<Draw> {
    let stations = fit.edge.len().max(1);
    let count = (20_000 / stations).clamp(FEWEST_DRAWS, DRAWS).min(most);
    (0..count).map(|k| fit.draw(k, normals(SEED, k))).collect()
}

/// Slices each draw, starting from `slice`, and lays each rib to rest.
pub fn chances(joint: &Joint, fit: &Fit, aims: &Aims, slice: &Slice) -> Chances {
    let draws = draws(fit, DRAWS);
    let ribs: Vec<_> = draws.iter().map(|d| (d.edge.clone(), d.spring.clone())).collect();
    let remove = slice.for_others(joint, (&fit.edge, &fit.spring), &ribs, aims);
    let rest = at_rest(joint, fit, &draws);
    Chances { remove, draws, rest }
}

impl Chances {
    /// The amount that stays below what the share `chance` of the draws would lose, mm.
    pub fn quantile(&self, station: usize, chance: f64) -> f64 {
        let mut values: Vec<f64> = self.remove.iter().map(|r| r[station]).collect();
        values.sort_by(f64::total_cmp);
        let place = (chance * values.len() as f64).floor() as usize;
        values.get(place).copied().unwrap_or(0.0)
    }

    /// Standard deviation of the slice at each station over the draws, mm.
    pub fn sd(&self) -> Vec<f64> {
        let n = self.remove.first().map_or(0, Vec::len);
        let count = self.remove.len() as f64;
        (0..n)
            .map(|i| {
                let mean = self.remove.iter().map(|r| r[i]).sum::<f64>() / count;
                let square = self.remove.iter().map(|r| (r[i] - mean).powi(2)).sum::<f64>();
                (square / (count - 1.0).max(1.0)).sqrt()
            })
            .collect()
    }

    /// The share of draws in which the rib, as it lay in the last round, is
    /// within the tolerances at every station.
    pub fn fitted(&self, gap: f64, lift: f64) -> f64 {
        let within = |rest: &&Vec<Clearances>| rest.iter().all(|c| c.gap <= gap && c.lift <= lift);
        self.rest.iter().filter(within).count() as f64 / self.rest.len().max(1) as f64
    }
}

/// Gap, seat and lift of each draw's rib at rest.
fn at_rest(joint: &Joint, fit: &Fit, draws: &[Draw]) -> Vec<Vec<Clearances>> {
    let start = fit.poses.last().copied().unwrap_or_default();
    let pose = seat(joint, &fit.edge, &fit.spring, start).map_or(start, |r| r.pose);
    let mut push = PushHome::around(joint, &fit.edge, &fit.spring, pose);
    let mut rest_of = |d: &Draw| match push.as_mut().map(|p| p.rest(&d.edge, &d.spring)) {
        Ok(Ok(rest)) => rest,
        _ => d.clearances.clone(),
    };
    draws.iter().map(&mut rest_of).collect()
}
