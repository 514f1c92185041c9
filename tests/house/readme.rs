//! README.md and the documents beside what they explain say what the program does: their
//! commands are run, their excerpts compared with what is printed, their tables read by the
//! real readers, and what they link to is there.
//!
//! When the program's words or figures have changed on purpose, write the
//! excerpts and pictures anew:
//!
//! ```sh
//! cargo test --test house readme -- --ignored
//! ```

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use crate::folders::copied;
use assert_cmd::Command;
use ribwright::advice::Verdict;
use ribwright::job::{self, Job};
use serde_json::Value;
use tempfile::TempDir;

const AGAIN: &str = "after a change on purpose: cargo test --test house readme -- --ignored";

/// What makers read.
const MAKERS: [&str; 3] = ["README.md", JOINT, BOWL];
/// Columns and files of a joint, and what else to do with it.
const JOINT: &str = "demo-readings/README.md";
/// The whole bowl.
const BOWL: &str = "demo-readings/bowl/README.md";
/// What whoever carries the work on reads.
const BUILDERS: [&str; 4] =
    ["DEVELOPERS.md", "tests/README.md", "benches/README.md", "src/practice/MEASURED.md"];

fn documents() -> impl Iterator<Item = &'static str> {
    MAKERS.into_iter().chain(BUILDERS)
}

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn text(path: &str) -> String {
    fs::read_to_string(at(path)).expect(path).replace("\r\n", "\n")
}

/// A fenced block: its language and its lines.
#[derive(Debug, Clone)]
struct Block {
    language: String,
    lines: Vec<String>,
}

impl Block {
    fn whole(&self) -> String {
        self.lines.join("\n") + "\n"
    }
}

fn blocks(markdown: &str, language: &str) -> Vec<Block> {
    let mut found: Vec<Block> = Vec::new();
    let mut open = false;
    for line in markdown.lines() {
        match (line.strip_prefix("```"), open) {
            (Some(name), false) => {
                found.push(Block { language: name.to_owned(), lines: Vec::new() });
                open = true;
            }
            (Some(_), true) => open = false,
            (None, true) => found.last_mut().expect("a block is open").lines.push(line.to_owned()),
            (None, false) => {}
        }
    }
    assert!(!open, "a block is not closed");
    found.retain(|b| b.language == language);
    found
}

/// A folder with a copy of the demo readings, so that nothing is written into the project.
fn bench() -> TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    copied(&at("demo-readings"), &dir.path().join("demo-readings"));
    dir
}

/// The arguments after the program's name; `None` for a command of another program.
fn arguments(command: &str) -> Option<Vec<&str>> {
    let rest =
        command.strip_prefix("ribwright ").or_else(|| command.strip_prefix("cargo run --release -- "))?;
    Some(rest.split_whitespace().collect())
}

