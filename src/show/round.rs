//! One round of readings beside the round before, for a last look.

use std::io::{self, Write};

use super::names::{clean, columns, shortened};
use super::table::{pad, row};
use super::units::{MISSING, told};
use super::wrap::WIDTH;
use crate::job::{Job, Quantity, Reading, ReadingColumns};

/// Writes a round that is not yet in the job as a table, signs and unit as in the
/// folder, each reading beside that of the job's last round.
///
/// # Errors
///
/// Those of the stream.
pub fn round_text(
    job: &Job,
    kept: &ReadingColumns,
    readings: &[Reading],
    out: &mut impl Write,
) -> io::Result<()> {
    let heads = heads(job, kept, readings);
    let rows: Vec<Vec<String>> = (0..job.stations.len()).map(|i| cells(job, kept, readings, i)).collect();
    let width = |c: usize| rows.iter().map(|r| columns(&r[c])).max().unwrap_or(0).max(columns(&heads[c]));
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let room = WIDTH.saturating_sub(2 + widths.iter().map(|w| w + 2).sum::<usize>());
    let full: Vec<&str> = job.stations.iter().map(|s| s.name.as_str()).collect();
    let names = shortened(&full, |n| columns(&clean(n)) <= room.max(6));
    let longest = names.iter().map(|n| columns(n)).max().unwrap_or(0).max(7);
    row(out, " ", &pad("station", longest), heads.iter().map(String::as_str), &widths)?;
    for (name, cells) in names.iter().zip(&rows) {
        row(out, " ", &pad(name, longest), cells.iter().map(String::as_str), &widths)?;
    }
    Ok(())
}

/// Each quantity now and, if there was a round before, then.
fn heads(job: &Job, kept: &ReadingColumns, readings: &[Reading]) -> Vec<String> {
    let before = (!job.rounds.is_empty()).then(|| "before".to_owned());
    let headed = |q: Quantity| std::iter::once(kept.name(q).to_owned()).chain(before.clone());
    let bears = any_bears(readings).then(|| "bears".to_owned());
    kept.quantities().into_iter().flat_map(headed).chain(bears).collect()
}

fn any_bears(readings: &[Reading]) -> bool {
    readings.iter().any(|r| r.bears)
}

fn cells(job: &Job, kept: &ReadingColumns, readings: &[Reading], station: usize) -> Vec<String> {
    let cell = |q: Quantity, readings: &[Reading]| {
        let read = readings.get(station).and_then(|r| q.told(r));
        read.map_or_else(|| MISSING.to_owned(), |read| told(kept.told(q, read), job.unit))
    };
    let before = job.rounds.last().map(|r| r.readings.as_slice());
    let both = |q: Quantity| std::iter::once(cell(q, readings)).chain(before.map(|b| cell(q, b)));
    let here = readings.get(station).is_some_and(|r| r.bears);
    let bears = any_bears(readings).then(|| if here { "yes" } else { "" }.to_owned());
    kept.quantities().into_iter().flat_map(both).chain(bears).collect()
}
