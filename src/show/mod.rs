//! Results to people and to programs: tables, JSON, pictures.
//!
//! Everything arrives here in millimetres and leaves in the maker's unit;
//! only JSON stays in millimetres.

pub mod bowl;
pub mod draw;
mod grid;
pub mod json;
mod lesson;
mod lesson_page;
mod lost;
mod names;
mod past;
pub mod practice;
mod practice_json;
mod read_next;
pub mod report;
mod round;
mod strokes;
pub mod table;
mod units;
mod what_if;
#[cfg(feature = "program")]
mod workbook;
mod wrap;

#[cfg(feature = "program")]
pub use draw::{marks_pictures, widths_pictures};
pub use json::advice_json;
pub use lesson::{answer_text, lesson_json, lesson_text, lessons_json, lessons_text};
pub use lesson_page::lesson_page;
pub(crate) use lesson_page::what_came_of;
pub use lost::{lost_json, lost_text};
pub(crate) use names::{capital, clean};
#[cfg(feature = "program")]
pub(crate) use names::{headed, read_again_command};
pub use names::{next_command, shortened};
pub use past::{foreseen_said, past_json, past_text};
pub use practice::practice_text;
pub use practice_json::practice_json;
pub use read_next::read_next_text;
#[cfg(feature = "program")]
pub(crate) use report::REPORT_MARK;
pub use report::report;
pub use round::round_text;
pub(crate) use strokes::with_text;
pub use strokes::{done_text, planned_text};
pub use table::advice_text;
pub(crate) use table::{CAUTION, CHECK, headline};
pub use units::{cell, exact, told};
pub(crate) use units::{plural, typed_alike};
pub use what_if::{what_if_json, what_if_text};
#[cfg(feature = "program")]
pub use workbook::workbook;
pub use wrap::{WIDTH, message, paragraph};
