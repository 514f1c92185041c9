//! The demo readings and the advice on them, held against their truth.

use std::fs;
use std::path::{Path, PathBuf};

use ribwright::practice::demo::{SINGLE, demos, truth, write_readings};

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Every file of a demo, relative to `dir`.
fn files(dir: &Path, name: &str) -> Vec<PathBuf> {
    if name == SINGLE {
        return vec![name.into()];
    }
    let mut names: Vec<PathBuf> =
        fs::read_dir(dir.join(name)).unwrap().map(|f| Path::new(name).join(f.unwrap().file_name())).collect();
    names.sort();
    names
}

#[test]
fn the_committed_files_are_what_the_code_makes() {
    let fresh = tempfile::tempdir().unwrap();
    let committed = at("demo-readings");
    for demo in demos() {
        write_readings(&demo, fresh.path()).unwrap();
        let names = files(fresh.path(), demo.name);
        assert_eq!(names, files(&committed, demo.name));
        for name in names {
            let (made, there) = (fs::read(fresh.path().join(&name)), fs::read(committed.join(&name)));
            assert!(made.unwrap() == there.unwrap(), "{} differs", name.display());
        }
        let there = fs::read_to_string(truth_file(demo.name)).unwrap();
        assert_eq!(truth(&demo).unwrap(), there, "{}", demo.name);
    }
}

fn truth_file(name: &str) -> PathBuf {
    at("tests/truth").join(format!("{}.json", name.trim_end_matches(".csv")))
}

/// Writes everything anew: `cargo test --test demo -- --ignored write_all_anew`.
#[test]
#[ignore = "changes the committed files"]
fn write_all_anew() {
    let dir = at("demo-readings");
    for demo in demos() {
        let old = dir.join(demo.name);
        if old.is_dir() {
            fs::remove_dir_all(&old).unwrap();
        } else if old.exists() {
            fs::remove_file(&old).unwrap();
        }
        write_readings(&demo, &dir).unwrap();
        fs::write(truth_file(demo.name), truth(&demo).unwrap()).unwrap();
    }
}
