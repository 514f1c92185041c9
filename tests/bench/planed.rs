//! `ribwright planed`: the strokes taken after the last round, as advised or
//! changed, recorded together or not at all.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;

use crate::typing::{self, PROGRAM, folder, job, plain, planed, read, run, spawn, text};
use rexpect::session::spawn_command;
use ribwright::advice::{self, Options, Verdict};
use ribwright::job::{Job, RoundNumber, Stroke};
use ribwright::record::{self, NewStroke};

/// What the advice says for the plain joint, by names.
fn advised(job: &Job) -> Vec<NewStroke> {
    let advice = advice::advise(job, &Options::default());
    assert_eq!(advice.verdict, Verdict::Plane, "{}", advice.reason);
    assert!(!advice.strokes.is_empty());
    advice.strokes.iter().map(|s| s.named(job)).collect()
}

fn recorded(dir: &Path) -> Vec<NewStroke> {
    let job = read(dir);
    job.rounds.last().map(|r| r.strokes.iter().map(|s| s.named(&job)).collect()).unwrap_or_default()
}

fn stroke(plane: &str, from: &str, to: &str, count: u32, shaving: Option<(&str, &str)>) -> NewStroke {
    let shaving = shaving.map(|(a, b)| (a.to_string(), b.to_string()));
    NewStroke { plane: plane.into(), from: from.into(), to: to.into(), count, shaving, note: None }
}

#[test]
fn one_key_records_them_as_advised() {
    for answer in ["", "y", "Yes"] {
        let dir = plain();
        let said = planed(dir.path(), &[answer]).well();
        assert_eq!(recorded(dir.path()), advised(&job()), "{answer}");
        assert!(said.flat().contains("Advised after round 1: 1. long, station"), "{}", said.out);
        let next = format!("Next: read again: ribwright enter {}\n", dir.path().display());
        assert!(said.out.ends_with(&next), "{}", said.out);
    }
}

#[test]
fn an_option_does_it_without_a_question() {
    let dir = plain();
    let said = run("planed", dir.path(), &["--as-advised"], &[]).well();
    assert_eq!(recorded(dir.path()), advised(&job()));
    assert!(said.out.starts_with("Recorded after round 1: "), "{}", said.out);
}

#[test]
fn nothing_planed_is_nothing_recorded() {
    for lines in [&["n"][..], &["no"], &["stop"], &["c", "stop"], &["c", "", "stop"]] {
        let dir = plain();
        let said = planed(dir.path(), lines).well();
        assert!(said.out.contains("Nothing was recorded."), "{lines:?}: {}", said.out);
        assert!(!dir.path().join("strokes.csv").exists(), "{lines:?}");
    }
}

#[test]
fn changes_are_told_stroke_by_stroke() {
    let dir = plain();
    let count = advised(&job()).len();
    // The first with another count, the rest left out, and two more.
    let mut lines = vec!["c", "7 unbroken 2-3"];
    let first = stroke("long", "1", "5", 1, None);
    let whole = NewStroke { count: 7, ..advised(&job())[0].clone() };
    let inside = whole.from.as_str() <= "2" && whole.to.as_str() >= "3";
    if !inside {
        lines[1] = "7";
    }
    lines.extend(vec!["skip"; count - 1]);
    lines.extend(["long 1-5", "long 2-4 x3 unbroken 2-3", "", "y"]);
    planed(dir.path(), &lines).well();
    let shaving = inside.then(|| ("2".to_string(), "3".to_string()));
    let expected = vec![NewStroke { shaving, ..whole }, first, stroke("long", "2", "4", 3, Some(("2", "3")))];
    assert_eq!(recorded(dir.path()), expected);
}

#[test]
fn another_stroke_can_take_the_place_of_an_advised_one() {
    let dir = plain();
    let count = advised(&job()).len();
    let mut lines = vec!["c", "9 unbroken", "back", "back", "long 1-3 x2"];
    lines.extend(vec!["0"; count - 1]);
    lines.extend(["long 4-5", "back", "", "n"]);
    let said = planed(dir.path(), &lines).well();
    assert!(!dir.path().join("strokes.csv").exists(), "not confirmed");
    assert!(
        said.flat().contains("Planed, in this order: 1. long, station 1 to 3, 2 strokes (0.16 mm) Record")
    );
    let last = lines.len() - 1;
    lines[last] = "y";
    planed(dir.path(), &lines).well();
    assert_eq!(recorded(dir.path()), [stroke("long", "1", "3", 2, None)]);
}

