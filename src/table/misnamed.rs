//! Files whose names are nearly those that are read.

use std::path::Path;

use super::Warning;
use super::suggest::nearest;
use super::workbook::is_workbook;
use crate::store::Place;

/// A file of the folder that is probably meant to be `name`, where there is none of
/// that name. Files of the names `read` are what they are called.
pub fn misnamed(folder: impl Into<Place>, name: &str, read: &[&str]) -> Option<String> {
    let folder = folder.into();
    if !folder.join(name).is_absent() {
        return None;
    }
    // A workbook stands in a table's place by its name.
    let other = |n: &String| !n.starts_with('.') && !read.contains(&n.as_str()) && !is_workbook(Path::new(n));
    let open: Vec<String> = folder.plain_names().ok()?.into_iter().filter(other).collect();
    nearest(name, open.iter().map(String::as_str)).map(str::to_owned)
}

/// Warnings of tables that may be left out and stand there by another name.
pub(crate) fn warnings(folder: &Place, names: &[&str], read: &[&str]) -> Vec<Warning> {
    let warning = |name: &&str| {
        let near = misnamed(folder, name, read)?;
        let text = format!("{} is not read. Rename it to {name} if it is that.", folder.join(near));
        Some(Warning::new("misnamed-file", text))
    };
    names.iter().filter_map(warning).collect()
}
