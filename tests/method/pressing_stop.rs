//! The stop rule with a force: what the maker's hand can close counts as closed.

use ribwright::advice::{self, Options, Verdict};
use ribwright::job::{Job, Tolerance};
use ribwright::practice::Recipe;
use ribwright::practice::bench::{self, Advised, Decision};

/// Every round of a run on the bench, as the maker would ask about it.
fn rounds(seed: u64) -> Vec<Job> {
    let mut seen = Vec::new();
    let mut advised = Advised::default();
    let recipe = Recipe { plain: true, ..Recipe::default() };
    bench::run(&recipe.task(seed), seed, &mut |job, _| {
        seen.push(Job { wood: Some("black walnut".into()), thickness: Some(1.6), ..job.clone() });
        if seen.len() == 4 { Decision::Stop } else { advised.decide(job) }
    });
    seen
}

fn with_force(job: &Job, force: Option<f64>) -> Job {
    Job { tolerance: Tolerance { force, ..job.tolerance }, ..job.clone() }
}

fn verdict(job: &Job, force: Option<f64>) -> (Verdict, String) {
    let advice = advice::advise(&with_force(job, force), &Options::default());
    (advice.verdict, advice.reason)
}

/// A thousandth of a newton closes nothing, so it changes nothing; the more force
/// is allowed, the earlier it is fitted, and the reason names the force.
#[test]
fn more_force_stops_earlier_and_none_changes_nothing() {
    let mut stopped_by_force = 0;
    for job in (0..10).flat_map(rounds) {
        let without = verdict(&job, None);
        assert_eq!(verdict(&job, Some(0.001)), without);
        let (hand, vice) = (verdict(&job, Some(20.0)), verdict(&job, Some(5000.0)));
        if without.0 == Verdict::Fitted {
            assert_eq!((&hand, &vice), (&without, &without));
        }
        if hand.0 == Verdict::Fitted {
            assert_eq!(vice.0, Verdict::Fitted);
        }
        if vice.0 == Verdict::Fitted && without.0 != Verdict::Fitted {
            stopped_by_force += 1;
            assert!(vice.1.contains("a force of 5000 N closes"), "{}", vice.1);
        }
    }
    assert!(stopped_by_force >= 3, "{stopped_by_force}");
}

/// A force presses gaps shut, not lifts: no force makes up for an outer edge that stands off.
#[test]
fn no_force_closes_a_lift() {
    for mut job in (0..6).flat_map(rounds) {
        for reading in job.rounds.iter_mut().flat_map(|r| &mut r.readings) {
            reading.lift = reading.lift.map(|l| l + 0.6);
        }
        assert_ne!(verdict(&job, Some(1e6)).0, Verdict::Fitted);
    }
}

/// Without wood or thickness no force can be told: that is said, not passed over.
#[test]
fn a_force_that_cannot_be_told_is_named() {
    for (wood, thickness, missing) in [
        (None, Some(1.6), "wood"),
        (Some("black walnut"), None, "thickness"),
        (Some("moonwood"), Some(1.6), "moonwood"),
    ] {
        let job = Job { wood: wood.map(Into::into), thickness, ..with_force(&rounds(1)[0], Some(20.0)) };
        let warnings = advice::advise(&job, &Options::default()).warnings;
        let told = warnings.iter().find(|w| w.code == "force-unknown").expect(missing);
        assert!(told.text.contains(missing), "{}", told.text);
        let silent = advice::advise(&with_force(&job, None), &Options::default()).warnings;
        assert!(silent.iter().all(|w| w.code != "force-unknown"));
    }
}
