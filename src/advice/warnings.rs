//! What else the maker should know, each with its next step.

use crate::fit::Prior;
use crate::fit::cuts::PLANE_SPREAD;
use crate::job::{Against, Angle, Job, Measured, Mold, Station, Warning};
use crate::joint::{Clearance, Frame, Joint};
use crate::maths::form::{self, Form};
use crate::seat::press;

use super::unknown::small_bevels;
use super::words::{what_was_read, widest};
use super::work::{Working, lifts_read};

/// From here on the misfit is pointed out.
const ROUGH: f64 = 1.4;
/// From here on a shaving that is off what was stated is pointed out, as a share of it.
const SHAVING_OFF: f64 = 0.3;
/// And only when it is off by this many standard deviations.
const SHAVING_SURE: f64 = 3.0;
/// From here on it is pointed out that neighbours' errors are alike: their correlation.
const ALIKE: f64 = 0.5;
/// Less than this share of a shaving is none.
const HARDLY: f64 = 0.2;

/// A flat rib's edges stand off a round mold; from here on it is said, mm.
const FLAT_RIB: f64 = 0.3;
/// Steepness of the curve from which a slip of the tape is pointed out: 1/cos of the climb.
const STEEP: f64 = 1.5;

impl Working {
    /// Whether the readings show that something was stated or entered wrongly, or that errors aren't
    /// independent, which the advice then says.
    pub fn amiss(&self) -> bool {
        let read_amiss = self.fit.misfit > ROUGH || most_alike(self).1 > ALIKE;
        !self.fit.doubts.is_empty() || read_amiss || planes_off(self).next().is_some()
    }
}

/// All that is to be said beside the verdict: what was noticed while reading the files,
/// what stays unknown, and what the estimate shows.
pub(super) fn warnings(job: &Job, w: &Working) -> Vec<Warning> {
    [job.warnings.clone(), unknowns(job, &w.joint), shown(job, w)].concat()
}

