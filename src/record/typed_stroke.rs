//! One stroke as a maker types it at a prompt.

use super::NewStroke;
use crate::job::{Job, Station, ranges};
use crate::table::typed::shown;
use crate::table::{Unit, did_you_mean};

/// The word before the run over which the shaving ran unbroken.
const UNBROKEN: &str = "unbroken";

/// Reads one typed stroke: plane, run, pushes, and where the shaving ran unbroken:
/// `long 3-9`, `long 3-9 x2`, `long 3-9 2`, `long 3-9 x2 unbroken 4-8`. One push if none
/// are told; where there is one plane, its name may be left out: `3-9 2`.
///
/// Names are the maker's own and may hold blanks and dashes: a text that fits in
/// two ways is refused.
///
/// # Errors
///
/// A sentence saying what was expected, with the nearest known name.
pub fn typed_stroke(text: &str, job: &Job) -> Result<NewStroke, String> {
    let (body, shaving) = split_unbroken(text);
    let (short, count) = split_count(body);
    let whole = in_names(body, job).into_iter().map(|run| (run, 1));
    let counted = in_names(short, job).into_iter().map(|run| (run, count.unwrap_or(1)));
    let mut fits: Vec<_> = match count {
        Some(_) => counted.chain(whole).collect(),
        None => whole.collect(),
    };
    fits.dedup();
    match fits.as_slice() {
        [(named, count)] => stroke(named, *count, shaving, job),
        [] => Err(unknown(short, job)),
        _ => Err(format!(
            "{} can be read in two ways. Next: write it into strokes.csv, a cell for each name.",
            shown(text)
        )),
    }
}

/// Reads a change to a stroke that is known: another number of pushes, where the
/// shaving ran unbroken, or both: `3`, `x3`, `unbroken 4-8`, `3 unbroken 4-8`.
/// `None` if the text has not that form.
///
/// # Errors
///
/// As [`typed_stroke`].
pub fn typed_change(text: &str, stroke: &NewStroke, job: &Job) -> Option<Result<NewStroke, String>> {
    let (body, shaving) = split_unbroken(text);
    let count = match body.trim() {
        "" => stroke.count,
        body => body.trim_start_matches(['x', '×']).trim().parse().ok()?,
    };
    let named = Named { plane: stroke.plane.clone(), from: stroke.from.clone(), to: stroke.to.clone() };
    Some(self::stroke(&named, count, shaving, job))
}

/// A plane and a run by their names.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Named {
    plane: String,
    from: String,
    to: String,
}

fn split_unbroken(text: &str) -> (&str, Option<&str>) {
    let text = text.trim();
    if let Some(run) = text.strip_prefix(UNBROKEN).filter(|run| run.starts_with(char::is_whitespace)) {
        return ("", Some(run.trim()));
    }
    match text.rsplit_once(&format!(" {UNBROKEN} ")) {
        Some((body, run)) => (body.trim(), Some(run.trim())),
        None => (text, None),
    }
}

/// `long 3-9 x2`, or `long 3-9 2`, into `long 3-9` and 2.
fn split_count(body: &str) -> (&str, Option<u32>) {
    let marked = || {
        let (rest, last) = body.rsplit_once(['x', '×'])?;
        let rest = rest.strip_suffix(char::is_whitespace)?;
        Some((rest.trim_end(), last.trim().parse().ok()?))
    };
    let bare = || {
        let (rest, last) = body.rsplit_once(char::is_whitespace)?;
        Some((rest.trim_end(), last.parse().ok()?))
    };
    marked().or_else(bare).map_or((body, None), |(rest, count)| (rest, Some(count)))
}

/// Every way to read the text as a plane and a run, all names known.
fn in_names(body: &str, job: &Job) -> Vec<Named> {
    let planes = job.planes.iter().filter_map(|p| Some((&p.name, after(body, &p.name)?)));
    let only = job.planes.first().filter(|_| job.planes.len() == 1);
    let unnamed = only.into_iter().flat_map(|p| runs(body, job).into_iter().map(move |run| (&p.name, run)));
    let runs = planes.flat_map(|(plane, rest)| runs(rest, job).into_iter().map(move |run| (plane, run)));
    runs.chain(unnamed).map(|(plane, (from, to))| Named { plane: plane.clone(), from, to }).collect()
}

