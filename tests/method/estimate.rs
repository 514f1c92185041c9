//! What the estimate takes from readings, strokes, and what was known beforehand.

use ribwright::fit::cuts::Taken;
use ribwright::fit::{Amplitudes, Fit, NoEstimate, Prior, SurfaceChoice, estimate};
use ribwright::job::{Against, Interval, Job, Reading, ReadingErrors, Round, RoundNumber};
use ribwright::joint::{Clearance, Joint};

use crate::stations::{arched, evenly};

/// Seven stations on a joint line 80 mm high.
fn job(rounds: Vec<Round>) -> Job {
    Job { stations: evenly(7, 50.0, arched), rounds, ..Job::default() }
}

fn round(overlap: impl Fn(usize) -> f64, lift: impl Fn(usize) -> f64) -> Round {
    let reading = |i: usize| Reading {
        overlap: Some(overlap(i)),
        lift: Some(lift(i)),
        seat: Some(0.0),
        ..Reading::default()
    };
    let readings = (0..7).map(reading).collect();
    Round { against: Against::Line, rebent: false, readings, strokes: Vec::new() }
}

fn fitted(job: &Job, taken: &[Taken], prior: &Prior) -> Fit {
    estimate(job, &Joint::of(job), taken, SurfaceChoice::Plane, prior).expect("an estimate")
}

fn one_stroke() -> Taken {
    Taken { round: RoundNumber::FIRST, plane: 0, cut: vec![0.08; 7], sd: vec![0.0; 7], pushes: vec![1.0; 7] }
}

/// What earlier joints taught about a shaving stands where this joint's readings say little.
#[test]
fn a_shaving_starts_from_what_was_taught() {
    let job = job(vec![round(|_| 0.3, |_| 0.1), round(|_| 0.22, |_| 0.1)]);
    for (share, sd) in [(1.4, 0.01), (0.7, 0.01)] {
        let prior = Prior { planes: vec![(share, sd)], ..Prior::default() };
        let fit = fitted(&job, &[one_stroke()], &prior);
        assert!((fit.shavings[0].0 - share).abs() < 0.01, "{:?}", fit.shavings);
        assert!(fit.shavings[0].1 <= sd);
        assert_eq!(fit.shaving_before(0), Some((share, sd)));
    }
}

/// On something held in its place the readings tell of the edge alone: it comes back with its
/// sign, and what came off since is off it.
#[test]
fn what_came_off_is_off_the_edge() {
    let held = Prior::held(4.5);
    let shape = |i: usize| 0.3 + 0.05 * i as f64;
    let once = job(vec![round(shape, |_| 0.0)]);
    let fit = fitted(&once, &[], &held);
    (0..7).for_each(|i| assert!((fit.edge[i] - shape(i)).abs() < 0.06, "{:?}", fit.edge));
    let mut planed = job(vec![round(shape, |_| 0.0), round(|i| shape(i) - 0.08, |_| 0.0)]);
    planed.rounds[1].readings.iter_mut().for_each(|r| r.overlap = None);
    let less = fitted(&planed, &[one_stroke()], &held);
    for i in 0..7 {
        assert!((fit.edge[i] - less.edge[i] - 0.08).abs() < 0.01, "{:?} {:?}", fit.edge, less.edge);
    }
}

/// How much of a wave in the lifts of each round comes back in the spring as it is in the last of
/// them: for rounds before which the rib was bent again or not.
fn heard_of(rebent: &[bool]) -> Vec<f64> {
    let wave = |i: usize| (std::f64::consts::PI * i as f64 / 3.0).sin();
    let told = |waved: Option<usize>| {
        let size = |k: usize| if waved == Some(k) { 0.05 } else { 0.0 };
        let lifted = |k: usize| round(|_| 0.1, move |i| 0.2 + size(k) * wave(i));
        let rounds = rebent.iter().enumerate().map(|(k, &rebent)| Round { rebent, ..lifted(k) });
        let reading = ReadingErrors { gap: 0.01, line: 0.01, lift: 0.01, seat: 0.01 };
        let prior = Prior { spread: [1e-6; 3], ..Prior::default() };
        let spring = fitted(&Job { reading, ..job(rounds.collect()) }, &[], &prior).spring;
        spring.iter().enumerate().map(|(i, s)| s * wave(i) / 0.15).sum::<f64>()
    };
    (0..rebent.len()).map(|k| told(Some(k)) - told(None)).collect()
}

