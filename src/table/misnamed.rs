//! Files whose names are nearly those that are read.

use std::fs;
use std::path::Path;

use super::Warning;
use super::suggest::nearest;
use super::workbook::is_workbook;

/// A file of the folder that is probably meant to be `name`, where there is none of
/// that name. Files of the names `read` are what they are called.
pub fn misnamed(folder: &Path, name: &str, read: &[&str]) -> Option<String> {
    if fs::symlink_metadata(folder.join(name)).is_ok() {
        return None;
    }
    let entries = fs::read_dir(folder).ok()?.flatten().filter_map(|e| e.file_name().into_string().ok());
    // A workbook stands in a table's place by its name.
    let other = |n: &String| !n.starts_with('.') && !read.contains(&n.as_str()) && !is_workbook(Path::new(n));
    let open: Vec<String> = entries.filter(other).collect();
    nearest(name, open.iter().map(String::as_str)).map(str::to_owned)
}

/// Warnings of tables that may be left out and stand there by another name.
pub(crate) fn warnings(folder: &Path, names: &[&str], read: &[&str]) -> Vec<Warning> {
    let one = |name: &&str| {
        let near = misnamed(folder, name, read)?;
        let text = format!("{} is not read. Rename it to {name} if it is that.", folder.join(near).display());
        Some(Warning::new("misnamed-file", text))
    };
    names.iter().filter_map(one).collect()
}
