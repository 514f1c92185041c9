//! Where the rib bore in each round against the neighbour.
//!
//! A rib pushed home rests where the push, mean gap + mean seat + 1/4 mean lift, can do no more
//! work. By the duality of linear programs the push's excess over rest is the sum of the
//! clearances `c` times what each carries, its multiplier `m`. A maker's hand leaves a little
//! excess; with one of about 6 mm over [`PUSH_STRENGTH`] each clearance gets the factor
//! `exp(-k m c)`, `k` the strength. Which points bear depends on the wood, so that the
//! multipliers are averaged over draws of it.

use crate::job::Against;
use crate::joint::{Clearance, Clearances, Pose};
use crate::maths::both_ends::{BothEnds, normals};
use crate::maths::information::{Functional, Values, evaluate};
use crate::seat;

use super::observation::Data;
use super::unknowns::Unknowns;

/// Draws over which the bearings are averaged.
const DRAWS: usize = 40;
/// Their seed: the same readings give the same bearings.
const SEED: u64 = 7;
/// How firmly a rib is pushed home: the excess over rest is about six over this, mm.
const PUSH_STRENGTH: f64 = 70.0;

/// How strongly each clearance carried the push home, 1/mm: one row a round, in it one entry a
/// station; zero in rounds against a line.
pub fn carried(data: &Data, unknowns: &Unknowns, ends: &BothEnds, poses: &[Pose]) -> Vec<Vec<Clearances>> {
    let draws: Vec<Values> = (0..DRAWS).map(|k| ends.draw(k, normals(SEED, k))).collect();
    let mean = (ends.estimate.inner.clone(), ends.estimate.outer.clone());
    let nothing = || vec![Clearances::default(); data.joint.len()];
    let of_round = |(round, pose): (usize, &Pose)| match data.against(round) {
        Against::Line => nothing(),
        Against::Neighbour => {
            Wood::of(data, unknowns, round).carried(data, *pose, &mean, &draws).unwrap_or_else(nothing)
        }
    };
    poses.iter().enumerate().map(of_round).collect()
}

/// What the wood adds to a round's gaps and lifts, as sums of the unknowns.
struct Wood<'a> {
    unknowns: &'a Unknowns,
    gaps: Vec<Functional>,
    lifts: Vec<Functional>,
}

impl<'a> Wood<'a> {
    fn of(data: &Data, unknowns: &'a Unknowns, round: usize) -> Wood<'a> {
        let all = |of| (0..data.joint.len()).map(|i| data.wood(unknowns, round, i, of)).collect();
        Wood { unknowns, gaps: all(Clearance::Gap), lifts: all(Clearance::Lift) }
    }

    /// Edge and spring at given unknowns, mm.
    fn at(&self, (inner, outer): &Values) -> (Vec<f64>, Vec<f64>) {
        let value = |f: &Functional| evaluate(&self.unknowns.shape, f, inner, outer);
        (self.gaps.iter().map(|f| -value(f)).collect(), self.lifts.iter().map(value).collect())
    }

    /// The mean of what each clearance carries over the draws, times the push's strength; none
    /// where the rib can't be seated.
    fn carried(&self, data: &Data, pose: Pose, mean: &Values, draws: &[Values]) -> Option<Vec<Clearances>> {
        let (edge, spring) = self.at(mean);
        let mut push = seat::PushHome::around(data.joint, &edge, &spring, pose).ok()?;
        let mut carried: Vec<Clearances> = vec![Clearances::default(); data.joint.len()];
        for draw in draws {
            let (edge, spring) = self.at(draw);
            let shares = push.carrying(&edge, &spring).unwrap_or_default();
            for (sum, share) in carried.iter_mut().zip(&shares) {
                *sum = Clearances::each(|of| sum[of] + share[of] / DRAWS as f64);
            }
        }
        Some(carried.into_iter().map(|c| Clearances::each(|of| PUSH_STRENGTH * c[of])).collect())
    }
}
