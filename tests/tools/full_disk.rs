//! A disk that is full, or fills up: no table is torn, and what was typed is still there.
#![cfg(unix)]

use std::fs;
use std::io::{Read, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

use libtest_mimic::Trial;
use ribwright::job::Job;
use ribwright::record;
use tempfile::TempDir;

use crate::need::{Need, trials};
use crate::typing::{SECOND, asked, job, planed, read, run, second, spawn, text, until_asked};

const DISK: Need =
    Need { met: || SmallDisk::new().is_some(), wanted: "be allowed to mount a small disk", in_ci: false };

pub fn tests() -> Vec<Trial> {
    trials![DISK; a_full_disk_is_told_and_loses_nothing, a_disk_that_fills_up_while_typing_is_told_and_tried_again]
}

/// A small disk of its own, as long as it lives.
struct SmallDisk {
    at: TempDir,
}

impl SmallDisk {
    /// `None` where no file system can be mounted.
    fn new() -> Option<SmallDisk> {
        let at = tempfile::tempdir().expect("a folder");
        let mount = ["-t", "tmpfs", "-o", "size=96k", "ribwright-test"];
        let mounted = Command::new("mount").args(mount).arg(at.path()).stderr(Stdio::null()).status();
        mounted.is_ok_and(|status| status.success()).then(|| SmallDisk { at })
    }

    fn folder(&self, job: &Job) -> PathBuf {
        let dir = self.at.path().join("joint");
        record::write_folder(job, &dir).expect("written");
        dir
    }

    /// Fills what is left of it.
    fn fill(&self) {
        let mut file = fs::File::create(self.filler()).expect("a file");
        while file.write_all(&[0; 512]).is_ok() {}
    }

    fn filler(&self) -> PathBuf {
        self.at.path().join("filler")
    }

    fn make_room(&self) {
        fs::remove_file(self.filler()).expect("removed");
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.at.path()).status();
    }
}

fn a_full_disk_is_told_and_loses_nothing() {
    let disk = SmallDisk::new().expect("mounted");
    let dir = disk.folder(&job());
    let before = text(&dir, "readings.csv");
    disk.fill();
    // Full from the start: told before anything is typed.
    let said = run("enter", &dir, &[], &SECOND);
    assert_eq!(said.code, Some(1), "{}", said.out);
    assert!(said.err.contains("No space left") && said.err.contains("the disk has room"), "{}", said.err);
    assert!(said.out.is_empty(), "{}", said.out);
    let said = planed(&dir, &["y"]);
    assert_eq!(said.code, Some(1), "{}", said.out);
    assert!(said.err.contains("nothing was written (No space left"), "{}", said.err);
    assert!(!dir.join("strokes.csv").exists());
    assert_eq!(text(&dir, "readings.csv"), before);
    disk.make_room();
    planed(&dir, &["y"]).well();
    run("enter", &dir, &[], &SECOND).well();
    assert_eq!(read(&dir).rounds[1], second());
}

fn a_disk_that_fills_up_while_typing_is_told_and_tried_again() {
    let disk = SmallDisk::new().expect("mounted");
    let dir = disk.folder(&job());
    let before = text(&dir, "readings.csv");
    let mut child = spawn("enter", &dir, &[]);
    let mut out = String::new();
    let type_line = |child: &mut Child, out: &mut String, line: &str| {
        let pipe = child.stdin.as_mut().expect("a pipe");
        pipe.write_all(format!("{line}\n").as_bytes()).expect("typed");
        let questions = asked(out) + 1;
        until_asked(child, out, questions);
    };
    until_asked(&mut child, &mut out, 1);
    for line in &SECOND[..3] {
        type_line(&mut child, &mut out, line);
    }
    disk.fill();
    // Blocks are larger than lines: corrections back and forth fill the draft's last.
    let mut typed = 3;
    while !out.contains("kept only while this program runs") {
        for line in [SECOND[3], "back", SECOND[3], "back"] {
            type_line(&mut child, &mut out, line);
        }
        typed += 1;
        assert!(typed < 200, "the disk never filled up: {out}");
    }
    assert!(out.contains("No space left"), "{out}");
    for line in &SECOND[3..12] {
        type_line(&mut child, &mut out, line);
    }
    // Nor can the round be saved: told, and asked again, with all still there.
    type_line(&mut child, &mut out, "y");
    assert!(out.contains("readings.csv: nothing was written (No space left"), "{out}");
    assert_eq!(text(&dir, "readings.csv"), before);
    disk.make_room();
    child.stdin.take().expect("a pipe").write_all(b"y\n").expect("tried again");
    let mut rest = String::new();
    child.stdout.as_mut().expect("a pipe").read_to_string(&mut rest).expect("text");
    assert!(child.wait().expect("ended").success() && rest.contains("Round 2 is saved."), "{rest}");
    assert_eq!(read(&dir).rounds, [job().rounds[0].clone(), second()]);
    assert!(!dir.join(".round-draft").exists());
}
