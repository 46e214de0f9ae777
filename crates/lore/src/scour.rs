//! What goods are cleaned with before dye, and why: loomstate cloth, new goods, worn goods.
//!
//! Programmes are rows of `programmes.toml`, the reasons rows of `prepare.toml`. Left out: amounts and vessels (`bath`).

use serde::Deserialize;

use crate::material::{Agitation, Group};
use crate::named::named;
use crate::programme_file::{Kind, Row};
use crate::{Caps, Lore, NoProgramme, Programme, Provenance, Standing};

named! {
    /// Why goods are scoured.
    pub enum ScourNeed, "reason to scour" {
        /// Natural cloth, as it came from the loom.
        Loomstate = "loomstate",
        /// Bought cloth or new made-up goods.
        New = "new",
        /// Worn before.
        Worn = "worn",
    }
}

/// What a reason to scour says.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ScourReason {
    /// The reason.
    pub need: ScourNeed,
    /// Whether undyed goods of the same scour may lie in one scour bath.
    pub with_others: bool,
    /// Why, in words.
    pub says: String,
    source: String,
    standing: Standing,
}

impl ScourReason {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

/// The scour of cotton and linen as they come from the loom.
const LOOMSTATE: &str = "scour-loomstate";
/// The hottest scour of what felts, °C: never above 120 °F (trade notes of wool scouring).
const FELTING_MOST_C: f64 = 49.0;
/// Scours for goods whose own scour some fibre or part of them does not bear, the hardest first.
const GENTLE: [&str; 3] = ["scour-delicate-synthetic", "scour-wool", "scour-skins"];

impl Lore {
    /// Why goods of this need are scoured.
    #[must_use]
    pub fn scour_reason(&self, need: ScourNeed) -> Option<&ScourReason> {
        self.pot.prepare.scours.iter().find(|row| row.need == need)
    }

    /// The scour for goods: their own for this need, or the gentlest that every material in them bears.
    pub fn scour(
        &self,
        need: ScourNeed,
        goods: &[&str],
        caps: &Caps,
    ) -> Result<Programme, NoProgramme> {
        let lead = goods.first().ok_or(NoProgramme::NoGoods)?;
        let bears = self.try_bears(goods, caps)?;
        let row = |id: &str| self.pot.programmes.iter().find(|row| row.id == id);
        // What must be boiled in soda is boiled only where nothing but such fibres is in the cloth.
        let plant = |id: &&str| {
            self.material(id).is_ok_and(|m| m.group == Group::Cellulose)
                && row(LOOMSTATE).is_some_and(|row| self.dyes_like(&row.goods, id))
        };
        let hard =
            (need == ScourNeed::Loomstate && goods.iter().all(plant)).then(|| row(LOOMSTATE));
        let own = self.row_for(Kind::Scour, goods);
        let felts = bears.agitation == Agitation::None;
        let gentle = GENTLE.into_iter().filter_map(row);
        hard.flatten()
            .into_iter()
            .chain(own)
            .chain(gentle)
            .filter(|row: &&Row| bears.admit(row).is_ok())
            .map(|row| self.build(row, None, &bears))
            // A blend is scoured by its first fibre's row, which may be too hot for one that felts.
            .find(|scour| {
                let warm = scour.hottest().to_degrees() <= FELTING_MOST_C;
                !felts || (warm && scour.id != "scour-delicate-synthetic")
            })
            .ok_or_else(|| NoProgramme::NoHomeBath {
                procedure: "scour".to_owned(),
                goods: (*lead).to_owned(),
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AgentGroup;

    fn scour(need: ScourNeed, goods: &[&str]) -> Programme {
        match Lore::shipped().scour(need, goods, &Caps::default()) {
            Ok(scour) => scour,
            Err(why) => panic!("{goods:?}: {why}"),
        }
    }

    #[test]
    fn each_fibre_is_scoured_as_it_bears() {
        // trade.md E1: soda for plant fibres, nylon and polyester; neutral and lukewarm for what is of animals.
        for (need, goods, id, soda, hottest) in [
            (ScourNeed::New, &["cotton"][..], "scour-cellulose", true, 80.0),
            (ScourNeed::Worn, &["cotton"], "scour-cellulose", true, 80.0),
            (ScourNeed::Loomstate, &["linen"], "scour-loomstate", true, 95.0),
            (ScourNeed::Loomstate, &["linen", "viscose"], "scour-cellulose", true, 80.0),
            (ScourNeed::New, &["viscose"], "scour-regenerated", true, 60.0),
            (ScourNeed::Loomstate, &["wool"], "scour-wool", false, 40.0),
            (ScourNeed::New, &["silk"], "scour-silk", false, 50.0),
            (ScourNeed::New, &["silk", "wool"], "scour-wool", false, 40.0),
            (ScourNeed::New, &["polyester", "cotton"], "scour-synthetic", true, 60.0),
            (ScourNeed::New, &["feathers"], "scour-feathers", false, 38.0),
            (ScourNeed::New, &["leather-veg-tan"], "scour-skins", false, 32.0),
        ] {
            let found = scour(need, goods);
            assert_eq!(found.id, id, "{need} {goods:?}");
            assert_eq!(found.holds(AgentGroup::Alkali), soda, "{need} {goods:?}");
            assert!((found.hottest().to_degrees() - hottest).abs() < 0.1, "{need} {goods:?}");
            assert!(found.holds(AgentGroup::Detergent), "{need} {goods:?}");
        }
    }

    #[test]
    fn a_scour_says_one_heat_from_the_first_and_ends_dry() {
        for (goods, degrees) in [
            (&["wool"][..], "40 °C"),
            (&["feathers"], "38 °C"),
            (&["leather-veg-tan"], "32 °C"),
            (&["cotton"], "40 °C"),
        ] {
            let found = scour(ScourNeed::New, goods);
            let enter = found.steps.iter().find(|step| step.kind == crate::StepKind::Enter);
            assert!(enter.is_some_and(|step| step.text.contains(degrees)), "{goods:?}: {enter:?}");
            let last = found.steps.last().map(|step| step.text.as_str()).unwrap_or_default();
            assert!(last.contains("weighed dry") && !last.contains("wet for"), "{goods:?}: {last}");
        }
        let wool = scour(ScourNeed::New, &["wool"]);
        let texts = wool.steps.iter().map(|step| &step.text).chain(&wool.notes);
        for text in texts {
            for (at, _) in text.match_indices(" °C") {
                assert!(text[..at].ends_with("40"), "wool has one figure: {text}");
            }
        }
        let lined = scour(ScourNeed::New, &["cotton", "silk"]);
        assert!(lined.title.contains("delicate lining") && !lined.title.contains("synthetic"));
    }

    #[test]
    fn soda_never_reaches_what_it_harms() {
        for other in ["wool", "feathers", "acetate"] {
            let found = scour(ScourNeed::Loomstate, &["cotton", other]);
            assert!(!found.holds(AgentGroup::Alkali), "cotton with {other}: {}", found.id);
        }
    }

    #[test]
    fn every_reason_is_told_and_worn_goods_go_alone() {
        for need in ScourNeed::ALL {
            let Some(reason) = Lore::shipped().scour_reason(*need) else { panic!("{need}") };
            assert_eq!(reason.with_others, *need != ScourNeed::Worn, "{need}");
        }
    }
}
