//! What if wood came off here: seating, leverage, and the force that closes
//! what is left.

use std::process::{Command, Output};

use ribwright::advice::{Options, what_if};
use ribwright::job::{Angle, Job, Mold, Station};
use ribwright::joint::{Clearances, Joint, Pose};
use ribwright::practice::Recipe;
use ribwright::practice::bench::{self, Decision};
use ribwright::seat::elastic::HeldRib;
use ribwright::seat::{Wood, leverage, press, seat};
use serde_json::Value;

/// A job with a straight edge: no rise, even width and bevel.
pub fn straight(along: &[f64]) -> Job {
    let station = |(i, &along): (usize, &f64)| Station {
        name: (i + 1).to_string(),
        along,
        width: 36.0,
        bevel: Angle::radians(0.1),
        rise: None,
        outer_bevel: None,
        inner_bevel: None,
        out_of_plane: None,
    };
    Job { stations: along.iter().enumerate().map(station).collect(), ..Job::default() }
}

pub fn evenly(n: usize, length: f64) -> Vec<f64> {
    (0..n).map(|i| length * i as f64 / (n - 1) as f64).collect()
}

/// The closed form for an edge without rise: a bump `h` at distance `c` from
/// the bearing end opens `h L/c` at length L (similar triangles). The rib bears
/// on the end that is further from the bump, since its mean gap is then less.
#[test]
fn a_bump_opens_as_similar_triangles_say() {
    let (n, length) = (13, 480.0);
    let joint = Joint::of(&straight(&evenly(n, length)));
    for (bump, h) in [(7, 0.3), (8, 0.4), (10, 0.25), (11, 0.6)] {
        let mut edge = vec![0.0; n];
        edge[bump] = h;
        let spring = vec![0.0; n];
        let rest = seat(&joint, &edge, &spring, Pose::default()).unwrap();
        let c = length * bump as f64 / 12.0;
        let open = rest.clearances[n - 1].gap;
        assert!((open - h * length / c).abs() < 2e-3, "bump at {bump}: {open}");
        assert_eq!(rest.bearings, [0, bump]);
        let levers = leverage(&joint, &edge, &spring, &rest, 0.1).unwrap();
        let at_bump = levers.iter().find(|l| l.station == bump).unwrap();
        let (at, closes) = at_bump.closes_most().unwrap();
        assert_eq!((at, at_bump.taken), (n - 1, 0.1));
        assert!((closes - 0.1 * length / c).abs() < 2e-3, "{closes}");
    }
}

/// Twice `h` from the middle: with the bump a hair past it, the far end opens 2h.
#[test]
fn a_bump_near_the_middle_opens_twice_its_height() {
    let along = [0.0, 60.0, 120.0, 180.0, 241.0, 300.0, 360.0, 420.0, 480.0];
    // Square joint faces, so that no lift takes part.
    let mut job = straight(&along);
    job.stations.iter_mut().for_each(|s| s.bevel = Angle::ZERO);
    let joint = Joint::of(&job);
    let edge: Vec<f64> = (0..9).map(|i| if i == 4 { 0.2 } else { 0.0 }).collect();
    let rest = seat(&joint, &edge, &[0.0; 9], Pose::default()).unwrap();
    assert!((rest.clearances[8].gap - 0.4).abs() < 5e-3, "{:?}", rest.clearances[8]);
}

/// More off than the bump is high hands the bearing over; nothing closes further.
#[test]
fn a_bearing_that_hands_over_closes_no_more() {
    let joint = Joint::of(&straight(&evenly(13, 480.0)));
    let mut edge = vec![0.0; 13];
    edge[9] = 0.04;
    let rest = seat(&joint, &edge, &[0.0; 13], Pose::default()).unwrap();
    let levers = leverage(&joint, &edge, &[0.0; 13], &rest, 0.1).unwrap();
    let bump = levers.iter().find(|l| l.station == 9).unwrap();
    let (at, closes) = bump.closes_most().unwrap();
    assert!(at == 12 && (closes - 0.04 * 12.0 / 9.0).abs() < 2e-3, "{at} {closes}");
}

fn gaps(values: &[f64]) -> Vec<Clearances> {
    values.iter().map(|&gap| Clearances { gap, ..Clearances::default() }).collect()
}

fn cherry(job: Job) -> Job {
    Job { wood: Some("black cherry".into()), thickness: Some(2.0), ..job }
}

fn forces(job: &Job, gaps: &[Clearances]) -> Vec<(usize, f64)> {
    press::closing_force(&HeldRib::of(job, &Joint::of(job)).unwrap(), gaps).unwrap()
}

