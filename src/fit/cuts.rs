//! The wood taken between rounds: recorded strokes, replayed on the edge.
//!
//! What a stroke took depends on the edge it met, and that was known only as
//! well as the readings before it told. So strokes are replayed on draws of
//! the edge as it was known then; their mean and spread enter the estimate.

use crate::job::{Job, RoundNumber, Stroke};
use crate::sole::{Bed, Push};

/// Wood taken by one plane after one round.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The round after which it was taken.
    pub round: RoundNumber,
    /// Plane (index into the job's planes).
    pub plane: usize,
    /// Wood at each station, best estimate, mm, at the shaving then known.
    pub cut: Vec<f64>,
    /// Its standard deviation for want of knowing the edge, mm.
    pub sd: Vec<f64>,
    /// Pushes over each station.
    pub pushes: Vec<f64>,
}

/// How far one push's shaving is off its plane's own, as a share: one standard
/// deviation (an assumption, no source).
pub const STROKE_SPREAD: f64 = 0.2;
/// How far a plane's own shaving may be off what the maker stated, as a share:
/// one standard deviation (an assumption, no source; readings refine it).
pub const PLANE_SPREAD: f64 = 0.2;

/// How thick a plane's shavings may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thickness {
    /// Of one shaving, mm.
    pub shaving: f64,
    /// How well that is known: one standard deviation, as a share of it.
    pub own: f64,
}

impl Thickness {
    /// As stated or as learned, whichever is thicker: thinner shavings than stated
    /// can also be strokes that ran elsewhere than thought.
    pub fn of(stated: f64, learned: (f64, f64)) -> Thickness {
        Thickness { shaving: stated * learned.0.max(1.0), own: learned.1 }
    }

    /// The most that so many pushes over one place take, mm: every shaving whole, all of
    /// them together two standard deviations thick.
    pub fn at_most(&self, pushes: f64) -> f64 {
        let spread = (STROKE_SPREAD * STROKE_SPREAD * pushes + (self.own * pushes).powi(2)).sqrt();
        self.shaving * (pushes + 2.0 * spread)
    }
}

/// Replays one round's strokes on draws of the edge's height over the surface
/// aimed at, mm: one row a draw, one value a station;
/// `beds` and `shavings` (as known then, mm) have one entry a plane. The groups
/// come in the order of the planes; none without strokes.
pub fn replay(
    job: &Job,
    round: RoundNumber,
    beds: &[Bed],
    shavings: &[f64],
    heights: &[Vec<f64>],
) -> Vec<Taken> {
    let strokes = &job.rounds[round.index()].strokes;
    let mut planes: Vec<usize> = strokes.iter().map(|s| s.plane).collect();
    planes.sort_unstable();
    planes.dedup();
    let n = job.stations.len();
    let mut sums: Vec<Moments> = planes.iter().map(|_| Moments::new(n)).collect();
    for height in heights {
        let cuts = cuts_on(strokes, beds, shavings, height, &planes);
        sums.iter_mut().zip(&cuts).for_each(|(sum, cut)| sum.add(cut));
    }
    let group = |(plane, sum): (&usize, &Moments)| {
        let (cut, sd) = sum.finish();
        Taken { round, plane: *plane, cut, sd, pushes: pushes(strokes, *plane, n) }
    };
    planes.iter().zip(&sums).map(group).collect()
}

/// What each of `planes` takes from one edge.
fn cuts_on(
    strokes: &[Stroke],
    beds: &[Bed],
    shavings: &[f64],
    height: &[f64],
    planes: &[usize],
) -> Vec<Vec<f64>> {
    let mut now = height.to_vec();
    let mut cuts = vec![vec![0.0; height.len()]; planes.len()];
    for stroke in strokes {
        let push = Push { shaving: shavings[stroke.plane], first: stroke.from, last: stroke.to };
        let group = planes.binary_search(&stroke.plane).unwrap_or(0);
        for _ in 0..stroke.count {
            let cut = beds[stroke.plane].cut(&now, push);
            for (i, c) in cut.iter().enumerate() {
                now[i] -= c;
                cuts[group][i] += c;
            }
        }
    }
    cuts
}

fn pushes(strokes: &[Stroke], plane: usize, n: usize) -> Vec<f64> {
    let over = |i: &usize| {
        let own = strokes.iter().filter(|s| s.plane == plane && (s.from..=s.to).contains(i));
        own.map(|s| f64::from(s.count)).sum()
    };
    (0..n).map(|i| over(&i)).collect()
}

/// Running mean and spread of values at the stations.
struct Moments {
    count: f64,
    mean: Vec<f64>,
    square: Vec<f64>,
}

impl Moments {
    fn new(n: usize) -> Moments {
        Moments { count: 0.0, mean: vec![0.0; n], square: vec![0.0; n] }
    }

    fn add(&mut self, values: &[f64]) {
        self.count += 1.0;
        for ((mean, square), v) in self.mean.iter_mut().zip(&mut self.square).zip(values) {
            let off = v - *mean;
            *mean += off / self.count;
            *square += off * (v - *mean);
        }
    }

    fn finish(&self) -> (Vec<f64>, Vec<f64>) {
        let sd = |s: &f64| (s / (self.count - 1.0).max(1.0)).sqrt();
        (self.mean.clone(), self.square.iter().map(sd).collect())
    }
}
