//! `ribwright report`: one page for the bench and the file.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::Parser;

use super::progress::while_working;
use super::study::Study;
use super::{Failure, Run, Screen};
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright report demo-readings/plain --into report.html
  ribwright report demo-readings/fitted --into report.html --round 2";

/// Write a report of a joint: a card for the bench, pictures, readings, reasons, cautions
///
/// One file that needs nothing else, for the screen and for paper (A4 or Letter).
/// A file of the same name is replaced.
#[derive(Debug, Parser)]
#[command(name = "report", after_help = EXAMPLE)]
pub(super) struct Report {
    #[command(flatten)]
    study: Study,
    /// The file to write, such as report.html
    #[arg(long, value_name = "FILE")]
    into: PathBuf,
}

impl Run for Report {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        if self.into.is_dir() {
            let folder = self.into.display();
            let next = format!("{folder} is a folder: give a file, such as {folder}/report.html");
            return Err(Failure::wrong(next));
        }
        if !may_be_replaced(&self.into) {
            let text = format!(
                "{} is there already and is no report, so it stays as it is. Next: give another name, such as report.html.",
                self.into.display()
            );
            return Err(Failure::wrong(text));
        }
        let studied = self.study.work()?;
        let page = while_working("drawing", || show::report(&studied.album()));
        write(&self.into, &page).map_err(|e| Failure::system(&self.into, e))?;
        screen.note(&format!("wrote {}", self.into.display()));
        Ok(())
    }
}

/// Whether nothing would be lost: there is no such file, or it is a page.
fn may_be_replaced(file: &Path) -> bool {
    match fs::read(file) {
        Ok(bytes) => bytes.to_ascii_lowercase().starts_with(b"<!doctype html"),
        Err(_) => true,
    }
}

fn write(file: &Path, page: &str) -> io::Result<()> {
    let folder = file.parent().filter(|f| !f.as_os_str().is_empty());
    folder.map_or(Ok(()), fs::create_dir_all)?;
    fs::write(file, page)
}
