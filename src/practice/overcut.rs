//! Too much wood: more than the least-wood slice of the true edge takes.

use serde::Serialize;

use crate::joint::{Joint, Pose};
use crate::slice::{self, Aims};

use super::blank::Task;
use super::rib::Wood;

/// How often planing took too much: more at a station than the least-wood
/// slice of the true edge would have taken there, by more than the gap
/// tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Overcuts {
    /// Plannings that were carried out.
    #[serde(rename = "advices")]
    pub plannings: usize,
    /// Of these, how many took too much at some station.
    #[serde(rename = "advices_over")]
    pub plannings_over: usize,
    /// Stations over all plannings.
    #[serde(rename = "stations")]
    pub places: usize,
    /// Of these, at how many too much came off.
    #[serde(rename = "stations_over")]
    pub places_over: usize,
    /// Plannings of which it is known where too much was held to be likeliest.
    pub riskiest: usize,
    /// Of these, at how many of those places too much came off.
    pub riskiest_over: usize,
}

/// The lift that the judged slice may leave, as a share of the tolerance. More than the
/// advice leaves, so that it takes less wood: what the advice takes to bring lifts further
/// down counts against it.
const LIFT_LEFT: f64 = 0.5;

impl Overcuts {
    /// Counts one planning by the wood it took too much at each station,
    /// where it took any, beyond the tolerance.
    pub(super) fn add(&mut self, beyond: &[Option<f64>], tolerance: f64) {
        let over = beyond.iter().flatten().filter(|b| **b > tolerance).count();
        self.plannings += 1;
        self.plannings_over += usize::from(over > 0);
        self.places += beyond.len();
        self.places_over += over;
    }

    /// Both together.
    pub fn and(self, other: Overcuts) -> Overcuts {
        Overcuts {
            plannings: self.plannings + other.plannings,
            plannings_over: self.plannings_over + other.plannings_over,
            places: self.places + other.places,
            places_over: self.places_over + other.places_over,
            riskiest: self.riskiest + other.riskiest,
            riskiest_over: self.riskiest_over + other.riskiest_over,
        }
    }

    /// Counts the place in each planning where too much was held to be likeliest.
    pub(super) fn add_riskiest(&mut self, over: impl Iterator<Item = bool>) {
        for over in over {
            self.riskiest += 1;
            self.riskiest_over += usize::from(over);
        }
    }
}

/// Wood taken between two states of the edge beyond what the least-wood slice
/// of the first takes to close everything, mm, at each station; negative where
/// some may still come off, `None` where nothing came off.
pub(super) fn of(task: &Task, before: &Wood, after: &Wood) -> Vec<Option<f64>> {
    let known = &task.known;
    let (edge, spring) = (known.at_stations(&before.edge), known.stands_off(before));
    let aims = Aims {
        gap: 0.0,
        lift: Some(LIFT_LEFT * task.job.tolerance.lift),
        spare: vec![f64::INFINITY; edge.len()],
    };
    let joint = Joint::of(&task.truth);
    let Ok(slice) = slice::least_wood(&joint, &edge, &spring, &aims, Pose::default()) else {
        return vec![None; edge.len()];
    };
    let left = known.at_stations(&after.edge);
    let beyond = |i: usize| {
        let taken = edge[i] - left[i];
        (taken > 0.0).then(|| taken - slice.remove[i])
    };
    (0..edge.len()).map(beyond).collect()
}
