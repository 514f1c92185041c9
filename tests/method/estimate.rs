//! What the estimate takes from readings, strokes, and what was known beforehand.

use ribwright::fit::cuts::{STROKE_SPREAD, Taken};
use ribwright::fit::{Amplitudes, Fit, Forms, NoEstimate, Prior, SurfaceChoice, estimate};
use ribwright::job::{Against, Interval, Job, Reading, ReadingErrors, Round, RoundNumber};
use ribwright::joint::{Clearance, Joint};
use ribwright::maths::both_ends::normals;

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
        let prior = Prior { spread: [1e-6, 1e-6, spread], alike: 1e-6, ..Prior::default() };
        fitted(&job, &[], &prior).amplitudes.errors.ln() / spread
    };
    // Unweighed it would be more than two of them.
    let (narrow, wide) = (moved(0.05), moved(0.5));
    assert!(0.1 < narrow && narrow < 1.0 && 0.5 * wide > 0.05 * narrow, "{narrow} {wide}");
}

/// As [`Prior::held`], where the evidence leaves the stated amplitudes as they are.
fn held_as_stated() -> Prior {
    let held = Prior::held(4.5);
    let amplitudes = Amplitudes { pose: 1e-5, ..held.amplitudes };
    Prior { amplitudes, spread: [1e-6; 3], ..held }
}

/// Independent errors add by their squares: what planing leaves unknown blurs an earlier reading as a
/// reading's own error does (3, 4 and 5: Pythagoras).
#[test]
fn what_a_cut_leaves_unknown_blurs_the_readings_before_it() {
    let shape = |i: usize| 0.3 + 0.1 * (2.0 * i as f64).sin();
    let told = |line: f64, blur: f64| {
        let mut job = job(vec![round(shape, |_| 0.0), round(|_| 0.0, |_| 0.0)]);
        job.rounds[1].readings.iter_mut().for_each(|r| r.overlap = None);
        job.reading = ReadingErrors { line, ..job.reading };
        fitted(&job, &[Taken { sd: vec![blur; 7], ..one_stroke() }], &held_as_stated())
    };
    let (both, one, finer) = (told(0.03, 0.04), told(0.05, 0.0), told(0.03, 0.0));
    for i in 0..7 {
        assert!((both.edge[i] - one.edge[i]).abs() < 1e-6, "{:?} {:?}", both.edge, one.edge);
        assert!((both.edge_sd[i] - one.edge_sd[i]).abs() < 1e-6, "{:?} {:?}", both.edge_sd, one.edge_sd);
        assert!(finer.edge_sd[i] < 0.9 * one.edge_sd[i]);
    }
}

/// The mean of so many strokes, each a fifth off by itself, is off by a fifth over their root; readings
/// before and after tell of it with the error of a mean of differences. The two are weighed by their
/// variances (closed form of two normal quantities).
#[test]
fn the_more_strokes_the_nearer_their_mean_is_to_the_planes_shaving() {
    let (error, share) = (0.02, 1.2);
    for pushes in [1, 4, 16] {
        let cut = 0.08 * f64::from(pushes);
        let edge = |i: usize| 2.0 + 0.1 * (2.0 * i as f64).sin();
        let mut job = job(vec![round(edge, |_| 0.0), round(|i| edge(i) - share * cut, |_| 0.0)]);
        job.reading = ReadingErrors { line: error, ..job.reading };
        let taken = Taken { cut: vec![cut; 7], pushes: vec![f64::from(pushes); 7], ..one_stroke() };
        let prior = Prior { planes: vec![(1.0, 1e-4)], ..held_as_stated() };
        let got = fitted(&job, &[taken], &prior).taken[0].cut[3] / cut - 1.0;
        let before = STROKE_SPREAD.powi(2) / f64::from(pushes);
        let read = 2.0 * error * error / (7.0 * cut * cut);
        let want = (share - 1.0) * before / (before + read);
        assert!((got / want - 1.0).abs() < 0.01, "{pushes} strokes: {got}, not {want}");
    }
}

