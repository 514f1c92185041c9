//! Words that several sentences of the advice share.

use crate::fit::Doubt;
use crate::job::Job;
use crate::joint::Clearance;
use crate::seat::Leverage;

use super::work::{Working, lifts_read};

/// Wood off a bearing with which its leverage is told, mm.
pub(super) const TRIED: f64 = 0.1;

/// The words with a capital at their head.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A count and its noun: `one station`, `3 stations`.
pub(crate) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("one {what}") } else { format!("{count} {what}s") }
}

/// Stations by their names: `station 4`, `stations 4, 5 and 9`.
pub(super) fn stations_named(job: &Job, stations: &[usize]) -> String {
    named(&stations.iter().map(|i| job.stations[*i].name.as_str()).collect::<Vec<_>>())
}

/// The same of names.
pub(super) fn named(stations: &[&str]) -> String {
    match stations {
        [] => String::new(),
        [one] => format!("station {one}"),
        [most @ .., last] => format!("stations {} and {last}", most.join(", ")),
    }
}

/// A chance from 0 to 1 in per cent.
pub(super) fn percent(chance: f64) -> String {
    format!("{:.0} %", 100.0 * chance)
}

/// The largest of some values above zero, and where it stands.
pub(super) fn widest(values: impl Iterator<Item = f64>) -> (usize, f64) {
    values.enumerate().fold((0, 0.0), |best, (i, v)| if v > best.1 { (i, v) } else { best })
}

/// The widest gap and lift as the rib lies now, and where.
pub(super) fn left_over(job: &Job, w: &Working) -> String {
    let (at, gap) = widest(w.now.clearances.iter().map(|c| c.gap));
    let gap = format!("the widest gap is about {} (station {})", job.unit.say(gap), job.stations[at].name);
    if !lifts_read(job) {
        return gap;
    }
    let (at, lift) = widest(w.now.clearances.iter().map(|c| c.lift));
    format!("{gap}, the widest lift about {} (station {})", job.unit.say(lift), job.stations[at].name)
}

/// A doubted reading by its column.
pub(super) fn what_was_read(job: &Job, doubt: &Doubt) -> String {
    let reading = &job.rounds[doubt.round.index()].readings[doubt.station];
    let (name, value) = match doubt.of {
        Clearance::Gap => ("overlap", reading.overlap),
        Clearance::Seat => ("seat", reading.seat),
        Clearance::Lift => ("lift", reading.lift),
    };
    format!("its {name} of {}", job.unit.say(value.unwrap_or(f64::NAN)))
}

/// A leverage in a sentence: `It bears at station 6: 0.10 mm off
/// there closes 0.30 mm at station 11.`
pub fn leverage_said(job: &Job, leverage: &Leverage) -> String {
    let name = |i: usize| &job.stations[i].name;
    let (at, taken) = (name(leverage.station), job.unit.say(leverage.taken));
    match leverage.closes_most() {
        Some((far, closes)) => {
            let closes = job.unit.say(closes);
            format!("It bears at station {at}: {taken} off there closes {closes} at station {}.", name(far))
        }
        None => format!("It bears at station {at}: {taken} off there closes nothing elsewhere."),
    }
}
