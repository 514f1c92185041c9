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
    pub(crate) fn joined(all: &[&Reading]) -> Reading {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Two readings whose errors share half their variance: the mean has three quarters of it.
    #[test]
    fn a_second_reading_says_less_than_the_first() {
        let once = |overlap| Reading { overlap: Some(overlap), ..Reading::default() };
        let both = Reading::joined(&[&once(-0.2), &once(-0.3)]);
        assert!((both.overlap.unwrap_or(0.0) + 0.25).abs() < 1e-12);
        assert!((both.error_share(Clearance::Gap).powi(2) - 0.75).abs() < 1e-12);
        assert_eq!(both.error_share(Clearance::Lift), 1.0);
        assert_eq!(both.count(), 2);
    }

    #[test]
    fn intervals_of_one_place_are_averaged_by_their_ends() {
        let told = |low, high| Reading {
            lift: Some(0.0),
            within: Clearances { lift: Some(Interval { low, high }), ..Clearances::default() },
            ..Reading::default()
        };
        let both = Reading::joined(&[&told(0.1, 0.2), &told(0.15, f64::INFINITY)]);
        assert_eq!(both.within.lift, Some(Interval { low: 0.125, high: f64::INFINITY }));
        assert_eq!(both.lift, Some(0.125));
    }
}
