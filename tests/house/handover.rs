//! Ready to hand over: completions and manual pages.

use std::collections::BTreeSet;
use std::fs;
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
    let text = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
    assert_eq!(output.status.code(), Some(2));
    assert!(text.contains("possible values") && text.contains("fish"), "{text}");
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
    let text = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
    let says = "error: Cargo.toml/man: a file or a link stands where a folder is needed. Next: choose another folder.";
    assert_eq!(text.trim_end(), says);
}
