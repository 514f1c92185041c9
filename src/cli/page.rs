//! `ribwright page`: the local page, for a phone or a laptop at the bench.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use clap::Parser;
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;

use super::screen::{Failure, Run, Screen};
use crate::page::{Lan, OpenError, Server, Settings};

const EXAMPLE: &str = "\
Example:
  ribwright page demo-readings/plain
  ribwright page demo-readings/plain --open
  ribwright page demo-readings/plain --lan      (a phone comes in with a code)";

/// Serve a page for the bench: type readings by thumb, tick off strokes
///
/// Shows the bowl or the joint in FOLDER to a browser of this machine, and to no
/// one else: readings are typed into it and the removal map is drawn anew at each
/// keystroke, strokes are ticked off, cuts are tried. Nothing is fetched from
/// anywhere. It writes what `enter` and `planed` would write. Ctrl-C stops it;
/// what is typed and not saved is kept. Exit status: 0 stopped as you asked, 2 the
/// command line or a file is wrong, 1 anything else, such as a port that is taken.
#[derive(Debug, Parser)]
#[command(name = "page", after_help = EXAMPLE)]
pub(super) struct Page {
    /// The folder of a joint, or of a bowl
    folder: PathBuf,
    /// The port to serve at; 0: any that is free [default: 7171, or any if that is taken]
    #[arg(long)]
    port: Option<u16>,
    /// Open the page in a browser
    #[arg(long)]
    open: bool,
    /// Let other devices of the workshop's network in, each with a code that it gives once
    #[arg(long)]
    lan: bool,
}

impl Run for Page {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let settings = Settings { folder: self.folder, port: self.port, lan: self.lan };
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
