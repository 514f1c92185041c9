//! Pictures: a picture is a [`sheet::Sheet`] of marks, drawn once and written
//! as SVG, PNG and GIF alike. One style for all of them, in [`style`].
//!
//! A new picture is a file here that makes a sheet, and its line in [`Picture`] and
//! [`Album`].
//!
//! A GIF keeps its flat colours exactly: its 256 colours are the most frequent ones of each
//! frame, not averages, so that they stay what the style says.

mod album;
pub mod axis;
mod both_edges;
pub mod curve;
#[cfg(feature = "program")]
mod files;
pub mod flat;
mod frame;
mod history;
mod labels;
pub mod lesson;
mod lever;
mod marks;
pub mod night;
mod outside;
#[cfg(feature = "program")]
mod paint;
mod passes;
#[cfg(feature = "program")]
mod raster;
mod removal;
mod scene;
mod section;
pub mod sheet;
mod slivers;
pub mod space;
pub mod style;
mod svg;
mod text;
mod widths;

pub use album::{Album, Film, Picture};
pub use both_edges::both_edges;
#[cfg(feature = "program")]
pub use files::{SCALE, marks_pictures, widths_pictures};
pub use history::history;
pub use lever::lever;
pub use marks::{marks, narrow_marks, narrow_outline, outline};
pub use outside::{narrow_outside, outside};
pub use passes::{narrow_frames, pass_frames, pass_pages, passes};
#[cfg(feature = "program")]
pub use raster::{film, gif};
pub use removal::{removal_map, removal_strip};
pub use scene::{CaptionedRib, Scene};
pub use section::sections;
pub use sheet::Sheet;
pub use slivers::{narrow_shims, narrow_tacks, shims, tacks};
pub use space::{Moment, Pass, View, exaggeration, motion, space};
pub use widths::{narrow_widths, widths};
