//! Stations far closer than wood can wave: a scan of the edge.
//!
//! An edge that a plane left can't wave within a few millimetres, so stations that
//! stand so close say the same thing many times over. They are put together, place
//! by place: their middle, and the median of what was read, which one slip among
//! many doesn't move. The answer is worked out for the places and told for every
//! station, by straight lines between them.

use crate::job::{Angle, Job, Reading, ReadingErrors, Round, Station, Stroke};
use crate::joint::Joint;

use super::answer::{Advice, PlannedStroke, StationAdvice};

/// Fewer stations than this are all looked at by themselves.
const MANY: usize = 100;
/// Length of a place along the chord, mm.
const PLACE: f64 = 5.0;
/// A median's error is this much larger than a mean's (textbook value for many
/// normal readings).
const MEDIAN: f64 = 1.2533;
/// The share of a reading's error that is common to its neighbours, so that no
/// median takes it out (an assumption, no source).
const COMMON: f64 = 0.3;

/// A job whose stations are put together.
pub(super) struct Places {
    /// The job of the places.
    pub job: Job,
    /// First station of each place, and at the end the number of stations.
    first: Vec<usize>,
}

impl Places {
    /// The places of a job; `None` where stations stand far enough apart.
    pub fn of(job: &Job) -> Option<Places> {
        let (n, length) = (job.stations.len(), job.stations.last()?.along - job.stations.first()?.along);
        if n < MANY || length > 0.5 * PLACE * n as f64 {
            return None;
        }
        let first = firsts(&job.stations);
        let mut places =
            Places { job: Job { stations: Vec::new(), rounds: Vec::new(), ..job.clone() }, first };
        let stations = places.per_place(|from, to| together(&job.stations[from..to]));
        let rounds = job.rounds.iter().map(|r| places.round(r)).collect();
        places.job.reading = errors(&job.reading, n as f64 / stations.len() as f64);
        (places.job.stations, places.job.rounds) = (stations, rounds);
        Some(places)
    }

    /// Something of each place's stations, given the first of them and the first behind.
    fn per_place<T>(&self, something: impl Fn(usize, usize) -> T) -> Vec<T> {
        self.first.windows(2).map(|w| something(w[0], w[1])).collect()
    }

    /// The place of a station.
    fn place(&self, station: usize) -> usize {
        self.first.partition_point(|f| *f <= station) - 1
    }

    /// A round of the places.
    fn round(&self, round: &Round) -> Round {
        let readings = self.per_place(|from, to| middle(&round.readings[from..to]));
        let run = |(from, to): (usize, usize)| (self.place(from), self.place(to));
        let stroke = |s: &Stroke| {
            let (from, to) = run((s.from, s.to));
            Stroke { from, to, shaving: s.shaving.map(run), ..*s }
        };
        Round { readings, strokes: round.strokes.iter().map(stroke).collect(), ..round.clone() }
    }

