//! What every fact of the trade carries: where it is from and how far it is to be trusted.

use crate::named::named;

named! {
    /// How far a fact is to be trusted.
    pub enum Standing, "standing" {
        /// Read in the cited source.
        Published = "published",
        /// Worked out from definitions, formula masses or published values.
        Calculated = "calculated",
        /// Told alike by many hands in the trade; no single source was read for it.
        CommonPractice = "common practice",
        /// Believed to stand in the cited book, but not looked up again.
        FromMemory = "from memory",
        /// A starting value of our own, to be replaced by what swatches show.
        Judgement = "judgement",
    }
}

/// Where a fact is from: an id of `sources.toml`, and its standing.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Provenance {
    /// The id of the source in `sources.toml`.
    pub source: String,
    /// How far it is to be trusted.
    pub standing: Standing,
}
