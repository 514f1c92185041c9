//! The joints of a bowl's folder, and the stations that they share.

use super::belongs::number;
use super::tables;
use super::types::{Bowl, BowlJoint};
use crate::job::folder::{Files, Shared};
use crate::job::names::{BOWL, JOINTS, SETTINGS, STATIONS};
use crate::job::{Job, Mold};
use crate::store::{self, Place};
use crate::table::lookalike;
use crate::table::suggest::nearest;
use crate::table::unreadable::{entered, unreadable};
use crate::table::{Problem, Warning};

impl Bowl {
    /// Reads the joints; `told` where `bowl.toml` could be read.
    pub(super) fn read_joints(&mut self, told: bool, problems: &mut Vec<Problem>) {
        for path in joints_in(&self.folder, problems) {
            let name = path.path().file_name().unwrap_or_default().to_string_lossy().into_owned();
            match number(&name) {
                Some(number) if (1..self.settings.ribs).contains(&number) => {
                    self.read_joint(number, path, told, problems);
                }
                _ if name.starts_with('.') || !path.is_folder() => {}
                _ => self.warnings.push(stray(&path, self.settings.ribs)),
            }
        }
        self.joints.sort_by_key(|j| j.number);
        for pair in self.joints.windows(2).filter(|p| p[0].number == p[1].number) {
            let next = "keep one of the two folders";
            let expected = format!("one folder for joint {}; {} is another", pair[0].number, pair[0].folder);
            problems.push(Problem::new(&pair[1].folder, expected, next));
        }
        let mold = self.settings.mold;
        let other = self.joints.iter().filter(|j| j.job.mold != mold);
        self.warnings.extend(other.map(|j| other_mold(j, mold)).collect::<Vec<_>>());
    }

    fn read_joint(&mut self, number: usize, folder: Place, told: bool, problems: &mut Vec<Problem>) {
        if !folder.is_folder() {
            problems.push(no_joint(&folder));
            return;
        }
        if let Some(problem) = entered(&folder) {
            problems.push(problem);
            return;
        }
        let shared = if told { Shared::Are(&self.settings.planes) } else { Shared::Unknown };
        match Files::load(&folder).job_among(shared) {
            Err(faults) => problems.extend_from_slice(faults.list()),
            Ok(job) => {
                let marks = tables::marks(&folder, &job, problems);
                self.joints.push(BowlJoint { number, folder, job, marks });
            }
        }
    }

    /// All joints have the bowl's stations.
    pub(super) fn share_stations(&mut self, problems: &mut Vec<Problem>) {
        let all: Vec<Vec<String>> = self.joints.iter().map(|j| names(&j.job)).collect();
        let Some(first) = all.first() else { return };
        let told = !self.settings.stations.is_empty();
        let agreed = all.iter().all(|names| names == first);
        if told && agreed && *first != self.settings.stations {
            problems.push(in_settings(&self.folder.join(BOWL), &self.settings.stations, first));
        }
        if !told || agreed {
            self.settings.stations = first.clone();
        }
        let shared = &self.settings.stations;
        let whose = if told { BOWL.to_owned() } else { format!("joint {}", self.joints[0].number) };
        let other = self.joints.iter().zip(&all).filter(|(_, names)| *names != shared);
        problems.extend(other.map(|(j, names)| in_joint(j, names, shared, &whose)));
    }
}

fn names(job: &Job) -> Vec<String> {
    job.stations.iter().map(|s| s.name.clone()).collect()
}

/// What stands where the joints should be, in order.
fn joints_in(bowl: &Place, problems: &mut Vec<Problem>) -> Vec<Place> {
    let folder = bowl.join(JOINTS);
    match folder.names() {
        Ok(names) => return names.into_iter().map(|name| folder.join(name)).collect(),
        Err(_) if folder.is_absent() => problems.extend(misnamed(bowl)),
        Err(_) if folder.kind().is_ok_and(|kind| kind != store::Kind::Folder) => {
            let next = "rename or remove the file, and put the joints' folders 01, 02 and so on into a folder of that name";
            problems.push(Problem::new(&folder, "the folder of the joints, but this is a file", next));
        }
        Err(error) => problems.push(unreadable(&folder, &error)),
    }
    Vec::new()
}

