//! A cut that was only thought of, for people at a terminal and for programs.

use std::io::{self, Write};

use owo_colors::OwoColorize;
use serde::Serialize;

use super::grid::Grid;
use super::json::names;
use super::names::{clean, columns, headed, shortened};
use super::units::{cell, length, plural};
use super::wrap::{WIDTH, paragraph};
use crate::advice::{WhatIf, leverage_said};
use crate::job::{Job, Warning};
use crate::json::{self, all_mm, mm, object};
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
        (None, Ok(_)) => format!("The force that presses closed what is left can't be told: {TOO_UNLIKE}."),
        (Some(forces), Ok(_)) if forces.is_empty() => "Nothing is left to press closed.".to_owned(),
        (Some(forces), Ok(_)) => pressing(job, answer, forces),
    };
    writeln!(out)?;
    paragraph(out, "", &text)
}

/// Why no force is told of a rib whose wood and thickness are.
const TOO_UNLIKE: &str = "its sizes are too unlike for a sure answer; look at the widths in stations.csv and the thickness in joint.toml";

fn pressing(job: &Job, answer: &WhatIf, forces: &[(usize, f64)]) -> String {
    let each = forces.iter().map(|&(i, newtons)| {
        let gap = job.unit.say(answer.after.clearances[i].gap);
        format!("{} N for the {gap} at {}", newtons_text(newtons), clean(&job.stations[i].name))
    });
    let each: Vec<String> = each.collect();
    let mut text = format!(
        "Held down on its mold along both edges and pressed to the neighbour there, the rib closes what is left \
         with about {}; one rib may be a quarter stiffer than another. Under {TOUCH:.0} N is a finger's touch.",
        each.join(", ")
    );
    if let Some(force) = job.tolerance.force {
        let within = forces.iter().all(|f| f.1 <= force);
        let verdict = if within { "All of it lies" } else { "Not all of it lies" };
        text.push_str(&format!(" {verdict} within the {} N of joint.toml.", newtons_text(force)));
    }
    text
}

/// A force to two figures: no wood is known better.
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
    let force = |&(i, n): &(usize, f64)| {
        let station = &job.stations[i].name;
        object! { station: station, newtons: (n * 100.0).round() / 100.0 }
    };
    let forces = answer.forces.as_ref().map(|f| f.iter().map(force).collect::<Vec<_>>());
    let fields = object! {
        round: job.rounds.len(),
        stations: (0..job.stations.len()).map(|i| at_station(job, answer, i)).collect::<Vec<_>>(),
        bearings_before: names(job, &answer.before.bearings),
        bearings_after: names(job, &answer.after.bearings),
        leverage: answer.leverage.iter().map(|l| leverage_for_programs(job, l)).collect::<Vec<_>>(),
        closing_forces: forces,
    };
    json::answer(Answer {
        fields,
        no_force_because: answer.forces.is_none().then(|| {
            press::material(job).err().map_or_else(|| TOO_UNLIKE.to_owned(), |unknown| unknown.to_string())
        }),
        warnings: &answer.warnings,
    })
}

#[derive(Serialize)]
struct Answer<'a, T> {
    #[serde(flatten)]
    fields: T,
    #[serde(skip_serializing_if = "Option::is_none")]
    no_force_because: Option<String>,
    warnings: &'a [Warning],
}

fn at_station(job: &Job, answer: &WhatIf, i: usize) -> impl Serialize {
    let (before, after) = (&answer.before.clearances[i], &answer.after.clearances[i]);
    object! {
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

fn leverage_for_programs(job: &Job, leverage: &Leverage) -> impl Serialize {
    let most = leverage.closes_most();
    object! {
        bears_at: &job.stations[leverage.station].name,
        take_mm: mm(leverage.taken),
        closes_most_at: most.map(|m| &job.stations[m.0].name),
        closes_mm: mm(most.map(|m| m.1)),
        gap_change_mm: all_mm(&leverage.change),
    }
}