#[test]
fn unknown_names_are_named_with_the_nearest() {
    let dir = plain();
    let mut lines = vec!["maybe", "c"];
    lines.extend(vec!["skip"; advised(&job()).len()]);
    lines.extend(["lonk 1-5", "long 1-6", "long 5-1", "long 1-5 x2", "", "y"]);
    let said = planed(dir.path(), &lines).well();
    for says in [
        "Answer y (as advised), c (changed) or n (nothing was planed).",
        "'lonk': expected a plane that joint.toml describes. Next: write 'long'",
        "'6': expected the name of a station of this joint.",
        "write 1-5",
    ] {
        assert!(said.flat().contains(says), "{says}: {}", said.out);
    }
    assert_eq!(recorded(dir.path()), [stroke("long", "1", "5", 2, None)]);
}

#[test]
fn without_a_round_there_is_nothing_to_plane_after() {
    let dir = folder(&Job { rounds: vec![], ..job() });
    for options in [&[][..], &["--as-advised"]] {
        let said = run("planed", dir.path(), options, &["y"]);
        assert_eq!(said.code, Some(2));
        assert!(said.err.contains("there is none to plane after. Next: ribwright enter "), "{}", said.err);
        assert!(!dir.path().join("strokes.csv").exists());
    }
}

#[test]
fn strokes_recorded_already_stay_and_more_may_follow() {
    let dir = plain();
    planed(dir.path(), &["y"]).well();
    let before = text(dir.path(), "strokes.csv");
    let said = run("planed", dir.path(), &["--as-advised"], &[]);
    assert_eq!(said.code, Some(2));
    assert!(
        said.err.contains("recorded after round 1 already, so nothing was recorded. Next: "),
        "{}",
        said.err
    );
    for lines in [&[""][..], &["n"], &["y", ""], &["y", "long 1-5", "", "n"]] {
        let said = planed(dir.path(), lines).well();
        assert!(said.flat().contains("Strokes are recorded after round 1 already: 1. long"), "{}", said.out);
        assert_eq!(text(dir.path(), "strokes.csv"), before, "{lines:?}");
    }
    planed(dir.path(), &["y", "long 1-5 x2", "", "y"]).well();
    let mut both = advised(&job());
    both.push(stroke("long", "1", "5", 2, None));
    assert_eq!(recorded(dir.path()), both);
    assert!(text(dir.path(), "strokes.csv").starts_with(&before));
}

#[test]
fn where_nothing_is_advised_that_is_said() {
    // One round that fits, read twice over: nothing to plane.
    let flat = typing::round(&[(0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0), (0.0, 0.0)]);
    let dir = folder(&Job { rounds: vec![flat.clone(), flat.clone(), flat], ..job() });
    let advice = advice::advise(&read(dir.path()), &Options::default());
    assert_eq!(advice.verdict, Verdict::Fitted, "{}", advice.reason);
    let said = run("planed", dir.path(), &["--as-advised"], &[]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("no strokes are advised after round 3"), "{}", said.err);
    assert!(said.err.contains("Fitted: stop planing."), "{}", said.err);
    let said = planed(dir.path(), &[""]).well();
    assert!(said.flat().contains("No strokes are advised after round 3. Fitted"), "{}", said.out);
    assert!(recorded(dir.path()).is_empty());
    planed(dir.path(), &["y", "long 1-5", "", "y"]).well();
    assert_eq!(recorded(dir.path()), [stroke("long", "1", "5", 1, None)]);
}

#[test]
fn input_that_ends_early_records_nothing() {
    let dir = plain();
    let mut lines = vec!["c"];
    lines.extend(vec![""; advised(&job()).len()]);
    lines.extend(["long 1-5", ""]);
    for end in 0..=lines.len() {
        let said = planed(dir.path(), &lines[..end]);
        assert_eq!(said.code, Some(1), "{end}: {}", said.out);
        assert!(said.err.contains("nothing was recorded"), "{}", said.err);
        assert!(!dir.path().join("strokes.csv").exists(), "{end}");
    }
}

