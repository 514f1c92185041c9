//! The program killed at any moment of `enter` and `planed`, two of them at once, and a
//! folder that can't be written: no table is torn, no confirmed round is lost, and what
//! was typed is still there.
#![cfg(unix)]

use std::fs;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use crate::typing::{
    PROGRAM, SECOND, Said, asked, folder, job, plain, planed, read, run, second, spawn, text, until_asked,
};

/// Killed runs of each kind: hundreds in all, in some seconds.
const RUNS: u32 = 75;

/// Kills the child and gives what it had said.
fn killed(mut child: Child) -> String {
    // It may have ended by itself just now.
    let _ = child.kill();
    child.wait().expect("gone");
    let mut out = String::new();
    child.stdout.take().expect("a pipe").read_to_string(&mut out).expect("text");
    out
}

fn feed(child: &mut Child, lines: &[&str]) {
    let input: String = lines.iter().flat_map(|line| [line, "\n"]).collect();
    child.stdin.take().expect("a pipe").write_all(input.as_bytes()).expect("all fits into the pipe");
}

/// How long a run takes that nobody kills.
fn whole_run(start: impl Fn(&Path) -> Child) -> Duration {
    let time = || {
        let dir = plain();
        let from = Instant::now();
        start(dir.path()).wait_with_output().expect("ended");
        from.elapsed()
    };
    (0..5).map(|_| time()).max().unwrap_or_default()
}

/// A spread of delays over a run and a little more, in an order that looks random
/// (multiples of the golden section).
fn delays(whole: Duration) -> impl Iterator<Item = Duration> {
    (0..RUNS).map(move |n| whole.mul_f64(1.1 * (f64::from(n) * 0.618_033_988_749_895).fract()))
}

/// After a kill: the table is the old one or the new one, whole, and what was typed
/// comes to the same round in the end.
fn old_or_new(dir: &Path, before: &str, out: &str) {
    let table = text(dir, "readings.csv");
    assert!(table.starts_with(before), "torn: {table}");
    let saved = read(dir).rounds.len() == 2;
    assert!(saved || table == before, "half a round: {table}");
    assert!(saved || !out.contains("is saved"), "a round that was told to be saved is lost: {out}");
    let kept = text(dir, ".round-draft").matches('\n').count();
    // Each answer was kept before the next question was asked; the first line of the
    // draft is the round's number.
    assert!(saved || kept >= asked(out), "{kept} lines kept, but: {out}");
    if !saved {
        let answered = kept.saturating_sub(1);
        run("enter", dir, &["--continue"], &SECOND[answered..]).well();
    }
    assert_eq!(read(dir).rounds, [job().rounds[0].clone(), second()]);
    assert_only_tables(dir);
}

/// Nothing is left behind once a whole run has followed, except a draft whose round
/// is saved.
fn assert_only_tables(dir: &Path) {
    let known = [
        "joint.toml",
        "stations.csv",
        "readings.csv",
        "strokes.csv",
        "confirmed.log",
        ".lock",
        ".round-draft",
    ];
    for entry in fs::read_dir(dir).expect("listed").flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        assert!(known.contains(&name.as_str()) || name.starts_with(".new-table-"), "{name}");
    }
    assert!(ribwright::record::lost(dir, &read(dir)).is_nothing(), "what was confirmed is there");
}

#[test]
fn enter_killed_at_random_loses_nothing() {
    let start = |dir: &Path| {
        let mut child = spawn("enter", dir, &[]);
        feed(&mut child, &SECOND);
        child
    };
    let whole = whole_run(start);
    let before = text(plain().path(), "readings.csv");
    let mut saved = 0;
    for delay in delays(whole) {
        let dir = plain();
        let child = start(dir.path());
        thread::sleep(delay);
        let out = killed(child);
        saved += u32::from(read(dir.path()).rounds.len() == 2);
        old_or_new(dir.path(), &before, &out);
    }
    assert!(saved > 0 && saved < RUNS, "{saved} of {RUNS} came to the end: the delays are no test");
}

#[test]
fn enter_killed_at_every_step_keeps_every_answer() {
    let before = text(plain().path(), "readings.csv");
    for steps in 0..SECOND.len() {
        let dir = plain();
        let mut child = spawn("enter", dir.path(), &[]);
        let mut out = String::new();
        for (i, line) in SECOND[..steps].iter().enumerate() {
            until_asked(&mut child, &mut out, i + 1);
            let pipe = child.stdin.as_mut().expect("a pipe");
            pipe.write_all(format!("{line}\n").as_bytes()).expect("typed");
        }
        until_asked(&mut child, &mut out, steps + 1);
        killed(child);
        assert_eq!(text(dir.path(), ".round-draft").lines().count(), steps + 1, "step {steps}");
        assert_eq!(text(dir.path(), "readings.csv"), before);
        old_or_new(dir.path(), &before, &out);
    }
}

