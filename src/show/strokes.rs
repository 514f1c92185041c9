//! Strokes in words, planned or done.

use super::names::clean;
use crate::advice::PlannedStroke;
use crate::job::Job;
use crate::record::NewStroke;

/// A planned stroke in words: `long, station 1 to 13, 1 stroke (0.08 mm): the check`.
pub fn planned_text(job: &Job, stroke: &PlannedStroke) -> String {
    let check = if stroke.check { ": the check" } else { "" };
    done_text(job, &stroke.named(job)) + check
}

/// A stroke in words, with where its shaving ran unbroken if that was watched:
/// `long, station 3 to 9, 2 strokes (0.16 mm), unbroken from 4 to 8`.
pub fn done_text(job: &Job, stroke: &NewStroke) -> String {
    let name = |name: &str| clean(name);
    let (plane, from, to) = (name(&stroke.plane), name(&stroke.from), name(&stroke.to));
    let ran = stroke.shaving.as_ref().map(|(a, b)| format!(", unbroken from {} to {}", name(a), name(b)));
    format!("{plane}, station {from} to {to}, {}{}", pushes(job, stroke), ran.unwrap_or_default())
}

/// What a stroke is taken with, how often, and how deep that goes: `long, 2 strokes (0.16 mm)`.
pub(crate) fn with_text(job: &Job, stroke: &NewStroke) -> String {
    format!("{}, {}", clean(&stroke.plane), pushes(job, stroke))
}

fn pushes(job: &Job, stroke: &NewStroke) -> String {
    let count = match stroke.count {
        1 => "1 stroke".to_owned(),
        n => format!("{n} strokes"),
    };
    let known = job.planes.iter().find(|p| p.name == stroke.plane);
    let depth = known.map(|p| job.unit.say(f64::from(stroke.count) * p.shaving));
    count + &depth.map(|d| format!(" ({d})")).unwrap_or_default()
}
