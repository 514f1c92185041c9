//! The command line: what goes to which stream, and the exit status.

use assert_cmd::Command;

fn ribwright(arguments: &[&str]) -> std::process::Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.args(arguments).output().expect("it runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn without_arguments_it_prints_help_and_fails_with_2() {
    let output = ribwright(&[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let help = text(&output.stderr);
    assert!(help.contains("Usage: ribwright") && help.contains("advise"));
}

#[test]
fn help_that_was_asked_for_is_an_answer() {
    for arguments in [&["--help"][..], &["advise", "--help"], &["help", "advise"], &["--version"]] {
        let output = ribwright(arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}");
        assert!(output.stderr.is_empty() && !output.stdout.is_empty());
    }
    let help = text(&ribwright(&["advise", "--help"]).stdout);
    for word in ["demo-readings/", "--surface", "--json", "--pictures", "--color"] {
        assert!(help.contains(word), "{word}");
    }
}

#[test]
fn a_wrong_command_line_is_2() {
    let wrong = [
        &["plane-it"][..],
        &["advise"],
        &["advise", "a", "b"],
        &["advise", "a", "--surface", "wavy"],
        &["advise", "a", "--color", "pink"],
    ];
    for arguments in wrong {
        let output = ribwright(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty());
    }
}

#[test]
fn a_missing_folder_is_2_and_named_on_standard_error_alone() {
    for arguments in [&["advise", "no-such-joint"][..], &["advise", "no-such-joint", "--json"]] {
        let output = ribwright(arguments);
        assert_eq!(output.status.code(), Some(2));
        assert!(output.stdout.is_empty());
        let error = text(&output.stderr);
        assert!(error.contains("error:") && error.contains("no-such-joint"), "{error}");
        assert!(!error.contains('\u{1b}'), "colour in a pipe");
    }
}

/// As every other output, in 80 columns; what is longer than a line stays whole, to be copied.
#[test]
fn what_goes_wrong_is_told_in_short_lines() {
    let long = format!("no-such-folder/{}", "joint".repeat(20));
    for path in ["no-such-joint", &long] {
        let error = text(&ribwright(&["advise", path]).stderr);
        assert!(error.contains(path), "{error}");
        assert!(error.lines().all(|line| line.chars().count() <= 80 || line.contains(path)), "{error}");
        assert!(error.lines().skip(1).all(|line| line.starts_with("       ")), "below the words: {error}");
    }
    assert!(text(&ribwright(&["advise", &long]).stderr).lines().count() > 1, "so that this could fail");
}

#[test]
fn colour_can_be_forced_and_forbidden() {
    let colour = |when: &str| text(&ribwright(&["advise", "none", "--color", when]).stderr);
    assert!(colour("always").contains('\u{1b}'));
    assert!(!colour("never").contains('\u{1b}'));
}

#[test]
fn the_command_line_is_sound() {
    ribwright::cli::command().debug_assert();
}

#[test]
fn every_command_shows_an_example_on_the_demo_readings() {
    for command in ribwright::cli::command().get_subcommands() {
        let help = command.get_after_help().map(ToString::to_string).unwrap_or_default();
        let example = format!("ribwright {}", command.get_name());
        assert!(help.contains(&example) && help.contains("demo-readings"), "{example}");
    }
}
