//! Numerical tools that know nothing about wood: least squares, smooth curves,
//! small convex programs, form deviations.

pub mod arrow;
mod band;
pub mod corner;
pub mod dual;
pub mod form;
pub mod hinge;
pub mod least_squares;
pub mod nearest;
pub mod rigid;
pub mod robust;
pub mod spline;
pub mod twofold;

/// The scalar product. Rounding errors stay: [`least_squares`] has one that keeps its digits.
#[inline]
fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
