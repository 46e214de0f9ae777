//! What each fibre and made-up part bears: the auditor's own copy of the limits (trade.md A1, A2,
//! H1; rules 1, 6, 7, 8 of M). One row per material; an id without a row is not known.
//!
//! Left out: what a material looks like, what it weighs, how it dyes (that is `classes`).

/// How much alkali (carbonate or hydroxide, or a bath above pH 9) a fibre bears; rule 7.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Alkali {
    /// Never.
    Never,
    /// Silk: only cold, weak and short.
    ColdWeakShort,
    /// Only up to this temperature, °C (elastane, polyester; A1's hot pH window ends below 9).
    Below(u8),
    /// Bears the usual dyebath.
    Bears,
}

/// The family a fibre dyes with: a row of the matrix.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Family {
    Cotton,
    Linen,
    Viscose,
    Lyocell,
    Wool,
    Silk,
    Feather,
    Hide,
    Nylon,
    Polyester,
    CationicPolyester,
    Acrylic,
    Modacrylic,
    Acetate,
    Triacetate,
    Elastane,
    Inert,
    Aramid,
    Pla,
}

/// One material.
pub(crate) struct Material {
    pub(crate) id: &'static str,
    pub(crate) family: Family,
    /// Highest wet temperature, °C.
    pub(crate) most_c: f64,
    pub(crate) alkali: Alkali,
    /// Whether hypochlorite may touch it at all.
    pub(crate) bears_bleach: bool,
    /// Whether a reducing bath may touch it.
    pub(crate) bears_reducer: bool,
    /// Felts: no shock, no rubbing (rule 9).
    pub(crate) felts: bool,
}

use Alkali::{Bears, Below, ColdWeakShort, Never};
use Family as F;

/// One row: id, family, Tmax wet (A1), alkali (M7, A1 pH window), hypochlorite, reducing strip, felts.
const fn row(
    id: &'static str,
    family: Family,
    most_c: f64,
    alkali: Alkali,
    bears: (bool, bool),
    felts: bool,
) -> Material {
    Material { id, family, most_c, alkali, bears_bleach: bears.0, bears_reducer: bears.1, felts }
}

const YES: bool = true;
const NO: bool = false;

