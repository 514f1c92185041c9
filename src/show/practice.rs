//! The practice bench's table for people, at most 80 columns wide.

use std::io::{self, Write};

use owo_colors::OwoColorize;

use super::names::columns;
use super::table::pad;
use super::units::MISSING;
use super::wrap::{WIDTH, lines, paragraph};
use crate::practice::bench::Outcome;
use crate::practice::insight::{Insight, Misses};
use crate::practice::{Played, Practice, Spread, Strategy, Summary};

/// Heads of the figures' columns.
const HEADS: [&str; COLUMNS] = ["rounds", "read", "strokes", "min", "wood", "gap left", "lift left", "stops"];
const COLUMNS: usize = 8;

/// Writes the table of a practice, all lengths in mm; `each` adds every run.
///
/// # Errors
///
/// Those of the stream.
pub fn practice_text(
    practice: &Practice,
    played: &[Played],
    each: bool,
    out: &mut impl Write,
) -> io::Result<()> {
    let summaries: Vec<(Strategy, Summary)> = played.iter().map(|p| (p.strategy, p.summary())).collect();
    heading(practice, out)?;
    table(&summaries, out)?;
    legend(practice, out)?;
    beyond(&summaries, out)?;
    played.iter().try_for_each(|p| without_figures(p, out))?;
    let aimed = practice.recipe.task(practice.seed_of(0)).job.tolerance.overcut;
    let advised = summaries.iter().filter(|(strategy, _)| *strategy == Strategy::Advice);
    advised.map(|(_, summary)| summary).try_for_each(|summary| too_much(summary, aimed, out))?;
    summaries.iter().try_for_each(|(_, summary)| forecasts(summary, out))?;
    if each { runs(practice, played, out) } else { Ok(()) }
}

fn heading(practice: &Practice, out: &mut impl Write) -> io::Result<()> {
    let kind = if practice.recipe.plain { "plain bowls" } else { "mixed bowls" };
    let joints = match practice.joints {
        1 => "1 invented joint".to_owned(),
        n => format!("{n} invented joints"),
    };
    let wrong = practice.recipe.wrong.map_or(String::new(), |w| format!(", {}", w.describe()));
    let worlds: String = practice.recipe.worlds.iter().map(|w| format!(", {}", w.describe())).collect();
    paragraph(out, "", &format!("{joints}, {kind}{wrong}{worlds}, seed {}. Lengths in mm.", practice.seed))
}

fn table(summaries: &[(Strategy, Summary)], out: &mut impl Write) -> io::Result<()> {
    let rows: Vec<[String; COLUMNS]> = summaries.iter().map(|(_, s)| cells(s)).collect();
    let width = |c: usize| rows.iter().map(|r| columns(&r[c])).max().unwrap_or(0).max(columns(HEADS[c]));
    let widths: [usize; COLUMNS] = std::array::from_fn(width);
    let room = WIDTH - widths.iter().map(|w| w + 2).sum::<usize>();
    let figures = |cells: &[String; COLUMNS]| -> String {
        cells.iter().zip(widths).map(|(c, w)| format!("  {}{c}", " ".repeat(w - columns(c)))).collect()
    };
    writeln!(out)?;
    writeln!(out, "{}{}", pad("who decides", room).bold(), figures(&HEADS.map(str::to_owned)).bold())?;
    for ((strategy, _), row) in summaries.iter().zip(&rows) {
        let name = lines(strategy.describe(), room);
        for (i, part) in name.iter().enumerate() {
            let figures = if i == 0 { figures(row) } else { String::new() };
            writeln!(out, "{}", format!("{}{figures}", pad(part, room)).trim_end())?;
        }
    }
    Ok(())
}

