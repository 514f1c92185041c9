//! The page as one file: the library for browsers packed into it, the same styles and scripts, and
//! a script that stands where the server stands otherwise. It opens from anywhere and asks for
//! nothing; `src/one_file/README.md` says how it is made, how large it is and how fast. With a few
//! files beside it, it is an app that a plain web server gives out.

use std::env;
use std::io::{self, Write};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::GzEncoder;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::assets::{script as script_of, style};
use crate::store::Place;

/// Scripts of pages, each with those that it builds on before it. All know `page.js`.
const SCRIPTS: [&[&str]; 9] = [
    &["read.js", "walk.js"],
    &["correct.js"],
    &["figures.js"],
    &["strokes.js"],
    &["lesson.js"],
    &["look.js"],
    &["try.js"],
    &["card.js"],
    &["begin.js"],
];

/// How a script and the library talk to each other.
const LIBRARY: &str = include_str!("assets/library.js");

/// The file's name.
pub const NAME: &str = "ribwright.html";

/// What to do where a program was built without the library.
pub const HOW_TO_GET_IT: &str = "in the project's folder run `rustup target add wasm32-unknown-unknown`, then \
    `cargo build -p one-file --profile one-file --target wasm32-unknown-unknown`, then \
    `cargo run --release -- page --one-file ribwright.html`";

/// The library beside the program, or where cargo puts it in the same target folder.
const LIBRARIES: [&str; 2] = ["one_file.wasm", "../wasm32-unknown-unknown/one-file/one_file.wasm"];

/// No library is as large, bytes.
const LARGEST: u64 = 64 << 20;

/// The library for browsers that goes with this program: what `cargo build -p one-file` makes, for
/// `wasm32-unknown-unknown`.
pub fn library() -> Option<Vec<u8>> {
    let here = Place::from(env::current_exe().ok()?.parent()?);
    LIBRARIES.iter().find_map(|name| here.join(name).read(LARGEST).ok())
}

/// The file, of the [`library`].
///
/// # Errors
///
/// Those of packing in memory, which never fails.
pub fn one_file(library: &[u8]) -> io::Result<String> {
    written(library, Way::File)
}

/// What a plain web server gives out, by the names of the files: the same page, what it needs to be
/// installed as an app, and what keeps it on the device to be opened without a network.
///
/// # Errors
///
/// Those of packing in memory, which never fails.
pub fn web_folder(library: &[u8]) -> io::Result<Vec<(&'static str, Vec<u8>)>> {
    let page = written(library, Way::Web)?;
    // Another page is another version, which a browser sees by these bytes.
    let version = STANDARD.encode(Sha256::digest(&page));
    let service = include_str!("assets/service.js").replace("VERSION", &version);
    Ok(vec![
        ("index.html", page.into_bytes()),
        ("service.js", service.into_bytes()),
        ("manifest.webmanifest", include_bytes!("assets/manifest.webmanifest").into()),
        ("icon.svg", include_bytes!("assets/icon.svg").into()),
        ("icon-192.png", include_bytes!("assets/icon-192.png").into()),
        ("icon-512.png", include_bytes!("assets/icon-512.png").into()),
    ])
}

/// How the page comes to whoever opens it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    File,
    Web,
}

fn written(library: &[u8], way: Way) -> io::Result<String> {
    let mut packed = GzEncoder::new(Vec::new(), Compression::best());
    packed.write_all(library)?;
    let library = STANDARD.encode(packed.finish()?);
    let style = format!("{}{}", style(), include_str!("assets/one_file.css"));
    let script = own_script();
    let worker = format!("{}{}", LIBRARY, include_str!("assets/worker.js"));
    let policy = policy(&script, &style, way);
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
                @if way == Way::Web { link rel="manifest" href="manifest.webmanifest"; }
                style { (PreEscaped(&style)) }
            }
            body {
                a.skip href="#main" { "To the page itself" }
                (bar())
                div #own-page { noscript { p { "This page needs its script: open it in a browser that runs scripts." } } }
                template #own-start { (start(way)) }
                script #own-library type="text/plain" { (PreEscaped(library)) }
                script #own-worker type="text/plain" { (PreEscaped(worker)) }
                script { (PreEscaped(script)) }
            }
        }
    }
    .into_string())
}

/// Nothing from anywhere, nothing to anywhere: this script, this style, pictures made here, and the
/// library compiled. On the web also what installs it and keeps it, from its own folder's server.
fn policy(script: &str, style: &str, way: Way) -> String {
    let digest = |text: &str| STANDARD.encode(Sha256::digest(text));
    let own = if way == Way::Web { " 'self'" } else { "" };
    let installed = if way == Way::Web { "; manifest-src 'self'" } else { "" };
    format!(
        "default-src 'none'; script-src 'sha256-{}' 'wasm-unsafe-eval'; style-src 'sha256-{}'; \
         img-src data: blob:{own}; worker-src blob:{own}{installed}; form-action 'none'; base-uri 'none'",
        digest(script),
        digest(style)
    )
}

/// The scripts of all pages in one function, each run where a page has it, and the script around them.
fn own_script() -> String {
    let mut all = String::from("\"use strict\";\nfunction runPage(scripts, ask, go, whenLeft, SHELF) {\n");
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
fn start(way: Way) -> Markup {
    html! {
        main #main tabindex="-1" {
            h1 { "ribwright" }
            p { "From the gap, the lift and the seat that you read at a rib's joint to the strokes of the plane that close it." }
            p.actions {
                button .button.main type="button" data-open="files" { "Open a .zip or tables" }
                button .button type="button" data-open="folder" { "Open a folder" }
            }
            p.about { "The folder of a joint or of a bowl, as the program keeps it: " code { "joint.toml" } ", " code { "stations.csv" } ", " code { "readings.csv" } "; workbooks, too." }
            h2 { "To begin from nothing" }
            p.actions {
                a .button href="/new/bowl" { "Lay out a bowl" }
                a .button href="/new/joint" { "Begin a joint alone" }
            }
            details data-singly hidden { summary { "Save one of the open tables alone" } }
            h2 { "To learn it" }
            p.actions {
                button .button type="button" name="demo" { "Try an invented joint" }
                button .button type="button" name="lessons" { "Take a lesson" }
            }
            h2 { "Where your tables are" }
            p { "In this browser, and in the files that you save. Nothing leaves it: this page asks for nothing, and works without a network. A browser may clear what it keeps, and other pages opened from files can read it: save a file whenever you stop." }
            @if way == Way::Web {
                p { "This page itself is kept on the device, too: from the second time on it opens without a network. To have it among your apps, choose \"install\" or \"add to home screen\" in the browser's own menu." }
            }
        }
    }
}