#[test]
fn each_open_run_has_its_force() {
    let job = cherry(straight(&evenly(9, 400.0)));
    let open = forces(&job, &gaps(&[0.0, 0.1, 0.2, 0.1, 0.0, 0.0, 0.0, 0.05, 0.1]));
    assert_eq!(open.iter().map(|f| f.0).collect::<Vec<_>>(), [2, 8]);
    assert!(open.iter().all(|f| f.1 > 0.0));
    assert_eq!(forces(&job, &gaps(&[0.0; 9])), []);
}

/// An end that stands off like a turned rib takes no force but the hand's: it turns back.
#[test]
fn a_rib_that_only_lies_turned_is_closed_by_a_touch() {
    let job = cherry(Job { mold: Mold::Faceted, ..straight(&evenly(9, 400.0)) });
    let turned: Vec<f64> = (0..9).map(|i| 0.05 * i as f64).collect();
    let [(8, newtons)] = forces(&job, &gaps(&turned))[..] else { panic!("one run") };
    assert!(newtons < 1e-3, "{newtons}");
}

#[test]
fn more_stations_than_sections_take_about_the_same_force() {
    let of = |stations: usize| {
        let job = cherry(straight(&evenly(stations, 400.0)));
        let share = |i: usize| i as f64 / (stations - 1) as f64;
        let bow: Vec<f64> = (0..stations).map(|i| 0.8 * share(i) * (1.0 - share(i))).collect();
        forces(&job, &gaps(&bow))[0].1
    };
    let few = of(41);
    assert!((of(401) / few - 1.0).abs() < 0.05, "{} {few}", of(401));
}

/// What no section stands at counts all the same: nothing open is taken for closed.
#[test]
fn a_gap_between_two_sections_takes_force() {
    let job = cherry(straight(&evenly(401, 400.0)));
    for station in [97, 98, 99, 100, 101, 102, 103] {
        let mut open = vec![0.0; 401];
        open[station] = 0.2;
        let [(at, newtons)] = forces(&job, &gaps(&open))[..] else { panic!("one run") };
        assert!(at == station && newtons > 100.0, "{station}: {newtons}");
    }
}

#[test]
fn without_wood_or_thickness_there_is_no_force_but_a_reason() {
    let job = straight(&evenly(5, 400.0));
    let joint = Joint::of(&job);
    let ebony = Job { wood: Some("ebony".into()), thickness: Some(2.0), ..job.clone() };
    let walnut = Job { wood: Some("black walnut".into()), ..job.clone() };
    for (job, says) in [(&job, "no wood is named"), (&ebony, "`ebony`"), (&walnut, "`thickness`")] {
        let reason = HeldRib::of(job, &joint).unwrap_err().to_string();
        assert!(reason.contains(says), "{reason}");
    }
}

/// Read with hardly any noise, the rib as estimated lies where the rib of known
/// wood lies on the exact mold, before a cut and after it.
#[test]
fn the_cut_rib_lies_where_the_exact_one_lies() {
    for seed in [0, 3, 5] {
        let recipe = Recipe { noise: Some(0.01), stations: Some(13), ..Recipe::default() };
        let task = recipe.task(seed);
        let mut kept = None;
        bench::run(&task, seed, &mut |job, wood| {
            if job.rounds.len() < 4 {
                return Decision::Take(vec![], vec![0.0; 13]);
            }
            kept = Some((job.clone(), wood.clone()));
            Decision::Stop
        });
        let (job, mut wood) = kept.unwrap();
        let (_, before) = task.known.seat(&wood, Default::default());
        let bears = (0..13).find(|&i| before[i].gap < 1e-3).unwrap();
        let mut cut = vec![0.0; 13];
        cut[bears] = 0.15;
        wood.edge[bears] -= 0.15;
        let (_, after) = task.known.seat(&wood, Default::default());
        let answer = what_if(&job, &cut, &Options::default()).unwrap();
        for i in 0..13 {
            let (now, then) = (answer.before.clearances[i].gap, answer.after.clearances[i].gap);
            assert!((now - before[i].gap).abs() < 0.025, "seed {seed}, station {i}: {now}");
            let room = 0.025 + 3.0 * answer.after_sd[i].gap;
            assert!(room < 0.2 && (then - after[i].gap).abs() < room, "seed {seed}, station {i}: {then}");
        }
    }
}

fn run(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.arg("try").args(arguments).current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap()
}

fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

const PLAIN: &str = "demo-readings/plain";

#[test]
fn the_table_keeps_to_80_columns_and_says_what_it_shows() {
    for demo in ["plain", "shallow", "fitted", "inch", "first-try.csv", "mistyped"] {
        let output = run(&[&format!("demo-readings/{demo}"), "--take", "3:0.1", "--take", "5-6:0,02"]);
        let text = text(&output);
        assert_eq!(output.status.code(), Some(0), "{demo}");
        assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
        for word in ["It bears at station", "closes", "before", "after", "would bear"] {
            assert!(text.contains(word), "{demo}: no {word} in\n{text}");
        }
    }
    assert!(text(&run(&["demo-readings/mistyped"])).contains("Mind:"), "a reading in doubt is named");
    assert!(text(&run(&[PLAIN])).contains("As the rib lies now"));
}

