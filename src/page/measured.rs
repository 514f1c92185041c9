//! Figures of a bowl typed on its pages: a girth, and the marks of a joint. They are held against
//! what is known as at the prompt, and go below the table's other rows.

use maud::{Markup, html};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::answer::{Answer, Answered, Refusal, Status, json, json_as};
use super::folder::Kind;
use super::joint::Joint;
use super::site::Site;
use crate::advice;
use crate::bowl::divide::{divide, when};
use crate::bowl::doubt::{Doubt, TypedGirth, TypedMarks, with_girth};
use crate::job::bowl::{Bowl, Mark, read_bowl};
use crate::job::ranges::{self, Range};
use crate::job::{Job, Unit};
use crate::record::{NewMark, add_girth, add_marks};
use crate::show;
use crate::table::typed_length;

/// Figures as a page sends them, in the order of its fields.
#[derive(Debug, Deserialize)]
pub(super) struct Typed {
    /// Of a girth: how many ribs were in their places.
    after: Option<usize>,
    figures: Vec<Figure>,
}

#[derive(Debug, Deserialize)]
struct Figure {
    text: String,
    /// Whether the maker said that one in doubt is right.
    sure: bool,
}

impl Figure {
    /// The figure in mm; nothing where the field is empty.
    fn length(&self, range: &Range, unit: Unit) -> Result<Option<f64>, String> {
        let text = Some(self.text.trim()).filter(|text| !text.is_empty());
        text.map(|text| typed_length(text, range, unit)).transpose()
    }

    /// What is to be said of it, with what speaks against it.
    fn state(&self, read: &Result<Option<f64>, String>, doubt: Option<Doubt>) -> State {
        match (read, doubt) {
            (Err(expected), _) => State::of("wrong", expected),
            (_, Some(Doubt::Cannot(why))) => State::of("wrong", &why),
            (_, Some(Doubt::Hardly(why))) if !self.sure => State::of("doubt", &format!("{why} Look again.")),
            _ => State::of("read", ""),
        }
    }
}

/// The mark beside a field.
#[derive(Debug, Serialize)]
struct State {
    state: &'static str,
    text: String,
}

impl State {
    fn of(state: &'static str, text: &str) -> State {
        State { state, text: text.to_owned() }
    }
}

/// The answer where figures are wrong or in doubt.
fn open(marks: &[State]) -> Option<Answer> {
    let error = "Nothing was saved: a figure is marked. Next: correct it, or say that it is right.";
    let open = marks.iter().any(|m| m.state != "read");
    open.then(|| json_as(Status::Unprocessable, &json!({ "error": error, "marks": marks })))
}

fn refused(why: impl Into<String>) -> Refusal {
    Refusal::new(Status::Unprocessable, why)
}

/// The fields for a girth that was not read yet: the one that is due comes first.
pub(super) fn girth_fields(bowl: &Bowl) -> Markup {
    let free: Vec<usize> = (0..bowl.settings.ribs).filter(|after| is_free(bowl, *after)).collect();
    let due = advice::girth_due(bowl).filter(|due| free.contains(due)).or(free.first().copied());
    let names = &bowl.settings.stations;
    let fields: Vec<(usize, &str)> = (0..names.len()).map(|i| (i, "Girth")).collect();
    html! {
        @if let Some(due) = due {
            h2 { "Type a girth" }
            form #figures novalidate autocomplete="off" data-to="/divide" {
                p { (show::bowl::girth_asked(due)) }
                label.lone for="after" { "Measured" }
                select #after { @for after in &free { option value=(after) selected[*after == due] { (when(*after)) } } }
                (stations(names, &fields, bowl.settings.unit))
            }
        }
    }
}

fn is_free(bowl: &Bowl, after: usize) -> bool {
    bowl.girths.iter().all(|g| g.after != after)
}

/// The fields for the marks of a joint's stations that have none.
pub(super) fn mark_fields(bowl: &Bowl, joint: &Joint) -> Markup {
    let open = unmarked(bowl, number(joint), &joint.job);
    let names: Vec<String> = joint.job.stations.iter().map(|s| s.name.clone()).collect();
    let asked = |i: &usize| ["Compass", "Edge", "Reference"].map(|word| (*i, word));
    let fields: Vec<(usize, &str)> = open.iter().flat_map(asked).collect();
    html! {
        @if !fields.is_empty() {
            h2 { "Type the marks" }
            form #figures novalidate autocomplete="off" data-to=(joint.at("mark")) {
                p { (show::bowl::MARKS_ASKED) " A reference left empty is as at the station before." }
                (stations(&names, &fields, joint.job.unit))
            }
        }
    }
}

/// Fields with their stations (indices), and the key that saves them.
fn stations(names: &[String], fields: &[(usize, &str)], unit: Unit) -> Markup {
    let rows = fields.chunk_by(|a, b| a.0 == b.0);
    html! {
        ol.stations.fine[unit != Unit::Mm] {
            @for row in rows { li { (station(&show::clean(&names[row[0].0]), row)) } }
        }
        p.problem #figures-problem role="alert" {}
        div.actions { button type="submit" .button.main { "Save" } }
        p #said .unseen role="status" aria-live="polite" {}
    }
}

fn station(name: &str, fields: &[(usize, &str)]) -> Markup {
    html! {
        div.station.long[name.chars().count() > 3] role="group" aria-label={ "Station " (name) } {
            h3.name { span.unseen { "Station " } (name) }
            @for (i, word) in fields {
                @let id = format!("{}-{i}", word.to_lowercase());
                div.cell {
                    div.field {
                        label for=(id) { (word) span.unseen { ", station " (name) } }
                        input #(id) type="text" inputmode="decimal" enterkeyhint="next" maxlength="24" aria-describedby={ (id) "-mark" };
                    }
                    div.mark #{ (id) "-mark" } hidden {}
                }
            }
        }
    }
}

