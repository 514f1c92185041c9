//! The report is one file that needs nothing else, says what the answer says, and
//! prints on A4 and Letter with no picture cut by the end of a page.

use std::collections::HashSet;
use std::env;
use std::fs;
use std::path::PathBuf;

use crate::invented;
use crate::studied::{large, parsed, pictures, studied};
use ribwright::record::NewStroke;
use ribwright::show::draw::{Album, View};
use ribwright::show::report;
use roxmltree::Document;

#[test]
fn it_needs_nothing_else_and_every_id_is_there_once() {
    for case in [studied(3, 13, 2, |_| ()), large()] {
        let page = report(&case.album());
        let outside = page.replace("http://www.w3.org/2000/svg", "");
        for reference in ["http:", "https:", "src=", "href=", "url(", "@import", "<link", "<iframe"] {
            assert!(!outside.contains(reference), "{reference}");
        }
        let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        let once: HashSet<&&str> = ids.iter().collect();
        assert!(ids.len() > 10 && once.len() == ids.len(), "{ids:?}");
        for (name, picture) in pictures(&page) {
            let svg = parsed(picture);
            assert!(Document::parse(&svg).is_ok(), "{name}");
        }
    }
}

#[test]
fn there_is_a_box_for_every_push_and_a_pass_for_every_stop_of_the_slider() {
    let case = studied(3, 13, 1, |_| ());
    let page = report(&case.album());
    let pushes: u32 = case.advice.strokes.iter().map(|s| s.count).sum();
    assert!(pushes > 0);
    assert_eq!(page.matches("type=\"checkbox\"").count(), pushes as usize);
    let stops = case.advice.strokes.len();
    assert!(page.contains(&format!("max=\"{stops}\"")));
    let names: Vec<String> = pictures(&page).into_iter().map(|(name, _)| name).collect();
    for k in 0..=stops {
        assert!(names.contains(&format!("pass-{k}")) && names.contains(&format!("motion-{k}")));
    }
    // Without its script the page shows all strokes under one another, and no dead slider.
    assert!(page.contains("<div class=\"slider\" hidden>"));
    assert!(names.contains(&"passes-1".to_owned()));
}

/// What goes to the bench is whole: verdict, strokes, the map, the figures.
#[test]
fn the_card_carries_the_map() {
    let page = report(&studied(3, 13, 1, |_| ()).album());
    let card = page.split("<section id=\"card\">").nth(1).and_then(|rest| rest.split("</section>").next());
    let names: Vec<String> = pictures(card.expect("a card")).into_iter().map(|(name, _)| name).collect();
    assert_eq!(names, ["card-map"]);
}

#[test]
fn it_says_what_the_answer_says() {
    let case = studied(4, 7, 3, |job| job.title = Some("<the> & \"last\" joint".into()));
    let page = report(&case.album());
    let escaped = |text: &str| {
        text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
    };
    assert!(page.contains("&lt;the&gt; &amp; &quot;last&quot; joint") && !page.contains("<the>"));
    assert!(page.contains(&escaped(&case.advice.reason)));
    for warning in &case.advice.warnings {
        assert!(page.contains(&escaped(&warning.text)), "{}", warning.code);
    }
    for (k, round) in case.job.rounds.iter().enumerate() {
        assert!(page.contains(&format!("round {}, against the neighbour", k + 1)));
        let cells = round.readings.iter().filter_map(|r| r.overlap);
        for value in cells {
            assert!(page.contains(&format!("<td>{:.2}</td>", value + 0.0)), "{value}");
        }
    }
    let planed: Vec<NewStroke> =
        case.job.rounds.iter().flat_map(|r| &r.strokes).map(|s| s.clone().named(&case.job)).collect();
    assert!(!planed.is_empty() && page.contains("after round 1: "));
    for caution in ["iron is bare", "Bending irons", "Wood dust", "local rules"] {
        assert!(page.contains(caution), "{caution}");
    }
}

#[test]
fn a_joint_without_figures_has_a_report_too() {
    let job = invented::job(7, true);
    let advice = invented::no_answer(&job);
    let album = Album { job: &job, advice: &advice, working: None, past: &[], view: View::default() };
    let page = report(&album);
    assert!(page.contains("No answer: don't plane yet.") && page.contains(&advice.reason));
    assert!(!page.contains("type=\"checkbox\"") && !page.contains("type=\"range\""));
    assert_eq!(pictures(&page).len(), 2, "the map, on the card too");
}

/// For a look: run with `RIBWRIGHT_LOOK` set to a folder.
#[test]
fn the_report_of_a_large_joint_is_written() {
    let look = env::var_os("RIBWRIGHT_LOOK").map(PathBuf::from);
    let home = tempfile::tempdir().expect("a folder");
    let file = look.as_deref().unwrap_or(home.path()).join("large.html");
    fs::write(&file, report(&large().album())).expect("written");
    assert!(file.metadata().is_ok_and(|m| m.len() > 100_000));
}
