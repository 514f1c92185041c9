//! `ribwright report`: one page for the bench and the file.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read};
use std::path::{Path, PathBuf};

use clap::Parser;

use super::progress::while_working;
use super::screen::{Failure, Run, Screen};
use super::study::Study;
use crate::show;

const EXAMPLE: &str = "\
Example:
  ribwright report demo-readings/plain --into report.html
  ribwright report demo-readings/fitted --into report.html --round 2";

/// Write a report of a joint: a card for the bench, pictures, readings, reasons, cautions
///
/// One file that needs nothing else, for the screen and for paper (A4 or Letter).
/// It replaces an earlier report of the same name, and nothing else.
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
        may_be_written(&self.into)?;
        let studied = self.study.work(screen)?;
        let page = while_working("drawing", || show::report(&studied.album()));
        write(&self.into, &page).map_err(|e| Failure::system(&self.into, e))?;
        screen.note(&format!("wrote {}", self.into.display()));
        Ok(())
    }
}

/// How much of a file is looked at: the mark of a report stands within.
const HEAD: u64 = 1024;

/// Whether nothing would be lost: there is no such file, or it is an earlier report.
///
/// # Errors
///
/// Something else stands there, or the system keeps it from being looked at.
fn may_be_written(into: &Path) -> Result<(), Failure> {
    let kind = match fs::metadata(into) {
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(()),
        found => found.map_err(|e| Failure::system(into, e))?.file_type(),
    };
    let file = into.display();
    if kind.is_dir() {
        return Err(Failure::wrong(format!("{file} is a folder: give a file, such as {file}/report.html")));
    }
    if !kind.is_file() {
        // Whoever opens a pipe waits until somebody else does.
        return Err(Failure::wrong(format!(
            "{file}: expected a plain file or none, but this is a pipe or a device. Next: give another name, such as \
             report.html."
        )));
    }
    match is_report(into).map_err(|e| Failure::system(into, e))? {
        true => Ok(()),
        false => Err(Failure::wrong(format!(
            "{file} is there already and is no report of ribwright, so it stays as it is. Next: give another name, such \
             as report.html."
        ))),
    }
}

/// Whether a file says at its beginning that this program wrote it as a report.
fn is_report(file: &Path) -> io::Result<bool> {
    let mut head = Vec::new();
    File::open(file)?.take(HEAD).read_to_end(&mut head)?;
    Ok(String::from_utf8_lossy(&head).contains(show::REPORT_MARK))
}

fn write(file: &Path, page: &str) -> io::Result<()> {
    let folder = file.parent().filter(|f| !f.as_os_str().is_empty());
    folder.map_or(Ok(()), fs::create_dir_all)?;
    fs::write(file, page)
}
