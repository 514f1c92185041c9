//! The page in a real browser: a whole fitting by thumb, two tabs, the keyboard
//! alone, what axe-core finds, and how fast the map follows the typing.
//!
//! Needs node, chromium, and the packages that `npm ci` puts into
//! tests/browser. With `RIBWRIGHT_SHOTS=DIR` they leave pictures of the pages there.
#![cfg(unix)]

use std::ffi::OsStr;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{OnceLock, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};

use crate::need::{Need, trials};
use crate::served::Served;
use crate::typing::{copied, read, text};
use libtest_mimic::Trial;
use ribwright::advice::{Options, Verdict, decide, work_out};
use ribwright::job::Job;
use ribwright::practice::Recipe;
use ribwright::practice::bench::{Advised, run};
use ribwright::record::write_folder;
use ribwright::show::planned_text;
use serde_json::{Value, json};

pub fn scripts() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser")
}

pub fn there(program: &str) -> bool {
    Command::new("sh")
        .args(["-c", &format!("command -v {program}")])
        .output()
        .is_ok_and(|o| o.status.success())
}

pub fn node_there() -> bool {
    there("node") && scripts().join("node_modules/playwright-core").exists()
}

pub fn browser_there() -> bool {
    node_there() && ["chromium", "chromium-browser", "google-chrome"].into_iter().any(there)
}

const NODE: Need =
    Need { met: node_there, wanted: "install nodejs, and run `npm ci` in tests/browser", in_ci: true };

const BROWSER: Need = Need {
    met: browser_there,
    wanted: "install chromium and nodejs, and run `npm ci` in tests/browser",
    in_ci: true,
};

pub fn tests() -> Vec<Trial> {
    let mut all = trials![
        BROWSER;
        a_whole_fitting_by_typing_and_ticking,
        two_tabs_hear_of_each_other,
        a_doubt_is_corrected_and_a_lost_value_brought_back,
        the_keyboard_alone_will_do,
        the_field_typed_into_is_seen_at_every_size,
        every_page_fits_every_window,
        one_station_at_a_time_with_leaves_and_bearings,
        axe_finds_nothing_on_any_page,
        axe_finds_nothing_on_the_bowls_pages,
        axe_finds_nothing_in_any_state_of_the_work,
        a_lesson_is_answered_by_tapping,
        the_map_follows_the_typing,
    ];
    all.extend(trials![NODE; many_requests_leave_nothing_behind]);
    let long = trials![NODE; a_minute_of_fifty_requests_a_second];
    all.extend(long.into_iter().map(|t| t.with_ignored_flag(true)));
    all
}

static BROWSERS: RwLock<()> = RwLock::new(());

/// As many browsers at a time as tests run: they wait much, for each other's keys and frames.
pub fn turn() -> RwLockReadGuard<'static, ()> {
    BROWSERS.read().unwrap_or_else(PoisonError::into_inner)
}

/// No other browser meanwhile, where the time counts.
pub fn alone() -> RwLockWriteGuard<'static, ()> {
    BROWSERS.write().unwrap_or_else(PoisonError::into_inner)
}

fn address(served: &Served) -> String {
    format!("http://{}/", served.host())
}

fn node(scenario: &str, address: &str, more: &[impl AsRef<OsStr>]) -> Command {
    let mut command = Command::new("node");
    command.current_dir(scripts()).arg("run.mjs").arg(scenario).arg(address).args(more);
    command
}

fn plays(scenario: &str, served: &Served, more: &[&str]) -> String {
    let output = node(scenario, &address(served), more).output().expect("node runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{scenario}: {said}{}", String::from_utf8_lossy(&output.stderr));
    said
}

/// The script at the page, and the rib that it fits.
struct Bench {
    script: Child,
    answers: BufReader<std::process::ChildStdout>,
}

impl Bench {
    fn at(address: &str, more: &[&Path]) -> Bench {
        let mut script = node("fitting", address, more)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("node runs");
        let answers = BufReader::new(script.stdout.take().expect("a pipe"));
        Bench { script, answers }
    }

    /// The last round's readings are typed; gives what the page then said.
    fn round(&mut self, job: &Job) -> Value {
        let last = job.rounds.last().expect("a round");
        let gaps: Vec<f64> = last.readings.iter().map(|r| r.overlap.map_or(0.0, |o| 0.0 - o)).collect();
        let lifts: Vec<f64> = last.readings.iter().map(|r| r.lift.unwrap_or(0.0)).collect();
        let input = self.script.stdin.as_mut().expect("a pipe");
        writeln!(input, "{}", json!({ "gaps": gaps, "lifts": lifts })).expect("it listens");
        let mut line = String::new();
        self.answers.read_line(&mut line).expect("text");
        serde_json::from_str(&line).unwrap_or_else(|e| panic!("{e}: {line}"))
    }

