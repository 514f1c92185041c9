//! The outer edge's marks.

use std::io::{self, Write};

use super::division::signed;
use super::{station_table, titled, warnings_text};
use crate::bowl::mark::{Apart, Marks, Measure};
use crate::bowl::moisture::Movement;
use crate::job::{Job, Warning};
use crate::json::{self, mm, object};
use crate::show::grid::Grid;
use crate::show::json::at_stations;
use crate::show::strokes::done_text;
use crate::show::table::CAUTION;
use crate::show::units::{MISSING, cell, plural};
use crate::show::wrap::paragraph;

/// Wood over the marks from which sawing is quicker than planing, mm (common practice,
/// no source).
const ROUGH: f64 = 1.5;

/// Warnings about the joint that matter for its outer edge too.
const TOLD: [&str; 3] = ["learned", "default-plane", "extra-columns"];

/// Writes the marks and the strokes down to them, at most 80 columns wide.
///
/// # Errors
///
/// Those of the stream.
pub fn marks_text(
    job: &Job,
    marks: &Marks,
    even: f64,
    movement: Option<&Movement>,
    out: &mut impl Write,
) -> io::Result<()> {
    paragraph(out, "", &verdict(job, marks))?;
    writeln!(out)?;
    let head = format!(
        "{}Outer edge. Lengths in {}, across the rib; marks from the reference line.",
        titled(job.title.as_deref()),
        plural(job.unit)
    );
    paragraph(out, "", &head)?;
    table(job, marks, out)?;
    paragraph(out, "", "± one standard uncertainty; off: the width marked against the share of the girth")?;
    let shape = if marks.curved { "gently curved" } else { "a plane" };
    paragraph(out, "", &format!("The edge through the marks: {shape}."))?;
    strokes(job, marks, out)?;
    if let Some(movement) = movement {
        writeln!(out)?;
        paragraph(out, "", &super::moves::movement_said(movement, job.unit, even))?;
    }
    warnings_text(&warnings(job, marks, even), out)?;
    if !marks.plan.strokes.is_empty() {
        writeln!(out)?;
        paragraph(out, "", CAUTION)?;
    }
    Ok(())
}

/// Where lines and girth can't both be right, both figures and what settles it.
fn apart_said(job: &Job, apart: &Apart) -> String {
    let say = |[mm, sd]: [f64; 2]| format!("{} (± {})", job.unit.say(mm), job.unit.say(sd));
    format!(
        "The lines on the mold and the girth disagree: at station {} the line makes this rib {} wide, the girth leaves it \
         {}.",
        job.stations[apart.station].name,
        say(apart.line),
        say(apart.girth)
    )
}

/// What is to be done then.
const SETTLE: &str = " Plane nothing yet. Measure the girth there again, and check the line and the compass on it; \
                      correct girth.csv or marks.csv. If both stand, the girth is what the ribs left must fill: draw the \
                      line anew at the width that it leaves, or mark by it with --by-widths.";

/// Said where the whole edge is short.
const EXCHANGED: &str = " It is short everywhere: look in marks.csv whether compass and edge were exchanged.";

/// The word for it, as its column is named.
fn measure_word(measure: Measure) -> &'static str {
    match measure {
        Measure::Compass => "compass",
        Measure::Edge => "edge",
    }
}

pub(crate) fn verdict(job: &Job, m: &Marks) -> String {
    let most = m.height.iter().copied().fold(0.0, f64::max);
    if let Some((measure, off)) = m.off.first() {
        return format!(
            "Measure station {} again before you cut: its {} distance of {} does not go with the others, which say about \
             {}. Correct marks.csv; nothing is planed on a distance in doubt.",
            job.stations[off.station].name,
            measure_word(*measure),
            job.unit.say(off.read),
            job.unit.say(off.expected)
        );
    }
    if let Some(apart) = m.apart.as_ref().filter(|_| !m.by_widths) {
        let exchanged = if m.short.len() == m.stations.len() { EXCHANGED } else { "" };
        return format!("{}{SETTLE}{exchanged}", apart_said(job, apart));
    }
    if !m.short.is_empty() {
        let names: Vec<&str> = m.short.iter().map(|&i| job.stations[i].name.as_str()).collect();
        return format!(
            "The edge is already short of its marks at station {}. Plane no deeper there; let the share of the next rib \
             take it up: read the girth again and see ribwright divide.{}",
            names.join(", "),
            if names.len() == m.stations.len() { EXCHANGED } else { "" }
        );
    }
    match m.plan.strokes.is_empty() {
        true => format!(
            "Stop: the edge is at its marks. What is left, {} at most, is no safe shaving.",
            job.unit.say(most)
        ),
        false if most > ROUGH => format!(
            "Mark the edge, saw or plane it roughly to about half a millimetre outside the marks ({} is to come off at \
             most), measure it again, and plane as told then.",
            job.unit.say(most)
        ),
        false => format!(
            "Mark the edge and take the strokes below, then measure it again. At most {} is to come off.",
            job.unit.say(most)
        ),
    }
}

