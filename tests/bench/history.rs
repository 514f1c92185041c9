//! `ribwright history`: rounds, wood, shavings, and how well they were foreseen.

use std::process::{Command, Output};

use ribwright::advice::{Hits, Options, past};
use ribwright::job::Job;
use ribwright::practice::Recipe;
use ribwright::practice::bench::{self, Advised, Decision};
use serde_json::Value;

fn run(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.arg("history").args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap()
}

fn json(path: &str) -> Value {
    serde_json::from_slice(&run(&[path, "--json"]).stdout).unwrap()
}

/// A practice job followed to its end, its true wood taken after each round
/// (mean over the stations, mm), and whether planes cut as deep as stated.
fn followed(recipe: &Recipe, seed: u64, cuts: f64) -> (Job, Vec<f64>) {
    let mut task = recipe.task(seed);
    // The maker believes the plane takes what the job states; it really takes `cuts` times that.
    let stated = task.job.planes[0].shaving;
    task.truth.planes[0].shaving = stated * cuts;
    let mut advised = Advised::default();
    let mut edges: Vec<f64> = Vec::new();
    let mut kept = task.job.clone();
    bench::run(&task, seed, &mut |job, wood| {
        let edge = task.known.at_stations(&wood.edge);
        edges.push(edge.iter().sum::<f64>() / edge.len() as f64);
        kept = job.clone();
        let decision = advised.decide(job);
        if let (Decision::Take(strokes, _), Some(round)) = (&decision, kept.rounds.last_mut()) {
            round.strokes.clone_from(strokes);
        }
        decision
    });
    (kept, edges.windows(2).map(|pair| pair[0] - pair[1]).collect())
}

#[test]
fn the_wood_taken_is_about_what_was_really_taken() {
    let recipe = Recipe { plain: true, noise: Some(0.05), ..Recipe::default() };
    for seed in 0..4 {
        let (job, taken) = followed(&recipe, seed, 1.0);
        let rounds = past(&job, &Options::default()).unwrap();
        assert_eq!(rounds.len(), job.rounds.len());
        for (round, truth) in rounds.iter().zip(taken) {
            let told = round.wood.map_or(0.0, |w| w.0);
            assert!((told - truth).abs() < 0.03 + 0.25 * truth, "seed {seed}: {told}, really {truth}");
        }
    }
}

#[test]
fn a_plane_that_cuts_deeper_than_stated_is_found_out() {
    let recipe = Recipe { plain: true, noise: Some(0.02), shaving: Some(0.08), ..Recipe::default() };
    let learned = |cuts: f64| {
        let last = |seed: u64| {
            let (job, _) = followed(&recipe, seed, cuts);
            *past(&job, &Options::default()).unwrap().last().unwrap().shavings.first().unwrap()
        };
        let each: Vec<(f64, f64)> = (0..6).map(last).collect();
        each.iter().for_each(|(_, sd)| assert!(*sd < 0.016, "it learned something: {sd}"));
        each.iter().map(|s| s.0).sum::<f64>() / 6.0
    };
    let (right, deep) = (learned(1.0), learned(1.3));
    assert!((right - 0.08).abs() < 0.012, "{right}");
    assert!(deep > right + 0.008 && deep < 0.12, "{deep} against {right}");
}

/// 68.27 and 95.45 %: the normal distribution's shares (tables).
#[test]
fn foreseen_rounds_score_about_as_they_should() {
    let mut hits = Hits::default();
    for seed in 100..112 {
        let (job, _) = followed(&Recipe::default(), seed, 1.0);
        let rounds = past(&job, &Options::default()).unwrap();
        assert_eq!(rounds[0].hits, Hits::default(), "nobody foresaw the first round");
        hits = rounds.iter().fold(hits, |all, r| all.and(r.hits));
    }
    let (one, two) = hits.fractions().unwrap();
    assert!(hits.count > 500);
    assert!((one - 0.6827).abs() < 0.08 && (two - 0.9545).abs() < 0.04, "{one} {two}");
}

#[test]
fn the_table_keeps_to_80_columns() {
    for demo in ["plain", "shallow", "fitted", "inch", "mistyped", "first-try.csv"] {
        let output = run(&[&format!("demo-readings/{demo}")]);
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        assert_eq!(output.status.code(), Some(0), "{demo}");
        assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
        for word in ["read", "estimated", "strokes", "Shaving of plane"] {
            assert!(text.contains(word), "{demo}: no {word} in\n{text}");
        }
    }
}

#[test]
fn json_has_a_line_a_round_and_null_for_what_does_not_exist() {
    let history = json("demo-readings/plain");
    let rounds = history["rounds"].as_array().unwrap();
    assert_eq!(rounds.len(), 2);
    // The readings as they stand in demo-readings/plain/readings.csv.
    let widest = |round: &str, column: usize| {
        let table = include_str!("../../demo-readings/plain/readings.csv");
        let rows = table.lines().skip(1).map(|l| l.split(',').collect::<Vec<_>>());
        let values = rows.filter(|r| r[0] == round).filter_map(|r| r[column].parse::<f64>().ok());
        values.fold(f64::NEG_INFINITY, |most, v| most.max(if column == 3 { -v } else { v }))
    };
    assert_eq!(rounds[0]["gap_read_mm"].as_f64(), Some(widest("1", 3)));
    assert_eq!(rounds[1]["lift_read_mm"].as_f64(), Some(widest("2", 4)));
    assert!(rounds[0]["forecast"].is_null() && rounds[1]["forecast"]["readings"].as_u64() > Some(10));
    assert!(rounds[1]["wood_mm"].is_null(), "nothing planed after the last round: null, not 0");
    assert_eq!(rounds[0]["strokes"], 5);
    assert_eq!(rounds[0]["shavings"][0]["plane"], "long");
}

#[test]
fn without_readings_it_says_what_is_missing() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(
        folder.path().join("stations.csv"),
        "station,along,width,bevel\n1,0,30,6\n2,50,30,6\n3,100,30,6\n",
    )
    .unwrap();
    let output = run(&[folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    let error = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
    assert!(error.contains("no readings yet") || error.contains("readings.csv"), "{error}");
}
