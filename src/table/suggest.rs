//! The nearest known name to one that isn't known.

use strsim::damerau_levenshtein;

use super::lookalike::difference;
use super::problem::printable;

/// The candidate that `word` was probably meant to be, if one is near enough:
/// a slip in every third letter at most (so none in `2` or `12`), or one name beginning with the other
/// (`along (mm)`).
pub(crate) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    let near = |c: &&'a str| slips(&word, &c.to_lowercase());
    let best = candidates.into_iter().min_by_key(near)?;
    (near(&best) <= word.chars().count() / 3).then_some(best)
}

fn slips(a: &str, b: &str) -> usize {
    let (short, long) = if a.len() < b.len() { (a, b) } else { (b, a) };
    let begins = short.len() >= 3 && long.starts_with(short);
    // No name is so long; counting would take all memory.
    let counted = if long.len() <= 200 { damerau_levenshtein(a, b) } else { usize::MAX };
    if begins { counted.min(1) } else { counted }
}

/// `, did you mean 'x'?` in a form that fits behind 'Next: '.
pub(crate) fn did_you_mean<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str> + Clone) -> String {
    let alike = |name: &'a str| Some((name, difference(word, name)?));
    if let Some((name, differ)) = candidates.clone().into_iter().find_map(alike) {
        return format!("write '{name}' just as it is written there: the two look alike, but {differ}");
    }
    match nearest(word, candidates.clone()) {
        Some(name) => format!("write '{name}' if that was meant"),
        None => format!("use one of: {}", listed(candidates)),
    }
}

/// Up to eight names in a row, then an ellipsis.
pub(crate) fn listed<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let mut names = names.into_iter();
    let first: Vec<String> = names.by_ref().take(8).map(printable).collect();
    let more = if names.next().is_some() { ", …" } else { "" };
    format!("{}{more}", first.join(", "))
}
