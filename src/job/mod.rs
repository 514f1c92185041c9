//! Files in and out: a joint's folder or single table becomes a [`Job`].
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
//!
//! ## Why does a row stay as it is, even when a column is missing?
//!
//! Rows are the maker's record. [`add_round`] and [`add_strokes`] copy the table
//! byte for byte, put new column names at the end of the header row only, and add
//! rows below. Older rows are then shorter than the header, which reads as 'not
//! read'. Before the new table takes the place of the old one it is read back and
//! compared with what was there before.
//!
//! ## Why is a round being typed a file of its own?
//!
//! Half a round in `readings.csv` would be read as a whole one. A [`Draft`] keeps
//! what was typed until all of it is confirmed; then the round goes in at once.

mod append;
pub mod bowl;
mod cell;
mod clearances;
mod columns;
mod dates;
mod decode;
mod dialect;
mod doubt;
mod draft;
mod folder;
mod grid;
mod journal;
mod marks;
mod misnamed;
mod number;
mod place;
mod problem;
mod quantity;
pub mod ranges;
mod rounds;
mod rows_text;
mod settings;
mod settings_text;
mod stations;
mod strokes;
mod suggest;
mod table;
mod toml_file;
mod typed;
mod typed_round;
mod types;
mod unreadable;
mod version;
mod write;

pub use clearances::{Clearance, Clearances};
pub use decode::{Charset, Encoding};
pub use dialect::{Decimal, Delimiter, Dialect, LineEnd};
pub use doubt::{Entered, doubt};
pub use draft::{Draft, DraftEntry};
pub use folder::{read, read_folder};
pub use journal::{JournalError, NewRound, NewStroke, add_round, add_round_as, add_strokes, add_strokes_to};
pub use misnamed::misnamed;
pub use problem::{Problem, Problems};
pub use quantity::{Quantity, ReadingColumns, reading_columns};
pub(crate) use suggest::did_you_mean;
pub use toml_file::LONGEST_TEXT;
pub use typed::{stroke_example, typed_change, typed_length, typed_stroke};
pub use typed_round::{Step, TypedRound, at_station, steps};
pub use types::*;
pub use version::version;
pub(crate) use write::io_error;
pub use write::{Style, WriteError, write_folder, write_folder_as, write_table};
