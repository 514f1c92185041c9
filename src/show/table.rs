//! The advice for people at a terminal, at most 80 columns wide: verdict and
//! reason first, then the stations, the strokes, warnings, cautions.

use std::io::{self, Write};

use owo_colors::{OwoColorize, Style};

use super::names::{clean, columns, headed, shortened};
use super::read_next::read_next_text;
use super::strokes::planned_text;
use super::units::{MISSING, cell, length, plural};
use super::wrap::{WIDTH, paragraph};
use crate::advice::{Advice, StationAdvice, Surface, SurfaceKind, Verdict};
use crate::job::{Job, Measured, Unit};

/// Writes the advice, coloured by escape sequences; give it a stream that
/// takes them out where they don't belong (`anstream::AutoStream`).
///
/// Lengths are in the job's unit, 2 decimals in mm and 3 in inches.
///
/// # Errors
///
/// Those of the stream.
pub fn advice_text(job: &Job, advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    verdict(advice, out)?;
    subject(job, advice, out)?;
    if !advice.stations.is_empty() {
        stations(job, advice, out)?;
    }
    surface(job, advice.surface.as_ref(), out)?;
    if !advice.strokes.is_empty() {
        strokes(job, advice, out)?;
    }
    if let Some(next) = &advice.read_next {
        writeln!(out)?;
        paragraph(out, "", &read_next_text(job, next))?;
    }
    warnings(advice, out)?;
    cautions(advice, out)
}

/// The verdict in words, with what to do.
pub(crate) fn headline(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Plane => "Plane: take the strokes below, then read again.",
        Verdict::Fitted => "Fitted: stop planing.",
        Verdict::ReadAgain => "Read again: don't plane yet.",
        Verdict::NoAnswer => "No answer: don't plane yet.",
    }
}

fn verdict(advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    let style = match advice.verdict {
        Verdict::Fitted => Style::new().bold().green(),
        Verdict::Plane => Style::new().bold().cyan(),
        Verdict::ReadAgain | Verdict::NoAnswer => Style::new().bold().yellow(),
    };
    writeln!(out, "{}", headline(advice.verdict).style(style))?;
    paragraph(out, "", &advice.reason)
}

/// Which joint and round this is about, and the unit of what follows.
fn subject(job: &Job, advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    let round = match advice.round {
        Some(round) => format!("round {round}"),
        None => "no round read yet".to_owned(),
    };
    paragraph(out, "", &format!("{}. Lengths in {}.", headed(job.title.as_deref(), &round), plural(job.unit)))
}

/// What each number in the table is.
fn heads(job: &Job) -> [&'static str; 7] {
    let place = match job.measured {
        Measured::Along => "along",
        Measured::Arc => "arc",
    };
    [place, "overlap", "lift", "in the end", "now", "gap", "lift"]
}

/// The line over the heads: what the columns after the first have in common, by twos.
fn groups(widths: &[usize; 7]) -> String {
    let over = |i: usize, text: &str| format!("  {text:-^w$}", w = widths[i] + 2 + widths[i + 1]);
    let place = " ".repeat(2 + widths[0]);
    [place, over(1, " read "), over(3, " comes off "), over(5, " next ")].concat()
}

/// The cells of one station but its name.
fn numbers(job: &Job, station: &StationAdvice) -> [String; 7] {
    let cell = |value| cell(value, job.unit);
    let place = match job.measured {
        Measured::Along => station.along,
        Measured::Arc => station.arc,
    };
    [
        cell(Some(place)),
        cell(station.overlap),
        cell(station.lift),
        plus_minus(station.remove, station.remove_sd, job.unit),
        cell(station.remove_now),
        cell(station.gap_after),
        cell(station.lift_after),
    ]
}

/// A figure with its standard uncertainty.
fn plus_minus(value: Option<f64>, sd: Option<f64>, unit: Unit) -> String {
    match value {
        Some(value) => format!("{} ± {}", length(value, unit), cell(sd, unit)),
        None => MISSING.to_owned(),
    }
}

