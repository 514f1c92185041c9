//! The search for a minimum along slopes, on functions whose minimum is known.

use nalgebra::Vector2;
use ribwright::maths::descent::{Looked, minimum};

/// `cosh(x - 1) + cosh(y + 2 - x / 2)` is least where both are zero.
#[test]
fn the_minimum_is_found_from_afar() {
    let f = |v: &Vector2<f64>| {
        let (a, b) = (v.x - 1.0, v.y + 2.0 - v.x / 2.0);
        let slope = Vector2::new(a.sinh() - b.sinh() / 2.0, b.sinh());
        Some(Looked { value: a.cosh() + b.cosh(), slope })
    };
    for start in [[0.0, 0.0], [3.0, -3.0], [-2.0, 1.0], [1.0, -1.5]] {
        let found = minimum(f, Vector2::from(start));
        assert!((found - Vector2::new(1.0, -1.5)).norm() < 3e-3, "{start:?}: {found}");
    }
}

/// A start that moves by a hair moves what is found by no more than the tolerance.
#[test]
fn what_is_found_does_not_hang_on_the_path() {
    let f = |v: &Vector2<f64>| {
        let (a, b) = (v.x - 0.3, v.y + v.x);
        let slope = Vector2::new(a.sinh() + 2.0 * b.sinh() + 0.1, 2.0 * b.sinh());
        Some(Looked { value: a.cosh() + 2.0 * b.cosh() + 0.1 * v.x, slope })
    };
    let found = minimum(f, Vector2::new(1.0, 1.0));
    for hair in [1e-9, 1e-4, 0.1] {
        assert!((minimum(f, Vector2::new(1.0 + hair, 1.0 - hair)) - found).norm() < 1e-3, "{hair}");
    }
}

#[test]
fn what_is_not_finite_stays_where_it_is() {
    let start = Vector2::new(0.3, 0.4);
    let flat = |value: f64| Some(Looked { value, slope: Vector2::new(1.0, 0.0) });
    assert_eq!(minimum(|_| None, start), start);
    assert_eq!(minimum(|_| flat(f64::NAN), start), start);
    assert_eq!(minimum(|v| flat(if *v == start { 1.0 } else { f64::INFINITY }), start), start);
}
