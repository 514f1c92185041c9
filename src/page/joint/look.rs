//! Pictures: the passes one by one, the rib in space, which turns, both edges, sections.

use maud::{Markup, html};
use serde_json::json;

use super::Joint;
use crate::advice::{Advice, Working, passes};
use crate::page::answer::{Answered, Refusal, Status, json, page};
use crate::page::frame::{Frame, picture, two};
use crate::page::site::{Site, Worked};
use crate::seat::Seated;
use crate::show;
use crate::show::draw::{self, CaptionedRib, Scene, Sheet, View};

/// Shows them.
pub(in crate::page) fn show(site: &Site, joint: &Joint) -> Answered {
    let answer = site.worked(joint);
    let title = format!("Look, {}", joint.title());
    let frame = Frame { title: &title, joint: Some(joint), view: "look", script: Some("look.js") };
    Ok(page(frame.around(body(joint, &answer))))
}

fn body(joint: &Joint, answer: &Worked) -> Markup {
    let about = html! { h1 { "Look" } p.about { (joint.title()) "." } };
    let Some(ribs) = answer.working.as_ref().and_then(|w| Ribs::of(joint, &answer.advice, w)) else {
        return html! { (about) p { (answer.advice.reason) } };
    };
    html! {
        (about)
        (one_by_one(joint, &answer.advice))
        section aria-labelledby="space-head" {
            h2 #space-head { "The rib in space" }
            (turned(&ribs))
        }
        section aria-labelledby="edges-head" {
            h2 #edges-head { "Both edges" }
            (ribs.both_edges())
        }
        @if let Some((small, large)) = ribs.sections() {
            section aria-labelledby="sections-head" {
                h2 #sections-head { "Across the joint" }
                (picture(small, &large, "Across the joint"))
            }
        }
        p #said .unseen role="status" aria-live="polite" {}
    }
}

fn one_by_one(joint: &Joint, advice: &Advice) -> Markup {
    let last = advice.strokes.len();
    html! {
        @if let Some(first) = pass_picture(joint, advice, 0).filter(|_| last > 0) {
            section aria-labelledby="passes-head" {
                h2 #passes-head { "Pass by pass" }
                div.slide {
                    label for="pass" { "Strokes taken" }
                    input #pass type="range" min="0" max=(last) step="1" value="0" aria-describedby="pass-words";
                    output #pass-words for="pass" { "0 of " (last) }
                }
                div #pass-picture .picture role="group" aria-label="The edge after these strokes" tabindex="0" { (first) }
            }
        }
    }
}

/// The edge after so many strokes; `None` if there are not so many.
fn pass_picture(joint: &Joint, advice: &Advice, number: usize) -> Option<Markup> {
    let small = draw::narrow_frames(&joint.job, advice).into_iter().nth(number)?;
    let large = draw::pass_frames(&joint.job, advice).into_iter().nth(number)?;
    Some(two(small, &large))
}

fn turned(ribs: &Ribs) -> Markup {
    let View { turn, tilt } = View::default();
    html! {
        p.about #space-how { "Drag it sideways with a finger, or turn it with the mouse, the arrow keys or the sliders. Gaps and lifts are drawn larger than they are." }
        div #space .picture role="group" aria-label="The rib in space" aria-describedby="space-how" tabindex="0" data-turn=(turn) data-tilt=(tilt) {
            (ribs.in_space(View::default()))
        }
        div.slide {
            label for="turn" { "Turn" }
            input #turn type="range" min="-80" max="80" step="2" value=(turn);
            output for="turn" { (turn) "°" }
        }
        div.slide {
            label for="tilt" { "Tilt" }
            input #tilt type="range" min="0" max="90" step="2" value=(tilt);
            output for="tilt" { (tilt) "°" }
        }
    }
}

/// The rib now and, where strokes are advised, after them.
struct Ribs<'a> {
    scene: Scene<'a>,
    now: Seated,
    then: Option<Seated>,
}

impl<'a> Ribs<'a> {
    fn of(joint: &'a Joint, advice: &Advice, w: &'a Working) -> Option<Ribs<'a>> {
        let mut all = passes(advice, w, 0);
        let then = if all.len() > 1 { all.pop() } else { None };
        let now = all.into_iter().next()?;
        Some(Ribs { scene: Scene::of(&joint.job, &w.joint, advice), now, then })
    }

    fn both_edges(&self) -> Markup {
        let (now, then) = self.shown();
        let drawn = |scene: &Scene| draw::both_edges(scene, now, then);
        picture(drawn(&self.scene.narrow()), &drawn(&self.scene), "Both edges")
    }

    fn sections(&self) -> Option<(Sheet, Sheet)> {
        Some((draw::sections(&self.scene.narrow())?, draw::sections(&self.scene)?))
    }

    fn in_space(&self, view: View) -> Markup {
        let (now, then) = self.shown();
        let drawn = |scene: &Scene| match then {
            Some(then) => draw::space(scene, view, Some(now), then),
            None => draw::space(scene, view, None, now),
        };
        two(drawn(&self.scene.narrow()), &drawn(&self.scene))
    }

    fn shown(&self) -> (CaptionedRib<'_>, Option<CaptionedRib<'_>>) {
        let then = self.then.as_ref().map(|rib| CaptionedRib { words: "after the strokes", rib });
        (CaptionedRib { words: "now", rib: &self.now }, then)
    }
}

/// One pass, for the slider.
pub(in crate::page) fn pass(site: &Site, name: &str, number: usize) -> Answered {
    let joint = site.joint(name)?;
    let answer = site.worked(&joint);
    let strokes = &answer.advice.strokes;
    let picture = pass_picture(&joint, &answer.advice, number).ok_or_else(Refusal::unknown)?;
    let said = match number.checked_sub(1).and_then(|i| strokes.get(i)) {
        Some(stroke) => {
            format!("{number} of {}: {}", strokes.len(), show::planned_text(&joint.job, stroke))
        }
        None => format!("0 of {}", strokes.len()),
    };
    Ok(json(&json!({ "picture": picture.into_string(), "said": said })))
}

/// The rib from another side.
pub(in crate::page) fn space(site: &Site, name: &str, turn: f64, tilt: f64) -> Answered {
    let sound = (-180.0..=180.0).contains(&turn) && (-90.0..=90.0).contains(&tilt);
    if !sound {
        return Err(Refusal::unknown());
    }
    let joint = site.joint(name)?;
    let answer = site.worked(&joint);
    let none = || Refusal::new(Status::NotFound, answer.advice.reason.clone());
    let working = answer.working.as_ref().ok_or_else(none)?;
    let ribs = Ribs::of(&joint, &answer.advice, working).ok_or_else(none)?;
    Ok(json(&json!({ "picture": ribs.in_space(View { turn, tilt }).into_string() })))
}
