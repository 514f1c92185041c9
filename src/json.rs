//! How results are written for programs: JSON, schema 1, every length in mm.
//!
//! Types whose fields are the answer serialise themselves; where an answer names
//! what a type only counts (stations, planes), `object!` puts it together. Numbers
//! that don't exist are `null`, never 0. Keys may be added later; those that are
//! there keep their meaning.

use serde::{Serialize, Serializer};

/// An object with its keys in the order in which they stand here.
macro_rules! object {
    ($($key:ident: $value:expr),* $(,)?) => {{
        // Each key names a type, too: that of its value.
        #[allow(non_camel_case_types, clippy::too_many_arguments)]
        fn object<$($key: serde::Serialize),*>($($key: $key),*) -> impl serde::Serialize {
            #[derive(serde::Serialize)]
            struct Object<$($key),*> { $($key: $key),* }
            Object { $($key),* }
        }
        object($($value),*)
    }};
}
pub(crate) use object;

/// A whole answer as pretty-printed JSON, without a newline at its end.
///
/// # Errors
///
/// Only if it cannot be written as JSON, which no valid one causes.
pub(crate) fn answer(fields: impl Serialize) -> serde_json::Result<String> {
    #[derive(Serialize)]
    struct Answer<T> {
        schema: u32,
        #[serde(flatten)]
        fields: T,
    }
    serde_json::to_string_pretty(&Answer { schema: 1, fields })
}

/// To 1e-4 mm, far below what a shaving can take; what is not a number is null.
pub(crate) fn mm(value: impl Into<Option<f64>>) -> Option<f64> {
    let value = value.into().filter(|v| v.is_finite())?;
    // Adding 0 turns a negative zero into a plain one.
    Some((value * 1e4).round() / 1e4 + 0.0)
}

/// Each to 1e-4 mm.
pub(crate) fn all_mm(values: &[f64]) -> Vec<Option<f64>> {
    values.iter().map(|v| mm(*v)).collect()
}

/// The same for a field: `#[serde(serialize_with = "as_all_mm")]`.
pub(crate) fn as_all_mm<S: Serializer>(values: &[f64], to: S) -> Result<S::Ok, S::Error> {
    all_mm(values).serialize(to)
}

/// [`mm`] for a field: `#[serde(serialize_with = "as_mm")]`.
pub(crate) fn as_mm<T, S>(value: &T, to: S) -> Result<S::Ok, S::Error>
where
    T: Copy + Into<Option<f64>>,
    S: Serializer,
{
    mm(*value).serialize(to)
}