    /// The answer for the places, told for every station of `job`.
    pub fn tell(&self, job: &Job, few: Advice) -> Advice {
        let joint = Joint::of(job);
        let last = job.rounds.last().map(|r| &r.readings);
        let along: Vec<f64> = self.job.stations.iter().map(|s| s.along).collect();
        let between = |i: usize, figure: &dyn Fn(&StationAdvice) -> Option<f64>| {
            let (a, b, share) = bracket(&along, job.stations[i].along);
            Some(figure(&few.stations[a])? * (1.0 - share) + figure(&few.stations[b])? * share)
        };
        let station = |i: usize| StationAdvice {
            name: job.stations[i].name.clone(),
            along: joint.frames[i].joint.x,
            arc: joint.frames[i].arc,
            overlap: last.and_then(|r| r[i].overlap),
            lift: last.and_then(|r| r[i].lift),
            remove: between(i, &|s| s.remove),
            remove_sd: between(i, &|s| s.remove_sd),
            remove_now: between(i, &|s| s.remove_now),
            gap_after: between(i, &|s| s.gap_after),
            lift_after: between(i, &|s| s.lift_after),
            edge: between(i, &|s| s.edge),
        };
        let stations = (0..job.stations.len()).map(station).collect();
        let stroke = |s: &PlannedStroke| {
            let after = |i: usize| {
                let (a, b, share) = bracket(&along, job.stations[i].along);
                s.edge_after[a] * (1.0 - share) + s.edge_after[b] * share
            };
            PlannedStroke {
                from: self.first[s.from],
                to: self.first[s.to + 1] - 1,
                edge_after: (0..job.stations.len()).map(after).collect(),
                ..*s
            }
        };
        let strokes = few.strokes.iter().map(stroke).collect();
        let bearings = few.bearings.iter().map(|&p| (self.first[p] + self.first[p + 1]) / 2).collect();
        // Any of a place's stations may hold the figure that is out.
        let doubted = few.doubted.iter().flat_map(|&p| self.first[p]..self.first[p + 1]).collect();
        // Nobody reads stations that close by hand.
        Advice { stations, strokes, bearings, doubted, read_next: None, ..few }
    }
}

/// Where places begin, and the number of stations.
fn firsts(stations: &[Station]) -> Vec<usize> {
    let mut first = vec![0];
    let mut begun = stations[0].along;
    for (i, station) in stations.iter().enumerate() {
        if station.along - begun >= PLACE {
            first.push(i);
            begun = station.along;
        }
    }
    first.push(stations.len());
    first
}

/// The middle of stations, under the name of the one in the middle.
fn together(stations: &[Station]) -> Station {
    let mean =
        |column: &dyn Fn(&Station) -> f64| stations.iter().map(column).sum::<f64>() / stations.len() as f64;
    let some = |column: fn(&Station) -> Option<f64>| {
        stations.iter().all(|s| column(s).is_some()).then(|| mean(&|s| column(s).unwrap_or(0.0)))
    };
    let radians = |column: fn(&Station) -> Option<f64>| some(column).map(Angle::radians);
    Station {
        name: stations[stations.len() / 2].name.clone(),
        along: mean(&|s| s.along),
        width: mean(&|s| s.width),
        bevel: Angle::radians(mean(&|s| s.bevel.in_radians())),
        rise: some(|s| s.rise),
        outer_bevel: radians(|s| s.outer_bevel.map(Angle::in_radians)),
        inner_bevel: radians(|s| s.inner_bevel.map(Angle::in_radians)),
        out_of_plane: some(|s| s.out_of_plane),
    }
}

/// The medians of what was read.
fn middle(readings: &[Reading]) -> Reading {
    let column = |value: fn(&Reading) -> Option<f64>| median(readings.iter().filter_map(value).collect());
    Reading {
        overlap: column(|r| r.overlap),
        lift: column(|r| r.lift),
        seat: column(|r| r.seat),
        ..Reading::default()
    }
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    (n > 0).then(|| (values[(n - 1) / 2] + values[n / 2]) / 2.0)
}

/// Errors of medians of `count` readings.
fn errors(one: &ReadingErrors, count: f64) -> ReadingErrors {
    let own = (MEDIAN * MEDIAN / count).min(1.0);
    let share = (COMMON * COMMON + (1.0 - COMMON * COMMON) * own).sqrt();
    let ReadingErrors { gap, line, lift, seat } = *one;
    ReadingErrors { gap: share * gap, line: share * line, lift: share * lift, seat: share * seat }
}

/// The places around a distance along the chord, and the share of the second.
fn bracket(along: &[f64], at: f64) -> (usize, usize, f64) {
    let right = along.partition_point(|a| *a < at).clamp(1, along.len() - 1);
    let (a, b) = (along[right - 1], along[right]);
    (right - 1, right, ((at - a) / (b - a)).clamp(0.0, 1.0))
}
