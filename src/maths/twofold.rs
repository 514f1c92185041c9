//! Sums carried in two `f64`s, so that what cancels does not take the answer
//! with it.
//!
//! A residual `b - Ax` near a solution is the small difference of large
//! numbers: summed plainly it is mostly rounding. The error-free sum and
//! product (D. E. Knuth; T. J. Dekker, Numerische Mathematik 18, 1971) keep
//! what each operation drops, as in the compensated dot product of T. Ogita,
//! S. M. Rump and S. Oishi, SIAM J. Sci. Comput. 26(6), 2005; from memory.

/// A running sum, as if carried with twice the digits of an `f64`.
#[derive(Debug, Clone, Copy, Default)]
pub struct Sum {
    high: f64,
    low: f64,
}

impl Sum {
    /// A sum that starts at `value`.
    pub fn new(value: f64) -> Sum {
        Sum { high: value, low: 0.0 }
    }

    /// Adds `value`.
    pub fn add(&mut self, value: f64) {
        let sum = self.high + value;
        let part = sum - self.high;
        self.low += (self.high - (sum - part)) + (value - part);
        self.high = sum;
    }

    /// Adds `a * b`, the product's own rounding included.
    pub fn add_product(&mut self, a: f64, b: f64) {
        let product = a * b;
        self.add(product);
        self.low += a.mul_add(b, -product);
    }

    /// The sum, rounded once.
    pub fn value(self) -> f64 {
        self.high + self.low
    }
}

#[cfg(test)]
mod tests {
    use super::Sum;

    #[test]
    fn what_cancels_leaves_the_rest_exact() {
        let mut sum = Sum::new(1e16);
        [1.0, -1e16, 0.25].iter().for_each(|v| sum.add(*v));
        assert_eq!(sum.value(), 1.25);
    }

    #[test]
    fn a_product_keeps_its_rounding() {
        let x = 1.0 + f64::EPSILON;
        let mut sum = Sum::new(-1.0 - 2.0 * f64::EPSILON);
        sum.add_product(x, x);
        assert_eq!(sum.value(), f64::EPSILON * f64::EPSILON);
    }
}
