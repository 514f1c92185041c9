//! DEVELOPERS.md says how the house is built, and the house is built so.

use std::collections::{BTreeMap, BTreeSet};
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

/// Tests in the library would have it compiled twice; `Cargo.toml` would leave them out.
#[test]
fn no_test_stands_in_the_library() {
    let rust: Vec<PathBuf> =
        files("").into_iter().filter(|f| f.extension().is_some_and(|e| e == "rs")).collect();
    assert!(rust.len() > 200, "all of it");
    for file in rust {
        let source = fs::read_to_string(&file).expect("readable");
        assert!(!source.contains("cfg(test)") && !source.contains("#[test]"), "{}", file.display());
    }
    assert!(text("Cargo.toml").contains("[lib]\ntest = false\nbench = false\ndoctest = true\n"));
}

/// What a browser has not: files, clocks, threads that wait. Only the disk's store, the program
/// around the library and what is drawn or written for it may ask for them.
#[test]
fn only_the_disk_and_the_program_ask_the_system() {
    let free = ["src/store/disk.rs", "src/cli", "src/page/server", "src/show/draw/files.rs"];
    let system = ["std::fs", "fs::", "SystemTime", "Instant::", "thread::sleep", "temp_dir", "tempfile"];
    let mut asked = 0;
    for file in files("").into_iter().filter(|f| f.extension().is_some_and(|e| e == "rs")) {
        let source = code(&file);
        let uses: Vec<&&str> = system.iter().filter(|word| source.contains(**word)).collect();
        match free.iter().any(|free| file.starts_with(at(free))) {
            true => asked += uses.len(),
            false => assert!(uses.is_empty(), "{} asks for {uses:?}", file.display()),
        }
    }
    assert!(asked > 10, "so it would be seen");
}

/// The code of a file: no comments.
fn code(file: &Path) -> String {
    let source = fs::read_to_string(file).expect("readable");
    source.lines().filter(|l| !l.trim_start().starts_with("//")).map(|l| format!("{l}\n")).collect()
}

/// Every path of a `use`, its braces spread out: `a::{b, c::d}` is `a::b` and `a::c::d`.
fn spread(tree: &str) -> Vec<String> {
    let Some((head, inner)) = tree.split_once('{') else {
        return vec![tree.split(" as ").next().unwrap_or_default().trim().to_owned()];
    };
    let inner = &inner[..inner.rfind('}').expect("closed")];
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for c in inner.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                parts.push(String::new());
                continue;
            }
            _ => {}
        }
        parts.last_mut().expect("one").push(c);
    }
    let parts = parts.iter().map(|p| p.trim()).filter(|p| !p.is_empty());
    parts.flat_map(|p| spread(&format!("{}{p}", head.trim()))).collect()
}

/// What a file brings in by `use`: the path, and whether it is only passed on.
fn brought(code: &str) -> Vec<(String, bool)> {
    let mut found = Vec::new();
    let mut rest = code;
    while let Some(at) = rest.find("use ") {
        let line = rest[..at].rsplit('\n').next().unwrap_or_default().trim();
        let tree = &rest[at + 4..];
        let end = tree.find(';').unwrap_or(tree.len());
        if line.is_empty() || line == "pub" || line == "pub(crate)" || line == "pub(super)" {
            found.extend(spread(&tree[..end]).into_iter().map(|path| (path, !line.is_empty())));
        }
        rest = &tree[end..];
    }
    found
}

/// Every path in a file that begins in the crate, in `use` lines and elsewhere.
fn paths(code: &str) -> Vec<String> {
    // How far a name is seen says nothing of what its file knows.
    let code = &code.replace("pub(in crate::", "pub(in ");
    let words = code.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':'));
    let inline = words.filter(|w| ["crate::", "super::"].iter().any(|s| w.starts_with(s)));
    let used = brought(code).into_iter().filter(|(_, passed_on)| !passed_on).map(|(path, _)| path);
    used.chain(inline.filter(|w| !w.ends_with("::")).map(str::to_owned)).collect()
}

#[test]
fn every_room_knows_only_rooms_below_it() {
    let rooms = rooms();
    assert!(rooms.len() > 10);
    for (i, room) in rooms.iter().enumerate() {
        let files = files(room);
        assert!(!files.is_empty(), "{room}");
        for file in files.iter().filter(|f| f.extension().is_some_and(|e| e == "rs")) {
            let code = code(file);
            assert!(!code.contains("crate::{"), "{}: one line a room, please", file.display());
            let passed_on = brought(&code).into_iter().map(|(path, _)| path);
            for path in paths(&code).into_iter().chain(passed_on) {
                let mut steps = path.split("::");
                let there = steps.next() == Some("crate");
                let other = steps.next().filter(|_| there).unwrap_or_default();
                assert!(!rooms[i + 1..].iter().any(|r| r == other), "{} knows {other}", file.display());
            }
        }
    }
}

/// The files of a room by their module paths, such as `job::bowl::tables`.
struct Modules {
    code: BTreeMap<String, String>,
}

