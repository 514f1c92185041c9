//! The practice bench's figures for programs: one JSON object, lengths in mm.

use serde::Serialize;

use super::json::mm;
use crate::advice::Hits;
use crate::practice::{Bowl, Played, Practice, Run, Spread, Strategy, Summary, Wrong};

/// A practice as pretty-printed JSON, without a newline at its end; `each`
/// adds every run.
///
/// # Errors
///
/// Only if the figures cannot be written as JSON, which no practice causes.
pub fn practice_json(practice: &Practice, played: &[Played], each: bool) -> serde_json::Result<String> {
    let recipe = &practice.recipe;
    let strategies = played.iter().map(|p| StrategyOut::new(practice, p, each)).collect();
    serde_json::to_string_pretty(&PracticeOut {
        schema: 1,
        joints: practice.joints,
        seed: practice.seed,
        plain: recipe.plain,
        bowl: match recipe.bowl {
            Bowl::Round => "round",
            Bowl::Flattened => "flattened",
            Bowl::Mixed => "mixed",
        },
        ribs: recipe.ribs,
        joint: recipe.joint,
        stations: recipe.stations,
        noise_mm: recipe.noise,
        shaving_mm: recipe.shaving,
        spare_mm: recipe.spare,
        stated_wrongly: recipe.wrong.map(Wrong::describe),
        strategies,
    })
}

/// The word for a strategy in JSON and on the command line.
fn strategy_word(strategy: Strategy) -> &'static str {
    match strategy {
        Strategy::Knowing => "knowing",
        Strategy::Advice => "advice",
        Strategy::OneRound => "one-round",
        Strategy::Levelling => "levelling",
        Strategy::StraightLine => "straight-line",
    }
}

#[derive(Serialize)]
struct PracticeOut {
    schema: u32,
    joints: usize,
    seed: u64,
    plain: bool,
    bowl: &'static str,
    ribs: Option<usize>,
    joint: Option<usize>,
    stations: Option<usize>,
    noise_mm: Option<f64>,
    shaving_mm: Option<f64>,
    spare_mm: Option<f64>,
    stated_wrongly: Option<&'static str>,
    strategies: Vec<StrategyOut>,
}

#[derive(Serialize)]
struct StrategyOut {
    strategy: &'static str,
    rounds: f64,
    strokes: f64,
    wood_mm: Option<f64>,
    gap_left_mm: SpreadOut,
    lift_left_mm: SpreadOut,
    stopped: f64,
    fitted_of_stopped: Option<f64>,
    beyond_spare: usize,
    beyond_spare_in_spread: usize,
    beyond_spare_unchecked: usize,
    too_much: TooMuch,
    forecasts: Option<Forecasts>,
    noticed: f64,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    runs: Vec<RunOut>,
}

impl StrategyOut {
    fn new(practice: &Practice, played: &Played, each: bool) -> Self {
        let s: Summary = played.summary();
        let runs = played.runs.iter().enumerate().map(|(k, r)| RunOut::new(practice.seed_of(k), r));
        StrategyOut {
            strategy: strategy_word(played.strategy),
            rounds: s.rounds,
            strokes: s.strokes,
            wood_mm: mm(s.wood),
            gap_left_mm: SpreadOut::new(&s.gap),
            lift_left_mm: SpreadOut::new(&s.lift),
            stopped: s.stopped,
            fitted_of_stopped: s.fitted,
            beyond_spare: s.beyond_spare,
            beyond_spare_in_spread: s.beyond_in_spread,
            beyond_spare_unchecked: s.beyond_unchecked,
            too_much: TooMuch {
                advices: s.overcuts.plannings,
                advices_over: s.overcuts.plannings_over,
                stations: s.overcuts.places,
                stations_over: s.overcuts.places_over,
                riskiest: s.overcuts.riskiest,
                riskiest_over: s.overcuts.riskiest_over,
            },
            forecasts: Forecasts::new(&s.hits),
            noticed: s.noticed,
            runs: if each { runs.collect() } else { Vec::new() },
        }
    }
}

#[derive(Serialize)]
struct SpreadOut {
    mean: Option<f64>,
    p90: Option<f64>,
}

impl SpreadOut {
    fn new(spread: &Spread) -> Self {
        SpreadOut { mean: mm(spread.mean), p90: mm(spread.ninety) }
    }
}

/// Times that strokes were taken, and stations over all of them.
#[derive(Serialize)]
struct TooMuch {
    advices: usize,
    advices_over: usize,
    stations: usize,
    stations_over: usize,
    /// Stations held to be the riskiest of their advice.
    riskiest: usize,
    riskiest_over: usize,
}

/// How readings met what was foreseen.
#[derive(Serialize)]
pub(super) struct Forecasts {
    readings: usize,
    within_1_sd: f64,
    within_2_sd: f64,
}

impl Forecasts {
    pub(super) fn new(hits: &Hits) -> Option<Self> {
        let (within_1_sd, within_2_sd) = hits.fractions()?;
        let share = |v: f64| (v * 1e4).round() / 1e4;
        let (within_1_sd, within_2_sd) = (share(within_1_sd), share(within_2_sd));
        Some(Forecasts { readings: hits.count, within_1_sd, within_2_sd })
    }
}

#[derive(Serialize)]
struct RunOut {
    seed: u64,
    rounds: usize,
    strokes: u32,
    wood_mm: Option<f64>,
    gap_left_mm: Option<f64>,
    lift_left_mm: Option<f64>,
    most_too_much_mm: Option<f64>,
    stopped: bool,
    fitted: bool,
    beyond_spare: bool,
    over_spare_mm: Option<f64>,
}

impl RunOut {
    fn new(seed: u64, run: &Run) -> Self {
        let o = &run.outcome;
        RunOut {
            seed,
            rounds: o.rounds,
            strokes: o.strokes,
            wood_mm: mm(o.wood),
            gap_left_mm: mm(o.gap),
            lift_left_mm: mm(o.lift),
            most_too_much_mm: mm(o.overcut),
            stopped: o.stopped,
            fitted: o.fitted,
            beyond_spare: o.beyond_spare,
            over_spare_mm: mm(o.over_spare),
        }
    }
}
