//! The joints that the page serves: those in FOLDER and no others.

use std::path::PathBuf;

use crate::job::{Problems, Unit};
use crate::store::Place;

/// What FOLDER is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// One joint.
    Joint,
    /// A bowl with its joints.
    Bowl,
}

/// FOLDER and what is in it.
#[derive(Debug, Clone)]
pub struct Folder {
    /// The folder as it was given, for messages.
    pub(super) path: Place,
    /// The same without links, so that what leads out of it can be told.
    root: PathBuf,
    pub(super) kind: Kind,
}

/// The name under which a single joint is served.
pub(super) const ALONE: &str = "1";

impl Folder {
    /// Looks at FOLDER.
    ///
    /// # Errors
    ///
    /// What is wrong with it, if no page can be made of it.
    pub fn of(folder: impl Into<Place>) -> Result<Folder, Problems> {
        let folder = folder.into();
        let kind = if folder.join("bowl.toml").is_file() { Kind::Bowl } else { Kind::Joint };
        if kind == Kind::Joint {
            crate::job::read_folder(&folder)?;
        }
        let root = folder.real().unwrap_or_else(|_| folder.path().to_path_buf());
        Ok(Folder { path: folder, root, kind })
    }

    /// The joints' names, in order.
    pub(super) fn joints(&self) -> Vec<String> {
        if self.kind == Kind::Joint {
            return vec![ALONE.to_owned()];
        }
        let joints = self.path.join("joints");
        let names = joints.plain_names().unwrap_or_default().into_iter();
        names.filter(|name| is_plain(name) && joints.join(name).is_folder()).collect()
    }

    /// The unit that the joints are written in, by the first of them; millimetres where it
    /// can't be read.
    pub(super) fn unit(&self) -> Unit {
        let first = self.joints().first().and_then(|name| self.joint(name));
        first.and_then(|folder| crate::job::read_folder(&folder).ok()).map_or(Unit::Mm, |job| job.unit)
    }

    /// A mark of what all the joints hold, another one when any of them changed.
    pub(super) fn version(&self) -> String {
        let version = |name: &String| self.joint(name).map(|folder| crate::record::version(&folder));
        self.joints().iter().filter_map(version).collect()
    }

    /// The folder of a joint; `None` if there is none of that name in FOLDER itself.
    pub(super) fn joint(&self, name: &str) -> Option<Place> {
        if !self.joints().iter().any(|known| known == name) {
            return None;
        }
        if self.kind == Kind::Joint {
            return Some(self.path.clone());
        }
        let path = self.path.join("joints").join(name);
        path.real().ok()?.starts_with(&self.root).then_some(path)
    }
}

/// Letters, digits and dashes: nothing that means something in a path or an address.
fn is_plain(name: &str) -> bool {
    !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_')
}
