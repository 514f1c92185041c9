//! A TOML file as sections of keys, each with its line, for messages.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::Problem;
use super::cell::unit_marks;
use super::decode;
use super::file::Raw;
use super::number::{self, Reading};
use super::suggest::nearest;
use super::{Decimal, Measure, Range, Told, Unit};

/// What all files of one kind of settings have in common.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Form {
    /// The file's name.
    pub name: &'static str,
    /// A line as it may stand there.
    pub such: &'static str,
    /// What else may be done with a file that can't be read.
    pub or: &'static str,
}

/// The text of a TOML file and where its messages come from.
pub(crate) struct Source<'a> {
    /// What kind of settings it holds.
    pub form: Form,
    /// The file's name.
    pub file: &'a str,
    /// Its text.
    pub text: &'a str,
}

/// A key with its value.
pub(crate) struct Entry<'a> {
    /// The key.
    pub key: &'a str,
    /// Where the key begins in the text.
    pub at: usize,
    /// Its value.
    pub value: &'a Spanned<DeValue<'a>>,
}

/// The keys of one section, in the order of the file.
pub(crate) fn entries<'a>(table: &'a DeTable<'a>) -> Vec<Entry<'a>> {
    let entry = |(key, value): (&'a Spanned<std::borrow::Cow<'a, str>>, &'a Spanned<DeValue<'a>>)| Entry {
        key: key.get_ref().as_ref(),
        at: key.span().start,
        value,
    };
    let mut list: Vec<Entry<'a>> = table.iter().map(entry).collect();
    list.sort_by_key(|e| e.at);
    list
}

impl Source<'_> {
    fn line(&self, at: usize) -> usize {
        self.text.bytes().take(at).filter(|b| *b == b'\n').count() + 1
    }

    /// A problem at one key.
    pub fn problem(
        &self,
        entry: &Entry<'_>,
        expected: impl Into<String>,
        next: impl Into<String>,
    ) -> Problem {
        let found = self.text.get(entry.value.span()).unwrap_or_default();
        Problem::new(self.file, expected, next).row(self.line(entry.at)).column(entry.key).found(found)
    }

    /// A key that belongs into the other settings' file.
    pub fn of_another_file(&self, entry: &Entry<'_>, of: &str, to: &str) -> Problem {
        Problem::new(self.file, format!("no key of {of} here"), format!("move it into {to}, or delete it"))
            .row(self.line(entry.at))
            .column(entry.key)
    }

    /// A key that no section here has; `elsewhere` are keys of the top of the file.
    pub fn unknown(&self, entry: &Entry<'_>, section: &str, known: &[&str], elsewhere: &[&str]) -> Problem {
        let (expected, next) = match nearest(entry.key, known.iter().copied()) {
            Some(near) => (listing(section, known), format!("write '{near}' if that was meant")),
            None if elsewhere.contains(&entry.key) => {
                (listing(section, known), "move it above the first [section]".to_string())
            }
            None => (listing(section, known), "delete the key, or correct it".to_string()),
        };
        Problem::new(self.file, expected, next).row(self.line(entry.at)).column(entry.key)
    }

    /// What the TOML reader itself could not make out.
    pub fn syntax(&self, error: &toml::de::Error) -> Problem {
        let row = error.span().map(|span| self.line(span.start));
        let line = row.and_then(|n| self.text.lines().nth(n - 1)).unwrap_or_default().trim();
        let (next, why) = if decimal_comma(line) {
            ("write numbers with a decimal point here, such as 0.1", String::new())
        } else if number_with_unit(line) {
            ("write the number alone; the unit of all lengths is set by units", String::new())
        } else {
            let next = "correct the line; text stands in quotes, numbers don't, and each key comes once";
            (next, format!(" ({})", error.message().trim()))
        };
        let expected = format!("lines such as {} or [section]{why}", self.form.such);
        let problem = Problem::new(self.file, expected, next).found(line);
        match row {
            Some(row) => problem.row(row),
            None => problem,
        }
    }

    /// A text in quotes.
    pub fn text<'a>(&self, entry: &Entry<'a>, expected: &str) -> Result<&'a str, Box<Problem>> {
        match entry.value.get_ref() {
            DeValue::String(text) if is_one_line(text) => Ok(text.as_ref()),
            DeValue::String(_) => {
                let next = "shorten it, and write it in plain characters";
                Err(self
                    .problem(
                        entry,
                        format!("{expected}, at most {LONGEST_TEXT} characters on one line"),
                        next,
                    )
                    .into())
            }
            _ => Err(self.problem(entry, expected, "put the text in double quotes").into()),
        }
    }

    fn told(&self) -> Told {
        Told::In(self.form.name)
    }

    fn fraction(&self, text: &str, measure: Measure, unit: Option<Unit>) -> Option<f64> {
        let inch = measure == Measure::Length && unit == Some(Unit::Inch) && text.contains('/');
        let how = Reading {
            decimal: Decimal::Point,
            fractions: true,
            units: unit_marks(measure, unit),
            told: self.told(),
        };
        inch.then(|| number::parse(text, how).ok())?
    }

    /// A number in its range, in mm where it is a length; where lengths are in
    /// inches, a fraction in quotes too.
    pub fn number(&self, entry: &Entry<'_>, range: &Range, unit: Option<Unit>) -> Result<f64, Box<Problem>> {
        let shown = unit.unwrap_or_default();
        let raw = match entry.value.get_ref() {
            DeValue::Integer(n) if n.radix() == 10 => n.as_str().parse().ok(),
            DeValue::Float(x) => x.as_str().parse().ok(),
            DeValue::String(text) => self.fraction(text, range.measure, unit),
            _ => None,
        };
        let length = range.measure == Measure::Length;
        let Some(raw) = raw else {
            let next = match range.measure {
                Measure::Count => "write a plain whole number, without quotes",
                _ => "write a plain number with a decimal point, without quotes",
            };
            return Err(self.problem(entry, range.in_words(shown), next).into());
        };
        let value: f64 = raw * range.scale(shown) + 0.0;
        // Without a known unit a length can't be judged; anything else can.
        if range.holds(value) || (length && unit.is_none() && value.is_finite()) {
            return Ok(value);
        }
        let problem = self.problem(entry, range.in_words(shown), range.advice(raw, shown, self.told()));
        Err(problem.in_other_unit(range, raw, shown).into())
    }
}

