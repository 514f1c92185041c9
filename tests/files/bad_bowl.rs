//! Bad input of bowls that can't be kept in folders of files, and `new` onto what is
//! there: nothing is lost. The others are in `tests/bad/`, see `tests/files/bad.rs`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use crate::folders::copied;
use tempfile::TempDir;

fn run(dir: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    let start = Instant::now();
    let output = command.current_dir(dir).args(arguments).output().expect("it runs");
    assert!(start.elapsed() < Duration::from_secs(60), "{arguments:?}: {:?}", start.elapsed());
    output
}

fn said(output: &Output) -> (i32, String) {
    let text = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ").trim_end().to_owned();
    (output.status.code().expect("no signal"), text)
}

/// What `bowl` says of the sound bowl after `spoil` has had it.
fn spoilt(spoil: impl Fn(&Path)) -> (i32, String) {
    let dir = tempfile::tempdir().expect("a folder");
    let bowl = dir.path().join("bowl");
    copied(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad/sound-bowl"), &bowl);
    spoil(&bowl);
    said(&run(dir.path(), &["bowl", "bowl", "--json"]))
}

#[test]
fn a_folder_for_a_table_is_told() {
    for name in ["bowl.toml", "girth.csv", "widths.csv", "time.csv", "joints/01/marks.csv"] {
        let told = spoilt(|bowl| {
            fs::remove_file(bowl.join(name)).expect("removed");
            fs::create_dir(bowl.join(name)).expect("made");
        });
        let says = format!(
            "error: bowl/{name}: expected a file, but this is a folder. Next: rename or remove the folder."
        );
        assert_eq!(told, (2, says));
    }
}

#[cfg(unix)]
mod links {
    use std::os::unix::fs::symlink;

    use super::*;

    fn linked(name: &str, to: &str) -> (i32, String) {
        spoilt(|bowl| {
            let path = bowl.join(name);
            let removed = if path.is_dir() { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
            removed.expect("removed");
            symlink(to, path).expect("linked");
        })
    }

    #[test]
    fn links_in_a_circle_are_told() {
        for name in ["bowl.toml", "girth.csv", "joints/01/marks.csv", "joints/02", "joints"] {
            let own = Path::new(name).file_name().expect("a name").to_str().expect("UTF-8");
            let (status, text) = linked(name, own);
            let told =
                format!("error: bowl/{name}: expected a file, but here are links that lead in a circle.");
            assert!(status == 2 && text.starts_with(&told) && text.lines().count() == 1, "{name}: {text}");
        }
    }

    #[test]
    fn links_that_lead_nowhere_are_told() {
        for name in ["bowl.toml", "widths.csv", "joints/03", "joints"] {
            let (status, text) = linked(name, "gone");
            let told = format!(
                "error: bowl/{name}: expected a file, but here is a link that leads nowhere. Next: put"
            );
            assert!(status == 2 && text.starts_with(&told) && text.lines().count() == 1, "{name}: {text}");
        }
    }

    /// A bowl in its own joints would be read for ever by whoever follows folders.
    #[test]
    fn a_bowl_inside_itself_ends() {
        let (status, text) = linked("joints/03", "..");
        assert!(status == 2 && text.contains("bowl/joints/03: expected a joint's folder"), "{text}");
        assert!(text.contains("Next: "), "{text}");
    }

    #[test]
    fn devices_and_pipes_are_not_read() {
        for (name, to) in [("girth.csv", "/dev/zero"), ("bowl.toml", "/dev/full"), ("time.csv", "/dev/null")]
        {
            let (status, text) = linked(name, to);
            let told =
                format!("error: bowl/{name}: expected a plain file, but this is a pipe or a device. Next: ");
            assert!(status == 2 && text.starts_with(&told), "{name}: {text}");
        }
    }
}

#[test]
fn many_rows_end_soon() {
    for (name, head) in [
        ("girth.csv", "after,station,girth"),
        ("widths.csv", "rib,station,width"),
        ("joints/01/marks.csv", "station,compass,edge"),
        ("time.csv", "joint,minutes"),
    ] {
        let columns = head.split(',').count();
        let rows: String = (0..300_000).map(|i| format!("{}{i:x}\n", "1,".repeat(columns - 1))).collect();
        let told = spoilt(|bowl| fs::write(bowl.join(name), format!("{head}\n{rows}")).expect("written"));
        assert!(told.0 == 2 && told.1.contains(name) && told.1.contains("Next: "), "{name}: {told:?}");
        assert!(told.1.lines().count() <= 52, "{name}: {}", told.1.lines().count());
    }
}

#[test]
fn thousands_of_stations_end_soon() {
    let names: Vec<String> = (0..12_000).map(|i| format!("\"{i:x}\"")).collect();
    let told = spoilt(|bowl| {
        let text = format!("ribs = 99\nstations = [{}]\n", names.join(","));
        fs::write(bowl.join("bowl.toml"), text).expect("written");
    });
    assert!(told.0 == 2 && told.1.contains("key stations") && told.1.len() < 2000, "{told:?}");
}

/// Every path below a folder, with what a file holds.
fn everything(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let (mut open, mut found) = (vec![folder.to_path_buf()], Vec::new());
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).expect("listed").map(|e| e.expect("an entry").path()) {
            let real = fs::symlink_metadata(&entry).expect("there");
            if real.is_dir() {
                open.push(entry.clone());
            }
            found.push((
                entry.clone(),
                if real.is_file() { fs::read(&entry).expect("read") } else { Vec::new() },
            ));
        }
    }
    found.sort();
    found
}

