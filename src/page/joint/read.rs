//! The page on which a round is typed.

use maud::{Markup, html};

use super::cells::{Held, held};
use super::{Joint, lost, words};
use crate::advice::{ReadNext, Setting};
use crate::job::{Against, Quantity, Unit};
use crate::page::answer::{Answered, page};
use crate::page::frame::Frame;
use crate::page::site::Site;
use crate::record::{Draft, TypedRound};
use crate::show;

/// Shows the fields, with what the draft holds.
pub(in crate::page) fn show(site: &Site, joint: &Joint) -> Answered {
    let draft = Draft::look(&joint.folder)?;
    let typed = open(joint, TypedRound::of(&draft, &joint.job));
    let answer = site.worked(joint);
    let next = answer.advice.read_next.as_ref().filter(|next| next.setting == Setting::New);
    Ok(page(Fields { joint, typed: &typed, next }.page()))
}

/// What is typed and not saved: nothing, if it is the last round, saved already.
pub(super) fn open(joint: &Joint, typed: TypedRound) -> TypedRound {
    if typed.is_last_of(&joint.job) { TypedRound::default() } else { typed }
}

/// What a round is held against, as far as typed, or else as it is usual.
pub(super) fn against(joint: &Joint, typed: &TypedRound) -> Against {
    let usual = joint.job.rounds.last().map_or(Against::Neighbour, |r| r.against);
    typed.against.unwrap_or(usual)
}

/// The fields of a round.
pub(super) struct Fields<'a> {
    pub joint: &'a Joint,
    pub typed: &'a TypedRound,
    /// What is worth reading in it.
    pub next: Option<&'a ReadNext>,
}

