//! Forecasts of the next readings: one that is right scores as it says.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use std::path::Path;

use ribwright::advice::{
    Before, Forecast, Hits, Options, Sureness, Working, advise_and_show, passes, work_out,
};
use ribwright::job::{self, Against, Job, Plane, Reading, ReadingErrors, Round, Stroke};
use ribwright::joint::Clearances;

use crate::stations::evenly;

/// What 20,000 rounds drawn from a forecast score against it, where it takes the readings' errors for
/// `times` what they are.
fn scored(times: f64) -> Hits {
    let mut rng = ChaCha8Rng::seed_from_u64(3);
    let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
    let clearance = |normal: &mut dyn FnMut() -> f64| (0.05 * normal()).max(0.0);
    let mut draw = || {
        let (gap, lift) = (clearance(&mut normal), clearance(&mut normal));
        vec![Clearances { gap, seat: 0.0, lift }]
    };
    let draws = (0..400).map(|_| draw()).collect();
    let forecast = Forecast {
        draws,
        errors: Clearances { gap: 0.08 * times, seat: 0.1, lift: 0.12 * times },
        tolerance: Clearances { gap: 0.15, seat: 0.1, lift: 0.1 },
    };
    let mut round = || {
        let gap = (clearance(&mut normal) + 0.08 * normal()).max(0.0);
        let lift = (clearance(&mut normal) + 0.12 * normal()).max(0.0);
        let readings = vec![Reading { overlap: Some(-gap), lift: Some(lift), ..Reading::default() }];
        Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() }
    };
    Hits::all((0..20_000).map(|_| forecast.hits(&round())))
}

/// Readings drawn from the forecast itself score 68.27 and 95.45 % (the
/// normal distribution's shares, tables), though most of them are zeros; and as many are within
/// tolerance as their chances say.
#[test]
fn a_right_forecast_scores_as_it_says() {
    let hits = scored(1.0);
    let (one, two) = hits.fractions().unwrap_or_default();
    assert!((one - 0.6827).abs() < 0.02 && (two - 0.9545).abs() < 0.01, "{one} {two}");
    let within = hits.within_tolerance as f64 / hits.count as f64;
    assert!((0.5..0.99).contains(&within), "{within}");
    assert!((within - hits.foreseen_within / hits.count as f64).abs() < 0.01, "{hits:?}");
}

#[test]
fn forecasts_that_are_too_sure_or_too_careful_are_told_from_right_ones() {
    assert_eq!(scored(0.5).sureness(), Sureness::TooSure);
    assert_eq!(scored(2.0).sureness(), Sureness::TooCareful);
    let share = |count: usize, one: f64, two: f64| {
        let (within_one, within_two) = (one * count as f64, two * count as f64);
        Hits { count, within_one, within_two, ..Hits::default() }.sureness()
    };
    assert_eq!(share(78, 0.683, 0.954), Sureness::Right);
    // Of 78 readings 14 beyond two standard deviations, where 4 are to be expected, are too many.
    assert_eq!(share(78, 0.683, 64.0 / 78.0), Sureness::TooSure);
    assert_eq!(share(19, 0.2, 0.4), Sureness::Unknown);
}

#[test]
fn nothing_read_says_nothing() {
    assert_eq!(Hits::default().fractions(), None);
}

/// Three rounds in which nothing stood open anywhere, read finely; and a sole shorter than the way from
/// station to station, so that every push takes a whole shaving.
fn closed() -> (Job, Working) {
    let reading = Reading { overlap: Some(0.0), lift: Some(0.0), ..Reading::default() };
    let readings = vec![reading; 13];
    let round = Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() };
    let job = Job {
        stations: evenly(13, 40.0, |_| 0.0),
        planes: vec![Plane { sole: 60.0, ..Plane::default() }],
        reading: ReadingErrors { gap: 0.01, lift: 0.01, ..ReadingErrors::default() },
        rounds: vec![round; 3],
        ..Job::default()
    };
    let working = work_out(&job, &Before::default(), &Options::default()).expect("figures");
    (job, working)
}

/// A rib that is planed in its middle bears at its ends as before, so that the middle opens by what
/// came off there, and nothing else does.
#[test]
fn what_is_planed_in_the_middle_opens_there() {
    let (job, working) = closed();
    let foreseen = |strokes: &[Stroke]| {
        let draws = Forecast::after(&job, &working, strokes).expect("a forecast").draws;
        let mean = |i: usize| draws.iter().map(|d| d[i].gap).sum::<f64>() / draws.len() as f64;
        (0..13).map(mean).collect::<Vec<f64>>()
    };
    let (before, after) =
        (foreseen(&[]), foreseen(&[Stroke { plane: 0, from: 4, to: 8, count: 5, shaving: None }]));
    let shares = working.chances.draws.iter().map(|d| d.shavings[0]);
    let share = shares.sum::<f64>() / working.chances.draws.len() as f64;
    for i in 0..13 {
        let taken = if (4..=8).contains(&i) { 5.0 * 0.08 * share } else { 0.0 };
        let opened = after[i] - before[i];
        assert!((opened - taken).abs() < 0.02, "{i}: {opened}, not {taken}");
    }
}

/// From stroke to stroke, and half-way through each, the rib only loses wood; in the end as much as is
/// planned.
#[test]
fn the_passes_take_wood_and_all_that_is_planned() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/plain");
    let mut job = job::read(&folder).expect("sound");
    job.rounds.truncate(1);
    job.rounds[0].strokes.clear();
    let (advice, working) = advise_and_show(&job, &Options::default());
    let working = working.expect("figures");
    for between in [0, 3] {
        let ribs = passes(&advice, &working, between);
        assert!(advice.strokes.len() > 1 && ribs.len() == 1 + advice.strokes.len() * (between + 1));
        for pair in ribs.windows(2) {
            let more = |(before, after): (&f64, &f64)| *after > before + 1e-12;
            assert!(!pair[0].edge.iter().zip(&pair[1].edge).any(more), "wood came back");
        }
        let (first, last) = (&ribs[0].edge, &ribs[ribs.len() - 1].edge);
        for (i, planned) in working.plan.taken.iter().enumerate() {
            assert!((first[i] - last[i] - planned).abs() < 1e-9, "{i}: {} of {planned}", first[i] - last[i]);
        }
    }
}
