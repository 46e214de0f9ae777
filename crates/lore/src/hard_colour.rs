//! Colours that go wrong more often than others: black, ivory, brightened white, skin, sheers.
//!
//! Rows in `hard_colours.toml`. Left out: how far off they are, which is worked out in `dyeing`.

use serde::Deserialize;

use crate::fault::read;
use crate::named::named;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

named! {
    /// A kind of colour that is hard.
    pub enum HardColour, "hard colour" {
        /// Black that must stay black.
        Black = "black",
        /// Ivory, cream, off-white.
        Ivory = "ivory",
        /// Any pale colour on cloth with optical brightener.
        Brightened = "brightened",
        /// The wearer's skin.
        Skin = "skin",
        /// A sheer over a backing.
        Sheer = "sheer",
    }
}

/// One piece of advice about a hard colour.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HardAdvice {
    hard: HardColour,
    #[serde(default)]
    procedures: Vec<Procedure>,
    #[serde(default)]
    goods: Vec<String>,
    /// What to do.
    pub says: String,
    source: String,
    standing: Standing,
}

impl HardAdvice {
    /// The colour it is about.
    #[must_use]
    pub const fn hard(&self) -> HardColour {
        self.hard
    }

    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    advice: Vec<HardAdvice>,
}

/// Reads `hard_colours.toml`.
pub(crate) fn try_read(text: &str) -> Result<Vec<HardAdvice>, DataFault> {
    read::<File>("hard_colours.toml", text).map(|file| file.advice)
}

impl Lore {
    /// What helps with a hard colour on these goods by this procedure, the rows for just these goods
    /// and this procedure first.
    #[must_use]
    pub fn hard_colour_advice(
        &self,
        hard: HardColour,
        procedure: Option<Procedure>,
        goods: &[&str],
    ) -> Vec<&HardAdvice> {
        let of = |row: &&HardAdvice| {
            row.hard == hard
                && (row.procedures.is_empty()
                    || procedure.is_some_and(|p| row.procedures.contains(&p)))
                && (row.goods.is_empty() || goods.iter().any(|id| self.dyes_like(&row.goods, id)))
        };
        let mut rows: Vec<&HardAdvice> = self.hard_colours.iter().filter(of).collect();
        rows.sort_by_key(|row| {
            u8::from(row.procedures.is_empty()) + u8::from(row.goods.is_empty())
        });
        rows
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn says(hard: HardColour, procedure: Procedure, goods: &[&str]) -> String {
        let rows = Lore::shipped().hard_colour_advice(hard, Some(procedure), goods);
        rows.iter().map(|row| row.says.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn every_hard_colour_has_advice_and_every_row_names_goods_that_are_there() {
        for hard in HardColour::ALL {
            assert!(!Lore::shipped().hard_colour_advice(*hard, None, &[]).is_empty(), "{hard}");
        }
        for row in &Lore::shipped().hard_colours {
            for id in &row.goods {
                assert!(Lore::shipped().material(id).is_ok(), "{id}");
            }
        }
    }

    #[test]
    fn advice_is_for_the_goods_and_the_bath_at_hand() {
        let nylon = says(HardColour::Black, Procedure::AcidMilling, &["nylon-6", "elastane"]);
        assert!(nylon.starts_with("Nylon fills up"), "{nylon}");
        let cotton = says(HardColour::Black, Procedure::ReactiveCold, &["cotton"]);
        assert!(cotton.contains("soap two to four times") && !cotton.contains("Nylon"), "{cotton}");
        let banner = says(HardColour::Black, Procedure::Disperse, &["polyester"]);
        assert!(banner.contains("No black on polyester") && banner.contains("child"), "{banner}");
        let tights = says(HardColour::Skin, Procedure::AcidLevelling, &["nylon-66"]);
        assert!(tights.contains("Stretched cloth is lighter") && tights.contains("barré"));
    }
}
