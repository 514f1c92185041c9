//! Joints on which the program is held against the script, all of the practice bench's
//! invention, each with what changes it.

use std::path::{Path, PathBuf};
use std::process::Command;

use ribwright::advice::{Before, Options, Working, work_out};
use ribwright::fit::SurfaceChoice;
use ribwright::fit::cuts::Taken;
use ribwright::job::{Against, Clearances, Job, Measured, Mold as Kind, Plane, Stroke, Unit, read};
use ribwright::practice::bench::{Advised, Decision, run};
use ribwright::practice::blank::{Task, blank};
use ribwright::practice::dice::Dice;
use ribwright::practice::mold::Mold;
use ribwright::practice::rib::KnownJoint;
use ribwright::practice::world::World;
use ribwright::practice::{Recipe, Wrong};
use ribwright::record::write_folder;
use serde_json::{Value, json};

/// A joint and what it is there for.
pub struct Case {
    pub name: String,
    pub job: Job,
    pub options: Options,
}

/// A practice job after so many rounds of following the advice; what the advice would stop
/// at is pushed over once more, so that there are as many rounds as asked for.
fn rounds_of(task: &Task, seed: u64, rounds: usize) -> Job {
    let (mut kept, mut advised) = (task.job.clone(), Advised::default());
    let last = task.job.stations.len() - 1;
    run(task, seed, &mut |job, _| {
        kept = job.clone();
        if job.rounds.len() == rounds {
            return Decision::Stop;
        }
        match advised.decide(job) {
            Decision::Stop => {
                let push = Stroke { plane: 0, from: 0, to: last, count: 1, shaving: None };
                Decision::Take(vec![push], vec![0.0; last + 1])
            }
            go_on => go_on,
        }
    });
    kept
}

fn drawn(recipe: Recipe, seed: u64, rounds: usize) -> Job {
    rounds_of(&recipe.task(seed), seed, rounds)
}

fn mixed(stations: usize, seed: u64, rounds: usize) -> Job {
    drawn(Recipe { stations: Some(stations), ..Recipe::default() }, seed, rounds)
}

fn plain(stations: usize, seed: u64, rounds: usize) -> Job {
    drawn(Recipe { plain: true, stations: Some(stations), ..Recipe::default() }, seed, rounds)
}

/// A joint of a bowl that is only so deep, mm.
fn shallow(half_width: f64, stations: usize, seed: u64, rounds: usize) -> Job {
    let mold = Mold {
        length: 420.0,
        half_width,
        belly: 1.15,
        bluntness: 0.85,
        depth: 0.9,
        depth_change: 0.05,
        ribs: 11,
    };
    let known = KnownJoint::new(&mold, 4, stations, 1);
    let wood = blank(&mut Dice::new(seed), &known);
    let mut job = known.job();
    job.stations.iter_mut().for_each(|s| s.width = s.width.max(1.0));
    rounds_of(&Task::new(known, wood, job, None), seed, rounds)
}

/// A joint whose edge is curved by so much, mm, as no plane is.
fn curved(size: f64, stations: usize, seed: u64, rounds: usize) -> Job {
    let mut task = Recipe { plain: true, stations: Some(stations), ..Recipe::default() }.task(seed);
    let length = task.known.arc.last().copied().unwrap_or(1.0);
    for (edge, arc) in task.blank.edge.iter_mut().zip(&task.known.arc) {
        let u = 2.0 * arc / length - 1.0;
        *edge += size * ((5.0 * u * u - 3.0) * u / 2.0 + 1.0);
    }
    rounds_of(&task, seed, rounds)
}

fn changed(mut job: Job, change: impl Fn(&mut Job)) -> Job {
    change(&mut job);
    job
}

/// The first rounds against a line that is off by a wave of its own.
fn against_line(job: &mut Job, rounds: usize) {
    let count = job.stations.len() as f64;
    for round in &mut job.rounds[..rounds] {
        round.against = Against::Line;
        for (i, reading) in round.readings.iter_mut().enumerate() {
            let off = 0.8 * (3.0 * i as f64 / count + 0.5).sin();
            reading.overlap = reading.overlap.map(|o| o + off);
        }
    }
}

fn faceted(job: &mut Job) {
    job.mold = Kind::Faceted;
    job.stations.iter_mut().for_each(|s| (s.inner_bevel, s.outer_bevel) = (None, None));
}

fn flat(job: &mut Job) {
    job.stations.iter_mut().for_each(|s| s.rise = None);
}

fn unlifted(job: &mut Job) {
    job.rounds.iter_mut().flat_map(|r| &mut r.readings).for_each(|r| r.lift = None);
}

fn seats(job: &mut Job) {
    for (i, reading) in job.rounds.iter_mut().flat_map(|r| &mut r.readings).enumerate() {
        reading.seat = (i % 3 != 1).then_some(0.05 * (i % 4) as f64);
    }
}

