//! What wood off a bearing does to the gaps elsewhere, by seating anew.

use crate::joint::Joint;
use crate::maths::program::Failure;

use super::{Rest, seat};

/// What taking wood at one station does.
#[derive(Debug, Clone, PartialEq)]
pub struct Leverage {
    /// The station (index) at which the wood comes off.
    pub station: usize,
    /// Wood that comes off there and nowhere else, mm.
    pub taken: f64,
    /// By how much the gap at each station grows, mm; negative where it closes.
    pub change: Vec<f64>,
}

impl Leverage {
    /// The other station whose gap closes most, and by how much, mm; none
    /// where nothing closes.
    pub fn closes_most(&self) -> Option<(usize, f64)> {
        let others = self.change.iter().enumerate().filter(|(i, _)| *i != self.station);
        let most = others.min_by(|a, b| a.1.total_cmp(b.1))?;
        (*most.1 < -NOTHING).then_some((most.0, -most.1))
    }
}

/// A change of a gap that counts as none, mm.
const NOTHING: f64 = 0.005;

/// For each station at which a rib bears: what `amount` (mm) off there alone
/// does to all gaps. Nothing is assumed about the shape of the edge: each rib
/// is seated anew, so a bearing that hands over to its neighbour shows.
///
/// `edge` and `spring` are the rib's wood as in [`seat`], `rest` how it lies.
///
/// # Errors
/// A number that is not finite.
pub fn leverage(
    joint: &Joint,
    edge: &[f64],
    spring: &[f64],
    rest: &Rest,
    amount: f64,
) -> Result<Vec<Leverage>, Failure> {
    let lever = |&station: &usize| {
        let mut less = edge.to_vec();
        less[station] -= amount;
        let after = seat(joint, &less, spring, rest.pose)?;
        let change = after.clearances.iter().zip(&rest.clearances).map(|(a, b)| a.gap - b.gap).collect();
        Ok(Leverage { station, taken: amount, change })
    };
    rest.bearings.iter().map(lever).collect()
}
