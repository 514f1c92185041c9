//! The fields of a round: what was typed into each, and what it means.

use serde::{Deserialize, Serialize};

use super::Joint;
use super::choices::{Bearing, Choices};
use super::words;
use crate::job::{self, Against, Entered, Figure, Job, Quantity, ReadingColumns, RoundNumber};
use crate::record::{DraftEntry, TypedRound};
use crate::show;
use crate::table;

/// A field as the page sends it.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Cell {
    pub station: String,
    pub quantity: Quantity,
    /// Whether its sign key says gap; of no meaning for lift and seat.
    #[serde(default)]
    pub gap: bool,
    pub text: String,
    /// Whether the maker said that a value in doubt is right.
    #[serde(default)]
    pub sure: bool,
    /// Whether the maker changed it since it was kept last.
    #[serde(default)]
    pub changed: bool,
    /// What the page last heard that the draft holds for it.
    #[serde(default)]
    pub was: String,
}

/// The round as the page has it.
#[derive(Debug, Clone, Deserialize)]
pub(in crate::page) struct Sent {
    /// The folder's version that the page was made of.
    pub version: String,
    /// The number of the round that is typed.
    pub round: RoundNumber,
    pub against: Against,
    pub rebent: bool,
    /// What the page knows of these two.
    #[serde(default)]
    pub(super) chosen: Choices,
    pub(super) cells: Vec<Cell>,
    #[serde(default)]
    pub(super) bears: Vec<Bearing>,
    /// Whether what changed is to be kept in the draft now.
    #[serde(default)]
    pub keep: bool,
}

/// What a field's text means.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Meaning {
    Empty,
    /// A reading, mm as [`job::Reading`] has it.
    Reading(Figure),
    /// A reading that should be looked at again, and why.
    Doubt(Figure, String),
    /// No reading, and what was expected.
    Wrong(String),
}

/// The same for the page's script.
#[derive(Debug, Clone, Serialize)]
pub(super) struct FieldState {
    pub state: &'static str,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub text: String,
    /// What is read, said back.
    pub said: Option<String>,
    /// What the sign key should say, where a sign was typed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<bool>,
}

impl Cell {
    /// A sign that was typed counts as the table's column has it, like at the prompt.
    fn signed(&self) -> bool {
        self.text.trim().starts_with(['-', '+', '\u{2212}'])
    }

    /// The station's index; `None` if the joint doesn't have it now.
    pub fn station(&self, joint: &Joint) -> Option<usize> {
        joint.job.stations.iter().position(|s| s.name == self.station)
    }

    /// The columns in the words of this field: a gap is called a gap.
    fn columns(&self, joint: &Joint) -> ReadingColumns {
        if self.signed() { joint.columns } else { ReadingColumns { gap: self.gap, ..joint.columns } }
    }

    /// Why a reading should be looked at again, unless the maker did.
    fn doubt(&self, joint: &Joint, entered: &Entered) -> Option<String> {
        let inside = entered.quantity == Quantity::Overlap && entered.against == Against::Neighbour;
        if inside && entered.mm > 0.0 {
            return Some(
                "Wood can't pass into the neighbour's wood. If it is daylight, change the key to gap.".into(),
            );
        }
        job::doubt(&joint.job, &self.columns(joint), entered)
    }

    fn told(&self, joint: &Joint) -> Result<Figure, String> {
        let columns = self.columns(joint);
        let (range, dashed) = (columns.range(self.quantity), columns.dashed(self.quantity));
        let told = table::typed_figure(&self.text, &range, joint.job.unit, dashed)?;
        Ok(columns.told(self.quantity, told))
    }

    /// What the text means in this round.
    pub fn meaning(&self, joint: &Joint, sent: &Sent) -> Meaning {
        if self.text.trim().is_empty() {
            return Meaning::Empty;
        }
        let Some(station) = self.station(joint) else {
            return Meaning::Wrong("The joint has no such station now.".into());
        };
        match self.told(joint) {
            Err(expected) => Meaning::Wrong(expected),
            Ok(told) => {
                let (quantity, against, rebent) = (self.quantity, sent.against, sent.rebent);
                let entered = Entered { against, rebent, station, quantity, mm: told.middle() };
                match self.doubt(joint, &entered) {
                    Some(why) if !self.sure => Meaning::Doubt(told, why),
                    _ => Meaning::Reading(told),
                }
            }
        }
    }

