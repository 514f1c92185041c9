//! A place read more than once while the rib lies as it is.

use super::clearances::{Clearance, Clearances};
use super::types::Reading;
use crate::table::Interval;

/// The share of one reading's variance that all readings of a place in one setting have in
/// common: an assumption, no source.
const COMMON: f64 = 0.5;

impl Reading {
    /// All readings of a place in one setting as one: means, of numbers as of the ends of
    /// intervals.
    pub fn joined(all: &[&Reading]) -> Reading {
        match all {
            [] => return Reading::default(),
            [only] => return (*only).clone(),
            _ => {}
        }
        let times = Clearances::each(|of| all.iter().filter(|r| r.clearance(of).is_some()).count() as u32);
        let within = Clearances::each(|of| within(all, of));
        let mean = |of: Clearance| {
            let sum: f64 = all.iter().filter_map(|r| r.clearance(of)).sum();
            let own = within[of].map(Interval::middle);
            own.or((times[of] > 0).then(|| sum / f64::from(times[of])))
        };
        Reading {
            overlap: mean(Clearance::Gap).map(|gap| 0.0 - gap),
            lift: mean(Clearance::Lift),
            seat: mean(Clearance::Seat),
            within,
            again: Clearances::each(|of| times[of].saturating_sub(1)),
            bears: all.iter().any(|r| r.bears),
        }
    }

    /// Standard deviation of what was read of a clearance, as a share of one reading's.
    pub fn error_share(&self, of: Clearance) -> f64 {
        (COMMON + (1.0 - COMMON) / f64::from(self.again[of] + 1)).sqrt()
    }
}

/// The mean interval of a clearance, where any of its readings is one; a number among them is an
/// interval without width.
fn within(all: &[&Reading], of: Clearance) -> Option<Interval> {
    let point = |v: f64| Interval { low: v, high: v };
    let each: Vec<Interval> =
        all.iter().filter_map(|r| r.within[of].or(r.clearance(of).map(point))).collect();
    let count = each.len() as f64;
    let mean = |end: fn(&Interval) -> f64| each.iter().map(end).sum::<f64>() / count;
    let any = all.iter().any(|r| r.within[of].is_some());
    any.then(|| Interval { low: mean(|i| i.low), high: mean(|i| i.high) })
}
