//! What is not as it was confirmed, for people and for programs.

use std::io::{self, Write};

use super::names::{clean, columns};
use super::strokes::done_text;
use super::table::pad;
use super::units::told;
use super::wrap::paragraph;
use crate::advice::lost_said;
use crate::job::{Figure, Interval, Job, Quantity, ReadingColumns};
use crate::json::{self, mm, object};
use crate::record::{Lost, LostReading, LostRound};

/// Writes it, signs and unit as in the folder.
///
/// # Errors
///
/// Those of the stream.
pub fn lost_text(job: &Job, kept: &ReadingColumns, lost: &Lost, out: &mut impl Write) -> io::Result<()> {
    let title = job.title.as_deref().map(|t| format!("{}. ", clean(t))).unwrap_or_default();
    paragraph(out, "", &format!("{title}Lengths in {}.", super::plural(job.unit)))?;
    lost.rounds.iter().try_for_each(|round| round_text(job, kept, round, out))
}

fn round_text(job: &Job, kept: &ReadingColumns, round: &LostRound, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    let said = lost_said(&Lost { rounds: vec![round.clone()], ..Lost::default() });
    paragraph(out, "", &format!("{}:", super::capital(&said)))?;
    let name = |r: &LostReading| columns(&clean(&r.station));
    let bears = round.bears.iter().map(|name| columns(&clean(name)));
    let width = round.readings.iter().map(name).chain(bears).max().unwrap_or(0).max("station".len());
    if !(round.readings.is_empty() && round.bears.is_empty()) {
        writeln!(out, "  {}  {:<7}  {:>9}  {:>9}", pad("station", width), "", "confirmed", "now")?;
    }
    for r in &round.readings {
        let cell = |mm: Option<Figure>| mm.map_or("not read".into(), |mm| figure(job, kept, r.quantity, mm));
        let (was, now) = (cell(Some(r.was)), cell(r.now));
        let station = pad(&clean(&r.station), width);
        writeln!(out, "  {station}  {:<7}  {was:>9}  {now:>9}", kept.name(r.quantity))?;
    }
    for name in &round.bears {
        writeln!(out, "  {}  {:<7}  {:>9}  {:>9}", pad(&clean(name), width), "bears", "yes", "no")?;
    }
    round.strokes.iter().try_for_each(|s| paragraph(out, "  planed: ", &done_text(job, s)))
}

fn figure(job: &Job, kept: &ReadingColumns, quantity: Quantity, mm: Figure) -> String {
    told(kept.told(quantity, mm), job.unit)
}

/// To the last decimal that JSON has.
fn rounded(told: Figure) -> Figure {
    let mm = |value: f64| mm(value).unwrap_or(value);
    match told {
        Figure::Number(value) => Figure::Number(mm(value)),
        Figure::Within(Interval { low, high }) => Figure::Within(Interval { low: mm(low), high: mm(high) }),
    }
}

/// The same as JSON, lengths in mm, an interval as a list of its ends, an overlap with its sign whatever the table has.
///
/// # Errors
///
/// Only if it can't be written as JSON, which no valid one causes.
pub fn lost_json(lost: &Lost) -> serde_json::Result<String> {
    let reading = |r: &LostReading| {
        object! { station: r.station.clone(), of: r.quantity, confirmed_mm: rounded(r.was), now_mm: r.now.map(rounded) }
    };
    let round = |r: &LostRound| {
        object! {
            round: r.round,
            missing: r.missing,
            against: r.held.map(|held| held.0),
            rebent: r.held.map(|held| held.1),
            readings: r.readings.iter().map(reading).collect::<Vec<_>>(),
            bears: r.bears.clone(),
            strokes: r.strokes.clone(),
        }
    };
    json::answer(object! {
        rounds: lost.rounds.iter().map(round).collect::<Vec<_>>(),
        unreadable_lines: lost.unreadable.clone(),
    })
}
