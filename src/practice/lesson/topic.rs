//! What the lessons are about.

use serde::{Deserialize, Serialize};

/// What a lesson is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Topic {
    /// A bump and what it carries.
    Lever,
    /// Three slices and what each does to the lift.
    Slices,
    /// Joint edge and outer edge.
    BothEdges,
    /// Long against short soles.
    Soles,
    /// One round's readings against all rounds.
    Noise,
}

impl Topic {
    /// All of them, in the order in which they are best taken.
    pub const ALL: [Topic; 5] = [Topic::Lever, Topic::Slices, Topic::BothEdges, Topic::Soles, Topic::Noise];

    /// Its name on the command line and in files.
    pub fn name(self) -> &'static str {
        match self {
            Topic::Lever => "lever",
            Topic::Slices => "slices",
            Topic::BothEdges => "both-edges",
            Topic::Soles => "soles",
            Topic::Noise => "noise",
        }
    }

    /// The topic of a name.
    pub fn named(name: &str) -> Option<Topic> {
        Topic::ALL.into_iter().find(|t| t.name() == name)
    }

    /// Its title.
    pub fn title(self) -> &'static str {
        match self {
            Topic::Lever => "A bump is a lever",
            Topic::Slices => "What a slice does to the lift",
            Topic::BothEdges => "Two edges, not one",
            Topic::Soles => "Long sole, short sole",
            Topic::Noise => "One round, or all of them",
        }
    }

    /// What one learns, in half a sentence.
    pub fn about(self) -> &'static str {
        match self {
            Topic::Lever => "which stations carry the rib, and what a little off them does elsewhere",
            Topic::Slices => "the same everywhere, a taper, in proportion to the rise: what each brings down",
            Topic::BothEdges => "tight at the joint, proud along the other side",
            Topic::Soles => "which plane takes waves out, and which follows them",
            Topic::Noise => "following each reading, or all rounds together",
        }
    }
}
