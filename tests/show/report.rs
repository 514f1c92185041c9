//! The report is one file that needs nothing else, says what the answer says, and
//! prints on A4 and Letter with no picture cut by the end of a page.

use std::collections::HashSet;
use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use crate::invented;
use crate::studied::{Studied, long_names, studied};
use ribwright::record::NewStroke;
use ribwright::show::draw::{Album, View};
use ribwright::show::report;
use roxmltree::Document;

/// A joint with 31 long names, four rounds and twenty strokes.
fn large() -> Studied {
    let mut large = studied(4, 31, 3, long_names);
    let strokes = large.advice.strokes.clone();
    assert!(!strokes.is_empty());
    large.advice.strokes = strokes.into_iter().cycle().take(20).collect();
    large
}

/// Every picture in the page, as XML, with its name.
fn pictures(page: &str) -> Vec<(String, &str)> {
    let mut found = Vec::new();
    for piece in page.split("<svg ").skip(1) {
        let end = piece.find("</svg>").expect("closed");
        let label = piece.split("aria-labelledby=\"").nth(1).expect("named");
        let name = label.split("-title").next().expect("a name").to_owned();
        found.push((name, &piece[..end]));
    }
    found
}

fn parsed(picture: &str) -> String {
    format!("<svg {picture}</svg>")
}

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
    assert_eq!(pictures(&page).len(), 1);
}

/// What prints: a browser and the tools that look into the result.
fn printer() -> Option<PathBuf> {
    let found = |name: &str| {
        let path = env::var_os("PATH")?;
        env::split_paths(&path).map(|dir| dir.join(name)).find(|file| file.is_file())
    };
    let browser = found("chromium").filter(|_| found("pdftotext").is_some());
    let strict = env::var("CI").is_ok_and(|ci| ci == "true");
    assert!(browser.is_some() || !strict, "chromium and poppler-utils must be there: .ci/run installs them");
    if browser.is_none() {
        println!("printing is not tested: apt-get install chromium poppler-utils");
    }
    browser
}

/// Prints a page on paper of a named size, and returns the file.
fn print(browser: &Path, page: &str, paper: &str, dir: &Path) -> PathBuf {
    let (html, pdf) = (dir.join("page.html"), dir.join(format!("{paper}.pdf")));
    let sized = page.replace("</head>", &format!("<style>@page {{ size: {paper}; }}</style></head>"));
    fs::write(&html, sized).expect("written");
    let mut command = Command::new(browser);
    command.args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]);
    command.args(["--disable-dev-shm-usage", "--no-first-run", "--no-pdf-header-footer"]);
    command.arg(format!("--user-data-dir={}", dir.join("profile").display()));
    command.arg(format!("--print-to-pdf={}", pdf.display()));
    command.arg(format!("file://{}", html.display()));
    // A browser that is starved of memory or time may fail once.
    for _ in 0..3 {
        let output = command.output().expect("the browser starts");
        if output.status.success() && pdf.is_file() {
            return pdf;
        }
        std::thread::sleep(Duration::from_millis(500));
    }
    panic!("the browser printed nothing");
}

/// A word on a page of paper, with its box in points.
struct Word {
    text: String,
    bounds: [f64; 4],
}

/// The pages: width and height in points, and the words.
fn pages(pdf: &Path) -> Vec<([f64; 2], Vec<Word>)> {
    let output = Command::new("pdftotext").arg("-bbox").arg(pdf).arg("-").output().expect("pdftotext");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let body = text.split_once("<doc>").expect("pages").1.split_once("</doc>").expect("an end").0;
    let xml = format!("<doc>{body}</doc>");
    let xml = Document::parse(&xml).expect("XML");
    let number = |n: roxmltree::Node, name: &str| n.attribute(name).expect(name).parse().expect("a number");
    let word = |n: roxmltree::Node| Word {
        text: n.text().unwrap_or_default().to_owned(),
        bounds: ["xMin", "yMin", "xMax", "yMax"].map(|name| number(n, name)),
    };
    let page = |n: roxmltree::Node| {
        let words = n.children().filter(|c| c.has_tag_name("word")).map(word).collect();
        (["width", "height"].map(|name| number(n, name)), words)
    };
    xml.descendants().filter(|n| n.has_tag_name("page")).map(page).collect()
}

/// The level texts of a picture, without blanks.
fn level_texts(picture: &str) -> Vec<String> {
    let svg = parsed(picture);
    let svg = Document::parse(&svg).expect("well-formed");
    let texts = svg.descendants().filter(|n| n.attribute("class") == Some("text"));
    let level = texts.filter(|n| n.attribute("transform").is_none());
    level.map(|n| n.text().unwrap_or_default().split_whitespace().collect()).collect()
}

#[test]
fn no_picture_is_cut_on_a4_or_letter() {
    let Some(browser) = printer() else { return };
    for (case, least) in [(studied(3, 7, 2, |_| ()), 5), (studied(5, 13, 1, |_| ()), 4), (large(), 7)] {
        let page = report(&case.album());
        for (paper, size) in [("A4", [595.0, 842.0]), ("letter", [612.0, 792.0])] {
            let dir = tempfile::tempdir().expect("a folder");
            let pages = pages(&print(&browser, &page, paper, dir.path()));
            assert!(pages.len() > 2, "{}", pages.len());
            let mut texts = Vec::new();
            for (sides, words) in &pages {
                assert!((sides[0] - size[0]).abs() < 1.0 && (sides[1] - size[1]).abs() < 1.0, "{sides:?}");
                for word in words {
                    let [left, top, right, bottom] = word.bounds;
                    let inside = left > 20.0 && top > 20.0 && right < sides[0] - 20.0;
                    assert!(inside && bottom < sides[1] - 20.0, "{} on {paper}", word.text);
                }
                texts.push(words.iter().map(|w| w.text.as_str()).collect::<String>());
            }
            let mut whole = 0;
            for (name, picture) in pictures(&page) {
                if name.starts_with("pass-") || name.starts_with("motion-") {
                    continue;
                }
                let level = level_texts(picture);
                let all = |text: &String| level.iter().all(|words| text.contains(words.as_str()));
                assert!(texts.iter().any(all), "{name} is not whole on any page of {paper}");
                whole += 1;
            }
            assert!(whole >= least, "{whole}");
        }
    }
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
