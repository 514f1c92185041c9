//! A joint's history, for people at a terminal and for programs.

use std::io::{self, Write};

use super::grid::Grid;
use super::json::shaving;
use super::names::clean;
use super::units::{MISSING, cell, plural};
use super::wrap::paragraph;
use crate::advice::{Hits, PastRound};
use crate::job::{Against, Job};
use crate::json::{self, mm, object};

/// Writes the rounds of a job, at most 80 columns wide, lengths in its unit.
///
/// # Errors
///
/// Those of the stream.
pub fn past_text(job: &Job, rounds: &[PastRound], out: &mut impl Write) -> io::Result<()> {
    let title = job.title.as_deref().map(|t| format!("{}. ", clean(t))).unwrap_or_default();
    paragraph(out, "", &format!("{title}Lengths in {}.", plural(job.unit)))?;
    table(job, rounds, out)?;
    marks(rounds, out)?;
    shavings(job, rounds, out)?;
    forecasts(rounds, out)
}

fn table(job: &Job, rounds: &[PastRound], out: &mut impl Write) -> io::Result<()> {
    let grid = Grid {
        groups: vec![(0, " widest gap "), (2, " widest lift "), (5, " wood taken "), (7, " foreseen ")],
        heads: vec!["read", "estimated", "read", "estimated", "strokes", "mean", "most", "1 sd", "2 sd"],
        rows: rounds.iter().map(|r| cells(job, r)).collect(),
    };
    let mark = |r: &PastRound| match (r.against, r.rebent) {
        (Against::Line, _) => " l",
        (_, true) => " b",
        _ => "",
    };
    let named = rounds.iter().enumerate().map(|(k, r)| format!("{:>3}{}", k + 1, mark(r)));
    let names: Vec<String> = ["round".to_owned()].into_iter().chain(named).collect();
    writeln!(out)?;
    grid.write(&names, out)
}

fn cells(job: &Job, round: &PastRound) -> Vec<String> {
    let cell = |v: Option<f64>| cell(v, job.unit);
    let share = |v: Option<f64>| v.map_or(MISSING.to_owned(), |v| format!("{:.0} %", 100.0 * v));
    let fractions = round.hits.fractions();
    vec![
        cell(round.read.gap),
        cell(round.estimated.gap),
        cell(round.read.lift),
        cell(round.estimated.lift),
        round.strokes.to_string(),
        cell(round.wood.map(|w| w.0)),
        cell(round.wood.map(|w| w.1)),
        share(fractions.map(|f| f.0)),
        share(fractions.map(|f| f.1)),
    ]
}

fn marks(rounds: &[PastRound], out: &mut impl Write) -> io::Result<()> {
    if rounds.iter().any(|r| r.against == Against::Line) {
        writeln!(out, "l read against a line: a negative gap is overlap")?;
    }
    if rounds.iter().any(|r| r.rebent && r.against != Against::Line) {
        writeln!(out, "b the rib was bent again before this round")?;
    }
    Ok(())
}

fn shavings(job: &Job, rounds: &[PastRound], out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    for (p, plane) in job.planes.iter().enumerate() {
        let learned: Vec<String> = rounds
            .iter()
            .filter_map(|r| r.shavings.get(p))
            .map(|(value, sd)| format!("{} ± {}", job.unit.fine(*value), job.unit.fine(*sd)))
            .collect();
        let (name, stated) = (clean(&plane.name), job.unit.say_fine(plane.shaving));
        let text = format!(
            "Shaving of plane {name}, stated as {stated}; as known after each round: {}.",
            learned.join(", ")
        );
        paragraph(out, "", &text)?;
    }
    Ok(())
}

fn forecasts(rounds: &[PastRound], out: &mut impl Write) -> io::Result<()> {
    let all = rounds.iter().fold(Hits::default(), |all, r| all.and(r.hits));
    let Some((one, two)) = all.fractions() else {
        return paragraph(
            out,
            "",
            "No round was foreseen yet: a second one, against the neighbour, will tell.",
        );
    };
    let text = format!(
        "Foreseen: how many readings of a round fell within one and two standard deviations of what was expected \
         after the round before; in all {:.0} and {:.0} % of {} (68 and 95 % if it is known exactly how sure it is).",
        100.0 * one,
        100.0 * two,
        all.count
    );
    paragraph(out, "", &text)
}

/// The rounds as pretty-printed JSON, lengths in mm.
///
/// # Errors
///
/// Only if they cannot be written as JSON, which no valid rounds cause.
pub fn past_json(job: &Job, rounds: &[PastRound]) -> serde_json::Result<String> {
    let round = |(k, r): (usize, &PastRound)| {
        let shavings = job.planes.iter().zip(&r.shavings);
        object! {
            round: k + 1,
            against: r.against,
            rebent: r.rebent,
            gap_read_mm: mm(r.read.gap),
            gap_estimated_mm: mm(r.estimated.gap),
            lift_read_mm: mm(r.read.lift),
            lift_estimated_mm: mm(r.estimated.lift),
            strokes: r.strokes,
            wood_mm: mm(r.wood.map(|w| w.0)),
            wood_most_mm: mm(r.wood.map(|w| w.1)),
            shavings: shavings.map(|(p, s)| shaving(&p.name, s.0, s.1)).collect::<Vec<_>>(),
            forecast: r.hits,
        }
    };
    json::answer(object! { rounds: rounds.iter().enumerate().map(round).collect::<Vec<_>>() })
}
