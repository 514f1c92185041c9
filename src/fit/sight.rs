//! Every clearance of every round as a functional of the unknowns.

use crate::job::{Against, Job};
use crate::joint::{Clearance, Clearances, Joint, Pose};
use crate::maths::arrow::Functional;

use super::bound::ZERO_READING;
use super::cuts::Taken;
use super::layout::{Forms, Layout, edge};

/// One clearance in one round at one station.
#[derive(Debug, Clone)]
pub struct Sight {
    /// Round (index).
    pub round: usize,
    /// Station (index).
    pub station: usize,
    /// Which clearance.
    pub kind: Clearance,
    /// What was read, if anything.
    pub seen: Option<Seen>,
    /// Whether it can't be negative.
    pub bounded: bool,
    /// The clearance as a functional of the unknowns, around the present poses.
    pub functional: Functional,
}

/// A reading as the estimate weighs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Value in the sense of a clearance, mm.
    pub value: f64,
    /// Standard deviation of one such reading, without what planing since then blurs.
    pub reading_sd: f64,
    /// Variance added by the uncertain depth of cuts taken since, mm^2.
    pub blur: f64,
    /// Whether the reading itself (not an assumption in its place).
    pub read: bool,
}

/// A joint edge that nobody read a seat at is pushed down on the mold: common
/// practice, no source. Its clearance is within this, mm.
const HELD_DOWN: f64 = 0.05;

/// What is needed to write down the sights.
pub struct Scene<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its joint.
    pub joint: &'a Joint,
    /// Places of the unknowns.
    pub layout: &'a Layout,
    /// The edge's large forms.
    pub forms: &'a Forms,
    /// Wood taken between rounds.
    pub taken: &'a [Taken],
}

impl Scene<'_> {
    /// All sights, linearised around `poses` (one a round).
    pub fn sights(&self, poses: &[Pose]) -> Vec<Sight> {
        let mut sights = Vec::with_capacity(3 * poses.len() * self.joint.len());
        for (round, pose) in poses.iter().enumerate() {
            for station in 0..self.joint.len() {
                let rows = self.rows(round, station, pose);
                for (kind, functional) in rows.into_pairs() {
                    let seen = self.seen(round, station, kind);
                    // Stations that share a block share its bounds: the same one many times over
                    // says no more than once.
                    let free = kind == Clearance::Gap && self.job.rounds[round].against == Against::Line;
                    let bounded = !free && self.layout.stands(station);
                    sights.push(Sight { round, station, kind, seen, bounded, functional });
                }
            }
        }
        sights
    }

    /// Gap, seat and lift at one station in one round.
    fn rows(&self, round: usize, station: usize, pose: &Pose) -> Clearances<Functional> {
        let shift = self.joint.shift(pose, station);
        let at = pose.vector();
        let place = self.layout.pose(round);
        Clearances::each(|kind| {
            let slope = shift.slope[kind];
            let mut f = self.own(round, station, kind);
            f.offset += shift.value[kind] - (slope * at)[0];
            f.border.extend((0..6).map(|c| (place + c, slope[c])));
            f
        })
    }

    /// What the wood itself adds to a clearance.
    pub(super) fn own(&self, round: usize, station: usize, kind: Clearance) -> Functional {
        match kind {
            Clearance::Gap => self.own_gap(round, station),
            Clearance::Seat => self.layout.nothing(station),
            Clearance::Lift => self.layout.spring_at(station, self.layout.bending[round]),
        }
    }

    /// The edge as it was before the strokes since `round`, its overlap a negative gap.
    fn own_gap(&self, round: usize, station: usize) -> Functional {
        let mut f = edge(self.layout, self.forms, station, -1.0);
        for (group, taken) in self.since(round) {
            let cut = taken.cut[station];
            f.offset -= cut;
            let used = self.layout.used(taken.plane);
            f.border.extend(used.map(|u| (self.layout.plane(u), -cut)));
            f.border.push((self.layout.group(group), -cut));
        }
        if self.job.rounds[round].against == Against::Line {
            f.inner.extend(self.layout.line_error_at(station, -1.0).inner);
        }
        f
    }

    /// Groups of strokes from `round` on, before the last round was read.
    fn since(&self, round: usize) -> impl Iterator<Item = (usize, &Taken)> {
        let groups = self.layout.groups.len();
        self.taken.iter().take(groups).enumerate().filter(move |(_, t)| t.round >= round)
    }

    fn seen(&self, round: usize, station: usize, kind: Clearance) -> Option<Seen> {
        let reading = &self.job.rounds[round].readings[station];
        let against = self.job.rounds[round].against;
        let line = against == Against::Line;
        let (value, sd) = (reading.clearance(kind), self.job.reading.of(kind, against));
        let blur = if kind == Clearance::Gap { self.blur(round, station) } else { 0.0 };
        match value {
            Some(v) if v <= 0.0 && !(line && kind == Clearance::Gap) => {
                let (centre, width) = ZERO_READING;
                Some(Seen { value: centre * sd, reading_sd: width * sd, blur, read: true })
            }
            Some(value) => Some(Seen { value, reading_sd: sd, blur, read: true }),
            None if kind == Clearance::Seat => {
                Some(Seen { value: 0.0, reading_sd: HELD_DOWN, blur, read: false })
            }
            None => None,
        }
    }

    /// Variance of what came off since `round` for want of knowing the edge.
    fn blur(&self, round: usize, station: usize) -> f64 {
        self.since(round).map(|(_, t)| t.sd[station].powi(2)).sum()
    }
}