/// The most characters of a text in a settings' file, such as the title.
pub const LONGEST_TEXT: usize = 200;

/// Nothing that would break a line or steer a terminal where it is shown.
fn is_one_line(text: &str) -> bool {
    text.chars().count() <= LONGEST_TEXT && !text.chars().any(char::is_control)
}

fn listing(section: &str, known: &[&str]) -> String {
    format!("one of the keys {section}: {}", known.join(", "))
}

/// Whether the line has a comma between two digits behind its equals sign.
fn decimal_comma(line: &str) -> bool {
    let value = line.split_once('=').map_or("", |(_, v)| v).as_bytes();
    value.windows(3).any(|w| w[0].is_ascii_digit() && w[1] == b',' && w[2].is_ascii_digit())
}

/// Whether a number stands behind the equals sign, and letters behind it.
fn number_with_unit(line: &str) -> bool {
    let value = line.split_once('=').map_or("", |(_, v)| v).trim();
    let rest = value.trim_start_matches(|c: char| c.is_ascii_digit() || ".-".contains(c));
    rest.len() < value.len() && rest.trim_start().starts_with(char::is_alphabetic)
}

/// The text of a settings file; any of the tables' encodings will do.
fn text_of(bytes: &[u8]) -> Option<String> {
    decode::decode(bytes).map(|(text, _)| text)
}

/// No settings are larger, bytes.
const LARGEST: usize = 100_000;

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
    let Some(text) = text_of(&raw.bytes) else {
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
    /// A text in quotes.
    pub fn named(&mut self, entry: &Entry<'_>, expected: &str) -> Option<String> {
        self.noted(self.source.text(entry, expected).map(str::to_string))
    }

    /// A number in its range.
    pub fn number(&mut self, entry: &Entry<'_>, range: &Range) -> Option<f64> {
        self.noted(self.source.number(entry, range, self.unit))
    }

    /// Which of these words stands there.
    pub fn choice(&mut self, entry: &Entry<'_>, words: &[&str]) -> Option<usize> {
        let expected = words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(" or ");
        let text = self.noted(self.source.text(entry, &expected))?;
        let found = words.iter().position(|w| *w == text);
        if found.is_none() {
            let next = match nearest(text, words.iter().copied()) {
                Some(near) => format!("write \"{near}\" if that was meant"),
                None if entry.key == "units" => format!("write {expected}, and all lengths in that unit"),
                None => format!("write {expected}"),
            };
            self.problems.push(self.source.problem(entry, expected, next));
        }
        found
    }

    /// A whole number in its range, said what of.
    pub fn whole(&mut self, entry: &Entry<'_>, range: &Range, what: &str) -> Option<usize> {
        let value = self.number(entry, range)?;
        if value.fract() != 0.0 {
            self.problems.push(self.source.problem(entry, what, "write a number without decimals"));
            return None;
        }
        Some(value as usize)
    }

    pub fn noted<T>(&mut self, outcome: Result<T, Box<Problem>>) -> Option<T> {
        outcome.map_err(|problem| self.problems.push(*problem)).ok()
    }
}
