//! Stations far closer than wood can wave, as a scan gives them: the answer is that of
//! a dozen dozen places, told for every station.

use ribwright::advice::{Advice, Options, Verdict, advise};
use ribwright::job::{Against, Angle, Job, Reading, Round, RoundNumber, Station, Stroke};

/// A parabola 400 mm long and 120 mm high; the edge stands proud in long waves.
fn scanned(stations: usize) -> Job {
    let share = |i: usize| i as f64 / (stations - 1) as f64;
    let station = |i: usize| Station {
        name: format!("s{}", i + 1),
        along: 400.0 * share(i),
        width: 5.0 + 120.0 * share(i) * (1.0 - share(i)),
        bevel: Angle::radians(0.1),
        rise: Some(480.0 * share(i) * (1.0 - share(i))),
        outer_bevel: None,
        inner_bevel: None,
        out_of_plane: None,
    };
    // Any sequence without pattern serves as reading errors of 0.05 mm.
    let mut state = 1_u64;
    let mut error = || {
        let mut one = || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 33) as f64 / (1_u64 << 31) as f64 - 0.5
        };
        0.1 * (one() + one() + one())
    };
    let reading = |i: usize| Reading {
        overlap: Some(-(0.5 + 0.4 * (9.0 * share(i)).sin() + error()).max(0.0)),
        lift: Some((0.1 + error()).max(0.0)),
        ..Reading::default()
    };
    let readings = (0..stations).map(reading).collect();
    let rounds = vec![Round { against: Against::Neighbour, rebent: false, readings, strokes: Vec::new() }];
    Job { stations: (0..stations).map(station).collect(), rounds, spare: Some(3.0), ..Job::default() }
}

fn answer(job: &Job) -> Advice {
    advise(job, &Options::default())
}

#[test]
fn a_scan_gets_the_answer_of_its_places() {
    let few = answer(&scanned(81));
    for stations in [401, 2001, 8001] {
        let job = scanned(stations);
        let many = answer(&job);
        assert_eq!(many.verdict, Verdict::Plane, "{}", many.reason);
        assert_eq!(many.stations.len(), stations);
        for (i, one) in few.stations.iter().enumerate() {
            let same = &many.stations[i * (stations - 1) / 80];
            assert!((same.along - one.along).abs() < 1e-9 && (same.arc - one.arc).abs() < 4.0, "{i}");
            let (a, b) = (one.remove.unwrap(), same.remove.unwrap());
            let sd = one.remove_sd.unwrap().hypot(same.remove_sd.unwrap());
            assert!((a - b).abs() < 0.05 + 3.0 * sd, "{stations}, {i}: {a} {b} ± {sd}");
            let station = i * (stations - 1) / 80;
            assert_eq!(
                same.overlap, job.rounds[0].readings[station].overlap,
                "what was read is told as it was"
            );
        }
        for stroke in &many.strokes {
            assert!(stroke.from < stroke.to && stroke.to < stations);
            assert_eq!(stroke.edge_after.len(), stations);
        }
        let most = many.stations.iter().filter_map(|s| s.remove_now).fold(0.0, f64::max);
        assert!(most > 0.0 && most <= 1.5, "half the spare width before a second round: {most}");
    }
}

/// One slip among many readings of a place moves nothing.
#[test]
fn a_slip_among_many_moves_nothing() {
    let mut job = scanned(2001);
    let before = answer(&job);
    job.rounds[0].readings[1000].overlap = Some(-7.0);
    let after = answer(&job);
    for (a, b) in before.stations.iter().zip(&after.stations) {
        assert!((a.remove.unwrap() - b.remove.unwrap()).abs() < 0.02, "{}", a.name);
    }
}

/// Strokes recorded between stations of the scan count where they ran.
#[test]
fn recorded_strokes_are_found_in_their_places() {
    let mut job = scanned(2001);
    job.rounds[0].strokes = vec![Stroke { plane: 0, from: 900, to: 1100, count: 2, shaving: None }];
    let second = scanned(2001).rounds.remove(0);
    job.rounds.push(second);
    let advice = answer(&job);
    assert_eq!(advice.round, RoundNumber::counted(2));
    assert_eq!(advice.stations.len(), 2001);
}

/// As many stations at ordinary distances are all looked at.
#[test]
fn stations_that_stand_apart_are_not_put_together() {
    let mut job = scanned(120);
    job.stations.iter_mut().for_each(|s| s.along *= 3.0);
    let advice = answer(&job);
    let remove: Vec<f64> = advice.stations.iter().filter_map(|s| s.remove).collect();
    let straight = remove.windows(3).filter(|w| (w[0] - 2.0 * w[1] + w[2]).abs() < 1e-12).count();
    assert!(straight < 20, "{straight} of 118 lie on a line between their neighbours");
}