/// A folder that is probably meant to be that of the joints.
fn misnamed(bowl: &Place) -> Option<Problem> {
    let names = bowl.plain_names().ok()?.into_iter();
    let folders: Vec<String> = names.filter(|name| bowl.join(name).is_folder()).collect();
    let near = nearest(JOINTS, folders.iter().map(String::as_str))?;
    let next = format!("rename {near} to {JOINTS} if it is that");
    Some(Problem::new(&bowl.join(JOINTS), "the folder of the joints, but there is none", next))
}

fn no_joint(path: &Place) -> Problem {
    match path.kind() {
        Err(error) => unreadable(path, &error),
        Ok(_) => {
            let next = "rename or remove the file, and put the joint's tables into a folder of that name";
            Problem::new(path, "a joint's folder, but this is a file", next)
        }
    }
}

fn stray(path: &Place, ribs: usize) -> Warning {
    let text = format!(
        "{} is no joint of a bowl of {ribs} ribs, whose joints are 01 to {:02}, so it is left alone. Rename it, or \
         correct `ribs` in bowl.toml.",
        path,
        ribs - 1
    );
    Warning::new("stray-joint", text)
}

fn other_mold(joint: &BowlJoint, mold: Mold) -> Warning {
    let word = |mold| if mold == Mold::Round { "round" } else { "faceted" };
    let text = format!(
        "{} means a {} mold, but bowl.toml a {} one. A bowl has one mold: correct `mold` in one of the two (left out, it \
         is round).",
        joint.folder.join(SETTINGS),
        word(joint.job.mold),
        word(mold)
    );
    Warning::new("other-mold", text)
}

/// Where names first differ from those they should be: what stands there, and what should.
fn difference<'a>(here: &'a [String], there: &[String]) -> (Option<&'a str>, String) {
    let at = here.iter().zip(there).take_while(|(a, b)| a == b).count();
    match (here.get(at), there.get(at)) {
        (found, Some(name)) => (found.map(String::as_str), format!("'{name}' as station number {}", at + 1)),
        (found, None) => (found.map(String::as_str), format!("no more than {} stations", there.len())),
    }
}

/// The next step where the names differ only to a program.
fn alike(here: &[String], there: &[String]) -> Option<String> {
    let (this, that) = here.iter().zip(there).find(|(a, b)| a != b)?;
    let differ = lookalike::difference(this, that)?;
    Some(format!("write the name alike in both: the two look alike, but {differ}"))
}

fn in_joint(joint: &BowlJoint, here: &[String], shared: &[String], whose: &str) -> Problem {
    let (found, expected) = difference(here, shared);
    let next = match whose {
        BOWL => "name the stations as in bowl.toml, or leave `stations` out there if all joints agree",
        _ => "give all joints of the bowl the same stations",
    };
    let next = alike(here, shared).unwrap_or_else(|| next.into());
    let file = &joint.folder.join(STATIONS);
    let problem = Problem::new(file, format!("{expected}, as in {whose}"), next).column("station");
    problem.found(found.unwrap_or_default())
}

/// All joints agree, and `bowl.toml` doesn't.
fn in_settings(file: &Place, here: &[String], joints: &[String]) -> Problem {
    let (found, expected) = difference(here, joints);
    let usual = "correct the names, or leave the key out: then those of the joints count";
    let next = alike(here, joints).unwrap_or_else(|| usual.into());
    let problem = Problem::new(file, format!("{expected}, as all joints have it"), next).column("stations");
    problem.found(found.unwrap_or_default())
}
