//! The pictures' colours: contrast by number, on paper and in the dark, in grey print and as seen
//! without the red or the green cones.

use std::collections::HashSet;

use ribwright::show::draw::night::{NIGHT, all, rules};
use ribwright::show::draw::style::*;

/// sRGB to linear light, and relative luminance: WCAG 2.1, W3C (2018),
/// definition "relative luminance".
fn linear(colour: Colour) -> [f64; 3] {
    [colour.0, colour.1, colour.2].map(|c| {
        let c = f64::from(c) / 255.0;
        if c <= 0.03928 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    })
}

fn luminance(rgb: [f64; 3]) -> f64 {
    0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2]
}

/// Contrast ratio, same source: (L1 + 0.05) / (L2 + 0.05), L1 the lighter.
fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a) + 0.05, luminance(b) + 0.05);
    (a / b).max(b / a)
}

/// Machado, Oliveira and Fernandes, "A physiologically-based model for
/// simulation of color vision deficiency", IEEE Transactions on
/// Visualization and Computer Graphics 15(6):1291-1298 (2009), severity 1,
/// on linear RGB. From memory; each row sums to 1, so greys stay.
const SIGHTS: [[[f64; 3]; 3]; 3] = [
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
];

fn seen(colour: Colour, sight: &[[f64; 3]; 3]) -> [f64; 3] {
    let rgb = linear(colour);
    sight.map(|row| (0..3).map(|i| row[i] * rgb[i]).sum::<f64>().clamp(0.0, 1.0))
}

#[test]
fn black_on_white_has_contrast_21() {
    let (black, white) = (linear(Colour(0, 0, 0)), linear(PAPER));
    assert!((contrast(black, white) - 21.0).abs() < 1e-9);
    // #777777 just misses 4.5 on white, #767676 just makes it: a case
    // widely given in guides to WCAG 1.4.3 (from memory).
    assert!(contrast(linear(Colour(0x77, 0x77, 0x77)), white) < 4.5);
    assert!(contrast(linear(Colour(0x76, 0x76, 0x76)), white) > 4.5);
}

#[test]
fn simulated_sight_leaves_greys_alone() {
    for sight in SIGHTS.iter().flatten() {
        assert!((sight.iter().sum::<f64>() - 1.0).abs() < 2e-6);
    }
}

/// WCAG 2.1: text 4.5 (1.4.3; 7 for 1.4.6), parts of graphics 3 (1.4.11).
#[test]
fn every_line_that_means_something_stands_out_from_the_paper() {
    for sight in &SIGHTS {
        assert!(contrast(seen(INK, sight), seen(PAPER, sight)) > 7.0);
        for look in LOOKS.iter().filter(|l| !FAINT_ON_PURPOSE.contains(l)) {
            for pen in [look.pen, look.hatch].into_iter().flatten() {
                let ratio = contrast(seen(pen.colour, sight), seen(PAPER, sight));
                assert!(ratio > 4.5, "{}: {ratio}", look.name);
            }
        }
    }
}

/// Lines that only guide the eye, and rims that part a dot from what it lies on.
const FAINT_ON_PURPOSE: [Look; 3] = [GUIDE, END_POINT, AFTER_POINT];

#[test]
fn what_lies_over_each_other_can_be_told_apart() {
    // Hatching on its fill; the curve over bars and band; band beside bar;
    // the edge over what was taken.
    let pairs = [
        (BROWN, AMBER, 3.0),
        (DEEP, AMBER, 3.0),
        (DEEP, PALE, 4.5),
        (INK, PALE, 4.5),
        (AMBER, PALE, 1.3),
        (PAST, AMBER, 2.0),
        (AMBER, PAPER, 1.5),
        (PALE, PAPER, 1.2),
        // The ribs on the mold, their outlines, the grain, gaps and lifts.
        (INK, TAN, 7.0),
        (PAST, TAN, 3.0),
        (DEEP, STONE, 7.0),
        (PAST, STONE, 4.5),
        (BROWN, TAN, 4.5),
        (BROWN, PALE, 4.5),
        (BROWN, STONE, 4.5),
        (INK, AMBER, 4.5),
        (TAN, STONE, 1.2),
    ];
    for sight in &SIGHTS {
        for (a, b, least) in pairs {
            let ratio = contrast(seen(a, sight), seen(b, sight));
            assert!(ratio > least, "{a} on {b}: {ratio} < {least}");
        }
    }
}

/// What is left of a look without any colour.
fn colourless(look: &Look) -> String {
    let pen = |pen: Option<Pen>| pen.map(|p| (p.width.to_bits(), p.dash.map(|d| d[0] as u32)));
    format!("{} {:?} {:?}", look.fill.is_some(), pen(look.pen), pen(look.hatch))
}

#[test]
fn meaning_never_rests_on_colour_alone() {
    let together: [&[Look]; 5] = [
        &[END, END_SD, END_BAND, NOW, MISSING],
        &[STROKE, CHECK, TAKEN, BEFORE, AFTER, TARGET],
        &[BEFORE, AFTER, TOLERANCE, LIMIT, READ, BORE],
        // Bodies in space: their lines tell them apart, and words name them.
        &[NEIGHBOUR, GRAIN, JOINT_LINE, RIB_OUTER, RIB_EDGE, FORMER, GAP, LIFT, TAKEN_GRAIN],
        &[READ, AFTER, LIMIT, TOLERANCE, WOOD, MOST],
    ];
    for looks in together {
        let forms: HashSet<String> = looks.iter().map(colourless).collect();
        assert_eq!(forms.len(), looks.len());
    }
}

fn night(day: Colour) -> [f64; 3] {
    let found = NIGHT.iter().find(|(known, _)| *known == day);
    linear(found.expect("every colour has another one in the dark").1)
}

/// WCAG 2.1: text 4.5 (1.4.3), parts of graphics 3 (1.4.11).
#[test]
fn lines_and_words_stand_out_in_the_dark() {
    assert!(contrast(night(INK), night(PAPER)) > 7.0);
    for look in LOOKS.iter().filter(|l| !["guide", "end-point", "after-point"].contains(&l.name)) {
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
    assert!(all().len() > NIGHT.len());
    assert!(all().iter().all(|(day, _)| rules.contains(&format!("[fill=\"{day}\"]"))));
}
