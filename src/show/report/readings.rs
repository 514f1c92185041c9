//! All rounds as they were read, with what was planed after each.

use maud::{Markup, html};

use super::super::names::clean;
use super::super::strokes::done_text;
use super::super::units::{MISSING, exact, plural};
use crate::job::{Against, Job, Reading, Round};

/// Rounds side by side in one table: as many as fit across a sheet of paper.
const ROUNDS: usize = 3;

/// What is read at a station: its head, its value, whether any round has it.
type Column = (&'static str, fn(&Reading) -> Option<f64>);
const COLUMNS: [Column; 3] = [("overlap", |r| r.overlap), ("lift", |r| r.lift), ("seat", |r| r.seat)];

/// The readings; nothing without rounds.
pub(super) fn readings(job: &Job) -> Markup {
    let read = |c: &Column| job.rounds.iter().flat_map(|r| &r.readings).any(|r| (c.1)(r).is_some());
    let columns: Vec<Column> = COLUMNS.into_iter().filter(read).collect();
    let numbered: Vec<(usize, &Round)> = job.rounds.iter().enumerate().map(|(k, r)| (k + 1, r)).collect();
    html! {
        @if !job.rounds.is_empty() {
            section #readings {
                h2 { "Readings" }
                p.notes { "As they were read, in " (plural(job.unit)) "; a gap is a negative overlap, " (MISSING) " was not read." }
                @for some in numbered.chunks(ROUNDS) { (table(job, some, &columns)) }
                (planed(job))
            }
        }
    }
}

fn table(job: &Job, rounds: &[(usize, &Round)], columns: &[Column]) -> Markup {
    html! {
        table {
            thead {
                tr {
                    th rowspan="2" scope="col" { "station" }
                    @for (k, round) in rounds {
                        th colspan=(columns.len()) scope="colgroup" { "round " (k) ", against the " (against(round.against)) }
                    }
                }
                tr { @for _ in rounds { @for (head, _) in columns { th scope="col" { (head) } } } }
            }
            tbody {
                @for (i, station) in job.stations.iter().enumerate() {
                    tr {
                        th scope="row" { (clean(&station.name)) }
                        @for (_, round) in rounds { @for (_, value) in columns {
                            td { (value(&round.readings[i]).map_or(MISSING.to_owned(), |v| exact(v, job.unit))) }
                        } }
                    }
                }
            }
        }
    }
}

fn against(against: Against) -> &'static str {
    match against {
        Against::Line => "line",
        Against::Neighbour => "neighbour",
    }
}

/// The strokes that were taken, by round.
fn planed(job: &Job) -> Markup {
    let after = |(k, round): (usize, &Round)| {
        let strokes: Vec<String> =
            round.strokes.iter().map(|s| done_text(job, &s.clone().named(job))).collect();
        (!strokes.is_empty()).then(|| (k + 1, strokes.join("; ")))
    };
    let lines: Vec<(usize, String)> = job.rounds.iter().enumerate().filter_map(after).collect();
    html! {
        @if !lines.is_empty() {
            h3 { "Planed" }
            ul { @for (k, text) in lines { li { "after round " (k) ": " (text) "." } } }
        }
    }
}
