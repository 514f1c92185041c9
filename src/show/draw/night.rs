//! The same pictures on a dark screen: each colour of the style has another one there.

use super::style::{AMBER, BROWN, Colour, DEEP, FAINT, INK, PALE, PAPER, PAST, STONE, TAN};

/// Each colour on paper, and what stands for it in the dark.
pub const NIGHT: [(Colour, Colour); 10] = [
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
];

/// Rules for a style sheet that hold inside `part` while the screen is dark.
pub fn rules(part: &str) -> String {
    let rule = |(day, night): &(Colour, Colour)| {
        format!("{part} [fill=\"{day}\"]{{fill:{night}}}{part} [stroke=\"{day}\"]{{stroke:{night}}}\n")
    };
    let rules: String = NIGHT.iter().map(rule).collect();
    format!("@media screen and (prefers-color-scheme: dark) {{\n{rules}}}\n")
}
