//! Where tacks hold a spacer while the glue sets: every 40 to 50 mm (common
//! practice, no source), clear of the stations where marks are.

/// Least and largest distance between tacks, mm (common practice, no source).
pub const APART: [f64; 2] = [40.0, 50.0];
/// Room from the first and the last tack to the ends, mm.
const FROM_END: [f64; 2] = [4.0, 30.0];
/// Room between a tack and a station with marks, mm.
const CLEAR: f64 = 6.0;

/// Tacks along a spacer.
#[derive(Debug, Clone, PartialEq)]
pub struct Tacks {
    /// Their places along the joint line from the first station, mm.
    pub at: Vec<f64>,
    /// Room that every one keeps to the stations, mm.
    pub clear: f64,
}

/// Places tacks on a joint line `length` mm long, as evenly as the stations at
/// `marks` (mm along it) allow.
pub fn tacks(length: f64, marks: &[f64]) -> Tacks {
    let steps = (0..=12).map(|k| CLEAR - 0.5 * f64::from(k));
    let found = steps.into_iter().find_map(|clear| Some((clear, run(length, marks, clear)?)));
    match found {
        Some((clear, at)) => Tacks { at, clear },
        // Too short for the rule: one in the middle.
        None => Tacks { at: vec![length / 2.0], clear: 0.0 },
    }
}

/// The most even run of tacks, on places a millimetre apart, by dynamic programming.
fn run(length: f64, marks: &[f64], clear: f64) -> Option<Vec<f64>> {
    let last = length.floor() as usize;
    let free = |p: usize| marks.iter().all(|m| (m - p as f64).abs() >= clear);
    let end = |room: f64| (FROM_END[0]..=FROM_END[1]).contains(&room).then(|| (room - 15.0).powi(2));
    let ideal = (APART[0] + APART[1]) / 2.0;
    // Cheapest way to each place, and the place before it.
    let mut best: Vec<Option<(f64, Option<usize>)>> = vec![None; last + 1];
    for p in (0..=last).filter(|p| free(*p)) {
        let start = end(p as f64).map(|cost| (cost, None));
        let before = p.saturating_sub(APART[1] as usize)..p.saturating_sub(APART[0] as usize - 1);
        let on = before.filter_map(|q| {
            let (cost, _) = best[q]?;
            Some((cost + ((p - q) as f64 - ideal).powi(2), Some(q)))
        });
        best[p] = start.into_iter().chain(on).min_by(|a, b| a.0.total_cmp(&b.0));
    }
    let whole = |p: usize| Some((best[p]?.0 + end(length - p as f64)?, p));
    let (_, tail) = (0..=last).filter_map(whole).min_by(|a, b| a.0.total_cmp(&b.0))?;
    let mut at = Vec::new();
    let mut place = Some(tail);
    while let Some(p) = place {
        at.push(p as f64);
        place = best[p].and_then(|(_, before)| before);
    }
    at.reverse();
    Some(at)
}
