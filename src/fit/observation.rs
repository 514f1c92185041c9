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

use crate::job::{Against, Interval, Job, Reading};
use crate::joint::{Clearance, Joint, Pose};
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
    /// The clearance as a sum of the unknowns, around the present poses; what the round's pose does
    /// stands last in the border's part.
    pub sum: Functional,
    /// What it is without any pose, mm.
    unposed: f64,
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
    /// Where an interval was read: which one, in the sense of a clearance.
    pub within: Option<Interval>,
    /// Variance added since an interval leaves the value open, mm^2.
    pub open: f64,
    /// Whether it is a reading (not an assumption in its place).
    pub by_maker: bool,
}

impl Likelihood {
    /// A number that was read.
    fn number(value: f64, sd: f64, blur: f64) -> Likelihood {
        Likelihood { value, sd, blur, within: None, open: 0.0, by_maker: true }
    }

    /// An interval that was read, before anything else is known: its middle, and the spread of a
    /// rectangular distribution (JCGM 101:2008, 6.4.2); an end with a wide spread where there is
    /// but one.
    fn interval(within: Interval, sd: f64, blur: f64) -> Likelihood {
        let width = within.high - within.low;
        let open = if width.is_finite() { width * width / 12.0 } else { 1.0 };
        Likelihood { within: Some(within), open, ..Likelihood::number(within.middle(), sd, blur) }
    }

    /// How far what was read lies from what is expected, mm, and the variance that its interval
    /// leaves open: of one with a single end only what lies beyond that counts.
    pub fn off(&self, expected: f64) -> (f64, f64) {
        match self.within {
            None => (self.value - expected, 0.0),
            Some(Interval { low, high }) if low.is_finite() && high.is_finite() => {
                ((low + high) / 2.0 - expected, (high - low).powi(2) / 12.0)
            }
            Some(Interval { low, high }) => (expected.clamp(low, high) - expected, 0.0),
        }
    }

    /// Whether its distance from what is expected is scattered as a reading's error is.
    pub fn scatters(&self) -> bool {
        self.by_maker && self.within.is_none_or(|i| (i.high - i.low).is_finite())
    }

    /// The part of the variance that grows with the square of the reading errors, mm^2.
    pub fn growing(&self, errors: f64) -> f64 {
        if self.by_maker { (self.sd * errors).powi(2) } else { 0.0 }
    }

    /// Variance where reading errors are `errors` times what the maker stated, mm^2; what is
    /// assumed stays as it is.
    pub fn variance(&self, errors: f64) -> f64 {
        let own = if self.by_maker { self.growing(errors) } else { self.sd.powi(2) };
        own + self.blur + self.open
    }
}

/// A joint edge that nobody read a seat at is pushed down on the mold: common
/// practice, no source. Its clearance is within this, mm.
const HELD_DOWN: f64 = 0.05;

