//! What the readings can't tell, in plain sentences.

use nalgebra::{DMatrix, DVector};

use crate::fit::Forms;
use crate::job::{Against, Job, Measured, Mold, Station, Warning};
use crate::joint::Joint;
use crate::maths::least_squares;
use crate::seat::press;

/// Stations below which no plane in space can be told.
const FEWEST_STATIONS: usize = 3;
/// A flat rib's edges stand off a round mold; from here on it is said, mm.
const FLAT_RIB: f64 = 0.3;
/// Steepness of the curve from which a slip of the tape is pointed out: 1/cos of the climb.
const STEEP: f64 = 1.5;

/// Why there can be no figures at all, and what would help.
pub(super) fn missing(job: &Job) -> Option<String> {
    if job.stations.len() < FEWEST_STATIONS {
        return Some(format!(
            "{} can't tell which way the edge leans. Read at three stations at least, better at seven or more.",
            counted(job.stations.len(), "station")
        ));
    }
    let Some(last) = job.rounds.last() else {
        return Some(
            "there are no readings yet. Set the rib in place, read overlap and lift at each station, \
             and enter them as round 1."
                .into(),
        );
    };
    let read = last.readings.iter().filter(|r| r.overlap.is_some()).count();
    (read < FEWEST_STATIONS).then(|| {
        format!(
            "round {} has overlaps at {} only. Read the joint at three at least, better at all.",
            job.rounds.len(),
            counted(read, "station")
        )
    })
}

/// Said when the numbers are too far out for any estimate.
pub(super) fn no_estimate() -> String {
    "the readings lead to no estimate at all: look for a figure that is far out, and read again.".into()
}

/// Warnings about what stays unknown, and what would tell.
pub(super) fn warnings(job: &Job, joint: &Joint) -> Vec<Warning> {
    let found = [
        no_lift(job),
        no_rise(joint),
        turn_unknown(job, joint),
        only_line(job),
        tape(job, joint),
        flat(job),
        no_force(job),
    ];
    found.into_iter().flatten().collect()
}

/// A force was given, and what it closes can't be told.
fn no_force(job: &Job) -> Option<Warning> {
    job.tolerance.force?;
    let unknown = press::material(job).err()?;
    let text = format!("The force of joint.toml does not count towards fitted: {unknown}.");
    Some(Warning::new("force-unknown", text))
}

fn no_lift(job: &Job) -> Option<Warning> {
    let read = job.rounds.iter().any(|r| r.readings.iter().any(|r| r.lift.is_some()));
    (!read).then(|| {
        Warning::new(
            "no-lift",
            "Without lifts the turn of the rib on the mold is unknown: this slice closes the joint and says \
             nothing of the outer edge. Read lifts to bring both down.",
        )
    })
}

fn no_rise(joint: &Joint) -> Option<Warning> {
    (!joint.has_rise).then(|| {
        Warning::new(
            "no-rise",
            "Without rises the fit is a line in `along` alone: a turn about the chord can't be told from a \
             shift. Measure the joint line's height over its chord and add a `rise` column.",
        )
    })
}

/// With rises in line with `along`, the plane of the joint has a free turn.
fn turn_unknown(job: &Job, joint: &Joint) -> Option<Warning> {
    let forms = Forms::of(joint);
    let read = |i: &usize| job.rounds.iter().any(|r| r.readings[*i].overlap.is_some());
    let rows: Vec<[f64; 3]> = (0..joint.len()).filter(read).map(|i| forms.plane[i]).collect();
    let a = DMatrix::from_fn(rows.len(), 3, |r, c| rows[r][c]);
    let rank = least_squares::solve(&a, &DVector::zeros(rows.len()), None).map_or(0, |s| s.rank);
    (joint.has_rise && rank < 3).then(|| {
        Warning::new(
            "turn-unknown",
            "The stations that were read lie on one straight line, so a turn about it can't be told from the \
             readings. Read a station well above or below it.",
        )
    })
}

fn only_line(job: &Job) -> Option<Warning> {
    let line = job.rounds.iter().all(|r| r.against == Against::Line);
    (line && !job.rounds.is_empty()).then(|| {
        Warning::new(
            "line-only",
            "All rounds so far are against a line. Paper is good to about 2 mm (common practice, no source): \
             plane roughly, then push the rib home against its neighbour and read with feelers.",
        )
    })
}

/// What half a millimetre's slip of the tape costs where the curve is steep.
fn tape(job: &Job, joint: &Joint) -> Option<Warning> {
    let steep = |f: &&crate::joint::Frame| 1.0 / f.tangent.x.abs().max(0.05) > STEEP;
    let at = joint.frames.iter().position(|f| steep(&f)).filter(|_| job.measured == Measured::Arc)?;
    let worst = joint.frames.iter().map(|f| 0.5 / f.tangent.x.abs().max(0.05)).fold(0.0, f64::max);
    Some(Warning::new(
        "tape",
        format!(
            "The edge climbs steeply at station {}: a slip of the tape by {} moves a station by up to {} along \
             the chord. Measure along the chord there if you can.",
            job.stations[at].name,
            job.unit.say(0.5),
            job.unit.say(worst)
        ),
    ))
}

/// A flat rib on a round mold bears along its middle: its lifts are then all
/// about as large as its edges stand off.
fn flat(job: &Job) -> Option<Warning> {
    if job.mold != Mold::Round {
        return None;
    }
    // Across a regular bowl a rib of width w spans the angle b - v, so w^2/(8R) = w (b - v)/8.
    let off = |s: &Station| {
        s.width * (s.outer_bevel.unwrap_or(2.0 * s.bevel) - s.inner_bevel.unwrap_or(0.0)).abs() / 8.0
    };
    let last = job.rounds.last()?;
    let lifts: Vec<(f64, f64)> =
        job.stations.iter().zip(&last.readings).filter_map(|(s, r)| Some((r.lift?, off(s)))).collect();
    let worst = lifts.iter().map(|l| l.1).fold(0.0, f64::max);
    let as_if_flat = lifts.iter().filter(|(lift, off)| *lift >= 0.5 * off).count();
    (worst > FLAT_RIB && 5 * as_if_flat >= 4 * lifts.len()).then(|| {
        Warning::new(
            "flat-rib",
            format!(
                "Nearly every lift is about what a flat rib shows on a round mold, where it bears along its \
                 middle with its edges up to {} off. If the rib is flat, set mold = \"faceted\"; if not, hollow \
                 it to follow the mold.",
                job.unit.say(worst)
            ),
        )
    })
}

/// A count and its noun: `one station`, `3 stations`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("one {what}") } else { format!("{count} {what}s") }
}