fn holes(job: &mut Job) {
    for (i, reading) in job.rounds.iter_mut().flat_map(|r| &mut r.readings).enumerate() {
        reading.overlap = reading.overlap.filter(|_| i % 5 != 2);
        reading.lift = reading.lift.filter(|_| i % 4 != 1);
    }
}

/// A decimal point that slipped, in the first round.
fn slipped(job: &mut Job) {
    let middle = job.stations.len() / 2;
    let reading = &mut job.rounds[0].readings[middle];
    reading.overlap = Some(reading.overlap.unwrap_or(0.0) * 10.0 - 2.0);
}

fn two_planes(job: &mut Job) {
    job.planes.push(Plane { name: "short".into(), sole: 160.0, shaving: 0.05, ..Plane::default() });
    let last = job.stations.len() - 1;
    for round in job.rounds.iter_mut().rev().skip(1) {
        round.strokes.push(Stroke { plane: 1, from: last / 2, to: last, count: 2, shaving: None });
    }
}

fn taped(job: &mut Job) {
    let joint = ribwright::joint::Joint::of(job);
    job.measured = Measured::Arc;
    job.stations.iter_mut().zip(&joint.frames).for_each(|(s, f)| s.along = 5.0 + f.arc);
}

fn warped(job: &mut Job) {
    let count = job.stations.len() as f64;
    for (i, station) in job.stations.iter_mut().enumerate() {
        station.out_of_plane = Some(0.6 * (4.0 * i as f64 / count).sin());
    }
}

/// All of them.
pub fn cases() -> Vec<Case> {
    let mut cases = drawn_ones();
    cases.extend(shaped_ones());
    cases.extend(read_ones());
    cases
}

fn case(name: impl Into<String>, job: Job) -> Case {
    Case { name: name.into(), job, options: Options::default() }
}

/// With the gentle curve that the maker wants, whatever the evidence.
fn wanted_curved(name: &str, job: Job) -> Case {
    let options = Options { surface: SurfaceChoice::Curved, ..Options::default() };
    Case { options, ..case(name, job) }
}

/// Plain and mixed bowls of many stations and rounds.
fn drawn_ones() -> Vec<Case> {
    let plains = [(13, 1, 1), (13, 2, 2), (13, 3, 3), (13, 4, 4), (13, 5, 6), (13, 6, 8), (5, 7, 2)];
    let sizes = [(3, 1, 1), (4, 2, 2), (5, 3, 3), (6, 4, 2), (7, 5, 4), (9, 6, 1), (11, 7, 5), (15, 8, 3)];
    let many = [(17, 9, 2), (21, 10, 7), (25, 11, 3), (31, 12, 2), (41, 13, 1), (41, 14, 4), (21, 15, 8)];
    let name =
        |kind: &str, (n, seed, k): (usize, u64, usize)| format!("{kind} {n} stations {k} rounds {seed}");
    let plains = plains.map(|c| case(name("plain", c), plain(c.0, c.1, c.2)));
    let mixeds = sizes.into_iter().chain(many).map(|c| case(name("mixed", c), mixed(c.0, c.1, c.2)));
    plains.into_iter().chain(mixeds).collect()
}

/// Shallow, curved, faceted and taped joints, and joints without rise.
fn shaped_ones() -> Vec<Case> {
    vec![
        case("shallow 60", shallow(60.0, 13, 21, 1)),
        case("shallow 30", shallow(30.0, 11, 22, 3)),
        case("shallow 12", shallow(12.0, 9, 23, 2)),
        case("shallow 8", shallow(8.0, 13, 24, 4)),
        case("curved 1.5", curved(1.5, 13, 31, 1)),
        case("curved 0.8", curved(0.8, 13, 32, 3)),
        case("curved -1", curved(-1.0, 21, 33, 2)),
        case("curved 2.5", curved(2.5, 17, 34, 5)),
        wanted_curved("curved by choice", plain(13, 35, 3)),
        wanted_curved("curved by choice, no rise", changed(mixed(15, 36, 2), flat)),
        wanted_curved("curved by choice, shallow", shallow(40.0, 21, 37, 4)),
        case("faceted", changed(plain(13, 41, 2), faceted)),
        case("faceted shallow", changed(shallow(40.0, 11, 42, 3), faceted)),
        case("faceted mixed", changed(mixed(9, 43, 4), faceted)),
        case("no rise", changed(plain(13, 44, 2), flat)),
        case(
            "no rise faceted",
            changed(mixed(9, 45, 3), |j| {
                faceted(j);
                flat(j);
            }),
        ),
        case(
            "no rise no lift",
            changed(plain(9, 46, 3), |j| {
                flat(j);
                unlifted(j);
            }),
        ),
        case("tape", changed(plain(13, 47, 2), taped)),
        case("tape shallow", changed(shallow(50.0, 9, 48, 3), taped)),
        case("out of plane", changed(mixed(13, 49, 3), warped)),
        case("inches", changed(plain(13, 50, 3), |j| j.unit = Unit::Inch)),
    ]
}

