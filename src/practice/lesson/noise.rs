//! Following each round's readings against all rounds together.

use super::choice::{Ask, Choice, Refused};
use super::grade::{Aim, Grade};
use super::parts::{Answer, Beside, Lesson};
use super::rib::LessonRib;
use super::topic::Topic;
use super::words::{aim, home};
use crate::advice::Costs;
use crate::job::Unit;
use crate::maths::program::Failure;
use crate::practice::dice::Dice;
use crate::practice::session::{Played, Practice, Summary};
use crate::practice::strategy::Strategy;
use crate::practice::{Recipe, bench};

/// The rib of the lesson and those like it.
const RIBS: usize = 10;
/// How often the untouched rib is read for the picture.
const READ: usize = 3;
/// Rules to choose from, in the order asked.
const RULES: [(Strategy, &str, &str); 3] = [
    (
        Strategy::Levelling,
        "each round, level the edge to the widest gap it shows",
        "level to each round's widest gap",
    ),
    (
        Strategy::OneRound,
        "each round, the best flat slice for what that round shows, and all of it",
        "the best slice for each round alone",
    ),
    (
        Strategy::Advice,
        "each round, what all rounds together say is surely wanted, and read again",
        "all rounds together",
    ),
];

fn practice(seed: u64) -> Practice {
    let recipe = Recipe { plain: true, ..Recipe::default() };
    let strategies = RULES.map(|r| r.0).to_vec();
    // Other ribs than those of the bench's own seeds.
    Practice { joints: RIBS, seed: seed.wrapping_add(7), recipe, strategies, costs: Costs::default() }
}

pub(super) fn lesson(unit: Unit, seed: u64) -> Result<Lesson, Failure> {
    let practice = practice(seed);
    let rib = LessonRib::of(practice.recipe.task(practice.seed_of(0))).in_unit(unit);
    let job = rib.job();
    let (noise, shaving) = (job.reading.gap, job.planes[0].shaving);
    let limits = Aim { gap: job.tolerance.gap, lift: Some(job.tolerance.lift) };
    let options = RULES.map(|r| r.1.to_owned()).to_vec();
    let mut lesson = Lesson::around(Topic::Noise, seed, rib, limits, Ask::One { options })?;
    lesson.readings = readings(&lesson, noise);
    let (at, low, high) = scatter(&lesson.readings);
    lesson.idea = format!(
        "Feelers err, here by about {} either way. Read three times and never touched, this rib shows {} to \
         {} at station {}: that is reading, not wood. Whoever planes after each round's readings planes its \
         errors into the edge, the next round brings new ones, and it goes on while there is wood. Between the rounds \
         only what you planed has changed. So all rounds tell of one edge, and their errors, taken together, grow \
         small.",
        lesson.say(noise),
        // The unit stands once, behind the second.
        lesson.unit().figure(low, lesson.unit().decimals()),
        lesson.say(high),
        lesson.stations[at]
    );
    lesson.question = format!(
        "You fit this rib and {} like it, with shavings of {}: {}, in {} rounds at most. By which rule?",
        RIBS - 1,
        lesson.say(shaving),
        aim(&lesson),
        bench::MOST_ROUNDS
    );
    Ok(lesson)
}

/// The untouched rib, read again and again; no gap is read below zero.
fn readings(lesson: &Lesson, noise: f64) -> Vec<Vec<f64>> {
    let mut dice = Dice::new(lesson.seed.wrapping_mul(5).wrapping_add(4));
    let mut read = |gap: &f64| ((gap + noise * dice.normal()).max(0.0) * 100.0).round() / 100.0;
    (0..READ).map(|_| lesson.before.gap.iter().map(&mut read).collect()).collect()
}

