//! A bowl's pages: where the work stands, the girth shared out, the marks.

use maud::{Markup, html};

use super::answer::{Answered, Refusal, page};
use super::folder::Kind;
use super::frame::{Frame, picture};
use super::joint::{Joint, verdict_word};
use super::measured;
use super::site::Site;
use crate::advice::{self, JointState, Stage, Whole};
use crate::bowl::divide::{Division, Source, divide};
use crate::bowl::mark::{Marks, Wish, marks_in};
use crate::job::Unit;
use crate::job::bowl::{Bowl, read_bowl};
use crate::show::{self, cell, draw};

/// Where the work stands.
pub(super) fn show(site: &Site) -> Answered {
    let bowl = read_bowl(&site.folder.path)?;
    let stands = advice::whole(&bowl);
    let frame = Frame { title: &title(&bowl), joint: None, view: "bowl", script: None };
    Ok(page(frame.around(body(&bowl, &stands))))
}

fn title(bowl: &Bowl) -> String {
    show::clean(bowl.settings.title.as_deref().unwrap_or("Bowl"))
}

fn body(bowl: &Bowl, stands: &Whole) -> Markup {
    let done = stands.joints.iter().filter(|j| j.stage == Stage::Done).count();
    html! {
        h1 { (title(bowl)) }
        p.about { (bowl.settings.ribs) " ribs; " (done) " of " (stands.joints.len()) " joints fitted. Lengths in " (show::plural(bowl.settings.unit)) "." }
        div.verdict.plane { h2 { (heading(stands)) } p { (stands.next) } (onward(bowl, stands)) }
        div.beside {
            section aria-labelledby="joints-head" {
                h2 #joints-head { "Joints" }
                @if let Ok(division) = &stands.division { (outside(bowl, stands, division)) }
                (joints(bowl, stands))
            }
            section aria-labelledby="widths-head" {
                h2 #widths-head { "The ribs' widths" }
                @match &stands.division {
                    Ok(division) => {
                        p { (show::bowl::division_said(bowl, division)) }
                        (widths(bowl, division))
                        p.actions { a.button href="/divide" { "Divide the girth" } a.button href="/moisture" { "Moisture" } }
                    }
                    Err(missing) => { p { (missing) } }
                }
            }
        }
        @if !stands.warnings.is_empty() {
            section.mind aria-labelledby="mind-head" {
                h2 #mind-head { "Mind" }
                ul { @for warning in &stands.warnings { li { (warning.text) } } }
            }
        }
    }
}

/// The bowl from outside.
fn outside(bowl: &Bowl, stands: &Whole, division: &Division) -> Markup {
    let rib = stands.joints.iter().find(|j| j.stage == Stage::InWork).map(|j| j.number + 1);
    let small = draw::narrow_outside(bowl, division, rib);
    picture(small, &draw::outside(bowl, division, rib), "The bowl from outside")
}

/// Joints that something was done at and the next one; the others wait out of sight.
fn joints(bowl: &Bowl, stands: &Whole) -> Markup {
    let next = open_joint(stands).map(|j| j.number);
    let (shown, waiting): (Vec<_>, Vec<_>) =
        stands.joints.iter().partition(|j| j.stage != Stage::Waiting || Some(j.number) == next);
    html! {
        ol.joints { @for joint in shown { li { (state(bowl, joint)) } } }
        @if !waiting.is_empty() {
            details {
                summary { (waiting.len()) " joints wait" }
                ol.joints { @for joint in &waiting { li { (state(bowl, joint)) } } }
            }
        }
    }
}

/// The joint in work, or else the one that waits.
fn open_joint(stands: &Whole) -> Option<&JointState> {
    let first = |stage| stands.joints.iter().find(|j| j.stage == stage);
    first(Stage::InWork).or_else(|| first(Stage::Waiting))
}