/// Every material the auditor knows. Figures: A1; where A1 gives a range, its lower end.
pub(crate) const MATERIALS: &[Material] = &[
    row("cotton", F::Cotton, 100.0, Bears, (YES, YES), NO),
    row("mercerised-cotton", F::Cotton, 100.0, Bears, (YES, YES), NO),
    row("ramie", F::Cotton, 100.0, Bears, (YES, YES), NO),
    row("linen", F::Linen, 100.0, Bears, (YES, YES), NO),
    row("hemp", F::Linen, 100.0, Bears, (YES, YES), NO),
    row("jute", F::Linen, 100.0, Bears, (YES, YES), NO),
    row("viscose", F::Viscose, 95.0, Bears, (NO, YES), NO),
    row("modal", F::Viscose, 98.0, Bears, (NO, YES), NO),
    row("bamboo-viscose", F::Viscose, 95.0, Bears, (NO, YES), NO),
    row("lyocell", F::Lyocell, 95.0, Bears, (NO, YES), NO),
    row("cupro", F::Lyocell, 90.0, Bears, (NO, YES), NO),
    row("wool", F::Wool, 98.0, Never, (NO, YES), YES),
    row("felted-wool", F::Wool, 98.0, Never, (NO, YES), YES),
    row("cashmere", F::Wool, 90.0, Never, (NO, NO), YES),
    row("angora", F::Wool, 90.0, Never, (NO, NO), YES),
    row("mohair", F::Wool, 95.0, Never, (NO, YES), YES),
    row("alpaca", F::Wool, 95.0, Never, (NO, YES), YES),
    row("hair", F::Wool, 85.0, Never, (NO, NO), YES),
    row("silk", F::Silk, 90.0, ColdWeakShort, (NO, YES), NO),
    row("silk-satin", F::Silk, 85.0, ColdWeakShort, (NO, YES), NO),
    row("tussah", F::Silk, 90.0, ColdWeakShort, (NO, YES), NO),
    row("feathers", F::Feather, 80.0, Never, (NO, NO), NO),
    row("fur", F::Hide, 40.0, Never, (NO, NO), NO),
    row("leather-veg-tan", F::Hide, 45.0, Never, (NO, NO), NO),
    row("leather-chrome", F::Hide, 60.0, Never, (NO, NO), NO),
    row("nylon", F::Nylon, 95.0, Bears, (NO, YES), NO),
    row("nylon-6", F::Nylon, 95.0, Bears, (NO, YES), NO),
    row("nylon-66", F::Nylon, 98.0, Bears, (NO, YES), NO),
    row("polyester", F::Polyester, 100.0, Below(80), (YES, YES), NO),
    row("polyester-microfibre", F::Polyester, 100.0, Below(80), (YES, YES), NO),
    row("cdp", F::CationicPolyester, 100.0, Below(60), (YES, YES), NO),
    row("acrylic", F::Acrylic, 98.0, Below(60), (YES, YES), NO),
    row("modacrylic", F::Modacrylic, 80.0, Never, (NO, NO), NO),
    row("acetate", F::Acetate, 80.0, Never, (NO, NO), NO),
    row("triacetate", F::Triacetate, 98.0, Below(60), (NO, YES), NO),
    row("elastane", F::Elastane, 95.0, Below(40), (NO, YES), NO),
    row("polypropylene", F::Inert, 70.0, Bears, (YES, YES), NO),
    row("polyethylene", F::Inert, 60.0, Bears, (YES, YES), NO),
    row("pvc", F::Inert, 40.0, Below(40), (NO, NO), NO),
    row("pu-leather", F::Inert, 40.0, Never, (NO, NO), NO),
    row("aramid", F::Aramid, 100.0, Bears, (NO, YES), NO),
    row("faux-fur", F::Inert, 60.0, Never, (NO, NO), NO),
    row("faux-fur-modacrylic", F::Inert, 40.0, Never, (NO, NO), NO),
    row("pla", F::Pla, 90.0, Never, (NO, NO), NO),
    row("metallised-film", F::Inert, 60.0, Never, (NO, NO), NO),
    row("neoprene", F::Inert, 40.0, Below(40), (NO, NO), NO),
];

/// The row of a material id.
pub(crate) fn material(id: &str) -> Option<&'static Material> {
    MATERIALS.iter().find(|m| m.id == id)
}

/// A part sewn or glued to the goods: highest wet temperature °C (M8, A3), whether bleach or
/// alkali ruins it, and, where it stays as it is, that it must be said (A3).
pub(crate) struct Part {
    pub(crate) id: &'static str,
    /// What it dyes as; `None` for what is no fibre, or of unknown fibre.
    pub(crate) family: Option<Family>,
    pub(crate) most_c: f64,
    pub(crate) alkali: Alkali,
    pub(crate) bears_bleach: bool,
    /// The word that must stand in the sentence that says it stays as it is; empty when there is
    /// nothing to say.
    pub(crate) called: &'static str,
}

const fn part(
    id: &'static str,
    family: Option<Family>,
    most_c: f64,
    alkali: Alkali,
    bears_bleach: bool,
    called: &'static str,
) -> Part {
    Part { id, family, most_c, alkali, bears_bleach, called }
}

