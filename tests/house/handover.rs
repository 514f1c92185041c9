//! Ready to hand over: completions, manual pages, and a package that lacks nothing.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn ribwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ribwright")).args(arguments).output().expect("it runs")
}

fn printed(arguments: &[&str]) -> String {
    let output = ribwright(arguments);
    assert!(output.status.success() && output.stderr.is_empty(), "{arguments:?}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn commands() -> Vec<String> {
    ribwright::cli::command().get_subcommands().map(|c| c.get_name().to_owned()).collect()
}

#[test]
fn every_shell_can_finish_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = printed(&["completions", shell]);
        for word in commands().iter().map(String::as_str).chain(["pictures", "surface"]) {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
}

#[test]
fn an_unknown_shell_is_answered_with_the_known_ones() {
    let output = ribwright(&["completions", "abacus"]);
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2));
    assert!(text.contains("possible values") && text.contains("fish"), "{text}");
}

/// Bash itself finishes a word with the script, where there is a bash.
#[test]
fn bash_finishes_words() {
    let dir = tempfile::tempdir().expect("a folder");
    let script = dir.path().join("ribwright");
    fs::write(&script, printed(&["completions", "bash"])).expect("written");
    let lines = "source \"$1\"; COMP_WORDS=(ribwright adv); COMP_CWORD=1; \
                 _ribwright ribwright adv ribwright; echo \"${COMPREPLY[*]}\"; \
                 COMP_WORDS=(ribwright advise --pic); COMP_CWORD=2; \
                 _ribwright ribwright --pic advise; echo \"${COMPREPLY[*]}\"";
    let Ok(output) = Command::new("bash").args(["-c", lines, "bash"]).arg(&script).output() else {
        println!("no bash here: not tried");
        return;
    };
    assert_eq!(String::from_utf8_lossy(&output.stdout), "advise\n--pictures\n");
}

#[test]
fn every_command_has_a_manual_page() {
    let dir = tempfile::tempdir().expect("a folder");
    let into = dir.path().join("man1");
    let told = printed(&["man", "--into", &into.display().to_string()]);
    let there: BTreeSet<String> = fs::read_dir(&into)
        .expect("listed")
        .map(|e| e.expect("one").file_name().into_string().expect("UTF-8"))
        .collect();
    let pages = commands().into_iter().map(|c| format!("ribwright-{c}.1"));
    let wanted: BTreeSet<String> = pages.chain(["ribwright.1".to_owned()]).collect();
    assert_eq!(there, wanted);
    for name in &there {
        assert!(told.contains(name.as_str()), "{name}");
        let page = fs::read_to_string(into.join(name)).expect("UTF-8");
        assert!(page.contains(".TH ribwright") && page.contains(".SH SYNOPSIS"), "{name}");
        let source = concat!("\"ribwright ", env!("CARGO_PKG_VERSION"), "\"");
        assert!(page.lines().any(|l| l.starts_with(".TH") && l.contains(source)), "{name}");
        assert!(page.contains(".SH EXAMPLES") && !page.contains("EXTRA"), "{name}");
        assert!(name == "ribwright.1" || page.contains("demo\\-readings"), "{name}: no example");
    }
    assert_eq!(printed(&["man"]), fs::read_to_string(into.join("ribwright.1")).expect("UTF-8"));
}

#[test]
fn a_folder_that_cannot_be_made_is_told() {
    let output = ribwright(&["man", "--into", "Cargo.toml/man"]);
    assert_eq!(output.status.code(), Some(2));
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    let says = "error: Cargo.toml/man: a file or a link stands where a folder is needed. Next: choose another folder.";
    assert_eq!(text.trim_end(), says);
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

#[test]
fn the_package_lacks_nothing() {
    if Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml.orig").exists() {
        println!("this is an unpacked package, which can't be packed again: not tried");
        return;
    }
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
