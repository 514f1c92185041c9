//! `joint.toml`: what the maker says about the joint, every key optional.

use toml::de::DeTable;

use super::names::SETTINGS;
use super::{Mold, Plane, ReadingErrors, Tolerance, ranges};
use crate::table::file::Raw;
use crate::table::suggest::nearest;
use crate::table::toml_file::{self, Entry, Form, Source};
use crate::table::{Problem, Range, Unit, Warning};

/// Everything that `joint.toml` may say.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Settings {
    pub title: Option<String>,
    pub unit: Unit,
    pub mold: Mold,
    pub wood: Option<String>,
    pub thickness: Option<f64>,
    pub spare: Option<f64>,
    pub reading: ReadingErrors,
    pub tolerance: Tolerance,
    /// As described; none described is none here.
    pub planes: Vec<Plane>,
}

const TOP: [&str; 9] =
    ["title", "units", "mold", "wood", "thickness", "spare", "reading", "tolerance", "planes"];
/// Keys that only `bowl.toml` has.
const BOWLS: [&str; 6] = ["ribs", "thinnest", "grain", "stations", "spacer", "moisture"];
/// Keys that only `joint.toml` has.
pub(crate) const JOINTS: [&str; 2] = ["spare", "planes"];
const READING: [&str; 4] = ["gap_sd", "line_sd", "lift_sd", "seat_sd"];
const TOLERANCE: [&str; 5] = ["gap", "lift", "confidence", "overcut", "force"];
const PLANE: [&str; 4] = ["sole", "width", "shaving", "shortest"];

/// No settings are larger, bytes.
const LARGEST: usize = 100_000;

const FORM: Form = Form { name: SETTINGS, such: "spare = 3.0", or: ", or delete it if it may be left out" };

/// What could be read, and the unit if it is known beyond doubt.
pub(crate) struct Outcome {
    /// The settings, defaults where something was wrong.
    pub settings: Settings,
    /// The unit of lengths in the whole folder; `None` if the file didn't tell it.
    pub unit: Option<Unit>,
    /// Whether the planes are known.
    pub planes_known: bool,
}

/// Reads `joint.toml`; a folder without it, or a single table, has the defaults.
pub(crate) fn read(raw: Option<&Raw>, problems: &mut Vec<Problem>) -> Outcome {
    let defaults = |unit| Outcome { settings: Settings::default(), unit, planes_known: unit.is_some() };
    let Some(raw) = raw else {
        return defaults(Some(Unit::Mm));
    };
    let before = problems.len();
    let read = open(raw, FORM, problems, |reader, table| (reader.top(table), reader.unit));
    let Some((settings, unit)) = read else {
        return defaults(None);
    };
    Outcome { settings, unit, planes_known: problems.len() == before }
}

/// Reads a settings file with `then`; `None` if it can't be made out at all.
pub(crate) fn open<T>(
    raw: &Raw,
    form: Form,
    problems: &mut Vec<Problem>,
    then: impl FnOnce(&mut Reader<'_>, &DeTable<'_>) -> T,
) -> Option<T> {
    if raw.bytes.len() > LARGEST {
        let next = format!("check that it is the right file{}", form.or);
        problems.push(Problem::new(&raw.file, "settings of at most 100 kB", next));
        return None;
    }
    let Some(text) = toml_file::text_of(&raw.bytes) else {
        let next = format!("write it anew with a plain text editor{}", form.or);
        problems.push(Problem::new(&raw.file, "plain text, but the file holds something else", next));
        return None;
    };
    let source = Source { form, file: &raw.file, text: &text };
    let (table, errors) = DeTable::parse_recoverable(&text);
    if !errors.is_empty() {
        let mut found: Vec<Problem> = errors.iter().map(|e| source.syntax(e)).collect();
        // One line may break more than one rule; the first says enough.
        found.dedup_by_key(|problem| problem.row);
        problems.extend(found);
        return None;
    }
    Some(then(&mut Reader { source, unit: None, problems }, table.get_ref()))
}

