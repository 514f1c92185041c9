//! Which bowl a joint's folder belongs to.

use std::path::Path;

use crate::job::names::{BOWL, JOINTS};
use crate::store::Place;

/// The number that a joint's folder is named by, `3` or `03`.
pub(super) fn number(name: &str) -> Option<usize> {
    let digits = name.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| name.parse().ok())?
}

/// The bowl that a joint's folder belongs to: the folder above `joints`, if it
/// holds a `bowl.toml`, named as the joint was where that can be; and the joint's number.
pub fn bowl_of(joint: impl Into<Place>) -> Option<(Place, usize)> {
    let joint = joint.into();
    let real = joint.at(joint.real().ok()?);
    let number = number(real.name()?)?;
    let folder = real.parent().filter(|p| p.name() == Some(JOINTS))?;
    let bowl = folder.parent().filter(|b| b.join(BOWL).is_file())?;
    let named = joint.path().parent().and_then(Path::parent);
    let named = named.map(|p| joint.at(if p.as_os_str().is_empty() { Path::new(".") } else { p }));
    let same = |p: &Place| p.real().is_ok_and(|p| p == bowl.path());
    Some((named.filter(same).unwrap_or(bowl), number))
}
