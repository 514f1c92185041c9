//! What pictures cost: each as SVG, those that move as GIF, all of a joint, the report.

use std::sync::LazyLock;

use ribwright::advice::{self, Advice, Options, PastRound, Working};
use ribwright::job::{self, Job};
use ribwright::show::draw::{Album, Picture, View, film};
use ribwright::show::report;

fn main() {
    divan::main();
}

/// A demo joint, worked out.
struct Studied {
    job: Job,
    advice: Advice,
    working: Option<Working>,
    past: Vec<PastRound>,
}

static PLAIN: LazyLock<Studied> = LazyLock::new(|| studied("plain"));
/// Six strokes: a motion of nineteen sheets.
static SHALLOW: LazyLock<Studied> = LazyLock::new(|| studied("shallow"));

fn studied(name: &str) -> Studied {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings").join(name);
    let job = job::read(&folder).expect("a joint");
    let (advice, working) = advice::advise_and_show(&job, &Options::default());
    let past = advice::past(&job, &Options::default()).expect("rounds");
    Studied { job, advice, working, past }
}

impl Studied {
    fn album(&self) -> Album<'_> {
        let (job, advice, working) = (&self.job, &self.advice, self.working.as_ref());
        Album { job, advice, working, past: &self.past, view: View::default() }
    }
}

#[divan::bench(args = Picture::ALL)]
fn svg(bencher: divan::Bencher, picture: &Picture) {
    bencher.bench(|| PLAIN.album().still(*picture).expect("drawn").svg());
}

#[divan::bench(args = [Picture::Passes, Picture::Space], sample_count = 10)]
fn gif(bencher: divan::Bencher, picture: &Picture) {
    let frames = || SHALLOW.album().film(*picture).expect("it moves").frames;
    bencher.bench(|| film(&frames(), 1).expect("gif"));
}

/// SVG, PNG and GIF of everything, into files.
#[divan::bench(args = ["plain", "shallow"], sample_count = 10)]
fn all_of_a_joint(bencher: divan::Bencher, name: &str) {
    let case = if name == "plain" { &PLAIN } else { &SHALLOW };
    let dir = tempfile::tempdir().expect("a folder");
    bencher.bench(|| case.album().write(&Picture::ALL, true, dir.path(), &|| ()).expect("written"));
}

#[divan::bench(sample_count = 10)]
fn whole_report(bencher: divan::Bencher) {
    bencher.bench(|| report(&SHALLOW.album()));
}
