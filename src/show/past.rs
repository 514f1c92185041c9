//! A joint's history, for people at a terminal and for programs.

use std::io::{self, Write};

use super::grid::Grid;
use super::json::shaving;
use super::names::clean;
use super::units::{MISSING, cell, plural};
use super::wrap::paragraph;
use crate::advice::{Hits, PastRound, Sureness, counted};
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
    paragraph(out, "", &foreseen_said(&Hits::all(rounds.iter().map(|r| r.hits))))
}

/// How often forecasts and chances held, in words.
pub fn foreseen_said(hits: &Hits) -> String {
    if hits.count == 0 {
        return "No round was foreseen yet: a second one, against the neighbour, will tell.".into();
    }
    let n = hits.count as f64;
    let held = match hits.sureness() {
        Sureness::Unknown => "That is too little to tell how far chances can be trusted.",
        Sureness::Right => "So chances hold about as they are told.",
        Sureness::TooSure => {
            "So chances are told too high: check whether feelers and shavings are as joint.toml states them."
        }
        Sureness::TooCareful => "So chances are rather better than they are told.",
    };
    format!(
        "Foreseen: of {}, {:.0} came within one standard deviation of what was expected ({:.0} should) \
         and {:.0} within two ({:.0} should); {} {} within tolerance, {:.0} were expected to be. {held}",
        counted(hits.count, "reading"),
        hits.within_one,
        0.683 * n,
        hits.within_two,
        0.954 * n,
        hits.within_tolerance,
        if hits.within_tolerance == 1 { "was" } else { "were" },
        hits.foreseen_within,
    )
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
