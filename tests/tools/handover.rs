//! Handed over: a shell that finishes words, and a package that lacks nothing.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use libtest_mimic::Trial;

use crate::need::{Need, trials};
use crate::typing::PROGRAM;

const BASH: Need = Need {
    met: || Command::new("bash").arg("--version").output().is_ok(),
    wanted: "install bash",
    in_ci: true,
};
/// An unpacked package can't be packed again.
const SOURCE: Need = Need {
    met: || !Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml.orig").exists(),
    wanted: "work on the project itself, not on an unpacked package",
    in_ci: false,
};

pub fn tests() -> Vec<Trial> {
    let mut all = trials![BASH; bash_finishes_words];
    all.extend(trials![SOURCE; the_package_lacks_nothing]);
    all
}

/// Bash itself finishes a word with the script.
fn bash_finishes_words() {
    let dir = tempfile::tempdir().expect("a folder");
    let completions = Command::new(PROGRAM).args(["completions", "bash"]).output().expect("it runs").stdout;
    let script = dir.path().join("ribwright");
    fs::write(&script, completions).expect("written");
    let lines = "source \"$1\"; COMP_WORDS=(ribwright adv); COMP_CWORD=1; \
                 _ribwright ribwright adv ribwright; echo \"${COMPREPLY[*]}\"; \
                 COMP_WORDS=(ribwright advise --pic); COMP_CWORD=2; \
                 _ribwright ribwright --pic advise; echo \"${COMPREPLY[*]}\"";
    let output = Command::new("bash").args(["-c", lines, "bash"]).arg(&script).output().expect("bash runs");
    assert_eq!(String::from_utf8_lossy(&output.stdout), "advise\n--pictures\n");
}

/// Every file below a folder of the project, with `/` between the names.
fn files(folder: &str, all: &mut BTreeSet<String>) {
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)).expect(folder) {
        let entry = entry.expect("an entry");
        let name = format!("{folder}/{}", entry.file_name().into_string().expect("UTF-8"));
        match entry.path().is_dir() {
            // A crate of its own, which has nothing to do with the package.
            true if entry.path().join("Cargo.toml").exists() => {}
            // What npm put there to test the page.
            true if entry.file_name() == "node_modules" => {}
            true => files(&name, all),
            false => _ = all.insert(name),
        }
    }
}

fn the_package_lacks_nothing() {
    let output = Command::new(env!("CARGO"))
        .args(["package", "--list", "--allow-dirty", "--offline"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("UTF-8").replace('\\', "/");
    let packed: BTreeSet<&str> = text.lines().collect();
    let mut wanted = BTreeSet::new();
    for folder in [".ci", "src", "tests", "benches", "demo-readings"] {
        files(folder, &mut wanted);
    }
    let top = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "LICENSE-OFL",
    ];
    wanted.extend(top.map(str::to_owned));
    let lacking: Vec<&String> = wanted.iter().filter(|f| !packed.contains(f.as_str())).collect();
    assert!(lacking.is_empty(), "{lacking:?}");
    assert!(!packed.iter().any(|f| f.contains("node_modules")), "others' code is not packed");
}