#[test]
fn enter_killed_about_the_moment_of_saving_saves_once() {
    let before = text(plain().path(), "readings.csv");
    // All typed, at the last question: only the confirmation is lacking.
    let ready = |dir: &Path| {
        run("enter", dir, &[], &SECOND[..12]);
        let (mut child, mut out) = (spawn("enter", dir, &["--continue"]), String::new());
        until_asked(&mut child, &mut out, 1);
        (child, out)
    };
    let confirm = |child: &mut Child| {
        child.stdin.as_mut().expect("a pipe").write_all(b"y\n").expect("confirmed");
        Instant::now()
    };
    let (dir, mut saved) = (plain(), 0);
    let mut child = ready(dir.path()).0;
    let from = confirm(&mut child);
    child.wait_with_output().expect("ended");
    for delay in delays(from.elapsed()) {
        let dir = plain();
        let (mut child, mut out) = ready(dir.path());
        confirm(&mut child);
        thread::sleep(delay);
        out.push_str(&killed(child));
        let now = read(dir.path()).rounds.len();
        assert!(now == 2 || !out.contains("is saved"), "{out}");
        assert!(text(dir.path(), "readings.csv").starts_with(&before));
        saved += u32::from(now == 2);
        // A draft that is left goes on to the same round, or is known to be saved.
        let said = run("enter", dir.path(), &["--continue"], if now == 2 { &[] } else { &["y"] });
        assert_eq!(read(dir.path()).rounds, [job().rounds[0].clone(), second()], "{}", said.out);
    }
    assert!(saved > 0 && saved < RUNS, "{saved} of {RUNS} were saved: the delays are no test");
}

#[test]
fn planed_killed_at_random_records_all_or_nothing() {
    let start = |dir: &Path| {
        let mut child = spawn("planed", dir, &[]);
        feed(&mut child, &["y"]);
        child
    };
    let whole_dir = plain();
    planed(whole_dir.path(), &["y"]).well();
    let whole = text(whole_dir.path(), "strokes.csv");
    let mut recorded = 0;
    for delay in delays(whole_run(start)) {
        let dir = plain();
        let child = start(dir.path());
        thread::sleep(delay);
        let out = killed(child);
        let now = text(dir.path(), "strokes.csv");
        assert!(now.is_empty() || now == whole, "torn: {now}");
        assert!(!now.is_empty() || !out.contains("Recorded after"), "{out}");
        recorded += u32::from(!now.is_empty());
        if now.is_empty() {
            planed(dir.path(), &["y"]).well();
        }
        assert_eq!(text(dir.path(), "strokes.csv"), whole);
        assert_eq!(read(dir.path()).rounds[0].readings, job().rounds[0].readings);
        assert_only_tables(dir.path());
    }
    assert!(recorded > 0 && recorded < RUNS, "{recorded} of {RUNS} were recorded: the delays are no test");
}

/// The program as a user without rights, whoever runs the test: a copy of it in a
/// folder that everyone may read.
fn without_rights(command: &str, dir: &Path, lines: &[&str]) -> Said {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let place = tempfile::tempdir().expect("a folder");
    let copy = place.path().join("program");
    fs::copy(PROGRAM, &copy).expect("copied");
    for path in [place.path(), copy.as_path()] {
        fs::set_permissions(path, fs::Permissions::from_mode(0o755)).expect("set");
    }
    let mut program = Command::new(copy);
    program.arg(command).arg(dir).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    if fs::metadata(place.path()).expect("there").uid() == 0 {
        program.uid(65_534).current_dir("/");
    }
    let mut child = program.spawn().expect("started");
    let input: String = lines.iter().flat_map(|line| [line, "\n"]).collect();
    // It may end before it has read all.
    let _ = child.stdin.take().expect("a pipe").write_all(input.as_bytes());
    Said::of(&child.wait_with_output().expect("ended"))
}

#[test]
fn a_folder_that_can_not_be_written_is_told_before_anything_is_typed() {
    use std::os::unix::fs::PermissionsExt;
    let dir = plain();
    fs::set_permissions(dir.path(), fs::Permissions::from_mode(0o555)).expect("set");
    for (command, lines) in [("enter", &SECOND[..]), ("planed", &["y"])] {
        let said = without_rights(command, dir.path(), lines);
        assert_eq!(said.code, Some(1), "{command}: {}", said.out);
        assert!(said.err.contains("Permission denied"), "{}", said.err);
        assert!(said.err.contains("Next: check that folder and file may be written"), "{}", said.err);
        assert!(command == "planed" || said.out.is_empty(), "{}", said.out);
    }
    assert_eq!(read(dir.path()).rounds, job().rounds);
    fs::set_permissions(dir.path(), fs::Permissions::from_mode(0o755)).expect("set");
}

#[test]
fn of_two_who_save_at_once_none_tears_the_table() {
    for _ in 0..20 {
        let dir = folder(&job());
        let mut children = [spawn("enter", dir.path(), &[]), spawn("enter", dir.path(), &[])];
        for child in &mut children {
            // The one who comes second may have gone before it has read all.
            let input: String = SECOND.iter().flat_map(|line| [line, "\n"]).collect();
            let _ = child.stdin.take().expect("a pipe").write_all(input.as_bytes());
        }
        let said = children.map(|child| Said::of(&child.wait_with_output().expect("ended")));
        let saved = said.iter().filter(|s| s.code == Some(0)).count();
        let refused = said.iter().filter(|s| s.code == Some(1) && s.err.contains("another program")).count();
        // They may also have come one after the other: then there are two rounds.
        assert!(saved >= 1 && saved + refused == 2, "{said:?}");
        assert_eq!(read(dir.path()).rounds.len(), 1 + saved);
        assert!(read(dir.path()).rounds[1..].iter().all(|r| *r == second()));
    }
}
