//! What only some pieces have: a sheer over its backing, a black, a brightened cloth, a blend, friends
//! who dye the same, cloth kept for the repair.

use serde::Serialize;

use super::ColourSeen;

/// A sheer over its backing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OverSeen {
    /// Share of the light that meets the yarn, %.
    pub cover_pct: f64,
    /// The backing.
    pub backing: ColourSeen,
    /// What the cloth itself must be, off the backing.
    pub cloth: ColourSeen,
    /// What it shows over its backing.
    pub shows: ColourSeen,
    /// ΔE00 between that and the target, daylight.
    pub difference: f64,
    /// What to know, in words.
    pub words: String,
}

/// A surface that no flat chip can show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SurfaceSeen {
    /// pile, satin or sheer.
    pub kind: &'static str,
    /// How it looks, and how to judge it.
    pub words: String,
}

/// How black a black is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlackSeen {
    /// Whether it stays black under every light.
    pub holds: bool,
    /// L* where it is lightest.
    pub lightness: f64,
    /// C* where it is most coloured.
    pub cast: f64,
    /// The light of that cast.
    pub light: String,
    /// The verdict in words.
    pub words: String,
}

/// Cloth with an optical brightener.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BrightenedSeen {
    /// ΔE00 between the look with and without ultraviolet light, undyed.
    pub undyed: f64,
    /// The same for the piece as dyed.
    pub dyed: f64,
    /// What it means and what to do.
    pub words: String,
}

/// One way with a blend, shown as it would look.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BlendWaySeen {
    /// one bath, two baths or heather.
    pub way: &'static str,
    /// True for the way the sheets are made for.
    pub chosen: bool,
    /// The procedures, in their order.
    pub procedures: Vec<String>,
    /// The cloth as a whole.
    pub looks: ColourSeen,
    /// Fibre by fibre.
    pub fibres: Vec<FibreLook>,
    /// ΔE00 between its fibres.
    pub contrast: f64,
    /// ΔE00 from the target.
    pub difference: f64,
    /// Why so, and what can go wrong.
    pub words: String,
}

/// How one fibre of a blend would look.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FibreLook {
    /// Material id.
    pub fibre: String,
    /// Its colour.
    pub colour: ColourSeen,
}

/// Friends who dye the same piece from one stock.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FriendsSeen {
    /// Who.
    pub names: Vec<String>,
    /// Stocks made once for all.
    pub stocks: Vec<FriendStock>,
    /// 90 % of pairs of friends' pieces within this, ΔE00, from one stock.
    pub apart90: f64,
    /// The same when each makes up a stock of their own.
    pub apart90_own: f64,
    /// How to go about it.
    pub words: Vec<String>,
}

/// One stock for all.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FriendStock {
    /// Of which dye.
    pub dye: String,
    /// Strength.
    pub stock_pct: f64,
    /// Dye to weigh, once.
    pub grams: f64,
    /// Made up to.
    pub make_ml: f64,
    /// Each takes.
    pub each_ml: f64,
}

/// What is kept for the repair a year later.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpareSeen {
    /// Weight that goes into the first bath with the piece.
    pub grams: f64,
    /// What it is and what to do with it.
    pub words: String,
}
