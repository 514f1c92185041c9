//! A cut that was only thought of, for people at a terminal and for programs.

use std::io::{self, Write};

use owo_colors::OwoColorize;
use serde::Serialize;

use super::grid::Grid;
use super::json::{WarningOut, mm, warnings_out};
use super::names::{clean, columns, headed, shortened};
use super::units::{cell, length, plural};
use super::wrap::{WIDTH, paragraph};
use crate::advice::{WhatIf, leverage_said};
use crate::job::Job;
use crate::seat::{Leverage, press};

/// A finger's touch, newtons (from memory).
const TOUCH: f64 = 5.0;

/// Writes a cut's effect, at most 80 columns wide, lengths in the job's unit.
///
/// # Errors
///
/// Those of the stream.
pub fn what_if_text(job: &Job, answer: &WhatIf, out: &mut impl Write) -> io::Result<()> {
    let planned = answer.cut.iter().any(|c| *c > 0.0);
    let head = if planned { "If this wood came off" } else { "As the rib lies now" };
    writeln!(out, "{}", head.bold())?;
    paragraph(out, "", &bearings(job, answer, planned))?;
    stations(job, answer, out)?;
    leverage(job, answer, out)?;
    forces(job, answer, out)?;
    if !answer.warnings.is_empty() {
        writeln!(out, "\n{}", "Mind:".bold())?;
    }
    answer.warnings.iter().try_for_each(|w| paragraph(out, "- ", &w.text))
}

fn bearings(job: &Job, answer: &WhatIf, planned: bool) -> String {
    let now = listed(job, &answer.before.bearings);
    let then = listed(job, &answer.after.bearings);
    let after = if planned { format!(" After the cut it would bear at {then}.") } else { String::new() };
    let round = headed(job.title.as_deref(), &format!("round {}", job.rounds.len()));
    format!("{round}. It bears at {now}.{after} Lengths in {}.", plural(job.unit))
}

fn listed(job: &Job, stations: &[usize]) -> String {
    let names: Vec<String> = stations.iter().map(|&i| clean(&job.stations[i].name)).collect();
    match names.split_last() {
        None => "no station".to_owned(),
        Some((one, [])) => format!("station {one}"),
        Some((last, rest)) => format!("stations {} and {last}", rest.join(", ")),
    }
}

fn stations(job: &Job, answer: &WhatIf, out: &mut impl Write) -> io::Result<()> {
    let unit = job.unit;
    let row = |i: usize| {
        let (before, after) = (&answer.before.clearances[i], &answer.after.clearances[i]);
        let sd = answer.after_sd[i];
        vec![
            cell((answer.cut[i] > 0.0).then_some(answer.cut[i]), unit),
            length(before.gap, unit),
            format!("{} ± {}", length(after.gap, unit), length(sd.gap, unit)),
            length(before.lift, unit),
            format!("{} ± {}", length(after.lift, unit), length(sd.lift, unit)),
        ]
    };
    let grid = Grid {
        groups: vec![(1, " gap "), (3, " lift ")],
        heads: vec!["take", "before", "after", "before", "after"],
        rows: (0..job.stations.len()).map(row).collect(),
    };
    let room = WIDTH.saturating_sub(2 + grid.width());
    let full: Vec<&str> = job.stations.iter().map(|s| s.name.as_str()).collect();
    let short = shortened(&full, |n| columns(n) <= room);
    let mark = |i: usize| if answer.after.bearings.contains(&i) { "*" } else { " " };
    let named = short.iter().enumerate().map(|(i, name)| format!("{} {name}", mark(i)));
    let names: Vec<String> = ["  station".to_owned()].into_iter().chain(named).collect();
    writeln!(out)?;
    grid.write(&names, out)?;
    let planned = answer.cut.iter().any(|c| *c > 0.0);
    let when = if planned { "would bear here after the cut" } else { "bears here" };
    writeln!(out, "* the joint edge {when}\n± one standard uncertainty")
}

fn leverage(job: &Job, answer: &WhatIf, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    answer.leverage.iter().try_for_each(|l| paragraph(out, "- ", &leverage_said(job, l)))
}

fn forces(job: &Job, answer: &WhatIf, out: &mut impl Write) -> io::Result<()> {
    let text = match (&answer.forces, press::material(job)) {
        (_, Err(unknown)) => format!("The force that presses closed what is left can't be told: {unknown}."),
        (Some(forces), Ok(_)) if !forces.is_empty() => pressing(job, answer, forces),
        _ => "Nothing is left to press closed.".to_owned(),
    };
    writeln!(out)?;
    paragraph(out, "", &text)
}

