//! Which bowl a joint's folder belongs to.

use std::fs;
use std::path::{Path, PathBuf};

use crate::job::names::{BOWL, JOINTS};

/// The number that a joint's folder is named by, `3` or `03`.
pub(super) fn number(name: &str) -> Option<usize> {
    let digits = name.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| name.parse().ok())?
}

/// The bowl that a joint's folder belongs to: the folder above `joints`, if it
/// holds a `bowl.toml`, named as the joint was where that can be; and the joint's number.
pub fn bowl_of(joint: &Path) -> Option<(PathBuf, usize)> {
    let real = fs::canonicalize(joint).ok()?;
    let number = number(real.file_name()?.to_str()?)?;
    let folder = real.parent().filter(|p| p.file_name().is_some_and(|n| n == JOINTS))?;
    let bowl = folder.parent().filter(|b| b.join(BOWL).is_file())?;
    let named = joint
        .parent()
        .and_then(Path::parent)
        .map(|p| if p.as_os_str().is_empty() { Path::new(".") } else { p });
    let same = |p: &&Path| fs::canonicalize(p).is_ok_and(|p| p == bowl);
    Some((named.filter(same).unwrap_or(bowl).to_path_buf(), number))
}
