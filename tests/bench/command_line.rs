//! At the command line: numbers, lines at the input, what a failure tells, how long work is told.

use std::io::{self, Write};

use ribwright::cli::Failure;
use ribwright::cli::number::number;
use ribwright::cli::progress::line;
use ribwright::job::Job;
use ribwright::record::JournalError;

use crate::typing::{Said, folder, job, read, run, second, spawn};

#[test]
fn a_comma_and_a_point_mean_the_same() {
    for (text, value) in [("0,5", 0.5), ("0.5", 0.5), ("-1,25", -1.25), ("+3", 3.0), (",5", 0.5)] {
        assert_eq!(number(text), Ok(value));
    }
}

#[test]
fn what_cannot_be_read_exactly_is_refused() {
    for text in ["1,000.5", "1.000,5", "1,2,3", "", "-", "nan", "inf", "1e3", "0,5mm", "--1"] {
        assert!(number(text).is_err(), "{text}");
    }
}

/// Bytes as they are at the input.
fn entered(dir: &std::path::Path, input: &[u8]) -> Said {
    let mut child = spawn("enter", dir, &[]);
    child.stdin.take().expect("a pipe").write_all(input).expect("written");
    Said::of(&child.wait_with_output().expect("ended"))
}

/// A mark in front, blanks, CRLF and what is no UTF-8: each line is what was meant, up to the end.
#[test]
fn lines_come_without_blanks_around_them_until_the_end() {
    let dir = folder(&job());
    let input = b"\xef\xbb\xbf neighbour \r\nn\n -0,7\r\n\t0.1 \r\n-0.3\n\nlast\xff";
    let said = entered(dir.path(), input);
    assert!(said.out.contains("'last\u{fffd}' is no number"), "{}", said.out);
    assert!(!said.out.contains("'\u{feff}"), "{}", said.out);
    let said = entered(dir.path(), b"y\n0\n0.1\n-0.25\n0.1\n-0.6\n0.1\ny\n").well();
    let readings = &read(dir.path()).rounds[1].readings;
    let told: Vec<_> = readings[..2].iter().map(|r| (r.overlap, r.lift)).collect();
    assert_eq!(told, [(Some(-0.7), Some(0.1)), (Some(-0.3), None)], "{}", said.out);
}

#[test]
fn long_work_is_announced_and_other_work_is_not() {
    let rounds = |count: usize| {
        let rounds = [vec![job().rounds[0].clone()], vec![second(); count - 1]].concat();
        let dir = folder(&Job { rounds, ..job() });
        run("advise", dir.path(), &["--json"], &[]).well().err
    };
    assert!(!rounds(23).contains("longer than usual"));
    assert!(rounds(24).starts_with("24 rounds at 5 stations: this takes longer than usual"));
}

#[test]
fn the_bar_fills_and_stays_as_wide() {
    assert_eq!(line(0, 8, "runs"), format!("[{}] 0 of 8 runs", " ".repeat(40)));
    assert_eq!(line(8, 8, "runs"), format!("[{}] 8 of 8 runs", "=".repeat(40)));
    assert_eq!(line(3, 8, "runs").len(), line(8, 8, "runs").len());
}

fn writing(kind: io::ErrorKind) -> Failure {
    Failure::Other(anyhow::Error::from(io::Error::from(kind)).context("writing"))
}

#[test]
fn a_cause_is_told_once() {
    let cause = io::Error::from(io::ErrorKind::PermissionDenied);
    let quoted = JournalError::Io { file: "a".into(), source: cause };
    assert_eq!(Failure::journal(quoted).told().matches("permission denied").count(), 1);
    assert_eq!(writing(io::ErrorKind::PermissionDenied).told(), "writing: permission denied");
}

#[test]
fn a_closed_pipe_is_told_from_other_failures() {
    assert!(writing(io::ErrorKind::BrokenPipe).is_closed_pipe());
    assert!(!writing(io::ErrorKind::PermissionDenied).is_closed_pipe());
    assert!(!Failure::wrong("something else").is_closed_pipe());
}
