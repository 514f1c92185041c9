//! What is not as it was confirmed, in sentences.

use crate::job::{Against, Warning};
use crate::record::{Lost, LostRound};
use crate::store::Place;

use super::words::named;

/// The codes of its warnings.
pub(crate) const CONFIRMED: [&str; 2] = ["not-as-confirmed", "log-unreadable"];

/// So many rounds are told of, and so many stations named; more are counted.
const TOLD: usize = 3;
const NAMED: usize = 6;

/// What is not as it was confirmed: `round 3 is missing; round 2 differs at station 4`. Empty
/// where all rounds are.
pub(crate) fn lost_said(lost: &Lost) -> String {
    let mut said: Vec<String> = lost.rounds.iter().take(TOLD).map(round_said).collect();
    let more = lost.rounds.len().saturating_sub(TOLD);
    said.extend((more > 0).then(|| format!("and {more} more rounds")));
    said.join("; ")
}

fn round_said(lost: &LostRound) -> String {
    let round = lost.round;
    if lost.missing {
        return format!("round {round} is missing");
    }
    let mut said = Vec::new();
    if let Some((against, rebent)) = lost.held {
        let against = if against == Against::Line { "a line" } else { "the neighbour" };
        let rebent = if rebent { ", bent again" } else { "" };
        said.push(format!("was held against {against}{rebent}"));
    }
    let stations = lost.stations();
    if !stations.is_empty() && stations.len() <= NAMED {
        said.push(format!("differs at {}", named(&stations)));
    } else if !stations.is_empty() {
        said.push(format!("differs at {} stations", stations.len()));
    }
    match (lost.strokes.is_empty(), lost.other_strokes) {
        (true, _) => {}
        (false, false) => said.push("lacks strokes that were planed after it".into()),
        (false, true) => said.push("has other strokes than those told after it, see strokes.csv".into()),
    }
    format!("round {round} {}", said.join(" and "))
}

/// What the maker should know of it, and the command that settles it.
pub(super) fn warnings(folder: &Place, lost: &Lost) -> Vec<Warning> {
    let rounds = (!lost.rounds.is_empty()).then(|| {
        let text = format!(
            "Not as it was confirmed: {}. If a spreadsheet saved an older copy, or a cell slipped, `ribwright recover \
             {folder}` brings it back; if you changed it yourself, `ribwright recover {folder} --accept` keeps it so.",
            lost_said(lost)
        );
        Warning::new(CONFIRMED[0], text)
    });
    rounds.into_iter().chain(unreadable(lost).map(|text| Warning::new(CONFIRMED[1], text))).collect()
}

/// What can't be read of the log itself.
pub(crate) fn unreadable(lost: &Lost) -> Option<String> {
    if let Some(problem) = lost.trouble.as_ref().and_then(|trouble| trouble.list().first()) {
        return Some(format!("What was confirmed can't be compared: {problem}"));
    }
    let (first, count) = (lost.unreadable.first()?, lost.unreadable.len());
    let others = if count > 1 {
        format!(" and {} more can't be read and do", count - 1)
    } else {
        " can't be read and does".into()
    };
    Some(format!(
        "confirmed.log: line {first}{others} not count; the tables are not touched by that. Delete what can't be read, \
         or bring the file back from a copy."
    ))
}
