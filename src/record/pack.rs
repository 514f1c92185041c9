//! A folder of tables packed into one .zip, and back, where there are no folders: a browser gives
//! and takes files one by one.
//!
//! What comes in from elsewhere is unpacked in memory alone, and whole or not at all.

use std::collections::HashMap;
use std::io::{Cursor, Read, Write};

use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

use crate::job::names::{BOWL, SETTINGS, STATIONS};
use crate::table::lookalike::seen;

/// A file's name, with `/` between the folders, and what it holds.
pub type Entry = (String, Vec<u8>);

/// All files together: a folder with its bowl, its workbooks and some pictures.
const LARGEST: u64 = 64 << 20;
/// Files in a folder: a bowl of sixty joints has four hundred.
const MOST: usize = 2000;

/// Why files are not opened, or not packed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PackError {
    /// It is no archive, or not a whole one.
    #[error("{0} can't be unpacked ({1}). Next: pack the folder anew, or open its tables themselves.")]
    Damaged(String, String),
    /// It asks for a password.
    #[error("{0} asks for a password. Next: pack the folder without one, or open its tables themselves.")]
    Locked(String),
    /// A name that leads elsewhere.
    #[error("'{0}' leads out of the folder, so nothing was opened. Next: pack the folder anew.")]
    Outside(String),
    /// Two files that would be one.
    #[error(
        "'{0}' and '{1}' have the same name, so it is not known which counts; nothing was opened. \
         Next: rename one of them, and pack the folder anew."
    )]
    Alike(String, String),
    /// The same name twice in an archive.
    #[error("{0} holds two files of one name, so nothing was opened. Next: pack the folder anew.")]
    Twice(String),
    /// More than fits.
    #[error("that is more than {} MB in all. Next: open the folder of one joint or bowl, with its tables alone.", LARGEST >> 20)]
    TooLarge,
    /// More files than a folder of tables has.
    #[error(
        "that is more than {MOST} files. Next: open the folder of one joint or bowl, with its tables alone."
    )]
    TooMany,
    /// No file at all.
    #[error("there is no file in it. Next: open the folder of a joint or of a bowl.")]
    Empty,
}

/// The files in one .zip; the same files give the same bytes.
///
/// # Errors
///
/// [`PackError::Damaged`] where a name can't stand in an archive.
pub fn packed(files: &[Entry]) -> Result<Vec<u8>, PackError> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let how = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    for (name, bytes) in files {
        let written = archive.start_file(name.as_str(), how).map_err(|why| why.to_string());
        written
            .and_then(|()| archive.write_all(bytes).map_err(|why| why.to_string()))
            .map_err(|why| PackError::Damaged(name.clone(), why))?;
    }
    let done = archive.finish().map_err(|why| PackError::Damaged("the archive".into(), why.to_string()))?;
    Ok(done.into_inner())
}

/// The folder that files make: its name, and the files under names that begin with it. A .zip alone
/// is unpacked; files without a folder get one.
///
/// # Errors
///
/// [`PackError`]
pub fn gathered(mut files: Vec<Entry>) -> Result<(String, Vec<Entry>), PackError> {
    let alone = match files.as_slice() {
        [(name, _)] => Some(stem(name)),
        _ => None,
    };
    if let [(name, bytes)] = files.as_slice()
        && ends_in(name, "zip")
    {
        files = unpacked(name, bytes)?;
    }
    let mut files = sound(files)?;
    let mut root = root(&files);
    if root.is_empty() {
        root = alone.filter(|name| !name.is_empty()).unwrap_or_else(|| "tables".into());
        files.iter_mut().for_each(|(name, _)| *name = format!("{root}/{name}"));
    }
    Ok((root, files))
}

/// What an archive holds.
fn unpacked(file: &str, bytes: &[u8]) -> Result<Vec<Entry>, PackError> {
    let damaged = |why: ZipError| match why {
        ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => PackError::Locked(file.into()),
        why => PackError::Damaged(file.into(), why.to_string()),
    };
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    if archive.has_duplicate_names() {
        return Err(PackError::Twice(file.into()));
    }
    if archive.len() > MOST {
        return Err(PackError::TooMany);
    }
    let (mut files, mut room) = (Vec::new(), LARGEST);
    for i in 0..archive.len() {
        let part = archive.by_index(i).map_err(damaged)?;
        if part.is_dir() {
            continue;
        }
        let name = part.name().map_err(damaged)?.into_owned();
        // What an archive says of its own size isn't always so.
        let mut content = Vec::new();
        let read = part.take(room + 1).read_to_end(&mut content);
        read.map_err(|why| PackError::Damaged(file.into(), why.to_string()))?;
        room = room.checked_sub(content.len() as u64).ok_or(PackError::TooLarge)?;
        files.push((name, content));
    }
    Ok(files)
}

/// The files under names that stay in the folder and differ, without what systems leave beside them.
fn sound(files: Vec<Entry>) -> Result<Vec<Entry>, PackError> {
    if files.len() > MOST {
        return Err(PackError::TooMany);
    }
    if files.iter().map(|(_, bytes)| bytes.len() as u64).sum::<u64>() > LARGEST {
        return Err(PackError::TooLarge);
    }
    let (mut kept, mut known) = (Vec::new(), HashMap::new());
    for (name, bytes) in files {
        let plain = inside(&name).ok_or_else(|| PackError::Outside(name.clone()))?;
        if is_left_over(&plain) {
            continue;
        }
        if let Some(other) = known.insert(seen(&plain).to_lowercase(), plain.clone()) {
            return Err(PackError::Alike(other, plain));
        }
        kept.push((plain, bytes));
    }
    if kept.is_empty() { Err(PackError::Empty) } else { Ok(kept) }
}

/// A name with `/` between its parts; `None` if it leads out of the folder.
fn inside(name: &str) -> Option<String> {
    let name = name.replace('\\', "/");
    let sound = |part: &str| !part.is_empty() && part != "." && part != ".." && !part.contains([':', '\0']);
    name.split('/').all(sound).then_some(name)
}

/// What systems, and programs that run, leave in folders.
fn is_left_over(name: &str) -> bool {
    let last = name.rsplit('/').next().unwrap_or(name);
    name.starts_with("__MACOSX/") || [".DS_Store", "Thumbs.db", "desktop.ini", ".lock"].contains(&last)
}

fn ends_in(name: &str, end: &str) -> bool {
    name.rsplit_once('.').is_some_and(|(_, own)| own.eq_ignore_ascii_case(end))
}

/// A file's name without folders and end.
fn stem(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
    last.rsplit_once('.').map_or(last, |(stem, _)| stem).to_owned()
}

/// The folder of the bowl, or else of the joint, that lies highest; or else what all have in common.
fn root(files: &[Entry]) -> String {
    let folder = |name: &str| name.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
    let stations = STATIONS.trim_end_matches("csv");
    let holding = |tables: &[&str]| {
        let those = files.iter().filter(|(name, _)| {
            let last = name.rsplit('/').next().unwrap_or(name);
            tables.iter().any(|table| last == *table || (table.ends_with('.') && last.starts_with(table)))
        });
        those.map(|(name, _)| folder(name)).min_by_key(|folder| (folder.matches('/').count(), folder.clone()))
    };
    holding(&[BOWL])
        .or_else(|| holding(&[SETTINGS, stations]))
        .unwrap_or_else(|| files.first().map_or(String::new(), |(name, _)| folder(name)))
}
