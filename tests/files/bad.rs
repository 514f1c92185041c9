//! Deliberately bad input, each with what the program says about it, pinned and
//! reviewed: would a woodworker know what to do next?
//!
//! A case is a folder in `tests/bad`. What it holds takes the place of the files
//! in `tests/bad/sound`; `absent.txt` names those left out, a `table.csv` stands
//! alone, and `command.txt` holds another command line than `advise CASE`.
//! `expected.txt` is the exit status and what is said; where an answer is given, its
//! verdict and warnings. A case `bowl-…` is a bowl: what it holds takes the place of
//! what is in `tests/bad/sound-bowl`, and its command is `bowl CASE` unless it has another.
//! When words have changed on purpose:
//!
//! ```sh
//! cargo test --test files bad -- --ignored
//! git diff tests/bad
//! ```

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use crate::folders::copied;
use serde_json::Value;
use tempfile::TempDir;

fn bad() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad")
}

fn cases() -> Vec<String> {
    let entries = fs::read_dir(bad()).expect("listed").map(|e| e.expect("an entry").file_name());
    let mut names: Vec<String> = entries.map(|n| n.into_string().expect("UTF-8")).collect();
    names.retain(|n| !n.starts_with("sound"));
    names.sort();
    names
}

/// What a case says about itself.
const NOTES: [&str; 3] = ["expected.txt", "absent.txt", "command.txt"];

/// A folder to work in, with the case laid out in it.
fn laid_out(name: &str) -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    let (case, to) = (bad().join(name), dir.path().join(name));
    if name.starts_with("bowl-") {
        copied(&bad().join("sound-bowl"), &to);
    } else if !case.join("table.csv").exists() {
        copied(&bad().join("sound"), &to);
    }
    let absent = fs::read_to_string(case.join("absent.txt")).unwrap_or_default();
    for path in absent.lines().map(|a| to.join(a)) {
        let removed = if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
        removed.expect("removed");
    }
    copied(&case, &to);
    NOTES.iter().for_each(|n| drop(fs::remove_file(to.join(n))));
    dir
}

fn run(dir: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.current_dir(dir).args(arguments).env("COLUMNS", "100").output().expect("it runs")
}

/// What the program says about a case.
fn said(name: &str) -> String {
    let dir = laid_out(name);
    let line = fs::read_to_string(bad().join(name).join("command.txt"));
    let alone = dir.path().join(name).join("table.csv").exists();
    let command = if name.starts_with("bowl-") { "bowl" } else { "advise" };
    let usual = format!("{command} {name}{} --json", if alone { "/table.csv" } else { "" });
    let line = line.unwrap_or(usual);
    summary(&run(dir.path(), &line.split_whitespace().collect::<Vec<_>>()))
}

/// The exit status, and the errors or the essence of the answer.
fn summary(output: &Output) -> String {
    let status = output.status.code().expect("no signal");
    let errors = String::from_utf8(output.stderr.clone()).expect("UTF-8").replace("\n       ", " ");
    let text = String::from_utf8(output.stdout.clone()).expect("UTF-8");
    let answer = match serde_json::from_str::<Value>(&text) {
        Ok(answer) => essence(&answer),
        // What to do now stands first.
        Err(_) if output.status.success() => text.split_inclusive('\n').take_while(|l| *l != "\n").collect(),
        Err(_) => text,
    };
    format!("exit status {status}\n{errors}{answer}")
}

/// Verdict, what can't be told and warnings; figures belong to other tests.
fn essence(answer: &Value) -> String {
    let word = |value: &Value| value.as_str().expect("text").to_owned();
    let said = |key: &str| answer.get(key).and_then(Value::as_str).map(|text| format!("{key}: {text}\n"));
    if let Some(why) = answer.get("no_force_because") {
        return format!("no force because: {}\n", word(why));
    }
    let mut lines = Vec::new();
    if let Some(verdict) = answer.get("verdict") {
        lines.push(format!("verdict: {}", word(verdict)));
    }
    let told = ["next", "no_widths_because"].into_iter().filter_map(said).map(|l| l.trim_end().to_owned());
    let told = told.filter(|l| !l.starts_with("next: Joint "));
    lines.extend(told);
    if let Some(off) = answer.get("off").and_then(Value::as_array) {
        let one = |o: &Value| format!("off: {} at station {}", word(&o["column"]), word(&o["station"]));
        lines.extend(off.iter().map(one));
    }
    if answer.get("verdict").is_some_and(|v| v == "no_answer" || v == "read_again") {
        lines.push(format!("reason: {}", word(&answer["reason"])));
    }
    for warning in answer["warnings"].as_array().unwrap_or(&Vec::new()) {
        lines.push(format!("warning {}: {}", word(&warning["code"]), word(&warning["text"])));
    }
    lines.join("\n") + "\n"
}

