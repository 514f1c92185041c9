//! What was read, and of what: every clearance of every round as a sum of the unknowns.
//!
//! With `R` the wood taken off before a round, `p` and `q` a station's joint point and outer
//! point, and the pose's clearances as [`Joint::shift`] tells them:
//!
//! - gap = pose at `p` - (`e` - `R`) [- error of the line, in a round against a line]
//! - seat = pose at `p`
//! - lift = pose at `q` + `f`, the spring
//!
//! An overlap is a negative gap. A pose's part is linearised around the pose believed now.

use crate::job::{Against, Job};
use crate::joint::{Clearance, Clearances, Joint, Pose};
use crate::maths::information::Functional;

use super::bound::ZERO_READING;
use super::cuts::Taken;
use super::unknowns::Unknowns;

/// One clearance in one round at one station.
#[derive(Debug, Clone)]
pub struct Observation {
    /// Round (index).
    pub round: usize,
    /// Station (index).
    pub station: usize,
    /// Which clearance.
    pub of: Clearance,
    /// What was read, if anything.
    pub read: Option<Likelihood>,
    /// Whether the clearance can't be negative.
    pub bounded: bool,
    /// The clearance as a sum of the unknowns, around the present poses.
    pub sum: Functional,
}

/// How likely a clearance makes what was read: a normal curve about a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likelihood {
    /// Its middle, in the sense of a clearance, mm.
    pub value: f64,
    /// Standard deviation of one such reading, without what planing since then blurs.
    pub sd: f64,
    /// Variance added by the uncertain depth of cuts taken since, mm^2.
    pub blur: f64,
    /// Whether it is a reading (not an assumption in its place).
    pub by_maker: bool,
}

impl Likelihood {
    /// Variance where reading errors are `errors` times what the maker stated, mm^2; what is
    /// assumed stays as it is.
    pub fn variance(&self, errors: f64) -> f64 {
        let scale = if self.by_maker { errors } else { 1.0 };
        (self.sd * scale).powi(2) + self.blur
    }
}

/// A joint edge that nobody read a seat at is pushed down on the mold: common
/// practice, no source. Its clearance is within this, mm.
const HELD_DOWN: f64 = 0.05;

/// What a joint's observations are made of.
#[derive(Debug, Clone, Copy)]
pub struct Data<'a> {
    /// The job with its readings.
    pub job: &'a Job,
    /// Its joint.
    pub joint: &'a Joint,
    /// Wood taken between rounds.
    pub taken: &'a [Taken],
}

impl Data<'_> {
    /// All observations, linearised around `poses` (one a round): round by round, station by
    /// station, gap, seat and lift.
    pub fn observations(&self, unknowns: &Unknowns, poses: &[Pose]) -> Vec<Observation> {
        let mut observations = Vec::with_capacity(3 * poses.len() * self.joint.len());
        for (round, pose) in poses.iter().enumerate() {
            for station in 0..self.joint.len() {
                for (of, sum) in self.sums(unknowns, round, station, pose).into_pairs() {
                    let read = self.likelihood(round, station, of);
                    // Stations that share a block share its bounds: the same one many times over
                    // says no more than once.
                    let free = of == Clearance::Gap && self.against(round) == Against::Line;
                    let bounded = !free && unknowns.stands(station);
                    observations.push(Observation { round, station, of, read, bounded, sum });
                }
            }
        }
        observations
    }

    /// What the rib was held against in a round.
    pub fn against(&self, round: usize) -> Against {
        self.job.rounds[round].against
    }

    /// The clearances at one station in one round: what pose and wood do.
    fn sums(&self, unknowns: &Unknowns, round: usize, station: usize, pose: &Pose) -> Clearances<Functional> {
        let shift = self.joint.shift(pose, station);
        let at = pose.vector();
        let place = unknowns.pose_place(round);
        Clearances::each(|of| {
            let slope = shift.slope[of];
            let mut sum = self.wood(unknowns, round, station, of);
            sum.offset += shift.value[of] - (slope * at)[0];
            sum.border.extend((0..6).map(|c| (place + c, slope[c])));
            sum
        })
    }

    /// What the wood itself adds to a clearance in a round.
    pub fn wood(&self, unknowns: &Unknowns, round: usize, station: usize, of: Clearance) -> Functional {
        match of {
            Clearance::Gap => self.less_edge(unknowns, round, station),
            Clearance::Seat => unknowns.nothing(station),
            Clearance::Lift => unknowns.spring(station, round),
        }
    }

    /// `-(e - R)`, `e` the edge as it is now: `R` is then minus what came off from `round` on.
    /// Each cut is known but for two shares of it, the plane's own and that of the round's strokes.
    fn less_edge(&self, unknowns: &Unknowns, round: usize, station: usize) -> Functional {
        let mut sum = unknowns.edge(station, -1.0);
        for (group, taken) in self.since(round) {
            let cut = taken.cut[station];
            sum.offset -= cut;
            sum.border.extend(unknowns.shaving_place(taken.plane).map(|place| (place, -cut)));
            sum.border.push((unknowns.group_place(group), -cut));
        }
        if self.against(round) == Against::Line {
            sum.inner.extend(unknowns.line_error(station, -1.0).inner);
        }
        sum
    }

    /// Groups of strokes from `round` on, before the last round was read.
    fn since(&self, round: usize) -> impl Iterator<Item = (usize, &Taken)> {
        self.taken.iter().enumerate().filter(move |(_, t)| t.round >= round)
    }

    /// What was read of a clearance. Where 'nothing' was read that can't be less, see
    /// [`ZERO_READING`]; where no seat was read, the joint edge was held down.
    fn likelihood(&self, round: usize, station: usize, of: Clearance) -> Option<Likelihood> {
        let against = self.against(round);
        let sd = self.job.reading.of(of, against);
        let blur = if of == Clearance::Gap { self.blur(round, station) } else { 0.0 };
        let signed = against == Against::Line && of == Clearance::Gap;
        match self.job.rounds[round].readings[station].clearance(of) {
            Some(value) if value <= 0.0 && !signed => {
                let (centre, width) = ZERO_READING;
                Some(Likelihood { value: centre * sd, sd: width * sd, blur, by_maker: true })
            }
            Some(value) => Some(Likelihood { value, sd, blur, by_maker: true }),
            None if of == Clearance::Seat => {
                Some(Likelihood { value: 0.0, sd: HELD_DOWN, blur, by_maker: false })
            }
            None => None,
        }
    }

    /// Variance of what came off since `round` for want of knowing the edge, mm^2.
    fn blur(&self, round: usize, station: usize) -> f64 {
        self.since(round).map(|(_, t)| t.sd[station].powi(2)).sum()
    }
}
