//! Every key of `joint.toml` and of `bowl.toml`, each declared once.

use super::bowl::{BowlSettings, Grain};
use super::keys::{Key, Place, Value};
use super::{Job, Mold, Plane, ranges};

const MOLDS: [Mold; 2] = [Mold::Round, Mold::Faceted];
const MOLD_WORDS: [&str; 2] = ["round", "faceted"];

/// The keys of `joint.toml`.
pub(crate) static JOINT: [Key<Job>; 9] = [
    Key::text("title", "the joint's title in quotes", |j| &mut j.title),
    Key { name: "units", value: Value::Unit(|j| &mut j.unit) },
    Key {
        name: "mold",
        value: Value::Choice(
            &MOLD_WORDS,
            |j| MOLDS.iter().position(|m| *m == j.mold),
            |j, i| j.mold = MOLDS[i],
        ),
    },
    Key::text("wood", "the wood's name in quotes", |j| &mut j.wood),
    Key::number("thickness", ranges::THICKNESS, |j| Place::May(&mut j.thickness)),
    Key::number("spare", ranges::SPARE, |j| Place::May(&mut j.spare)),
    Key::section("reading", &READING),
    Key::section("tolerance", &TOLERANCE),
    Key { name: "planes", value: Value::Planes(&PLANE, |j| &mut j.planes) },
];

static READING: [Key<Job>; 5] = [
    Key::number("gap_sd", ranges::READING_SD, |j| Place::Must(&mut j.reading.gap)),
    Key::number("line_sd", ranges::READING_SD, |j| Place::Must(&mut j.reading.line)),
    Key::number("lift_sd", ranges::READING_SD, |j| Place::Must(&mut j.reading.lift)),
    Key::number("seat_sd", ranges::READING_SD, |j| Place::Must(&mut j.reading.seat)),
    Key { name: "leaves", value: Value::Lengths(ranges::LEAF, |j| &mut j.leaves) },
];

static TOLERANCE: [Key<Job>; 5] = [
    Key::number("gap", ranges::TOLERANCE, |j| Place::Must(&mut j.tolerance.gap)),
    Key::number("lift", ranges::TOLERANCE, |j| Place::Must(&mut j.tolerance.lift)),
    Key::number("confidence", ranges::CONFIDENCE, |j| Place::Must(&mut j.tolerance.confidence)),
    Key::number("overcut", ranges::OVERCUT, |j| Place::Must(&mut j.tolerance.overcut)),
    Key::number("force", ranges::FORCE, |j| Place::May(&mut j.tolerance.force)),
];

static PLANE: [Key<Plane>; 4] = [
    Key::number("sole", ranges::SOLE, |p| Place::Must(&mut p.sole)),
    Key::number("width", ranges::SOLE_WIDTH, |p| Place::Must(&mut p.width)),
    Key::number("shaving", ranges::SHAVING, |p| Place::Must(&mut p.shaving)),
    Key::number("shortest", ranges::SHORTEST, |p| Place::Must(&mut p.shortest)),
];

const GRAINS: [Grain; 2] = [Grain::Radial, Grain::Tangential];

/// The keys of `bowl.toml`.
pub(crate) static BOWL: [Key<BowlSettings>; 14] = [
    Key::text("title", "the bowl's title in quotes", |b| &mut b.title),
    Key { name: "units", value: Value::Unit(|b| &mut b.unit) },
    Key {
        name: "mold",
        value: Value::Choice(
            &MOLD_WORDS,
            |b| MOLDS.iter().position(|m| *m == b.mold),
            |b, i| b.mold = MOLDS[i],
        ),
    },
    Key { name: "ribs", value: Value::Whole(ranges::RIBS, "a whole number of ribs", |b| &mut b.ribs) },
    Key::text("wood", "the wood's name in quotes", |b| &mut b.wood),
    Key::number("thickness", ranges::THICKNESS, |b| Place::May(&mut b.thickness)),
    Key::number("thinnest", ranges::THICKNESS, |b| Place::Must(&mut b.thinnest)),
    Key {
        name: "grain",
        value: Value::Choice(
            &["radial", "tangential"],
            |b| GRAINS.iter().position(|g| Some(*g) == b.grain),
            |b, i| b.grain = Some(GRAINS[i]),
        ),
    },
    Key { name: "stations", value: Value::Names(|b| &mut b.stations) },
    Key { name: "spacer", value: Value::Section(&SPACER, |b| b.spacer.is_some()) },
    Key::section("tolerance", &EVEN),
    Key { name: "moisture", value: Value::Section(&MOISTURE, |b| b.moisture != [None; 2]) },
    Key::section("reading", &MEASURED),
    Key { name: "planes", value: Value::Planes(&PLANE, |b| &mut b.planes) },
];

static SPACER: [Key<BowlSettings>; 2] = [
    Key::number("width", ranges::SPACER_WIDTH, |b| Place::Must(&mut b.spacer.get_or_insert_default().width)),
    Key::number("height", ranges::SPACER_HEIGHT, |b| {
        Place::Must(&mut b.spacer.get_or_insert_default().height)
    }),
];

static EVEN: [Key<BowlSettings>; 1] = [Key::number("width", ranges::EVEN, |b| Place::Must(&mut b.even))];

static MOISTURE: [Key<BowlSettings>; 2] = [
    Key::number("fitting", ranges::MOISTURE, |b| Place::May(&mut b.moisture[0])),
    Key::number("gluing", ranges::MOISTURE, |b| Place::May(&mut b.moisture[1])),
];

static MEASURED: [Key<BowlSettings>; 4] = [
    Key::number("girth_sd", ranges::READING_SD, |b| Place::Must(&mut b.errors.girth)),
    Key::number("width_sd", ranges::READING_SD, |b| Place::Must(&mut b.errors.width)),
    Key::number("compass_sd", ranges::READING_SD, |b| Place::Must(&mut b.errors.compass)),
    Key::number("edge_sd", ranges::READING_SD, |b| Place::Must(&mut b.errors.edge)),
];
