//! Numerical tools that know nothing about wood: least squares, smooth curves,
//! small convex programs, form deviations.

pub mod arrow;
pub mod hinge;
pub mod spline;