/// Saves a girth.
pub(super) fn girth(site: &Site, typed: Typed) -> Answered {
    if site.folder.kind != Kind::Bowl {
        return Err(Refusal::unknown());
    }
    let _writing = site.writing();
    let bowl = read_bowl(&site.folder.path)?;
    let (unit, names) = (bowl.settings.unit, &bowl.settings.stations);
    let after = typed.after.filter(|after| *after < bowl.settings.ribs).ok_or_else(Refusal::garbled)?;
    if !is_free(&bowl, after) || typed.figures.len() != names.len() {
        return Err(Refusal::stale());
    }
    let read: Vec<_> = typed.figures.iter().map(|f| f.length(&ranges::GIRTH, unit)).collect();
    let known = TypedGirth::new(&bowl, after);
    let marks = typed.figures.iter().zip(&read).enumerate().map(|(i, (figure, read))| {
        figure.state(read, read.clone().ok().flatten().and_then(|mm| known.doubt(i, mm)))
    });
    if let Some(open) = open(&marks.collect::<Vec<_>>()) {
        return Ok(open);
    }
    let at: Vec<Option<f64>> = read.into_iter().map(|read| read.ok().flatten()).collect();
    enough(at.iter().flatten().count())?;
    divide(&with_girth(&bowl, after, at.clone()), Some(after), false)
        .map_err(|why| refused(format!("{why} Nothing was saved.")))?;
    add_girth(&site.folder.path, after, &at)?;
    Ok(json(&json!({ "next": "/divide" })))
}

fn enough(stations: usize) -> Result<(), Refusal> {
    if stations < 3 { Err(refused(format!("{}.", show::bowl::TOO_FEW))) } else { Ok(()) }
}

/// Saves the marks of stations that had none.
pub(super) fn marks(site: &Site, name: &str, typed: Typed) -> Answered {
    let _writing = site.writing();
    let joint = site.joint(name)?;
    if joint.of != Kind::Bowl {
        return Err(Refusal::unknown());
    }
    let bowl = read_bowl(&site.folder.path)?;
    let (number, job) = (number(&joint), &joint.job);
    let open_stations = unmarked(&bowl, number, job);
    if typed.figures.len() != 3 * open_stations.len() {
        return Err(Refusal::stale());
    }
    let known = TypedMarks::new(&bowl, number, job);
    let (mut states, mut new, mut reference) = (Vec::new(), Vec::new(), 0.0);
    for (station, figures) in open_stations.iter().zip(typed.figures.chunks(3)) {
        let row = MarkRow::read(figures, job.unit);
        reference = row.reference.clone().ok().flatten().unwrap_or(reference);
        states.extend(row.states(&known, *station, reference));
        new.extend(
            row.mark(reference).map(|mark| NewMark { station: job.stations[*station].name.clone(), mark }),
        );
    }
    if let Some(open) = open(&states) {
        return Ok(open);
    }
    enough(new.len() + job.stations.len() - open_stations.len())?;
    add_marks(&site.folder.path, number, &new)?;
    Ok(json(&json!({ "next": joint.at("mark") })))
}

fn number(joint: &Joint) -> usize {
    joint.name.parse().unwrap_or(0)
}

/// Stations of a joint (indices) that have no mark yet.
fn unmarked(bowl: &Bowl, number: usize, job: &Job) -> Vec<usize> {
    let there = bowl.joint(number).map(|j| j.marks.as_slice()).unwrap_or_default();
    (0..job.stations.len()).filter(|i| there.get(*i).is_none_or(Option::is_none)).collect()
}

/// The three figures of a station.
struct MarkRow<'a> {
    figures: &'a [Figure],
    compass: Result<Option<f64>, String>,
    edge: Result<Option<f64>, String>,
    reference: Result<Option<f64>, String>,
}

impl MarkRow<'_> {
    fn read(figures: &[Figure], unit: Unit) -> MarkRow<'_> {
        let [compass, edge, reference] = [(0, &ranges::COMPASS), (1, &ranges::EDGE), (2, &ranges::REFERENCE)]
            .map(|(k, range)| figures[k].length(range, unit));
        MarkRow { figures, compass, edge, reference }
    }

    /// The mark, where compass and edge were measured.
    fn mark(&self, reference: f64) -> Option<Mark> {
        let figure = |read: &Result<Option<f64>, String>| read.clone().ok().flatten();
        Some(Mark { compass: figure(&self.compass)?, edge: figure(&self.edge)?, reference })
    }

    fn states(&self, known: &TypedMarks, station: usize, reference: f64) -> [State; 3] {
        let needed = |other| Doubt::Cannot(format!("With {other} this one is needed."));
        let mark = self.mark(reference);
        let (edge, line) = match (&self.compass, &self.edge, mark) {
            (_, _, Some(mark)) => (known.edge(mark.compass, mark.edge), known.line(station, &mark)),
            (Ok(Some(_)), Ok(None), _) => (Some(needed("a compass")), None),
            _ => (None, None),
        };
        let compass =
            matches!((&self.compass, &self.edge), (Ok(None), Ok(Some(_)))).then(|| needed("an edge"));
        let [first, second, third] = [0, 1, 2].map(|k| &self.figures[k]);
        [
            first.state(&self.compass, compass),
            second.state(&self.edge, edge),
            third.state(&self.reference, line),
        ]
    }
}
