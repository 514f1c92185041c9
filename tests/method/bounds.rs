//! Clearances that can't be negative: the Gaussian terms that stand for their bounds.

use std::f64::consts::PI;

use ribwright::fit::bound::{Stride, Term, ZERO_READING, normal_cdf, update};

#[test]
fn a_zero_reading_is_a_shifted_gaussian() {
    let (centre, sd) = ZERO_READING;
    let shape = |c: f64| (-((c - centre) / sd).powi(2) / 2.0).exp();
    for k in 0..=20 {
        let c = f64::from(k) / 10.0;
        let (got, want) = (shape(c) / shape(0.0), 2.0 * normal_cdf(-c));
        assert!((got - want).abs() < 0.03 * want.max(0.1), "{c}: {got} {want}");
    }
}

/// Clearances that are nearly one: the whole way each time goes far too far.
#[test]
fn many_bounds_on_one_clearance_settle() {
    for count in [1, 3, 13, 40, 200] {
        let mut terms = vec![Term::default(); count];
        let mut stride = Stride::default();
        let mut left = f64::INFINITY;
        for _ in 0..60 {
            let precision = 1.0 + terms.iter().map(|t| t.precision).sum::<f64>();
            let mean = (terms.iter().map(|t| t.pull).sum::<f64>() - 1.0) / precision;
            let next = |j: usize| (j, 1.0 / precision, update(mean, 1.0 / precision, terms[j], 0.0));
            let next: Vec<_> = (0..count).map(next).collect();
            left = stride.go(&mut terms, &next);
        }
        assert!(left < 1e-4, "{count}: {left}");
    }
}

#[test]
fn the_cut_normal_has_its_known_moments() {
    // Half-normal: mean sqrt(2/pi), variance 1 - 2/pi.
    let term = update(0.0, 1.0, Term::default(), 0.0);
    let precision = 1.0 + term.precision;
    let mean = term.pull / precision;
    assert!((mean - (2.0 / PI).sqrt()).abs() < 1e-12);
    assert!((1.0 / precision - (1.0 - 2.0 / PI)).abs() < 1e-12);
    // Far above zero nothing changes, far below it hugs zero.
    assert!(update(9.0, 1.0, Term::default(), 0.0).precision < 1e-12);
    for z in [-10.0, -24.9, -25.1, -40.0] {
        let term = update(z, 1.0, Term::default(), 0.0);
        let mean = (z + term.pull) / (1.0 + term.precision);
        assert!((mean * -z - 1.0).abs() < 0.03, "{z}: {mean}");
    }
}