impl Fields<'_> {
    fn page(&self) -> Markup {
        let number = self.joint.next_round();
        let title = format!("Round {number}, {}", self.joint.title());
        let frame = Frame { title: &title, joint: Some(self.joint), view: "read", script: Some("read.js") };
        frame.around(html! {
            h1 { "Round " (number) }
            p.about { (self.joint.title()) ". Lengths in " (words::unit(&self.joint.job)) "; " (show::typed_alike(self.joint.job.unit)) "." }
            (lost::note(self.joint))
            (self.earlier())
            (self.elsewhere())
            div.bench.typing {
                section #live aria-labelledby="live-head" {
                    h2 #live-head .unseen { "So far" }
                    p #count .about {}
                    div #map .picture role="group" aria-label="Removal map, drawn anew while you type" tabindex="0" {}
                    div.so-far.broad {}
                }
                form #round novalidate data-round=(number) autocomplete="off"
                    data-against=[self.typed.against.map(Against::word)] data-rebent=[self.typed.rebent] {
                    (self.held())
                    (self.ways())
                    (self.stations())
                    div.actions.steps {
                        button type="button" #step-back .button { "Back" }
                        button type="button" #step-on .button { "Next station" }
                    }
                    div.so-far.narrow {}
                    div.actions {
                        button type="submit" .button.main { "Look it over and save" }
                        button type="button" #discard .button.quiet { "Throw away what is typed" }
                    }
                }
            }
            p #said .unseen role="status" aria-live="polite" {}
            (self.dialog())
            script src="/assets/walk.js" defer {}
        })
    }

    /// What to read, and whether station by station or from a list.
    fn ways(&self) -> Markup {
        html! {
            @if let Some(next) = self.next { p { (show::read_next_text(&self.joint.job, next)) " You may read others too, or leave any out." } }
            fieldset.choice {
                legend { "Show" }
                @for (value, label) in [("list", "all stations"), ("single", "one at a time")] {
                    label { input type="radio" name="walk" value=(value) checked[value == "list"]; span { (label) } }
                }
            }
            p #taken .back aria-hidden="true" {}
            (self.leaves())
        }
    }

    /// The leaves of the feelers, to be tapped: the thickest that goes in.
    fn leaves(&self) -> Markup {
        let leaves = self.joint.job.leaves.iter().map(|leaf| show::exact(*leaf, self.joint.job.unit));
        let leaves: Vec<String> = leaves.collect();
        html! {
            @if let Some(thinnest) = leaves.first() {
                div #leaves .leaves role="group" aria-label="The thickest leaf that goes in" {
                    p.about { "The thickest leaf that goes in:" }
                    button.button.small type="button" value={ "<" (thinnest) } { "none" }
                    @for leaf in &leaves { button.button.small type="button" value=(leaf) { (leaf) } }
                }
            }
        }
    }

    /// Strokes that should have been told before.
    fn earlier(&self) -> Markup {
        let open = self.joint.job.rounds.last().is_some_and(|last| last.strokes.is_empty());
        let last = self.joint.job.rounds.len();
        html! {
            @if open {
                p.note {
                    "No strokes are recorded after round " (last) ". If you planed since, "
                    a href=(self.joint.at("")) { "record them first" } "."
                }
            }
        }
    }

    /// A draft that was begun for another round.
    fn elsewhere(&self) -> Markup {
        let number = self.joint.next_round();
        let other = self.typed.begun_for.filter(|begun| *begun != number && !self.typed.is_empty());
        html! {
            @if let Some(other) = other {
                p.note { "What is typed below was begun as round " (other) "; the next round is now " (number) ". Look at it, or throw it away." }
            }
        }
    }

    fn held(&self) -> Markup {
        let chosen = against(self.joint, self.typed);
        let rebent = self.typed.rebent.unwrap_or(false);
        let last = self.joint.job.rounds.len();
        let ways = [(Against::Neighbour, "neighbour", "the neighbour"), (Against::Line, "line", "a line")];
        html! {
            fieldset.choice {
                legend { "The rib is held against" }
                @for (way, value, label) in ways {
                    label { input type="radio" name="against" value=(value) checked[way == chosen]; span { (label) } }
                }
            }
            @if last > 0 {
                label.tick { input type="checkbox" #rebent name="rebent" checked[rebent]; span { "Bent again since round " (last) } }
            }
            p.note #elsewhere role="status" hidden {}
        }
    }

    fn stations(&self) -> Markup {
        let count = self.joint.job.stations.len();
        html! {
            h2 { "Stations" }
            p #where .about {}
            p.about.listed { "Gap: daylight at the joint line. Over: wood past it; the key before a number changes from one to the other. ▲ under a station: tap it where the rib, pressed lightly, is felt to bear." }
            ol.stations.fine[self.joint.job.unit != Unit::Mm] { @for station in 0..count { li { (self.station(station)) } } }
        }
    }

    /// Those of a station.
    pub fn station(&self, station: usize) -> Markup {
        let name = show::clean(&self.joint.job.stations[station].name);
        let id = format!("s{station}");
        html! {
            div.station.long[name.chars().count() > 3] role="group" aria-labelledby=(id) {
                h3.name #(id) { span.unseen { "Station " } (name) }
                (self.bears(station, &name))
                @for quantity in self.joint.columns.quantities() { (self.cell(station, &name, quantity)) }
            }
        }
    }

    /// The key for where the rib is felt to bear.
    fn bears(&self, station: usize, name: &str) -> Markup {
        let bears = if self.typed.bears(station) { "true" } else { "false" };
        html! {
            button.bears type="button" aria-pressed=(bears)
                data-station=(self.joint.job.stations[station].name) {
                span aria-hidden="true" { "▲" } span.words { " It bears here" } span.unseen { ", station " (name) }
            }
        }
    }

    fn asked(&self, station: usize, quantity: Quantity) -> bool {
        self.next.is_some_and(|next| next.readings.contains(&(station, quantity.clearance())))
    }

    fn cell(&self, station: usize, name: &str, quantity: Quantity) -> Markup {
        let held = held(self.joint, self.typed, station, quantity);
        let id = format!("f{station}-{}", column(quantity));
        let (mark, was) = (format!("{id}-mark"), format!("{id}-was"));
        let joint = quantity == Quantity::Overlap;
        html! {
            div.cell data-quantity=(column(quantity)) data-asked[self.asked(station, quantity)] {
                div.field {
                    @if joint { (self.key(&held, name, &id)) }
                    label for=(id) { @if joint { span.unseen { (words::quantity(quantity)) } } @else { (words::quantity(quantity)) } span.unseen { ", station " (name) } }
                    input #(id) type="text" inputmode=(self.keys()) enterkeyhint="next" maxlength="24"
                        value=(held.text) data-station=(self.joint.job.stations[station].name)
                        data-was=(held.was) data-sure=[held.sure.then_some("yes")]
                        aria-describedby={ (was) " " (mark) };
                }
                (self.before(station, quantity, &was))
                div.mark #(mark) hidden {}
            }
        }
    }

    /// Fractions need more than digits.
    fn keys(&self) -> &'static str {
        if self.joint.job.unit == Unit::Mm { "decimal" } else { "text" }
    }

    /// The sign key: what the number is.
    fn key(&self, held: &Held, name: &str, id: &str) -> Markup {
        let usual = against(self.joint, self.typed) == Against::Neighbour;
        let gap = held.gap.unwrap_or(usual);
        html! {
            button.key type="button" #{ (id) "-key" } data-gap=(if gap { "yes" } else { "no" }) data-set=[held.gap.map(|_| "yes")]
                aria-label={ "Station " (name) ": " (if gap { "gap" } else { "over" }) ", change" } {
                (if gap { "gap" } else { "over" })
            }
        }
    }

    /// The last round's reading.
    fn before(&self, station: usize, quantity: Quantity, id: &str) -> Markup {
        let job = &self.joint.job;
        let said = job.rounds.last().map(|last| {
            let told = last.readings.get(station).and_then(|r| quantity.told(r));
            told.map_or("not read".to_owned(), |told| words::reading(job, quantity, told))
        });
        html! {
            div.was #(id) { @if let Some(said) = said { span.unseen { "Round " (job.rounds.len()) ": " } "was " (said) } }
        }
    }

    fn dialog(&self) -> Markup {
        let number = self.joint.next_round();
        html! {
            dialog #sure aria-labelledby="sure-head" {
                h2 #sure-head { "Save as round " (number) "?" }
                div #sure-words {}
                p.problem #sure-problem role="alert" {}
                div.actions {
                    button type="button" #save .button.main { "Save round " (number) }
                    button type="button" #back .button { "Go back" }
                }
            }
        }
    }
}

/// The quantity's name in what the page sends.
fn column(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Overlap => "overlap",
        Quantity::Lift => "lift",
        Quantity::Seat => "seat",
    }
}
