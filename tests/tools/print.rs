//! The report prints on A4 and Letter with no picture cut by the end of a page, and no page but the
//! last is left half empty.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use libtest_mimic::Trial;
use ribwright::show::report;
use roxmltree::Document;

use crate::need::{Need, trials};
use crate::studied::{large, parsed, pictures, studied};

const PRINTER: Need =
    Need { met: || printer().is_some(), wanted: "install chromium and poppler-utils", in_ci: true };

pub fn tests() -> Vec<Trial> {
    trials![PRINTER; no_picture_is_cut_on_a4_or_letter]
}

/// What prints: a browser and the tools that look into the result.
fn printer() -> Option<PathBuf> {
    let found = |name: &str| {
        let path = env::var_os("PATH")?;
        env::split_paths(&path).map(|dir| dir.join(name)).find(|file| file.is_file())
    };
    found("chromium").filter(|_| found("pdftotext").is_some())
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

fn no_picture_is_cut_on_a4_or_letter() {
    let browser = printer().expect("a browser");
    for (case, least) in [(studied(3, 7, 2, |_| ()), 5), (studied(5, 13, 1, |_| ()), 4), (large(), 7)] {
        let page = report(&case.album());
        for (paper, size) in [("A4", [595.0, 842.0]), ("letter", [612.0, 792.0])] {
            let dir = tempfile::tempdir().expect("a folder");
            let pages = pages(&print(&browser, &page, paper, dir.path()));
            assert!(pages.len() > 2, "{}", pages.len());
            let (mut texts, mut filled) = (Vec::new(), Vec::new());
            for (sides, words) in &pages {
                assert!((sides[0] - size[0]).abs() < 1.0 && (sides[1] - size[1]).abs() < 1.0, "{sides:?}");
                for word in words {
                    let [left, top, right, bottom] = word.bounds;
                    let inside = left > 20.0 && top > 20.0 && right < sides[0] - 20.0;
                    assert!(inside && bottom < sides[1] - 20.0, "{} on {paper}", word.text);
                }
                let foot = words.iter().map(|w| w.bounds[3]).fold(0.0, f64::max);
                filled.push(foot / sides[1]);
                texts.push(words.iter().map(|w| w.text.as_str()).collect::<String>());
            }
            // The last one, and where a long card ends.
            let short = filled.iter().filter(|part| **part < 0.5).count();
            assert!(short <= 2, "{paper}: {filled:?}");
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
