//! What an apprentice types, as a choice.

use std::io::{self, BufRead, IsTerminal};

use crate::cli::try_cut::run;
use crate::practice::lesson::{Ask, Choice, Lesson};

/// A typed answer as a choice.
///
/// # Errors
///
/// A sentence that says what was expected.
pub(super) fn choice(lesson: &Lesson, text: &str) -> Result<Choice, String> {
    match &lesson.ask {
        Ask::Shavings { .. } => shavings(lesson, text),
        Ask::Pushes { planes, .. } => pushes(planes, text),
        Ask::One { options } => one(options.len(), text),
    }
}

/// `3:2 5-7:1`; runs that overlap add up.
fn shavings(lesson: &Lesson, text: &str) -> Result<Choice, String> {
    let mut counts = vec![0_u32; lesson.stations.len()];
    for part in text.split([' ', ',', ';', '\t']).filter(|p| !p.is_empty()) {
        let expected = || {
            format!(
                "`{part}` is no run with its shavings; expected stations, a colon and a whole number, such as 3:2 or \
                 5-7:1."
            )
        };
        let (stations, count) = part.rsplit_once(':').ok_or_else(expected)?;
        let count: u32 = count.parse().map_err(|_| expected())?;
        let (from, to) = run(lesson.rib.job(), stations).map_err(|why| format!("`{part}`: {why}."))?;
        for at in &mut counts[from.min(to)..=from.max(to)] {
            *at = at.saturating_add(count);
        }
    }
    Ok(Choice::Shavings(counts))
}

/// `long 4`; the beginning of the plane's name will do.
fn pushes(planes: &[String], text: &str) -> Result<Choice, String> {
    let named = planes.join("` or `");
    let expected =
        || format!("Expected a plane, `{named}`, and how often you push it, such as `{} 4`.", planes[0]);
    let (name, count) = text.trim().rsplit_once([' ', ':', ',']).ok_or_else(expected)?;
    let name = name.trim().to_lowercase();
    let plane = planes.iter().position(|p| !name.is_empty() && p.starts_with(&name)).ok_or_else(expected)?;
    let count = count.trim().parse().map_err(|_| expected())?;
    Ok(Choice::Pushes { plane, count })
}

fn one(ways: usize, text: &str) -> Result<Choice, String> {
    let letters: Vec<char> = ('a'..).take(ways).collect();
    let mut typed = text.trim().chars().flat_map(char::to_lowercase);
    match (typed.next().and_then(|c| letters.iter().position(|l| *l == c)), typed.next()) {
        (Some(one), None) => Ok(Choice::One(one)),
        _ => {
            let said: Vec<String> = letters.iter().map(char::to_string).collect();
            Err(format!("Answer with one letter: {}.", said.join(", ")))
        }
    }
}

/// The first line of standard input where it is a pipe or a file; none on a
/// terminal or where nothing comes.
pub(super) fn piped() -> io::Result<Option<String>> {
    let input = io::stdin();
    if input.is_terminal() {
        return Ok(None);
    }
    let mut bytes = Vec::new();
    let read = input.lock().read_until(b'\n', &mut bytes)?;
    Ok((read > 0).then(|| String::from_utf8_lossy(&bytes).trim().to_owned()))
}
