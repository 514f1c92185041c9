//! Clearances that can't be negative: the Gaussian terms that stand for their bounds.

use std::f64::consts::PI;

use ribwright::fit::bound::{Stride, Term, ZERO_READING, inside, update};
use ribwright::job::Interval;
use ribwright::maths::normal;

#[test]
fn a_zero_reading_is_a_shifted_gaussian() {
    let (centre, sd) = ZERO_READING;
    let shape = |c: f64| (-((c - centre) / sd).powi(2) / 2.0).exp();
    for k in 0..=20 {
        let c = f64::from(k) / 10.0;
        let (got, want) = (shape(c) / shape(0.0), 2.0 * normal::below(-c));
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

/// A clearance known to `sd` and read with an error in an interval: the term's estimate
/// against the moments of prior times likelihood, summed by brute force.
#[test]
fn an_interval_read_with_an_error_has_the_moments_of_its_likelihood() {
    let open = f64::INFINITY;
    let cases = [(0.10, 0.15), (0.0, 0.4), (-open, 0.05), (0.5, open), (0.3, 0.301), (-open, -0.4)];
    for (low, high) in cases {
        for (mean, sd, error) in [(0.2, 0.1, 0.03), (0.05, 0.3, 0.1), (0.0, 0.05, 0.05)] {
            let likelihood = |c: f64| normal::below((high - c) / error) - normal::below((low - c) / error);
            let weight = |c: f64| (-((c - mean) / sd).powi(2) / 2.0).exp() * likelihood(c);
            let places = (0..=40_000).map(|k| mean + sd * (f64::from(k) / 2000.0 - 10.0));
            let (mut all, mut first, mut second) = (0.0, 0.0, 0.0);
            places.for_each(|c| {
                let w = weight(c);
                (all, first, second) = (all + w, first + w * c, second + w * c * c);
            });
            let (want, wide) = (first / all, (second / all - (first / all).powi(2)).sqrt());
            // The term stands for the reading; the clearance sees it through the error.
            let term = inside(mean, sd * sd + error * error, Interval { low, high });
            let seen = 1.0 / (error * error + 1.0 / term.precision);
            let total = 1.0 / (sd * sd) + seen;
            let got = (mean / (sd * sd) + seen * term.pull / term.precision) / total;
            assert!((got - want).abs() < 1e-4 * sd, "{low}..{high} {mean} {sd}: {got} {want}");
            let narrow = total.sqrt().recip();
            assert!((narrow - wide).abs() < 1e-3 * sd, "{low}..{high} {mean} {sd}: {narrow} {wide}");
        }
    }
}

/// Where nothing else is known a reading in an interval is rectangular, its standard
/// uncertainty the width over the square root of 12 (JCGM 101:2008, 6.4.2.3).
#[test]
fn an_interval_alone_is_rectangular() {
    let term = inside(3.0, 1e8, Interval { low: 0.10, high: 0.15 });
    assert!((term.pull / term.precision - 0.125).abs() < 1e-6);
    assert!((term.precision.sqrt().recip() - 0.05 / 12.0_f64.sqrt()).abs() < 1e-7);
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
