//! What is wrong with a bowl as a whole, told once and in its own words.

use std::path::Path;

use super::belongs::bowl_of;
use crate::job::names::{BOWL, STATIONS};
use crate::job::settings::in_mm;
use crate::store::{self, Place};
use crate::table::suggest::nearest;
use crate::table::unreadable::{entered, unreadable};
use crate::table::{Kind, Problem, Unit};

/// What is given as a bowl is none, if so.
pub(super) fn no_bowl(folder: &Place) -> Option<Problem> {
    let expected = "the folder of a bowl";
    match folder.kind() {
        Ok(store::Kind::Folder) => entered(folder),
        Ok(_) => {
            let parent = folder.parent().unwrap_or_else(|| folder.at("."));
            let next = match parent.join(BOWL).is_file() {
                true => format!("give the folder that holds it: {}", parent),
                false => format!("give the folder that holds {BOWL}"),
            };
            Some(Problem::new(folder, format!("{expected}, but this is a file"), next))
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            let next = "check the spelling of the path, or lay a bowl out with `ribwright new`";
            Some(Problem::new(folder, format!("{expected}, but there is none"), next))
        }
        Err(error) => Some(unreadable(folder, &error)),
    }
}

/// A folder without `bowl.toml`.
pub(super) fn no_settings(folder: &Place) -> Problem {
    let names = match folder.plain_names() {
        Ok(names) => names,
        Err(error) => return unreadable(folder, &error),
    };
    let next = match nearest(BOWL, names.iter().map(String::as_str)) {
        Some(near) => format!("rename {near} to {BOWL} if it is that"),
        None if names.iter().any(|n| n == STATIONS) => match bowl_of(folder) {
            Some((bowl, _)) => format!("this is one joint: give its bowl's folder, {}", bowl),
            None => "this is a joint by itself: lay out a bowl for it with `ribwright new`".into(),
        },
        None => "give another folder, or lay the bowl out with `ribwright new`".into(),
    };
    Problem::new(&folder.join(BOWL), "what the bowl is like, but there is no such file", next)
}

fn is_own(folder: &Place, problem: &Problem) -> bool {
    Path::new(&problem.file).parent() == Some(folder.path())
}

/// Where `bowl.toml` says inches and lengths are millimetres, that is one problem, not
/// one for each cell.
pub(super) fn one_unit(folder: &Place, unit: Option<Unit>, mut problems: Vec<Problem>) -> Vec<Problem> {
    let own = |p: &Problem| p.kind == Kind::OtherUnit && is_own(folder, p);
    let count = problems.iter().filter(|p| own(p)).count();
    let in_table = problems.iter().find(|p| own(p) && !p.file.ends_with(BOWL));
    let Some(first) = in_table.or(problems.iter().find(|p| own(p))).cloned() else { return problems };
    // One or two may be slips in a folder that is what it says.
    if unit == Some(Unit::Inch) && count > 2 {
        problems.retain(|p| !own(p));
        problems.insert(0, in_mm(folder.join(BOWL).to_string(), &first, count));
    }
    problems
}
