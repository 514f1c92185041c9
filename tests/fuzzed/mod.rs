//! What the fuzz targets share: a folder in memory whose files are replaced.

use std::fs;
use std::path::Path;

use ribwright::advice::{self, Options};
use ribwright::job::{self, Job};
use ribwright::show;

const STATIONS: &[u8] =
    b"station,along,width,bevel,rise\n1,0,4,5,10\n2,120,30,6,160\n3,240,32,6,170\n4,360,5,4,20\n";
const READINGS: &[u8] = b"round,station,against,overlap,lift\n1,1,neighbour,0,0.1\n1,2,neighbour,-0.3,0\n\
1,3,neighbour,-0.2,0.2\n1,4,neighbour,0,0.1\n";

/// A line before the bytes of each file where one input holds several.
const HEAD: &str = "== ";
const FILES: [&str; 4] = ["joint.toml", "stations.csv", "readings.csv", "strokes.csv"];

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
            assert!(!problems.list().is_empty());
            for problem in problems.list() {
                let text = problem.to_string();
                assert!(text.contains("expected") && text.contains("Next: "), "{text}");
                assert!(!text.chars().any(char::is_control), "{text:?}");
            }
            None
        }
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
fn parts(bytes: &[u8]) -> Vec<(&'static str, Vec<u8>)> {
    let mut parts: Vec<(&'static str, Vec<u8>)> = Vec::new();
    for line in bytes.split_inclusive(|b| *b == b'\n') {
        let name = std::str::from_utf8(line).ok().and_then(|l| l.strip_prefix(HEAD)).map(str::trim);
        match name.and_then(|name| FILES.into_iter().find(|f| *f == name)) {
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
    for (file, content) in parts(bytes) {
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