/// The station whose readings differ most, the smallest and the largest there.
fn scatter(readings: &[Vec<f64>]) -> (usize, f64, f64) {
    let ends = |i: usize| {
        let at = readings.iter().map(|r| r[i]);
        at.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)))
    };
    let count = readings.first().map_or(0, Vec::len);
    let most = (0..count).max_by(|&a, &b| (ends(a).1 - ends(a).0).total_cmp(&(ends(b).1 - ends(b).0)));
    let at = most.unwrap_or(0);
    (at, ends(at).0, ends(at).1)
}

/// Runs that an answer waits for.
pub(super) fn runs(seed: u64) -> usize {
    practice(seed).runs()
}

/// The runs, played once; `done` is called after each.
pub(super) fn played<'a>(lesson: &'a Lesson, done: &(dyn Fn() + Sync)) -> &'a [Played] {
    lesson.played.get_or_init(|| practice(lesson.seed).play(done))
}

pub(super) fn answer(lesson: &Lesson, choice: &Choice) -> Result<Answer, Refused> {
    let &Choice::One(one) = choice else { return Err(Refused::OtherKind) };
    let played = played(lesson, &|| ());
    let mine = &played[one].runs[0].outcome;
    let mut answer = lesson.weigh(mine.taken.clone())?;
    answer.chosen = RULES[one].1.to_owned();
    let end = if mine.stopped { "stopped by itself" } else { "never came to an end by itself" };
    answer.happened = format!(
        "On this rib the rule took {} rounds and {} strokes and {end}. {}",
        mine.rounds, mine.strokes, answer.happened
    );
    answer.compared = format!(
        "It took {} of wood from this rib, mean along the edge; the least that {} is {}, but no reading \
         tells that exactly.",
        lesson.say(answer.wood),
        home(lesson),
        lesson.say(answer.least_wood)
    );
    let summaries: Vec<Summary> = played.iter().map(Played::summary).collect();
    answer.verdict = verdict(lesson, one, &summaries);
    answer.beside = summaries.iter().enumerate().map(|(i, s)| beside(i, one, s)).collect();
    answer.why = why(lesson, one, &summaries);
    Ok(answer)
}

fn beside(i: usize, one: usize, s: &Summary) -> Beside {
    Beside {
        way: RULES[i].2.to_owned(),
        chosen: i == one,
        rounds: Some(s.rounds),
        wood: s.wood,
        gap: s.gap.mean,
        lift: s.lift.mean,
    }
}

/// Judged on all the ribs, since one alone may be lucky.
fn verdict(lesson: &Lesson, one: usize, summaries: &[Summary]) -> Grade {
    let fits = |s: &Summary| s.gap.mean <= lesson.aim.gap && lesson.aim.lift.is_none_or(|l| s.lift.mean <= l);
    let least = summaries.iter().filter(|s| fits(s)).map(|s| s.wood).fold(f64::INFINITY, f64::min);
    let mine = &summaries[one];
    match (fits(mine), mine.wood <= 1.15 * least) {
        (false, _) => Grade::Short,
        (true, true) => Grade::Well,
        (true, false) => Grade::Costly,
    }
}

fn why(lesson: &Lesson, one: usize, s: &[Summary]) -> String {
    let together = s.len() - 1;
    let figures = |s: &Summary| {
        format!(
            "{:.1} rounds, {} of wood, widest gap {}",
            s.rounds,
            lesson.say(s.wood),
            lesson.say(s.gap.mean)
        )
    };
    let both = |i: usize| {
        format!("Over the {RIBS} ribs: {}. All rounds together: {}.", figures(&s[i]), figures(&s[together]))
    };
    match one {
        0 => format!(
            "The widest gap of a round is mostly the largest error of that round, and you levelled everything down to \
             it, each round anew. {}",
            both(0)
        ),
        1 => format!(
            "A flat slice can't follow every error, which saves much; but its tilt follows them, and what is taken \
             for an error can't be put back. {}",
            both(1)
        ),
        _ => format!(
            "Each round adds to what is known of the one edge, and only what was surely wood came off. Over the {RIBS} \
             ribs: {}. Levelling to each round's widest gap: {}.",
            figures(&s[together]),
            figures(&s[0])
        ),
    }
}