/// What to do where: `Joint 3: plane`.
fn heading(stands: &Whole) -> String {
    match open_joint(stands) {
        Some(joint) => {
            let todo = joint.verdict.map_or("read", |verdict| verdict_word(verdict).0);
            format!("Joint {}: {}", joint.number, todo.to_lowercase())
        }
        None => "Every joint is fitted".into(),
    }
}

fn onward(bowl: &Bowl, stands: &Whole) -> Markup {
    html! {
        @if let Some(joint) = open_joint(stands) {
            p { a.button.main href=(address(bowl, joint)) { "To joint " (joint.number) } }
        }
    }
}

/// Where a joint is served: under its folder's name, `1` or `01`.
fn address(bowl: &Bowl, joint: &JointState) -> String {
    format!("/joint/{}", bowl.folder_of(joint.number).name().unwrap_or_default())
}

fn state(bowl: &Bowl, joint: &JointState) -> Markup {
    let unit = bowl.settings.unit;
    let (word, look) = match joint.stage {
        Stage::Done => ("fitted", "fitted"),
        Stage::InWork => ("in work", "plane"),
        Stage::Waiting => ("waiting", "waiting"),
    };
    html! {
        a.joint.(look) href=(address(bowl, joint)) {
            strong { "Joint " (joint.number) }
            span.stage { (word) }
            @if joint.rounds > 0 {
                span.about {
                    (joint.rounds) " rounds, " (joint.strokes) " strokes"
                    @if let Some(gap) = joint.gap { ", gap " (unit.say(gap)) }
                    @if let Some(lift) = joint.lift { ", lift " (unit.say(lift)) }
                }
            }
        }
    }
}

fn widths(bowl: &Bowl, d: &Division) -> Markup {
    picture(draw::narrow_widths(bowl, d), &draw::widths(bowl, d), "The ribs' widths against each other")
}

/// The girth shared out; if symmetric, to each rib as to its partner on the other side.
pub(super) fn divided(site: &Site, symmetric: bool) -> Answered {
    if site.folder.kind != Kind::Bowl {
        return Err(Refusal::unknown());
    }
    let bowl = read_bowl(&site.folder.path)?;
    let frame = Frame { title: "Divide", joint: None, view: "divide", script: Some("figures.js") };
    Ok(page(frame.around(html! {
        h1 { "Divide the girth" }
        p.about { (title(&bowl)) ". Lengths in " (show::plural(bowl.settings.unit)) ", along the mold." }
        @match divide(&bowl, None, symmetric) {
            Ok(shared) => { (shares(&bowl, &shared, symmetric)) }
            Err(missing) => { p { (missing) } }
        }
        (measured::girth_fields(&bowl))
    })))
}

fn shares(bowl: &Bowl, d: &Division, symmetric: bool) -> Markup {
    let (unit, stations) = (bowl.settings.unit, &bowl.settings.stations);
    let ways = [("/divide", "All alike", !symmetric), ("/divide/symmetric", "Symmetric", symmetric)];
    html! {
        p.actions { @for (to, label, here) in ways { a.button.main[here] href=(to) aria-current=[here.then_some("page")] { (label) } } }
        p.todo { (show::bowl::division_said(bowl, d)) }
        h2 { "Rib " (d.fitted + 1) ", the next" }
        div.wide role="group" aria-label="The next rib at every station, in a table" tabindex="0" {
            table {
                thead { tr { th scope="col" { "station" } th scope="col" { "next" } th scope="col" { "laid out" } th scope="col" { "girth left" } th scope="col" { "free" } th scope="col" { "differ" } } }
                tbody {
                    @for (i, name) in stations.iter().enumerate() {
                        tr {
                            th scope="row" { (show::clean(name)) }
                            td { strong { (cell(Some(d.next()[i]), unit)) } }
                            td { (cell(Some(d.plan[i]), unit)) } td { (cell(Some(d.girth[i]), unit)) }
                            td { (cell(Some(d.free[i][0]), unit)) " to " (cell(Some(d.free[i][1]), unit)) } td { (cell(Some(d.difference(i)), unit)) }
                        }
                    }
                }
            }
        }
        p.about { "Free: a rib left may lie anywhere in there without the largest difference growing." }
        h2 { "All ribs" }
        (ribs(d, stations, unit))
        (widths(bowl, d))
    }
}

