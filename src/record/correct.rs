//! Readings of the last round corrected: the one exception to rows that never change. The
//! new reading takes the old one's place, and the old one stays beside it as a note.

use super::JournalError;
use super::append::{Edit, NewRow, Target};
use super::confirmed::Line;
use super::journal::{Session, columns, figure_cell, one_line, reading_row, same_round};
use crate::job::columns::READINGS;
use crate::job::{Quantity, Reading, Round, RoundNumber};
use crate::store::Place;
use crate::table::named::{Row, Table};

/// Puts readings in the place of those of the last round, `known` as the maker saw it:
/// by station (index), mm. A station that was not read in it gets a row.
///
/// # Errors
///
/// [`JournalError::Overtaken`] if the last round is another one by now, and all that
/// adding a round may meet; the folder is then as it was.
pub fn correct_round(
    folder: impl Into<Place>,
    (number, known): (RoundNumber, &Round),
    readings: &[(usize, Reading)],
) -> Result<(), JournalError> {
    let session = Session::open(&folder.into())?;
    let last = session.job.rounds.last().filter(|_| session.job.last_round() == Some(number));
    if !last.is_some_and(|last| same_round(last, known)) {
        return Err(JournalError::Overtaken(session.folder.to_string(), "readings were"));
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
            let differs = |old: &Reading| !changed(old, reading).is_empty() || old.bears != reading.bears;
            round.readings.get(*i).is_some_and(differs)
        };
        let name = |i: usize| &self.job.stations[i].name;
        if let Some((i, _)) = readings.iter().filter(new).find(|(i, _)| several(table, number, name(*i))) {
            let file = self.folder.join(READINGS.file).to_string();
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
        let columns = columns(target);
        let cell = |q: Quantity| (columns.name(q), figure_cell(q, new, self.job.unit, target));
        let mut cells: NewRow = changed(old, new).into_iter().map(cell).collect();
        let bears = if new.bears { "yes" } else { "" }.to_owned();
        cells.extend((old.bears != new.bears).then_some(("bears", bears)));
        let was = |(name, _): &(&str, String)| match (*name, table.cell(row, name)) {
            ("bears", "") => "it was not felt to bear".to_owned(),
            (_, "") => format!("{name} was not read"),
            (_, text) => format!("{name} was {text}"),
        };
        let was = cells.iter().map(was).collect::<Vec<_>>().join(" and ");
        let told = format!("{was} until corrected on {}", self.folder.today());
        let note = [table.cell(row, "note"), &told].map(str::to_owned).into_iter().filter(|n| !n.is_empty());
        let note = one_line(&note.collect::<Vec<_>>().join("; "));
        cells.push(("note", note));
        cells
    }
}

/// What two readings tell otherwise.
fn changed(old: &Reading, new: &Reading) -> Vec<Quantity> {
    Quantity::ALL.into_iter().filter(|q| q.told(old) != q.told(new)).collect()
}

fn corrected(round: &Round, readings: &[(usize, Reading)]) -> Round {
    let mut round = round.clone();
    for (i, reading) in readings {
        if let Some(place) = round.readings.get_mut(*i) {
            *place = Reading { again: place.again, ..reading.clone() };
        }
    }
    round
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
