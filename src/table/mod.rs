//! Bytes to cells: tables and settings in the dialects of spreadsheets and editors,
//! numbers, dates and quantities as written. This room knows no joint.

pub(crate) mod cell;
mod dates;
pub(crate) mod decode;
mod dialect;
pub(crate) mod file;
pub(crate) mod grid;
pub mod interval;
pub(crate) mod layout;
pub(crate) mod lookalike;
mod marks;
pub(crate) mod misnamed;
pub(crate) mod named;
mod number;
pub(crate) mod problem;
pub(crate) mod range;
pub(crate) mod rows;
mod stated;
pub(crate) mod suggest;
pub(crate) mod toml_file;
pub(crate) mod typed;
mod unit;
pub(crate) mod unreadable;
pub(crate) mod workbook;

pub use decode::{Charset, Encoding, decode, encode};
pub use dialect::{Decimal, Delimiter, Dialect, LineEnd};
pub use interval::{Figure, Interval};
pub use misnamed::misnamed;
pub use problem::{Kind, Problem, Problems, Warning};
pub use range::{Measure, Range, Slip};
pub(crate) use suggest::did_you_mean;
pub use toml_file::LONGEST_TEXT;
pub use typed::{typed_figure, typed_length};
pub use unit::{Told, Unit};