/// What stands behind a name and a blank.
fn after<'a>(text: &'a str, name: &str) -> Option<&'a str> {
    let rest = text.strip_prefix(name)?;
    rest.starts_with(char::is_whitespace).then(|| rest.trim())
}

/// What may stand between the ends of a run.
const BETWEEN: [&str; 3] = ["-", "–", " to "];

/// Every way to read the text as a run between known stations.
fn runs(text: &str, job: &Job) -> Vec<(String, String)> {
    let known = |name: &&str| job.stations.iter().any(|s| s.name == *name);
    let ends = |(from, to): (&str, &str)| {
        let ends = [from.trim(), to.trim()];
        ends.iter().all(&known).then(|| (ends[0].to_string(), ends[1].to_string()))
    };
    let splits = BETWEEN.iter().flat_map(|between| {
        text.match_indices(between).map(|(at, _)| (&text[..at], &text[at + between.len()..]))
    });
    splits.filter_map(ends).collect()
}

fn stroke(named: &Named, count: u32, shaving: Option<&str>, job: &Job) -> Result<NewStroke, String> {
    if !ranges::COUNT.holds(f64::from(count)) {
        return Err(format!("'{count}': expected {}.", ranges::COUNT.in_words(Unit::Mm)));
    }
    let run = ordered(&named.from, &named.to, job)?;
    let shaving = shaving.map(|text| unbroken(text, run, job)).transpose()?;
    let (plane, from, to) = (named.plane.clone(), named.from.clone(), named.to.clone());
    Ok(NewStroke { plane, from, to, count, shaving, note: None })
}

fn place(name: &str, job: &Job) -> Option<usize> {
    job.stations.iter().position(|s| s.name == name)
}

/// The ends of a run as indices, in order along the joint.
fn ordered(from: &str, to: &str, job: &Job) -> Result<(usize, usize), String> {
    match (place(from, job), place(to, job)) {
        (Some(a), Some(b)) if a <= b => Ok((a, b)),
        _ => Err(format!("A run goes along the joint from the first station on: write {to}-{from}.")),
    }
}

fn unbroken(text: &str, run: (usize, usize), job: &Job) -> Result<(String, String), String> {
    let found = runs(text, job);
    let [(from, to)] = found.as_slice() else {
        return Err(unknown_run(text, job));
    };
    let (a, b) = ordered(from, to, job)?;
    if a < run.0 || b > run.1 {
        return Err(format!("The shaving can't have run from {from} to {to}, outside the stroke's run."));
    }
    Ok((from.clone(), to.clone()))
}

/// Why no way to read the text was found.
fn unknown(body: &str, job: &Job) -> String {
    let planes = job.planes.iter().map(|p| p.name.as_str());
    let longest = planes.clone().filter(|p| after(body, p).is_some()).max_by_key(|p| p.len());
    if let Some(rest) = longest.and_then(|plane| after(body, plane)) {
        return unknown_run(rest, job);
    }
    if planes.clone().any(|p| p == body) {
        return format!(
            "{} has no run: write plane and stations, such as {}.",
            shown(body),
            stroke_example(job)
        );
    }
    let word = body.split_whitespace().next().unwrap_or_default();
    format!(
        "{}: expected a plane that {} describes. Next: {}.",
        shown(word),
        job.planes_file(),
        did_you_mean(word, planes)
    )
}

fn unknown_run(text: &str, job: &Job) -> String {
    let stations = job.stations.iter().map(|s| s.name.as_str());
    let ends = BETWEEN.iter().find_map(|between| text.split_once(between));
    let Some((from, to)) = ends else {
        return format!(
            "{}: expected a run from station to station. Next: write it as in {}.",
            shown(text),
            stroke_example(job)
        );
    };
    let strange = [from.trim(), to.trim()].into_iter().find(|name| place(name, job).is_none());
    let name = strange.unwrap_or_default();
    let next = did_you_mean(name, stations);
    format!("{}: expected the name of a station of this joint. Next: {next}.", shown(name))
}

/// A stroke as it may be typed, in this joint's own names.
pub fn stroke_example(job: &Job) -> String {
    let plane = job.planes.first().map_or("long", |p| p.name.as_str());
    let end = |s: Option<&Station>| s.map(|s| s.name.clone()).unwrap_or_default();
    format!("{plane} {}-{} x2", end(job.stations.first()), end(job.stations.last()))
}
