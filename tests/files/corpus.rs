//! What the fuzzer is fed and what it found, tried with the real reader and the
//! real advice: no panic, whole messages, finite figures, never beyond spare.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use crate::fuzzed;

/// Every file of a target's corpus.
fn each(target: &str, run: impl Fn(&[u8])) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzzed/corpus").join(target);
    let mut count = 0;
    for entry in fs::read_dir(&folder).expect("a corpus") {
        let path = entry.expect("an entry").path();
        println!("{}", path.display());
        let start = Instant::now();
        run(&fs::read(&path).expect("readable"));
        assert!(start.elapsed() < Duration::from_secs(30), "{}: {:?}", path.display(), start.elapsed());
        count += 1;
    }
    assert!(count > 1, "{target}: {count}");
}

#[test]
fn tables_and_settings() {
    for name in ["stations.csv", "readings.csv", "strokes.csv"] {
        each(name.trim_end_matches(".csv"), |bytes| fuzzed::one_file(name, bytes));
    }
    each("settings", |bytes| fuzzed::one_file("joint.toml", bytes));
    each("single", fuzzed::single);
}

#[test]
fn whole_folders() {
    each("advise", fuzzed::whole);
}

#[test]
fn whole_bowls() {
    each("bowl", fuzzed::bowl);
}
