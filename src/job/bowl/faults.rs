//! What is wrong with a bowl as a whole, told once and in its own words.

use std::fs;
use std::path::Path;

use super::belongs::bowl_of;
use crate::job::names::{BOWL, STATIONS};
use crate::job::settings::in_mm;
use crate::table::suggest::nearest;
use crate::table::unreadable::{entered, shown, unreadable};
use crate::table::{Kind, Problem, Unit};

/// What is given as a bowl is none, if so.
pub(super) fn no_bowl(folder: &Path) -> Option<Problem> {
    let expected = "the folder of a bowl";
    match fs::metadata(folder) {
        Ok(about) if about.is_dir() => entered(folder),
        Ok(_) => {
            let parent = folder.parent().unwrap_or(Path::new("."));
            let next = match parent.join(BOWL).is_file() {
                true => format!("give the folder that holds it: {}", shown(parent)),
                false => format!("give the folder that holds {BOWL}"),
            };
            Some(Problem::new(shown(folder), format!("{expected}, but this is a file"), next))
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            let next = "check the spelling of the path, or lay a bowl out with `ribwright new`";
            Some(Problem::new(shown(folder), format!("{expected}, but there is none"), next))
        }
        Err(error) => Some(unreadable(&shown(folder), &error)),
    }
}

/// A folder without `bowl.toml`.
pub(super) fn no_settings(folder: &Path) -> Problem {
    let names: Vec<String> = match fs::read_dir(folder) {
        Ok(entries) => entries.flatten().filter_map(|e| e.file_name().into_string().ok()).collect(),
        Err(error) => return unreadable(&shown(folder), &error),
    };
    let next = match nearest(BOWL, names.iter().map(String::as_str)) {
        Some(near) => format!("rename {near} to {BOWL} if it is that"),
        None if names.iter().any(|n| n == STATIONS) => match bowl_of(folder) {
            Some((bowl, _)) => format!("this is one joint: give its bowl's folder, {}", shown(&bowl)),
            None => "this is a joint by itself: lay out a bowl for it with `ribwright new`".into(),
        },
        None => "give another folder, or lay the bowl out with `ribwright new`".into(),
    };
    Problem::new(shown(&folder.join(BOWL)), "what the bowl is like, but there is no such file", next)
}

fn is_own(folder: &Path, problem: &Problem) -> bool {
    Path::new(&problem.file).parent() == Some(folder)
}

/// Where `bowl.toml` says inches and lengths are millimetres, that is one problem, not
/// one for each cell.
pub(super) fn one_unit(folder: &Path, unit: Option<Unit>, mut problems: Vec<Problem>) -> Vec<Problem> {
    let own = |p: &Problem| p.kind == Kind::OtherUnit && is_own(folder, p);
    let count = problems.iter().filter(|p| own(p)).count();
    let in_table = problems.iter().find(|p| own(p) && !p.file.ends_with(BOWL));
    let Some(first) = in_table.or(problems.iter().find(|p| own(p))).cloned() else { return problems };
    // One or two may be slips in a folder that is what it says.
    if unit == Some(Unit::Inch) && count > 2 {
        problems.retain(|p| !own(p));
        problems.insert(0, in_mm(shown(&folder.join(BOWL)), &first, count));
    }
    problems
}
