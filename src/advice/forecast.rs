//! What the next round should read after given strokes, with its uncertainty,
//! and how well that came true.
//!
//! Each draw of the wood is planed with uneven shavings and pushed home; the
//! readings should scatter around these ribs by the reading errors.
//!
//! ## Why does a zero count by shares?
//!
//! Neither a gap nor a lift is read below zero, so a 0 says only 'no more than
//! this'. It stands for the whole lower end of what was foreseen, and counts by
//! the share of that end within one or two standard deviations. A forecast
//! that is right then scores 68 and 95 %, zeros or not. (The idea is that of
//! the nonrandomised probability integral transform for counts: C. Czado,
//! T. Gneiting, L. Held, Biometrics 65, 2009; from memory.)

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use serde::{Serialize, Serializer};

use crate::fit::cuts::STROKE_SPREAD;
use crate::job::{Against, Job, Round, Stroke};
use crate::joint::{Clearance, Clearances};
use crate::json::{mm, object};
use crate::maths::normal;
use crate::seat::{self, PushHome};
use crate::sole::{self, Bed};

use super::work::Working;

/// The next round as foreseen: clearances over draws of the wood.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// One row a draw, one entry a station, mm.
    pub draws: Vec<Vec<Clearances>>,
    /// Standard deviations of the readings, mm.
    pub errors: Clearances,
    /// What counts as fitted, mm.
    pub tolerance: Clearances,
}

/// How many readings fell within one and two standard deviations of a forecast, and how many within
/// their tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Hits {
    /// Readings compared.
    pub count: usize,
    /// Readings within one standard deviation; zeros count by shares.
    pub within_one: f64,
    /// Readings within two.
    pub within_two: f64,
    /// Readings within tolerance.
    pub within_tolerance: usize,
    /// How many of them were to be so by their chances.
    pub foreseen_within: f64,
}

/// How sure forecasts were, against what came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sureness {
    /// Too little was read to tell.
    Unknown,
    /// As sure as they might be.
    Right,
    /// Readings came further off than was said.
    TooSure,
    /// They came nearer.
    TooCareful,
}

/// Readings that tell how sure forecasts may be.
const ENOUGH: usize = 20;

/// Shares of a normal quantity within one and two standard deviations below its middle.
const ONE: f64 = 0.158_655_253_931_457;
const TWO: f64 = 0.022_750_131_948_179;

impl Forecast {
    /// Foresees the round after `strokes`, from what a job's last round told.
    ///
    /// Lengths in mm, one entry a station. `None` where a rib of this wood can't be seated.
    pub fn after(job: &Job, w: &Working, strokes: &[Stroke]) -> Option<Forecast> {
        let edges = planed(job, w, strokes);
        let mean: Vec<f64> = (0..w.joint.len()).map(|i| mean(edges.iter().map(|e| e[i]))).collect();
        let rest = seat::seat(&w.joint, &mean, &w.fit.spring, w.now.pose).ok()?;
        let mut push = PushHome::around(&w.joint, &mean, &w.fit.spring, rest.pose).ok()?;
        let home = |(edge, draw): (&Vec<f64>, &crate::fit::Draw)| {
            let rest = push.rest(edge, &draw.spring).ok()?;
            Some(rest.iter().map(|c| Clearances::each(|of| c[of].max(0.0))).collect())
        };
        let draws: Vec<Vec<Clearances>> = edges.iter().zip(&w.chances.draws).filter_map(home).collect();
        let errors = Clearances::each(|of| job.reading.of(of, Against::Neighbour) * w.fit.amplitudes.errors);
        let tolerance = Clearances::each(|of| job.tolerance.of(of));
        (!draws.is_empty()).then_some(Forecast { draws, errors, tolerance })
    }

    /// Clearances over draws of the wood: one row a draw, one entry a station, mm.
    pub fn draws(&self) -> &[Vec<Clearances>] {
        &self.draws
    }

    /// Compares the round that was read next. A round against a line, or after
    /// the rib was bent again, says nothing about the forecast.
    pub fn hits(&self, next: &Round) -> Hits {
        let mut hits = Hits::default();
        if next.against == Against::Line || next.rebent {
            return hits;
        }
        for (i, reading) in next.readings.iter().enumerate() {
            for of in [Clearance::Gap, Clearance::Lift] {
                if let Some(value) = reading.clearance(of) {
                    hits.add(self.below(i, of, value.max(0.0)), value <= 0.0);
                    hits.within_tolerance += usize::from(value <= self.tolerance[of]);
                    hits.foreseen_within += self.below(i, of, self.tolerance[of]);
                }
            }
        }
        hits
    }

