//! What the tests of typed rounds and strokes share: an invented joint in a fresh
//! folder, and the real program with lines at its input.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::fs;
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use ribwright::job::{self, Against, Angle, Job, Reading, Round, Station};
use ribwright::record::write_folder;
use tempfile::TempDir;

use crate::folders;

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_ribwright");

/// Five stations over 400 mm; round 1 read against the neighbour, with a hump in
/// the middle that plainly wants planing.
pub fn job() -> Job {
    let stations = ["1", "2", "3", "4", "5"].iter().enumerate().map(|(i, name)| Station {
        name: (*name).into(),
        along: 40.0 + 100.0 * i as f64,
        width: 12.0 + 6.0 * (2.0 - (i as f64 - 2.0).abs()),
        bevel: Angle::radians(0.09),
        rise: Some([40.0, 110.0, 140.0, 110.0, 40.0][i]),
        outer_bevel: None,
        inner_bevel: None,
        out_of_plane: None,
    });
    let first = [(-0.9, 0.1), (-0.4, 0.1), (0.0, 0.2), (-0.4, 0.1), (-0.8, 0.1)];
    let stations = stations.collect();
    Job { title: Some("invented joint".into()), stations, rounds: vec![round(&first)], ..Job::default() }
}

/// A round against the neighbour, from overlaps and lifts.
pub fn round(readings: &[(f64, f64)]) -> Round {
    let reading = |(overlap, lift): &(f64, f64)| Reading {
        overlap: Some(*overlap),
        lift: Some(*lift),
        ..Reading::default()
    };
    let readings = readings.iter().map(reading).collect();
    Round { against: Against::Neighbour, rebent: false, readings, strokes: vec![] }
}

pub fn folder(job: &Job) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    write_folder(job, dir.path()).expect("written");
    dir
}

/// A copy of demo readings.
pub fn copied(name: &str) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    folders::copied(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings").join(name), dir.path());
    dir
}

pub fn plain() -> TempDir {
    folder(&job())
}

pub fn read(dir: &Path) -> Job {
    job::read(dir).unwrap_or_else(|problems| panic!("{problems}"))
}

pub fn text(dir: &Path, name: &str) -> String {
    fs::read_to_string(dir.join(name)).unwrap_or_default()
}

/// What the program said, and its exit status.
#[derive(Debug)]
pub struct Said {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Said {
    pub fn of(output: &std::process::Output) -> Said {
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        Said {
            code: output.status.code(),
            out: text(&output.stdout),
            err: text(&output.stderr).replace("\n       ", " "),
        }
    }

    /// Passes if the program succeeded.
    pub fn well(self) -> Said {
        assert_eq!(self.code, Some(0), "{}\n{}", self.out, self.err);
        self
    }

    /// Standard output on one line, however it was wrapped.
    pub fn flat(&self) -> String {
        self.out.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

pub fn spawn(command: &str, dir: &Path, options: &[&str]) -> Child {
    let mut program = Command::new(PROGRAM);
    program.arg(command).arg(dir).args(options);
    program.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("started")
}

/// Runs a command on a folder with lines at its input.
pub fn run(command: &str, dir: &Path, options: &[&str], lines: &[&str]) -> Said {
    let mut child = spawn(command, dir, options);
    let input: String = lines.iter().flat_map(|line| [line, "\n"]).collect();
    let mut pipe = child.stdin.take().expect("a pipe");
    // A program that stops before the end of its input breaks the pipe.
    let _ = pipe.write_all(input.as_bytes());
    drop(pipe);
    Said::of(&child.wait_with_output().expect("ended"))
}

pub fn enter(dir: &Path, lines: &[&str]) -> Said {
    run("enter", dir, &[], lines)
}

pub fn planed(dir: &Path, lines: &[&str]) -> Said {
    run("planed", dir, &[], lines)
}

/// A second round that follows the first, ready to be saved.
pub const SECOND: [&str; 13] =
    ["neighbour", "n", "-0.7", "0.1", "-0.3", "0.15", "0", "0.1", "-0,25", "0,1", "-0.6", "0.1", "y"];

pub fn second() -> Round {
    round(&[(-0.7, 0.1), (-0.3, 0.15), (0.0, 0.1), (-0.25, 0.1), (-0.6, 0.1)])
}

/// The words before each answer: how many questions were asked.
pub fn asked(out: &str) -> usize {
    let marks = ["held against", "bent again since", " (round 1: ", "Save this as"];
    out.lines().filter(|l| marks.iter().any(|mark| l.contains(mark)) && !l.contains("is far from")).count()
}

/// Reads until the program asks its next question.
pub fn until_asked(child: &mut Child, out: &mut String, questions: usize) {
    let mut byte = [0];
    let pipe = child.stdout.as_mut().expect("a pipe");
    let waits = |out: &str| out.ends_with(": ") || out.ends_with("back) ");
    while !(waits(out) && asked(out) == questions) {
        assert_eq!(pipe.read(&mut byte).expect("more"), 1, "it ended: {out}");
        out.push(char::from(byte[0]));
    }
}