fn stations(job: &Job, advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    let rows: Vec<[String; 7]> = advice.stations.iter().map(|s| numbers(job, s)).collect();
    let heads = heads(job);
    let width = |c: usize| {
        let cells = rows.iter().map(|r| columns(&r[c]));
        cells.max().unwrap_or(0).max(columns(heads[c]))
    };
    let widths: [usize; 7] = std::array::from_fn(width);
    // Two columns go to the bearing's mark, two to the gap before each number.
    let room = WIDTH.saturating_sub(2 + widths.iter().map(|w| w + 2).sum::<usize>());
    let full: Vec<&str> = advice.stations.iter().map(|s| s.name.as_str()).collect();
    let names = shortened(&full, |n| columns(n) <= room.max(6));
    let longest = names.iter().map(|n| columns(n)).max().unwrap_or(0).max(7);
    writeln!(out)?;
    writeln!(out, "{}{}", " ".repeat(2 + longest), groups(&widths))?;
    row(out, " ", &pad("station", longest), heads.into_iter(), &widths)?;
    for (i, (name, cells)) in names.iter().zip(&rows).enumerate() {
        let mark = if advice.bearings.contains(&i) { "*" } else { " " };
        row(out, mark, &pad(name, longest), cells.iter().map(String::as_str), &widths)?;
    }
    notes(advice, &full, &names, out)
}

/// One line of the table, numbers to the right, no blanks at its end.
pub(super) fn row<'a>(
    out: &mut impl Write,
    mark: &str,
    name: &str,
    cells: impl Iterator<Item = &'a str>,
    widths: &[usize],
) -> io::Result<()> {
    let mut line = format!("{mark} {name}");
    for (cell, width) in cells.zip(widths) {
        line.push_str(&" ".repeat(2 + width - columns(cell)));
        line.push_str(cell);
    }
    writeln!(out, "{}", line.trim_end())
}

/// A text with blanks behind it, up to a width in columns.
pub(super) fn pad(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(columns(text))))
}

/// What the marks and the cut names in the table stand for.
fn notes(advice: &Advice, full: &[&str], short: &[String], out: &mut impl Write) -> io::Result<()> {
    if !advice.bearings.is_empty() {
        writeln!(out, "* the joint edge bears here now")?;
    }
    if advice.stations.iter().any(|s| s.remove_sd.is_some()) {
        writeln!(out, "± one standard uncertainty")?;
    }
    let cut: Vec<String> = full
        .iter()
        .zip(short)
        .filter(|(full, short)| clean(full) != **short)
        .map(|(full, short)| format!("{short} is {}", clean(full)))
        .collect();
    match cut.is_empty() {
        true => Ok(()),
        false => paragraph(out, "… ", &format!("names in full: {}", cut.join("; "))),
    }
}

fn surface(job: &Job, surface: Option<&Surface>, out: &mut impl Write) -> io::Result<()> {
    let Some(surface) = surface else {
        return Ok(());
    };
    let kind = match surface.kind {
        SurfaceKind::Plane => "a plane",
        SurfaceKind::Curved => "gently curved",
    };
    let flatness = surface.flatness.map(|f| {
        let departs = job.unit.say(f);
        format!(" The edge's departure from its best plane (FLTt): {departs}.")
    });
    writeln!(out)?;
    let why = &surface.why;
    paragraph(out, "", &format!("Joint surface: {kind}. {why}{}", flatness.unwrap_or_default()))
}

fn strokes(job: &Job, advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "\n{}", "Strokes, in this order:".bold())?;
    for (i, stroke) in advice.strokes.iter().enumerate() {
        paragraph(out, &format!("{:2}. ", i + 1), &planned_text(job, stroke))?;
    }
    match advice.strokes.iter().any(|s| s.check) {
        false => Ok(()),
        true => paragraph(out, "    ", CHECK),
    }
}

/// Common practice, no source.
pub(crate) const CHECK: &str = "The last stroke is the check: one shaving that runs unbroken from end to end \
    shows that no hollow deeper than a shaving is left. Where it breaks there is one: note \
    between which stations it ran, and read again.";

fn warnings(advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    if advice.warnings.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{}", "Mind:".bold())?;
    advice.warnings.iter().try_for_each(|w| paragraph(out, "- ", &w.text))
}

/// From memory; shown whenever the answer has the maker bring wood to an iron.
pub(crate) const CAUTION: &str = "Caution: on an upturned plane the iron is bare. Keep fingers \
    off the edge, hold the rib with a push block, and follow local rules.";

fn cautions(advice: &Advice, out: &mut impl Write) -> io::Result<()> {
    if advice.verdict != Verdict::Plane {
        return Ok(());
    }
    writeln!(out)?;
    paragraph(out, "", CAUTION)
}
