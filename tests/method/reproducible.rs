//! The same input gives the same bytes, on every run and any number of threads.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use ribwright::fit::{self, Prior, SurfaceChoice};
use ribwright::job;
use ribwright::joint::Joint;
use ribwright::slice::{self, Aims};

/// What a command prints and the files that it writes, on so many threads; `tunables` are the C
/// library's: which of the processor's instructions it may use.
fn outcome(command: &str, threads: &str, tunables: &str) -> (Vec<u8>, BTreeMap<String, Vec<u8>>) {
    let dir = tempfile::tempdir().expect("a folder");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings");
    let words = command.split(' ').map(|w| match w.strip_prefix("demo-readings") {
        Some(rest) => format!("{}{rest}", demo.display()),
        None => w.to_owned(),
    });
    let output = Command::new(env!("CARGO_BIN_EXE_ribwright"))
        .args(words)
        .current_dir(dir.path())
        .env("RAYON_NUM_THREADS", threads)
        .env("GLIBC_TUNABLES", tunables)
        .output()
        .expect("it runs");
    assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
    let mut files = BTreeMap::new();
    gather(dir.path(), &mut files);
    (output.stdout, files)
}

fn gather(folder: &Path, files: &mut BTreeMap<String, Vec<u8>>) {
    for entry in fs::read_dir(folder).expect("listed") {
        let path = entry.expect("an entry").path();
        match path.is_dir() {
            true => gather(&path, files),
            false => {
                let name = path.file_name().expect("a name").to_string_lossy().into_owned();
                files.insert(name, fs::read(&path).expect("read"));
            }
        }
    }
}

/// A processor that multiplies and adds in two steps, four numbers at a time at most.
const PLAIN: &str = "glibc.cpu.hwcaps=-FMA,-AVX2,-AVX2_Usable,-FMA_Usable";

#[test]
fn the_same_input_gives_the_same_bytes() {
    for command in [
        "advise demo-readings/plain",
        "advise demo-readings/shallow --json",
        "advise demo-readings/bowl/joints/03 --json",
        "history demo-readings/fitted --json",
        "try demo-readings/plain --take 6:0.1 --json",
        "draw demo-readings/plain --into pictures",
        "report demo-readings/plain --into report.html",
        "bowl demo-readings/bowl --pictures pictures",
        "divide demo-readings/bowl --json",
        "mark demo-readings/bowl/joints/02 --json",
        "practise --joints 3 --json",
        "teach noise --into lessons",
    ] {
        let first = outcome(command, "1", "");
        for (threads, tunables) in [("2", ""), ("7", ""), ("1", PLAIN)] {
            let again = outcome(command, threads, tunables);
            let when = format!("{command}, {threads} threads {tunables}");
            assert!(first.0 == again.0, "{when}: other words");
            assert_eq!(first.1.keys().collect::<Vec<_>>(), again.1.keys().collect::<Vec<_>>());
            for (name, bytes) in &first.1 {
                assert!(Some(bytes) == again.1.get(name), "{when}: another {name}");
            }
        }
        assert!(!first.0.is_empty() || !first.1.is_empty(), "{command} gives something");
    }
}

#[test]
fn many_draws_are_sliced_the_same_on_any_number_of_threads() {
    let job = job::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings/plain")).expect("sound");
    let joint = Joint::of(&job);
    let fit = fit::estimate(&job, &joint, &[], SurfaceChoice::Auto, &Prior::default()).expect("an estimate");
    let aims = Aims { gap: 0.0, lift: Some(0.1), spare: vec![3.0; joint.len()] };
    let wood = (&fit.edge[..], &fit.spring[..]);
    let pose = *fit.poses.last().expect("a round");
    let slice = slice::least_wood(&joint, wood.0, wood.1, &aims, pose).expect("a slice");
    let draws = slice::draws(&fit, 100).into_iter().map(|d| (d.edge, d.spring)).collect::<Vec<_>>();
    let few = slice.for_others(&joint, wood, &draws, &aims);
    assert!(few.iter().any(|f| *f != few[0]), "draws differ");
    let many: Vec<_> = std::iter::repeat_n(draws, 8).flatten().collect();
    let expected: Vec<_> = std::iter::repeat_n(few, 8).flatten().collect();
    for threads in [1, 2, 7] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let sliced = pool.install(|| slice.for_others(&joint, wood, &many, &aims));
        assert!(sliced == expected, "other slices on {threads} threads");
    }
}
