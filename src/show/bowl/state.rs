//! Where the work on a bowl stands.

use std::io::{self, Write};

use serde::Serialize;

use super::division::source_word;
use super::{titled, warnings_text};
use crate::advice::{JointState, Stage, Whole};
use crate::bowl::divide::Division;
use crate::job::bowl::Bowl;
use crate::json::{self, all_mm, mm, object};
use crate::show::grid::Grid;
use crate::show::json::shaving;
use crate::show::names::next_command;
use crate::show::past::foreseen_said;
use crate::show::units::{MISSING, cell, plural};
use crate::show::wrap::paragraph;

/// Writes where the work stands, at most 80 columns wide, lengths in the bowl's unit.
///
/// # Errors
///
/// Those of the stream.
pub fn whole_text(bowl: &Bowl, whole: &Whole, out: &mut impl Write) -> io::Result<()> {
    let done = whole.joints.iter().filter(|j| j.stage == Stage::Done).count();
    paragraph(out, "", &format!("Next: {}", whole.next))?;
    // On lines of their own, however long, so that they can be copied whole.
    for (command, folder) in &whole.commands {
        writeln!(out, "  {}", next_command(command, folder))?;
    }
    writeln!(out)?;
    let s = &bowl.settings;
    let head = format!(
        "{}{} ribs, {done} of {} joints fitted. Lengths in {}.",
        titled(s.title.as_deref()),
        s.ribs,
        s.ribs - 1,
        plural(s.unit)
    );
    paragraph(out, "", &head)?;
    joints(bowl, whole, out)?;
    widths(bowl, whole, out)?;
    learned(bowl, whole, out)?;
    if whole.hits().count > 0 {
        paragraph(out, "", &foreseen_said(&whole.hits()))?;
    }
    if let Ok(movement) = &whole.movement {
        paragraph(out, "", &super::moves::movement_said(movement, s.unit, s.even))?;
    }
    warnings_text(&whole.warnings, out)
}

fn stage_word(stage: Stage) -> &'static str {
    match stage {
        Stage::Waiting => "waiting",
        Stage::InWork => "in work",
        Stage::Done => "fitted",
    }
}

fn joints(bowl: &Bowl, whole: &Whole, out: &mut impl Write) -> io::Result<()> {
    let begun: Vec<&JointState> = whole.joints.iter().filter(|j| j.stage != Stage::Waiting).collect();
    if begun.is_empty() {
        return Ok(());
    }
    let unit = bowl.settings.unit;
    let row = |j: &&JointState| {
        vec![
            stage_word(j.stage).to_owned(),
            j.rounds.to_string(),
            j.strokes.to_string(),
            cell(j.gap, unit),
            cell(j.lift, unit),
            cell(j.wood, unit),
            cell(j.spare, unit),
            j.minutes.map_or(MISSING.to_owned(), |m| format!("{m:.0}")),
        ]
    };
    let grid = Grid {
        groups: vec![(3, " widest "), (5, " wood ")],
        heads: vec!["", "rounds", "strokes", "gap", "lift", "taken", "left", "min"],
        rows: begun.iter().map(row).collect(),
    };
    let names = begun.iter().map(|j| format!("{:5}", j.number));
    let names: Vec<String> = ["joint".to_owned()].into_iter().chain(names).collect();
    writeln!(out)?;
    grid.write(&names, out)
}

/// The ribs' widths against the mean, over the stations.
fn widths(bowl: &Bowl, whole: &Whole, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    let division = match &whole.division {
        Ok(division) => division,
        Err(why) => return paragraph(out, "", why),
    };
    let unit = bowl.settings.unit;
    let off = offsets(division);
    let row = |k: usize| {
        let (low, high) = range(&off[k]);
        let mean = off[k].iter().sum::<f64>() / off[k].len().max(1) as f64;
        let signed = |v| super::division::signed(v, unit);
        vec![source_word(division.ribs[k].source).to_owned(), signed(low), signed(mean), signed(high)]
    };
    // Shares are alike: one line stands for all of them.
    let shown = (division.fitted + 1).min(off.len());
    let grid = Grid {
        groups: vec![(1, " over the mean width ")],
        heads: vec!["", "least", "mean", "most"],
        rows: (0..shown).map(row).collect(),
    };
    let name = |k: usize| match k < division.fitted {
        true => format!("{:3}", k + 1),
        false => format!("{}-{}", k + 1, off.len()),
    };
    let names: Vec<String> = ["rib".to_owned()].into_iter().chain((0..shown).map(name)).collect();
    grid.write(&names, out)?;
    let (at, worst) = division.worst();
    let text = format!(
        "At each station against the mean of all ribs, shares included. They differ by {} at most (station {}; tolerance \
         {}).",
        unit.say(worst),
        bowl.settings.stations[at],
        unit.say(bowl.settings.even)
    );
    paragraph(out, "", &text)
}

/// Each rib's width over the mean of all at each station, mm.
pub(in crate::show) fn offsets(d: &Division) -> Vec<Vec<f64>> {
    let mean = |i: usize| d.ribs.iter().map(|r| r.at[i]).sum::<f64>() / d.ribs.len().max(1) as f64;
    let means: Vec<f64> = (0..d.girth.len()).map(mean).collect();
    d.ribs.iter().map(|r| r.at.iter().zip(&means).map(|(w, m)| w - m).collect()).collect()
}

fn range(values: &[f64]) -> (f64, f64) {
    values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)))
}

fn learned(bowl: &Bowl, whole: &Whole, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    let said = bowl.joints.last().and_then(|j| whole.lessons.said(&j.job));
    let said = said.map(|s| {
        s.replacen("Starts from what", "What", 1).replacen(
            " taught:",
            " taught, and the next one starts from:",
            1,
        )
    });
    paragraph(
        out,
        "",
        &said.unwrap_or_else(|| "Nothing was learned yet: a second round at a joint will teach.".into()),
    )
}

/// Where the work stands as pretty-printed JSON, lengths in mm, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no valid bowl causes.
pub fn whole_json(bowl: &Bowl, whole: &Whole) -> serde_json::Result<String> {
    let division = whole.division.as_ref();
    let widths = division.ok().map(|d| {
        let ribs: Vec<_> = d.ribs.iter().map(|r| all_mm(&r.at)).collect();
        object! { fitted: d.fitted, difference_mm: mm(d.worst().1), ribs: ribs }
    });
    let commands = whole.commands.iter().map(|(name, folder)| next_command(name, folder));
    json::answer(object! {
        ribs: bowl.settings.ribs,
        next: &whole.next,
        commands: commands.collect::<Vec<_>>(),
        joints: whole.joints.iter().map(joint_for_programs).collect::<Vec<_>>(),
        widths: widths,
        no_widths_because: division.err(),
        forecast: whole.hits(),
        moisture_moves_mm: mm(whole.movement.as_ref().ok().map(|m| m.counts())),
        warnings: &whole.warnings,
    })
}

fn joint_for_programs(j: &JointState) -> impl Serialize {
    object! {
        joint: j.number,
        stage: stage_word(j.stage),
        verdict: j.verdict,
        reason: &j.reason,
        rounds: j.rounds,
        strokes: j.strokes,
        gap_mm: mm(j.gap),
        lift_mm: mm(j.lift),
        wood_mm: mm(j.wood),
        spare_left_mm: mm(j.spare),
        minutes: j.minutes,
        marked: j.marked,
        forecast: j.hits,
        shavings: j.shavings.iter().map(|(plane, mean, sd)| shaving(plane, *mean, *sd)).collect::<Vec<_>>(),
    }
}
