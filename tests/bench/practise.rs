//! The practice bench: the same for the same seed on any number of threads,
//! and what the advice must show on it.

use std::process::Command;
use std::sync::OnceLock;

use ribwright::advice::Costs;
use ribwright::practice::{Bowls, Played, Practice, Recipe, Strategy, Summary, Wrong};
use serde_json::Value;

fn run(arguments: &[&str], threads: &str) -> std::process::Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command.arg("practise").args(arguments).env("RAYON_NUM_THREADS", threads);
    command.output().expect("it runs")
}

fn text(arguments: &[&str]) -> String {
    String::from_utf8(run(arguments, "2").stdout).expect("UTF-8")
}

fn play(recipe: Recipe, joints: usize, strategies: &[Strategy]) -> Vec<Played> {
    Practice { joints, seed: 1, recipe, strategies: strategies.to_vec(), costs: Costs::default() }
        .play(&|| ())
}

fn summaries(recipe: Recipe, joints: usize, strategies: &[Strategy]) -> Vec<Summary> {
    play(recipe, joints, strategies).iter().map(Played::summary).collect()
}

fn plain() -> Recipe {
    Recipe { plain: true, ..Recipe::default() }
}

/// What the advice comes to on 24 plain joints, and on 24 mixed ones: played once for all who look at
/// it.
fn advised() -> &'static [(Recipe, Summary)] {
    static PLAYED: OnceLock<Vec<(Recipe, Summary)>> = OnceLock::new();
    let summary = |recipe| summaries(recipe, 24, &[Strategy::Advice]).remove(0);
    PLAYED.get_or_init(|| [plain(), Recipe::default()].map(|recipe| (recipe, summary(recipe))).to_vec())
}

#[test]
fn the_same_seed_gives_the_same_table_on_any_number_of_threads() {
    let arguments = ["--joints", "3", "--seed", "4", "--json", "--each"];
    let one = run(&arguments, "1");
    assert_eq!(one.status.code(), Some(0));
    assert!(one.stderr.is_empty(), "a progress bar in a pipe");
    assert_eq!(one.stdout, run(&arguments, "2").stdout);
    let other = run(&["--joints", "3", "--seed", "5", "--json", "--each"], "2");
    assert_ne!(one.stdout, other.stdout);
}

#[test]
fn on_a_terminal_a_bar_shows_how_far_it_has_come() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ribwright"));
    command
        .args(["practise", "--joints", "24", "--strategy", "advice", "--color", "never"])
        .env("RAYON_NUM_THREADS", "1");
    let mut terminal = rexpect::session::spawn_command(command, Some(60_000)).expect("it starts");
    terminal.exp_string(" of 24 runs").expect("a bar");
    terminal.exp_string("24 invented joints").expect("the table after it");
    terminal.exp_eof().expect("the end");
}

#[test]
fn different_seeds_share_no_joint() {
    let seeds = |seed| {
        let practice = Practice {
            joints: 1000,
            seed,
            recipe: plain(),
            strategies: vec![Strategy::Advice],
            costs: Costs::default(),
        };
        (0..1000).map(|k| practice.seed_of(k)).collect::<std::collections::HashSet<u64>>()
    };
    assert!(seeds(0).is_disjoint(&seeds(1)) && seeds(1).is_disjoint(&seeds(2)));
}

/// The promise of the closed loop (model of the readings: all rounds together
/// against one at a time), small enough to run with every build.
#[test]
fn the_advice_needs_less_than_one_round_at_a_time_and_leaves_less() {
    for (recipe, advice) in advised() {
        let one_round = &summaries(*recipe, 24, &[Strategy::OneRound])[0];
        assert!(advice.wood < one_round.wood, "{} {}", advice.wood, one_round.wood);
        assert!(advice.strokes < one_round.strokes, "{} {}", advice.strokes, one_round.strokes);
        assert!(advice.gap.mean < one_round.gap.mean, "{} {}", advice.gap.mean, one_round.gap.mean);
        assert!(advice.stopped > 0.75, "{}", advice.stopped);
        assert_eq!(advice.beyond_spare, 0);
    }
}

#[test]
fn knowing_the_wood_closes_the_joint_and_bounds_what_anyone_can_reach() {
    let [knowing, levelling] = &summaries(plain(), 6, &[Strategy::Knowing, Strategy::Levelling])[..] else {
        unreachable!()
    };
    assert!(knowing.gap.mean < 0.1 && knowing.stopped > 0.5, "{knowing:?}");
    assert!(levelling.wood > 2.0 * knowing.wood, "noise chased costs wood");
    assert!(levelling.gap.mean > knowing.gap.mean);
}

/// 68.27 and 95.45 %: the normal distribution's shares within one and two
/// standard deviations (tables).
#[test]
fn the_forecasts_are_about_as_wrong_as_they_say() {
    for (_, Summary { hits, .. }) in advised() {
        let (one, two) = hits.fractions().expect("the advice foresees");
        assert!(hits.count > 1000);
        assert!((one - 0.6827).abs() < 0.06, "{one}");
        assert!((two - 0.9545).abs() < 0.03, "{two}");
        let off = hits.within_tolerance as f64 - hits.foreseen_within;
        assert!(off.abs() < 0.06 * hits.count as f64, "{hits:?}");
    }
}

/// The stated chance of too much at the worst station is 5 % an advice.
#[test]
fn too_much_is_rare() {
    for (_, Summary { overcuts: o, .. }) in advised() {
        assert!(o.places > 500);
        assert!(o.places_over as f64 <= 0.03 * o.places as f64, "{o:?}");
    }
}

