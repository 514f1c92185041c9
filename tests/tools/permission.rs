//! Folders and files that may not be read or written: what is said, and that nothing is
//! changed. Whoever may do everything, as the system's administrator, runs the program
//! as a user who may not.
#![cfg(unix)]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use crate::folders::copied;
use crate::need::{Need, trials};
use libtest_mimic::Trial;
use tempfile::TempDir;

/// A copy of a bad case's sound folder and of the program, where anybody may look.
struct Place {
    dir: TempDir,
    other: bool,
}

fn allow(path: &Path, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).expect("set");
}

/// Lets anybody read and write a folder and all below it.
fn open(folder: &Path) {
    allow(folder, 0o777);
    for entry in fs::read_dir(folder).expect("listed").map(|e| e.expect("an entry").path()) {
        if entry.is_dir() { open(&entry) } else { allow(&entry, 0o666) }
    }
}

impl Place {
    /// The place with a folder `it`.
    fn new(folder: &str) -> Place {
        let dir = tempfile::tempdir().expect("a folder");
        allow(dir.path(), 0o777);
        let shut = dir.path().join("shut");
        fs::write(&shut, "").expect("written");
        allow(&shut, 0o000);
        let other = fs::read(&shut).is_ok();
        fs::copy(env!("CARGO_BIN_EXE_ribwright"), dir.path().join("ribwright")).expect("copied");
        allow(&dir.path().join("ribwright"), 0o755);
        copied(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder), &dir.path().join("it"));
        open(&dir.path().join("it"));
        Place { dir, other }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn run(&self, line: &str, input: &str) -> Option<Output> {
        let program = self.path("ribwright");
        let mut command = match self.other {
            true => {
                let mut command = Command::new("setpriv");
                command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]).arg(program);
                command
            }
            false => Command::new(program),
        };
        command.args(line.split_whitespace()).current_dir(self.dir.path());
        let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut child = piped.spawn().ok()?;
        use std::io::Write;
        // One that refuses at once reads nothing.
        let _ = child.stdin.take().map(|mut to| to.write_all(input.as_bytes()));
        child.wait_with_output().ok()
    }

    /// Exit status and what is said, on one line.
    fn said(&self, line: &str, input: &str) -> (i32, String) {
        let output = self.run(line, input).expect("it runs");
        let text = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
        (output.status.code().expect("no signal"), text.trim_end().to_owned())
    }

    /// Every file below `it` with its bytes.
    fn files(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let (mut open, mut found) = (vec![self.path("it")], Vec::new());
        while let Some(folder) = open.pop() {
            for entry in fs::read_dir(folder).expect("listed").map(|e| e.expect("an entry").path()) {
                if entry.is_dir() {
                    open.push(entry);
                } else {
                    found.push((entry.clone(), fs::read(&entry).unwrap_or_default()));
                }
            }
        }
        found.sort();
        found
    }

    /// Makes a folder one that may only be read, with everything in it.
    fn keep(&self, name: &str) {
        let path = self.path(name);
        for entry in fs::read_dir(&path).expect("listed").map(|e| e.expect("an entry").path()) {
            allow(&entry, if entry.is_dir() { 0o555 } else { 0o444 });
        }
        allow(&path, 0o555);
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        // Else an ordinary user could not remove it.
        for name in ["it", "it/joints", "it/joints/02"] {
            let _ = fs::set_permissions(self.path(name), fs::Permissions::from_mode(0o777));
        }
    }
}

fn runs() -> bool {
    Place::new(SOUND).run("--version", "").is_some_and(|o| o.status.success())
}

const OTHER_USER: Need =
    Need { met: runs, wanted: "be a user who may not do everything, or have setpriv", in_ci: true };

pub fn tests() -> Vec<Trial> {
    trials![
        OTHER_USER;
        a_file_that_may_not_be_read_is_told,
        a_folder_that_may_not_be_looked_into_is_told_once,
        parts_of_a_bowl_that_may_not_be_read_are_told,
        what_may_not_be_written_stays_and_is_told,
        pictures_of_a_bowl_that_may_not_be_written_are_told,
        what_may_only_be_read_is_read,
    ]
}

const SOUND: &str = "tests/bad/sound";
const BOWL: &str = "tests/bad/sound-bowl";

fn a_file_that_may_not_be_read_is_told() {
    let place = Place::new(SOUND);
    allow(&place.path("it/readings.csv"), 0o000);
    let says = "error: it/readings.csv: expected a file that may be read, but permission is denied. \
                Next: give yourself permission to read it.";
    assert_eq!(place.said("advise it --json", ""), (2, says.into()));
}

fn a_folder_that_may_not_be_looked_into_is_told_once() {
    let place = Place::new(SOUND);
    allow(&place.path("it"), 0o000);
    let says = "error: it: expected a folder that may be read, but permission is denied. \
                Next: give yourself permission to read it, and what is in it.";
    for command in ["advise", "bowl", "divide"] {
        assert_eq!(place.said(&format!("{command} it"), ""), (2, says.into()), "{command}");
    }
}

fn parts_of_a_bowl_that_may_not_be_read_are_told() {
    let place = Place::new(BOWL);
    for (shut, mode) in [("joints/02", 0o777), ("joints", 0o777), ("girth.csv", 0o666), ("bowl.toml", 0o666)]
    {
        let path = place.path("it").join(shut);
        allow(&path, 0o000);
        let (status, text) = place.said("bowl it --json", "");
        allow(&path, mode);
        let told = format!("error: it/{shut}: expected a");
        assert!(status == 2 && text.starts_with(&told) && text.lines().count() == 1, "{shut}: {text}");
        assert!(text.contains("permission is denied. Next: give yourself permission"), "{text}");
    }
}

fn what_may_not_be_written_stays_and_is_told() {
    let place = Place::new(SOUND);
    place.keep("it");
    let before = place.files();
    for (line, input) in [
        ("new it/bowl --ribs 7 --length 480 --width 348", ""),
        ("report it --into it/report.html", ""),
        ("draw it --into it/pictures", ""),
        ("advise it --pictures it/pictures", ""),
        ("man --into it/man", ""),
        ("enter it", "neighbour\n0\n0\n0\n0\n0\n0\n0\n0\n0\n0\ny\n"),
        ("planed it", "1\ny\n"),
    ] {
        let (status, text) = place.said(line, input);
        assert!(status == 1 && text.contains("it") && text.contains("Next: "), "{line}: {status} {text}");
        assert!(text.to_lowercase().contains("permission"), "{line}: {text}");
        assert_eq!(place.files(), before, "{line}");
    }
}

fn pictures_of_a_bowl_that_may_not_be_written_are_told() {
    let place = Place::new(BOWL);
    place.keep("it");
    let before = place.files();
    for line in ["bowl it --pictures it/pictures", "mark it/joints/01 --pictures it/pictures"] {
        let (status, text) = place.said(line, "");
        let told = "error: it/pictures could not be written (Permission denied";
        assert!(status == 1 && text.starts_with(told), "{line}: {status} {text}");
        assert!(
            text.ends_with("Next: give yourself permission to write there, or choose another folder."),
            "{text}"
        );
        assert_eq!(place.files(), before, "{line}");
    }
}

fn what_may_only_be_read_is_read() {
    let place = Place::new(BOWL);
    place.keep("it");
    place.keep("it/joints/01");
    for line in ["bowl it", "divide it", "mark it/joints/01", "advise it/joints/01", "shim it/joints/01"] {
        assert_eq!(place.said(line, "").0, 0, "{line}");
    }
}