/// A settings file being read: its problems gather here.
pub(crate) struct Reader<'a> {
    /// The file's text.
    pub source: Source<'a>,
    /// The unit of lengths; `None` if the file didn't tell.
    pub unit: Option<Unit>,
    /// What was found wrong.
    pub problems: &'a mut Vec<Problem>,
}

impl Reader<'_> {
    fn top(&mut self, table: &DeTable<'_>) -> Settings {
        let entries = toml_file::entries(table);
        let unit = self.units(&entries);
        let mut settings = Settings { unit, ..Settings::default() };
        for entry in &entries {
            self.top_key(entry, &mut settings);
        }
        settings
    }

    /// The file's unit, noted for all its lengths.
    pub fn units(&mut self, entries: &[Entry<'_>]) -> Unit {
        let unit = entries.iter().find(|e| e.key == "units").map(|e| self.choice(e, &UNITS));
        self.unit = unit.unwrap_or(Some(Unit::Mm));
        self.unit.unwrap_or_default()
    }

    /// The kind of mold.
    pub fn mold(&mut self, entry: &Entry<'_>) -> Mold {
        self.choice(entry, &MOLDS).unwrap_or_default()
    }

    fn top_key(&mut self, entry: &Entry<'_>, to: &mut Settings) {
        match entry.key {
            "units" => {}
            "title" => to.title = self.named(entry, "the joint's title in quotes"),
            "wood" => to.wood = self.named(entry, "the wood's name in quotes"),
            "mold" => to.mold = self.mold(entry),
            "thickness" => to.thickness = self.number(entry, &ranges::THICKNESS),
            "spare" => to.spare = self.number(entry, &ranges::SPARE),
            "reading" => {
                self.section(entry, "[reading]", &READING, &TOP, |r, e| r.reading(e, &mut to.reading))
            }
            "tolerance" => {
                self.section(entry, "[tolerance]", &TOLERANCE, &TOP, |r, e| {
                    r.tolerance(e, &mut to.tolerance)
                });
            }
            "planes" => self.planes(entry, &mut to.planes),
            key if BOWLS.contains(&key) => {
                self.problems.push(self.source.of_another_file(entry, "a bowl", "bowl.toml"));
            }
            _ => self.problems.push(self.source.unknown(entry, "at the top", &TOP, &[])),
        }
    }

    fn reading(&mut self, entry: &Entry<'_>, to: &mut ReadingErrors) {
        let place = match entry.key {
            "gap_sd" => &mut to.gap,
            "line_sd" => &mut to.line,
            "lift_sd" => &mut to.lift,
            _ => &mut to.seat,
        };
        self.number_to(entry, &ranges::READING_SD, place);
    }

    fn tolerance(&mut self, entry: &Entry<'_>, to: &mut Tolerance) {
        match entry.key {
            "gap" => self.number_to(entry, &ranges::TOLERANCE, &mut to.gap),
            "lift" => self.number_to(entry, &ranges::TOLERANCE, &mut to.lift),
            "confidence" => self.number_to(entry, &ranges::CONFIDENCE, &mut to.confidence),
            "overcut" => self.number_to(entry, &ranges::OVERCUT, &mut to.overcut),
            _ => to.force = self.number(entry, &ranges::FORCE),
        }
    }

    fn planes(&mut self, entry: &Entry<'_>, to: &mut Vec<Plane>) {
        let Some(table) = entry.value.get_ref().as_table() else {
            let next = "head each plane with a line such as [planes.long]";
            self.problems.push(self.source.problem(entry, "planes by name", next));
            return;
        };
        for named in toml_file::entries(table) {
            let plain = named.key.trim() == named.key && !named.key.is_empty();
            if !plain || named.key.chars().any(char::is_control) {
                let next = "name the plane in one line without spaces around the name";
                self.problems.push(self.source.problem(&named, "a plane's name", next));
                continue;
            }
            let mut plane = Plane { name: named.key.to_string(), ..Plane::default() };
            let section = format!("[planes.{}]", named.key);
            self.section(&named, &section, &PLANE, &TOP, |r, e| r.plane(e, &mut plane));
            to.push(plane);
        }
    }

    fn plane(&mut self, entry: &Entry<'_>, to: &mut Plane) {
        let (range, place): (&Range, &mut f64) = match entry.key {
            "sole" => (&ranges::SOLE, &mut to.sole),
            "width" => (&ranges::SOLE_WIDTH, &mut to.width),
            "shaving" => (&ranges::SHAVING, &mut to.shaving),
            _ => (&ranges::SHORTEST, &mut to.shortest),
        };
        self.number_to(entry, range, place);
    }

    /// Calls `each` for every known key of a section and reports the others.
    pub fn section(
        &mut self,
        entry: &Entry<'_>,
        name: &str,
        known: &[&str],
        top: &[&str],
        mut each: impl FnMut(&mut Self, &Entry<'_>),
    ) {
        let Some(table) = entry.value.get_ref().as_table() else {
            let next = format!(
                "write a line {name} at the end of the file, and its keys below it: {}",
                known.join(", ")
            );
            self.problems.push(self.source.problem(entry, format!("a section {name}"), next));
            return;
        };
        for inner in toml_file::entries(table) {
            if known.contains(&inner.key) {
                each(self, &inner);
            } else {
                let here = format!("of {name}");
                self.problems.push(self.source.unknown(&inner, &here, known, top));
            }
        }
    }

    pub fn named(&mut self, entry: &Entry<'_>, expected: &str) -> Option<String> {
        self.noted(self.source.text(entry, expected).map(str::to_string))
    }

    pub fn number(&mut self, entry: &Entry<'_>, range: &Range) -> Option<f64> {
        self.noted(self.source.number(entry, range, self.unit))
    }

    pub fn number_to(&mut self, entry: &Entry<'_>, range: &Range, place: &mut f64) {
        if let Some(value) = self.number(entry, range) {
            *place = value;
        }
    }

    pub fn choice<T: Copy>(&mut self, entry: &Entry<'_>, choices: &[(&str, T)]) -> Option<T> {
        let quoted: Vec<String> = choices.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        let expected = quoted.join(" or ");
        let text = self.noted(self.source.text(entry, &expected))?;
        let found = choices.iter().find(|(name, _)| *name == text).map(|(_, value)| *value);
        if found.is_none() {
            let near = nearest(text, choices.iter().map(|(name, _)| *name));
            let next = match near {
                Some(near) => format!("write \"{near}\" if that was meant"),
                None if entry.key == "units" => format!("write {expected}, and all lengths in that unit"),
                None => format!("write {expected}"),
            };
            self.problems.push(self.source.problem(entry, expected, next));
        }
        found
    }

    pub fn noted<T>(&mut self, outcome: Result<T, Box<Problem>>) -> Option<T> {
        outcome.map_err(|problem| self.problems.push(*problem)).ok()
    }
}

const UNITS: [(&str, Unit); 2] = [("mm", Unit::Mm), ("inch", Unit::Inch)];
const MOLDS: [(&str, Mold); 2] = [("round", Mold::Round), ("faceted", Mold::Faceted)];

impl Settings {
    /// What the maker should add.
    pub fn warnings(&self, single: bool) -> Vec<Warning> {
        let place = if single {
            "in a joint.toml, in a folder together with the table's columns as \
            stations.csv and readings.csv"
        } else {
            "in joint.toml"
        };
        let spare = self.spare.is_none().then(|| {
            let text = format!("No spare width is given, so nothing bounds the slice. Write the most that may come off, such as spare = 3.0, {place}.");
            Warning::new("no-spare", text)
        });
        let plane = self.planes.is_empty().then(|| {
            let p = Plane::default();
            let text = format!("No plane is described; reckoned with a sole of {} by {} mm and shavings of {} mm. Describe yours under [planes.NAME] {place}.", p.sole, p.width, p.shaving);
            Warning::new("default-plane", text)
        });
        spare.into_iter().chain(plane).collect()
    }
}
