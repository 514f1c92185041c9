//! The estimate and the slice against an independent answer: a script in
//! `tests/reference` (numpy and scipy) that starts from the same folders and goes another
//! way. Its head says what it is given and why.
//!
//! Needs python 3.11 or later with what `tests/reference/requirements.txt` pins, in a virtual
//! environment whose folder `RIBWRIGHT_REFERENCE` names (`target/reference` without it).

#[path = "../reference/joints.rs"]
mod joints;

use std::path::Path;

use joints::{Case, WANTED, Worked, cases, python, script, work, workings};
use libtest_mimic::Trial;
use ribwright::joint::Joint;
use serde_json::Value;
use tempfile::TempDir;

use crate::need::{Need, trials};

/// The two agree to this, mm.
const AGREE: f64 = 0.005;
/// The search of the evidence ends no further below the top than this (logarithm). It is a
/// search of few steps, broken off when the chances differ little, and bounds settle after it:
/// 0.72 below it at one of 62 joints, which is a factor of two.
const EVIDENCE_LEFT: f64 = 0.75;
/// The push's shares are averaged over draws around a pose a little off the last one, and so
/// carry the push but for this share of it.
const UNBALANCED: f64 = 0.01;
/// The evidence for a gentle curve (logarithm) agrees to this where a plane was kept.
const CURVE_APART: f64 = 0.1;

const PYTHON: Need = Need { met: || python().is_some(), wanted: WANTED, in_ci: true };

pub fn tests() -> Vec<Trial> {
    trials![PYTHON; two_ways_lead_to_the_same_estimate_and_slice, another_amplitude_or_push_is_noticed]
}

/// What the program makes of cases, beside what the script says when its workings are
/// changed by `spoil`.
fn both_ways(python: &Path, cases: &[Case], spoil: impl Fn(&mut Value)) -> Vec<(Worked, Value)> {
    let folder = TempDir::new().expect("a folder");
    let mut script = script(python);
    let mut worked = Vec::new();
    for (i, case) in cases.iter().enumerate() {
        let (joint, file) = (folder.path().join(i.to_string()), folder.path().join(format!("{i}.json")));
        let own = work(case, &joint);
        let mut told = workings(&own, true);
        spoil(&mut told);
        std::fs::write(&file, told.to_string()).expect("workings");
        script.arg(joint).arg(file);
        worked.push(own);
    }
    let output = script.output().expect("the script runs");
    let (said, why) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success(), "{why}");
    let answers: Vec<Value> = said.lines().map(|l| serde_json::from_str(l).expect("JSON")).collect();
    assert_eq!(answers.len(), worked.len(), "{why}");
    worked.into_iter().zip(answers).collect()
}

