//! The page as one file: the library for browsers packed into it, the same styles and scripts, and
//! a script that stands where the server stands otherwise. It opens from anywhere and asks for
//! nothing; `src/one_file/README.md` says how it is made, how large it is and how fast.

use std::io::{self, Write};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::GzEncoder;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::assets::{script as script_of, style};

/// Scripts of pages, each with those that it builds on before it. All know `page.js`.
const SCRIPTS: [&[&str]; 8] = [
    &["read.js", "walk.js"],
    &["correct.js"],
    &["figures.js"],
    &["strokes.js"],
    &["lesson.js"],
    &["look.js"],
    &["try.js"],
    &["card.js"],
];

/// How a script and the library talk to each other.
const LIBRARY: &str = include_str!("assets/library.js");

/// The file. `library` is what `cargo build -p one-file` makes, for `wasm32-unknown-unknown`.
///
/// # Errors
///
/// Those of packing in memory, which never fails.
pub fn one_file(library: &[u8]) -> io::Result<String> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::best());
    packed.write_all(library)?;
    let library = STANDARD.encode(packed.finish()?);
    let style = format!("{}{}", style(), include_str!("assets/one_file.css"));
    let script = own_script();
    let worker = format!("{}{}", LIBRARY, include_str!("assets/worker.js"));
    let policy = policy(&script, &style);
    Ok(html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "ribwright" }
                link rel="icon" href={ "data:image/svg+xml;base64," (STANDARD.encode(include_str!("assets/icon.svg"))) };
                style { (PreEscaped(&style)) }
            }
            body {
                (bar())
                div #own-page { noscript { p { "This page needs its script: open it in a browser that runs scripts." } } }
                template #own-start { (start()) }
                script #own-library type="text/plain" { (PreEscaped(library)) }
                script #own-worker type="text/plain" { (PreEscaped(worker)) }
                script { (PreEscaped(script)) }
            }
        }
    }
    .into_string())
}

/// Nothing from anywhere, nothing to anywhere: this script, this style, pictures made here, and the
/// library compiled.
fn policy(script: &str, style: &str) -> String {
    let digest = |text: &str| STANDARD.encode(Sha256::digest(text));
    format!(
        "default-src 'none'; script-src 'sha256-{}' 'wasm-unsafe-eval'; style-src 'sha256-{}'; \
         img-src data: blob:; worker-src blob:; form-action 'none'; base-uri 'none'",
        digest(script),
        digest(style)
    )
}

/// The scripts of all pages in one function, each run where a page has it, and the script around them.
fn own_script() -> String {
    let mut all = String::from("\"use strict\";\nfunction runPage(scripts, ask, go, whenLeft) {\n");
    all.push_str(script_of("page.js"));
    for together in SCRIPTS {
        all.push_str(&format!("if (scripts.has(\"{}\")) {{\n", together[0]));
        together.iter().for_each(|name| all.push_str(script_of(name)));
        all.push_str("}\n");
    }
    all.push_str("}\n");
    all.push_str(LIBRARY);
    all.push_str(include_str!("assets/one_file.js"));
    all
}

/// What is open, and the ways to keep it and to open other tables.
fn bar() -> Markup {
    html! {
        section #own-bar aria-label="Your tables" hidden {
            p { strong #own-name {} ": " span #own-state role="status" {} }
            div {
                button #own-save .button.small type="button" { "Save file" }
                button #own-open .button.small type="button" { "Open" }
            }
        }
        p #own-notice .banner role="alert" { "Opening …" }
        input #own-files type="file" multiple hidden;
        input #own-folder type="file" multiple hidden webkitdirectory;
    }
}

/// The first page, before anything is open.
fn start() -> Markup {
    html! {
        main #main tabindex="-1" {
            h1 { "ribwright" }
            p { "From the gap, the lift and the seat that you read at a rib's joint to the strokes of the plane that close it." }
            p.actions {
                button .button.main type="button" data-open="files" { "Open a .zip or tables" }
                button .button type="button" data-open="folder" { "Open a folder" }
            }
            p.about { "The folder of a joint or of a bowl, as the program keeps it: " code { "joint.toml" } ", " code { "stations.csv" } ", " code { "readings.csv" } "; workbooks, too." }
            h2 { "To learn it" }
            p.actions {
                button .button type="button" name="demo" { "Try an invented joint" }
                button .button type="button" name="lessons" { "Take a lesson" }
            }
            h2 { "Where your tables are" }
            p { "In this browser, and in the files that you save. Nothing leaves it: this page asks for nothing, and works without a network. A browser may clear what it keeps, and other pages opened from files can read it: save a file whenever you stop." }
        }
    }
}
