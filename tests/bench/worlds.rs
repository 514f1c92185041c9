//! Worlds that aren't as the advice takes them to be: each does what it says, and no more.

use std::process::Command;

use ribwright::job::{Job, Stroke};
use ribwright::practice::bench::{self, Decision, Outcome};
use ribwright::practice::{Recipe, World};
use serde_json::Value;

/// Two rounds of a joint in these worlds, with `strokes` after the first; and how it ended.
fn played(worlds: &[World], noise: f64, seed: u64, strokes: &[Stroke]) -> (Job, Outcome) {
    let worlds = worlds.iter().copied().collect();
    let task = Recipe { plain: true, noise: Some(noise), worlds, ..Recipe::default() }.task(seed);
    let mut last = Job::default();
    let outcome = bench::run(&task, seed, &mut |job, wood| {
        last = job.clone();
        let height = task.known.at_stations(&wood.edge);
        if job.rounds.len() < 2 {
            Decision::Take(strokes.to_vec(), vec![0.0; height.len()])
        } else {
            Decision::Stop
        }
    });
    (last, outcome)
}

/// Gaps and lifts as read in a round.
fn read(job: &Job, round: usize) -> (Vec<f64>, Vec<f64>) {
    let readings = job.rounds[round].readings.iter();
    readings.map(|r| (-r.overlap.unwrap_or(0.0), r.lift.unwrap_or(0.0))).unzip()
}

/// How much more was read in a world than without it, in the first round of as many joints.
fn more(world: World) -> Vec<(Vec<f64>, Vec<f64>, Vec<f64>)> {
    let of = |seed| {
        let (as_stated, there) = (played(&[], 0.005, seed, &[]).0, played(&[world], 0.005, seed, &[]).0);
        let (stated, told) = (read(&as_stated, 0), read(&there, 0));
        let less = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a - b).collect();
        (less(&told.0, &stated.0), less(&told.1, &stated.1), stated.0)
    };
    (0..8).map(of).collect()
}

#[test]
fn where_the_mold_is_low_the_rib_stands_off() {
    for (gaps, lifts, _) in more(World::LowMold) {
        assert!(gaps.iter().all(|g| g.abs() < 0.06), "{gaps:?}");
        let low = lifts.iter().filter(|l| **l > 0.25).count();
        let even = lifts.iter().filter(|l| l.abs() < 0.06).count();
        // Stations stand about 35 mm apart, so one to three on 60 mm, and some on its slopes.
        assert!((1..=3).contains(&low) && even + low + 2 >= lifts.len(), "{lifts:?}");
        assert!(lifts.iter().all(|l| *l < 0.35), "{lifts:?}");
    }
}

#[test]
fn a_hand_presses_gaps_shut_and_none_open() {
    for (gaps, lifts, stated) in more(World::Pressed) {
        assert!(lifts.iter().all(|l| *l == 0.0));
        let wide: Vec<f64> = gaps.iter().zip(&stated).filter(|(_, s)| **s > 0.35).map(|(g, _)| -g).collect();
        let (least, most) = wide.iter().fold((f64::MAX, f64::MIN), |(l, m), v| (l.min(*v), m.max(*v)));
        assert!(wide.is_empty() || (0.08..0.32).contains(&least) && most - least < 0.03, "{wide:?}");
        let closed = gaps.iter().zip(&stated).filter(|(_, s)| **s < 0.08);
        assert!(closed.into_iter().all(|(g, s)| (g + s).abs() < 0.02), "{gaps:?} {stated:?}");
    }
}

#[test]
fn readings_too_large_are_so_by_half_a_tenth() {
    for (gaps, lifts, stated) in more(World::TooLarge) {
        for (i, gap) in stated.iter().enumerate().filter(|(_, gap)| **gap > 0.03) {
            assert!((gaps[i] - 0.05).abs() < 0.011, "{gap}: {}", gaps[i]);
        }
        assert!(lifts.iter().all(|l| (0.03..0.061).contains(l)), "{lifts:?}");
    }
}

