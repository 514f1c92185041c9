//! A whole simulated bowl: 15 ribs fitted, marked and planed one after another, with
//! noise; and what joints learn from each other.

use rayon::prelude::*;
use ribwright::practice::chain::{Built, Chain, Habits, build};

fn built(divided: bool, seed: u64) -> Built {
    build(&Chain { divided, seed, ..Chain::default() })
}

/// Ribs look equally wide when they agree within 1 mm (common practice, no source): three bowls in
/// the mean, and none much beyond.
#[test]
fn with_divide_all_ribs_agree_within_a_millimetre() {
    let bowls: Vec<Built> = (0..3).map(|seed| built(true, seed)).collect();
    assert!(bowls.iter().all(|b| (b.widths.len(), b.joints.len()) == (15, 14)));
    let differences: Vec<f64> = bowls.iter().map(Built::difference).collect();
    let mean = differences.iter().sum::<f64>() / 3.0;
    assert!(mean < 1.0 && differences.iter().all(|d| *d < 1.2), "{differences:.2?} mm");
}

#[test]
fn without_divide_the_same_bowl_ends_uneven() {
    for seed in 0..3 {
        let (with, without) = (built(true, seed), built(false, seed));
        assert!(without.difference() > 1.0, "seed {seed}: {:.2} mm", without.difference());
        assert!(with.difference() < without.difference() - 0.2, "seed {seed}");
        // The joints are the same ones: only the widths differ.
        assert_eq!(with.joints, without.joints);
    }
}

/// How learning pays, over many bowls: `cargo test --release --test bowl measure -- --ignored
/// --nocapture`.
#[test]
#[ignore = "a measurement, minutes long"]
fn measure() {
    for (shaving, errors) in [(1.0, 1.0), (1.3, 1.3)] {
        for learning in [false, true] {
            let one = |seed: u64| {
                let habits = Habits { shaving, errors };
                build(&Chain { habits, learning, seed, ..Chain::default() })
            };
            let bowls: Vec<Built> = (0..8u64).into_par_iter().map(one).collect();
            report(&format!("shaving {shaving}, errors {errors}, learning {learning}"), &bowls);
        }
    }
}

fn report(what: &str, bowls: &[Built]) {
    // The first joints have nobody to learn from.
    let joints: Vec<_> = bowls.iter().flat_map(|b| b.joints.iter().skip(2)).collect();
    let count = joints.len() as f64;
    let mean = |f: &dyn Fn(&ribwright::practice::bench::Outcome) -> f64| {
        joints.iter().map(|o| f(o)).sum::<f64>() / count
    };
    let ninety = |f: &dyn Fn(&ribwright::practice::bench::Outcome) -> f64| {
        let mut all: Vec<f64> = joints.iter().map(|o| f(o)).collect();
        all.sort_by(f64::total_cmp);
        all[all.len() * 9 / 10]
    };
    let stopped: Vec<_> = joints.iter().filter(|o| o.stopped).collect();
    let kept = stopped.iter().filter(|o| o.fitted).count() as f64 / stopped.len() as f64;
    println!(
        "{what}: rounds {:.2}, strokes {:.1}, wood {:.3}, gap {:.3} / {:.3}, lift {:.3}, stopped {:.0} %, of these within {:.0} %, \
         deepest beyond need {:.3}, widths differ {:.2}",
        mean(&|o| o.rounds as f64),
        mean(&|o| f64::from(o.strokes)),
        mean(&|o| o.wood),
        mean(&|o| o.gap),
        ninety(&|o| o.gap),
        ninety(&|o| o.lift),
        100.0 * stopped.len() as f64 / count,
        100.0 * kept,
        mean(&|o| o.overcut.max(0.0)),
        bowls.iter().map(Built::difference).sum::<f64>() / bowls.len() as f64,
    );
}

/// How even bowls come out: `cargo test --test bowl even -- --ignored --nocapture`.
#[test]
#[ignore = "a measurement"]
fn even() {
    let both = |s: u64| [built(true, s).difference(), built(false, s).difference()];
    let all: Vec<[f64; 2]> = (0..16u64).into_par_iter().map(both).collect();
    for (which, what) in ["with", "without"].into_iter().enumerate() {
        let mut sorted: Vec<f64> = all.iter().map(|b| b[which]).collect();
        sorted.sort_by(f64::total_cmp);
        println!("{what} divide: {sorted:.2?}");
    }
    println!("by seed: {all:.2?}");
}