fn pressing(job: &Job, answer: &WhatIf, forces: &[(usize, f64)]) -> String {
    let each = forces.iter().map(|&(i, newtons)| {
        let gap = job.unit.say(answer.after.clearances[i].gap);
        format!("{} N for the {gap} at {}", newtons_text(newtons), clean(&job.stations[i].name))
    });
    let each: Vec<String> = each.collect();
    let mut text = format!(
        "Pressing would close what is left with at most {}. That is a bound, for a straight strip bent edgewise; \
         a curved rib also gives way by twisting and is easily ten times softer. Under {TOUCH:.0} N is a finger's \
         touch.",
        each.join(", ")
    );
    if let Some(force) = job.tolerance.force {
        let within = forces.iter().all(|f| f.1 <= force);
        let verdict = if within { "All of it lies" } else { "Not all of it lies" };
        text.push_str(&format!(" {verdict} within the {} N of joint.toml.", newtons_text(force)));
    }
    text
}

/// A force to two figures: it is a bound, not a measurement.
fn newtons_text(newtons: f64) -> String {
    match newtons {
        n if n < 9.95 => format!("{n:.1}"),
        n if n < 99.5 => format!("{n:.0}"),
        n => format!("{:.0}", (n / 10.0).round() * 10.0),
    }
}

/// A cut's effect as pretty-printed JSON, lengths in mm, forces in newtons,
/// without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no valid answer causes.
pub fn what_if_json(job: &Job, answer: &WhatIf) -> serde_json::Result<String> {
    let name = |i: usize| job.stations[i].name.as_str();
    let names = |stations: &[usize]| stations.iter().map(|&i| name(i)).collect::<Vec<&str>>();
    let forces = answer.forces.as_ref();
    serde_json::to_string_pretty(&Answer {
        schema: 1,
        round: job.rounds.len(),
        stations: (0..job.stations.len()).map(|i| StationOut::new(job, answer, i)).collect(),
        bearings_before: names(&answer.before.bearings),
        bearings_after: names(&answer.after.bearings),
        leverage: answer.leverage.iter().map(|l| LeverageOut::new(job, l)).collect(),
        closing_forces: forces.map(|f| {
            f.iter()
                .map(|&(i, n)| ForceOut { station: name(i), at_most_n: (n * 100.0).round() / 100.0 })
                .collect()
        }),
        no_force_because: press::material(job).err().map(|e| e.to_string()),
        warnings: warnings_out(&answer.warnings),
    })
}

#[derive(Serialize)]
struct Answer<'a> {
    schema: u32,
    round: usize,
    stations: Vec<StationOut<'a>>,
    bearings_before: Vec<&'a str>,
    bearings_after: Vec<&'a str>,
    leverage: Vec<LeverageOut<'a>>,
    closing_forces: Option<Vec<ForceOut<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    no_force_because: Option<String>,
    warnings: Vec<WarningOut<'a>>,
}

#[derive(Serialize)]
struct StationOut<'a> {
    station: &'a str,
    take_mm: Option<f64>,
    gap_before_mm: Option<f64>,
    gap_after_mm: Option<f64>,
    gap_after_sd_mm: Option<f64>,
    lift_before_mm: Option<f64>,
    lift_after_mm: Option<f64>,
    lift_after_sd_mm: Option<f64>,
    seat_before_mm: Option<f64>,
    seat_after_mm: Option<f64>,
}

impl<'a> StationOut<'a> {
    fn new(job: &'a Job, answer: &WhatIf, i: usize) -> Self {
        let (before, after) = (&answer.before.clearances[i], &answer.after.clearances[i]);
        StationOut {
            station: &job.stations[i].name,
            take_mm: mm(answer.cut[i]),
            gap_before_mm: mm(before.gap),
            gap_after_mm: mm(after.gap),
            gap_after_sd_mm: mm(answer.after_sd[i].gap),
            lift_before_mm: mm(before.lift),
            lift_after_mm: mm(after.lift),
            lift_after_sd_mm: mm(answer.after_sd[i].lift),
            seat_before_mm: mm(before.seat),
            seat_after_mm: mm(after.seat),
        }
    }
}

#[derive(Serialize)]
struct LeverageOut<'a> {
    bears_at: &'a str,
    take_mm: Option<f64>,
    closes_most_at: Option<&'a str>,
    closes_mm: Option<f64>,
    gap_change_mm: Vec<Option<f64>>,
}

impl<'a> LeverageOut<'a> {
    fn new(job: &'a Job, leverage: &Leverage) -> Self {
        let most = leverage.closes_most();
        LeverageOut {
            bears_at: &job.stations[leverage.station].name,
            take_mm: mm(leverage.taken),
            closes_most_at: most.map(|m| job.stations[m.0].name.as_str()),
            closes_mm: mm(most.map(|m| m.1)),
            gap_change_mm: leverage.change.iter().map(|c| mm(*c)).collect(),
        }
    }
}

#[derive(Serialize)]
struct ForceOut<'a> {
    station: &'a str,
    at_most_n: f64,
}
