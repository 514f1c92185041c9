//! The practice bench's figures for programs: one JSON object, lengths in mm.

use serde::Serialize;

use crate::advice::Costs;
use crate::json::{self, mm, object};
use crate::practice::{Played, Practice, Run, Strategy, Summary, World, Wrong};

/// A practice as pretty-printed JSON, without a newline at its end; `each`
/// adds every run.
///
/// # Errors
///
/// Only if the figures cannot be written as JSON, which no practice causes.
pub fn practice_json(practice: &Practice, played: &[Played], each: bool) -> serde_json::Result<String> {
    let (recipe, costs) = (&practice.recipe, &practice.costs);
    let runs = |p: &Played| {
        let shown = if each { &p.runs[..] } else { &[] };
        shown.iter().enumerate().map(|(k, r)| run(practice.seed_of(k), r, costs)).collect()
    };
    let strategy = |p: &Played| OfStrategy { strategy: p.strategy, summary: p.summary(), runs: runs(p) };
    json::answer(object! {
        joints: practice.joints,
        seed: practice.seed,
        plain: recipe.plain,
        bowl: recipe.bowl,
        ribs: recipe.ribs,
        joint: recipe.joint,
        stations: recipe.stations,
        noise_mm: recipe.noise,
        shaving_mm: recipe.shaving,
        spare_mm: recipe.spare,
        setting_seconds: costs.setting,
        reading_seconds: costs.reading,
        stroke_seconds: costs.stroke,
        stated_wrongly: recipe.wrong.map(Wrong::describe),
        worlds: recipe.worlds.iter().map(World::describe).collect::<Vec<_>>(),
        strategies: played.iter().map(strategy).collect::<Vec<_>>(),
    })
}

#[derive(Serialize)]
struct OfStrategy<R> {
    strategy: Strategy,
    #[serde(flatten)]
    summary: Summary,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    runs: Vec<R>,
}

fn run(seed: u64, run: &Run, costs: &Costs) -> impl Serialize + use<> {
    let o = &run.outcome;
    object! {
        seed: seed,
        rounds: o.rounds,
        readings: o.readings,
        strokes: o.strokes,
        minutes: o.minutes(costs),
        wood_mm: mm(o.wood),
        gap_left_mm: mm(o.gap),
        lift_left_mm: mm(o.lift),
        most_too_much_mm: mm(o.overcut),
        stopped: o.stopped,
        fitted: o.fitted,
        said_fitted: run.said_fitted,
        beyond_spare: o.beyond_spare,
        over_spare_mm: mm(o.over_spare),
    }
}
