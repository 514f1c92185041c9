//! The practice bench: a known rib, measured, planed, seated again.

pub mod bench;
pub mod blank;
pub mod demo;
pub mod mold;
pub mod rib;
