//! The value of readings, and the greedy choice among them, against tables and every set.

use nalgebra::DMatrix;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{RngCore, SeedableRng};
use ribwright::maths::worth::{Candidate, Decides, choose, worth};

/// Unknowns along a line, neighbours alike.
fn line(n: usize) -> DMatrix<f64> {
    DMatrix::from_fn(n, n, |i, j| 0.04 * (-(i as f64 - j as f64).abs() / 2.0).exp())
}

/// Standard normal loss at 0, 1 and 2: 0.3989, 0.0833 and 0.0085 (tables of the unit normal loss,
/// as in Raiffa and Schlaifer, 1961; from memory).
#[test]
fn what_an_exact_reading_brings_is_the_unit_normal_loss() {
    let known = DMatrix::from_element(1, 1, 1.0);
    let exact = [Candidate { unknown: 0, error: 0.0 }];
    let at = |off| worth(&known, &[Decides { unknown: 0, off, price: 1.0 }], &exact);
    assert!((at(0.0) - 0.3989).abs() < 5e-5 && (at(1.0) - 0.0833).abs() < 5e-5);
    assert!((at(2.0) - 0.0085).abs() < 5e-5);
    assert!((at(-1.0) - at(1.0)).abs() < 1e-15);
}

/// A reading as uncertain as what it reads explains half of its variance.
#[test]
fn an_error_takes_its_share_of_the_worth() {
    let known = DMatrix::from_element(1, 1, 1.0);
    let decides = [Decides { unknown: 0, off: 0.0, price: 1.0 }];
    let once = worth(&known, &decides, &[Candidate { unknown: 0, error: 1.0 }]);
    assert!((once - 0.398_942 * 0.5_f64.sqrt()).abs() < 1e-6);
    let twice = worth(&known, &decides, &[Candidate { unknown: 0, error: 1.0 }; 2]);
    assert!((twice - 0.398_942 * (2.0 / 3.0_f64).sqrt()).abs() < 1e-6);
}

/// Against every set of ten readings, over 200 joints with gaps drawn about their tolerance.
#[test]
fn the_greedy_choice_is_close_to_the_best_of_all_sets() {
    let mut rng = ChaCha8Rng::seed_from_u64(5);
    let mut uniform = move || rng.next_u32() as f64 / f64::from(u32::MAX);
    let (cost, candidates) = (8.0, 10);
    let (mut all, mut best_of_all) = (0.0, 0.0);
    for case in 0..200 {
        let covariance = line(candidates);
        let decide = |unknown| Decides { unknown, off: 0.6 * uniform() - 0.3, price: 1000.0 };
        let decides: Vec<Decides> = (0..candidates).map(decide).collect();
        let readings: Vec<Candidate> =
            (0..candidates).map(|unknown| Candidate { unknown, error: 0.01 }).collect();
        let net = |set: u32| {
            let set: Vec<Candidate> =
                (0..candidates).filter(|i| set & (1 << i) != 0).map(|i| readings[i]).collect();
            worth(&covariance, &decides, &set) - cost * set.len() as f64
        };
        let best = (0..1u32 << candidates).map(net).fold(f64::NEG_INFINITY, f64::max);
        let (chosen, brings) = choose(&covariance, &decides, &readings, cost, 0);
        let got = brings - cost * chosen.len() as f64;
        let set = chosen.iter().fold(0, |set, i| set | (1u32 << i));
        assert!((net(set) - got).abs() < 1e-9 * best.abs().max(1.0), "case {case}: told as it is");
        assert!(got <= best + 1e-9 && got >= 0.9 * best - 1e-9, "case {case}: {got} of {best}");
        (all, best_of_all) = (all + got, best_of_all + best);
    }
    assert!(all >= 0.99 * best_of_all, "{all} of {best_of_all}");
}

#[test]
fn what_is_far_from_its_threshold_is_not_read() {
    let decides = [Decides { unknown: 0, off: 2.0, price: 1000.0 }];
    let candidates = [Candidate { unknown: 0, error: 0.01 }];
    assert_eq!(choose(&line(3), &decides, &candidates, 8.0, 0).0, Vec::<usize>::new());
    assert_eq!(choose(&line(3), &decides, &candidates, 8.0, 1).0, vec![0]);
    assert_eq!(choose(&line(3), &decides, &candidates, 8.0, 9).0, vec![0], "no more than there are");
    let near = [Decides { off: 0.05, ..decides[0] }];
    assert_eq!(choose(&line(3), &near, &candidates, 8.0, 0).0, vec![0]);
}
