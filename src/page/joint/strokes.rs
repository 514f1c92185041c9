//! Strokes to tick off, and recording what was planed.

use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use super::Joint;
use crate::advice::Advice;
use crate::job::{self, RoundNumber, ranges};
use crate::page::answer::{Answered, Refusal, Status, json};
use crate::page::site::Site;
use crate::record::{self, NewStroke};
use crate::show;

/// The strokes that are advised, to be ticked.
pub(super) fn to_take(joint: &Joint, advice: &Advice) -> Markup {
    let check = advice.strokes.iter().any(|s| s.check);
    html! {
        div.verdict.plane { h2 { "Plane" } p.todo { "then read again" } }
        h2 .unseen { "Strokes, in this order" }
        form #strokes novalidate data-round=(joint.job.rounds.len()) autocomplete="off" {
            ol.strokes {
                @for (i, stroke) in advice.strokes.iter().enumerate() {
                    (Item { joint, key: &i.to_string(), stroke: &stroke.named(&joint.job), check: stroke.check, ticked: false }.markup())
                }
            }
            @if check { p.about { (show::CHECK) } }
            (caution(joint))
            (rest(joint))
        }
        h2 { "Why" }
        p { (advice.reason) }
    }
}

/// What can hurt: whole beside a joint's first strokes, a line to open from then on.
fn caution(joint: &Joint) -> Markup {
    let told = joint.job.rounds.iter().any(|r| !r.strokes.is_empty());
    html! {
        @if told { details.caution { summary { "Caution: the iron is bare" } p { (show::CAUTION) } } }
        @else { p.caution { (show::CAUTION) } }
    }
}

/// Strokes that nobody advised can be told, too.
pub(super) fn more(joint: &Joint) -> Markup {
    let planed = joint.job.rounds.last().is_some_and(|last| !last.strokes.is_empty());
    html! {
        details.further {
            summary { @if planed { "More was planed" } @else { "Something was planed all the same" } }
            form #strokes novalidate data-round=(joint.job.rounds.len()) autocomplete="off" {
                ol.strokes {}
                (rest(joint))
            }
        }
    }
}

/// What is told after the last round already.
pub(super) fn recorded(joint: &Joint) -> Markup {
    let last = joint.job.rounds.last().map(|last| last.strokes.as_slice()).unwrap_or_default();
    html! {
        div.verdict.plane {
            h2 { "Planed" }
            p.todo { "Read again: strokes are recorded after round " (joint.job.rounds.len()) "." }
            ol.done { @for stroke in last { li { (show::done_text(&joint.job, &stroke.named(&joint.job))) } } }
        }
    }
}

/// The end of the form: another stroke, and recording.
fn rest(joint: &Joint) -> Markup {
    let station = |i: Option<usize>| {
        i.and_then(|i| joint.job.stations.get(i)).map(|s| s.name.clone()).unwrap_or_default()
    };
    let blank = NewStroke {
        plane: joint.job.planes.first().map(|p| p.name.clone()).unwrap_or_default(),
        from: station(Some(0)),
        to: station(joint.job.stations.len().checked_sub(1)),
        count: 1,
        shaving: None,
        note: None,
    };
    html! {
        template #another { (Item { joint, key: "new", stroke: &blank, check: false, ticked: true }.markup()) }
        div.actions {
            button type="submit" .button.main { "Record what is ticked" }
            button type="button" #add .button { "Another stroke" }
        }
        p.problem #strokes-problem role="alert" {}
        dialog #record aria-labelledby="record-head" {
            h2 #record-head { "Record these strokes?" }
            ol #record-list {}
            p.problem #record-problem role="alert" {}
            div.actions {
                button type="button" #record-yes .button.main { "Record" }
                button type="button" #record-no .button { "Go back" }
            }
        }
    }
}

/// One stroke with its box, and what can be changed about it.
struct Item<'a> {
    joint: &'a Joint,
    key: &'a str,
    stroke: &'a NewStroke,
    check: bool,
    ticked: bool,
}

