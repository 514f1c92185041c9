//! Forecasts of the next readings: one that is right scores as it says.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use ribwright::advice::{Forecast, Hits};
use ribwright::job::{Against, Reading, Round};
use ribwright::joint::Clearances;

/// Readings drawn from the forecast itself score 68.27 and 95.45 % (the
/// normal distribution's shares, tables), though most of them are zeros.
#[test]
fn a_right_forecast_scores_as_it_says() {
    let mut rng = ChaCha8Rng::seed_from_u64(3);
    let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
    let clearance = |normal: &mut dyn FnMut() -> f64| (0.05 * normal()).max(0.0);
    let mut draw = || {
        let (gap, lift) = (clearance(&mut normal), clearance(&mut normal));
        vec![Clearances { gap, seat: 0.0, lift }]
    };
    let draws = (0..400).map(|_| draw()).collect();
    let forecast = Forecast { draws, errors: Clearances { gap: 0.08, seat: 0.1, lift: 0.12 } };
    let mut hits = Hits::default();
    for _ in 0..20_000 {
        let gap = (clearance(&mut normal) + 0.08 * normal()).max(0.0);
        let lift = (clearance(&mut normal) + 0.12 * normal()).max(0.0);
        let readings = vec![Reading { overlap: Some(-gap), lift: Some(lift), ..Reading::default() }];
        let round = Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() };
        hits = hits.and(forecast.hits(&round));
    }
    let (one, two) = hits.fractions().unwrap_or_default();
    assert!((one - 0.6827).abs() < 0.02 && (two - 0.9545).abs() < 0.01, "{one} {two}");
}

#[test]
fn nothing_read_says_nothing() {
    assert_eq!(Hits::default().fractions(), None);
}
