//! Ranges of every quantity: what is outside, and what was probably meant.

use ribwright::job::Unit;
use ribwright::job::ranges::{BEVEL, CONFIDENCE, LENGTH, LIFT, Measure, OVERCUT, OVERLAP, WIDTH};
use ribwright::table::Told;

#[test]
fn says_what_was_probably_meant() {
    let cases = [
        (LIFT, 400.0, Unit::Mm, "0.4 mm whose decimal mark was lost, or hundredths of a millimetre (4 mm)"),
        (LENGTH, 15.0, Unit::Mm, "centimetres (150 mm): write millimetres, or inches (381 mm): set units"),
        (BEVEL, 80.0, Unit::Mm, "then 10 degrees"),
        (CONFIDENCE, 90.0, Unit::Mm, "0.9, a share of 1"),
        (WIDTH, 30.0, Unit::Inch, "millimetres, while the folder's units are inches"),
        (LIFT, -0.2, Unit::Mm, "a lift is 0 where nothing stands off"),
        (WIDTH, 46097.0, Unit::Inch, "into a date"),
    ];
    for (range, value, unit, meant) in cases {
        assert!(
            !range.holds(if range.measure == Measure::Length { value * unit.mm() } else { value }),
            "{}",
            range.name
        );
        let advice = range.advice(value, unit, Told::In("joint.toml"));
        assert!(advice.contains(meant), "{}: {advice}", range.name);
    }
}

#[test]
fn open_ranges_leave_out_their_ends() {
    assert!(!CONFIDENCE.holds(0.5) && !CONFIDENCE.holds(1.0) && CONFIDENCE.holds(0.9));
    assert!(!LIFT.holds(f64::NAN) && !LIFT.holds(f64::INFINITY) && LIFT.holds(0.0));
}

#[test]
fn ranges_are_said_in_the_unit_of_the_file() {
    assert_eq!(LIFT.in_words(Unit::Mm), "a lift from 0 to 20 mm");
    assert_eq!(OVERLAP.in_words(Unit::Inch), "an overlap from -0.984 to 0.984 inch");
    assert_eq!(OVERCUT.in_words(Unit::Mm), "a chance of taking too much between 0 and 0.5");
}
