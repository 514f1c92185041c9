//! A saved reading corrected: one station's fields, and nothing else.

use maud::{Markup, html};
use serde_json::json;

use super::cells::{Meaning, Sent, held};
use super::read::Fields;
use super::save::unsettled;
use super::{Joint, words};
use crate::advice::Advice;
use crate::job::{Reading, Round, Unit};
use crate::page::answer::{Answered, Refusal, Status, json, page};
use crate::page::frame::Frame;
use crate::page::site::Site;
use crate::record::{self, TypedRound};
use crate::show;

/// The joint as it was before its last round, and that round.
fn taken_back(mut joint: Joint) -> Result<(Joint, Round), Refusal> {
    let saved = joint.job.rounds.pop().ok_or_else(Refusal::unknown)?;
    Ok((joint, saved))
}

/// Shows the fields of a station of the last round, with what stands there.
pub(in crate::page) fn show(site: &Site, name: &str, station: usize) -> Answered {
    let (before, saved) = taken_back(site.joint(name)?)?;
    let known = before.job.stations.get(station).ok_or_else(Refusal::unknown)?;
    let (number, name) = (before.next_round(), show::clean(&known.name));
    let title = format!("Station {name}, {}", before.title());
    let frame = Frame { title: &title, joint: Some(&before), view: "", script: Some("correct.js") };
    let typed = TypedRound::saved(&saved);
    let fields = Fields { joint: &before, typed: &typed, next: None };
    Ok(page(frame.around(html! {
        h1 { "Station " (name) ", round " (number) }
        p.about { (before.title()) ". Lengths in " (words::unit(&before.job)) "; " (show::typed_alike(before.job.unit)) "." }
        (belongs_here(&before, &saved))
        form #correct novalidate autocomplete="off" data-round=(number)
            data-against=(saved.against.word()) data-rebent=(saved.rebent) {
            h2.unseen { "What was read" }
            ol.stations.fine[before.job.unit != Unit::Mm] { li { (fields.station(station)) } }
            p.problem #correct-problem role="alert" {}
            div.actions {
                button type="submit" .button.main { "Put this in its place" }
                a.button href=(before.at("")) { "Leave it as it is" }
            }
        }
        p.about { "What stands there now is kept: in the note of its row, and in confirmed.log." }
        p #said .unseen role="status" aria-live="polite" {}
    })))
}

/// What is a correction, and what is a new round.
fn belongs_here(before: &Joint, saved: &Round) -> Markup {
    let number = before.next_round();
    html! {
        p.note {
            @if saved.strokes.is_empty() { "Correct a slip, or read with the rib as it lay. If it was set anew, what it reads now is " }
            @else { "You planed after round " (number) ". Correct slips only; what the rib reads now is " }
            a href=(before.at("read")) { "a new round" } "."
        }
    }
}

/// Where the last round's readings are in doubt, the way to their fields; and to all the others.
pub(super) fn ways(joint: &Joint, advice: &Advice) -> Markup {
    html! {
        @if !advice.doubted.is_empty() {
            p.actions { @for station in &advice.doubted { (way(joint, *station, "Read or correct station ", "button main")) " " } }
        }
    }
}

/// The way to any reading of the last round.
pub(super) fn all(joint: &Joint) -> Markup {
    html! {
        details.further {
            summary { "Correct a reading of round " (joint.job.rounds.len()) }
            p.actions { @for station in 0..joint.job.stations.len() { (way(joint, station, "Station ", "button small")) " " } }
        }
    }
}

fn way(joint: &Joint, station: usize, words: &str, look: &str) -> Markup {
    let name = joint.job.stations.get(station).map(|s| show::clean(&s.name)).unwrap_or_default();
    html! { a class=(look) href={ (joint.at("correct")) "/" (station) } { (words) (name) } }
}

/// Puts what was typed in the place of what stands there.
pub(in crate::page) fn save(site: &Site, name: &str, mut sent: Sent) -> Answered {
    let _writing = site.writing();
    let (before, saved) = taken_back(site.joint(name)?)?;
    before.is_still(&sent.version)?;
    if sent.round != before.next_round() {
        return Err(Refusal::stale());
    }
    (sent.against, sent.rebent) = (saved.against, saved.rebent);
    let meanings: Vec<Meaning> = sent.cells.iter().map(|cell| cell.meaning(&before, &sent)).collect();
    if let Some(open) = unsettled(&before, &sent, &meanings) {
        return Ok(open);
    }
    let readings = corrected(&before, &saved, &sent, &meanings);
    if readings.iter().all(|(station, reading)| saved.readings.get(*station) == Some(reading)) {
        let text =
            "Nothing was changed: that stands there already. Next: type what it should be, or leave it.";
        return Err(Refusal::new(Status::Unprocessable, text));
    }
    match record::correct_round(&before.folder, (sent.round, &saved), &readings) {
        Err(error) if !error.is_written() => Err(error.into()),
        _ => Ok(json(&json!({ "corrected": sent.round, "next": before.at("") }))),
    }
}

/// The readings at the stations that were sent. A field that shows what stands there keeps every
/// decimal of it.
fn corrected(before: &Joint, saved: &Round, sent: &Sent, meanings: &[Meaning]) -> Vec<(usize, Reading)> {
    let typed = TypedRound::saved(saved);
    let mut readings = saved.readings.clone();
    for (cell, meaning) in sent.cells.iter().zip(meanings) {
        let Some(station) = cell.station(before) else { continue };
        let held = held(before, &typed, station, cell.quantity);
        let shown = held.text == cell.text.trim() && held.gap.is_none_or(|gap| gap == cell.gap);
        let Some(reading) = readings.get_mut(station).filter(|_| !shown) else { continue };
        cell.quantity.put(reading, if let Meaning::Reading(told) = meaning { Some(*told) } else { None });
    }
    for bearing in &sent.bears {
        let there = bearing.station(before).and_then(|i| readings.get_mut(i));
        there.into_iter().for_each(|reading| reading.bears = bearing.bears);
    }
    readings.into_iter().enumerate().collect()
}