fn run(dir: &Path, command: &str) -> String {
    let arguments = arguments(command).unwrap_or_else(|| panic!("nothing runs `{command}`"));
    let mut program = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    let output = program.current_dir(dir).args(arguments).output().expect("it runs");
    assert!(output.status.success(), "`{command}` fails: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// The paragraphs of an output: what stands between blank lines.
fn paragraphs(output: &str) -> Vec<&str> {
    output.trim_end().split("\n\n").collect()
}

/// What an excerpt of `shown` lines should be: the whole output, or, where it
/// ends in `...`, as many of its first paragraphs.
fn excerpt(shown: &[String], output: &str) -> String {
    let shown = shown.join("\n");
    let Some(first) = shown.strip_suffix("\n...") else {
        return output.trim_end().to_owned();
    };
    let count = paragraphs(first).len();
    let kept: Vec<&str> = paragraphs(output).into_iter().take(count).collect();
    kept.join("\n\n") + "\n\n..."
}

fn console(block: &Block) -> (&str, &[String]) {
    let (command, shown) = block.lines.split_first().expect("a command");
    (command.strip_prefix("$ ").expect("`$ ` before the command"), shown)
}

#[test]
fn two_commands_do_all_the_setting_up() {
    let readme = text("README.md");
    let first = blocks(&readme, "sh").into_iter().next().expect("a block");
    assert_eq!(first.lines, ["cargo run --release -- advise demo-readings/plain", "cargo test"]);
    // And what is said to be tested is what is tested, in parts that run side by side.
    let run = text(".ci/run");
    for part in ["cargo test --test tools", "cargo test \"${others[@]}\"", "cargo test --doc"] {
        assert!(run.lines().any(|line| line.starts_with(part)), "{part}");
    }
}

/// The commands of a document, each on one line and without what is said beside it.
fn commands(document: &str) -> Vec<String> {
    let lines = blocks(&text(document), "sh").iter().map(Block::whole).collect::<String>();
    let whole = lines.replace("\\\n", " ");
    let bare = whole.lines().map(|l| l.split(" #").next().unwrap_or_default().trim().to_owned());
    bare.filter(|l| !l.is_empty()).collect()
}

/// The same with one joint where many are played, which takes minutes.
fn short(command: &str) -> String {
    let mut words: Vec<&str> = command.split_whitespace().collect();
    if let Some(number) = words.iter().position(|w| *w == "--joints").and_then(|i| words.get_mut(i + 1)) {
        *number = "1";
    }
    words.join(" ")
}

#[test]
fn every_command_is_run() {
    for document in documents() {
        let dir = bench();
        for command in commands(document) {
            match arguments(&command) {
                Some(_) => drop(run(dir.path(), &short(&command))),
                None => assert!(!MAKERS.contains(&document) || command == "cargo test", "{command}"),
            }
        }
    }
}

/// Whether a test or bench program, or a module or function in one, is called so.
fn there_is(name: &str, folder: &str) -> bool {
    let program = [format!("{folder}/{name}.rs"), format!("{folder}/{name}/main.rs")];
    program.iter().any(|file| at(file).exists()) || {
        let last = name.rsplit("::").next().unwrap_or(name);
        let within = [format!("fn {last}"), format!("mod {last}")];
        sources(&at(folder)).iter().any(|source| within.iter().any(|w| source.contains(w)))
    }
}

/// The text of all Rust files below a folder of the project.
fn sources(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("listed").map(|e| e.expect("an entry").path());
    let mut all = Vec::new();
    for path in entries.filter(|p| !p.ends_with("node_modules")) {
        match path.is_dir() {
            true => all.extend(sources(&path)),
            false if path.extension().is_some_and(|e| e == "rs") => {
                all.push(fs::read_to_string(path).expect("UTF-8"));
            }
            false => {}
        }
    }
    all
}

#[test]
fn every_test_and_bench_that_is_called_is_there() {
    let mut called = 0;
    for command in documents().flat_map(commands) {
        let folder = match command.split_whitespace().nth(1) {
            Some("test") if command.starts_with("cargo ") => "tests",
            Some("bench") if command.starts_with("cargo ") => "benches",
            _ => continue,
        };
        let names = command.split_whitespace().skip(2).filter(|word| !word.starts_with('-'));
        for name in names {
            assert!(there_is(name, folder), "`{command}`: no {name}");
            called += 1;
        }
    }
    assert!(called > 5, "{called}");
}

#[test]
fn what_is_read_first_is_short() {
    for (document, most) in [("README.md", 10_000), ("DEVELOPERS.md", 12_000)] {
        let bytes = text(document).len();
        assert!(bytes <= most, "{document} has {bytes} bytes, {most} at most");
    }
}

#[test]
fn every_excerpt_is_what_the_program_prints() {
    let dir = bench();
    for document in MAKERS {
        let consoles = blocks(&text(document), "console");
        assert!(!consoles.is_empty(), "{document}");
        for block in &consoles {
            let (command, shown) = console(block);
            let printed = run(dir.path(), command);
            assert_eq!(shown.join("\n"), excerpt(shown, &printed), "`{command}`; {AGAIN}");
        }
    }
}

#[test]
fn the_tables_and_settings_are_read_as_shown() {
    let readme = text(JOINT);
    let dir = tempfile::tempdir().expect("a folder");
    let put = |name: &str, content: &str| fs::write(dir.path().join(name), content).expect("written");
    let settings = blocks(&readme, "toml");
    assert_eq!(settings.len(), 1);
    put("joint.toml", &settings[0].whole());
    let tables = blocks(&readme, "csv");
    assert_eq!(tables.len(), 3);
    for (table, (name, key)) in tables.iter().zip([
        ("stations.csv", "station,along"),
        ("readings.csv", "round,station"),
        ("strokes.csv", "round,plane"),
    ]) {
        assert!(table.lines[0].starts_with(key), "{name}");
        put(name, &table.whole());
    }
    let job = job::read(dir.path()).expect("read");
    assert!(job.warnings.is_empty(), "{:?}", job.warnings);
    let rows = |i: usize| tables[i].lines.len() - 1;
    assert_eq!(job.stations.len(), rows(0));
    assert_eq!(job.rounds.len() * job.stations.len(), rows(1));
    assert_eq!(job.rounds.iter().map(|r| r.strokes.len()).sum::<usize>(), rows(2));
    let usual = Job::default();
    assert_eq!((job.reading, job.tolerance, job.planes), (usual.reading, usual.tolerance, usual.planes));
}

#[test]
fn the_bowl_is_read_as_shown() {
    let readme = text(BOWL);
    let dir = tempfile::tempdir().expect("a folder");
    let joint = dir.path().join("joints/02");
    fs::create_dir_all(&joint).expect("made");
    let put = |name: &str, language: &str| {
        let shown = blocks(&readme, language);
        assert_eq!(shown.len(), 1, "{language}");
        fs::write(dir.path().join(name), shown[0].whole()).expect("written");
    };
    put("bowl.toml", "toml");
    put("girth.csv", "csv girth");
    put("widths.csv", "csv widths");
    put("time.csv", "csv time");
    put("joints/02/marks.csv", "csv marks");
    let row = |i: usize| format!("{i},{},20,5,40\n", 100 * i);
    let stations = (1..=5).map(row).collect::<String>();
    fs::write(joint.join("stations.csv"), format!("station,along,width,bevel,rise\n{stations}"))
        .expect("written");
    let bowl = job::bowl::read_bowl(dir.path()).expect("sound");
    assert!(bowl.warnings.is_empty(), "{:?}", bowl.warnings);
    let (shown, usual) = (&bowl.settings, job::bowl::BowlSettings::default());
    assert_eq!((shown.errors, shown.even, shown.thinnest), (usual.errors, usual.even, usual.thinnest));
    assert_eq!(shown.spacer, Some(job::bowl::Spacer::default()));
    assert_eq!(
        (bowl.girths.len(), bowl.minutes.len(), bowl.joints[0].marks.iter().flatten().count()),
        (2, 1, 2)
    );
}

#[test]
fn every_column_named_is_one_that_is_read() {
    let told = text(JOINT);
    let columns = job::columns::documented();
    for (name, line) in &columns {
        let row = format!("| `{name}` | {line} |");
        assert!(told.lines().any(|l| l == row), "{row}");
    }
    let known: Vec<&str> = columns.iter().map(|(name, _)| *name).collect();
    // One row with every one of them, and no column is said to be unknown.
    let dir = tempfile::tempdir().expect("a folder");
    let row =
        |name: &str, along: &str| format!("{name},{along},20,5,40,10,0,0,1,neighbour,-0.15,0.1,0,no,1,no");
    let rows = [row("a", "10"), row("b", "200"), row("c", "400")].join("\n");
    let file = dir.path().join("first.csv");
    fs::write(&file, format!("{}\n{rows}\n", known.join(","))).expect("written");
    let job = job::read(&file).expect("read");
    let codes: Vec<&str> = job.warnings.iter().map(|w| w.code).collect();
    assert!(codes.iter().all(|c| ["no-spare", "default-plane"].contains(c)), "{:?}", job.warnings);
}

#[test]
fn every_verdict_is_explained() {
    let readme = text("README.md");
    for verdict in [Verdict::Plane, Verdict::Fitted, Verdict::ReadAgain, Verdict::NoAnswer] {
        let word = serde_json::to_value(verdict).expect("a word");
        assert!(readme.contains(&format!("| `{}`", word.as_str().expect("a word"))), "{verdict:?}");
    }
}

/// Every path of keys in a JSON value, list places left out.
fn keys(value: &Value, at: &str, all: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => map.iter().for_each(|(key, inner)| {
            let path = format!("{at}.{key}");
            keys(inner, &path, all);
            all.insert(path);
        }),
        Value::Array(list) => list.iter().for_each(|inner| keys(inner, at, all)),
        _ => {}
    }
}

fn key_set(text: &str) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    keys(&serde_json::from_str(text).expect("JSON"), "", &mut all);
    all
}

