//! The folder of a whole bowl: `bowl.toml`, its tables, and its joints.
//!
//! ```text
//! bowl.toml       what the maker says about the bowl
//! girth.csv       what is still to be covered, after so many ribs
//! widths.csv      ribs as they came out, where measured
//! time.csv        minutes of work, where noted
//! joints/01/      the joint of ribs 1 and 2, and so on
//!   marks.csv     compass distances for the outer edge of the new rib
//! ```
//!
//! Joint `k` is where rib `k + 1`, the new one, meets rib `k`.

mod belongs;
mod faults;
mod joints;
mod read;
mod settings;
mod tables;
mod types;

pub use super::names::{BOWL, JOINTS, MARKS};
pub use belongs::bowl_of;
pub(crate) use read::planes_around;
pub use read::read_bowl;
pub use tables::{OutlinePoint, read_outline};
pub use types::*;