/// Where nobody read a lift, the spring of a place's own is as unknown as it was beforehand.
#[test]
fn what_no_reading_speaks_for_stays_as_unknown_as_before() {
    let mut job = job(vec![round(|_| 0.1, |_| 0.0)]);
    job.rounds[0].readings.iter_mut().for_each(|r| r.lift = None);
    let usual = Prior::default();
    for own in [0.1, 0.2] {
        let mut amplitudes = Amplitudes { own, pose: 50.0, ..usual.amplitudes };
        amplitudes.spring.amplitude = 0.01;
        let prior = Prior { amplitudes, spread: [1e-6; 3], ..usual.clone() };
        let sd = fitted(&job, &[], &prior).spring_sd;
        assert!(sd.iter().all(|sd| (0.9..1.1).contains(&(sd / own))), "{own}: {sd:?}");
    }
}

/// A slip weighs the less the further off it is, and hardly at all where it is plain.
#[test]
fn a_slip_far_off_hardly_moves_the_estimate() {
    let edge = |slip: f64| {
        let mut job = job((0..4).map(|_| round(|_| 0.3, |_| 0.0)).collect());
        job.reading = ReadingErrors { line: 0.05, ..job.reading };
        job.rounds[2].readings[3].overlap = Some(0.3 + slip);
        fitted(&job, &[], &held_as_stated()).edge[3]
    };
    let moved = |slip: f64| (edge(slip) - edge(0.0)).abs();
    let (near, far, further) = (moved(0.1), moved(1.0), moved(5.0));
    // A fourth of it, less what its neighbours say, would be the mean's.
    assert!(near > 0.1 * 0.1 && far < 0.01 && further < far, "{near} {far} {further}");
}

/// Draws for chances are not narrower than the uncertainty that is stated, and not much wider.
#[test]
fn draws_spread_as_the_estimate_is_uncertain() {
    let fit =
        fitted(&job((0..3).map(|_| round(|i| 0.1 * i as f64, |_| 0.2)).collect()), &[], &Prior::default());
    let draws: Vec<_> = (0..2000).map(|k| fit.draw(k, normals(7, k))).collect();
    for i in 0..7 {
        let square = |d: &ribwright::fit::Draw| (d.edge[i] - fit.edge[i]).powi(2);
        let sd = (draws.iter().map(square).sum::<f64>() / draws.len() as f64).sqrt();
        assert!((0.95..1.5).contains(&(sd / fit.edge_sd[i])), "{sd} {}", fit.edge_sd[i]);
    }
}

/// Evidence by the scale of R. Kass and A. Raftery (Bayes factors, JASA 90, 1995; from memory): a
/// logarithm under 1 is not worth more than a bare mention, over 3 it is strong. A curve is believed
/// then, and not before; the larger it is, the more speaks for it.
#[test]
fn a_curve_is_believed_when_the_evidence_for_it_is_strong() {
    let stations = evenly(13, 40.0, |i| 100.0 - 2.5 * (i as f64 - 6.0).powi(2));
    let joint = Joint::of(&Job { stations: stations.clone(), ..Job::default() });
    let mode = &Forms::of(&joint).modes[0];
    let told = |size: f64| {
        let scatter = |k: usize, i: usize| 0.05 * (1.0 + 5.3 * k as f64 + 2.1 * (i * i) as f64).sin();
        let reading = |k: usize, i: usize| Reading {
            overlap: Some(size * mode[i] + scatter(k, i)),
            lift: Some(0.1),
            ..Reading::default()
        };
        let rounds = (0..3).map(|k| Round {
            against: Against::Line,
            rebent: false,
            readings: (0..13).map(|i| reading(k, i)).collect(),
            strokes: Vec::new(),
        });
        let mut job = Job { stations: stations.clone(), rounds: rounds.collect(), ..Job::default() };
        job.reading.line = 0.05;
        let prior = Prior::held(4.5);
        let fit = estimate(&job, &joint, &[], SurfaceChoice::Auto, &prior).expect("an estimate");
        (fit.curve_evidence.expect("both were tried"), fit.curved)
    };
    let all: Vec<(f64, bool)> = [0.0, 0.2, 0.4, 0.8, 1.6].map(told).to_vec();
    assert!(all.is_sorted_by(|a, b| a.0 < b.0), "{all:?}");
    assert!(all[0].0 < 1.0 && all[4].0 > 3.0, "{all:?}");
    assert!(all.iter().all(|(gain, curved)| !(*gain < 1.0 && *curved || *gain > 3.0 && !curved)), "{all:?}");
}
