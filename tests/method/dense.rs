//! Stations far closer than wood can wave: a scan of the edge instead of a
//! dozen places. The estimate stays what it is, and an answer comes.

use ribwright::fit::{Forms, Prior, SurfaceChoice, estimate};
use ribwright::job::{Against, Angle, Job, Reading, Round, Station};
use ribwright::joint::Joint;

/// A parabola 400 mm long and 120 mm high, its edge a wave of 0.3 mm.
fn scanned(stations: usize) -> Job {
    let share = |i: usize| i as f64 / (stations - 1) as f64;
    let station = |i: usize| Station {
        name: (i + 1).to_string(),
        along: 400.0 * share(i),
        width: 5.0 + 120.0 * share(i) * (1.0 - share(i)),
        bevel: Angle::radians(0.1),
        rise: Some(480.0 * share(i) * (1.0 - share(i))),
        outer_bevel: Some(Angle::radians(0.2)),
        inner_bevel: Some(Angle::ZERO),
        out_of_plane: None,
    };
    // Any sequence without pattern serves as reading errors of 0.1 and 0.15 mm.
    let mut state = 1_u64;
    let mut error = |sd: f64| {
        let mut one = || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 33) as f64 / (1_u64 << 31) as f64 - 0.5
        };
        sd * (one() + one() + one()) * 2.0
    };
    let reading = |i: usize| Reading {
        overlap: Some(-(0.5 + 0.3 * (9.0 * share(i)).sin() + error(0.1)).max(0.0)),
        lift: Some((0.3 + error(0.15)).max(0.0)),
        ..Reading::default()
    };
    let readings = (0..stations).map(reading).collect();
    let rounds = vec![Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() }];
    Job { stations: (0..stations).map(station).collect(), rounds, ..Job::default() }
}

/// The edge over its plane at 21 places that all the joints share, and its uncertainty.
fn shape(stations: usize) -> (Vec<f64>, Vec<f64>) {
    let job = scanned(stations);
    let fit =
        estimate(&job, &Joint::of(&job), &[], SurfaceChoice::Plane, &Prior::default()).expect("an estimate");
    let few = |v: &[f64]| v.iter().copied().step_by((stations - 1) / 20).collect::<Vec<f64>>();
    let places = Forms::of(&Joint::of(&scanned(21)));
    (places.over_plane(&few(&fit.edge)), few(&fit.edge_sd))
}

#[test]
fn more_stations_tell_the_same_edge_better() {
    let places = Forms::of(&Joint::of(&scanned(21)));
    let truth =
        places.over_plane(&(0..21).map(|i| -0.3 * (9.0 * i as f64 / 20.0).sin()).collect::<Vec<f64>>());
    let miss = |shape: &[f64]| {
        let square: f64 = shape.iter().zip(&truth).map(|(s, t)| (s - t).powi(2)).sum();
        (square / 21.0).sqrt()
    };
    let (few, few_sd) = shape(41);
    // 0.33, 0.2 and 0.05 mm from one to the next: several stations share a block.
    for stations in [1201, 2001, 8001] {
        let (many, sd) = shape(stations);
        assert!(miss(&many) < miss(&few).min(0.03), "{stations}: {} {}", miss(&many), miss(&few));
        assert!(sd.iter().zip(&few_sd).all(|(many, few)| many < few), "{stations}: {sd:?}");
    }
}
