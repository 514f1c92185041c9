//! What the fuzz targets share: a folder in memory whose files are replaced.

use std::fs;
use std::path::Path;

use ribwright::advice::{self, Options};
use ribwright::bowl::divide::{Division, divide};
use ribwright::bowl::mark::{Marks, Wish, marks_in};
use ribwright::job::bowl::{Bowl, BowlJoint, read_bowl};
use ribwright::job::{self, Job, Problems};
use ribwright::show;

const STATIONS: &[u8] =
    b"station,along,width,bevel,rise\n1,0,4,5,10\n2,120,30,6,160\n3,240,32,6,170\n4,360,5,4,20\n";
const READINGS: &[u8] = b"round,station,against,overlap,lift\n1,1,neighbour,0,0.1\n1,2,neighbour,-0.3,0\n\
1,3,neighbour,-0.2,0.2\n1,4,neighbour,0,0.1\n";

/// A line before the bytes of each file where one input holds several.
const HEAD: &str = "== ";
const FILES: [&str; 4] = ["joint.toml", "stations.csv", "readings.csv", "strokes.csv"];
const BOWL_FILES: [&str; 10] = [
    "bowl.toml",
    "girth.csv",
    "widths.csv",
    "time.csv",
    "joints/1/joint.toml",
    "joints/1/stations.csv",
    "joints/1/readings.csv",
    "joints/1/strokes.csv",
    "joints/1/marks.csv",
    "joints/2/marks.csv",
];

fn folder() -> tempfile::TempDir {
    // Memory where there is such a file system, else wherever files for a while go.
    let memory = Path::new("/dev/shm");
    let place = if memory.is_dir() { memory.to_path_buf() } else { std::env::temp_dir() };
    tempfile::tempdir_in(place).expect("a folder")
}

/// What every reading of anything must hold: no panic, and every message is whole.
fn read(path: &Path) -> Option<Job> {
    match job::read(path) {
        Ok(job) => Some(job),
        Err(problems) => {
            told(&problems);
            None
        }
    }
}

fn told(problems: &Problems) {
    assert!(!problems.list().is_empty());
    for problem in problems.list() {
        let text = problem.to_string();
        assert!(text.contains("expected") && text.contains("Next: "), "{text}");
        assert!(!text.chars().any(char::is_control), "{text:?}");
    }
}

/// Reads a sound folder in which one file holds `bytes`.
pub fn one_file(name: &str, bytes: &[u8]) {
    let folder = folder();
    let sound = [("stations.csv", STATIONS), ("readings.csv", READINGS)];
    for (file, content) in sound.into_iter().chain([(name, bytes)]) {
        fs::write(folder.path().join(file), content).expect("written");
    }
    read(folder.path());
}

/// Reads `bytes` as a single table.
pub fn single(bytes: &[u8]) {
    let folder = folder();
    let file = folder.path().join("try.csv");
    fs::write(&file, bytes).expect("written");
    read(&file);
}