const NUMBERS: [&str; 6] = ["--ribs", "7", "--length", "480", "--width", "348"];

fn new(dir: &Path, folder: &str, more: &[&str]) -> (i32, String) {
    said(&run(dir, &[&["new", folder][..], &NUMBERS, more].concat()))
}

fn shop() -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    let sound = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad");
    copied(&sound.join("sound-bowl"), &dir.path().join("bowl"));
    copied(&sound.join("sound"), &dir.path().join("joint"));
    fs::write(dir.path().join("file"), "mine").expect("written");
    for (folder, name) in [("half", "joints"), ("tables", "widths.csv"), ("times", "time.csv")] {
        fs::create_dir(dir.path().join(folder)).expect("made");
        let path = dir.path().join(folder).join(name);
        if name == "joints" { fs::create_dir(path) } else { fs::write(path, "mine") }.expect("made");
    }
    dir
}

#[test]
fn a_new_bowl_takes_the_place_of_nothing() {
    let dir = shop();
    #[cfg(unix)]
    {
        use std::os::unix::fs::symlink;
        fs::create_dir(dir.path().join("linked")).expect("made");
        symlink("gone", dir.path().join("linked/bowl.toml")).expect("linked");
        symlink("gone", dir.path().join("nowhere")).expect("linked");
    }
    let before = everything(dir.path());
    for (folder, there) in [
        ("bowl", "bowl/bowl.toml is there already"),
        ("bowl/", "bowl/bowl.toml is there already"),
        ("joint", "joint/joint.toml is there already"),
        ("half", "half/joints is there already"),
        ("tables", "tables/widths.csv is there already"),
        ("times", "times/time.csv is there already"),
        ("bowl/joints/01", "bowl/joints/01/joint.toml is there already"),
        ("linked", "linked/bowl.toml is there already"),
        ("file", "a file or a link stands where a folder is needed"),
        ("file/new", "a file or a link stands where a folder is needed"),
        ("nowhere", "a file or a link stands where a folder is needed"),
    ] {
        if cfg!(not(unix)) && !dir.path().join(folder).exists() {
            continue;
        }
        let (status, text) = new(dir.path(), folder, &[]);
        assert!(
            status == 2 && text.contains(there) && text.contains("Next: choose"),
            "{folder}: {status} {text}"
        );
        assert!(!text.contains("os error"), "{text}");
        assert!(everything(dir.path()) == before, "{folder} is not as it was");
    }
}