#[test]
fn the_json_shown_has_the_keys_that_are_written() {
    let readme = text(JOINT);
    let shown = blocks(&readme, "json");
    assert_eq!(shown.len(), 1);
    let dir = bench();
    // Together these two have strokes and warnings.
    let mut written = key_set(&run(dir.path(), "ribwright advise demo-readings/plain --json"));
    written.extend(key_set(&run(dir.path(), "ribwright advise demo-readings/first-try.csv --json")));
    assert_eq!(key_set(&shown[0].whole()), written);
}

/// How a link names a heading: small letters and figures, a dash for each blank.
fn anchor(heading: &str) -> String {
    let kept = heading.trim().chars().filter(|c| c.is_alphanumeric() || [' ', '-', '_'].contains(c));
    kept.collect::<String>().to_lowercase().replace(' ', "-")
}

fn has_heading(document: &Path, wanted: &str) -> bool {
    let markdown = fs::read_to_string(document).expect("readable");
    let headings = markdown.lines().filter(|l| l.starts_with('#')).map(|l| l.trim_start_matches('#'));
    headings.map(anchor).any(|there| there == wanted)
}

#[test]
fn what_is_linked_to_is_there() {
    for file in documents() {
        let markdown = text(file);
        let links = markdown.split("](").skip(1).filter_map(|rest| rest.split(')').next());
        let mut count = 0;
        for link in links.filter(|l| !l.contains("://")) {
            let (path, heading) = link.split_once('#').unwrap_or((link, ""));
            let target = match path {
                "" => at(file),
                path => at(file).parent().expect("a folder").join(path),
            };
            assert!(target.exists(), "{file}: {link}");
            assert!(heading.is_empty() || has_heading(&target, heading), "{file}: {link}");
            count += 1;
        }
        assert!(count > 0, "{file}");
    }
}