/// Largest difference of two lists, mm.
fn apart<'a>(ours: impl IntoIterator<Item = &'a f64>, theirs: &Value) -> f64 {
    let theirs: Vec<f64> = serde_json::from_value(theirs.clone()).expect("a list of numbers");
    let ours: Vec<f64> = ours.into_iter().copied().collect();
    assert_eq!(ours.len(), theirs.len());
    ours.iter().zip(&theirs).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// Everything that is compared, with how far it is apart, mm.
fn differences(worked: &Worked, answer: &Value) -> Vec<(&'static str, f64)> {
    let (fit, slice) = (&worked.working.fit, &worked.working.slice);
    vec![
        ("edge", apart(&fit.edge, &answer["edge_mm"])),
        ("edge's uncertainty", apart(&fit.edge_sd, &answer["edge_sd_mm"])),
        ("spring", apart(&fit.spring, &answer["spring_mm"])),
        ("spring's uncertainty", apart(&fit.spring_sd, &answer["spring_sd_mm"])),
        ("line's error", apart(&fit.line_error, &answer["line_error_mm"])),
        ("poses", moved_apart(worked, &answer["moved_mm"])),
        ("shavings", shavings_apart(worked, &answer["shavings"])),
        ("slice", apart(&slice.remove, &answer["remove_mm"])),
        ("gap left", apart(&slice.gap, &answer["left_mm"][0])),
    ]
}

/// How far gaps, seats and lifts of all rounds are apart for the two answers' poses.
fn moved_apart(worked: &Worked, theirs: &Value) -> f64 {
    let joint = Joint::of(&worked.job);
    let mut most: f64 = 0.0;
    for (k, pose) in worked.working.fit.poses.iter().enumerate() {
        let moved: Vec<_> = (0..joint.len()).map(|i| joint.clearances(pose, i)).collect();
        most = most.max(apart(moved.iter().map(|c| &c.gap), &theirs[k][0]));
        most = most.max(apart(moved.iter().map(|c| &c.seat), &theirs[k][1]));
        most = most.max(apart(moved.iter().map(|c| &c.lift), &theirs[k][2]));
    }
    most
}

/// How far the learned shavings of planes that planed are apart, mm.
fn shavings_apart(worked: &Worked, theirs: &Value) -> f64 {
    let planes = worked.job.planes.iter().zip(&worked.working.fit.shavings);
    let one = |(plane, (share, sd)): (&ribwright::job::Plane, &(f64, f64))| {
        let theirs = theirs.get(&plane.name)?;
        Some(plane.shaving * apart([share, sd], theirs))
    };
    planes.filter_map(one).fold(0.0, f64::max)
}

/// What the script found out about what it was given, where that was not as it should be.
fn misgiven(worked: &Worked, answer: &Value) -> Vec<String> {
    let number = |name: &str| answer[name].as_f64();
    let mut wrong = Vec::new();
    // With fewer stations the defaults stand, whatever the evidence says.
    let searched = worked.job.stations.len() >= 5;
    let left = number("evidence_left").expect("a number");
    if searched && left > EVIDENCE_LEFT {
        wrong.push(format!("evidence {left:.2} below its top at {}", answer["top"]));
    }
    let unbalanced = number("unbalanced").expect("a number");
    if unbalanced > UNBALANCED {
        wrong.push(format!("push out of balance by {unbalanced:.4}"));
    }
    let unsettled = number("unsettled_mm").expect("a number");
    if unsettled > 1e-4 {
        wrong.push(format!("the script itself has not settled: {unsettled:.5} mm"));
    }
    let weighed = worked.working.fit.curve_evidence.zip(number("curve_evidence"));
    if let Some((own, other)) = weighed.filter(|(own, other)| (own - other).abs() > CURVE_APART) {
        wrong.push(format!("evidence for a curve {own:.2}, not {other:.2}"));
    }
    wrong
}

fn two_ways_lead_to_the_same_estimate_and_slice() {
    let python = python().expect("a python");
    let cases = cases();
    assert!(cases.len() >= 50);
    let mut wrong = Vec::new();
    let mut curved = 0;
    let mut most = std::collections::BTreeMap::<&str, f64>::new();
    for (case, (worked, answer)) in cases.iter().zip(both_ways(&python, &cases, |_| {})) {
        curved += usize::from(worked.working.fit.curved);
        for (what, apart) in differences(&worked, &answer) {
            let entry = most.entry(what).or_default();
            *entry = entry.max(apart);
            if apart.is_nan() || apart > AGREE {
                wrong.push(format!("{}: {what} {apart:.4} mm apart", case.name));
            }
        }
        wrong.extend(misgiven(&worked, &answer).into_iter().map(|w| format!("{}: {w}", case.name)));
    }
    println!("largest differences over {} joints, {curved} of them curved, mm: {most:.5?}", cases.len());
    assert!(curved > 2);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A comparison that can't fail is none.
fn another_amplitude_or_push_is_noticed() {
    let python = python().expect("a python");
    let cases: Vec<Case> =
        cases().into_iter().filter(|c| c.name.starts_with("plain 13 stations 3")).collect();
    let spoilt = |spoil: &dyn Fn(&mut Value)| {
        let (worked, answer) = both_ways(&python, &cases, spoil).remove(0);
        let apart = differences(&worked, &answer).iter().any(|(_, apart)| *apart > AGREE);
        (apart, !misgiven(&worked, &answer).is_empty())
    };
    assert_eq!(spoilt(&|_| {}), (false, false));
    let scale = |v: &mut Value, by: f64| *v = Value::from(v.as_f64().expect("a number") * by);
    assert_eq!(spoilt(&|told| scale(&mut told["waves_mm"], 0.4)), (true, true));
    let unpushed = |told: &mut Value| {
        let stations = told["push_per_mm"][0].as_array_mut().expect("stations");
        stations.iter_mut().for_each(|s| scale(&mut s[0], 0.0));
    };
    assert_eq!(spoilt(&unpushed), (true, true));
    assert!(spoilt(&|told| scale(&mut told["taken"][0]["cut_mm"][0], 0.5)).0);
}