fn cells(s: &Summary) -> [String; COLUMNS] {
    let pair = |s: &Spread| format!("{:.2}/{:.2}", s.mean, s.ninety);
    [
        format!("{:.1}", s.rounds),
        format!("{:.0}", s.readings),
        format!("{:.1}", s.strokes),
        format!("{:.1}", s.minutes),
        format!("{:.2}", s.wood),
        pair(&s.gap),
        pair(&s.lift),
        percent(s.stopped),
    ]
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

fn legend(practice: &Practice, out: &mut impl Write) -> io::Result<()> {
    let costs = &practice.costs;
    writeln!(out)?;
    paragraph(
        out,
        "",
        &format!(
            "Rounds, single readings, strokes: mean of {} runs. Min: minutes, at {} s to set the rib in place and take \
             it off, {} s a reading, {} s a stroke (assumed, no source). Wood: mean over the stations. Gap and lift \
             left: the widest at any station, mean / 90 % of the runs. Stops: by itself, within ten rounds.",
            practice.joints, costs.setting, costs.reading, costs.stroke
        ),
    )
}

/// Who took more than the spare width.
fn beyond(summaries: &[(Strategy, Summary)], out: &mut impl Write) -> io::Result<()> {
    let took = summaries.iter().filter(|(_, summary)| summary.beyond_spare > 0);
    let who = took.map(|(who, s)| format!("{} of \"{}\"", counted(s.beyond_spare), who.describe()));
    let who: Vec<String> = who.collect();
    let runs = if who.is_empty() { "no run".to_owned() } else { who.join(", ") };
    paragraph(out, "", &format!("More than the spare width came off somewhere in {runs}."))
}

/// Runs that stopped for want of figures.
fn without_figures(played: &Played, out: &mut impl Write) -> io::Result<()> {
    let whys: Vec<_> = played.runs.iter().filter_map(|r| r.no_figures.as_ref()).collect();
    let Some(why) = whys.first() else { return Ok(()) };
    let who = played.strategy.describe();
    paragraph(
        out,
        "",
        &format!("{} of \"{who}\" stopped without figures; the first: {why}.", counted(whys.len())),
    )
}

fn counted(runs: usize) -> String {
    if runs == 1 { "1 run".to_owned() } else { format!("{runs} runs") }
}

/// How often the advice took too much; `aimed`: at what share of the plannings it may.
fn too_much(summary: &Summary, aimed: f64, out: &mut impl Write) -> io::Result<()> {
    let o = &summary.overcuts;
    if o.plannings == 0 {
        return Ok(());
    }
    let share = |part: usize, all: usize| format!("{:.1} %", 100.0 * part as f64 / all.max(1) as f64);
    let fitted = summary.fitted.map_or(MISSING.to_owned(), percent);
    writeln!(out)?;
    paragraph(
        out,
        "",
        &format!(
            "The advice took too much (beyond the least-wood slice of the true edge by more than the gap's \
             tolerance) at {} of the stations, over all {} times it had strokes taken; at the station that it held to \
             be the riskiest in {} of these ({} is aimed at), at some station in {}. Of the joints it stopped at, {} were \
             within tolerance everywhere. At {} it said that something stated or entered can't be right.",
            share(o.places_over, o.places),
            o.plannings,
            share(o.riskiest_over, o.riskiest),
            percent(aimed),
            share(o.plannings_over, o.plannings),
            fitted,
            percent(summary.noticed)
        ),
    )
}

fn forecasts(summary: &Summary, out: &mut impl Write) -> io::Result<()> {
    let Some((one, two)) = summary.hits.fractions() else { return Ok(()) };
    paragraph(
        out,
        "",
        &format!(
            "It foresaw the next readings: of {}, {} fell within one standard deviation of its forecast and {} \
             within two (68 and 95 % if it knows exactly how sure it is).",
            summary.hits.count,
            percent(one),
            percent(two)
        ),
    )
}

fn runs(practice: &Practice, played: &[Played], out: &mut impl Write) -> io::Result<()> {
    for p in played {
        writeln!(out, "\n{}", p.strategy.describe())?;
        for (k, run) in p.runs.iter().enumerate() {
            one_run(practice.seed_of(k), &run.outcome, out)?;
            run.insights.iter().try_for_each(|i| insight(i, out))?;
        }
    }
    Ok(())
}

fn one_run(seed: u64, o: &Outcome, out: &mut impl Write) -> io::Result<()> {
    writeln!(
        out,
        "{seed:7} {:2} rounds {:3} strokes wood {:.2} gap {:.3} lift {:.3} too much {:6.3}{}{}",
        o.rounds,
        o.strokes,
        o.wood,
        o.gap,
        o.lift,
        o.overcut,
        if o.stopped { "" } else { " on" },
        if o.beyond_spare { " beyond" } else { "" }
    )
}

/// Truth, miss and stated standard deviation of gaps and lifts after a round, and below
/// them the first plane's shaving as learned, in stated ones, the readings' misfit, and
/// whether the rib lies within tolerance.
fn insight(i: &Insight, out: &mut impl Write) -> io::Result<()> {
    let misses = |m: &Misses| format!("{:.2} {:+.2} {:.3}/{:.3}", m.widest, m.bias, m.rms, m.stated);
    writeln!(
        out,
        "  {:2} gap {} lift {} {} wanted {:.2} {}\n     shaving {:.2}/{:.2} misfit {:.2}{}",
        i.round,
        misses(&i.gap),
        misses(&i.lift),
        percent(i.fitted),
        i.wanted,
        i.pushes,
        i.shaving.0,
        i.shaving.1,
        i.misfit,
        if i.within { " within tolerance" } else { "" }
    )
}