#[test]
fn json_has_before_and_after_in_mm() {
    let json = |path: &str, take: &str| -> Value {
        serde_json::from_slice(&run(&[path, "--take", take, "--json"]).stdout).unwrap()
    };
    let cut = json(PLAIN, "2:0,1");
    assert_eq!(cut["stations"][1]["take_mm"], 0.1);
    assert_eq!(cut["stations"][0]["take_mm"], 0.0);
    assert!(cut["bearings_before"].as_array().unwrap().contains(&"2".into()));
    let lever = cut["leverage"].as_array().unwrap().iter().find(|l| l["bears_at"] == "2").unwrap();
    let at: usize = lever["closes_most_at"].as_str().unwrap().parse().unwrap();
    let change = |key: &str| cut["stations"][at - 1][key].as_f64().unwrap();
    let closed = change("gap_before_mm") - change("gap_after_mm");
    assert!((closed - lever["closes_mm"].as_f64().unwrap()).abs() < 2e-3, "the same seating");
    assert!(cut["closing_forces"][0]["newtons"].as_f64().unwrap() > 0.0);
    let inch = json("demo-readings/inch", "2:0.01");
    assert_eq!(inch["stations"][1]["take_mm"], 0.254);
    assert!(inch["closing_forces"].is_null() && inch["no_force_because"].is_string(), "null, never 0");
}

#[test]
fn a_wrong_cut_is_2_and_a_deep_one_is_pointed_out() {
    for (take, says) in
        [("99:0.1", "no station `99`"), ("3", "expected stations, a colon"), ("3:-1", "above 0")]
    {
        let output = run(&[PLAIN, "--take", take]);
        let error = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
        assert_eq!(output.status.code(), Some(2), "{take}");
        assert!(output.stdout.is_empty() && error.contains(says), "{error}");
    }
    assert!(text(&run(&[PLAIN, "--take", "3:5"])).contains("more than the spare width"));
    assert!(!text(&run(&[PLAIN, "--take", "3:0.5"])).contains("more than the spare width"));
}

#[test]
fn a_general_or_mistyped_name_finds_the_known_woods() {
    let found = ["maple", "Walnutt", "american black walnut", "cherry (old)", "birch"].map(Wood::like);
    let known = ["sugar maple", "black walnut", "black walnut", "black cherry", "yellow birch"];
    assert_eq!(found, known.map(|name| vec![name]));
    for unknown in ["", "ebony", "black ebony", "yew", "oak"] {
        assert!(Wood::like(unknown).is_empty(), "{unknown}");
    }
}

/// The demo joint with other names of its first stations.
fn named(names: &[&str]) -> tempfile::TempDir {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(PLAIN);
    let mut job = ribwright::job::read(&demo).unwrap();
    job.stations.iter_mut().zip(names).for_each(|(s, name)| s.name = (*name).to_owned());
    let dir = tempfile::tempdir().unwrap();
    ribwright::record::write_folder(&job, dir.path()).unwrap();
    dir
}

#[test]
fn stations_go_by_the_makers_names_and_cuts_add_up() {
    let dir = named(&["neck", "a-1", "a-2", "tail: end"]);
    let mut arguments = vec![dir.path().to_str().unwrap(), "--json"];
    for take in ["a-1:0,1", "neck-a-2:0.05", "tail: end:0.2", "a-2-a-1:0.01"] {
        arguments.extend(["--take", take]);
    }
    let answer: Value = serde_json::from_slice(&run(&arguments).stdout).unwrap();
    let taken = |i: usize| answer["stations"][i]["take_mm"].as_f64().unwrap();
    assert_eq!([0, 1, 2, 3, 4].map(taken), [0.05, 0.16, 0.06, 0.2, 0.0]);
}

#[test]
fn what_can_be_read_in_two_ways_is_sent_back() {
    let dir = named(&["1", "2", "1-2"]);
    for (take, says) in [
        ("1-2:0.1", "also a run"),
        ("3:0.1", "stations are 1, 2, 1-2"),
        ("1:0", "above 0"),
        ("1:-0.1", "above 0"),
        ("1:a", "no number"),
        ("1", "such as 6:0.1"),
    ] {
        let output = run(&[dir.path().to_str().unwrap(), "--take", take]);
        let error = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
        assert!(output.status.code() == Some(2) && error.contains(says), "{take}: {error}");
    }
}
