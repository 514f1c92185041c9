//! **ribwright** turns the readings a maker takes at a rib's joint into the
//! strokes of a plane that close it.

pub mod advice;
pub mod cli;
pub mod fit;
pub mod job;
pub mod joint;
pub mod maths;
pub mod practice;
pub mod seat;
pub mod show;
pub mod slice;
pub mod sole;
pub mod strokes;