    fn end(mut self) {
        drop(self.script.stdin.take());
        assert!(self.script.wait().expect("it ends").success());
    }
}

/// The first joint from 11 on that ends fitted, not for want of a finer shaving; looked for once.
fn one_that_fits() -> u64 {
    static FOUND: OnceLock<u64> = OnceLock::new();
    let fits = |seed: &u64| {
        let task = Recipe { plain: true, ..Recipe::default() }.task(*seed);
        let (mut advised, mut verdict) = (Advised::default(), None);
        run(&task, *seed, &mut |job: &Job, _| {
            let decision = advised.decide(job);
            verdict = advised.last.as_ref().map(|w| decide(job, w).verdict);
            decision
        });
        verdict == Some(Verdict::Fitted)
    };
    *FOUND.get_or_init(|| (11..40).find(fits).expect("a joint that ends fitted"))
}

/// Against the practice bench: a rib of known wood, seated, read, planed as the page
/// says and seated again, until the page says stop.
fn a_whole_fitting_by_typing_and_ticking() {
    let dir = tempfile::tempdir().expect("a folder");
    let written = |job: &Job| {
        write_folder(job, dir.path()).expect("written");
        let served = Served::start(dir.path(), &[]);
        (address(&served), served)
    };
    fits(written, &[], || read(dir.path()));
    assert!(!text(dir.path(), "strokes.csv").is_empty());
}

