//! `ribwright draw`: the pictures of one joint.

use std::path::PathBuf;

use clap::{Parser, ValueEnum};

use super::progress::Progress;
use super::screen::{Failure, Run, Screen};
use super::study::Study;
use crate::show::draw::{Album, Picture};

const EXAMPLE: &str = "\
Example:
  ribwright draw demo-readings/plain --into pictures
  ribwright draw demo-readings/plain --into pictures --only space --turn -30 --tilt 60
  ribwright draw demo-readings/fitted --into pictures --round 2";

/// Draw a joint: what comes off, pass by pass, both edges, the rib in space, the rounds
///
/// Every picture is written as SVG and PNG, those that move as GIF as well. A
/// picture that the readings don't give is left out, and said so.
#[derive(Debug, Parser)]
#[command(name = "draw", after_help = EXAMPLE)]
pub(super) struct Draw {
    #[command(flatten)]
    study: Study,
    /// Write the pictures into this folder, made if it isn't there
    #[arg(long, value_name = "DIR")]
    into: PathBuf,
    /// Only these pictures
    #[arg(long, value_enum, value_delimiter = ',', value_name = "PICTURE")]
    only: Vec<Which>,
}

/// The pictures, as the command takes them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Which {
    /// What comes off where, now and in the end
    RemovalMap,
    /// The edge after every stroke
    Passes,
    /// Gap at the joint and lift along the outer edge, before and after
    BothEdges,
    /// Mold, neighbour and rib in space, now and with the wood off
    Space,
    /// What a little off each bearing closes and opens
    Lever,
    /// Across the joint at each station, gap and lift as read
    Sections,
    /// Widest gap and lift, and wood taken, by round
    History,
}

impl Which {
    fn picture(self) -> Picture {
        match self {
            Which::RemovalMap => Picture::RemovalMap,
            Which::Passes => Picture::Passes,
            Which::BothEdges => Picture::BothEdges,
            Which::Space => Picture::Space,
            Which::Lever => Picture::Lever,
            Which::Sections => Picture::Sections,
            Which::History => Picture::History,
        }
    }
}

impl Run for Draw {
    fn run(self, screen: &mut Screen) -> Result<(), Failure> {
        let studied = self.study.work(screen)?;
        self.write(&studied.album(), screen)
    }
}

impl Draw {
    fn pictures(&self) -> Vec<Picture> {
        let wanted = |p: &Picture| self.only.is_empty() || self.only.iter().any(|w| w.picture() == *p);
        Picture::ALL.into_iter().filter(wanted).collect()
    }

    fn write(&self, album: &Album, screen: &Screen) -> Result<(), Failure> {
        let pictures = self.pictures();
        let progress = Progress::new(pictures.len(), "pictures");
        let files = album.write(&pictures, true, &self.into, &|| progress.step());
        progress.clear();
        for file in files.map_err(|e| Failure::system(&self.into, e))? {
            screen.note(&format!("wrote {}", file.display()));
        }
        for picture in pictures.into_iter().filter(|p| album.still(*p).is_none()) {
            screen.note(&missing(picture));
        }
        Ok(())
    }
}

/// Why a picture isn't there.
fn missing(picture: Picture) -> String {
    let name = match picture {
        Picture::Passes => return "no passes: no strokes are advised".to_owned(),
        Picture::Sections => return "no sections: no round was read yet".to_owned(),
        Picture::RemovalMap => "removal map",
        Picture::BothEdges => "picture of both edges",
        Picture::Space => "picture in space",
        Picture::Lever => return "no levers: wood off a bearing closes nothing".to_owned(),
        Picture::History => "history",
    };
    format!("no {name}: the readings give no estimate; `ribwright advise` says why")
}
