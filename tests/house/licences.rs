//! Every dependency may be passed on under a licence that asks for no more than
//! that its text goes along, and none needs a library of the system.

use std::process::Command;

use serde_json::Value;

/// Licences by their SPDX names that ask for no more than their text to go along.
const ALLOWED: [&str; 10] = [
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "0BSD",
    "Zlib",
    "Unlicense",
    "Unicode-3.0",
];

/// What goes by the name of a library to link, but is Rust or for browsers only.
const NO_LIBRARY: [&str; 2] = ["rayon-core", "wasm-bindgen-shared"];

fn packages() -> Vec<Value> {
    let arguments = ["metadata", "--format-version", "1", "--locked"];
    let output = Command::new(env!("CARGO"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    metadata["packages"].as_array().expect("a list").clone()
}

/// Whether an SPDX expression leaves a choice that is allowed. `/` is the older
/// way to write OR.
fn allowed(expression: &str) -> bool {
    let spaced = expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = words.as_slice();
    let answer = any(&mut rest);
    answer && rest.is_empty()
}

fn next<'a>(rest: &mut &[&'a str], word: &str) -> Option<&'a str> {
    let (first, others) = rest.split_first()?;
    let found = word.is_empty() || *first == word;
    found.then(|| {
        *rest = others;
        *first
    })
}

fn any(rest: &mut &[&str]) -> bool {
    let mut answer = all(rest);
    while next(rest, "OR").is_some() {
        answer |= all(rest);
    }
    answer
}

fn all(rest: &mut &[&str]) -> bool {
    let mut answer = one(rest);
    while next(rest, "AND").is_some() {
        answer &= one(rest);
    }
    answer
}

fn one(rest: &mut &[&str]) -> bool {
    if next(rest, "(").is_some() {
        let answer = any(rest);
        return next(rest, ")").is_some() && answer;
    }
    let Some(name) = next(rest, "") else { return false };
    match next(rest, "WITH").and_then(|_| next(rest, "")) {
        Some(exception) => ALLOWED.contains(&format!("{name} WITH {exception}").as_str()),
        None => ALLOWED.contains(&name),
    }
}

#[test]
fn expressions_are_read_as_spdx_says() {
    let yes = [
        "MIT",
        "MIT/Apache-2.0",
        "GPL-3.0-only OR MIT",
        "(MIT OR GPL-3.0-only) AND Zlib",
        "MIT OR GPL-3.0-only AND GPL-2.0-only",
        "Apache-2.0 WITH LLVM-exception",
    ];
    let no = [
        "",
        "GPL-3.0-only",
        "MIT AND GPL-3.0-only",
        "(MIT OR Zlib) AND GPL-3.0-only",
        "(MIT",
        "MIT Zlib",
        "GPL-2.0-only WITH Classpath-exception-2.0",
    ];
    assert_eq!(yes.map(allowed), [true; 6]);
    assert_eq!(no.map(allowed), [false; 7]);
}

#[test]
fn every_dependency_may_be_passed_on() {
    let packages = packages();
    assert!(packages.len() > 50, "{}", packages.len());
    for package in &packages {
        let licence = package["license"].as_str().unwrap_or_default();
        assert!(allowed(licence), "{}: '{licence}'", package["name"]);
    }
}

#[test]
fn the_font_comes_with_its_licence() {
    let fonts = packages().iter().filter(|p| p["name"].as_str().is_some_and(|n| n.contains("sans"))).count();
    assert_eq!(fonts, 1, "a font in another dependency needs its licence here");
    let text = include_str!("../../LICENSE-OFL");
    assert!(text.contains("SIL OPEN FONT LICENSE Version 1.1"));
    assert!(include_str!("../../README.md").contains("(LICENSE-OFL)"));
}

#[test]
fn no_dependency_needs_a_library_of_the_system() {
    for package in packages() {
        let name = package["name"].as_str().expect("a name");
        let links = package["links"].as_str();
        assert!(links.is_none() || NO_LIBRARY.contains(&name), "{name} links {links:?}");
    }
}
