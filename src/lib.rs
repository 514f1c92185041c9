//! **ribwright** turns the readings a maker takes at a rib's joint into the
//! strokes of a plane that close it.

pub mod maths;
pub mod job;
pub mod joint;
pub mod seat;
pub mod fit;
pub mod slice;
pub mod strokes;
pub mod advice;
pub mod practice;
pub mod show;
