//! What the advice says of figures that were stated wrongly, on joints whose wood is known,
//! and what it asks to be measured where readings could hardly show it.

use std::path::Path;
use std::sync::OnceLock;

use rayon::prelude::*;
use ribwright::advice::{self, Advice, Options, Verdict};
use ribwright::job::Job;
use ribwright::practice::bench::{self, Advised, Decision};
use ribwright::practice::world::World;
use ribwright::practice::{Recipe, Wrong};

/// Every round of a joint up to the one that is `enough`, and what was advised in it.
fn rounds(seed: u64, recipe: Recipe, enough: &dyn Fn(&Advice) -> bool) -> Vec<(Job, Advice)> {
    let mut seen = Vec::new();
    let mut advised = Advised::default();
    let recipe = Recipe { plain: true, ..recipe };
    bench::run(&recipe.task(seed), seed, &mut |job, _| {
        let mut decision = advised.decide(job);
        let advice = advised.advice.clone().expect("readings that give figures");
        if enough(&advice) {
            decision = Decision::Stop;
        }
        seen.push((job.clone(), advice));
        decision
    });
    seen
}

/// Every round of the first 24 joints with nothing stated wrongly: played once for all who look at
/// them.
pub fn as_stated() -> &'static [Vec<(Job, Advice)>] {
    static PLAYED: OnceLock<Vec<Vec<(Job, Advice)>>> = OnceLock::new();
    PLAYED.get_or_init(|| {
        (0..24).into_par_iter().map(|seed| rounds(seed, Recipe::default(), &|_| false)).collect()
    })
}

fn warns(advice: &Advice, code: &str) -> bool {
    advice.warnings.iter().any(|w| w.code == code)
}

/// At how many of those joints the warning was given in any round.
fn right_ones_with(code: &str) -> usize {
    as_stated().iter().filter(|joint| joint.iter().any(|(_, advice)| warns(advice, code))).count()
}

/// The same of as many joints where something is stated wrongly.
fn joints_with(code: &str, wrong: Wrong) -> usize {
    joints_of(code, Recipe { wrong: Some(wrong), ..Recipe::default() })
}

fn joints_of(code: &str, recipe: Recipe) -> usize {
    let told = |advice: &Advice| warns(advice, code);
    let given = |seed: &u64| rounds(*seed, recipe, &told).iter().any(|(_, advice)| told(advice));
    (0..24).filter(given).count()
}

/// Where errors of neighbours are alike (a correlation of about 0.7 from station to station) it is
/// said, and hardly ever where each stands by itself.
#[test]
fn errors_that_neighbours_share_are_noticed() {
    let worlds = [World::Alike].into_iter().collect();
    let alike = joints_of("errors-alike", Recipe { worlds, ..Recipe::default() });
    let right = right_ones_with("errors-alike");
    assert!(alike >= 20 && right <= 2, "{alike} and {right} of 24");
}

/// Readings three times as noisy as stated contradict each other, and it is said.
#[test]
fn errors_stated_too_small_are_noticed() {
    let (noisier, right) = (joints_with("misfit", Wrong::Noisier), right_ones_with("misfit"));
    assert!(noisier >= 23 && right <= 1, "{noisier} and {right} of 24");
}

/// Readings tell of a shaving late, since a rib pushed home hides an even cut: so it is
/// noticed in some joints only, and hardly ever where it is as stated.
#[test]
fn a_shaving_stated_wrongly_is_noticed_where_the_readings_show_it() {
    let (thicker, right) = (joints_with("shaving-off", Wrong::Thicker), right_ones_with("shaving-off"));
    assert!(thicker >= 4 && right <= 2, "{thicker} and {right} of 24");
}

/// So it is asked for before the first strokes, and not again.
#[test]
fn a_shaving_is_to_be_measured_before_its_first_stroke() {
    for (job, advice) in as_stated().iter().flatten() {
        let first = advice.verdict == Verdict::Plane && job.rounds.iter().all(|r| r.strokes.is_empty());
        assert_eq!(warns(advice, "shaving-untold"), first, "round {}", job.rounds.len());
    }
}

/// Nor in a bowl whose earlier joints have told of the plane.
#[test]
fn a_plane_known_from_earlier_joints_is_not_asked_for() {
    let demo = |name: &str| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-readings").join(name);
        advice::open(&folder).expect("a sound folder")
    };
    let (mut job, start) = (demo("plain").job, demo("bowl/joints/02").start);
    job.rounds.truncate(1);
    job.rounds[0].strokes.clear();
    let alone = advice::advise(&job, &Options::default());
    let taught = advice::advise(&job, &Options { start, ..Options::default() });
    assert_eq!((alone.verdict, taught.verdict), (Verdict::Plane, Verdict::Plane));
    assert!(warns(&alone, "shaving-untold") && !warns(&taught, "shaving-untold"));
}
