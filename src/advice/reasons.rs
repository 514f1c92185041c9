//! The sentences: why, how sure, and the next step.

use crate::fit::cuts::PLANE_SPREAD;
use crate::fit::{Doubt, Start};
use crate::job::{Against, Job, Warning};
use crate::joint::Clearance;
use crate::seat::{self, Leverage};

use super::verdict::lifts_read;
use super::what_if::{WhatIf, leverage_said};
use super::work::{self, Working};

/// Readings that miss the estimate by this many times their stated errors contradict each other.
pub(super) const CONTRADICTION: f64 = 2.5;
/// From here on the misfit is pointed out.
const ROUGH: f64 = 1.4;
/// From here on a shaving that is off what was stated is pointed out, as a share of it.
const SHAVING_OFF: f64 = 0.3;
/// And only when it is off by this many standard deviations.
const SHAVING_SURE: f64 = 3.0;
/// Less than this share of a shaving is none.
const HARDLY: f64 = 0.2;

impl Working {
    /// Whether the readings show that something was stated or entered wrongly, which
    /// the advice then says.
    pub fn amiss(&self) -> bool {
        !self.fit.doubts.is_empty() || self.fit.misfit > ROUGH || planes_off(self).next().is_some()
    }
}

/// The words with a capital at their head.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

pub(super) fn planed_since(job: &Job) -> String {
    let round = job.rounds.len();
    format!(
        "Strokes are recorded after round {round} and nothing was read since. Set the rib in place and read \
         round {}.",
        round + 1
    )
}

pub(super) fn doubted(job: &Job, doubt: &Doubt) -> String {
    format!(
        "Read station {} again: {} does not go with the other readings, which say about {}. Nothing is planed \
         on a reading in doubt; correct it, or add a new round.",
        job.stations[doubt.station].name,
        what_was_read(job, doubt),
        job.unit.say(shown(doubt.kind, doubt.expected))
    )
}

fn what_was_read(job: &Job, doubt: &Doubt) -> String {
    let reading = &job.rounds[doubt.round].readings[doubt.station];
    let (name, value) = match doubt.kind {
        Clearance::Gap => ("overlap", reading.overlap),
        Clearance::Seat => ("seat", reading.seat),
        Clearance::Lift => ("lift", reading.lift),
    };
    format!("its {name} of {}", job.unit.say(value.unwrap_or(f64::NAN)))
}

/// A clearance in the sense of its column.
fn shown(kind: Clearance, clearance: f64) -> f64 {
    if kind == Clearance::Gap { -clearance } else { clearance.max(0.0) }
}

pub(super) fn contradiction(w: &Working) -> String {
    format!(
        "The readings contradict each other: they miss any rib by {:.1} times their stated errors. If your \
         feelers err that much, say so under [reading] in joint.toml; else check the stations' widths and \
         bevels, the kind of mold, and whether strokes are missing from strokes.csv.",
        w.fit.misfit
    )
}

/// The widest of a clearance and where.
fn widest(values: impl Iterator<Item = f64>) -> (usize, f64) {
    values.enumerate().fold((0, 0.0), |best, (i, v)| if v > best.1 { (i, v) } else { best })
}

fn left_over(job: &Job, w: &Working) -> String {
    let (at, gap) = widest(w.now.clearances.iter().map(|c| c.gap));
    let gap = format!("the widest gap is about {} (station {})", job.unit.say(gap), job.stations[at].name);
    if !lifts_read(job) {
        return gap;
    }
    let (at, lift) = widest(w.now.clearances.iter().map(|c| c.lift));
    format!("{gap}, the widest lift about {} (station {})", job.unit.say(lift), job.stations[at].name)
}

fn percent(chance: f64) -> String {
    format!("{:.0} %", 100.0 * chance)
}

pub(super) fn fitted(job: &Job, w: &Working, chance: f64) -> String {
    let left = capital(&left_over(job, w));
    format!("{left}: within tolerance at every station with a chance of {}.", percent(chance))
}

pub(super) fn plane(job: &Job, w: &Working, chance: f64) -> String {
    let wood = widest(w.slice.remove.iter().copied());
    let mut text = format!(
        "{}; {} is still to come off at station {}.",
        capital(&left_over(job, w)),
        job.unit.say(wood.1),
        job.stations[wood.0].name
    );
    if job.rounds.last().is_some_and(|r| r.against == Against::Neighbour) && chance > 0.3 {
        text.push_str(&format!(" Fitted already with a chance of {} only.", percent(chance)));
    }
    if let Some(bearing) = strongest_bearing(job, w) {
        text.push_str(&format!(" {bearing}"));
    }
    text
}

/// The bearing at which a little wood closes most elsewhere.
fn strongest_bearing(job: &Job, w: &Working) -> Option<String> {
    let (edge, spring) = (&w.fit.edge, &w.fit.spring);
    let all = seat::leverage(&w.joint, edge, spring, &w.now, WhatIf::TRIED).ok()?;
    let closes = |l: &Leverage| l.closes_most().map_or(0.0, |(_, closed)| closed);
    let strongest = all.iter().max_by(|a, b| closes(a).total_cmp(&closes(b)))?;
    (closes(strongest) > 0.0).then(|| leverage_said(job, strongest))
}

/// Said when pressing with the force that the maker gave closes what is left.
pub(super) fn pressed(job: &Job, w: &Working, force: f64, chance: f64) -> String {
    let left = capital(&left_over(job, w));
    format!(
        "{left}: a force of {force:.0} N closes what is left, lifts are within tolerance, with a chance of {}.",
        percent(chance)
    )
}

