//! Before, between and after the dye: the drop test, finishes to look for, stripping, and the rules
//! every sheet repeats (judging, swatch first, shading).
//!
//! Rows in `prepare.toml`; scours are programmes. Left out: how far off a colour is (`dyeing`).

use serde::Deserialize;

use crate::fault::read;
use crate::scour::{ScourNeed, ScourReason};
use crate::{DataFault, Lore, Provenance, Standing};

/// When cloth is clean enough to dye.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DropTest {
    /// A drop should sink in within this, seconds.
    #[serde(rename = "drop_ideal_s")]
    pub ideal_seconds: f64,
    /// And must within this, seconds.
    #[serde(rename = "drop_most_s")]
    pub most_seconds: f64,
    /// In words.
    pub says: String,
    source: String,
    standing: Standing,
}

/// A finish on the cloth as bought.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClothFinish {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What gives it away.
    pub sign: String,
    /// What it does to the dyeing.
    pub effect: String,
    /// What helps.
    pub cure: String,
    /// Whether the cloth can be dyed once cured.
    pub dyeable: bool,
    source: String,
    standing: Standing,
}

/// A way to take colour out.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Its id.
    pub id: String,
    /// What to do.
    pub recipe: String,
    /// Its agents.
    pub agents: Vec<String>,
    /// Goods it is for.
    pub goods: Vec<String>,
    /// What it takes out.
    pub works_on: String,
    ruins: Vec<String>,
    source: String,
    standing: Standing,
}

/// A rule printed on sheets.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetRule {
    /// Its fixed id.
    pub id: String,
    /// The rule.
    pub text: String,
    source: String,
    standing: Standing,
}

macro_rules! provenance {
    ($($name:ident),+) => {
        $(impl $name {
            /// Where the row is from.
            #[must_use]
            pub fn provenance(&self) -> Provenance {
                Provenance { source: self.source.clone(), standing: self.standing }
            }
        })+
    };
}
provenance!(DropTest, ClothFinish, Strip, SheetRule);

/// Everything `prepare.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Preparation {
    accept: Option<DropTest>,
    pub(crate) scours: Vec<ScourReason>,
    finishes: Vec<ClothFinish>,
    strips: Vec<Strip>,
    rules: Vec<SheetRule>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    accept: DropTest,
    scour: Vec<ScourReason>,
    finish: Vec<ClothFinish>,
    strip: Vec<Strip>,
    rule: Vec<SheetRule>,
}

/// Reads `prepare.toml`.
pub(crate) fn try_read(text: &str) -> Result<Preparation, DataFault> {
    const FILE: &str = "prepare.toml";
    let file: File = read(FILE, text)?;
    let told = |need: &&ScourNeed| file.scour.iter().any(|row| row.need == **need);
    if let Some(need) = ScourNeed::ALL.iter().find(|need| !told(need)) {
        return Err(DataFault {
            file: FILE,
            what: format!("nothing about scouring what is {need}"),
        });
    }
    Ok(Preparation {
        accept: Some(file.accept),
        scours: file.scour,
        finishes: file.finish,
        strips: file.strip,
        rules: file.rule,
    })
}

impl Lore {
    /// When cloth is clean enough to dye.
    #[must_use]
    pub fn drop_test(&self) -> Option<&DropTest> {
        self.pot.prepare.accept.as_ref()
    }

    /// Finishes to look for on cloth as bought.
    #[must_use]
    pub fn finishes(&self) -> &[ClothFinish] {
        &self.pot.prepare.finishes
    }

    /// Ways to take colour out of a cloth of these materials: for one of them, ruinous to none.
    #[must_use]
    pub fn strips(&self, goods: &[&str]) -> Vec<&Strip> {
        let takes = |strip: &&Strip| {
            let bears = |id: &&str| !self.dyes_like(&strip.ruins, id);
            let made_for = |id: &&str| self.dyes_like(&strip.goods, id);
            !goods.is_empty() && goods.iter().all(bears) && goods.iter().any(made_for)
        };
        self.pot.prepare.strips.iter().filter(takes).collect()
    }

    /// The rule with this id: `judge`, `swatch-first`, `no-top-up`, `one-addition` and others.
    #[must_use]
    pub fn sheet_rule(&self, id: &str) -> Option<&SheetRule> {
        self.sheet_rules().iter().find(|rule| rule.id == id)
    }

    /// Every rule.
    #[must_use]
    pub fn sheet_rules(&self) -> &[SheetRule] {
        &self.pot.prepare.rules
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_strip_is_offered_that_ruins_a_fibre_of_the_cloth() {
        let lore = Lore::shipped();
        let ids = |goods: &[&str]| -> Vec<String> {
            lore.strips(goods).iter().map(|strip| strip.id.clone()).collect()
        };
        assert!(ids(&["cotton"]).contains(&"hypochlorite-cellulose".to_owned()));
        for goods in ["wool", "silk", "feathers", "hair", "leather-chrome", "nylon-6", "elastane"] {
            let offered = ids(&["cotton", goods]);
            assert!(!offered.iter().any(|id| id.contains("hypochlorite")), "{goods}: {offered:?}");
        }
        assert_eq!(ids(&["silk"]), ["thiourea-dioxide-protein"]);
        assert!(ids(&["acetate"]).is_empty());
        assert!(ids(&[]).is_empty());
    }

    #[test]
    fn every_strip_holds_known_agents() {
        for strip in &Lore::shipped().pot.prepare.strips {
            for agent in &strip.agents {
                assert!(Lore::shipped().agent(agent).is_ok(), "{}: {agent}", strip.id);
            }
        }
    }

    #[test]
    fn the_rules_sheets_need_are_there() {
        for id in ["judge", "swatch-first", "no-top-up", "one-addition", "cool-before-adding"] {
            assert!(Lore::shipped().sheet_rule(id).is_some(), "{id}");
        }
    }
}
