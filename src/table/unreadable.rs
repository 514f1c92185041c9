//! Why the system gives no file, in words.

use std::io::{self, ErrorKind};

use super::Problem;
use crate::store::Place;

/// A folder that can't be looked into is one problem, not one for each of its files.
pub(crate) fn entered(folder: &Place) -> Option<Problem> {
    folder.join(".").kind().err().map(|error| unreadable(folder, &error))
}

/// What the system said, with a next step.
pub(crate) fn unreadable(file: &Place, error: &io::Error) -> Problem {
    let (expected, next) = match error.kind() {
        ErrorKind::NotFound if file.is_link() => (
            "a file, but here is a link that leads nowhere",
            "put the file back where the link leads, or remove the link",
        ),
        ErrorKind::NotFound => {
            ("a joint's folder or a table there, but there is none", "check the spelling of the path")
        }
        ErrorKind::PermissionDenied if file.is_folder() => (
            "a folder that may be read, but permission is denied",
            "give yourself permission to read it, and what is in it",
        ),
        ErrorKind::PermissionDenied => {
            ("a file that may be read, but permission is denied", "give yourself permission to read it")
        }
        ErrorKind::NotADirectory => {
            ("a folder before the last '/', but a file stands there", "check the spelling of the path")
        }
        _ if in_a_circle(error) => (
            "a file, but here are links that lead in a circle",
            "remove the links, and put the file itself there",
        ),
        _ => {
            let expected = format!("a file that can be read ({error})");
            return Problem::new(file, expected, "check the disk and the path, and try again");
        }
    };
    Problem::new(file, expected, next)
}

/// Links lead to each other; the standard library has no stable name for it.
fn in_a_circle(error: &io::Error) -> bool {
    let code = if cfg!(target_os = "linux") { 40 } else { 62 };
    cfg!(unix) && error.raw_os_error() == Some(code)
}
