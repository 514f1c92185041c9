//! The pages of one joint: a file each.

pub(super) mod card;
mod cells;
mod choices;
pub(super) mod correct;
pub(super) mod history;
pub(super) mod look;
pub(super) mod lost;
pub(super) mod now;
pub(super) mod read;
pub(super) mod save;
pub(super) mod strokes;
pub(super) mod tries;
pub(super) mod typing;
mod words;

pub(super) use words::verdict_word;

use super::answer::Refusal;
use super::folder::{ALONE, Kind};
use crate::advice::Options;
use crate::fit::Prior;
use crate::job::{self, Job, ReadingColumns, RoundNumber};
use crate::record;
use crate::show;
use crate::store::Place;

/// A joint as its folder has it now.
#[derive(Debug)]
pub(super) struct Joint {
    /// Its name in addresses.
    pub name: String,
    pub folder: Place,
    /// What it was found in.
    pub of: Kind,
    pub job: Job,
    pub columns: ReadingColumns,
    /// Of the folder as it was read.
    pub version: String,
    /// What is known beforehand: from earlier joints, in a bowl.
    pub start: Prior,
}

impl Joint {
    /// Reads the folder.
    pub fn read(name: &str, folder: Place) -> Result<Joint, Refusal> {
        // Read until nobody wrote meanwhile, so that the mark belongs to what was read.
        let mut version = record::version(&folder);
        loop {
            let job = job::read_folder(&folder).map_err(|p| record::or_lost(&folder, p))?;
            let columns = job::reading_columns(&folder)?;
            let now = record::version(&folder);
            if now == version {
                let of = if name == ALONE { Kind::Joint } else { Kind::Bowl };
                let start = Prior::default();
                return Ok(Joint { name: name.to_owned(), folder, of, job, columns, version, start });
            }
            version = now;
        }
    }

    /// The address of one of its views.
    pub fn at(&self, view: &str) -> String {
        match view {
            "" => format!("/joint/{}", self.name),
            view => format!("/joint/{}/{view}", self.name),
        }
    }

    /// The maker's title, or the folder's name.
    pub fn title(&self) -> String {
        let folder = || self.folder.name().map(str::to_owned);
        let title = self.job.title.clone().or_else(folder).unwrap_or_else(|| "joint".into());
        show::clean(&title)
    }

    /// The number of the round that is read next.
    pub fn next_round(&self) -> RoundNumber {
        self.job.next_round()
    }

    /// How its pages ask for advice.
    pub fn options(&self) -> Options {
        Options { start: self.start.clone(), ..Options::default() }
    }

    /// Refuses if the folder is not what the maker looked at.
    pub fn is_still(&self, version: &str) -> Result<(), Refusal> {
        if self.version == version { Ok(()) } else { Err(Refusal::stale()) }
    }
}
