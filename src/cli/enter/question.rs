//! One question of a round: its words, and what an answer to it means.

use crate::cli::ask::yes_or_no;
use crate::job::{self, Against, Entered, Figure, Job, Quantity, ReadingColumns};
use crate::record::{DraftEntry, Step, TypedRound};
use crate::show;
use crate::table;

/// What the questions are about.
pub(super) struct Matter<'a> {
    pub job: &'a Job,
    pub columns: &'a ReadingColumns,
    pub typed: &'a TypedRound,
}

pub(super) fn word(against: Against) -> &'static str {
    match against {
        Against::Line => "line",
        Against::Neighbour => "neighbour",
    }
}

impl Matter<'_> {
    /// The question; what an empty answer gives stands in square brackets.
    pub fn question(&self, step: Step) -> String {
        match step {
            Step::Against => format!("held against neighbour or line{}: ", bracket(self.usual_against())),
            Step::Rebent => {
                let usual = if self.typed.rebent == Some(true) { "y" } else { "n" };
                format!("bent again since round {} (y/n) [{usual}]: ", self.job.rounds.len())
            }
            Step::Read(station, quantity) => self.ask_reading(station, quantity),
        }
    }

    fn usual_against(&self) -> Option<&'static str> {
        self.typed.against.or(self.job.rounds.last().map(|r| r.against)).map(word)
    }

    fn ask_reading(&self, station: usize, quantity: Quantity) -> String {
        let (name, column) = (self.station(station), self.columns.name(quantity));
        let typed = self.typed.reading(station, quantity);
        let typed = typed.map(|told| told.map_or("none".to_owned(), |told| self.shown(quantity, told)));
        let before = self.job.rounds.last().map(|last| {
            let told = last.readings.get(station).and_then(|r| quantity.told(r));
            let told = told.map_or("not read".to_owned(), |told| self.shown(quantity, told));
            format!(" (round {}: {told})", self.job.rounds.len())
        });
        let bears = if self.typed.bears(station) { " bears" } else { "" };
        format!(
            "{}{bears}, {column}{}{}: ",
            show::clean(name),
            before.unwrap_or_default(),
            bracket(typed.as_deref())
        )
    }

    fn station(&self, station: usize) -> &str {
        self.job.stations.get(station).map_or("", |s| &s.name)
    }

    /// A reading as its column has it.
    fn shown(&self, quantity: Quantity, told: Figure) -> String {
        show::told(self.columns.told(quantity, told), self.job.unit)
    }

    /// What an answer means.
    ///
    /// # Errors
    ///
    /// A sentence saying what was expected.
    pub fn meaning(&self, step: Step, answer: &str) -> Result<DraftEntry, String> {
        match step {
            Step::Against => self.against(answer).map(DraftEntry::Against),
            Step::Rebent => self.rebent(answer).map(DraftEntry::Rebent),
            Step::Read(station, _) if matches!(answer, "b" | "bears") => {
                let bears = !self.typed.bears(station);
                Ok(DraftEntry::Bears { station: self.station(station).to_owned(), bears })
            }
            Step::Read(station, quantity) => {
                let mm = self.told(station, quantity, answer)?;
                Ok(DraftEntry::Reading { station: self.station(station).to_owned(), quantity, mm })
            }
        }
    }

    fn against(&self, answer: &str) -> Result<Against, String> {
        let answer = if answer.is_empty() { self.usual_against().unwrap_or_default() } else { answer };
        match answer.to_lowercase().as_str() {
            "neighbour" | "neighbor" | "n" => Ok(Against::Neighbour),
            "line" | "l" => Ok(Against::Line),
            _ => Err("Answer neighbour (n) or line (l): what the rib is held against.".into()),
        }
    }

    fn rebent(&self, answer: &str) -> Result<bool, String> {
        let usual = self.typed.rebent.unwrap_or(false);
        let answer = if answer.is_empty() { Some(usual) } else { yes_or_no(answer) };
        answer.ok_or_else(|| "Answer y if the rib was bent again, n if not.".into())
    }

    fn told(&self, station: usize, quantity: Quantity, answer: &str) -> Result<Option<Figure>, String> {
        match answer {
            "" => Ok(self.typed.reading(station, quantity).flatten()),
            "none" => Ok(None),
            text => {
                let (columns, figure) = match side(text).filter(|_| quantity == Quantity::Overlap) {
                    Some((gap, figure)) => (&ReadingColumns { gap, ..*self.columns }, figure),
                    None => (self.columns, text),
                };
                let (range, dashed) = (columns.range(quantity), columns.dashed(quantity));
                let told = table::typed_figure(figure, &range, self.job.unit, dashed)?;
                Ok(Some(columns.told(quantity, told)))
            }
        }
    }

    /// Why an answer should be given twice before it is believed.
    pub fn doubt(&self, step: Step, entry: &DraftEntry) -> Option<String> {
        match (step, entry) {
            (Step::Against, DraftEntry::Against(Against::Line)) => self.line_again(),
            (Step::Read(station, quantity), DraftEntry::Reading { mm: Some(mm), .. }) => {
                let against = self.typed.against?;
                let rebent = self.typed.rebent.unwrap_or(false);
                let entered = Entered { against, rebent, station, quantity, mm: mm.middle() };
                job::doubt(self.job, self.columns, &entered).or_else(|| self.short_of_line(&entered))
            }
            _ => None,
        }
    }

    fn line_again(&self) -> Option<String> {
        let neighbour = self.job.rounds.iter().position(|r| r.against == Against::Neighbour)? + 1;
        Some(format!("Round {neighbour} was read against the neighbour already, which is the surer reading."))
    }

    /// Wood past a line is what a line is drawn for: the first gap at one is asked about once.
    fn short_of_line(&self, entered: &Entered) -> Option<String> {
        let first = !self.typed.readings(self.job).iter().any(|r| r.overlap.is_some());
        let short = entered.quantity == Quantity::Overlap && entered.mm < 0.0;
        (first && short && self.columns.gap && entered.against == Against::Line).then(|| {
            let figure = show::exact(-entered.mm, self.job.unit);
            format!("{figure} is daylight at the line. Wood past the line is typed as over {figure}.")
        })
    }

    /// Signs, unit and words, said once.
    pub fn legend(&self) -> String {
        let joint = match self.columns.gap {
            true => {
                "Gap: daylight at the joint line; for wood past it write over before the number, or a minus."
            }
            false => {
                "Overlap: wood past the joint line; for daylight write gap before the number, or a minus."
            }
        };
        let standing = match (self.columns.lift, self.columns.seat) {
            (true, true) => " Lift and seat: how far outer and joint edge stand off the mold, never below 0.",
            (true, false) => " Lift: how far the outer edge stands off the mold, never below 0.",
            (false, true) => " Seat: how far the joint edge stands off the mold, never below 0.",
            (false, false) => "",
        };
        format!("{joint}{standing}")
    }
}

/// Which side of the joint line is meant by a word before the number, and the number: `over 0.4`
/// is wood past the line, `gap 0.4` daylight, whichever the table has.
fn side(text: &str) -> Option<(bool, &str)> {
    let (word, figure) = text.split_once(' ')?;
    let figure = figure.trim_start();
    match word.to_lowercase().as_str() {
        _ if figure.starts_with(['-', '+', '\u{2212}']) => None,
        "gap" => Some((true, figure)),
        "over" | "overlap" => Some((false, figure)),
        _ => None,
    }
}

/// What an empty answer gives.
fn bracket(text: Option<&str>) -> String {
    text.map(|text| format!(" [{text}]")).unwrap_or_default()
}
