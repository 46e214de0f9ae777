//! Pieces that must match, fixed pieces, and the colours of a costume brought to cloth together.

use serde::Serialize;

use super::ColourSeen;

/// A piece that is read and never dyed: a wig, shoes, painted foam, bought cloth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FixedSeen {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its colour as read.
    pub colour: ColourSeen,
    /// What the maker wants said of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Pieces that must match each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetSeen {
    /// Its name.
    pub name: String,
    /// Its members, in the order of the file.
    pub members: Vec<SetMember>,
    /// What passes between two members, ΔE00.
    pub passes: f64,
    /// From how near they are seen together.
    pub viewing: String,
    /// The lights they are compared under.
    pub lights: Vec<String>,
    /// Every pair, the worst first.
    pub pairs: Vec<PairSeen>,
    /// Largest difference when each piece is matched alone, ΔE00.
    pub largest_alone: f64,
    /// Largest difference when they are matched together, ΔE00.
    pub largest: f64,
    /// Nine times in ten the largest difference is below this, ΔE00: two dyeings scatter, once swatches have
    /// shown what the dyes do.
    pub within90: f64,
    /// The same before any swatch, dyed from what is known of the dyes today.
    pub first90: f64,
    /// Whether every piece keeps the recipe it has alone.
    pub as_alone: bool,
    /// Whether every pair is expected to pass under every light.
    pub holds: bool,
    /// The colour they meet at.
    pub common: ColourSeen,
    /// Id of the member that breaks the set, when it does not hold.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub breaks: Option<String>,
    /// What the largest difference would be without that member, ΔE00.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_without: Option<f64>,
    /// What would mend it, the best first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub mend: Vec<String>,
    /// The verdict in words.
    pub verdict: String,
}

/// A member of a set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetMember {
    /// Id of the piece or fixed piece.
    pub id: String,
    /// Its name.
    pub name: String,
    /// dyed, fixed or undecided (no bath yet: left out of the set).
    pub kind: &'static str,
    /// Its colour when matched alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alone: Option<ColourSeen>,
    /// Its colour when matched together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub together: Option<ColourSeen>,
    /// ΔE00 from its own target in daylight when matched together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from_target: Option<f64>,
    /// Screen colours under each light of the set, in their order.
    pub hexes: Vec<String>,
}

/// Two members beside each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairSeen {
    /// Id of one.
    pub a: String,
    /// Id of the other.
    pub b: String,
    /// ΔE00 under each light of the set, in their order.
    pub differences: Vec<f64>,
    /// The worst of them.
    pub worst: f64,
    /// The light of the worst.
    pub light: String,
    /// The worst when each is matched alone.
    pub alone: f64,
    /// Nine times in ten the worst is below this, ΔE00, once swatches have shown what the dyes do.
    pub within90: f64,
    /// The same before any swatch.
    pub first90: f64,
    /// Whether both lie in one bath, and so do not scatter apart.
    pub one_bath: bool,
    /// Lights under which the look of one of them is assumed: only its colour was given.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub assumed: Vec<String>,
}

/// The colours of the costume moved to where cloth can show them, each alone and all together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TogetherSeen {
    /// True when the recipes aim at the colours brought together.
    pub used: bool,
    /// The pieces with their colours.
    pub pieces: Vec<TogetherPiece>,
    /// Who is darker, warmer, louder than whom.
    pub relations: Vec<RelationSeen>,
    /// Relations kept when each is brought alone.
    pub kept_alone: usize,
    /// Relations kept when they are brought together.
    pub kept_together: usize,
    /// What it comes to, in words.
    pub verdict: String,
}

/// One piece's colour: as wanted, alone, together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TogetherPiece {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// As wanted.
    pub target: ColourSeen,
    /// The nearest it can be alone.
    pub alone: ColourSeen,
    /// Where it goes when they are brought together.
    pub together: ColourSeen,
}

/// One relation between two pieces.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RelationSeen {
    /// Id of the one that is more so.
    pub more: String,
    /// Id of the other.
    pub less: String,
    /// darker, warmer or louder.
    pub what: &'static str,
    /// Whether it holds when each is brought alone.
    pub alone: bool,
    /// Whether it holds when they are brought together.
    pub together: bool,
}
