//! The whole bowl: its shape, widths, marks, and what its joints teach each other.

mod chain;
mod divide;
mod lessons;
mod mark;
mod shape;

#[path = "../demo/mod.rs"]
mod made;
