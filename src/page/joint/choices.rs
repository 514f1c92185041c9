//! What is chosen: for the whole round what the rib is held against and whether it was
//! bent again; at a station whether it is felt to bear.

use serde::{Deserialize, Serialize};

use super::Joint;
use super::cells::Sent;
use crate::job::Against;
use crate::record::{DraftEntry, TypedRound};

/// What the page knows of its two choices, beside what they are now.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(default)]
pub(super) struct Choices {
    against: Chosen<Against>,
    rebent: Chosen<bool>,
}

impl Choices {
    /// Whether the maker changed either since it was kept last.
    pub fn changed(&self) -> bool {
        self.against.changed || self.rebent.changed
    }
}

/// What the page knows of one choice.
#[derive(Debug, Clone, Copy, Deserialize)]
struct Chosen<T> {
    /// Whether the maker changed it since it was kept last.
    #[serde(default)]
    changed: bool,
    /// What the page last heard that the draft holds for it.
    #[serde(default = "Option::default")]
    was: Option<T>,
}

impl<T> Default for Chosen<T> {
    fn default() -> Self {
        Chosen { changed: false, was: None }
    }
}

impl<T: PartialEq> Chosen<T> {
    /// Whether the page's choice was made in the knowledge of what is `there`.
    fn knows(&self, there: &T) -> bool {
        self.changed && self.was.as_ref() == Some(there)
    }

    /// Whether `now` is to be put into the draft.
    fn is_news(&self, now: &T, there: &Option<T>) -> bool {
        there.as_ref().is_none_or(|there| there != now && self.knows(there))
    }

    /// Whether someone else chose otherwise meanwhile.
    fn is_elsewhere(&self, now: &T, there: &Option<T>) -> bool {
        there.as_ref().is_some_and(|there| there != now && !self.knows(there))
    }
}

/// Whether the rib is felt to bear at a station, as the page has it.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Bearing {
    station: String,
    /// Whether it is.
    pub bears: bool,
    /// Whether the maker changed it since it was kept last.
    #[serde(default)]
    pub changed: bool,
}

impl Bearing {
    /// The station's index; `None` if the joint doesn't have it now.
    pub fn station(&self, joint: &Joint) -> Option<usize> {
        joint.job.stations.iter().position(|s| s.name == self.station)
    }
}

/// Entries for the draft: bearings that were tapped on or off here. The last tap counts.
pub(super) fn bearings(joint: &Joint, sent: &Sent, draft: &TypedRound) -> Vec<DraftEntry> {
    let tapped = sent.bears.iter().filter(|b| b.changed);
    let news = tapped.filter(|b| b.station(joint).is_some_and(|i| draft.bears(i) != b.bears));
    news.map(|b| DraftEntry::Bears { station: b.station.clone(), bears: b.bears }).collect()
}

/// Entries for the draft: what was chosen here, and what nobody chose yet.
pub(super) fn entries(sent: &Sent, draft: &TypedRound) -> Vec<DraftEntry> {
    let Choices { against, rebent } = sent.chosen;
    let against = against.is_news(&sent.against, &draft.against);
    let rebent = rebent.is_news(&sent.rebent, &draft.rebent);
    let against = against.then_some(DraftEntry::Against(sent.against));
    against.into_iter().chain(rebent.then_some(DraftEntry::Rebent(sent.rebent))).collect()
}

/// One choice as the draft has it, for the page's script.
#[derive(Debug, Serialize)]
pub(super) struct HeldChoice<T> {
    held: Option<T>,
    /// Whether someone else chose so, against what the page shows.
    elsewhere: bool,
}

/// Both choices, for the page's script.
#[derive(Debug, Serialize)]
pub(super) struct HeldChoices {
    against: HeldChoice<Against>,
    rebent: HeldChoice<bool>,
}

impl HeldChoices {
    /// What the draft has, beside what the page sent.
    pub fn new(sent: &Sent, draft: &TypedRound) -> Self {
        let Choices { against, rebent } = sent.chosen;
        let elsewhere = against.is_elsewhere(&sent.against, &draft.against);
        let against = HeldChoice { held: draft.against, elsewhere };
        let elsewhere = rebent.is_elsewhere(&sent.rebent, &draft.rebent);
        HeldChoices { against, rebent: HeldChoice { held: draft.rebent, elsewhere } }
    }

    /// What someone else chose, in words; `None` if nobody did.
    pub fn said(&self) -> Option<String> {
        let against = match self.against.held {
            Some(Against::Line) => "held against a line",
            _ => "held against the neighbour",
        };
        let rebent = if self.rebent.held == Some(true) { "bent again" } else { "not bent again" };
        let told = [(self.against.elsewhere, against), (self.rebent.elsewhere, rebent)];
        let told: Vec<&str> = told.into_iter().filter_map(|(is, words)| is.then_some(words)).collect();
        (!told.is_empty()).then(|| {
            format!("Another page or the terminal said meanwhile that the rib was {}.", told.join(" and "))
        })
    }
}