    /// The mark beside the field.
    pub fn state(&self, job: &Job, meaning: &Meaning) -> FieldState {
        let (state, text, told) = match meaning {
            Meaning::Empty => ("empty", String::new(), None),
            Meaning::Reading(told) => ("read", String::new(), Some(told)),
            Meaning::Doubt(told, why) => ("doubt", format!("{why} Look again."), Some(told)),
            Meaning::Wrong(expected) => ("wrong", expected.clone(), None),
        };
        let side = told.map(|told| told.middle()).filter(|mm| *mm != 0.0);
        let gap = side.filter(|_| self.quantity == Quantity::Overlap && self.signed()).map(|mm| mm < 0.0);
        let said = told.map(|told| words::said(job, self.quantity, *told));
        FieldState { state, text, said, gap }
    }

    /// What the draft is to keep of it.
    pub fn entry(&self, meaning: &Meaning) -> DraftEntry {
        let (station, quantity) = (self.station.clone(), self.quantity);
        let reading = |mm| DraftEntry::Reading { station: station.clone(), quantity, mm };
        match meaning {
            Meaning::Empty => reading(None),
            Meaning::Reading(told) => reading(Some(*told)),
            Meaning::Doubt(..) | Meaning::Wrong(_) => {
                DraftEntry::Unsettled { station: station.clone(), quantity, text: self.unsettled(meaning) }
            }
        }
    }

    /// What was typed, with the word for its side: the same whichever column the table has
    /// when it is read again.
    fn unsettled(&self, meaning: &Meaning) -> String {
        let text = self.text.trim();
        let (gap, text) = match meaning {
            // The ends of an interval keep their signs.
            Meaning::Doubt(Figure::Number(mm), _) => {
                (*mm < 0.0, text.trim_start_matches(['-', '+', '\u{2212}']).trim_start())
            }
            _ => (self.gap && !self.signed(), text),
        };
        let sign = if self.quantity == Quantity::Overlap && gap { "gap " } else { "" };
        format!("{sign}{text}")
    }
}

/// The marks beside all fields.
pub(super) fn states(joint: &Joint, sent: &Sent, meanings: &[Meaning]) -> Vec<FieldState> {
    sent.cells.iter().zip(meanings).map(|(cell, meaning)| cell.state(&joint.job, meaning)).collect()
}

/// A field as the draft holds it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Held {
    /// The text to stand in the field.
    pub text: String,
    /// What its sign key says; `None`: what is usual.
    pub gap: Option<bool>,
    /// Whether it is settled, so that no doubt is raised about it again.
    pub sure: bool,
    /// The same as a mark that changes with it.
    pub was: String,
    /// The same in words.
    pub said: String,
}

/// What the draft holds for a field.
pub(super) fn held(joint: &Joint, typed: &TypedRound, station: usize, quantity: Quantity) -> Held {
    if let Some(text) = typed.unsettled(station, quantity) {
        let (gap, plain) = text.strip_prefix("gap ").map_or((false, text), |plain| (true, plain));
        let (text, said) = (plain.to_owned(), show::clean(text));
        return Held { was: format!("?{said}"), text, gap: Some(gap), sure: false, said };
    }
    match typed.reading(station, quantity).flatten() {
        None => {
            Held { text: String::new(), gap: None, sure: false, was: String::new(), said: "nothing".into() }
        }
        Some(told) => Held {
            text: show::told(words::sided(told), joint.job.unit),
            gap: Some(told.middle()).filter(|mm| *mm != 0.0).map(|mm| mm < 0.0),
            sure: true,
            was: told.written(|mm| format!("{mm:.4}")),
            said: words::reading(&joint.job, quantity, told),
        },
    }
}