/// The files of a folder, each behind a line `== name`.
fn parts(bytes: &[u8], files: &[&'static str]) -> Vec<(&'static str, Vec<u8>)> {
    let mut parts: Vec<(&'static str, Vec<u8>)> = Vec::new();
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        let name = std::str::from_utf8(line).ok().and_then(|l| l.strip_prefix(HEAD)).map(str::trim);
        match name.and_then(|name| files.iter().find(|f| **f == name)) {
            Some(file) => parts.push((file, Vec::new())),
            None => {
                if let Some((_, content)) = parts.last_mut() {
                    content.extend_from_slice(line);
                }
            }
        }
    }
    parts
}

/// Advises on the folder that `bytes` describe, and shows the answer in every way.
pub fn whole(bytes: &[u8]) {
    let folder = folder();
    for (file, content) in parts(bytes, &FILES) {
        fs::write(folder.path().join(file), content).expect("written");
    }
    if let Some(job) = read(folder.path()) {
        shown(&job);
    }
}

fn shown(job: &Job) {
    let advice = advice::advise(job, &Options::default());
    for number in advice.stations.iter().flat_map(|s| [s.remove, s.remove_now, s.gap_after, s.lift_after]) {
        assert!(number.is_none_or(f64::is_finite), "{number:?}");
    }
    if let Some(spare) = job.spare {
        let most = advice.stations.iter().filter_map(|s| s.remove_now).fold(0.0, f64::max);
        assert!(most <= spare + 1e-9, "{most} of {spare}");
    }
    let mut text = Vec::new();
    show::advice_text(job, &advice, &mut text).expect("written");
    let json = show::advice_json(job, &advice).expect("JSON");
    assert!(!text.is_empty() && json.starts_with('{'));
}

/// Reads the bowl that `bytes` describe, and does with it what the commands `bowl`,
/// `divide` and `mark` do. Joint 2 is joint 1 as it was laid out.
pub fn bowl(bytes: &[u8]) {
    let folder = folder();
    let joints = folder.path().join("joints");
    for joint in ["1", "2"] {
        fs::create_dir_all(joints.join(joint)).expect("made");
    }
    for (file, content) in parts(bytes, &BOWL_FILES) {
        fs::write(folder.path().join(file), content).expect("written");
    }
    // Without a first joint there is only one, with nothing but marks.
    let first = |name| fs::copy(joints.join("1").join(name), joints.join("2").join(name)).is_ok();
    if !(first("stations.csv") && (first("joint.toml") || !joints.join("1/joint.toml").exists())) {
        fs::remove_dir_all(joints.join("2")).expect("removed");
    }
    match read_bowl(folder.path()) {
        Ok(bowl) => worked(&bowl),
        Err(problems) => told(&problems),
    }
}

/// Finite figures, and text and JSON that can be shown.
fn worked(bowl: &Bowl) {
    let whole = advice::whole(bowl);
    let mut text = Vec::new();
    show::bowl::whole_text(bowl, &whole, &mut text).expect("written");
    plain(&text, &show::bowl::whole_json(bowl, &whole).expect("JSON"));
    for symmetric in [false, true] {
        for after in bowl.girths.iter().map(|g| Some(g.after)).chain([None]) {
            match divide(bowl, after, symmetric) {
                Ok(division) => divided(bowl, &division, symmetric),
                Err(why) => assert!(!why.chars().any(char::is_control), "{why:?}"),
            }
        }
    }
    for (joint, by_widths) in bowl.joints.iter().flat_map(|j| [(j, false), (j, true)]) {
        let wish = Wish { by_widths, ..Wish::default() };
        let start = whole.lessons.before(joint.number).start(&joint.job);
        if let Ok(Some(marks)) = marks_in(bowl, joint.number, &joint.job, &start, wish) {
            marked(bowl, joint, &marks);
        }
    }
}

fn divided(bowl: &Bowl, d: &Division, symmetric: bool) {
    let numbers = d.girth.iter().chain(&d.plan).chain(&d.sd).chain(&d.take).chain(d.free.iter().flatten());
    assert!(numbers.chain(d.ribs.iter().flat_map(|r| &r.at)).all(|n| n.is_finite()), "{d:?}");
    assert!(d.next().iter().all(|w| *w > 0.0), "{d:?}");
    let mut text = Vec::new();
    show::bowl::division_text(bowl, d, symmetric, &mut text).expect("written");
    plain(&text, &show::bowl::division_json(bowl, d, symmetric).expect("JSON"));
}

fn marked(bowl: &Bowl, joint: &BowlJoint, marks: &Marks) {
    for s in &marks.stations {
        let numbers = [Some(s.sd), Some(s.width), Some(s.remove_sd), Some(s.now), s.mark, s.remove, s.wanted];
        assert!(numbers.iter().flatten().all(|n| n.is_finite()), "{s:?}");
    }
    let even = bowl.settings.even;
    let mut text = Vec::new();
    show::bowl::marks_text(&joint.job, marks, even, None, &mut text).expect("written");
    plain(&text, &show::bowl::marks_json(&joint.job, marks, even, None).expect("JSON"));
}

fn plain(text: &[u8], json: &str) {
    let text = std::str::from_utf8(text).expect("UTF-8");
    assert!(!text.is_empty() && !text.chars().any(|c| c.is_control() && c != '\n'), "{text:?}");
    assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
    assert!(json.starts_with('{') && !json.chars().any(|c| c.is_control() && c != '\n'), "{json:?}");
}
