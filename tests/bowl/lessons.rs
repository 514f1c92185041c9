//! What a bowl's joints learn from each other, and where its demo's rib stands off.

use std::path::{Path, PathBuf};
use std::process::Command;

use ribwright::advice::{Lesson, Lessons, Stage, open, shims, whole};
use ribwright::bowl::shim::Need;
use ribwright::fit::Prior;
use ribwright::job::bowl::read_bowl;
use ribwright::job::{Job, Plane};
use serde_json::Value;

use crate::made::bowl::demo_bowl;

fn bowl() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/bowl")
}

fn lessons(shaving: f64, amplitudes: [f64; 3], count: usize) -> Lessons {
    let one = |joint| Lesson { joint, shavings: vec![("long".into(), shaving, 0.008)], amplitudes };
    Lessons::of((1..=count).map(one).collect())
}

#[test]
fn a_shaving_is_believed_more_the_more_joints_agree() {
    let job = Job { planes: vec![Plane { shaving: 0.08, ..Plane::default() }], ..Job::default() };
    let learned = |count| lessons(0.104, [0.0; 3], count).start(&job).plane(0);
    assert_eq!(learned(0), Prior::default().plane(0));
    let (one, five) = (learned(1), learned(5));
    // Stated as 0.08 mm, it takes 1.3 times that.
    assert!(1.0 < one.0 && one.0 < five.0 && five.0 < 1.3 && five.0 > 1.24, "{one:?} {five:?}");
    assert!(five.1 < one.1 && one.1 < 0.2);
    // Another plane is as stated.
    let other = Job { planes: vec![Plane { name: "short".into(), ..Plane::default() }], ..Job::default() };
    assert_eq!(lessons(0.104, [0.0; 3], 5).start(&other).plane(0), (1.0, 0.2));
}

#[test]
fn lessons_make_a_joint_more_careful_and_never_bolder() {
    let usual = Prior::default().amplitudes;
    let start = |by: f64| lessons(0.08, [by; 3], 4).start(&Job::default()).amplitudes;
    let (more, less) = (start(0.4), start(-0.4));
    assert!(more.waves.amplitude > usual.waves.amplitude && more.errors > usual.errors);
    assert_eq!((less.waves, less.spring, less.errors), (usual.waves, usual.spring, usual.errors));
}

#[test]
fn a_joint_in_a_bowl_says_what_it_starts_from_and_one_alone_has_nothing_to_say() {
    let told = |path: &Path| open(path).unwrap().job.warnings.into_iter().find(|w| w.code == "learned");
    assert!(told(&bowl().join("joints/03")).unwrap().text.contains("joints 1 to 2 taught"));
    assert!(told(&bowl().join("joints/01")).is_none());
    assert!(told(&bowl().join("../plain")).is_none());
}

#[test]
fn the_demo_bowl_stands_where_it_was_left() {
    let whole = whole(&read_bowl(&bowl()).unwrap());
    let stages: Vec<Stage> = whole.joints.iter().map(|j| j.stage).collect();
    assert_eq!(stages[..4], [Stage::Done, Stage::Done, Stage::InWork, Stage::Waiting]);
    assert_eq!(whole.joints[0].minutes, Some(55.0));
    assert!(whole.next.starts_with("Joint 3 is in work"), "{}", whole.next);
    // Shares are right within their uncertainty, give or take what a joint takes.
    let (division, truth) = (whole.division.unwrap(), demo_bowl());
    for i in 0..truth.plan.len() {
        let off = division.girth[i] - truth.girth(3, i);
        assert!(off.abs() < 3.0 * 12.0 * division.sd[i] + 0.05, "station {}: {off:.2}", i + 1);
    }
}

/// What the bowl tells of forecasts is what its joints' histories tell, together.
#[test]
fn the_bowl_counts_every_joints_forecasts() {
    let told = |arguments: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_ribwright"))
            .args(arguments)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .output()
            .expect("it runs");
        String::from_utf8(output.stdout).expect("UTF-8")
    };
    let json = |arguments: &[&str]| serde_json::from_str::<Value>(&told(arguments)).expect("JSON");
    let joints =
        ["01", "02", "03"].map(|j| json(&["history", &format!("demo-readings/bowl/joints/{j}"), "--json"]));
    let rounds: Vec<&Value> = joints.iter().flat_map(|j| j["rounds"].as_array().expect("rounds")).collect();
    let all = |key: &str| rounds.iter().filter_map(|r| r["forecast"][key].as_f64()).sum::<f64>();
    let bowl = json(&["bowl", "demo-readings/bowl", "--json"])["forecast"].clone();
    for key in ["readings", "within_tolerance", "within_tolerance_foreseen"] {
        assert!((bowl[key].as_f64().expect(key) - all(key)).abs() < 0.01, "{key}: {bowl} {}", all(key));
    }
    assert!(all("readings") > 50.0 && all("within_tolerance") > 10.0);
    let text = told(&["bowl", "demo-readings/bowl"]).replace('\n', " ");
    assert!(text.contains(&format!("Foreseen: of {} readings, ", all("readings"))), "{text}");
}

#[test]
fn shims_go_where_the_rib_truly_springs() {
    let opened = open(&bowl().join("joints/03")).unwrap();
    let found = shims(&opened, 1.1).unwrap();
    let demo = &demo_bowl().begun[2];
    let truth = demo.known.at_stations(&demo.wood().unwrap().spring);
    assert!(!found.shims.is_empty());
    for (i, (s, really)) in found.stations.iter().zip(&truth).enumerate() {
        if s.need == Need::Shim {
            // Pose and spring share a lift: which is which is known to a tenth or two.
            assert!(*really > 0.1, "station {}: {:.2}, really {really:.2}", i + 1, s.spring);
            assert!((s.left.unwrap() + s.step - 1.6).abs() < 1e-9);
        }
    }
    assert!(found.thin.iter().all(|&i| found.stations[i].left.unwrap() < 1.1));
}
