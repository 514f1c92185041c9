//! The program against the independent answer of `tests/reference`, side by side on the same
//! folders: as whole processes, and reading, estimate and slice alone. The machine's mood
//! falls on both alike, so it is the ratio that tells. The program does more in either: as a
//! process it also plans strokes and replays the past, which the script is given, and inside
//! it searches the evidence and looks where the rib bore.

#[path = "../tests/reference/joints.rs"]
mod joints;

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use joints::{Case, WANTED, Worked, cases, python, script, work, workings};
use ribwright::fit::{self, Prior, SurfaceChoice};
use ribwright::job::read;
use ribwright::joint::Joint;
use ribwright::slice::{Aims, LIFT_AIM, least_wood};
use serde_json::Value;

/// Runs of each; odd, so that there is one in the middle.
const RUNS: usize = 9;

fn main() {
    let Some(python) = python() else {
        println!("left out: nothing to compare with; to have it: {WANTED}");
        return;
    };
    let wanted = [
        "plain 13 stations 1 rounds",
        "plain 13 stations 2 rounds",
        "plain 13 stations 4 rounds",
        "mixed 41 stations 1 rounds",
    ];
    println!("medians of {RUNS} runs in turn, ms: program, script, times faster");
    for case in cases().iter().filter(|c| wanted.iter().any(|w| c.name.starts_with(w))) {
        compare(case, &python);
    }
}

fn compare(case: &Case, python: &Path) {
    let folder = tempfile::tempdir().expect("a folder");
    let (joint, file) = (folder.path().join("joint"), folder.path().join("workings.json"));
    let worked = work(case, &joint);
    std::fs::write(&file, workings(&worked, false).to_string()).expect("workings");
    let mut columns = [const { Vec::new() }; 4];
    for _ in 0..RUNS {
        columns[0].push(seconds(|| process(&joint)));
        let mut inside = 0.0;
        columns[1].push(seconds(|| inside = scripted(python, &joint, &file)));
        columns[2].push(seconds(|| estimate_and_slice(&worked, &joint)));
        columns[3].push(inside);
    }
    let [whole, whole_script, inside, inside_script] = columns.map(|c| 1000.0 * median(c));
    println!(
        "{:30} process {whole:7.1} {whole_script:8.1} {:5.0}x   inside {inside:7.2} {inside_script:8.1} {:5.0}x",
        case.name,
        whole_script / whole,
        inside_script / inside
    );
}

fn seconds(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn process(joint: &Path) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    let output = command.arg("advise").arg(joint).arg("--json").output().expect("the program runs");
    assert!(output.status.success());
}

/// The seconds that the script itself counts, imports left out.
fn scripted(python: &Path, joint: &Path, file: &Path) -> f64 {
    let output = script(python).arg(joint).arg(file).output().expect("the script runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    answer["seconds"].as_f64().expect("seconds")
}

/// From the folder to the least-wood slice, as far as the script goes.
fn estimate_and_slice(worked: &Worked, folder: &Path) {
    let job = read(folder).expect("a joint");
    let joint = Joint::of(&job);
    let fit = fit::estimate(&job, &joint, &worked.taken, SurfaceChoice::Auto, &Prior::default());
    let fit = fit.expect("an estimate");
    let spare = vec![job.spare.unwrap_or(f64::INFINITY); joint.len()];
    let aims = Aims { gap: 0.0, lift: Some(LIFT_AIM * job.tolerance.lift), spare };
    let start = fit.poses[fit.poses.len() - 1];
    std::hint::black_box(least_wood(&joint, &fit.edge, &fit.spring, &aims, start).expect("a slice"));
}