    /// The chance of reading less than `value`.
    fn below(&self, station: usize, of: Clearance, value: f64) -> f64 {
        let sd = self.errors[of].max(1e-6);
        mean(self.draws.iter().map(|d| normal::below((value - d[station][of]) / sd)))
    }
}

/// For programs: shares of the readings to four places, null without readings.
impl Serialize for Hits {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let shares = self.fractions().map(|(one, two)| {
            object! {
                readings: self.count,
                within_1_sd: mm(one),
                within_2_sd: mm(two),
                within_tolerance: self.within_tolerance,
                within_tolerance_foreseen: mm(self.foreseen_within),
            }
        });
        shares.serialize(to)
    }
}

impl Hits {
    fn add(&mut self, below: f64, zero: bool) {
        self.count += 1;
        self.within_one += share_within(below, zero, ONE);
        self.within_two += share_within(below, zero, TWO);
    }

    /// All of them together.
    pub fn all(hits: impl Iterator<Item = Hits>) -> Hits {
        hits.fold(Hits::default(), Hits::and)
    }

    /// Both together.
    pub fn and(self, other: Hits) -> Hits {
        Hits {
            count: self.count + other.count,
            within_one: self.within_one + other.within_one,
            within_two: self.within_two + other.within_two,
            within_tolerance: self.within_tolerance + other.within_tolerance,
            foreseen_within: self.foreseen_within + other.foreseen_within,
        }
    }

    /// Whether the forecasts were about as sure as they might be. Readings of one round go astray
    /// together, so that only three times the scatter of single ones counts.
    pub fn sureness(&self) -> Sureness {
        let Some((one, two)) = self.fractions() else { return Sureness::Unknown };
        let off = |share: f64, right: f64| {
            let scatter = (right * (1.0 - right) / self.count as f64).sqrt();
            (share - right) / (3.0 * scatter)
        };
        let (one, two) = (off(one, 1.0 - 2.0 * ONE), off(two, 1.0 - 2.0 * TWO));
        match (one.min(two) < -1.0, one > 1.0) {
            _ if self.count < ENOUGH => Sureness::Unknown,
            (true, _) => Sureness::TooSure,
            (_, true) => Sureness::TooCareful,
            _ => Sureness::Right,
        }
    }

    /// Fractions (0 to 1) within one and two standard deviations; `None` without readings.
    /// Who knows exactly how sure he is has 0.683 and 0.954, a normal variable's.
    pub fn fractions(&self) -> Option<(f64, f64)> {
        let count = self.count as f64;
        (self.count > 0).then(|| (self.within_one / count, self.within_two / count))
    }
}

/// How much of a reading lies within `tail` and `1 - tail` of the forecast: of
/// a reading all or nothing, of a zero a share of all that lies below.
fn share_within(below: f64, zero: bool, tail: f64) -> f64 {
    if zero {
        return ((below.min(1.0 - tail) - tail) / below.max(1e-12)).max(0.0);
    }
    f64::from(u8::from((tail..=1.0 - tail).contains(&below)))
}

/// Each draw's edge after the strokes, mm over the joint surface.
fn planed(job: &Job, w: &Working, strokes: &[Stroke]) -> Vec<Vec<f64>> {
    let arc: Vec<f64> = w.joint.frames.iter().map(|f| f.arc).collect();
    let curvature = || w.joint.frames.iter().map(|f| f.along_curvature);
    let beds: Vec<Bed> = job.planes.iter().map(|p| Bed::new(&arc, curvature(), p.sole, p.width)).collect();
    let mut rng = ChaCha8Rng::seed_from_u64(0xf0_2eca57);
    let mut left = |(height, draw): (&Vec<f64>, &crate::fit::Draw)| {
        let mut now = height.clone();
        for stroke in strokes {
            let own = job.planes[stroke.plane].shaving * draw.shavings[stroke.plane];
            for _ in 0..stroke.count {
                let uneven = normal::draw(&mut rng);
                let shaving = own * (1.0 + STROKE_SPREAD * uneven).max(0.1);
                let push = sole::Push { shaving, first: stroke.from, last: stroke.to };
                let cut = beds[stroke.plane].cut(&now, push);
                now.iter_mut().zip(cut).for_each(|(n, c)| *n -= c);
            }
        }
        draw.edge.iter().zip(height.iter().zip(&now)).map(|(e, (h, n))| e - (h - n)).collect()
    };
    w.ensemble.heights.iter().zip(&w.chances.draws).map(&mut left).collect()
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (count, sum) = values.fold((0usize, 0.0), |(n, s), v| (n + 1, s + v));
    sum / count.max(1) as f64
}
