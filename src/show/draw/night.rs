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

#[cfg(test)]
mod tests {
    use super::super::style::LOOKS;
    use super::super::style::tests::{contrast, linear};
    use super::*;

    fn night(day: Colour) -> [f64; 3] {
        let found = NIGHT.iter().find(|(known, _)| *known == day);
        linear(found.expect("every colour has another one in the dark").1)
    }

    /// WCAG 2.1: text 4.5 (1.4.3), parts of graphics 3 (1.4.11).
    #[test]
    fn lines_and_words_stand_out_in_the_dark() {
        assert!(contrast(night(INK), night(PAPER)) > 7.0);
        for look in
            LOOKS.iter().filter(|l| !["guide", "section", "end-point", "after-point"].contains(&l.name))
        {
            for pen in [look.pen, look.hatch].into_iter().flatten() {
                let ratio = contrast(night(pen.colour), night(PAPER));
                assert!(ratio > 4.5 || pen.colour == PAPER, "{}: {ratio}", look.name);
            }
        }
    }

    #[test]
    fn what_lies_over_each_other_can_be_told_apart_in_the_dark() {
        for (a, b, least) in [
            (BROWN, AMBER, 3.0),
            (DEEP, AMBER, 3.0),
            (DEEP, PALE, 4.5),
            (INK, PALE, 4.5),
            (INK, TAN, 4.5),
            (AMBER, PAPER, 1.5),
            (PALE, PAPER, 1.2),
        ] {
            let ratio = contrast(night(a), night(b));
            assert!(ratio > least, "{a} on {b}: {ratio} < {least}");
        }
    }

    #[test]
    fn there_is_a_rule_for_every_colour() {
        let rules = rules(".picture");
        assert!(NIGHT.iter().all(|(day, _)| rules.contains(&format!("[fill=\"{day}\"]"))));
    }
}
