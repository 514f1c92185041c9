//! The edge's large forms: its plane and its gentle curves.

use nalgebra::Vector3;
use ribwright::fit::Forms;
use ribwright::job::{Angle, Station};
use ribwright::joint::Joint;

use crate::stations::{evenly, joint};

fn bevel(i: usize, stations: usize) -> f64 {
    0.05 + 0.2 * i as f64 / (stations - 1) as f64
}

/// A joint line 400 mm long on a parabola `high`, bevels growing along it.
fn parabola(stations: usize, high: f64) -> Joint {
    let share = |i: usize| i as f64 / (stations - 1) as f64;
    let rise = |i: usize| 4.0 * high * share(i) * (1.0 - share(i));
    let evenly = evenly(stations, 400.0 / (stations - 1) as f64, rise).into_iter().enumerate();
    joint(evenly.map(|(i, s)| Station { bevel: Angle::radians(bevel(i, stations)), ..s }).collect())
}

/// `(A + B x + C z) / cos a`, written out from the stations.
#[test]
fn a_plane_comes_back_and_leaves_nothing() {
    let joint = parabola(9, 120.0);
    let forms = Forms::of(&joint);
    let half = joint.arc_length() / 2.0;
    let value = |i: usize| {
        let at = joint.frames[i].joint - joint.pivot;
        (0.4 - 0.3 * at.x / half + 0.2 * at.z / half) / bevel(i, 9).cos()
    };
    let values: Vec<f64> = (0..9).map(value).collect();
    assert!((forms.plane_of(&values) - Vector3::new(0.4, -0.3, 0.2)).norm() < 1e-6);
    assert!(forms.over_plane(&values).iter().all(|v| v.abs() < 1e-6));
}

#[test]
fn modes_are_free_of_planes_and_of_each_other_and_of_size_one() {
    let forms = Forms::of(&parabola(13, 120.0));
    assert_eq!(forms.modes.len(), 2);
    for mode in &forms.modes {
        assert!((mode.iter().fold(0.0, |m: f64, v| m.max(v.abs())) - 1.0).abs() < 1e-12);
        for k in 0..3 {
            let along: f64 = mode.iter().zip(&forms.plane).map(|(m, p)| m * p[k]).sum();
            assert!(along.abs() < 1e-9, "{k}: {along}");
        }
    }
    assert!(product(&forms.modes[0], &forms.modes[1]).abs() < 1e-9);
    assert!(Forms::of(&parabola(6, 120.0)).modes.is_empty());
}

/// Legendre's polynomials by their defining recursion,
/// `(k + 1) P(k + 1) = (2 k + 1) u P(k) - k P(k - 1)` (textbook).
fn legendre(degree: usize, u: f64) -> f64 {
    let mut p = vec![1.0, u];
    for k in 1..degree {
        let step = k as f64;
        p.push(((2.0 * step + 1.0) * u * p[k] - step * p[k - 1]) / (step + 1.0));
    }
    p[degree]
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// What no plane makes up of the polynomials over the arc. Where the joint line is a parabola that
/// of degree 2 is nearly a plane, and is left out.
#[test]
fn modes_are_the_polynomials_over_the_arc() {
    for (high, degrees) in [(0.0, [2, 3]), (120.0, [3, 4])] {
        let joint = parabola(13, high);
        let forms = Forms::of(&joint);
        assert_eq!(forms.modes.len(), 2);
        let over = |degree: usize| {
            let place = joint.frames.iter().map(|f| 2.0 * f.arc / joint.arc_length() - 1.0);
            forms.over_plane(&place.map(|u| legendre(degree, u)).collect::<Vec<_>>())
        };
        let first = over(degrees[0]);
        let mut second = over(degrees[1]);
        let share = product(&second, &first) / product(&first, &first);
        second.iter_mut().zip(&first).for_each(|(s, f)| *s -= share * f);
        for (mode, rest) in forms.modes.iter().zip([first, second]) {
            let largest = rest.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
            let off = mode.iter().zip(&rest).map(|(m, r)| (m - r / largest).abs()).fold(0.0, f64::max);
            assert!(off < 1e-6, "{high}: {off:e}");
        }
    }
}
