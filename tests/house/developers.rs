//! DEVELOPERS.md says how the house is built, and the house is built so.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn text(path: &str) -> String {
    fs::read_to_string(at(path)).expect(path)
}

/// The rooms in the order in which the document lists them.
fn rooms() -> Vec<String> {
    let document = text("DEVELOPERS.md");
    let names = document.lines().filter_map(|l| l.strip_prefix("- **`")?.split_once("`**: "));
    names.map(|(name, _)| name.to_owned()).collect()
}

/// Every Rust file of a room.
fn files(room: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![at("src").join(room)];
    while let Some(dir) = open.pop() {
        for entry in fs::read_dir(&dir).into_iter().flatten() {
            let path = entry.expect("an entry").path();
            if path.is_dir() { open.push(path) } else { found.push(path) }
        }
    }
    found.extend(Some(at("src").join(format!("{room}.rs"))).filter(|f| f.exists()));
    found
}

#[test]
fn every_room_is_listed() {
    let listed: BTreeSet<String> = rooms().into_iter().collect();
    let library = text("src/lib.rs");
    let built: BTreeSet<String> = library
        .lines()
        .filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect();
    assert_eq!(listed, built);
}

#[test]
fn every_room_knows_only_rooms_below_it() {
    let rooms = rooms();
    assert!(rooms.len() > 10);
    for (i, room) in rooms.iter().enumerate() {
        let files = files(room);
        assert!(!files.is_empty(), "{room}");
        for file in files {
            let source = fs::read_to_string(&file).expect("readable");
            assert!(!source.contains("crate::{"), "{}: one line a room, please", file.display());
            for other in &rooms[i + 1..] {
                let uses = source.lines().filter(|l| !l.trim_start().starts_with("//"));
                let told = uses.filter(|l| l.contains(&format!("crate::{other}::"))).count();
                assert_eq!(told, 0, "{} knows {other}", file.display());
            }
        }
    }
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest: toml::Table = text("Cargo.toml").parse().expect("TOML");
    let named = |section: &str| manifest[section].as_table().expect(section).keys().cloned();
    let wanted: BTreeSet<String> = named("dependencies").chain(named("dev-dependencies")).collect();
    let document = text("DEVELOPERS.md");
    let (_, table) = document.split_once("| dependency |").expect("the table");
    let (table, _) = table.split_once("\n\n").expect("its end");
    let first = table.lines().filter_map(|l| l.strip_prefix("| `")?.split_once(" |"));
    let given: BTreeSet<String> = first
        .flat_map(|(names, _)| names.split(", ").map(|n| n.trim_matches('`').to_owned()).collect::<Vec<_>>())
        .collect();
    assert_eq!(given, wanted);
}

#[test]
fn every_file_it_names_is_there() {
    let document = text("DEVELOPERS.md");
    let named = document.split('`').filter(|w| w.contains('/') && !w.contains([' ', '*', '\n']));
    let mut count = 0;
    for path in named {
        let there = at(path).exists() || at("src").join(path).exists();
        assert!(there, "{path}");
        count += 1;
    }
    assert!(count > 15, "{count}");
}