impl Item<'_> {
    fn markup(&self) -> Markup {
        let stroke = self.stroke;
        let with = show::with_text(&self.joint.job, stroke);
        html! {
            li.stroke {
                label.tick {
                    input type="checkbox" name="done" checked[self.ticked];
                    span.words.unseen { (show::done_text(&self.joint.job, stroke)) }
                    span.run aria-hidden="true" { (show::clean(&stroke.from)) " → " (show::clean(&stroke.to)) }
                    span.with aria-hidden="true" { (with) }
                }
                button.push type="button" hidden[stroke.count == 1] { span { "a push" } output { "0 of " (stroke.count) } }
                @if self.check { p.check { "The check" } }
                details.change open[self.ticked] {
                    summary { "Change it" }
                    div.parts {
                        (self.choose("plane", "Plane", self.planes(), &stroke.plane))
                        (self.choose("from", "From station", self.stations(), &stroke.from))
                        (self.choose("to", "To station", self.stations(), &stroke.to))
                        label { "Strokes" input type="number" name="count" inputmode="numeric" min=(ranges::COUNT.low) max=(ranges::COUNT.high) step="1" value=(stroke.count); }
                        (self.maybe("unbroken-from", "Shaving unbroken from"))
                        (self.maybe("unbroken-to", "to"))
                    }
                }
            }
        }
    }

    fn planes(&self) -> Vec<&str> {
        self.joint.job.planes.iter().map(|p| p.name.as_str()).collect()
    }

    fn stations(&self) -> Vec<&str> {
        self.joint.job.stations.iter().map(|s| s.name.as_str()).collect()
    }

    fn choose(&self, name: &str, label: &str, all: Vec<&str>, chosen: &str) -> Markup {
        html! {
            label { (label)
                select name=(name) data-key=(self.key) {
                    @for one in all { option value=(one) selected[one == chosen] { (show::clean(one)) } }
                }
            }
        }
    }

    fn maybe(&self, name: &str, label: &str) -> Markup {
        html! {
            label { (label)
                select name=(name) data-key=(self.key) {
                    option value="" { "not watched" }
                    @for one in self.stations() { option value=(format!("={one}")) { (show::clean(one)) } }
                }
            }
        }
    }
}

/// A stroke as the page sends it.
#[derive(Debug, Deserialize)]
struct Told {
    plane: String,
    from: String,
    to: String,
    count: f64,
    unbroken: Option<(String, String)>,
}

#[derive(Debug, Deserialize)]
pub(in crate::page) struct Sent {
    version: String,
    round: RoundNumber,
    strokes: Vec<Told>,
}

/// Records strokes that were confirmed.
pub(in crate::page) fn record(site: &Site, name: &str, sent: Sent) -> Answered {
    let _writing = site.writing();
    let joint = site.joint(name)?;
    joint.is_still(&sent.version)?;
    let strokes = sent.strokes.iter().map(named).collect::<Result<Vec<NewStroke>, Refusal>>()?;
    let known = joint.job.rounds.last().map(|last| last.strokes.as_slice()).unwrap_or_default();
    let warning = match record::add_strokes_to(&joint.folder, sent.round, known, &strokes) {
        Ok(()) => None,
        Err(error) if error.is_written() => Some(error.to_string()),
        Err(error) => return Err(error.into()),
    };
    Ok(json(&json!({ "recorded": strokes.len(), "next": joint.at(""), "warning": warning })))
}

fn named(told: &Told) -> Result<NewStroke, Refusal> {
    let whole = ranges::COUNT.holds(told.count) && told.count.fract() == 0.0;
    if !whole {
        let expected = ranges::COUNT.in_words(job::Unit::Mm);
        return Err(Refusal::new(
            Status::Unprocessable,
            format!("Nothing was recorded: expected {expected}. Next: correct it."),
        ));
    }
    let (plane, from, to) = (told.plane.clone(), told.from.clone(), told.to.clone());
    // Whole and within its range, so nothing is lost.
    Ok(NewStroke { plane, from, to, count: told.count as u32, shaving: told.unbroken.clone(), note: None })
}