/// Every part the auditor knows. A lining of unknown fibre is taken for acetate, sequins for vinyl,
/// leather for the weaker tannage.
pub(crate) const PARTS: &[Part] = &[
    part("elastic", Some(F::Elastane), 95.0, Below(40), NO, "elastic"),
    part("old-elastic", Some(F::Elastane), 60.0, Below(40), NO, "elastic"),
    part("glue", None, 60.0, Bears, YES, ""),
    part("foil", None, 60.0, Never, NO, "foil"),
    part("interfacing", None, 60.0, Bears, NO, "interfacing"),
    part("zip", Some(F::Polyester), 100.0, Below(80), NO, "zip"),
    part("polyester-thread", Some(F::Polyester), 100.0, Below(80), YES, "thread"),
    part("label", Some(F::Polyester), 100.0, Below(80), YES, "label"),
    part("lining", None, 80.0, Never, NO, "lining"),
    part("leather-trim", Some(F::Hide), 45.0, Never, NO, "leather"),
    part("fur-trim", Some(F::Hide), 40.0, Never, NO, "fur"),
    part("feather-trim", Some(F::Feather), 80.0, Never, NO, "feather"),
    part("metallised-yarn", Some(F::Inert), 60.0, Never, NO, "metal"),
    part("sequins", Some(F::Inert), 40.0, Below(40), NO, "sequin"),
];

/// The row of a part id.
pub(crate) fn part_of(id: &str) -> Option<&'static Part> {
    PARTS.iter().find(|p| p.id == id)
}

/// The fibres of the identification key with the odds they start from, and which materials each
/// row stands for (D3). Rule 6: before any test all of them count, and a row that counts brings the
/// limits of every material it may be.
pub(crate) const KEY: &[(&[&str], f64)] = &[
    (&["cotton", "linen", "hemp", "ramie", "mercerised-cotton"], 0.24),
    (&["viscose", "modal", "bamboo-viscose", "lyocell", "cupro"], 0.08),
    (&["wool", "felted-wool", "cashmere", "angora", "mohair", "alpaca", "hair"], 0.05),
    (&["silk", "silk-satin", "tussah"], 0.04),
    (&["nylon", "nylon-6", "nylon-66"], 0.08),
    (&["polyester", "polyester-microfibre", "cdp"], 0.28),
    (&["acrylic"], 0.06),
    (&["modacrylic"], 0.03),
    (&["acetate"], 0.03),
    (&["triacetate"], 0.01),
    (&["elastane"], 0.005),
    (&["polypropylene", "polyethylene"], 0.03),
    (&["pvc"], 0.03),
    (&["aramid"], 0.002),
    (&["pla"], 0.003),
];

/// The materials that share a row of the key with this one; none for what the key cannot name.
pub(crate) fn may_be(id: &str) -> &'static [&'static str] {
    KEY.iter().find(|(row, _)| row.contains(&id)).map_or(&[], |(row, _)| *row)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn caps_of_rule_8_stand_as_the_rule_writes_them() {
        // trade.md M8: leather Ts − 25 (chrome Ts from 100, vegetable hydrolysable from 75 by S23,
        // kept at A1's stricter 60 and 45), modacrylic/acetate 80, fur pelt 40–45, glue/foil 60,
        // elastane 95.
        let caps = [
            ("modacrylic", 80.0),
            ("acetate", 80.0),
            ("fur", 40.0),
            ("elastane", 95.0),
            ("leather-veg-tan", 45.0),
            ("leather-chrome", 60.0),
        ];
        for (id, cap) in caps {
            assert_eq!(material(id).map(|m| m.most_c), Some(cap), "{id}");
        }
        for id in ["glue", "foil"] {
            assert_eq!(part_of(id).map(|p| p.most_c), Some(60.0), "{id}");
        }
    }

    #[test]
    fn every_fibre_of_the_key_is_known_and_ids_are_unique() {
        assert!(KEY.iter().flat_map(|(row, _)| *row).all(|id| material(id).is_some()));
        for (i, a) in MATERIALS.iter().enumerate() {
            assert!(MATERIALS[i + 1..].iter().all(|b| a.id != b.id), "{} twice", a.id);
        }
    }
}
