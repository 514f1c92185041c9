//! The same pictures on a dark screen: each colour of the style has another one there.

use super::style::{
    AMBER, BROWN, Colour, DEEP, FAINT, INK, PALE, PAPER, PAST, SHADES, STONE, TAN, UMBER, shade,
};

/// Each colour on paper, and what stands for it in the dark.
pub const NIGHT: [(Colour, Colour); 11] = [
    (PAPER, Colour(0x1d, 0x21, 0x27)),
    (INK, Colour(0xf1, 0xed, 0xe4)),
    (FAINT, Colour(0x3b, 0x41, 0x4b)),
    (PAST, Colour(0xb4, 0xb0, 0xa8)),
    (DEEP, Colour(0xa9, 0xca, 0xff)),
    (PALE, Colour(0x2c, 0x3d, 0x57)),
    (AMBER, Colour(0x8a, 0x58, 0x12)),
    (BROWN, Colour(0xff, 0xcf, 0x8a)),
    (STONE, Colour(0x27, 0x2a, 0x2e)),
    (TAN, Colour(0x57, 0x4a, 0x33)),
    (UMBER, Colour(0xa0, 0x86, 0x5c)),
];

/// Colours of bodies in space, whose faces are shaded.
const BODIES: [Colour; 4] = [PALE, STONE, TAN, UMBER];

/// Every colour of a picture with the one that stands for it in the dark, shades included.
pub fn all() -> Vec<(Colour, Colour)> {
    let bodies = NIGHT.iter().filter(|(day, _)| BODIES.contains(day));
    let shades = bodies.flat_map(|(day, night)| (1..SHADES).map(|k| (shade(*day, k), shade(*night, k))));
    NIGHT.iter().copied().chain(shades).collect()
}

/// Rules for a style sheet that hold inside `part` while the screen is dark.
pub fn rules(part: &str) -> String {
    let rule = |(day, night): &(Colour, Colour)| {
        format!("{part} [fill=\"{day}\"]{{fill:{night}}}{part} [stroke=\"{day}\"]{{stroke:{night}}}\n")
    };
    let rules: String = all().iter().map(rule).collect();
    format!("@media screen and (prefers-color-scheme: dark) {{\n{rules}}}\n")
}