/// Between two rounds without a stroke.
#[test]
fn a_twist_is_another_one_in_each_round() {
    let moved = |worlds: &[World]| {
        let most = |seed| {
            let job = played(worlds, 0.005, seed, &[]).0;
            let (first, second) = (read(&job, 0).1, read(&job, 1).1);
            first.iter().zip(&second).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
        };
        (0..8).map(most).collect::<Vec<f64>>()
    };
    assert!(moved(&[]).iter().all(|m| *m < 0.05));
    let twisted = moved(&[World::Twisted]);
    assert!(twisted.iter().filter(|m| **m > 0.05).count() >= 6, "{twisted:?}");
    assert!(twisted.iter().all(|m| *m < 0.9), "{twisted:?}");
}

/// The first push meets the same edge in both worlds: 30 % more at the very ends, nothing more in
/// the middle two thirds.
#[test]
fn more_is_planed_at_the_ends_alone() {
    let stroke = Stroke { plane: 0, from: 0, to: 12, count: 1, shaving: None };
    for seed in 0..4 {
        let stated = played(&[], 0.1, seed, std::slice::from_ref(&stroke)).1.taken;
        let more = played(&[World::MoreAtEnds], 0.1, seed, std::slice::from_ref(&stroke)).1.taken;
        for (i, (more, stated)) in more.iter().zip(&stated).enumerate().filter(|(_, t)| *t.1 > 1e-6) {
            let times = more / stated;
            match i {
                0 | 12 => assert!((times - 1.3).abs() < 1e-9, "{times}"),
                3..=9 => assert!((times - 1.0).abs() < 1e-9, "{times}"),
                _ => assert!((1.0 - 1e-9..1.3).contains(&times), "{times}"),
            }
        }
    }
}

/// Errors of neighbouring stations correlate by `exp(-step / 120 mm)`; where nothing is said, not.
#[test]
fn errors_are_alike_at_neighbouring_stations() {
    let correlation = |worlds: &[World]| {
        let (mut both, mut alone, mut steps, mut count) = (0.0, 0.0, 0.0, 0.0);
        for seed in 0..240 {
            let (job, fine) = (played(worlds, 0.1, seed, &[]).0, played(&[], 0.005, seed, &[]).0);
            let (gaps, truth) = (read(&job, 0).0, read(&fine, 0).0);
            for i in (1..13).filter(|&i| truth[i].min(truth[i - 1]) > 0.25) {
                let (a, b) = (gaps[i - 1] - truth[i - 1], gaps[i] - truth[i]);
                both += a * b;
                alone += (a * a + b * b) / 2.0;
                steps += job.stations[i].along - job.stations[i - 1].along;
                count += 1.0;
            }
        }
        assert!(count > 300.0, "{count}");
        (both / alone, steps / count)
    };
    let (independent, _) = correlation(&[]);
    assert!(independent.abs() < 0.12, "{independent}");
    let (alike, step) = correlation(&[World::Alike]);
    // The joint's arc is a little longer than its chord.
    assert!((alike - (-1.05 * step / 120.0).exp()).abs() < 0.08, "{alike} at {step} mm");
}

#[test]
fn worlds_go_together_and_are_named() {
    let run = |arguments: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_ribwright")).arg("practise").args(arguments).output();
        let output = output.expect("it runs");
        (output.status.code(), String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned())
    };
    let few = ["--joints", "1", "--plain", "--strategy", "one-round"];
    let (code, text) = run(&[&few[..], &["--world", "alike", "--world", "low-mold"]].concat());
    let flat = text.replace('\n', " ");
    assert_eq!(code, Some(0), "{text}");
    assert!(flat.contains("low by 0.3 mm over 60 mm, errors alike over 120 mm, seed 0"), "{text}");
    let (_, json) = run(&[&few[..], &["--json", "--world", "more-at-ends"]].concat());
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["worlds"], serde_json::json!(["30 % more planed at the ends"]));
    let (code, text) = run(&["--world", "flat"]);
    assert!(code == Some(2) && text.contains("low-mold"), "{text}");
}