#[test]
fn what_new_is_told_is_judged_before_anything_is_made() {
    let dir = tempfile::tempdir().expect("a folder");
    fs::write(dir.path().join("flat.csv"), "along,half_width\n0,0\n100,0\n200,0\n300,0\n").expect("written");
    fs::write(dir.path().join("few.csv"), "along,half_width\n0,0\n100,80\n").expect("written");
    fs::write(dir.path().join("back.csv"), "along,half_width\n0,0\n200,90\n100,80\n300,0\n")
        .expect("written");
    let long = "a".repeat(201);
    let outline = |file| vec!["new", "b", "--ribs", "7", "--outline", file, "--depth", "100"];
    let with = |more: &[&'static str]| [&["new", "b"][..], &NUMBERS, more].concat();
    for (line, says) in [
        (vec!["new", "b", "--ribs", "0"], "expected 3 to 99 ribs, from rim to rim"),
        (vec!["new", "b", "--ribs", "-3"], "expected 3 to 99 ribs, from rim to rim"),
        (vec!["new", "b", "--ribs", "1000"], "expected 3 to 99 ribs, from rim to rim"),
        (vec!["new", "b", "--ribs", "7.5"], "expected 3 to 99 ribs, from rim to rim"),
        (vec!["new", "b", "--ribs", "7", "--length", "48"], "--length: found 48; expected"),
        (vec!["new", "b", "--ribs", "7", "--length", "-480"], "--length: found -480; expected"),
        (vec!["new", "b", "--ribs", "7", "--length", "nan"], "`nan` is no number"),
        (with(&["--stations", "0"]), "expected a whole number from 3 to 60, ten to fifteen"),
        (with(&["--stations", "1000000000"]), "expected a whole number from 3 to 60, ten to fifteen"),
        (with(&["--spacer", "50"]), "--spacer: found 50; expected"),
        (with(&["--spacer-height", "3"]), "Next: give its width too, with --spacer"),
        (with(&["--thickness", "16"]), "probably 1.6 mm, ten times less"),
        (with(&["--depth", "1e308"]), "`1e308` is no number"),
        (with(&["--widest", "10"]), "--widest: found 10; expected"),
        (with(&["--title", "a\u{1b}[31mb"]), "plain characters on one line"),
        (with(&["--wood", "a\nb"]), "plain characters on one line"),
        ([&with(&["--title"])[..], &[&long]].concat(), "plain characters on one line"),
        (outline("flat.csv"), "makes no bowl"),
        (outline("few.csv"), "four places of the outline at least"),
        (outline("back.csv"), "row 4, column along: found '100'; expected more than in the row before"),
        (outline("none.csv"), "none.csv: expected a table of the outline, but there is none"),
        (outline("."), "expected a file, but this is a folder"),
    ] {
        let (status, text) = said(&run(dir.path(), &line));
        assert!(status == 2 && text.contains(says), "{line:?}: {status} {text}");
        assert!(!dir.path().join("b").exists(), "{line:?}");
        assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{text:?}");
    }
}

/// The longest title that is taken can be read again, in the joints too.
#[test]
fn a_new_bowl_can_be_read_with_the_longest_title() {
    let dir = tempfile::tempdir().expect("a folder");
    let (status, text) = new(dir.path(), "b", &["--title", &"a".repeat(190)]);
    assert_eq!(status, 0, "{text}");
    let (status, text) = said(&run(dir.path(), &["bowl", "b"]));
    assert_eq!(status, 0, "{text}");
}

/// A report takes the place of an earlier one, and of nothing else.
#[test]
fn a_report_takes_the_place_of_no_other_file() {
    let dir = shop();
    // Other pages: one by somebody else, one that names the program, one of its own lessons.
    for (name, text) in [
        ("notes.html", "<!DOCTYPE html><html><head><title>My notes</title></head></html>"),
        ("named.html", "<!DOCTYPE html><html><body>A joint, round 1 · ribwright</body></html>"),
        ("empty.html", ""),
    ] {
        fs::write(dir.path().join(name), text).expect("written");
    }
    assert!(run(dir.path(), &["teach", "lever", "--into", "."]).status.success());
    let before = everything(dir.path());
    let others = ["notes.html", "named.html", "empty.html", "lever.html"];
    for file in ["joint/readings.csv", "joint/joint.toml", "file"].iter().chain(&others) {
        let (status, text) = said(&run(dir.path(), &["report", "joint", "--into", file]));
        assert!(status == 2 && text.contains(&format!("{file} is there already")), "{file}: {text}");
        assert!(text.contains("Next: give another name"), "{text}");
        assert!(everything(dir.path()) == before, "{file}");
    }
    for round in ["1", "2"] {
        let report = ["report", "joint", "--round", round, "--into", "report.html"];
        let (status, text) = said(&run(dir.path(), &report));
        assert_eq!(status, 0, "{text}");
        let page = fs::read_to_string(dir.path().join("report.html")).expect("written");
        assert!(page.contains(&format!("round {round} · ribwright")), "the report of round {round}");
    }
}

/// Neither a pipe, on which it would wait, nor the screen is taken for an earlier report.
#[cfg(unix)]
#[test]
fn a_report_goes_into_no_pipe_or_device() {
    let dir = shop();
    let made = Command::new("mkfifo").arg(dir.path().join("pipe")).status().expect("it runs");
    assert!(made.success());
    for into in ["pipe", "/dev/stdout", "/dev/full", "/dev/zero"] {
        let (status, text) = said(&run(dir.path(), &["report", "joint", "--into", into]));
        let says = format!("error: {into}: expected a plain file or none, but this is a pipe or a device.");
        assert!(status == 2 && text.starts_with(&says) && text.contains("Next: give another name"), "{text}");
    }
}

/// A folder that can't be looked into or made is told before any work.
#[test]
fn a_report_below_a_file_is_told() {
    let dir = shop();
    let (status, text) = said(&run(dir.path(), &["report", "joint", "--into", "file/report.html"]));
    let says = "error: file/report.html: a file or a link stands where a folder is needed. Next: choose another folder.";
    assert_eq!((status, text.as_str()), (2, says));
}
