//! Sums of squares of normal numbers.

/// Standard normal quantile of one in a hundred (tables).
const ONE_PERCENT: f64 = -2.326;

/// The lower one per cent point of chi-square with so many degrees of freedom, over their number.
///
/// The cube of a normal number (E. B. Wilson and M. M. Hilferty, PNAS 17, 1931; from memory). Below
/// ten degrees it lies too low, by 0.01 at five.
pub fn lower_percent(freedom: f64) -> f64 {
    let spread = 2.0 / (9.0 * freedom);
    (1.0 - spread + ONE_PERCENT * spread.sqrt()).max(0.0).powi(3)
}
