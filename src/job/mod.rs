//! What is known of a joint and of a bowl, and how it is made from the cells of tables.
//!
//! Everything inside a `Job` is in millimetres and radians; units, decimal
//! commas and spreadsheet dialects end at this room's door.
//!
//! Reading is one call, [`read()`]. It either gives a whole `Job` or every
//! [`Problem`] of every file at once, each with its row and column as a
//! spreadsheet counts them and the next step. Ranges that a value must keep to
//! are named once, in [`ranges`].
//!
//! ## Why does the reader refuse so much?
//!
//! The worst fault of such a reader is a number that is quietly another number:
//! `0,435` read as 435, `1.234` read as 1.234 where 1234 was meant, 11/32 that a
//! spreadsheet turned into a date. Wood can't be put back, so whatever can be
//! read in two ways is named and sent back instead of guessed at.

mod again;
mod angle;
pub mod bowl;
mod clearances;
pub mod columns;
mod doubt;
pub(crate) mod folder;
pub(crate) mod keys;
pub(crate) mod names;
mod quantity;
pub mod ranges;
mod round_number;
mod rounds;
mod settings;
pub(crate) mod settings_keys;
mod stations;
mod strokes;
mod types;

pub use crate::table::{Figure, Interval, Problem, Problems, Unit, Warning};
pub use angle::Angle;
pub use clearances::{Clearance, Clearances};
pub use doubt::{Entered, believed, doubt};
pub use folder::{read, read_folder};
pub use quantity::{Quantity, ReadingColumns, reading_columns};
pub use round_number::RoundNumber;
pub use types::*;
