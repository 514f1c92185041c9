//! A bump is a lever: which stations bear, and what a little off them does elsewhere.

use super::choice::{Ask, Choice, Refused};
use super::grade::{Aim, Grade};
use super::parts::{Answer, Lesson};
use super::rib::LessonRib;
use super::topic::Topic;
use super::words::{self, stations};
use crate::job::{Angle, Job, Mold, Station, Unit};
use crate::joint::{Joint, Pose};
use crate::maths::program::Failure;
use crate::practice::blank;
use crate::practice::dice::Dice;
use crate::practice::rib::KnownJoint;
use crate::seat;

/// Thickness of a shaving, mm.
const SHAVING: f64 = 0.05;
/// Most shavings at a station.
const MOST: u32 = 20;
/// Widest gap that may stay, mm.
const GAP: f64 = 0.15;
/// Wood beyond the joint surface everywhere, so that the mold never stops the rib, mm.
const SPARE: f64 = 0.5;
/// The bump of the example on a straight edge, mm, and its station (index) of
/// 13: a third of the way along.
const EXAMPLE: (f64, usize) = (0.2, 4);

pub(super) fn lesson(unit: Unit, seed: u64) -> Result<Lesson, Failure> {
    let rib = rib(seed).in_unit(unit);
    let ask = Ask::Shavings { shaving: SHAVING, most: MOST };
    let mut lesson = Lesson::around(Topic::Lever, seed, rib, Aim { gap: GAP, lift: None }, ask)?;
    lesson.idea = format!(
        "Pushed home, a rib touches at a few stations and hangs on them: its bearings. There a feeler finds no \
         daylight. A bump that bears is a lever: it holds the edge open elsewhere. A third of the way along a straight \
         edge, a bump of {} opens {} at the near end, more than its own height. Take wood where you see the \
         daylight, and the daylight grows. Take it where there is none, at the bearing that is the bump, and gaps \
         close far away. A little is enough.",
        lesson.say(EXAMPLE.0),
        lesson.say(opened(400.0, EXAMPLE.0, EXAMPLE.1)?)
    );
    let (at, gap) = lesson.before.widest_gap();
    lesson.question = format!(
        "This rib has one bump. Pushed home it shows up to {} of daylight, at station {}. Bring every gap within {}: \
         at which stations do you plane, and how many shavings of {}?",
        lesson.say(gap),
        lesson.stations[at],
        lesson.say(GAP),
        lesson.say(SHAVING)
    );
    Ok(lesson)
}

/// A flat edge with one bump away from the ends.
fn rib(seed: u64) -> LessonRib {
    let mut dice = Dice::new(seed.wrapping_mul(5));
    let mold = blank::mold(&mut dice, false);
    let joint = mold.ribs / 2;
    let known = KnownJoint::new(&mold, joint, dice.whole(11, 13), 1);
    let length = known.arc.last().copied().unwrap_or(1.0);
    let (at, size) = (dice.between(0.3, 0.7) * length, dice.between(0.35, 0.5));
    let width = dice.between(0.05, 0.09) * length;
    let bump = |s: &f64| SPARE + size * libm::exp(-((s - at) / width).powi(2) / 2.0);
    let edge = known.arc.iter().map(bump).collect();
    LessonRib::new(known, edge, Job::default())
}

/// The widest gap that a bump at one of 13 stations opens on a straight edge, mm.
pub(super) fn opened(length: f64, bump: f64, at: usize) -> Result<f64, Failure> {
    let job = Job { mold: Mold::Faceted, stations: straight(length), ..Job::default() };
    let joint = Joint::of(&job);
    let mut edge = vec![0.0; joint.len()];
    edge[at] = bump;
    let rest = seat::seat(&joint, &edge, &vec![0.0; joint.len()], Pose::default())?;
    Ok(rest.clearances.iter().map(|c| c.gap).fold(0.0, f64::max))
}

fn straight(length: f64) -> Vec<Station> {
    let station = |i: usize| Station {
        name: (i + 1).to_string(),
        along: length * i as f64 / 12.0,
        width: 36.0,
        bevel: Angle::radians(0.1),
        rise: None,
        outer_bevel: None,
        inner_bevel: None,
        out_of_plane: None,
    };
    (0..13).map(station).collect()
}

pub(super) fn answer(lesson: &Lesson, choice: &Choice) -> Result<Answer, Refused> {
    let Choice::Shavings(counts) = choice else { return Err(Refused::OtherKind) };
    let taken = counts.iter().map(|&n| f64::from(n) * SHAVING).collect();
    let mut answer = lesson.weigh(taken)?;
    answer.chosen = words::shavings(lesson, counts);
    answer.why = format!("{} {}", blame(lesson, &answer), levers(lesson)?);
    Ok(answer)
}

/// What was right or wrong about where the wood was taken.
fn blame(lesson: &Lesson, answer: &Answer) -> String {
    let bore = &lesson.before.bearings;
    let planed: Vec<usize> = (0..answer.taken.len()).filter(|&i| answer.taken[i] > 0.0).collect();
    let bump = bump(lesson);
    let name = &lesson.stations[bump];
    if planed.is_empty() {
        return format!("Nothing came off, so it hangs on {} as it did.", stations(lesson, bore));
    }
    if !planed.iter().any(|i| bore.contains(i)) {
        return format!(
            "No wood came off a bearing. The rib still hangs on {}, and where you planed the gap grew by just what \
             you took.",
            stations(lesson, bore)
        );
    }
    if answer.taken[bump] <= 0.0 {
        return format!("The bump is at station {name}, and it still carries the rib.");
    }
    match answer.verdict {
        Grade::Well => format!("The bump at station {name} carried the rib; you took it there."),
        Grade::Costly => format!("The bump at station {name} is gone, and so is wood that did no harm."),
        Grade::Better | Grade::Short => short(lesson, answer, bump),
    }
}

/// Wood came off the bump, and yet a gap is left.
fn short(lesson: &Lesson, answer: &Answer, bump: usize) -> String {
    let name = &lesson.stations[bump];
    let (at, gap) = answer.after.widest_gap();
    let widest = &lesson.stations[at];
    let opened = answer.taken[at] > 0.0 && gap > lesson.before.gap[at] + 0.01;
    match opened {
        true => format!(
            "The bump was at station {name}, but at station {widest} you took more than stood proud, and that opens \
             {} there.",
            lesson.say(gap)
        ),
        false => format!(
            "You took from the bump at station {name}, but what is left of it still carries: it bears at {}.",
            stations(lesson, &answer.after.bearings)
        ),
    }
}

/// The station of the bump: where the edge stands highest.
fn bump(lesson: &Lesson) -> usize {
    let edge = lesson.rib.edge();
    let most = (0..edge.len()).max_by(|&a, &b| edge[a].total_cmp(&edge[b]));
    most.unwrap_or(0)
}

/// What a tenth off each bearing of the untouched rib would have done.
fn levers(lesson: &Lesson) -> Result<String, Failure> {
    let tenth = 0.1;
    let said = lesson.rib.leverage(tenth)?.into_iter().map(|lever| {
        let name = &lesson.stations[lever.station];
        match lever.closes_most() {
            Some((far, closes)) => {
                format!("off station {name}, {} at {}", lesson.say(closes), lesson.stations[far])
            }
            None => format!("off station {name}, nothing"),
        }
    });
    let said: Vec<String> = said.collect();
    Ok(format!(
        "What {} off each bearing would close elsewhere at most: {}.",
        lesson.say(tenth),
        said.join("; ")
    ))
}