impl Modules {
    fn of(room: &str) -> Modules {
        let source = at("src");
        let name = |file: &PathBuf| {
            let inside = file.strip_prefix(&source).expect("in src").with_extension("");
            let steps: Vec<String> = inside.iter().map(|s| s.to_string_lossy().into_owned()).collect();
            steps.join("::").trim_end_matches("::mod").to_owned()
        };
        let rust = files(room).into_iter().filter(|f| f.extension().is_some_and(|e| e == "rs"));
        Modules { code: rust.map(|file| (name(&file), code(&file))).collect() }
    }

    /// The module in which a path that stands in `from` ends, if in this room.
    fn end(&self, from: &str, path: &str, depth: usize) -> Option<String> {
        let mut here = match path.split("::").next()? {
            "crate" => String::new(),
            "super" | "self" => from.to_owned(),
            first if self.code.contains_key(&format!("{from}::{first}")) => from.to_owned(),
            _ => return None,
        };
        for step in path.split("::").skip_while(|s| ["crate", "self"].contains(s)) {
            let below = if here.is_empty() { step.to_owned() } else { format!("{here}::{step}") };
            if step == "super" {
                here = here.rsplit_once("::")?.0.to_owned();
            } else if self.code.contains_key(&below) {
                here = below;
            } else {
                return self.home(&here, step, depth);
            }
        }
        Some(here)
    }

    /// The module that defines what a module passes on by this name.
    fn home(&self, module: &str, name: &str, depth: usize) -> Option<String> {
        let code = self.code.get(module)?;
        for (path, _) in brought(code).iter().filter(|_| depth < 5) {
            let (head, last) = path.rsplit_once("::").unwrap_or(("", path));
            if last == name {
                return self.end(module, path, depth + 1);
            }
            let defined = |home: &String| {
                let words = ["struct", "enum", "fn", "const", "type", "trait"];
                self.code.get(home).is_some_and(|c| words.iter().any(|w| c.contains(&format!("{w} {name}"))))
            };
            if let Some(home) = self.end(module, head, depth + 1).filter(|_| last == "*").filter(defined) {
                return Some(home);
            }
        }
        Some(module.to_owned())
    }

    /// What each file knows of the room's other files; what is only passed on doesn't count.
    fn known(&self) -> BTreeMap<&str, BTreeSet<String>> {
        let known = |(name, code): (&String, &String)| {
            let ends = paths(code).into_iter().filter_map(|path| self.end(name, &path, 0));
            ends.filter(|end| end != name).collect()
        };
        self.code.iter().map(|entry| (entry.0.as_str(), known(entry))).collect()
    }

    /// Files that know each other, round about: every circle of more than two.
    fn circles(&self) -> BTreeSet<BTreeSet<String>> {
        let known = self.known();
        let reached = |from: &str| {
            let mut seen = BTreeSet::new();
            let mut open = vec![from.to_owned()];
            while let Some(next) = open.pop() {
                open.extend(known[next.as_str()].iter().filter(|k| seen.insert((*k).clone())).cloned());
            }
            seen
        };
        let all: BTreeMap<&str, BTreeSet<String>> = known.keys().map(|name| (*name, reached(name))).collect();
        let circle = |name: &str| -> BTreeSet<String> {
            all[name].iter().filter(|other| all[other.as_str()].contains(name)).cloned().collect()
        };
        all.keys().map(|name| circle(name)).filter(|c| c.len() > 2).collect()
    }
}

#[test]
fn no_more_than_two_files_of_a_room_know_each_other_round_about() {
    let circles: Vec<_> = rooms().iter().flat_map(|room| Modules::of(room).circles()).collect();
    assert!(circles.is_empty(), "{circles:#?}");
}

#[test]
fn a_circle_would_be_seen() {
    let file = |name: &str, code: &str| (name.to_owned(), code.to_owned());
    let mut modules = Modules {
        code: [
            file("room", "mod a;\nmod b;\nmod c;\npub use a::A;\npub use c::*;\n"),
            file("room::a", "use super::b::{B, other};\nstruct A;\n"),
            file("room::b", "struct B(super::C);\n"),
            file("room::c", "struct C;\n"),
        ]
        .into(),
    };
    assert!(modules.circles().is_empty());
    modules.code.insert("room::c".into(), "use crate::room::A;\nstruct C;\n".into());
    let circle = ["room::a", "room::b", "room::c"].map(str::to_owned);
    assert_eq!(modules.circles(), [circle.into()].into());
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
fn every_file_named_for_builders_is_there() {
    for folder in ["", "tests", "benches", "src/practice"] {
        let files = ["DEVELOPERS.md", "README.md", "MEASURED.md"].map(|name| at(folder).join(name));
        let document = files.iter().find(|file| file.exists()).expect("a document");
        let document = fs::read_to_string(document).expect("UTF-8");
        let named = document.split('`').filter(|w| w.contains('/') && !w.contains([' ', '*', '\n']));
        for path in named {
            let near = ["", "src", folder].map(|root| at(root).join(path));
            assert!(near.iter().any(|file| file.exists()), "{folder}: {path}");
        }
    }
}
