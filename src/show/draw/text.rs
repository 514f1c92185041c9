//! Letters: the font that ships with the program, and how wide words are.
//!
//! No picture depends on the fonts of a machine. In PNG the letters are the
//! outlines of the embedded font. In SVG text stays text, so that it can be
//! searched and read aloud; every piece carries its width in the embedded
//! font as `textLength`, so that another font is squeezed into the same room
//! and nothing ever runs into its neighbour.

use std::sync::LazyLock;

use ab_glyph::{Font, FontRef, GlyphId, ScaleFont};

use crate::show::names;

/// The embedded font: its licence ships as LICENSE-OFL.
static REGULAR: LazyLock<Option<FontRef<'static>>> =
    LazyLock::new(|| FontRef::try_from_slice(notosans::REGULAR_TTF).ok());
static BOLD: LazyLock<Option<FontRef<'static>>> =
    LazyLock::new(|| FontRef::try_from_slice(notosans::BOLD_TTF).ok());

/// The font, plain or bold.
pub(super) fn font(bold: bool) -> Option<&'static FontRef<'static>> {
    if bold { BOLD.as_ref() } else { REGULAR.as_ref() }
}

/// The letters of a text with the distance of each from the text's start, in
/// ems, and where the text ends.
pub(super) fn set(text: &str, font: &FontRef<'_>) -> (Vec<(GlyphId, f64)>, f64) {
    let em = font.units_per_em().unwrap_or(1000.0);
    let font = font.as_scaled(font.height_unscaled());
    let mut letters: Vec<(GlyphId, f64)> = Vec::new();
    let mut at = 0.0;
    for letter in text.chars() {
        let id = font.glyph_id(letter);
        if let Some((before, _)) = letters.last() {
            at += f64::from(font.kern(*before, id) / em);
        }
        letters.push((id, at));
        at += f64::from(font.h_advance(id) / em);
    }
    (letters, at)
}

/// Width of a text whose em is `size` pixels.
pub(super) fn width(text: &str, size: f64, bold: bool) -> f64 {
    font(bold).map_or(0.0, |font| set(text, font).1 * size)
}

/// The names, each cut in its middle to at most `room` pixels.
pub(super) fn shortened(names: &[&str], size: f64, room: f64) -> Vec<String> {
    names::shortened(names, |name| width(name, size, false) <= room)
}

/// One text cut to at most `room` pixels.
pub(super) fn fitted(text: &str, size: f64, bold: bool, room: f64) -> String {
    let mut cut = names::shortened(&[text], |text| width(text, size, bold) <= room);
    cut.pop().unwrap_or_default()
}

/// A text in lines of at most `room` pixels; a word that is longer alone is cut in its middle.
pub(super) fn wrapped(text: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), size, bold) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(fitted(word, size, bold, room)),
        }
    }
    lines
}
