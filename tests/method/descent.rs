//! The search for a minimum along slopes, on functions whose minimum is known.

use nalgebra::Vector2;
use ribwright::maths::descent::minimum;

/// `cosh(x - 1) + cosh(y + 2 - x / 2)` is least where both are zero.
#[test]
fn the_minimum_is_found_from_afar() {
    let f = |v: &Vector2<f64>| (v.x - 1.0).cosh() + (v.y + 2.0 - v.x / 2.0).cosh();
    for start in [[0.0, 0.0], [3.0, -3.0], [-2.0, 1.0], [1.0, -1.5]] {
        let found = minimum(f, Vector2::from(start));
        assert!((found - Vector2::new(1.0, -1.5)).norm() < 3e-3, "{start:?}: {found}");
    }
}

/// A start that moves by a hair moves what is found by no more than the tolerance.
#[test]
fn what_is_found_does_not_hang_on_the_path() {
    let f = |v: &Vector2<f64>| (v.x - 0.3).cosh() + 2.0 * (v.y + v.x).cosh() + 0.1 * v.x;
    let found = minimum(f, Vector2::new(1.0, 1.0));
    for hair in [1e-9, 1e-4, 0.1] {
        assert!((minimum(f, Vector2::new(1.0 + hair, 1.0 - hair)) - found).norm() < 1e-3, "{hair}");
    }
}

#[test]
fn what_is_not_finite_stays_where_it_is() {
    let start = Vector2::new(0.3, 0.4);
    assert_eq!(minimum(|_| f64::NAN, start), start);
    assert_eq!(minimum(|v| if *v == start { 1.0 } else { f64::INFINITY }, start), start);
}
