//! Stations of the last round read again, or a slip in them corrected.

use anyhow::anyhow;

use super::bench::{Bench, End};
use super::{Enter, part};
use crate::cli::ask::Ask;
use crate::cli::{Failure, Screen};
use crate::job::Job;
use crate::record::TypedRound;
use crate::show::{self, next_command};
use crate::table;

impl Enter {
    /// The stations given by their names, as indices in order along the joint.
    pub(super) fn only(&self, job: &Job) -> Result<Option<Vec<usize>>, Failure> {
        let known = |name: &str| job.stations.iter().position(|s| s.name == name);
        let mut only = Vec::new();
        for given in &self.stations {
            // A name may hold a comma.
            let names = match known(given) {
                Some(_) => vec![given.as_str()],
                None => given.split(',').map(str::trim).collect(),
            };
            for name in names {
                only.push(known(name).ok_or_else(|| self.unknown(name, job))?);
            }
        }
        only.sort_unstable();
        only.dedup();
        Ok((!only.is_empty()).then_some(only))
    }

    fn unknown(&self, name: &str, job: &Job) -> Failure {
        let next = table::did_you_mean(name, job.stations.iter().map(|s| s.name.as_str()));
        let (folder, name) = (self.folder.display(), show::clean(name));
        Failure::Wrong(anyhow!("{folder}: '{name}' is no station of this joint. Next: {next}."))
    }

    /// Asks for these stations of the last round again, and puts what is confirmed in
    /// the place of what is there.
    pub(super) fn correct(&self, mut job: Job, only: Vec<usize>, screen: &mut Screen) -> Result<(), Failure> {
        let Some(saved) = job.rounds.pop() else {
            let (folder, next) = (self.folder.display(), next_command("enter", &self.folder));
            return Err(Failure::Wrong(anyhow!(
                "{folder}: expected a round to correct, but there is none yet. Next: {next}"
            )));
        };
        let mut bench = Bench {
            folder: &self.folder,
            job,
            columns: self.columns()?,
            typed: TypedRound::saved(&saved),
            draft: None,
            only: Some(only),
            saved: Some(saved),
            ask: Ask::new(screen)?,
            refusal: None,
        };
        bench.explain()?;
        bench.say_what_belongs_here()?;
        let end = match bench.type_in()? {
            End::Done => bench.review()?,
            end => end,
        };
        part(bench, end)
    }
}

impl Bench<'_> {
    /// What is a correction, and what is a new round.
    fn say_what_belongs_here(&mut self) -> Result<(), Failure> {
        let (number, saved) = (self.number(), self.saved.as_ref());
        let planed = saved.is_some_and(|saved| !saved.strokes.is_empty());
        let text = match planed {
            true => {
                format!("Mind: you planed after round {number}. Correct slips only; what the rib reads now")
            }
            false => "Correct a slip, or read with the rib as it lay; if it was set anew, what it reads now"
                .to_owned(),
        };
        self.ask.say(&format!("{text} is a new round (--new-round)."))
    }
}
