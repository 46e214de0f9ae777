//! Depth of shade: which band an amount of dye falls in, and how much of it stays.
//!
//! Rows in `depths.toml`. Left out: what colour a depth looks.

use serde::Deserialize;
use units::{LiquorRatio, OnFibre, Share};

use crate::fault::{held, read};
use crate::named::named;
use crate::{DataFault, Lore, Procedure, Provenance, Standing};

named! {
    /// How deep a shade is.
    pub enum Band, "depth" {
        /// The palest.
        Tint = "tint",
        /// Pale.
        Pale = "pale",
        /// Medium.
        Medium = "medium",
        /// Deep.
        Deep = "deep",
        /// Navy and black.
        Black = "black",
    }
}

/// One shade's depth, for one procedure on some goods.
#[derive(Debug, Clone, PartialEq)]
pub struct Depth {
    /// The band it falls in.
    pub band: Band,
    /// Where in the band, 0 at its lower end to 1 at its upper, by the logarithm of the amount.
    pub place: f64,
    /// The most dye that still goes on; more is wasted.
    pub cap: OnFibre,
    /// Whether more was asked for than the cap, or than the deepest band of the class.
    pub beyond: bool,
    /// Share of the dye that stays on the fibre, between the pale and the deep figure.
    pub fixed: Share,
    /// Substantivity K of E = K / (K + L), L the liquor ratio.
    pub substantivity: LiquorRatio,
    /// What to know about depth in this class.
    pub note: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

impl Depth {
    /// Exhaustion at a liquor ratio, E = K / (K + L): the linear isotherm.
    #[must_use]
    pub fn exhaustion_at(&self, ratio: LiquorRatio) -> f64 {
        let k = self.substantivity.to_litres_per_kilogram();
        k / (k + ratio.to_litres_per_kilogram())
    }
}

/// One row of `depths.toml`.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    id: String,
    procedures: Vec<Procedure>,
    goods: Vec<String>,
    tint_percent_owf: [f64; 2],
    pale_percent_owf: [f64; 2],
    medium_percent_owf: [f64; 2],
    deep_percent_owf: [f64; 2],
    black_percent_owf: Option<[f64; 2]>,
    cap_percent_owf: f64,
    fixed_pale_percent: f64,
    fixed_deep_percent: f64,
    substantivity_l_per_kg: f64,
    note: String,
    source: String,
    standing: Standing,
}

impl Row {
    /// The bands with their limits, palest first.
    pub(crate) fn bands(&self) -> Vec<(Band, [f64; 2])> {
        let mut bands = vec![
            (Band::Tint, self.tint_percent_owf),
            (Band::Pale, self.pale_percent_owf),
            (Band::Medium, self.medium_percent_owf),
            (Band::Deep, self.deep_percent_owf),
        ];
        bands.extend(self.black_percent_owf.map(|black| (Band::Black, black)));
        bands
    }

    /// The most dye that still goes on, % owf.
    pub(crate) const fn cap_percent_owf(&self) -> f64 {
        self.cap_percent_owf
    }

    fn try_depth(&self, amount: OnFibre) -> Result<Depth, DataFault> {
        let asked = amount.to_percent();
        let bands = self.bands();
        let (band, [low, high]) = bands
            .iter()
            .find(|(_, [_, high])| asked <= *high)
            .or(bands.last())
            .copied()
            .unwrap_or((Band::Medium, self.medium_percent_owf));
        let most = bands.last().map_or(high, |(_, [_, top])| *top).min(self.cap_percent_owf);
        let (pale, deep) = (self.pale_percent_owf[0], self.deep_percent_owf[1]);
        let fixed = self.fixed_pale_percent
            + (self.fixed_deep_percent - self.fixed_pale_percent) * along(asked, pale, deep);
        Ok(Depth {
            band,
            place: along(asked, low, high),
            cap: held(FILE, &self.id, OnFibre::try_percent(self.cap_percent_owf))?,
            beyond: asked > most * (1.0 + 1e-9),
            fixed: held(FILE, &self.id, Share::try_percent(fixed))?,
            substantivity: held(
                FILE,
                &self.id,
                LiquorRatio::try_litres_per_kilogram(self.substantivity_l_per_kg),
            )?,
            note: self.note.clone(),
            provenance: Provenance { source: self.source.clone(), standing: self.standing },
        })
    }
}

const FILE: &str = "depths.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    depth: Vec<Row>,
}

/// Reads `depths.toml`; every band must rise and join the next.
pub(crate) fn try_read(text: &str) -> Result<Vec<Row>, DataFault> {
    let rows = read::<File>(FILE, text)?.depth;
    for row in &rows {
        let bands = row.bands();
        let joined = bands.windows(2).all(|pair| pair[0].1[1] == pair[1].1[0]);
        if !joined || bands.iter().any(|(_, [low, high])| !(*low > 0.0 && low < high)) {
            return Err(DataFault {
                file: FILE,
                what: format!("'{}': each band must rise from above 0 and meet the next", row.id),
            });
        }
        row.try_depth(held(FILE, &row.id, OnFibre::try_percent(row.cap_percent_owf))?)?;
    }
    Ok(rows)
}

