//! A chart of the maker's own, or a card of dyed cloths with known values, out of a text file.
//!
//! The file is CGATS.17 / ISO 28178 or a table of spectra, as the room `colour` reads them; faults of the text come with
//! line and column. A patch with a spectrum is known; of one with a colour only, the likeliest cloth of that colour is
//! taken, and it says so. A column `STDEV_DE` says how far values may be off. Left out: how the patches lie in the picture.

use colour::{Bands, ClothPrior, MOST_READINGS, Spread, TextRefusal, read_file};

use super::FEWEST;

/// Patches of a chart or card, in the order of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartText {
    patches: Vec<TextPatch>,
    across: Option<usize>,
}

/// One patch as a file states it.
#[derive(Debug, Clone, PartialEq)]
pub struct TextPatch {
    /// Its name, or its number where it has none.
    pub name: String,
    /// What it reflects.
    pub reflectance: Bands,
    /// Only its colour is known: the reflectance is the likeliest of that colour.
    pub assumed: bool,
    /// How far its value may be off, root mean square ΔE00, where the file says so.
    pub spread: Option<f64>,
}

/// Why a file is no chart.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ChartTextRefusal {
    /// Faults of the text, each with its place.
    #[error("{}", spoken(.0))]
    Text(Vec<TextRefusal>),
    /// Too few patches or too many.
    #[error(
        "the file has {found} patches; {FEWEST} to {MOST_READINGS} are needed to learn camera and lamp: add patches, or \
         use a white alone"
    )]
    Count {
        /// How many there are.
        found: usize,
    },
    /// A patch whose values do not make a reflectance from 400 to 700 nm.
    #[error(
        "patch {patch}: {why}: give its spectrum from 400 to 700 nm, or its Lab for D65 and the 10° observer, which a \
         CGATS.17 file says with WEIGHTING_FUNCTION \"ILLUMINANT, D65\" and WEIGHTING_FUNCTION \"OBSERVER, 10 degree\""
    )]
    Patch {
        /// Its name, or its number.
        patch: String,
        /// What is the matter.
        why: String,
    },
    /// Two patches of one name.
    #[error("two patches are called {name}: give each a name of its own")]
    Twice {
        /// The name.
        name: String,
    },
}

fn spoken(faults: &[TextRefusal]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

impl ChartText {
    /// Reads a file. `name` is the file's, for what is said of it.
    ///
    /// # Errors
    /// [`ChartTextRefusal`], all faults of the text at once.
    pub fn try_read(
        bytes: &[u8],
        name: &str,
        prior: &ClothPrior,
    ) -> Result<Self, ChartTextRefusal> {
        let readings = read_file(bytes, name).map_err(ChartTextRefusal::Text)?;
        if readings.len() < FEWEST {
            return Err(ChartTextRefusal::Count { found: readings.len() });
        }
        let mut patches: Vec<TextPatch> = Vec::with_capacity(readings.len());
        for (n, reading) in readings.iter().enumerate() {
            let name = reading.called(&(n + 1).to_string()).to_owned();
            if patches.iter().any(|p| p.name == name) {
                return Err(ChartTextRefusal::Twice { name });
            }
            let refused = |why: colour::Refusal| ChartTextRefusal::Patch {
                patch: name.clone(),
                why: why.to_string(),
            };
            let (reflectance, assumed) = match reading.try_bands() {
                Some(bands) => (bands.map_err(refused)?, false),
                None => {
                    let lab = reading.try_lab().map_err(refused)?;
                    (prior.likely(lab).map_err(refused)?.bands, true)
                }
            };
            let spread = match reading.spread {
                Spread::Rms(rms) => Some(rms),
                _ => None,
            };
            patches.push(TextPatch { name, reflectance, assumed, spread });
        }
        Ok(Self { patches, across: across(bytes) })
    }

    /// The patches, in the order of the file.
    #[must_use]
    pub fn patches(&self) -> &[TextPatch] {
        &self.patches
    }
    /// Patches in a row, where the file says so: a line `PATCHES_ACROSS 8` in its head.
    #[must_use]
    pub const fn across(&self) -> Option<usize> {
        self.across
    }
}

fn across(bytes: &[u8]) -> Option<usize> {
    let text = std::str::from_utf8(bytes).ok()?;
    let told = text.lines().find_map(|line| line.trim().strip_prefix(ACROSS))?;
    told.trim().trim_matches('"').parse().ok()
}

/// The keyword in a file of our own.
const ACROSS: &str = "PATCHES_ACROSS";