/// Numbers and what stands between them.
fn tokens(svg: &str) -> Vec<Result<f64, String>> {
    let mut all: Vec<Result<f64, String>> = Vec::new();
    let mut rest = svg;
    while !rest.is_empty() {
        let digit = |c: char| c.is_ascii_digit() || c == '.';
        let start = rest.find(digit).unwrap_or(rest.len());
        all.push(Err(rest[..start].to_owned()));
        rest = &rest[start..];
        let end = rest.find(|c| !digit(c)).unwrap_or(rest.len());
        all.extend((end > 0).then(|| rest[..end].parse().map_err(|_| rest[..end].to_owned())));
        rest = &rest[end..];
    }
    all
}

const DRAWN: [&str; 7] = [
    "removal-map.svg",
    "passes.svg",
    "both-edges.svg",
    "space.svg",
    "lever.svg",
    "sections.svg",
    "widths.svg",
];
const DRAW: [&str; 2] = [
    "ribwright draw demo-readings/plain --into pictures",
    "ribwright bowl demo-readings/bowl --pictures pictures",
];

#[test]
fn the_pictures_are_what_the_program_draws() {
    let dir = bench();
    DRAW.iter().for_each(|draw| drop(run(dir.path(), draw)));
    for name in DRAWN {
        let drawn = tokens(&fs::read_to_string(dir.path().join("pictures").join(name)).expect("drawn"));
        let kept = tokens(&text(&format!("demo-readings/pictures/{name}")));
        assert_eq!(drawn.len(), kept.len(), "{name}; {AGAIN}");
        for pair in drawn.into_iter().zip(kept) {
            match pair {
                // Half a pixel: another machine may round otherwise.
                (Ok(a), Ok(b)) => assert!((a - b).abs() < 0.5, "{name}: {a} {b}; {AGAIN}"),
                (a, b) => assert_eq!(a, b, "{name}; {AGAIN}"),
            }
        }
    }
}

#[test]
fn the_drawing_of_the_frame_can_be_read_aloud() {
    let svg = text("demo-readings/pictures/joint-frame.svg");
    let drawing = roxmltree::Document::parse(&svg).expect("XML");
    for name in ["title", "desc"] {
        let said = drawing.descendants().find(|n| n.has_tag_name((SVG, name))).and_then(|n| n.text());
        assert!(said.is_some_and(|s| s.len() > 20), "{name}");
    }
    let words: Vec<&str> = drawing.descendants().filter_map(|n| n.text()).collect();
    for name in ["along", "rise", "width", "bevel", "outer_bevel", "overlap", "gap", "lift", "seat"] {
        assert!(words.iter().any(|w| w.starts_with(name)), "{name}");
    }
    // Grey only: nothing hangs on colour.
    let colours = svg.split('#').skip(1).filter_map(|rest| rest.get(..6));
    for c in colours.filter(|c| c.chars().all(|c| c.is_ascii_hexdigit())) {
        assert!(c[..2] == c[2..4] && c[..2] == c[4..], "#{c}");
    }
}

const SVG: &str = "http://www.w3.org/2000/svg";

#[test]
#[ignore = "changes the documents and the pictures"]
fn write_the_excerpts_and_pictures_anew() {
    let dir = bench();
    for document in MAKERS {
        let mut anew = text(document);
        for block in blocks(&anew.clone(), "console") {
            let (command, shown) = console(&block);
            let printed = excerpt(shown, &run(dir.path(), command));
            let old = format!("```console\n{}```", block.whole());
            anew = anew.replace(&old, &format!("```console\n$ {command}\n{printed}\n```"));
        }
        fs::write(at(document), anew).expect("written");
    }
    DRAW.iter().for_each(|draw| drop(run(dir.path(), draw)));
    for name in DRAWN {
        let to = at("demo-readings/pictures").join(name);
        fs::copy(dir.path().join("pictures").join(name), to).expect("copied");
    }
}