/// The same wherever the page is: `opened` puts a joint there and gives the address and what keeps
/// it alive; `saved` is what is there in the end.
pub fn fits<K>(opened: impl Fn(&Job) -> (String, K), more: &[&Path], saved: impl Fn() -> Job) {
    let _turn = turn();
    let seed = one_that_fits();
    let task = Recipe { plain: true, ..Recipe::default() }.task(seed);
    let (address, _alive) = opened(&task.job);
    let mut bench = Bench::at(&address, more);
    let (mut advised, mut words) = (Advised::default(), Vec::new());
    let outcome = run(&task, seed, &mut |job: &Job, _| {
        let said = bench.round(job);
        let before = advised.before.clone();
        let decision = advised.decide(job);
        // The page says what the library says.
        let working = work_out(job, &before, &Options::default()).expect("figures");
        let advice = decide(job, &working);
        let strokes: Vec<String> = advice.strokes.iter().map(|s| planned_text(job, s)).collect();
        let shown: Vec<&str> =
            said["strokes"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
        assert_eq!(shown.len(), strokes.len(), "{shown:?} {strokes:?}");
        assert!(strokes.iter().zip(&shown).all(|(a, b)| a.starts_with(b)), "{shown:?} {strokes:?}");
        words.push(said["verdict"].as_str().unwrap_or_default().to_owned());
        assert_eq!(words.last().is_some_and(|w| w == "Fitted"), advice.verdict == Verdict::Fitted);
        decision
    });
    bench.end();
    assert!(outcome.stopped, "{words:?}");
    assert_eq!(words.last().map(String::as_str), Some("Fitted"));
    assert!(outcome.rounds >= 2, "more than one round was typed");
    let job = saved();
    assert_eq!(job.rounds.len(), outcome.rounds);
    assert_eq!(job.rounds.iter().flat_map(|r| &r.strokes).map(|s| s.count).sum::<u32>(), outcome.strokes);
    eprintln!("fitted after {} rounds and {} strokes: {words:?}", outcome.rounds, outcome.strokes);
}

fn a_doubt_is_corrected_and_a_lost_value_brought_back() {
    let _turn = turn();
    let dir = copied("mistyped");
    let served = Served::start(dir.path(), &[]);
    plays("correct", &served, &["correct"]);
    let (job, table) = (read(dir.path()), text(dir.path(), "readings.csv"));
    assert_eq!(job.rounds[1].readings[4].overlap, Some(-0.3));
    std::fs::write(dir.path().join("readings.csv"), table.replace("2,5,neighbour,-0.3", "2,5,neighbour,-3"))
        .expect("written");
    plays("correct", &served, &["recover"]);
    assert_eq!(read(dir.path()).rounds, job.rounds);
}

fn two_tabs_hear_of_each_other() {
    let _turn = turn();
    let dir = copied("plain");
    let served = Served::start(dir.path(), &[]);
    plays("tabs", &served, &[]);
    assert_eq!(read(dir.path()).rounds.len(), 3);
}

fn the_keyboard_alone_will_do() {
    let _turn = turn();
    let dir = copied("plain");
    let served = Served::start(dir.path(), &[]);
    plays("keyboard", &served, &[]);
    let job = read(dir.path());
    assert_eq!(job.rounds.len(), 3);
    assert!(!job.rounds[2].strokes.is_empty());
}

fn the_field_typed_into_is_seen_at_every_size() {
    let _turn = turn();
    for (name, number) in [("plain", "0.45"), ("inch", "0.0105")] {
        let dir = copied(name);
        plays("sizes", &Served::start(dir.path(), &[]), &[number]);
    }
}

fn every_page_fits_every_window() {
    let _turn = turn();
    for (name, paths) in [("plain", &OF_A_JOINT[..]), ("bowl", &OF_A_BOWL)] {
        let dir = copied(name);
        plays("widths", &Served::start(dir.path(), &[]), paths);
    }
}

/// As the hand takes them: a leaf that goes in, the next asked for, where it bears.
fn one_station_at_a_time_with_leaves_and_bearings() {
    let _turn = turn();
    let dir = copied("plain");
    let settings = text(dir.path(), "joint.toml");
    let leaves = settings.replace("[reading]", "[reading]\nleaves = [0.05, 0.1, 0.15, 0.2, 0.3, 0.5]");
    std::fs::write(dir.path().join("joint.toml"), leaves).expect("written");
    let asked = plays("walk", &Served::start(dir.path(), &[]), &[]);
    let last = &read(dir.path()).rounds[2].readings;
    assert!(last[1].bears && !last[0].bears, "{last:?}");
    assert_eq!((last[0].overlap, last[0].lift), (Some(-0.15), Some(0.05)), "{asked}");
    assert!(last[0].within.lift.is_some_and(|within| within.low == f64::NEG_INFINITY));
    assert_eq!(
        last.iter().filter(|r| r.lift.is_some()).count(),
        asked.trim().parse::<usize>().expect("a number")
    );
}

/// Every page of a joint in work, and the pages around it.
const OF_A_JOINT: [&str; 14] = [
    "joint/1",
    "joint/1/read",
    "joint/1/correct/4",
    "joint/1/look",
    "joint/1/try",
    "joint/1/history",
    "joint/1/card",
    "take-along",
    "code",
    "nowhere",
    "lessons",
    "lessons/lever/1",
    "lessons/soles/1",
    "lessons/slices/1",
];

fn axe_finds_nothing_on_any_page() {
    let _turn = turn();
    let dir = copied("plain");
    plays("axe", &Served::start(dir.path(), &[]), &OF_A_JOINT);
}

/// Every page of a bowl that is not a joint's alone, and a joint that waits.
const OF_A_BOWL: [&str; 10] = [
    "",
    "divide",
    "divide/symmetric",
    "moisture",
    "joint/02/mark",
    "joint/03/mark",
    "joint/03/shim",
    "joint/03/spacer",
    "joint/03",
    "joint/09",
];

fn axe_finds_nothing_on_the_bowls_pages() {
    let _turn = turn();
    let dir = copied("bowl");
    plays("axe", &Served::start(dir.path(), &[]), &OF_A_BOWL);
}

/// The other verdicts, and inches.
fn axe_finds_nothing_in_any_state_of_the_work() {
    let _turn = turn();
    for name in ["fitted", "mistyped", "inch"] {
        let dir = copied(name);
        plays("axe", &Served::start(dir.path(), &[]), &["joint/1", "joint/1/read", "few"]);
    }
}

fn a_lesson_is_answered_by_tapping() {
    let _turn = turn();
    let dir = copied("plain");
    plays("lesson", &Served::start(dir.path(), &[]), &[]);
}

/// What the program holds in memory, kB (proc(5), VmRSS).
fn memory(served: &Served) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", served.child.id())).ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}

fn many_requests(seconds: u32, rate: u32) {
    let dir = copied("plain");
    let served = Served::start(dir.path(), &[]);
    let rate = rate.to_string();
    plays("load", &served, &["5", &rate]);
    let before = memory(&served);
    let said = plays("load", &served, &[&seconds.to_string(), &rate]);
    let after = memory(&served);
    eprintln!("{} memory {before:?} kB before, {after:?} kB after", said.trim());
    if let (Some(before), Some(after)) = (before, after) {
        assert!(after < before + 8_000, "{before} kB grew to {after} kB");
    }
}

/// A short one, since a build for debugging works out an answer ten times slower.
fn many_requests_leave_nothing_behind() {
    many_requests(5, 15);
}

/// Only when asked for, since it takes a minute, and a release build to keep up:
/// `cargo test --release --test tools a_minute -- --ignored`
fn a_minute_of_fifty_requests_a_second() {
    many_requests(60, 50);
}

/// The aim is 100 ms at 95 %; a build for debugging, and a machine that runs other
/// tests, may take longer.
fn the_map_follows_the_typing() {
    let _alone = alone();
    let dir = copied("plain");
    let served = Served::start(dir.path(), &[]);
    let limit = if cfg!(debug_assertions) { "400" } else { "100" };
    eprintln!("{}", plays("speed", &served, &[limit]).trim());
}
