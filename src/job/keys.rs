//! A settings' key, declared once: its name, what stands there and in which range, and the
//! place that it becomes and is written from.

use std::cell::RefCell;
use std::collections::HashSet;

use serde::ser::{Error, SerializeMap};
use serde::{Serialize, Serializer};
use toml::de::{DeTable, DeValue};

use super::Plane;
use super::stations::{LONGEST_NAME, is_name};
use crate::table::lookalike::difference;
use crate::table::toml_file::{self, Entry, Reader};
use crate::table::{Measure, Range, Unit};

/// A number's place among the settings `T`: there in any case, or only if given.
pub(crate) enum Place<'a> {
    /// It has a default.
    Must(&'a mut f64),
    /// It may be missing.
    May(&'a mut Option<f64>),
}

/// What stands behind a key.
pub(crate) enum Value<T: 'static> {
    /// A text in quotes, said what of.
    Text(&'static str, fn(&mut T) -> &mut Option<String>),
    /// A number in its range.
    Number(Range, fn(&mut T) -> Place<'_>),
    /// A whole number in its range, said what of.
    Whole(Range, &'static str, fn(&mut T) -> &mut usize),
    /// The unit of all lengths in the file, which is read before anything else.
    Unit(fn(&mut T) -> &mut Unit),
    /// One of these words; which one it is, and how it is set.
    Choice(&'static [&'static str], fn(&T) -> Option<usize>, fn(&mut T, usize)),
    /// Lengths from small to large, each its own.
    Lengths(Range, fn(&mut T) -> &mut Vec<f64>),
    /// Names of stations.
    Names(fn(&mut T) -> &mut Vec<String>),
    /// Planes by the maker's names.
    Planes(&'static [Key<Plane>], fn(&mut T) -> &mut Vec<Plane>),
    /// Keys of a section, and whether anything is said there.
    Section(&'static [Key<T>], fn(&T) -> bool),
}

/// A key of the settings `T`.
pub(crate) struct Key<T: 'static> {
    /// Its name.
    pub name: &'static str,
    /// What stands behind it.
    pub value: Value<T>,
}

impl<T> Key<T> {
    /// A key with a number.
    pub const fn number(name: &'static str, range: Range, place: fn(&mut T) -> Place<'_>) -> Key<T> {
        Key { name, value: Value::Number(range, place) }
    }

    /// A section of which something is always said.
    pub const fn section(name: &'static str, keys: &'static [Key<T>]) -> Key<T> {
        Key { name, value: Value::Section(keys, |_| true) }
    }

    /// A key with a text.
    pub const fn text(
        name: &'static str,
        expected: &'static str,
        place: fn(&mut T) -> &mut Option<String>,
    ) -> Key<T> {
        Key { name, value: Value::Text(expected, place) }
    }
}

/// The names of keys.
pub(crate) fn names<T>(keys: &[Key<T>]) -> Vec<&'static str> {
    keys.iter().map(|k| k.name).collect()
}

/// The words for millimetres and inches.
const UNITS: [&str; 2] = ["mm", "inch"];

impl Reader<'_> {
    /// The file's unit, noted for all its lengths.
    pub fn units(&mut self, table: &DeTable<'_>) -> Unit {
        let entries = toml_file::entries(table);
        let told = entries.iter().find(|e| e.key == "units").map(|e| self.choice(e, &UNITS));
        let unit = |i: usize| if i == 0 { Unit::Mm } else { Unit::Inch };
        self.unit = told.map_or(Some(Unit::Mm), |told| told.map(unit));
        self.unit.unwrap_or_default()
    }

    /// Reads a table of keys into `to`; a key that is not among them is given to `other`.
    pub fn all<T>(
        &mut self,
        table: &DeTable<'_>,
        keys: &[Key<T>],
        top: &[&str],
        to: &mut T,
        other: &dyn Fn(&mut Self, &Entry<'_>),
    ) {
        for entry in &toml_file::entries(table) {
            match keys.iter().find(|k| k.name == entry.key) {
                Some(key) => self.one(entry, key, top, to),
                None => other(self, entry),
            }
        }
    }

    fn one<T>(&mut self, entry: &Entry<'_>, key: &Key<T>, top: &[&str], to: &mut T) {
        match &key.value {
            Value::Text(expected, place) => *place(to) = self.named(entry, expected),
            Value::Number(range, place) => {
                let value = self.number(entry, range);
                match place(to) {
                    Place::Must(place) => *place = value.unwrap_or(*place),
                    Place::May(place) => *place = value,
                }
            }
            Value::Whole(range, what, place) => {
                let place = place(to);
                *place = self.whole(entry, range, what).unwrap_or(*place);
            }
            Value::Unit(_) => {}
            Value::Choice(words, _, put) => {
                self.choice(entry, words).into_iter().for_each(|i| put(to, i));
            }
            Value::Lengths(range, place) => *place(to) = self.lengths(entry, range),
            Value::Names(place) => *place(to) = self.station_names(entry),
            Value::Planes(keys, place) => self.planes(entry, keys, top, place(to)),
            Value::Section(keys, _) => self.section(entry, &format!("[{}]", key.name), keys, top, to),
        }
    }
}

/// The parts of a file that need more than a key.
impl Reader<'_> {
    fn section<T>(&mut self, entry: &Entry<'_>, name: &str, keys: &[Key<T>], top: &[&str], to: &mut T) {
        let known = names(keys);
        let Some(table) = entry.value.get_ref().as_table() else {
            let next = format!(
                "write a line {name} at the end of the file, and its keys below it: {}",
                known.join(", ")
            );
            self.problems.push(self.source.problem(entry, format!("a section {name}"), next));
            return;
        };
        self.all(table, keys, top, to, &|reader, inner| {
            let here = format!("of {name}");
            reader.problems.push(reader.source.unknown(inner, &here, &known, top));
        });
    }

    fn planes(&mut self, entry: &Entry<'_>, keys: &[Key<Plane>], top: &[&str], to: &mut Vec<Plane>) {
        let Some(table) = entry.value.get_ref().as_table() else {
            let next = "head each plane with a line such as [planes.long]";
            self.problems.push(self.source.problem(entry, "planes by name", next));
            return;
        };
        let entries = toml_file::entries(table);
        for (i, named) in entries.iter().enumerate() {
            let twin = entries[..i].iter().find_map(|other| difference(named.key, other.key));
            if let Some(differ) = twin {
                let expected =
                    format!("a plane's name that looks different from an earlier one, but {differ}");
                self.problems.push(self.source.problem(named, expected, "rename one of the two planes"));
                continue;
            }
            let plain = named.key.trim() == named.key && !named.key.is_empty();
            if !plain || named.key.chars().any(char::is_control) {
                let next = "name the plane in one line without spaces around the name";
                self.problems.push(self.source.problem(named, "a plane's name", next));
                continue;
            }
            let mut plane = Plane { name: named.key.to_string(), ..Plane::default() };
            self.section(named, &format!("[planes.{}]", named.key), keys, top, &mut plane);
            to.push(plane);
        }
    }

    /// Lengths from small to large, mm.
    fn lengths(&mut self, entry: &Entry<'_>, range: &Range) -> Vec<f64> {
        let DeValue::Array(list) = entry.value.get_ref() else {
            let next = "write them in square brackets, from thin to thick, such as [0.05, 0.10, 0.15]";
            self.problems.push(self.source.problem(entry, format!("a list, each a {}", range.name), next));
            return Vec::new();
        };
        let each = |value| Entry { key: entry.key, at: entry.at, value };
        let lengths: Vec<f64> = list.iter().filter_map(|value| self.number(&each(value), range)).collect();
        if !lengths.is_sorted_by(|a, b| a < b) {
            let next = "write each once, from thin to thick";
            self.problems.push(self.source.problem(entry, "lengths that grow", next));
        }
        lengths
    }

    /// Names of stations, each its own.
    fn station_names(&mut self, entry: &Entry<'_>) -> Vec<String> {
        let names: Option<Vec<String>> = match entry.value.get_ref() {
            DeValue::Array(list) => list.iter().map(|v| v.get_ref().as_str().map(str::to_owned)).collect(),
            _ => None,
        };
        let own = |names: &Vec<String>| {
            let fit = |n: &String| n.trim() == n && is_name(n);
            names.iter().all(fit) && names.iter().collect::<HashSet<_>>().len() == names.len()
        };
        if let Some(names) = names.filter(own).filter(|names| !names.is_empty()) {
            return names;
        }
        let next = "write them in order from the neck end to the tail end, such as [\"1\", \"2\", \"3\"], or leave \
                    the key out";
        let expected =
            format!("names of stations in quotes, each once and of at most {LONGEST_NAME} characters");
        self.problems.push(self.source.problem(entry, expected, next));
        Vec::new()
    }
}

/// Settings as a table of their keys, for the TOML writer.
pub(crate) struct Written<'a, T: 'static> {
    /// The keys.
    pub keys: &'static [Key<T>],
    /// The settings, in a cell since a place is told by lending it out.
    pub of: &'a RefCell<T>,
    /// The unit of lengths.
    pub unit: Unit,
    /// Sections have their keys in the order of the alphabet.
    pub sorted: bool,
}

/// Six decimals: far below anything that can be read, and free of binary dust.
pub(crate) fn length(mm: f64, unit: Unit) -> f64 {
    (mm / unit.mm() * 1e6).round() / 1e6
}

impl<T> Written<'_, T> {
    fn entry<M: SerializeMap>(&self, map: &mut M, key: &Key<T>) -> Result<(), M::Error> {
        let mut of = self.of.try_borrow_mut().map_err(M::Error::custom)?;
        match &key.value {
            Value::Text(_, place) => match place(&mut *of) {
                Some(text) => map.serialize_entry(key.name, text),
                None => Ok(()),
            },
            Value::Number(range, place) => {
                let value = match place(&mut *of) {
                    Place::Must(value) => Some(*value),
                    Place::May(value) => *value,
                };
                let mm = range.measure == Measure::Length;
                let value = value.map(|v| if mm { length(v, self.unit) } else { v });
                value.map_or(Ok(()), |value| map.serialize_entry(key.name, &value))
            }
            Value::Whole(_, _, place) => map.serialize_entry(key.name, &*place(&mut *of)),
            Value::Unit(place) => {
                let word = UNITS[usize::from(*place(&mut *of) == Unit::Inch)];
                map.serialize_entry(key.name, word)
            }
            Value::Choice(words, get, _) => {
                get(&of).map_or(Ok(()), |i| map.serialize_entry(key.name, words[i]))
            }
            Value::Lengths(_, place) => match place(&mut *of).as_slice() {
                [] => Ok(()),
                lengths => {
                    let outside: Vec<f64> = lengths.iter().map(|mm| length(*mm, self.unit)).collect();
                    map.serialize_entry(key.name, &outside)
                }
            },
            Value::Names(place) => map.serialize_entry(key.name, &*place(&mut *of)),
            Value::Planes(keys, place) => match place(&mut *of).as_slice() {
                [] => Ok(()),
                planes => map.serialize_entry(key.name, &Planes { keys, of: planes, unit: self.unit }),
            },
            Value::Section(keys, said) => {
                if !said(&of) {
                    return Ok(());
                }
                drop(of);
                let Written { of, unit, sorted, .. } = *self;
                map.serialize_entry(key.name, &Written { keys, of, unit, sorted })
            }
        }
    }
}

impl<T> Serialize for Written<'_, T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let section = !self.keys.iter().any(|k| k.name == "units");
        let mut keys: Vec<&Key<T>> = self.keys.iter().collect();
        if self.sorted && section {
            keys.sort_by_key(|k| k.name);
        }
        let mut map = serializer.serialize_map(None)?;
        keys.into_iter().try_for_each(|key| self.entry(&mut map, key))?;
        map.end()
    }
}

/// Planes in the maker's order.
struct Planes<'a> {
    keys: &'static [Key<Plane>],
    of: &'a [Plane],
    unit: Unit,
}

impl Serialize for Planes<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for plane in self.of {
            let of = &RefCell::new(plane.clone());
            let written = Written { keys: self.keys, of, unit: self.unit, sorted: true };
            map.serialize_entry(&plane.name, &written)?;
        }
        map.end()
    }
}
