//! Full citations, and how much of each source was read.

use crate::fault::read;
use crate::{DataFault, Lore};

/// One source a fact may name.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// The id facts use.
    pub id: String,
    /// Full citation.
    pub citation: String,
    /// How much of it was read: pages, abstract, "from memory".
    pub seen: String,
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct SourcesFile {
    source: Vec<Source>,
}

/// Reads `sources.toml`.
pub(crate) fn try_read(text: &str) -> Result<Vec<Source>, DataFault> {
    read::<SourcesFile>("sources.toml", text).map(|file| file.source)
}

impl Lore {
    /// Every source, in the order of the file.
    #[must_use]
    pub fn sources(&self) -> &[Source] {
        &self.sources
    }

    /// The source with this id.
    #[must_use]
    pub fn source(&self, id: &str) -> Option<&Source> {
        self.sources.iter().find(|source| source.id == id)
    }
}
