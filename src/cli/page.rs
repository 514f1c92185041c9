//! `ribwright page`: the local page, for a phone or a laptop at the bench.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use clap::Parser;
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;

use super::screen::{Failure, Run, Screen};
use crate::page::{self, Lan, OpenError, Server, Settings};
use crate::record::fresh;

const EXAMPLE: &str = "\
Example:
  ribwright page demo-readings/plain
  ribwright page demo-readings/plain --open
  ribwright page demo-readings/plain --lan      (a phone comes in with a code)
  ribwright page --one-file ribwright.html      (all of it, to take along)
  ribwright page --one-file web/                (the same as an app, for a web server)";

/// Serve a page for the bench: type readings by thumb, tick off strokes
///
/// Shows the bowl or the joint in FOLDER to a browser of this machine, and to no
/// one else: readings are typed into it and the removal map is drawn anew at each
/// keystroke, strokes are ticked off, cuts are tried. Nothing is fetched from
/// anywhere. It writes what `enter` and `planed` would write. Ctrl-C stops it;
/// what is typed and not saved is kept. With --one-file it serves nothing: it writes
/// the page and the program behind it as one file, which opens on any phone, works
/// without a network, and keeps tables of its own; for a folder, with / at the end of its name,
/// also what it needs to be installed as an app from a web server. Exit status: 0 stopped as you asked, 2 the
/// command line or a file is wrong, 1 anything else, such as a port that is taken.
#[derive(Debug, Parser)]
#[command(name = "page", after_help = EXAMPLE)]
pub(super) struct Page {
    /// The folder of a joint, or of a bowl
    #[arg(required_unless_present = "one_file")]
    folder: Option<PathBuf>,
    /// The port to serve at; 0: any that is free [default: 7171, or any if that is taken]
    #[arg(long)]
    port: Option<u16>,
    /// Open the page in a browser
    #[arg(long)]
    open: bool,
    /// Let other devices of the workshop's network in, each with a code that it gives once
    #[arg(long)]
    lan: bool,
    /// Write the page as one file that opens without this program, or as a folder/ for a web server
    #[arg(long, value_name = "FILE", conflicts_with_all = ["folder", "port", "open", "lan"])]
    one_file: Option<PathBuf>,
}

impl Run for Page {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        if let Some(file) = &self.one_file {
            return write_one_file(file, screen);
        }
        let folder = self.folder.unwrap_or_default();
        let settings = Settings { folder, port: self.port, lan: self.lan };
        let server = Server::open(&settings).map_err(|error| match error {
            OpenError::Folder(problems) => Failure::wrong(problems),
            other => Failure::Other(other.into()),
        })?;
        let address = server.address();
        writeln!(screen.out(), "The page is at {address}\nCtrl-C stops it.")?;
        if let Some(lan) = server.lan() {
            invite(&lan, screen)?;
        }
        screen.out().flush()?;
        if self.open && !open(&address) {
            screen.note("No browser could be opened. Next: open the address yourself.");
        }
        server.run()?;
        writeln!(screen.out(), "Stopped. What was typed and not saved is kept for another time.")?;
        Ok(())
    }
}

/// Writes the page as one file, or as a folder for the web; what is there is not replaced.
fn write_one_file(file: &Path, screen: &mut Screen) -> Result<(), Failure> {
    let Some(library) = page::library() else {
        return Err(Failure::wrong(format!(
            "The page's library for browsers is not beside this program. Next: {}.",
            page::HOW_TO_GET_IT
        )));
    };
    if file.is_dir() || file.as_os_str().to_string_lossy().ends_with(['/', '\\']) {
        return write_web_folder(file, &library, screen);
    }
    let page = page::one_file(&library).map_err(|why| Failure::Other(why.into()))?;
    fresh(file, page.as_bytes()).map_err(Failure::write)?;
    writeln!(
        screen.out(),
        "{} is the page with all that it needs, {:.1} MB. Send it to a phone or put it on a stick, and open it \
         there in a browser.",
        file.display(),
        page.len() as f64 / 1e6
    )?;
    Ok(())
}

/// Writes what a web server needs to give the page out.
fn write_web_folder(folder: &Path, library: &[u8], screen: &mut Screen) -> Result<(), Failure> {
    let files = page::web_folder(library).map_err(|why| Failure::Other(why.into()))?;
    fs::create_dir_all(folder).map_err(|why| Failure::system(folder, why))?;
    for (name, bytes) in files {
        fresh(folder.join(name).as_path(), &bytes).map_err(Failure::write)?;
    }
    writeln!(
        screen.out(),
        "{} holds the page as an app. Put these files together into a folder of a web server (https); whoever opens \
         it there can install it, and needs no network from then on.",
        folder.display()
    )?;
    Ok(())
}

/// Address, code and QR code for other devices.
fn invite(lan: &Lan, screen: &mut Screen) -> Result<(), Failure> {
    let out = screen.out();
    let code = &lan.code;
    match (&lan.address, &lan.invitation) {
        (Some(address), Some(invitation)) => {
            writeln!(
                out,
                "\nFrom other devices of this network: {address}\nThe code, once for each: {code}"
            )?;
            writeln!(out, "Or scan this:\n\n{}", qr(invitation)?)?;
        }
        _ => {
            writeln!(out, "\nThis machine is in no network that others could reach it by. The code: {code}")?
        }
    }
    writeln!(
        out,
        "Whoever is in the network and has the code can write into the folder; nothing is encrypted."
    )?;
    Ok(())
}

/// Dark on light, whatever the terminal's own colours mean: light blocks on dark.
fn qr(text: &str) -> Result<String, Failure> {
    let code = QrCode::new(text)?;
    Ok(code.render::<Dense1x2>().dark_color(Dense1x2::Dark).light_color(Dense1x2::Light).build())
}

/// Asks the system for its browser.
fn open(address: &str) -> bool {
    let (program, before): (&str, &[&str]) = match std::env::consts::OS {
        "macos" => ("open", &[]),
        "windows" => ("cmd", &["/C", "start", ""]),
        _ => ("xdg-open", &[]),
    };
    let mut command = Command::new(program);
    command.args(before).arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().is_ok()
}