/// A rib bent again has a spring of its own, of which all rounds since tell alike; the first round's
/// mark means nothing.
#[test]
fn a_rib_bent_again_has_a_new_spring() {
    let marks = [true, false, true, false, true];
    for (rounds, since) in [(1, 0), (2, 0), (3, 2), (4, 2), (5, 4)] {
        let heard = heard_of(&marks[..rounds]);
        let own = heard[since];
        assert!(own > 0.1, "{heard:?}");
        assert!(heard[since..].iter().all(|h| (h / own - 1.0).abs() < 0.1), "{heard:?}");
        assert!(heard[..since].iter().all(|h| h.abs() < 0.1 * own), "{heard:?}");
        assert_eq!(heard_of(&[&[false], &marks[1..rounds]].concat()), heard);
    }
    let second = heard_of(&[false, true]);
    assert!(second[0].abs() < 0.2 * second[1], "{second:?}");
}

/// An interval about what the other rounds say is not in doubt, one beside it is.
#[test]
fn an_interval_is_held_against_the_others_by_its_middle() {
    let doubts = |low: f64, high: f64| {
        let mut job = job((0..4).map(|_| round(|_| 0.3, |_| 1.05)).collect());
        let reading = &mut job.rounds[1].readings[3];
        reading.lift = Some((low + high) / 2.0);
        reading.within[Clearance::Lift] = Some(Interval { low, high });
        fitted(&job, &[], &Prior::default()).doubts
    };
    assert_eq!(doubts(1.0, 1.1), []);
    let beside = doubts(2.0, 2.1);
    assert_eq!((beside.len(), beside[0].station), (1, 3), "{beside:?}");
}

#[test]
fn no_estimate_has_its_reason() {
    let mut job = job(vec![round(|_| 0.1, |_| 0.1)]);
    let why = |job: &Job| estimate(job, &Joint::of(job), &[], SurfaceChoice::Auto, &Prior::default()).err();
    assert_eq!(why(&Job { rounds: Vec::new(), ..job.clone() }), Some(NoEstimate::NothingRead));
    job.rounds[0].readings[4].lift = Some(f64::NAN);
    assert_eq!(why(&job), Some(NoEstimate::NotFinite { round: RoundNumber::FIRST, station: 4 }));
}

/// Half the square in standard deviations, of each multiplier by its own.
#[test]
fn far_amplitudes_are_unlikely_beforehand() {
    let prior = Prior { spread: [0.5, 0.7, 0.25], ..Prior::default() };
    assert_eq!(prior.unlikely(&[0.0; 3]), 0.0);
    assert_eq!(prior.unlikely(&[0.5, 0.0, 0.0]), 0.5);
    assert_eq!(prior.unlikely(&[-1.0, 0.0, 0.25]), 2.5);
}

#[test]
fn each_multiplier_has_its_amplitude_and_its_end() {
    let prior = Prior { spread: [0.5, 0.7, 0.25], ..Prior::default() };
    let base = Amplitudes::default();
    let at = prior.scaled(&[0.1, -0.2, 9.0]);
    assert!((at.waves.amplitude / base.waves.amplitude - 0.1_f64.exp()).abs() < 1e-12);
    assert!((at.spring.amplitude / base.spring.amplitude - (-0.2_f64).exp()).abs() < 1e-12);
    assert!((at.errors / base.errors - 1.0_f64.exp()).abs() < 1e-12);
}

/// Readings of one edge that scatter three times as stated: how far the evidence moves the errors
/// is weighed against how unlikely that was beforehand.
#[test]
fn the_evidence_is_weighed_against_what_was_known() {
    let scatter = |k: usize| move |i: usize| 0.9 * (5.0 + 7.3 * k as f64 + 3.7 * i as f64 * i as f64).sin();
    let job = job((0..3).map(|k| round(scatter(k), |_| 0.1)).collect());
    // By how many of its standard deviations beforehand the errors' logarithm moves.
    let moved = |spread: f64| {
        let prior = Prior { spread: [1e-6, 1e-6, spread], ..Prior::default() };
        fitted(&job, &[], &prior).amplitudes.errors.ln() / spread
    };
    // Unweighed it would be more than two of them.
    let (narrow, wide) = (moved(0.05), moved(0.5));
    assert!(0.1 < narrow && narrow < 1.0 && 0.5 * wide > 0.05 * narrow, "{narrow} {wide}");
}
