//! `ribwright advise`: what to plane now at one joint.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Parser, ValueEnum};

use super::progress::{announce, while_working};
use super::screen::{Failure, Run, Screen};
use crate::advice::{self, Advice, JointInBowl, Options, Verdict};
use crate::fit::SurfaceChoice;
use crate::job::Job;
use crate::record::fresh;
use crate::show;
use crate::show::draw::{Album, Picture, View};
use crate::show::next_command;

const EXAMPLE: &str = "\
Example:
  ribwright advise demo-readings/plain
  ribwright advise demo-readings/plain --json
  ribwright advise demo-readings/plain --pictures pictures";

/// Say which strokes of which plane to take now at a joint, and why
///
/// Reads the folder of a joint (joint.toml, stations.csv, readings.csv,
/// strokes.csv) or a single table, and answers: plane, fitted, read again, or
/// no answer. Exit status: 0 an answer was given, 2 the command line or a
/// file is wrong, 1 anything else.
#[derive(Debug, Parser)]
#[command(name = "advise", after_help = EXAMPLE)]
pub(super) struct Advise {
    /// The joint's folder, or a single table of stations and readings
    path: PathBuf,
    /// The joint surface: a plane, gently curved, or as the readings tell
    #[arg(long, value_enum, default_value_t = Surface::Auto)]
    surface: Surface,
    /// Print the answer for programs, lengths in mm
    #[arg(long)]
    json: bool,
    /// Draw the joint into this folder, as SVG and PNG; `draw` can do more
    #[arg(long, value_name = "DIR")]
    pictures: Option<PathBuf>,
    /// Write the figures and strokes into this new workbook, such as advice.xlsx
    #[arg(long, value_name = "FILE")]
    workbook: Option<PathBuf>,
}

/// The joint surface, as commands take it.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Surface {
    Plane,
    Curved,
    Auto,
}

impl From<Surface> for SurfaceChoice {
    fn from(surface: Surface) -> Self {
        match surface {
            Surface::Plane => SurfaceChoice::Plane,
            Surface::Curved => SurfaceChoice::Curved,
            Surface::Auto => SurfaceChoice::Auto,
        }
    }
}

impl Run for Advise {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let JointInBowl { job, start, bowl, .. } = advice::open(&self.path).map_err(Failure::wrong)?;
        announce(&job, screen);
        let options = Options { surface: self.surface.into(), start };
        let (advice, working) =
            while_working("working out the joint", || advice::advise_and_show(&job, &options));
        let bowl = bowl.map(|(bowl, _)| bowl.folder.path().to_path_buf());
        self.answer(&job, &advice, bowl.as_deref(), screen)?;
        if let Some(file) = &self.workbook {
            let bytes = show::workbook(&job, &advice).map_err(Failure::wrong)?;
            fresh(file, &bytes).map_err(Failure::write)?;
            screen.note(&format!("wrote {}", file.display()));
        }
        let Some(folder) = &self.pictures else { return Ok(()) };
        let past = while_working("looking back", || advice::past(&job, &options).unwrap_or_default());
        let (advice, working, past) = (&advice, working.as_ref(), &past[..]);
        let album = Album { job: &job, advice, working, past, view: View::default() };
        draw(&album, folder, screen)
    }
}

impl Advise {
    fn answer(
        &self,
        job: &Job,
        advice: &Advice,
        bowl: Option<&Path>,
        screen: &mut Screen,
    ) -> Result<(), Failure> {
        if self.json {
            writeln!(screen.out(), "{}", show::advice_json(job, advice)?)?;
            return Ok(());
        }
        show::advice_text(job, advice, screen.out())?;
        if let Some(line) = self.onward(job, advice, bowl) {
            writeln!(screen.out(), "\n{line}")?;
        }
        Ok(())
    }

    /// The command that goes on from here; a single table can't be added to.
    fn onward(&self, job: &Job, advice: &Advice, bowl: Option<&Path>) -> Option<String> {
        let line =
            |when: &str, name: &str, folder: &Path| Some(format!("{when} {}", next_command(name, folder)));
        let planed = match self.surface {
            Surface::Auto => "planed",
            Surface::Plane => "planed --surface plane",
            Surface::Curved => "planed --surface curved",
        };
        match advice.verdict {
            Verdict::Fitted => line("Next:", "bowl", bowl?),
            _ if !self.path.is_dir() => None,
            Verdict::Plane => line("When planed:", planed, &self.path),
            Verdict::ReadAgain if !advice.doubted.is_empty() => Some(self.read_again(job, advice)),
            Verdict::ReadAgain => line("Next:", "enter", &self.path),
            Verdict::NoAnswer if job.rounds.is_empty() => line("Next:", "enter", &self.path),
            Verdict::NoAnswer => None,
        }
    }

    fn read_again(&self, job: &Job, advice: &Advice) -> String {
        let names = advice.doubted.iter().map(|i| job.stations[*i].name.as_str());
        format!("Next: {}", show::read_again_command(&self.path, &names.collect::<Vec<_>>()))
    }
}

fn draw(album: &Album, folder: &Path, screen: &Screen) -> Result<(), Failure> {
    let written = album.write(&Picture::ALL, false, folder, &|| ());
    for file in written.map_err(|e| Failure::system(folder, e))? {
        screen.note(&format!("wrote {}", file.display()));
    }
    Ok(())
}
