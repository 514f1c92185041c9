//! What is typed: marked, kept in the draft, and the map drawn anew.

use serde::Serialize;

use super::cells::{Cell, FieldState, Held, Meaning, Sent, held, states};
use super::choices::{self, HeldChoices};
use super::read::open;
use super::{Joint, words};
use crate::advice;
use crate::job::{Job, Quantity, Reading, Round};
use crate::page::answer::{Answered, json};
use crate::page::frame::two;
use crate::page::site::Site;
use crate::record::{Draft, DraftEntry, JournalError, TypedRound};
use crate::show::draw;

/// Answers a keystroke.
pub(in crate::page) fn typed(site: &Site, name: &str, sent: Sent) -> Answered {
    let joint = site.joint(name)?;
    let meanings: Vec<Meaning> = sent.cells.iter().map(|cell| cell.meaning(&joint, &sent)).collect();
    let kept = keep(site, &joint, &sent, &meanings);
    Ok(json(&Answer::new(&joint, &sent, &meanings, kept)))
}

/// What the draft holds, after what was to be kept is in it.
#[derive(Debug, Default)]
struct Kept {
    draft: TypedRound,
    /// Fields that someone else typed into meanwhile, so that they were left alone.
    clashes: Vec<usize>,
    /// Why nothing could be kept.
    trouble: Option<String>,
}

/// Puts what changed into the draft, field by field, unless someone else changed
/// the same field since this page last heard of it.
fn keep(site: &Site, joint: &Joint, sent: &Sent, meanings: &[Meaning]) -> Kept {
    let _writing = site.writing();
    let tapped = sent.chosen.changed() || sent.bears.iter().any(|b| b.changed);
    let changed = tapped || sent.cells.iter().any(|cell| cell.changed);
    let kept = if sent.keep && changed { put(joint, sent, meanings) } else { look(joint) };
    kept.unwrap_or_else(|error| {
        let draft = look(joint).map(|kept| kept.draft).unwrap_or_default();
        Kept { draft, clashes: Vec::new(), trouble: Some(error.to_string()) }
    })
}

fn look(joint: &Joint) -> Result<Kept, JournalError> {
    let draft = open(joint, TypedRound::of(&Draft::look(&joint.folder)?, &joint.job));
    Ok(Kept { draft, ..Kept::default() })
}

fn put(joint: &Joint, sent: &Sent, meanings: &[Meaning]) -> Result<Kept, JournalError> {
    let (mut file, entries) = Draft::open(&joint.folder)?;
    let mut draft = open(joint, TypedRound::of(&entries, &joint.job));
    if draft.is_empty() {
        file.clear()?;
        draft = TypedRound::default();
    }
    let (changes, clashes) = changes(joint, sent, meanings, &draft);
    let round = (draft.begun_for != Some(sent.round)).then_some(DraftEntry::Round(sent.round));
    let chosen = [choices::entries(sent, &draft), choices::bearings(joint, sent, &draft)].concat();
    for entry in round.into_iter().chain(chosen).chain(changes) {
        file.keep(&entry)?;
        draft.take(&entry, &joint.job);
    }
    Ok(Kept { draft, clashes, trouble: None })
}

/// Entries for what changed, and the fields that clash.
fn changes(
    joint: &Joint,
    sent: &Sent,
    meanings: &[Meaning],
    now: &TypedRound,
) -> (Vec<DraftEntry>, Vec<usize>) {
    let (mut entries, mut clashes) = (Vec::new(), Vec::new());
    for (i, (cell, meaning)) in
        sent.cells.iter().zip(meanings).enumerate().filter(|(_, (cell, _))| cell.changed)
    {
        let Some(station) = cell.station(joint) else { continue };
        let entry = cell.entry(meaning);
        let there = held(joint, now, station, cell.quantity);
        let mut then = now.clone();
        then.take(&entry, &joint.job);
        let same = held(joint, &then, station, cell.quantity) == there;
        match there.was == cell.was || same {
            true => entries.extend((!same).then_some(entry)),
            false => clashes.push(i),
        }
    }
    (entries, clashes)
}

