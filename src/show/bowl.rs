//! A whole bowl, for people at a terminal and for programs.

mod division;
mod laid_out;
mod mark;
mod moves;
mod shim;
mod spacer;
mod state;
mod typed;

use std::io::{self, Write};

use super::grid::Grid;
use super::names::{clean, columns, shortened};
use super::wrap::paragraph;
use crate::job::Warning;

pub(crate) use division::verdict as division_said;
pub use division::{division_json, division_text};
pub use laid_out::laid_out_text;
pub(crate) use mark::verdict as marks_said;
pub use mark::{marks_json, marks_text};
pub(crate) use moves::{MOVEMENT_SOURCE, movement_next};
pub use moves::{movement_json, movement_said, movement_text};
pub(crate) use shim::shims_said;
pub use shim::{shims_json, shims_text};
pub(crate) use spacer::spacer_said;
pub use spacer::{spacer_json, spacer_text};
pub(super) use state::offsets;
pub use state::{whole_json, whole_text};
pub(crate) use typed::{MARKS_ASKED, TOO_FEW, girth_asked};

/// A table with a station a row.
fn station_table(names: &[String], grid: &Grid, out: &mut impl Write) -> io::Result<()> {
    let room = super::wrap::WIDTH.saturating_sub(grid.width()).max(8);
    let full: Vec<&str> = names.iter().map(String::as_str).collect();
    let short = shortened(&full, |n| columns(n) <= room);
    let heads: Vec<String> = ["station".to_owned()].into_iter().chain(short).collect();
    writeln!(out)?;
    grid.write(&heads, out)
}

fn warnings_text(warnings: &[Warning], out: &mut impl Write) -> io::Result<()> {
    if warnings.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nMind:")?;
    warnings.iter().try_for_each(|w| paragraph(out, "- ", &w.text))
}

/// A title as it opens a sentence.
fn titled(title: Option<&str>) -> String {
    title.map(|t| format!("{}. ", clean(t))).unwrap_or_default()
}