/// What stands in the way of any slice: spare width, or a lift that no slice brings down.
pub(super) fn conflict(job: &Job, w: &Working) -> Option<String> {
    spare_used(job, w).or_else(|| springs(job, w))
}

fn spare_used(job: &Job, w: &Working) -> Option<String> {
    let spare = job.spare?;
    let short = |i: &usize| work::spent(job, w, *i) && w.slice.height[*i] > 0.5 * thinnest(job);
    let at = (0..job.stations.len()).find(short)?;
    Some(format!(
        "The spare width of {} is used up at station {}, every shaving counted whole and at its thickest: no more \
         may come off there. Shim the rib there, bend it again, or press the joint; or measure its width, and give \
         more spare in joint.toml if it can do with less.",
        job.unit.say(spare),
        job.stations[at].name
    ))
}

fn springs(job: &Job, w: &Working) -> Option<String> {
    let aim = job.tolerance.lift;
    let (at, spring) = widest(w.fit.spring.iter().zip(&w.fit.spring_sd).map(|(f, sd)| f - sd));
    let (_, gap) = widest(w.now.clearances.iter().map(|c| c.gap));
    (spring > aim && gap <= job.tolerance.gap && lifts_read(job)).then(|| {
        format!(
            "The rib springs off the mold by about {} at station {}, whatever its pose: planing can't bring that \
             down. Bend it again there, or put a shim under it.",
            job.unit.say(w.fit.spring[at]),
            job.stations[at].name
        )
    })
}

fn thinnest(job: &Job) -> f64 {
    job.planes.iter().map(|p| p.shaving).fold(f64::INFINITY, f64::min)
}

/// What keeps the plan empty: too little wanted for a shaving, or too little known.
fn obstacle(job: &Job, w: &Working) -> String {
    let (at, wanted) = widest(w.slice.remove.iter().copied());
    let shaving = thinnest(job);
    if wanted < 0.5 * shaving {
        format!("less than half a shaving is wanted anywhere (the thinnest is {})", job.unit.say(shaving))
    } else {
        format!(
            "{} is wanted at station {}, but the readings don't yet make a whole shaving there safe",
            job.unit.say(wanted),
            job.stations[at].name
        )
    }
}

pub(super) fn not_sure(job: &Job, w: &Working, chance: f64) -> String {
    let neighbour = job.rounds.last().is_some_and(|r| r.against == Against::Neighbour);
    let next = if neighbour {
        "Take the rib out, set it again and read once more"
    } else {
        "Push the rib home against its neighbour and read with feelers"
    };
    format!(
        "{next}: {}, fitted with a chance of {}; {}.",
        left_over(job, w),
        percent(chance),
        obstacle(job, w)
    )
}

pub(super) fn no_progress(job: &Job, w: &Working, chance: f64) -> String {
    format!(
        "More reading won't settle it: {}, fitted with a chance of {}; {}. Set a finer shaving, read with finer \
         feelers, or take it as it is.",
        left_over(job, w),
        percent(chance),
        obstacle(job, w)
    )
}

pub(super) fn surface(job: &Job, w: &Working) -> String {
    match (w.fit.curved, w.fit.curve_evidence) {
        (true, Some(gain)) if gain > 0.0 => {
            let odds = gain.exp().min(9999.0);
            format!("The edge bends gently over its length: {odds:.0} to 1 by the readings.")
        }
        (true, _) => "A gentle curve was asked for.".into(),
        (false, Some(_)) => "The readings don't call for a curve.".into(),
        (false, None) if job.stations.len() < 7 => "Too few stations to tell a curve from a plane.".into(),
        (false, None) => "A plane was asked for.".into(),
    }
}

/// Warnings from the fit itself.
pub(super) fn warnings(job: &Job, w: &Working) -> Vec<Warning> {
    let last = job.rounds.len();
    let earlier = w.fit.doubts.iter().filter(|d| d.round + 1 < last).map(|d| {
        let text = format!(
            "Round {}, station {}: {} does not go with the other readings and hardly counts. Correct it in \
             readings.csv if it is a slip.",
            d.round + 1,
            job.stations[d.station].name,
            what_was_read(job, d)
        );
        Warning::new("doubtful-reading", text)
    });
    let found = [line_error(job, w), lifts_left(job, w)];
    let shavings = shavings_off(job, w).chain(shavings_untold(job, w));
    earlier.chain(rough(w)).chain(shavings).chain(found.into_iter().flatten()).collect()
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
                 caliper and correct `shaving` in joint.toml; check too that strokes.csv has every stroke.",
                plane.name,
                job.unit.say_fine(share * plane.shaving),
                job.unit.say_fine(plane.shaving)
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
    let nothing_known = Start::default();
    untold.filter(move |p| w.fit.shaving_before(*p) == Some(nothing_known.plane(*p))).map(|p| {
        let plane = &job.planes[p];
        let times = |share: f64| job.unit.say(share * plane.shaving);
        let text = format!(
            "Nothing shows yet what plane {} really takes, and readings show it late. Before these strokes measure \
             one of its shavings, from scrap, with the caliper. From {} to {} it is near enough to the {} reckoned \
             with; if not, correct `shaving` in joint.toml.",
            plane.name,
            times(1.0 - 2.0 * PLANE_SPREAD),
            times(1.0 + 2.0 * PLANE_SPREAD),
            times(1.0)
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
    let (at, lift) = widest(w.slice.lift.iter().copied());
    (lift > job.tolerance.lift && lifts_read(job)).then(|| {
        let text = format!(
            "About {} of lift stays at station {} after any slice within bounds. A shim under the rib, bending \
             again or pressing would help there; `ribwright shim` says how thick.",
            job.unit.say(lift),
            job.stations[at].name
        );
        Warning::new("lift-stays", text)
    })
}
