//! When the readings lead to no figures at all, and why, in plain sentences.

use crate::fit::NoEstimate;
use crate::job::{Job, Warning};

use super::words::counted;
use super::work::NoFigures;

/// Stations below which no plane in space can be told.
const FEWEST_STATIONS: usize = 3;
/// A bevel of 45 degrees in radians: no larger one is taken for degrees gone wrong, degrees.
const RADIANS: f64 = 0.8;
/// Between which shares of what the shape of the joint asks for bevels lie that were written in
/// radians, once they are turned into degrees (an assumption, no source).
const AS_EXPECTED: std::ops::Range<f64> = 0.4..2.5;

/// How many times flatter across than along a bowl may be before its bevels are pointed out
/// (an assumption, no source).
const FLATTER: f64 = 5.0;

/// Why there can be no figures at all, and what would help.
pub(super) fn missing(job: &Job) -> Option<String> {
    if job.stations.len() < FEWEST_STATIONS {
        return Some(format!(
            "{} can't tell which way the edge leans. Read at three stations at least, better at seven or more.",
            counted(job.stations.len(), "station")
        ));
    }
    if job.rounds.is_empty() {
        return Some(
            "there are no readings yet. Set the rib in place, read gap and lift at each station, \
             and enter them as round 1."
                .into(),
        );
    }
    if let Some(radians) = radians(job) {
        return Some(radians);
    }
    // A later round may be of a few stations: the wood is known from all rounds together.
    let read_in = |i: usize| job.rounds.iter().any(|r| r.readings[i].overlap.is_some());
    let read = (0..job.stations.len()).filter(|i| read_in(*i)).count();
    let rounds = if job.rounds.len() == 1 { "round 1 has" } else { "all rounds together have" };
    (read < FEWEST_STATIONS).then(|| {
        format!(
            "{rounds} overlaps at {} only. Read the joint at three at least, better at all.",
            counted(read, "station")
        )
    })
}

/// Bevels that would be right in radians: tiny, on a rib that the rise says is bent far more.
///
/// A rib of width w on a mold of radius r is mitred by asin(w / 2r) (a regular bowl: model of
/// `bowl::shape`). Bevels of a bowl that is truly flatter across than along miss that once turned.
fn radians(job: &Job) -> Option<String> {
    let (largest, width, expected) = bevels(job)?;
    let turned = largest.to_degrees() / expected;
    (largest < RADIANS && AS_EXPECTED.contains(&turned)).then(|| {
        format!(
            "the bevels look like radians: the largest in stations.csv is {largest:.2} degrees, where ribs up to {} \
             wide on a joint that rises like this one would have about {expected:.0}. Write them in degrees: \
             {largest:.2} radians are {:.1} degrees.",
            job.unit.say(width),
            largest.to_degrees()
        )
    })
}

/// Said of bevels that are far smaller than the joint's shape lets expect, but wouldn't be right
/// in radians either: a bowl may truly be that flat across.
pub(super) fn small_bevels(job: &Job) -> Option<Warning> {
    let (largest, _, expected) = bevels(job)?;
    (largest > 0.0 && largest < RADIANS && expected > FLATTER * largest && radians(job).is_none()).then(|| {
        let text = format!(
            "The bevels are small: {largest:.2} degrees at most, where a bowl as round across as along has about \
             {expected:.0}. Check them in stations.csv: they count in degrees; in radians these would be {:.1} degrees.",
            largest.to_degrees()
        );
        Warning::new("bevels-small", text)
    })
}

/// Largest bevel, degrees; largest width, mm; and the bevel that the shape lets expect, degrees.
fn bevels(job: &Job) -> Option<(f64, f64, f64)> {
    let largest = job.stations.iter().map(|s| s.bevel.abs().in_degrees()).fold(0.0, f64::max);
    let width = job.stations.iter().map(|s| s.width).fold(0.0, f64::max);
    let expected = libm::asin((width / (2.0 * radius_along(job)?)).min(1.0)).to_degrees();
    Some((largest, width, expected))
}

/// Radius of the arc through the joint line's ends and its highest rise, mm; `None` without rises.
fn radius_along(job: &Job) -> Option<f64> {
    let rises: Vec<f64> = job.stations.iter().map(|s| s.rise).collect::<Option<_>>()?;
    let (first, last) = (job.stations.first()?, job.stations.last()?);
    let half = (last.along - first.along) / 2.0;
    let ends = (rises.first()? + rises.last()?) / 2.0;
    let height = rises.iter().copied().fold(f64::MIN, f64::max) - ends;
    (height > 0.0).then(|| (half * half + height * height) / (2.0 * height))
}

/// Said when the numbers lead to no estimate, or to no place of rest.
pub(super) fn no_figures(job: &Job, why: NoFigures) -> String {
    if let NoFigures::Estimate(NoEstimate::NotFinite { round, station }) = why {
        let name = job.stations.get(station).map_or("?", |s| &s.name);
        return format!(
            "the numbers at station {name} in round {round} are too far out to be worked with. Look at that row of \
             readings.csv, and at the station's in stations.csv; correct what was mistyped, or read it again."
        );
    }
    format!("the readings lead to no figures ({why}). Look for a number that is far out, and read again.")
}
