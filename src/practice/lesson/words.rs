//! Sentences that lessons share.

use super::grade::Grade;
use super::parts::{Answer, Lesson};
use super::rib::Lie;
use crate::job::Unit;

/// Less than this is nothing to a feeler, mm.
const SEEN: f64 = 0.005;

impl Lesson {
    /// A length in a sentence, in the lesson's unit: `0.12 mm`, `0.005 in`.
    pub(super) fn say(&self, mm: f64) -> String {
        self.unit().say(mm)
    }

    /// The same with one more decimal where it is small: wood is a mean over the edge.
    fn wood(&self, mm: f64) -> String {
        if mm < 0.1 { self.unit().say_fine(mm) } else { self.say(mm) }
    }

    /// A long length without its symbol, coarsely.
    pub(super) fn coarse(&self, mm: f64) -> String {
        match self.unit() {
            Unit::Mm => format!("{mm:.0}"),
            Unit::Inch => format!("{:.1}", mm / 25.4),
        }
    }

    /// A round lift to name a price for, in words and in mm.
    pub(super) fn round_lift(&self) -> (&'static str, f64) {
        match self.unit() {
            Unit::Mm => ("1 mm", 1.0),
            Unit::Inch => ("0.04 in", 0.04 * 25.4),
        }
    }
}

/// `station 3`, `stations 3 and 5`, `stations 1, 4 and 9`; `no station` for none.
pub(super) fn stations(lesson: &Lesson, at: &[usize]) -> String {
    let names: Vec<&str> = at.iter().map(|&i| lesson.stations[i].as_str()).collect();
    match names.split_last() {
        None => "no station".to_owned(),
        Some((one, [])) => format!("station {one}"),
        Some((last, rest)) => format!("stations {} and {last}", rest.join(", ")),
    }
}

/// What happened to gap, lift and bearings.
pub(super) fn happened(lesson: &Lesson, answer: &Answer) -> String {
    let (before, after) = (&lesson.before, &answer.after);
    let (at, gap) = after.widest_gap();
    let mut text = match (before.widest_gap().1 < SEEN, gap < SEEN) {
        (true, true) => "The joint is as tight as it was.".to_owned(),
        (false, false) if answer.wood <= 0.0 => format!("The widest gap stays {}.", lesson.say(gap)),
        (false, true) => {
            format!("The widest gap was {}; now the joint is tight.", lesson.say(before.widest_gap().1))
        }
        _ => format!(
            "The widest gap was {} and is now {}, at station {}.",
            lesson.say(before.widest_gap().1),
            lesson.say(gap),
            lesson.stations[at]
        ),
    };
    if lesson.aim.lift.is_some() {
        let (at, lift) = after.highest_lift();
        let was = lesson.say(before.highest_lift().1);
        text += &match lift < SEEN {
            _ if answer.wood <= 0.0 => format!(" The highest lift stays {was}."),
            true => format!(" The highest lift was {was}; now the outer edge lies down."),
            false => format!(
                " The highest lift was {was} and is now {}, at station {}.",
                lesson.say(lift),
                lesson.stations[at]
            ),
        };
    }
    let bears = |lie: &Lie| match lie.bearings.len() == lesson.stations.len() {
        true => "all along".to_owned(),
        false => format!("at {}", stations(lesson, &lie.bearings)),
    };
    match before.bearings == after.bearings {
        true => text + &format!(" It bears {}, as before.", bears(after)),
        false => text + &format!(" It bore {}, and now bears {}.", bears(before), bears(after)),
    }
}

/// How the wood compares with the least possible.
pub(super) fn compared(lesson: &Lesson, answer: &Answer) -> String {
    let (wood, least) = (lesson.wood(answer.wood), lesson.wood(answer.least_wood));
    let home = home(lesson);
    if answer.wood <= 0.0 {
        return format!("You took no wood; the least that {home} is {least}, mean along the edge.");
    }
    let end = match answer.verdict {
        Grade::Well if answer.wood < 0.8 * answer.least_wood => {
            " Yours leaves a little open, which may stay."
        }
        Grade::Well => " That is close to it.",
        Grade::Costly => " The rest of yours is gone for nothing.",
        Grade::Better | Grade::Short => "",
    };
    format!("You took {wood}, mean along the edge; the least that {home} is {least}.{end}")
}

/// What the least wood does.
pub(super) fn home(lesson: &Lesson) -> &'static str {
    match lesson.aim.lift {
        None => "closes the whole joint",
        Some(_) => "closes the joint and brings the outer edge down",
    }
}

/// `every gap within 0.10 mm`.
pub(super) fn aim(lesson: &Lesson) -> String {
    let gap = lesson.say(lesson.aim.gap);
    match lesson.aim.lift {
        None => format!("every gap within {gap}"),
        Some(lift) if lift == lesson.aim.gap => format!("every gap and lift within {gap}"),
        Some(lift) => format!("every gap within {gap} and every lift within {}", lesson.say(lift)),
    }
}

/// A choice of shavings in words: `3 shavings at 4, 1 at 5 to 7`.
pub(super) fn shavings(lesson: &Lesson, counts: &[u32]) -> String {
    let mut runs: Vec<(usize, usize, u32)> = Vec::new();
    for (i, &count) in counts.iter().enumerate().filter(|(_, c)| **c > 0) {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == i && run.2 == count => run.1 = i,
            _ => runs.push((i, i, count)),
        }
    }
    let name = |i: usize| &lesson.stations[i];
    let said = runs.iter().map(|&(from, to, count)| {
        let many = if count == 1 { "1 shaving".to_owned() } else { format!("{count} shavings") };
        match from == to {
            true => format!("{many} at {}", name(from)),
            false => format!("{many} at {} to {}", name(from), name(to)),
        }
    });
    let said: Vec<String> = said.collect();
    if said.is_empty() { "nothing".to_owned() } else { said.join(", ") }
}
