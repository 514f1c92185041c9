//! What is kept: new rows in a joint's or a bowl's tables, a round while it is typed,
//! and folders written fresh.
//!
//! ## Why does a row stay as it is, even when a column is missing?
//!
//! Rows are the maker's record. [`add_round`] and [`add_strokes`] copy the table
//! byte for byte, put new column names at the end of the header row only, and add
//! rows below. Older rows are then shorter than the header, which reads as 'not
//! read'. Before the new table takes the place of the old one it is read back and
//! compared with what was there before.
//!
//! One exception is asked for by the maker: [`correct_round`] puts a reading of the last round
//! in the place of another, cell by cell, and its row's note keeps the old one.
//!
//! ## Why is everything that was confirmed kept twice?
//!
//! A spreadsheet that had the table open saves its older copy, and a round is gone. [`lost`]
//! compares the tables with `confirmed.log` and says what is missing or another one.
//!
//! ## Why is a round being typed a file of its own?
//!
//! Half a round in `readings.csv` would be read as a whole one. A [`Draft`] keeps
//! what was typed until all of it is confirmed; then the round goes in at once.

mod append;
mod bowl_fresh;
mod bowl_rows;
mod confirmed;
mod correct;
mod draft;
mod journal;
mod lock;
mod lost;
pub mod pack;
mod refusal;
mod typed_round;
mod typed_stroke;
mod version;
mod write;

pub use bowl_fresh::write_bowl;
pub use bowl_rows::{NewMark, add_girth, add_marks};
pub use correct::correct_round;
pub use draft::{Draft, DraftEntry};
pub use journal::{NewRound, NewStroke, add_round, add_round_as, add_strokes, add_strokes_to};
pub use lost::{Lost, LostReading, LostRound, bring_back, keep_as_it_is, look_back, lost, or_lost};
pub use refusal::JournalError;
pub use typed_round::{Step, TypedRound, at_station, steps};
pub use typed_stroke::{stroke_example, typed_change, typed_stroke};
pub use version::version;
pub use write::{Style, WriteError, write_folder, write_folder_as, write_table};
#[cfg(feature = "program")]
pub(crate) use write::{fresh, io_error};