#[test]
fn options_shape_what_is_invented() {
    let recipe = Recipe {
        bowl: Bowls::Flattened,
        ribs: Some(11),
        joint: Some(3),
        stations: Some(9),
        noise: Some(0.07),
        shaving: Some(0.06),
        ..Recipe::default()
    };
    for seed in 0..4 {
        let job = recipe.task(seed).job;
        assert_eq!(job.stations.len(), 9);
        assert_eq!((job.reading.gap, job.planes[0].shaving), (0.07, 0.06));
        assert!((job.reading.lift - 0.105).abs() < 1e-12);
    }
    // On a round bowl every joint is alike; on a flattened one the first lies lower.
    let rise = |bowl, joint| {
        let task = Recipe { bowl, joint: Some(joint), ..recipe }.task(0);
        task.job.stations.iter().filter_map(|s| s.rise).fold(0.0, f64::max)
    };
    assert!((rise(Bowls::Round, 1) - rise(Bowls::Round, 5)).abs() < 0.11);
    assert!(rise(Bowls::Flattened, 1) > rise(Bowls::Flattened, 5) + 5.0);
}

#[test]
fn readings_are_never_below_zero_and_no_rib_passes_through_anything() {
    use ribwright::practice::bench::{self, Advised};
    let task = plain().task(2);
    let mut advised = Advised::default();
    let mut read = 0;
    bench::run(&task, 2, &mut |job, wood| {
        let last = job.rounds.last().expect("a round was read");
        for r in &last.readings {
            assert!(r.overlap.is_some_and(|o| o <= 0.0) && r.lift.is_some_and(|l| l >= 0.0));
            read += 1;
        }
        let (_, clearances) = task.known.seat(wood, Default::default());
        for c in &clearances {
            assert!(c.gap > -1e-3 && c.seat > -1e-3 && c.lift > -1e-3, "{c:?}");
        }
        advised.decide(job)
    });
    assert!(read >= 26);
}

#[test]
fn the_table_keeps_to_80_columns_and_json_to_its_keys() {
    let table = text(&["--joints", "3", "--each"]);
    assert!(table.lines().all(|l| l.chars().count() <= 80), "{table}");
    for word in ["rounds", "strokes", "wood", "the advice", "one round", "standard"] {
        assert!(table.contains(word), "{word}\n{table}");
    }
    let json: Value = serde_json::from_str(&text(&["--joints", "3", "--json"])).expect("JSON");
    assert_eq!(json["strategies"].as_array().map(Vec::len), Some(6));
    assert!(json["strategies"][1]["forecasts"]["within_1_sd"].as_f64().is_some_and(|v| v > 0.3));
    assert!(json["strategies"][0]["forecasts"].is_null(), "knowing foresees nothing: null, not 0");
    assert_eq!(json["setting_seconds"].as_f64(), Some(60.0));
    let advice = &json["strategies"][1];
    let mean = |key: &str| advice[key].as_f64().expect("a number");
    // What the costs stand for, by hand.
    let minutes = mean("rounds") + (8.0 * mean("readings") + 20.0 * mean("strokes")) / 60.0;
    assert!((mean("minutes") - minutes).abs() < 1e-3 * minutes, "{} {minutes}", mean("minutes"));
    assert!(json["strategies"][1]["too_much"]["stations"].as_u64().is_some_and(|n| n > 0));
}

#[test]
fn a_wrong_option_is_2_and_says_what_was_expected() {
    for (arguments, expected) in [
        (&["--noise", "5"][..], "0.005 to 1 mm"),
        (&["--ribs", "9", "--joint", "9"], "joints 1 to 8, not 9"),
        (&["--joint", "3"], "--ribs"),
        (&["--joints", "0"], "--joints"),
        (&["--strategy", "luck"], "one-round"),
        (&["--reading-seconds", "-1"], "0 to 3600 seconds"),
    ] {
        let output = run(arguments, "1");
        let error = String::from_utf8_lossy(&output.stderr).replace("\n       ", " ");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(error.contains(expected), "{error}");
    }
    assert_eq!(
        run(&["--joints", "1", "--noise", "0,1", "--strategy", "knowing"], "1").status.code(),
        Some(0)
    );
}

/// What is promised of the spare width, where there is little of it and where what the
/// maker states is wrong: never beyond it while shavings are within their stated spread,
/// and never before a second round has checked the first strokes.
#[test]
fn spare_width_is_kept_whatever_is_stated_wrongly() {
    let wrong = std::iter::once(None).chain(Wrong::ALL.map(Some));
    for (wrong, spare) in wrong.flat_map(|w| [(w, 0.6), (w, 1.2)]) {
        let recipe = Recipe { spare: Some(spare), wrong, ..Recipe::default() };
        // Little to spare and shavings thicker than anyone knows are what it hangs on.
        let joints = if spare < 1.0 && matches!(wrong, None | Some(Wrong::Thicker)) { 40 } else { 10 };
        let practice =
            Practice { joints, seed: 0, recipe, strategies: vec![Strategy::Advice], costs: Costs::default() };
        for (k, run) in practice.play(&|| ())[0].runs.iter().enumerate() {
            let outcome = &run.outcome;
            assert!(!outcome.beyond_in_spread, "{wrong:?}, spare {spare}, joint {k}: {}", outcome.over_spare);
            assert!(!outcome.beyond_unchecked, "{wrong:?}, joint {k}: {}", outcome.first_strokes);
        }
    }
}

/// By hand: 2 rounds of 26 readings and 6 strokes are 120 + 416 + 120 s.
#[test]
fn minutes_are_settings_readings_and_strokes() {
    let minutes = ribwright::advice::Costs::default().minutes(2.0, 52.0, 6.0);
    assert!((minutes - 656.0 / 60.0).abs() < 1e-12);
}
