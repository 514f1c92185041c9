//! Readings of the last round corrected: the one exception to rows that never change. The
//! new reading takes the old one's place, and the old one stays beside it as a note.

use std::path::Path;

use super::JournalError;
use super::append::{Edit, NewRow, Target};
use super::confirmed::Line;
use super::journal::{Session, length_cell, one_line, reading_fields, reading_row, same_round};
use super::today::today;
use crate::job::columns::{Field, READINGS, READINGS_AT};
use crate::job::{Clearance, Reading, Round, RoundNumber};
use crate::table::named::{Row, Table};

/// Puts readings in the place of those of the last round, `known` as the maker saw it:
/// by station (index), mm. A station that was not read in it gets a row.
///
/// # Errors
///
/// [`JournalError::Overtaken`] if the last round is another one by now, and all that
/// adding a round may meet; the folder is then as it was.
pub fn correct_round(
    folder: &Path,
    (number, known): (RoundNumber, &Round),
    readings: &[(usize, Reading)],
) -> Result<(), JournalError> {
    let session = Session::open(folder)?;
    let last = session.job.rounds.last().filter(|_| session.job.last_round() == Some(number));
    if !last.is_some_and(|last| same_round(last, known)) {
        return Err(JournalError::Overtaken(folder.display().to_string(), "readings were"));
    }
    session
        .keep(session.correct(number, readings), || Line::corrected(&session.job, (number, known), readings))
}

impl Session {
    /// Puts readings into a round that is there.
    pub(super) fn correct(
        &self,
        number: RoundNumber,
        readings: &[(usize, Reading)],
    ) -> Result<(), JournalError> {
        let target = self.target(&READINGS);
        let (Some(table), Some(round)) = (&target.table, self.job.round(number)) else {
            return Err(JournalError::Nothing);
        };
        let wanted = corrected(round, readings);
        let new = |(i, reading): &&(usize, Reading)| {
            round
                .readings
                .get(*i)
                .is_some_and(|old| READINGS_AT.iter().any(|f| (f.get)(old) != (f.get)(reading)))
        };
        let name = |i: usize| &self.job.stations[i].name;
        if let Some((i, _)) = readings.iter().filter(new).find(|(i, _)| several(table, number, name(*i))) {
            let file = self.folder.join(READINGS.file).display().to_string();
            return Err(JournalError::Several { file, station: name(*i).clone() });
        }
        let (mut edits, mut rows): (Vec<Edit>, Vec<NewRow>) = Default::default();
        for (i, reading) in readings.iter().filter(new) {
            match row_of(table, number, name(*i)) {
                Some(row) => {
                    let cells = self.changed_cells(&target, row, (&round.readings[*i], reading));
                    edits.push(Edit { row: row.number, cells });
                }
                None => {
                    let heading = (number, round.against, round.rebent);
                    rows.push(reading_row(heading, (name(*i), reading), self.job.unit, &target));
                }
            }
        }
        self.write(&target, &edits, &rows, |old, job| {
            let others =
                |rounds: &[Round]| [&rounds[..number.index()], &rounds[number.index() + 1..]].concat();
            job.rounds.len() == old.rounds.len()
                && others(&job.rounds) == others(&old.rounds)
                && same_round(&job.rounds[number.index()], &wanted)
        })
    }

    /// The cells of a row in which the reading differs, and what stood there as a note.
    fn changed_cells(&self, target: &Target, row: &Row, (old, new): (&Reading, &Reading)) -> NewRow {
        let Some(table) = &target.table else { return NewRow::new() };
        let differs = |f: &&Field<Reading>| (f.get)(old) != (f.get)(new);
        let changed: Vec<_> = reading_fields(target).filter(differs).collect();
        let cell = |f: &&Field<Reading>| {
            let text = (f.get)(new).map(|mm| length_cell(mm, self.job.unit, &target.dialect));
            (f.name, text.unwrap_or_default())
        };
        let was = |f: &&Field<Reading>| match table.cell(row, f.name) {
            "" => format!("{} was not read", f.name),
            text => format!("{} was {text}", f.name),
        };
        let was = changed.iter().map(was).collect::<Vec<_>>().join(" and ");
        let told = format!("{was} until corrected on {}", today());
        let note = [table.cell(row, "note"), &told].map(str::to_owned).into_iter().filter(|n| !n.is_empty());
        let note = one_line(&note.collect::<Vec<_>>().join("; "));
        changed.iter().map(cell).chain([("note", note)]).collect()
    }
}

fn corrected(round: &Round, readings: &[(usize, Reading)]) -> Round {
    let mut round = round.clone();
    for (i, reading) in readings {
        if let Some(place) = round.readings.get_mut(*i) {
            *place = retyped(place, reading);
        }
    }
    round
}

/// A reading with its numbers typed anew. What else is told of the place stays; an interval only
/// where its number does.
fn retyped(old: &Reading, typed: &Reading) -> Reading {
    let mut new = Reading { overlap: typed.overlap, lift: typed.lift, seat: typed.seat, ..old.clone() };
    for of in Clearance::ALL.into_iter().filter(|of| old.clearance(*of) != typed.clearance(*of)) {
        new.within[of] = None;
    }
    new
}

/// Whether a station was read more than once in a round: which of its rows is meant can't be told.
fn several(table: &Table, round: RoundNumber, station: &str) -> bool {
    rows_of(table, round).filter(|row| table.cell(row, "station") == station).nth(1).is_some()
}

/// The row of a station in a round of a table that was read without problems.
fn row_of<'a>(table: &'a Table, round: RoundNumber, station: &str) -> Option<&'a Row> {
    rows_of(table, round).find(|row| table.cell(row, "station") == station)
}

/// The rows of a round, likewise.
pub(super) fn rows_of(table: &Table, round: RoundNumber) -> impl Iterator<Item = &Row> {
    let number = |row: &Row| {
        let text = table.cell(row, "round");
        text.strip_suffix(".0").or(text.strip_suffix(",0")).unwrap_or(text).parse().ok()
    };
    table.rows.iter().filter(move |row| number(row) == Some(round))
}
