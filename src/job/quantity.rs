//! What is read at a station, and under which columns a folder keeps it.

use serde::{Deserialize, Serialize};

use super::folder::Files;
use super::ranges;
use super::{Clearance, Reading, columns};
use crate::store::Place;
use crate::table::named::Table;
use crate::table::{Figure, Problems, Range};

/// One of the quantities read at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Quantity {
    /// Wood beyond the joint line; a gap is negative.
    Overlap,
    /// How far the outer edge stands off the mold.
    Lift,
    /// How far the joint edge itself stands off the mold.
    Seat,
}

impl Quantity {
    /// All three, in the order of their columns.
    pub const ALL: [Quantity; 3] = [Quantity::Overlap, Quantity::Lift, Quantity::Seat];

    /// Its reading, mm; `None` where not read.
    pub fn of(self, reading: &Reading) -> Option<f64> {
        match self {
            Quantity::Overlap => reading.overlap,
            Quantity::Lift => reading.lift,
            Quantity::Seat => reading.seat,
        }
    }

    /// The clearance that it tells, an overlap with the opposite sign.
    pub fn clearance(self) -> Clearance {
        match self {
            Quantity::Overlap => Clearance::Gap,
            Quantity::Lift => Clearance::Lift,
            Quantity::Seat => Clearance::Seat,
        }
    }

    /// Its reading as it was told, a number or an interval, mm.
    pub fn told(self, reading: &Reading) -> Option<Figure> {
        let number = self.of(reading).map(Figure::Number);
        let within = reading.within[self.clearance()].map(Figure::Within);
        within.map(|within| self.turned(within)).or(number)
    }

    /// Puts a reading in its place.
    pub fn put(self, reading: &mut Reading, told: Option<Figure>) {
        let mm = told.map(Figure::middle);
        match self {
            Quantity::Overlap => reading.overlap = mm,
            Quantity::Lift => reading.lift = mm,
            Quantity::Seat => reading.seat = mm,
        }
        reading.within[self.clearance()] = told.and_then(|told| match self.turned(told) {
            Figure::Within(within) => Some(within),
            Figure::Number(_) => None,
        });
    }

    /// From a clearance to this quantity, or back.
    fn turned(self, told: Figure) -> Figure {
        if self == Quantity::Overlap { told.negated() } else { told }
    }
}

/// The columns that a folder's `readings.csv` has for what is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadingColumns {
    /// `gap` stands in the place of `overlap`, with the opposite sign.
    pub gap: bool,
    /// There is a column `lift`.
    pub lift: bool,
    /// There is a column `seat`.
    pub seat: bool,
}

impl Default for ReadingColumns {
    /// What a folder without readings begins with: makers read daylight.
    fn default() -> Self {
        ReadingColumns { gap: true, lift: true, seat: false }
    }
}

impl ReadingColumns {
    /// The quantities, in the order of their columns.
    pub fn quantities(&self) -> Vec<Quantity> {
        let all = [(true, Quantity::Overlap), (self.lift, Quantity::Lift), (self.seat, Quantity::Seat)];
        all.into_iter().filter(|(there, _)| *there).map(|(_, quantity)| quantity).collect()
    }

    /// The name of a quantity's column.
    pub fn name(&self, quantity: Quantity) -> &'static str {
        match quantity {
            Quantity::Overlap if self.gap => "gap",
            Quantity::Overlap => "overlap",
            Quantity::Lift => "lift",
            Quantity::Seat => "seat",
        }
    }

    /// The plausible range of a quantity.
    pub fn range(&self, quantity: Quantity) -> Range {
        match quantity {
            Quantity::Overlap if self.gap => ranges::GAP,
            Quantity::Overlap => ranges::OVERLAP,
            Quantity::Lift => ranges::LIFT,
            Quantity::Seat => ranges::SEAT,
        }
    }

    /// A reading as its column has it, or the other way round: a gap is an overlap
    /// with the opposite sign.
    pub fn turned(&self, quantity: Quantity, mm: f64) -> f64 {
        // Taken from 0, so that no minus comes before a zero.
        if self.gap && quantity == Quantity::Overlap { 0.0 - mm } else { mm }
    }

    /// The same of what was told.
    pub fn told(&self, quantity: Quantity, told: Figure) -> Figure {
        if self.gap && quantity == Quantity::Overlap { told.negated() } else { told }
    }

    /// Whether a dash may stand between the ends of an interval: where no number is below zero.
    pub fn dashed(&self, quantity: Quantity) -> bool {
        self.gap || quantity != Quantity::Overlap
    }
}

/// The columns that a folder's `readings.csv` has; the default if there is none.
///
/// # Errors
///
/// [`Problems`] if the table can't be made out.
pub fn reading_columns(folder: impl Into<Place>) -> Result<ReadingColumns, Problems> {
    let mut problems = Vec::new();
    let table = Files::load(&folder.into()).readings.table(&columns::READINGS, &mut problems);
    Problems::none_in(problems)?;
    let columns_of = |table: Table| {
        let has = |name| table.has(name);
        ReadingColumns { gap: has("gap"), lift: has("lift"), seat: has("seat") }
    };
    Ok(table.map(columns_of).unwrap_or_default())
}