/// Joints read and planed in other ways.
fn read_ones() -> Vec<Case> {
    let wrong = |wrong, seed, rounds| drawn(Recipe { wrong: Some(wrong), ..Recipe::default() }, seed, rounds);
    let alike = |seed, rounds| {
        let worlds = [World::Alike].into_iter().collect();
        drawn(Recipe { worlds, ..Recipe::default() }, seed, rounds)
    };
    let spare = |spare, seed, rounds| drawn(Recipe { spare: Some(spare), ..Recipe::default() }, seed, rounds);
    vec![
        case("line", changed(plain(13, 61, 1), |j| against_line(j, 1))),
        case("line, then neighbour", changed(plain(13, 62, 3), |j| against_line(j, 1))),
        case("two lines, then neighbour", changed(mixed(11, 63, 5), |j| against_line(j, 2))),
        case("no lift", changed(plain(13, 64, 2), unlifted)),
        case(
            "no lift, line",
            changed(mixed(11, 65, 3), |j| {
                unlifted(j);
                against_line(j, 1);
            }),
        ),
        case("seats", changed(plain(13, 66, 3), seats)),
        case("holes", changed(plain(13, 67, 4), holes)),
        case("slipped point", changed(plain(13, 68, 3), slipped)),
        case("slipped point, one round", changed(plain(13, 69, 1), slipped)),
        case("mistyped", wrong(Wrong::Mistyped, 70, 4)),
        case("noisier", wrong(Wrong::Noisier, 71, 4)),
        case("finer", wrong(Wrong::Finer, 72, 5)),
        case("thicker", wrong(Wrong::Thicker, 73, 3)),
        case("errors alike", alike(80, 4)),
        case("errors alike, holes", changed(alike(81, 3), holes)),
        case("steeper", wrong(Wrong::Steeper, 74, 4)),
        case("rebent", changed(plain(13, 75, 4), |j| j.rounds[2].rebent = true)),
        case(
            "rebent twice, holes",
            changed(mixed(13, 76, 6), |j| {
                (j.rounds[1].rebent, j.rounds[4].rebent) = (true, true);
                holes(j);
            }),
        ),
        case("two planes", changed(plain(13, 77, 4), two_planes)),
        case("little spare", spare(0.2, 78, 3)),
        case("no spare", changed(plain(13, 79, 2), |j| j.spare = None)),
    ]
}

/// A case in a folder of its own: the job as read back from there, and all that the
/// program makes of it.
pub struct Worked {
    pub job: Job,
    pub taken: Vec<Taken>,
    pub working: Working,
}

/// Writes a case's folder and works it out.
pub fn work(case: &Case, folder: &Path) -> Worked {
    write_folder(&case.job, folder).expect("a folder");
    let job = read(folder).expect("a folder that can be read");
    let before = Before::last_round(&job, &case.options);
    let working = work_out(&job, &before, &case.options).expect("an answer");
    Worked { job, taken: before.taken, working }
}

/// What the script is given; `check` asks it to check that too.
pub fn workings(worked: &Worked, check: bool) -> Value {
    let group = |t: &Taken| {
        let plane = &worked.job.planes[t.plane].name;
        json!({"round": t.round, "plane": plane, "cut_mm": t.cut, "sd_mm": t.sd})
    };
    let fit = &worked.working.fit;
    let row = |carried: &Clearances| [carried.gap, carried.seat, carried.lift];
    let push: Vec<Vec<[f64; 3]>> = fit.carried.iter().map(|round| round.iter().map(row).collect()).collect();
    json!({
        "waves_mm": fit.amplitudes.waves.amplitude,
        "spring_mm": fit.amplitudes.spring.amplitude,
        "errors": fit.amplitudes.errors,
        "alike": row(&fit.alike),
        "curved": fit.curved,
        "taken": worked.taken.iter().map(group).collect::<Vec<Value>>(),
        "push_per_mm": push,
        "check": check,
    })
}

/// The python that has what the script needs; `None` where there is none.
pub fn python() -> Option<PathBuf> {
    let folder = std::env::var_os("RIBWRIGHT_REFERENCE").map(PathBuf::from);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let python = root.join(folder.unwrap_or_else(|| "target/reference".into())).join("bin/python");
    python.exists().then_some(python)
}

/// How that is made.
pub const WANTED: &str = "python3 -m venv target/reference && \
    target/reference/bin/pip install -r tests/reference/requirements.txt";

/// The script, ready to be given folders and workings in turn.
pub fn script(python: &Path) -> Command {
    let mut command = Command::new(python);
    command.arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/answer.py"));
    command
}
