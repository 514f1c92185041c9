//! How stiff the woods are that makers name.

use strsim::damerau_levenshtein;

/// What goes before many a wood's name.
const COLOURS: [&str; 2] = ["black", "yellow"];

/// A wood's stiffness at 12 % moisture content.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wood {
    /// Its name, in lower case.
    pub name: &'static str,
    /// Modulus of elasticity along the grain, MPa.
    pub elasticity: f64,
    /// Shear modulus over modulus of elasticity, the larger of the two along
    /// the grain; none where no published figure was at hand.
    pub shear: Option<f64>,
}

/// Moduli: USDA Forest Service, Wood Handbook (FPL-GTR-190) and technology
/// sheets (FPL-GTR-83), 12 % moisture content; black walnut read there, the
/// others read in secondary pages that quote the Handbook, as is the shear
/// ratio GLR/EL of sugar maple. A single rib may be a quarter off either way
/// (from memory).
const WOODS: [Wood; 4] = [
    Wood { name: "black walnut", elasticity: 11_600.0, shear: None },
    Wood { name: "sugar maple", elasticity: 12_600.0, shear: Some(0.111) },
    Wood { name: "yellow birch", elasticity: 13_900.0, shear: None },
    Wood { name: "black cherry", elasticity: 10_300.0, shear: None },
];

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_general_or_mistyped_name_finds_the_known_ones() {
        let found = ["maple", "Walnutt", "american black walnut", "cherry (old)", "birch"].map(Wood::like);
        let known = ["sugar maple", "black walnut", "black walnut", "black cherry", "yellow birch"];
        assert_eq!(found, known.map(|name| vec![name]));
        for unknown in ["", "ebony", "black ebony", "yew", "oak"] {
            assert!(Wood::like(unknown).is_empty(), "{unknown}");
        }
    }
}