#[test]
fn each_says_what_is_pinned() {
    let mut wrong = Vec::new();
    for name in cases() {
        let pinned = fs::read_to_string(bad().join(&name).join("expected.txt")).unwrap_or_default();
        let said = said(&name);
        if said != pinned.replace("\r\n", "\n") {
            wrong.push(format!("{name}:\n{said}\npinned:\n{pinned}"));
        }
    }
    assert!(wrong.is_empty(), "{} differ; see the head of this file\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn there_are_three_hundred_and_each_points_to_the_next_step() {
    let cases = cases();
    assert!(cases.len() >= 300, "{}", cases.len());
    for name in cases.iter().filter(|n| !bad().join(n).join("command.txt").exists()) {
        let pinned = fs::read_to_string(bad().join(name).join("expected.txt")).expect("pinned");
        let refused = pinned.starts_with("exit status 2\n");
        assert!(refused || pinned.starts_with("exit status 0\n"), "{name}: {pinned}");
        assert!(!refused || pinned.contains("Next: "), "{name}: {pinned}");
        assert!(pinned.lines().count() <= 8, "{name}: too many words\n{pinned}");
        let longest = pinned.lines().map(|l| l.chars().count()).max().unwrap_or(0);
        assert!(longest < 400, "{name}: a line of {longest}");
    }
}

#[test]
fn the_sound_folder_is_sound() {
    let output = run(&bad(), &["advise", "sound", "--json"]);
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!((output.status.code(), answer["verdict"].as_str()), (Some(0), Some("plane")), "{answer}");
}

#[test]
fn the_sound_bowl_is_sound() {
    for command in ["bowl sound-bowl", "divide sound-bowl", "mark sound-bowl/joints/01", "moves sound-bowl"] {
        let line: Vec<&str> = command.split(' ').chain(["--json"]).collect();
        let output = run(&bad(), &line);
        let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        let warned = answer.get("warnings").and_then(Value::as_array).is_some_and(|w| !w.is_empty());
        assert!(output.status.code() == Some(0) && !warned, "{command}: {answer}");
    }
}

#[test]
#[ignore = "changes tests/bad"]
fn write_what_is_said_anew() {
    for name in cases() {
        fs::write(bad().join(&name).join("expected.txt"), said(&name)).expect("written");
    }
}

/// Runs `advise` on the sound folder after `spoil` has had it, for at most a minute
/// and within 1 GiB where the shell can see to that.
fn spoilt(spoil: impl Fn(&Path)) -> String {
    let dir = laid_out("readings-none-yet");
    let folder = dir.path().join("joint");
    fs::rename(dir.path().join("readings-none-yet"), &folder).expect("renamed");
    fs::copy(bad().join("sound/readings.csv"), folder.join("readings.csv")).expect("copied");
    spoil(&folder);
    advised(dir.path(), "joint")
}

fn advised(dir: &Path, path: &str) -> String {
    let start = Instant::now();
    let program = env!("CARGO_BIN_EXE_ribwright");
    let limited = "ulimit -v 1048576 || exit 3; exec \"$0\" advise \"$1\" --json";
    let output = Command::new("sh")
        .args(["-c", limited, program, path])
        // Each arena and stack of a thread takes addresses that it never uses.
        .envs([("MALLOC_ARENA_MAX", "1"), ("RAYON_NUM_THREADS", "2")])
        .current_dir(dir)
        .output()
        .expect("it runs");
    assert!(start.elapsed() < Duration::from_secs(60), "{:?}", start.elapsed());
    summary(&output)
}

#[cfg(unix)]
mod made {
    //! What can't be kept in a folder of files.

    use std::os::unix::fs::symlink;

    use super::*;

    fn replaced(path: &Path) {
        fs::remove_file(path).expect("removed");
    }

    #[test]
    fn a_pipe_is_not_waited_for() {
        let said = spoilt(|joint| {
            replaced(&joint.join("readings.csv"));
            let made = Command::new("mkfifo").arg(joint.join("readings.csv")).status().expect("it runs");
            assert!(made.success());
        });
        let says = "error: joint/readings.csv: expected a plain file, but this is a pipe or a device. \
                    Next: copy it to a plain file first.";
        assert_eq!(said, format!("exit status 2\n{says}\n"));
    }

    #[test]
    fn a_device_is_not_read() {
        for device in ["/dev/zero", "/dev/null", "/dev/full"] {
            let said = spoilt(|joint| {
                replaced(&joint.join("joint.toml"));
                symlink(device, joint.join("joint.toml")).expect("linked");
            });
            assert!(
                said.contains("joint.toml: expected a plain file, but this is a pipe or a device"),
                "{said}"
            );
        }
        let said = advised(&bad(), "/dev/zero");
        assert!(said.contains("/dev/zero: expected a plain file"), "{said}");
    }

    #[test]
    fn links_in_a_circle_are_told() {
        let said = spoilt(|joint| {
            replaced(&joint.join("readings.csv"));
            symlink("readings.csv", joint.join("readings.csv")).expect("linked");
        });
        let says = "error: joint/readings.csv: expected a file, but here are links that lead in a circle. \
                    Next: remove the links, and put the file itself there.";
        assert_eq!(said, format!("exit status 2\n{says}\n"));
        let dir = tempfile::tempdir().expect("a folder");
        symlink("b", dir.path().join("a")).expect("linked");
        symlink("a", dir.path().join("b")).expect("linked");
        assert!(advised(dir.path(), "a").contains("links that lead in a circle"));
    }

    #[test]
    fn a_folder_for_a_file_is_told() {
        let said = spoilt(|joint| {
            replaced(&joint.join("strokes.csv"));
            fs::create_dir(joint.join("strokes.csv")).expect("made");
        });
        let says = "error: joint/strokes.csv: expected a file, but this is a folder. \
                    Next: rename or remove the folder.";
        assert_eq!(said, format!("exit status 2\n{says}\n"));
    }

    #[test]
    fn a_folder_in_a_folder_without_end_is_told() {
        let said = advised(&bad(), &"a/".repeat(3000));
        assert!(said.starts_with("exit status 2\nerror: a/a/") && said.contains("Next: "), "{said}");
    }

    /// A table of a million rows in a file of the joint.
    fn million(name: &str, head: &str, row: impl Fn(usize) -> String) -> String {
        let mut text = head.to_owned();
        (0..1_000_000).for_each(|i| text.push_str(&row(i)));
        spoilt(|joint| fs::write(joint.join(name), &text).expect("written"))
    }

    #[test]
    fn a_million_stations_are_too_many() {
        let said = million("stations.csv", "station,along,width,bevel\n", |i| format!("{i},{i},9,9\n"));
        assert!(said.contains("stations.csv: expected a table of at most 16 MiB"), "{said}");
        let short = million("stations.csv", "station,along,width,bevel\n", |i| format!("{i:x},1,9,\n"));
        assert!(
            short.contains("row 100002, column station") && short.contains("at most 100000 stations"),
            "{short}"
        );
    }

    #[test]
    fn a_million_readings_end_soon() {
        let head = "round,station,against,overlap\n";
        let same = million("readings.csv", head, |_| "1,1,line,0\n".to_owned());
        assert!(same.contains("one row for a station in a round; row 2 has the same"), "{same}");
        assert!(
            same.contains("the same 997 times more") && same.contains("Only the first 1000 problems"),
            "{same}"
        );
        let unknown = million("readings.csv", head, |i| format!("1,{i:x}x,,0\n"));
        assert!(unknown.contains("the name of a station of this joint"), "{unknown}");
        let rounds = million("readings.csv", head, |i| format!("{},1,line,0\n", i + 1));
        assert!(rounds.contains("found '1000'; expected a round's number from 1 to 999"), "{rounds}");
    }

    #[test]
    fn a_million_strokes_end_soon() {
        let said = million("strokes.csv", "round,plane,from,to,count\n", |_| "1,long,1,5,9\n".to_owned());
        assert!(said.starts_with("exit status 2") && said.contains("Next: "), "{said}");
    }

    #[test]
    fn nothing_but_cells_or_rows_end_soon() {
        let commas =
            spoilt(|joint| fs::write(joint.join("readings.csv"), ",".repeat(16 << 20)).expect("written"));
        assert!(commas.contains("nothing stands in the file"), "{commas}");
        let header = format!("round,station,against,overlap{}x\n1,1,line,0\n", ",".repeat(12 << 20));
        let header = spoilt(|joint| fs::write(joint.join("readings.csv"), &header).expect("written"));
        assert!(header.contains("at most 20000 columns"), "{header}");
        let rows = format!("round,station,against,overlap\n{}", "1\n".repeat(4 << 20));
        let rows = spoilt(|joint| fs::write(joint.join("readings.csv"), &rows).expect("written"));
        assert!(rows.starts_with("exit status 2") && rows.contains("nothing stands there"), "{rows}");
        let word =
            spoilt(|joint| fs::write(joint.join("joint.toml"), "x".repeat(15 << 20)).expect("written"));
        assert!(word.contains("joint.toml: expected settings of at most 100 kB"), "{word}");
        let keys: String = (0..5000).map(|i| format!("k{i} = {i}\n")).collect();
        let keys = spoilt(|joint| fs::write(joint.join("joint.toml"), &keys).expect("written"));
        assert!(keys.contains("key k49") && keys.contains("And 4950 more like these"), "{keys}");
        let deep = spoilt(|joint| {
            fs::write(joint.join("joint.toml"), format!("spare = {}", "[".repeat(90_000))).expect("written")
        });
        assert!(deep.starts_with("exit status 2") && deep.len() < 2000, "{deep}");
    }
}
