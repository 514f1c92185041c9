//! Numerical tools that know nothing about wood: least squares, smooth curves,
//! small convex programs, form deviations.
//!
//! ## Why convex solvers of its own?
//!
//! Seating and slicing minimise a linear cost with hinges and hard rows over six unknowns of
//! pose. A general solver carries a slack for every row; folding them away leaves systems of
//! six by six, so rows cost linearly. For draws, which differ in right sides only, the dual
//! simplex goes on from the estimate's own corner in a few exchanges, so that none depends on
//! another. A general solver is what the tests hold them against.

mod active_set;
pub mod beam;
mod block_tridiagonal;
pub mod both_ends;
pub mod chi_square;
pub mod descent;
pub mod form;
pub mod information;
pub mod normal;
pub mod program;
pub mod simplex;
pub mod spline;
pub mod worth;

/// The scalar product.
#[inline]
fn dot(a: &[f64], b: &[f64]) -> f64 {
    // Four sums side by side: one after the other each addition would wait for the last.
    let (a, b) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a.remainder().iter().zip(b.remainder()).map(|(a, b)| a * b).sum();
    let mut sums = [0.0; 4];
    for (a, b) in a.zip(b) {
        (0..4).for_each(|k| sums[k] += a[k] * b[k]);
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// Adds `share` times `b` to `a`.
#[inline]
fn add_scaled(a: &mut [f64], share: f64, b: &[f64]) {
    a.iter_mut().zip(b).for_each(|(a, b)| *a += share * b);
}