fn table(job: &Job, m: &Marks, out: &mut impl Write) -> io::Result<()> {
    let unit = job.unit;
    let with_sd = |v: Option<f64>, sd: f64| match v {
        Some(v) => format!("{} ± {}", cell(Some(v), unit), cell(Some(sd), unit)),
        None => MISSING.to_owned(),
    };
    let row = |i: usize| {
        let s = &m.stations[i];
        vec![
            cell(s.compass, unit),
            with_sd(s.mark, s.sd),
            cell(Some(s.width), unit),
            s.wanted.map_or(MISSING.to_owned(), |w| signed(s.width - w, unit)),
            with_sd(s.remove, s.remove_sd),
            cell(Some(s.now), unit),
        ]
    };
    let grid = Grid {
        groups: vec![(0, " mark "), (2, " width "), (4, " comes off ")],
        heads: vec!["compass", "gently laid", "marked", "off", "in the end", "now"],
        rows: (0..m.stations.len()).map(row).collect(),
    };
    let names: Vec<String> = job.stations.iter().map(|s| s.name.clone()).collect();
    station_table(&names, &grid, out)
}

fn strokes(job: &Job, m: &Marks, out: &mut impl Write) -> io::Result<()> {
    if m.plan.strokes.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nStrokes on the outer edge, in this order:")?;
    for (i, planned) in m.plan.strokes.iter().enumerate() {
        paragraph(out, &format!("{:2}. ", i + 1), &done_text(job, &planned.stroke().named(job)))?;
    }
    Ok(())
}

fn warnings(job: &Job, m: &Marks, even: f64) -> Vec<Warning> {
    let off = |i: &usize| m.stations[*i].wanted.map_or(0.0, |w| m.stations[*i].width - w);
    let worst = (0..m.stations.len()).max_by(|a, b| off(a).abs().total_cmp(&off(b).abs()));
    let apart = m.apart.as_ref().filter(|_| m.by_widths).map(|apart| {
        let text = format!(
            "{} It is marked by the girth; measure that again before you cut.",
            apart_said(job, apart)
        );
        Warning::new("line-and-girth", text)
    });
    let uneven = worst.filter(|i| m.apart.is_none() && off(i).abs() > even / 2.0).map(|i| {
        let text = format!(
            "So marked, this rib becomes {} {} than its share at station {}. Draw the lines on the mold anew at the \
             widths that ribwright divide tells, or mark by those with --by-widths.",
            job.unit.say(off(&i).abs()),
            if off(&i) > 0.0 { "wider" } else { "narrower" },
            job.stations[i].name
        );
        Warning::new("off-the-share", text)
    });
    let unknown = m.stations.iter().all(|s| s.wanted.is_none()).then(|| {
        let text = "The marks could not be checked against the rib's share: the girth left before this rib was not read. \
                    Read it, and type it with `ribwright divide --enter --after` and the joint's number.";
        Warning::new("unchecked-widths", text)
    });
    job.warnings
        .iter()
        .filter(|w| TOLD.contains(&w.code))
        .cloned()
        .chain(apart)
        .chain(uneven)
        .chain(unknown)
        .collect()
}

/// The marks as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if they cannot be written as JSON, which no valid marks cause.
pub fn marks_json(
    job: &Job,
    m: &Marks,
    even: f64,
    movement: Option<&Movement>,
) -> serde_json::Result<String> {
    let name = |i: usize| &job.stations[i].name;
    let off = m.off.iter().map(|(column, o)| {
        object! { station: name(o.station), column: *column, read_mm: mm(o.read), expected_mm: mm(o.expected) }
    });
    let strokes = m.plan.strokes.iter().map(|s| {
        let plane = &job.planes[s.plane].name;
        object! { plane: plane, from: name(s.from), to: name(s.to), count: s.count }
    });
    let apart = m.apart.map(|a| {
        object! {
            station: name(a.station),
            line_mm: mm(a.line[0]), line_sd_mm: mm(a.line[1]),
            girth_mm: mm(a.girth[0]), girth_sd_mm: mm(a.girth[1]),
        }
    });
    json::answer(object! {
        curved: m.curved,
        line_and_girth_apart: apart,
        stations: at_stations(job, &m.stations),
        off: off.collect::<Vec<_>>(),
        strokes: strokes.collect::<Vec<_>>(),
        moisture_moves_mm: mm(movement.map(|m| m.counts())),
        warnings: warnings(job, m, even),
    })
}
