//! What is left where adding cannot save a piece: what may be taken out of this cloth, going darker, another piece of it.

use lore::{DyeClass, Lore, Strip};

use super::Judged;
use crate::asked::fibres;
use crate::document::OtherwiseSeen;
use crate::seen::sentence;

impl Judged<'_> {
    /// What is left: what may be taken out of this cloth, going darker, another piece of cloth.
    pub(super) fn otherwise(&self) -> Vec<OtherwiseSeen> {
        let lore = self.request.lore;
        let owned = fibres(lore, &self.piece.goods.makeup);
        let goods: Vec<&str> = owned.iter().map(|(m, _)| m.as_str()).collect();
        let mut ways: Vec<OtherwiseSeen> = vec![];
        let class = self.lesson.class;
        let rule = too_dark(class).and_then(|id| lore.sheet_rule(id));
        let first = rule.map(|r| r.text.clone());
        ways.extend(first.map(|words| OtherwiseSeen { way: "lighten", words, cautions: vec![] }));
        let strips: Vec<(&Strip, String)> = lore
            .strips(&goods)
            .into_iter()
            .filter_map(|strip| Some((strip, takes_out(strip, class)?)))
            .collect();
        if strips.is_empty() {
            let words =
                "No strip is known that this cloth bears and that takes this class of dye out: overdye it darker, or cut it anew"
                    .to_owned();
            ways.push(OtherwiseSeen { way: "strip", words: sentence(&words), cautions: vec![] });
        }
        ways.extend(strips.into_iter().map(|(strip, out)| OtherwiseSeen {
            way: "strip",
            words: sentence(&format!(
                "{}; it takes out {out}. Try a snip first; what is left is a new cloth, to be read before it is dyed \
                 again",
                strip.recipe
            )),
            cautions: cautions(lore, &strip.agents),
        }));
        let depth = self.lesson.read.l;
        ways.push(OtherwiseSeen {
            way: "overdye",
            words: sentence(&format!(
                "choose a colour clearly darker than what is there (below L* {:.0}) and of its \
                 hue or duller, write it as the target with the cloth as read as its undyed colour, and plan \
                 again; a swatch first",
                (depth - DARKER).max(0.0)
            )),
            cautions: vec![],
        });
        ways.push(OtherwiseSeen {
            way: "recut",
            words: "Cut it anew, and dye that by the next recipe here.".to_owned(),
            cautions: vec![],
        });
        ways
    }
}

/// The rule for what is too dark, by class; none where no rinse takes anything out.
const fn too_dark(class: DyeClass) -> Option<&'static str> {
    match class {
        DyeClass::Direct => Some("too-dark-direct"),
        DyeClass::AcidLevelling => Some("too-dark-acid-levelling"),
        DyeClass::ReactiveDct | DyeClass::ReactiveMct | DyeClass::ReactiveVs => {
            Some("too-dark-reactive")
        }
        _ => None,
    }
}

/// What a strip takes out of what was dyed by a class, in its own words; none where it takes none of that out.
fn takes_out(strip: &Strip, class: DyeClass) -> Option<String> {
    let called = match class {
        DyeClass::Direct => "direct",
        DyeClass::Union => "union",
        DyeClass::ReactiveDct | DyeClass::ReactiveMct | DyeClass::ReactiveVs => "reactive",
        DyeClass::AcidLevelling | DyeClass::AcidMilling | DyeClass::Premetallised => "acid",
        _ => return None,
    };
    let all: Vec<&str> = strip.works_on.split(", ").collect();
    let fits: Vec<&str> =
        all.iter().filter(|what| what.contains(called) || **what == LOOSE).copied().collect();
    (!fits.is_empty()).then(|| fits.join(" and "))
}

/// What a strip takes out whatever its class.
const LOOSE: &str = "loose dye";

/// How much darker than what is there an overdyeing must be to cover it, L* (house judgement).
const DARKER: f64 = 5.0;

/// The cautions of some agents, each once.
fn cautions(lore: &Lore, agents: &[String]) -> Vec<String> {
    let of = agents.iter().filter_map(|id| lore.agent(id).ok()).flat_map(|a| &a.cautions);
    let mut texts: Vec<String> = vec![];
    for caution in of.filter_map(|id| lore.caution(id)) {
        if !texts.contains(&caution.text) {
            texts.push(caution.text.clone());
        }
    }
    texts
}