/// What the draft holds for every field of the page.
pub(super) fn all_held(joint: &Joint, sent: &Sent, typed: &TypedRound) -> Vec<Held> {
    let draft = |cell: &Cell| cell.station(joint).map(|station| held(joint, typed, station, cell.quantity));
    let strange =
        || Held { text: String::new(), gap: None, sure: false, was: String::new(), said: "nothing".into() };
    sent.cells.iter().map(|cell| draft(cell).unwrap_or_else(strange)).collect()
}

/// The round as far as its readings are beyond doubt.
pub(super) fn round(joint: &Joint, sent: &Sent, meanings: &[Meaning]) -> Round {
    let mut readings = vec![Reading::default(); joint.job.stations.len()];
    for (cell, meaning) in sent.cells.iter().zip(meanings) {
        if let (Some(station), Meaning::Reading(told)) = (cell.station(joint), meaning) {
            cell.quantity.put(&mut readings[station], Some(*told));
        }
    }
    for bearing in &sent.bears {
        let there = bearing.station(joint).and_then(|i| readings.get_mut(i));
        there.into_iter().for_each(|reading| reading.bears = bearing.bears);
    }
    Round { against: sent.against, rebent: sent.rebent, readings, strokes: Vec::new() }
}

#[derive(Debug, Serialize)]
struct Answer {
    /// The folder is not what this page was made of any more.
    stale: bool,
    marks: Vec<FieldState>,
    /// How far the round is, in words.
    count: String,
    verdict: String,
    map: String,
    /// All fields, and the two choices, as the draft has them.
    held: Vec<Held>,
    chosen: HeldChoices,
    bears: Vec<bool>,
    /// What someone else chose for the round meanwhile.
    elsewhere: Option<String>,
    clashes: Vec<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    trouble: Option<String>,
}

impl Answer {
    fn new(joint: &Joint, sent: &Sent, meanings: &[Meaning], kept: Kept) -> Self {
        let round = round(joint, sent, meanings);
        let (count, any) = counts(joint, &round);
        let chosen = HeldChoices::new(sent, &kept.draft);
        let (verdict, map) = if any { forecast(joint, round) } else { Default::default() };
        Answer {
            stale: joint.version != sent.version,
            marks: states(joint, sent, meanings),
            count,
            verdict,
            map,
            held: all_held(joint, sent, &kept.draft),
            bears: sent.bears.iter().map(|b| b.station(joint).is_some_and(|i| kept.draft.bears(i))).collect(),
            elsewhere: chosen.said(),
            chosen,
            clashes: kept.clashes,
            trouble: kept.trouble,
        }
    }
}

/// `7 of 13 joint readings, 6 of 13 lifts`; and whether there is any.
fn counts(joint: &Joint, round: &Round) -> (String, bool) {
    let all = round.readings.len();
    let read = |q: Quantity| round.readings.iter().filter(|r| q.of(r).is_some()).count();
    let noun = |q: Quantity| match q {
        Quantity::Overlap => "joint readings",
        Quantity::Lift => "lifts",
        Quantity::Seat => "seats",
    };
    let quantities = joint.columns.quantities();
    let bears = round.readings.iter().filter(|r| r.bears).count();
    let felt = (bears > 0).then(|| format!("felt to bear at {bears}"));
    let parts = quantities.iter().map(|&q| format!("{} of {all} {}", read(q), noun(q))).chain(felt);
    let any = bears > 0 || quantities.iter().any(|&q| read(q) > 0);
    (parts.collect::<Vec<_>>().join(", "), any)
}

/// Verdict and map if the round ended here.
fn forecast(joint: &Joint, round: Round) -> (String, String) {
    let mut job: Job = joint.job.clone();
    job.rounds.push(round);
    let advice = advice::advise(&job, &joint.options());
    let map = draw::removal_map(&job, &advice);
    let strip = draw::removal_strip(&job, &advice);
    (words::so_far(&advice).into_string(), two(strip, &map).into_string())
}
