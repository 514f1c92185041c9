//! How stiff and strong the woods are that makers name, and how they move.

use strsim::damerau_levenshtein;

/// What goes before many a wood's name.
const COLOURS: [&str; 2] = ["black", "yellow"];

/// A wood at 12 % moisture content.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wood {
    /// Its name, in lower case.
    pub name: &'static str,
    /// Modulus of elasticity along the grain, MPa.
    pub elasticity: f64,
    /// Shear modulus over modulus of elasticity, along the grain and a radius of the tree.
    pub shear: f64,
    /// Modulus of rupture, MPa: the bending stress at which a dry stick breaks.
    pub rupture: f64,
    /// Change of a width by one per cent of moisture, as a share of it: along a
    /// radius of the tree, and along the rings.
    pub movement: [f64; 2],
}

/// Moduli: USDA Forest Service, Wood Handbook (FPL-GTR-190) and technology
/// sheets (FPL-GTR-83), 12 % moisture content; black walnut read there, the
/// others read in secondary pages that quote the Handbook, as is the shear
/// ratio GLR/EL of sugar maple (Table 5-1; the other three from memory). A single rib may be a quarter off either way
/// (from memory). Moduli of rupture: the same sources, the same way. Movement: Wood
/// Handbook, Table 13-5, valid from 6 to 14 % moisture content, read there.
const WOODS: [Wood; 4] = [
    wood("black walnut", 11_600.0, 0.085, 101.0, [0.00190, 0.00274]),
    wood("sugar maple", 12_600.0, 0.111, 109.0, [0.00165, 0.00353]),
    wood("yellow birch", 13_900.0, 0.074, 114.0, [0.00256, 0.00338]),
    wood("black cherry", 10_300.0, 0.147, 85.0, [0.00126, 0.00248]),
];

const fn wood(name: &'static str, elasticity: f64, shear: f64, rupture: f64, movement: [f64; 2]) -> Wood {
    Wood { name, elasticity, shear, rupture, movement }
}

/// What can't be told of a rib whose wood is not known.
pub const UNTOLD: &str =
    "the force that closes a gap, how sharply a spacer bends and what moisture does to widths";

impl Wood {
    /// The wood of a name, in whatever case it is written.
    pub fn named(name: &str) -> Option<Wood> {
        let name = name.trim().to_lowercase();
        WOODS.into_iter().find(|w| w.name == name)
    }

    /// Known names that share a word with this one, or nearly: `maple`, `walnutt`.
    pub fn like(name: &str) -> Vec<&'static str> {
        let name = name.to_lowercase();
        let words = || name.split(|c: char| !c.is_alphabetic()).filter(|w| w.len() > 3);
        // A slip in every fourth letter at most.
        let same = |a: &str, b: &str| damerau_levenshtein(a, b) <= b.len() / 4;
        let alike =
            |known: &&str| known.split(' ').any(|k| words().any(|w| same(w, k) && !COLOURS.contains(&k)));
        Wood::names().filter(alike).collect()
    }

    /// The names that are known.
    pub fn names() -> impl Iterator<Item = &'static str> {
        WOODS.iter().map(|w| w.name)
    }
}
