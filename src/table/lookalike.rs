//! Names that look the same and are not: letters composed otherwise, characters
//! that can't be seen.

use unicode_normalization::UnicodeNormalization;

/// What an eye makes of a name: accented letters in one form (NFC, Unicode Standard
/// Annex 15), blanks alike, nothing invisible.
pub(crate) fn seen(name: &str) -> String {
    let visible = name.chars().filter(|c| !is_invisible(*c));
    let alike: String = visible.map(|c| if c.is_whitespace() { ' ' } else { c }).nfc().collect();
    alike.trim().to_owned()
}

/// How two names differ that look the same, in words that fit behind 'but'; `None`
/// where they look different, or are the same.
pub(crate) fn difference(this: &str, other: &str) -> Option<String> {
    if this == other || seen(this) != seen(other) {
        return None;
    }
    let odd = |name: &str, in_other: &str| {
        name.chars().find(|c| (is_invisible(*c) || is_odd_blank(*c)) && !in_other.contains(*c))
    };
    Some(match (odd(this, other), odd(other, this)) {
        (Some(c), _) => format!("this one has {} in it", named(c)),
        (None, Some(c)) => format!("that one has {} in it", named(c)),
        (None, None) => "an accented letter in one is made of other characters than in the other".into(),
    })
}

fn named(c: char) -> String {
    let what = if is_invisible(c) { "an invisible character" } else { "a blank of another kind" };
    format!("{what} (U+{:04X})", u32::from(c))
}

fn is_odd_blank(c: char) -> bool {
    c.is_whitespace() && c != ' '
}

/// Characters without room or ink of their own: joiners, marks of direction, soft
/// hyphens, byte order marks, variants of a picture.
fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
}
