//! The practice bench: a known rib, measured, planed, seated again.
//!
//! A method of planing is judged by what it leaves in the end, so the bench
//! closes the loop: it invents a bowl's [`mold`] and on it a joint and a
//! [`blank`] whose wood is known, seats the [`rib`] with exact rotations, reads
//! it with noise, lets a [`strategy`] decide, planes with uneven shavings on
//! the simulated sole, and goes on until the strategy stops ([`mod@bench`]). A
//! [`session`] plays many joints with several strategies side by side. The
//! [`lesson`]s for apprentices are ribs of known wood too.

pub mod bench;
pub mod blank;
pub mod chain;
pub mod dice;
pub mod insight;
pub mod lesson;
pub mod mold;
pub mod overcut;
pub mod rib;
pub mod session;
pub mod strategy;
pub mod world;
pub mod wrong;

pub use blank::{Bowls, Recipe};
pub use session::{Played, Practice, Spread, Summary};
pub use strategy::{Run, Strategy};
pub use world::{World, Worlds};
pub use wrong::Wrong;
