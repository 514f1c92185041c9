//! Saving a round that was confirmed, and throwing away one that was not.

use serde::Deserialize;
use serde_json::json;

use super::Joint;
use super::cells::{Meaning, Sent, states};
use super::choices::HeldChoices;
use super::read::open;
use super::typing::{all_held, round};
use crate::job::{Round, RoundNumber};
use crate::page::answer::{Answer, Answered, Refusal, Status, json, json_as};
use crate::page::site::Site;
use crate::record::{self, Draft, NewRound, TypedRound};

/// Saves the round as the page shows it.
pub(in crate::page) fn save(site: &Site, name: &str, sent: Sent) -> Answered {
    let _writing = site.writing();
    let joint = site.joint(name)?;
    joint.is_still(&sent.version)?;
    let meanings: Vec<Meaning> = sent.cells.iter().map(|cell| cell.meaning(&joint, &sent)).collect();
    if let Some(open) = unsettled(&joint, &sent, &meanings) {
        return Ok(open);
    }
    put(&joint, &sent, round(&joint, &sent, &meanings))
}

/// The answer where values are wrong or in doubt.
pub(super) fn unsettled(joint: &Joint, sent: &Sent, meanings: &[Meaning]) -> Option<Answer> {
    let open = meanings.iter().filter(|m| matches!(m, Meaning::Doubt(..) | Meaning::Wrong(_))).count();
    let marks = states(joint, sent, meanings);
    let error = "Nothing was saved: a value is marked. Next: correct it, or say that it is right.";
    let body = json!({ "error": error, "marks": marks });
    (open > 0).then(|| json_as(Status::Unprocessable, &body))
}

fn put(joint: &Joint, sent: &Sent, round: Round) -> Answered {
    let (draft, entries) = Draft::open(&joint.folder)?;
    let there = open(joint, TypedRound::of(&entries, &joint.job));
    let round = exactly(joint, sent, &there, round);
    if let Some(other) = typed_elsewhere(joint, sent, &there, &round) {
        return Ok(other);
    }
    let Round { against, rebent, readings, .. } = round;
    let new = NewRound { against, rebent, readings, note: None };
    let number = joint.next_round();
    let warning = match record::add_round_as(&joint.folder, number, &new) {
        Ok(()) => None,
        Err(error) if error.is_written() => Some(error.to_string()),
        Err(error) => return Err(error.into()),
    };
    // One that stays is told from a new one when it is opened next.
    let _ = draft.remove();
    Ok(json(&json!({ "saved": number, "next": joint.at(""), "warning": warning })))
}

/// The round with the draft's own figures where the page shows just these: a field
/// has no room for every decimal of a fraction of an inch.
fn exactly(joint: &Joint, sent: &Sent, there: &TypedRound, mut round: Round) -> Round {
    for (cell, held) in sent.cells.iter().zip(all_held(joint, sent, there)) {
        let shown = held.sure && held.text == cell.text.trim() && held.gap.is_none_or(|gap| gap == cell.gap);
        if let Some(station) = cell.station(joint).filter(|_| shown) {
            cell.quantity.put(&mut round.readings[station], there.reading(station, cell.quantity).flatten());
        }
    }
    round
}

/// The answer where the draft holds something else than the page shows: what would
/// be saved is not all that was typed.
fn typed_elsewhere(joint: &Joint, sent: &Sent, there: &TypedRound, round: &Round) -> Option<Answer> {
    let same = there.is_empty() || there.readings(&joint.job) == round.readings;
    let typed = (!same).then_some("Another page or the terminal typed into this round meanwhile.");
    let chosen = HeldChoices::new(sent, there).said();
    let said = [typed.map(str::to_owned), chosen].into_iter().flatten().collect::<Vec<_>>().join(" ");
    let error = format!("{said} So nothing was saved. Next: look over the round again, then save.");
    let body = json!({ "error": error, "held": all_held(joint, sent, there) });
    (!said.is_empty()).then(|| json_as(Status::Conflict, &body))
}

/// What the page asks to be thrown away.
#[derive(Debug, Deserialize)]
pub(in crate::page) struct Discard {
    round: RoundNumber,
}

/// Throws away what is typed.
pub(in crate::page) fn discard(site: &Site, name: &str, asked: Discard) -> Answered {
    let _writing = site.writing();
    let joint = site.joint(name)?;
    if asked.round != joint.next_round() {
        return Err(Refusal::stale());
    }
    let (draft, _) = Draft::open(&joint.folder)?;
    draft.remove()?;
    Ok(json(&json!({ "next": joint.at("read") })))
}