fn ribs(d: &Division, stations: &[String], unit: Unit) -> Markup {
    let word = |source| match source {
        Source::Measured => "measured",
        Source::Girths => "girths",
        Source::Plan => "laid out",
        Source::Share => "share",
    };
    html! {
        div.wide role="group" aria-label="Every rib's width, in a table" tabindex="0" {
            table {
                thead { tr { th scope="col" { "rib" } th scope="col" { "from" } @for name in stations { th scope="col" { (show::clean(name)) } } } }
                tbody {
                    @for (k, rib) in d.ribs.iter().enumerate() {
                        tr { th scope="row" { (k + 1) } td { (word(rib.source)) } @for width in &rib.at { td { (cell(Some(*width), unit)) } } }
                    }
                }
            }
        }
    }
}

/// The marks of a joint's new rib.
pub(super) fn marked(site: &Site, joint: &Joint) -> Answered {
    if joint.of != Kind::Bowl {
        return Err(Refusal::unknown());
    }
    let bowl = read_bowl(&site.folder.path)?;
    let title = format!("Mark, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "mark", script: Some("figures.js") };
    let found = laid(&bowl, joint);
    Ok(page(frame.around(html! {
        h1 { "Mark the outer edge" }
        p.about { (joint.title()) ". Lengths in " (show::plural(joint.job.unit)) ", across the rib; marks from the reference line." }
        @match found { Ok(marks) => { (edge(joint, &marks)) } Err(missing) => { p { (missing) } } }
        (measured::mark_fields(&bowl, joint))
    })))
}

/// As `ribwright mark` lays them.
fn laid(bowl: &Bowl, joint: &Joint) -> Result<Marks, String> {
    let number: usize = joint.name.parse().unwrap_or(0);
    marks_in(bowl, number, &joint.job, &joint.start, Wish::default())?
        .ok_or_else(|| "There are no marks yet.".into())
}

fn edge(joint: &Joint, m: &Marks) -> Markup {
    let job = &joint.job;
    let shown = |v: Option<f64>| cell(v, job.unit);
    html! {
        p.todo { (show::bowl::marks_said(job, m)) }
        div.wide role="group" aria-label="The marks at every station, in a table" tabindex="0" {
            table {
                thead { tr { th scope="col" { "station" } th scope="col" { "mark" } th scope="col" { "width" } th scope="col" { "wanted" } th scope="col" { "to come off" } th scope="col" { "now" } } }
                tbody {
                    @for (station, s) in job.stations.iter().zip(&m.stations) {
                        tr {
                            th scope="row" { (show::clean(&station.name)) } td { (shown(s.mark)) " ± " (shown(Some(s.sd))) } td { (shown(Some(s.width))) }
                            td { (shown(s.wanted)) } td { (shown(s.remove)) } td { (shown(Some(s.now))) }
                        }
                    }
                }
            }
        }
        p.about { "± one standard uncertainty." }
        (picture(draw::narrow_outline(job, m), &draw::outline(job, m), "The new rib's outline and its marks"))
        (picture(draw::narrow_marks(job, m), &draw::marks(job, m), "What comes off the outer edge"))
        p.about { "Bars: what comes off now. Line and band: what is to come off down to the marks, in " (show::plural(job.unit)) "." }
        @if !m.plan.strokes.is_empty() {
            h2 { "Strokes, in this order" }
            p.caution { (show::CAUTION) }
            ol.done { @for stroke in &m.plan.strokes { li { (show::done_text(job, &stroke.stroke().named(job))) } } }
        }
    }
}