/// A gap this many standard deviations wide is clear of a bearing.
const CLEAR: f64 = 2.0;
/// Leaves nearer to what was read than this are the same, mm.
const SAME_LEAF: f64 = 1e-3;
/// A reading under this many standard deviations is between 'nothing' and itself: else a hair's
/// breadth read, or not, would move the estimate by a jump.
const NOTHING: f64 = 0.25;

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
    /// All observations, not yet linearised: round by round, station by station, gap, seat and lift.
    pub fn observations(&self, unknowns: &Unknowns) -> Vec<Observation> {
        let rounds = self.job.rounds.len();
        let mut observations = Vec::with_capacity(3 * rounds * self.joint.len());
        for round in 0..rounds {
            for station in 0..self.joint.len() {
                for of in Clearance::ALL {
                    let mut sum = self.wood(unknowns, round, station, of);
                    sum.border.extend((0..6).map(|c| (unknowns.pose_place(round) + c, 0.0)));
                    let unposed = sum.offset;
                    let read = self.likelihood(round, station, of);
                    // Stations that share a block share its bounds: the same one many times over
                    // says no more than once.
                    let free = of == Clearance::Gap && self.against(round) == Against::Line;
                    let bounded = !free && unknowns.stands(station);
                    observations.push(Observation { round, station, of, read, bounded, sum, unposed });
                }
            }
        }
        observations
    }

    /// Linearises observations around `poses`, one a round.
    pub fn linearise(&self, observations: &mut [Observation], poses: &[Pose]) {
        for at_station in observations.chunks_exact_mut(Clearance::ALL.len()) {
            let pose = &poses[at_station[0].round];
            let (shift, at) = (self.joint.shift(pose, at_station[0].station), pose.vector());
            for Observation { of, sum, unposed, .. } in at_station {
                let slope = &shift.slope[*of];
                sum.offset = *unposed + shift.value[*of] - (slope * at)[0];
                let first = sum.border.len() - 6;
                sum.border[first..].iter_mut().zip(slope.iter()).for_each(|((_, s), slope)| *s = *slope);
            }
        }
    }

    /// What the rib was held against in a round.
    pub fn against(&self, round: usize) -> Against {
        self.job.rounds[round].against
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
        self.taken.iter().enumerate().filter(move |(_, t)| t.round.index() >= round)
    }

    /// What was read of a clearance. Where 'nothing' was read that can't be less, see
    /// [`ZERO_READING`]; where no seat was read, the joint edge was held down.
    fn likelihood(&self, round: usize, station: usize, of: Clearance) -> Option<Likelihood> {
        let against = self.against(round);
        let reading = &self.job.rounds[round].readings[station];
        let sd = self.job.reading.of(of, against) * reading.error_share(of);
        let blur = if of == Clearance::Gap { self.blur(round, station) } else { 0.0 };
        let signed = against == Against::Line && of == Clearance::Gap;
        let read = if signed { reading.clearance(of) } else { self.felt(reading, of, sd) };
        match (read, self.within(reading, of, read, signed)) {
            (Some(_), Some(within)) => Some(Likelihood::interval(within, sd, blur)),
            (Some(value), _) if value < NOTHING * sd && !signed => {
                let (centre, width) = ZERO_READING;
                let nothing = 1.0 - value.max(0.0) / (NOTHING * sd);
                let (value, sd) =
                    (value.max(0.0) + nothing * centre * sd, sd * (1.0 + nothing * (width - 1.0)));
                Some(Likelihood::number(value, sd, blur))
            }
            (Some(value), _) => Some(Likelihood::number(value, sd, blur)),
            (None, _) if of == Clearance::Seat => {
                Some(Likelihood { by_maker: false, ..Likelihood::number(0.0, HELD_DOWN, blur) })
            }
            _ => None,
        }
    }

    /// What was read of a clearance; where the joint edge was felt to bear, no gap, unless a clear
    /// one was read there: then it bears beside.
    fn felt(&self, reading: &Reading, of: Clearance, sd: f64) -> Option<f64> {
        let read = reading.clearance(of);
        let none = of == Clearance::Gap && reading.bears && read.is_none_or(|gap| gap <= CLEAR * sd);
        if none { Some(0.0) } else { read }
    }

    /// The interval that was read of a clearance: told outright, or by the leaf that goes in and
    /// the next one, which doesn't.
    fn within(&self, reading: &Reading, of: Clearance, felt: Option<f64>, signed: bool) -> Option<Interval> {
        let leaves = &self.job.leaves;
        if felt != reading.clearance(of) {
            return None;
        }
        let by_leaves = || {
            let low = felt.filter(|_| !signed && !leaves.is_empty())?;
            let high = leaves.iter().copied().find(|leaf| *leaf > low + SAME_LEAF);
            let low = if low > SAME_LEAF { low } else { f64::NEG_INFINITY };
            Some(Interval { low, high: high.unwrap_or(f64::INFINITY) })
        };
        reading.within[of].or_else(by_leaves)
    }

    /// Variance of what came off since `round` for want of knowing the edge, mm^2.
    fn blur(&self, round: usize, station: usize) -> f64 {
        self.since(round).map(|(_, t)| t.sd[station].powi(2)).sum()
    }
}
