//! Smooth curves through points, and the joint line: what is known in closed form comes back.

use ribwright::job::{Job, Measured, Station};
use ribwright::joint::JointCurve;
use ribwright::maths::spline::Spline;

#[test]
fn a_cubic_comes_back_exactly() {
    let f = |t: f64| 1.0 - 2.0 * t + 0.3 * t * t - 0.05 * t * t * t;
    for n in [4, 5, 9, 40] {
        let t: Vec<f64> = (0..n).map(|i| i as f64 + 0.3 * ((i * 7 % 5) as f64) / 5.0).collect();
        let y: Vec<f64> = t.iter().map(|&t| f(t)).collect();
        let s = Spline::through(&t, &y);
        for i in 0..50 {
            let x = t[0] + (t[n - 1] - t[0]) * i as f64 / 49.0;
            let jet = s.at(x);
            let scale = 1.0 + x.abs().powi(3);
            assert!((jet.value - f(x)).abs() < 1e-12 * scale, "{n} {x}");
            assert!((jet.first - (-2.0 + 0.6 * x - 0.15 * x * x)).abs() < 1e-11 * scale);
            assert!((jet.second - (0.6 - 0.3 * x)).abs() < 1e-10 * scale);
        }
    }
}

#[test]
fn few_points_give_line_and_parabola() {
    assert_eq!(Spline::through(&[0.0], &[3.0]).at(9.0).value, 3.0);
    assert!((Spline::through(&[0.0, 2.0], &[0.0, 4.0]).at(3.0).value - 6.0).abs() < 1e-12);
    let s = Spline::through(&[0.0, 1.0, 3.0], &[0.0, 1.0, 9.0]);
    assert!((s.at(2.0).value - 4.0).abs() < 1e-12);
    assert!((s.at(0.0).first).abs() < 1e-12);
}

const RADIUS: f64 = 150.0;

fn angle(i: usize) -> f64 {
    0.3 + 2.5 * i as f64 / 20.0
}

/// Places along the chord and rises of 21 stations on a circle.
fn circle() -> (Vec<f64>, Vec<f64>) {
    (0..=20).map(|i| (-RADIUS * angle(i).cos(), RADIUS * angle(i).sin())).unzip()
}

/// Stations on a circle: directions, curvature and arc are known.
#[test]
fn a_circle_comes_back() {
    let (along, rise) = circle();
    let curve = JointCurve::through(&along, &rise);
    for i in 0..=20 {
        let at = curve.at_station(i);
        let outward = at.outward();
        assert!((outward.x + angle(i).cos()).abs() < 3e-4, "{i} {outward}");
        assert!((at.curvature * RADIUS - 1.0).abs() < 0.02, "{i}");
        assert!((at.arc - RADIUS * (angle(i) - 0.3)).abs() < 0.005, "{i}");
    }
    // Measured with a tape laid along the edge instead.
    let station = |i: usize| Station {
        along: 7.0 + curve.at_station(i).arc,
        rise: Some(rise[i]),
        ..Station::default()
    };
    let stations = (0..=20).map(station).collect();
    let back = JointCurve::of(&Job { measured: Measured::Arc, stations, ..Job::default() });
    let x = |i: usize| back.at_station(i).x;
    for i in 0..=20 {
        assert!((x(i) - x(0) - along[i] + along[0]).abs() < 0.05, "{i}");
    }
}

/// Arc lengths against the same cubics' speed summed in 2,000 steps of each piece (Simpson's rule,
/// textbook).
#[test]
fn arc_lengths_are_those_of_the_curve() {
    let (along, rise) = circle();
    let curve = JointCurve::through(&along, &rise);
    let mut chords = vec![0.0];
    for i in 1..=20 {
        chords.push(chords[i - 1] + (along[i] - along[i - 1]).hypot(rise[i] - rise[i - 1]));
    }
    let (x, z) = (Spline::through(&chords, &along), Spline::through(&chords, &rise));
    let speed = |t: f64| x.at(t).first.hypot(z.at(t).first);
    let mut arc = 0.0;
    for i in 1..=20 {
        let step = (chords[i] - chords[i - 1]) / 2000.0;
        let weigh = |k: u32| if k == 0 || k == 2000 { 1.0 } else { 2.0 + 2.0 * f64::from(k % 2) };
        let sum = |k: u32| weigh(k) * speed(chords[i - 1] + step * f64::from(k));
        arc += (0..=2000).map(sum).sum::<f64>() * step / 3.0;
        assert!((curve.at_station(i).arc - arc).abs() < 1e-9, "{i}: {} {arc}", curve.at_station(i).arc);
    }
}