/// Place of `x` between `low` and `high` by logarithm, held to 0–1.
fn along(x: f64, low: f64, high: f64) -> f64 {
    if x <= low { 0.0 } else { ((x / low).ln() / (high / low).ln()).min(1.0) }
}

impl Lore {
    /// How deep this much dye is in this procedure on these goods (the first leads); none when the
    /// procedure has no depth row. Bands are commercial dye, whose strength differs twofold.
    #[must_use]
    pub fn depth(&self, procedure: Procedure, goods: &[&str], amount: OnFibre) -> Option<Depth> {
        self.depth_row(procedure, goods).and_then(|row| row.try_depth(amount).ok())
    }

    pub(crate) fn depth_row(&self, procedure: Procedure, goods: &[&str]) -> Option<&Row> {
        let rows = || self.pot.depths.iter().filter(|row| row.procedures.contains(&procedure));
        let lead = goods.first().copied().unwrap_or_default();
        rows()
            .find(|row| self.dyes_like(&row.goods, lead))
            .or_else(|| rows().find(|row| row.goods.is_empty()))
    }

    /// Whether a list of material ids and matrix rows covers this material.
    pub(crate) fn dyes_like(&self, list: &[String], material: &str) -> bool {
        let has = |word: &str| list.iter().any(|it| it == word);
        has(material) || self.material(material).is_ok_and(|m| has(&m.id) || has(&m.dyes_as))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(procedure: Procedure, goods: &str, percent: f64) -> Option<(Band, bool)> {
        let amount = OnFibre::try_percent(percent).ok()?;
        Lore::shipped().depth(procedure, &[goods], amount).map(|d| (d.band, d.beyond))
    }

    #[test]
    fn bands_are_those_of_the_trade() {
        // Depth ranges as common practice gives them, from memory; strengths vary twofold.
        for (procedure, goods, percent, want, beyond) in [
            (Procedure::ReactiveCold, "cotton", 0.3, Band::Pale, false),
            (Procedure::ReactiveCold, "cotton", 1.0, Band::Medium, false),
            (Procedure::ReactiveCold, "cotton", 6.0, Band::Black, false),
            (Procedure::ReactiveCold, "cotton", 9.0, Band::Black, true),
            (Procedure::AcidLevelling, "wool", 3.5, Band::Deep, true),
            (Procedure::AcidMilling, "wool", 1.2, Band::Medium, false),
            (Procedure::AcidMilling, "nylon-66", 1.2, Band::Deep, false),
            (Procedure::Disperse, "polyester", 0.02, Band::Tint, false),
            (Procedure::Basic, "acrylic", 0.5, Band::Medium, false),
        ] {
            assert_eq!(
                band(procedure, goods, percent),
                Some((want, beyond)),
                "{procedure} {percent}"
            );
        }
    }

    #[test]
    fn less_of_the_dye_stays_the_deeper_the_shade() {
        for procedure in Procedure::ALL {
            let fixed = |percent: f64| {
                OnFibre::try_percent(percent)
                    .ok()
                    .and_then(|a| Lore::shipped().depth(*procedure, &[], a))
                    .map(|d| d.fixed.to_fraction())
            };
            assert!(fixed(0.1) >= fixed(3.0) && fixed(3.0) > Some(0.0), "{procedure}");
        }
    }

    #[test]
    fn exhaustion_follows_the_linear_isotherm() -> Result<(), units::NotAQuantity> {
        // E = K / (K + L): K 20, L 20 gives one half (definition).
        let Some(mut depth) =
            Lore::shipped().depth(Procedure::Direct, &["cotton"], OnFibre::try_percent(1.0)?)
        else {
            panic!("direct has no depth row");
        };
        depth.substantivity = LiquorRatio::try_litres_per_kilogram(20.0)?;
        for (ratio, want) in [(10.0, 2.0 / 3.0), (20.0, 0.5), (40.0, 1.0 / 3.0)] {
            let got = depth.exhaustion_at(LiquorRatio::try_litres_per_kilogram(ratio)?);
            assert!((got - want).abs() < 1e-12);
        }
        Ok(())
    }

    #[test]
    fn substantivity_is_the_middle_of_the_fixation_range_at_20_litres_a_kilogram() {
        // K = L E / (1 - E), the isotherm solved for K; the figures in the file are rounded.
        for row in &Lore::shipped().pot.depths {
            let middle = (row.fixed_pale_percent + row.fixed_deep_percent) / 200.0;
            let k = 20.0 * middle / (1.0 - middle);
            let off = row.substantivity_l_per_kg / k - 1.0;
            assert!(off.abs() < 0.03, "{}: {} against {k:.1}", row.id, row.substantivity_l_per_kg);
        }
    }
}