/// What stays unknown, and what would tell.
fn unknowns(job: &Job, joint: &Joint) -> Vec<Warning> {
    let found = [
        no_lift(job),
        no_rise(joint),
        turn_unknown(job, joint),
        only_line(job),
        tape(job, joint),
        flat(job),
        no_force(job),
        small_bevels(job),
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
    (!lifts_read(job)).then(|| {
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
    let read = |i: &usize| job.rounds.iter().any(|r| r.readings[*i].overlap.is_some());
    let frames = (0..joint.len()).filter(read).map(|i| &joint.frames[i]);
    let places: Vec<[f64; 2]> = frames.map(|f| [f.joint.x, f.joint.z]).collect();
    let plane = Form::of(&places, &vec![0.0; places.len()]);
    (joint.has_rise && plane == Err(form::Error::Undetermined)).then(|| {
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
    let steep = |f: &&Frame| 1.0 / f.tangent.x.abs().max(0.05) > STEEP;
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
        s.width
            * (s.outer_bevel.unwrap_or(2.0 * s.bevel) - s.inner_bevel.unwrap_or(Angle::ZERO))
                .abs()
                .in_radians()
            / 8.0
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

/// What the estimate shows.
fn shown(job: &Job, w: &Working) -> Vec<Warning> {
    let earlier = w.fit.doubts.iter().filter(|d| Some(d.round) < job.last_round()).map(|d| {
        let text = format!(
            "Round {}, station {}: {} does not go with the other readings and hardly counts. Correct it in \
             readings.csv if it is a slip.",
            d.round,
            job.stations[d.station].name,
            what_was_read(job, d)
        );
        Warning::new("doubtful-reading", text)
    });
    let found = [line_error(job, w), lifts_left(job, w)];
    let shavings = shavings_off(job, w).chain(shavings_untold(job, w));
    earlier.chain(rough(w)).chain(alike(w)).chain(shavings).chain(found.into_iter().flatten()).collect()
}

/// The readings' errors are larger than stated, or no rib fits them.
fn rough(w: &Working) -> Option<Warning> {
    (w.fit.misfit > ROUGH).then(|| {
        let text = format!(
            "The readings miss the estimate by {:.1} times their stated errors, so larger ones are reckoned with. \
             Check [reading] in joint.toml, the widths and bevels, and the kind of mold.",
            w.fit.misfit
        );
        Warning::new("misfit", text)
    })
}

/// The clearance of which neighbours' errors are most alike, with their correlation.
fn most_alike(w: &Working) -> (Clearance, f64) {
    let all = Clearance::ALL.map(|of| (of, w.fit.alike[of]));
    all.into_iter().fold((Clearance::Gap, 0.0), |most, next| if next.1 > most.1 { next } else { most })
}

/// Neighbouring readings are off the same way.
fn alike(w: &Working) -> Option<Warning> {
    let (of, rho) = most_alike(w);
    (rho > ALIKE).then(|| {
        let text = format!(
            "Readings of the {} at neighbouring stations are off the same way (correlation {rho:.1}), so each counts \
             for less. A rib that is held a little otherwise in each round does that, or a feeler held askew. In \
             the next round hold the rib lightly along its whole length, and the feeler square to the joint.",
            of.name()
        );
        Warning::new("errors-alike", text)
    })
}

/// Planes (index) whose shaving is clearly not what was stated, by the readings alone, with
/// its share of it.
fn planes_off(w: &Working) -> impl Iterator<Item = (usize, f64)> + '_ {
    let off = |(share, sd): &(f64, f64)| (share - 1.0).abs() > SHAVING_OFF.max(SHAVING_SURE * sd);
    let told = move |p| w.fit.shaving_told(p).filter(off).map(|(share, _)| (p, share));
    (0..w.fit.shavings.len()).filter_map(told)
}

fn shavings_off(job: &Job, w: &Working) -> impl Iterator<Item = Warning> {
    planes_off(w).map(|(p, share)| {
        let plane = &job.planes[p];
        let text = match share < HARDLY {
            true => format!(
                "By the readings, hardly anything came off with plane {}, not {} with each stroke. Check that \
                 strokes.csv holds only strokes that were planed, and that the iron cut.",
                plane.name,
                job.unit.say_fine(plane.shaving)
            ),
            false => format!(
                "By what came off, a shaving of plane {} is about {}, not {} as stated. Measure one with the \
                 caliper and correct `shaving` in {}; check too that strokes.csv has every stroke.",
                plane.name,
                job.unit.say_fine(share * plane.shaving),
                job.unit.say_fine(plane.shaving),
                job.planes_file()
            ),
        };
        Warning::new("shaving-off", text)
    })
}

/// Planes of the plan that no stroke of this bowl has told of. What they take is worth a
/// look beforehand: a rib pushed home hides an even cut, so readings tell it late.
fn shavings_untold(job: &Job, w: &Working) -> impl Iterator<Item = Warning> {
    let planned = |p: &usize| w.plan.strokes.iter().any(|s| s.plane == *p);
    let planed = |p: &usize| job.rounds.iter().any(|r| r.strokes.iter().any(|s| s.plane == *p));
    let untold = (0..job.planes.len()).filter(move |p| planned(p) && !planed(p));
    let nothing_known = Prior::default();
    untold.filter(move |p| w.fit.shaving_before(*p) == Some(nothing_known.plane(*p))).map(|p| {
        let plane = &job.planes[p];
        let times = |share: f64| job.unit.say(share * plane.shaving);
        let text = format!(
            "Nothing shows yet what plane {} really takes, and readings show it late. Before these strokes measure \
             one of its shavings, from scrap, with the caliper. From {} to {} it is near enough to the {} reckoned \
             with; if not, correct `shaving` in {}.",
            plane.name,
            times(1.0 - 2.0 * PLANE_SPREAD),
            times(1.0 + 2.0 * PLANE_SPREAD),
            times(1.0),
            job.planes_file()
        );
        Warning::new("shaving-untold", text)
    })
}

/// How far the drawn line was off, once the neighbour has told.
fn line_error(job: &Job, w: &Working) -> Option<Warning> {
    let told = job.rounds.iter().any(|r| r.against == Against::Neighbour);
    let (at, off) = widest(w.fit.line_error.iter().map(|v| v.abs()));
    (told && off > 0.3).then(|| {
        let text = format!(
            "The drawn line was off by about {} at station {}, as readings against the neighbour show. Mind that \
             when you mark the next rib.",
            job.unit.say(off),
            job.stations[at].name
        );
        Warning::new("line-off", text)
    })
}

/// Lifts that the slice leaves beyond tolerance, and what else would help.
fn lifts_left(job: &Job, w: &Working) -> Option<Warning> {
    w.lift_left(job).map(|(at, lift)| {
        let text = format!(
            "About {} of lift stays at station {} after any slice within bounds. A shim under the rib, bending \
             again or pressing would help there; `ribwright shim` says how thick.",
            job.unit.say(lift),
            job.stations[at].name
        );
        Warning::new("lift-stays", text)
    })
}