#[test]
fn a_faulty_folder_is_told_and_left_alone() {
    let dir = plain();
    fs::write(dir.path().join("strokes.csv"), "round,plane,from,to,count\n1,long,1,6,2\n2,long,1,5,1\n")
        .expect("written");
    let before = text(dir.path(), "strokes.csv");
    let said = run("planed", dir.path(), &["--as-advised"], &[]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("strokes.csv, row 2, column to: found '6'; expected"), "{}", said.err);
    assert!(said.err.contains("strokes.csv, row 3, column round: found '2'"), "{}", said.err);
    assert_eq!(text(dir.path(), "strokes.csv"), before);
    let table = dir.path().join("readings.csv");
    let said = run("planed", &table, &["--as-advised"], &[]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("expected a joint's folder"), "{}", said.err);
}

#[test]
fn who_is_overtaken_is_told_and_nothing_is_doubled() {
    let dir = plain();
    let mut child = spawn("planed", dir.path(), &[]);
    let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
    let mut line = String::new();
    out.read_line(&mut line).expect("it lists what is advised");
    record::add_strokes(dir.path(), RoundNumber::FIRST, &[stroke("long", "1", "5", 1, None)]).expect("added");
    child.stdin.take().expect("a pipe").write_all(b"y\n").expect("answered");
    let said = typing::Said::of(&child.wait_with_output().expect("ended"));
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("strokes were added by another program meanwhile"), "{}", said.err);
    assert_eq!(recorded(dir.path()), [stroke("long", "1", "5", 1, None)]);
}

#[test]
fn of_many_at_once_one_records() {
    let dir = plain();
    let children: Vec<_> = (0..8).map(|_| spawn("planed", dir.path(), &["--as-advised"])).collect();
    let codes: Vec<_> = children.into_iter().map(|mut c| c.wait().expect("ended").code()).collect();
    assert_eq!(codes.iter().filter(|c| **c == Some(0)).count(), 1, "{codes:?}");
    assert_eq!(recorded(dir.path()), advised(&job()));
}

#[test]
fn at_a_terminal_one_key_will_do() {
    let dir = plain();
    let mut program = std::process::Command::new(PROGRAM);
    program.arg("planed").arg(dir.path());
    let mut terminal = spawn_command(program, Some(10_000)).expect("a terminal");
    terminal.exp_string("Planed as advised?").expect("asked");
    terminal.send_line("").expect("answered");
    terminal.exp_string("Recorded after round 1").expect("recorded");
    terminal.exp_eof().expect("ended");
    assert_eq!(recorded(dir.path()), advised(&job()));
}

#[test]
fn the_circle_closes() {
    let dir = plain();
    planed(dir.path(), &[""]).well();
    let said = typing::enter(dir.path(), &typing::SECOND).well();
    assert!(!said.out.contains("no strokes are recorded"), "{}", said.out);
    let job = read(dir.path());
    assert_eq!((job.rounds.len(), job.rounds[1].readings.clone()), (2, typing::second().readings));
    let strokes: Vec<&Stroke> = job.rounds[0].strokes.iter().collect();
    assert_eq!(strokes.len(), advised(&typing::job()).len());
    let said = run("advise", dir.path(), &[], &[]).well();
    assert!(said.out.contains("round 2"), "{}", said.out);
}

/// Where one plane exists its name says nothing.
#[test]
fn a_run_and_a_count_will_do_where_one_plane_exists() {
    let dir = plain();
    let mut lines = vec!["?", "c", "?"];
    lines.extend(vec!["skip"; advised(&job()).len()]);
    lines.extend(["?", "1-4 4", "2-3", "long 1-5 3", "2-5 x2", "", "y"]);
    let said = planed(dir.path(), &lines).well();
    for says in ["c: go through them one by one.", "Enter: that is all. back: take the last one away."] {
        assert!(said.flat().contains(says), "{says}: {}", said.out);
    }
    assert_eq!(said.flat().matches("For each stroke: Enter if it was planed so").count(), 2, "{}", said.out);
    let expected = [("1", "4", 4), ("2", "3", 1), ("1", "5", 3), ("2", "5", 2)]
        .map(|(a, b, n)| stroke("long", a, b, n, None));
    assert_eq!(recorded(dir.path()), expected);
}
