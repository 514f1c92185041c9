//! The standard library's clock, under the name by which `argmin` asks for one.
//!
//! Otherwise a browser's clock would be named there, and with it all that binds a script's functions:
//! 290 kB that every phone would load for a clock that nobody reads. Reading this one in a browser is
//! a panic.

pub use std::time::*;
