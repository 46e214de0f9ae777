//! What packs bring into the bath besides dye: their own salt or fixer is never dosed a second time.

use lore::{AgentGroup, Per};
use units::{Mass, trimmed};

use crate::auxiliary::Wanted;
use crate::sheet::Dye;
use crate::{Brought, Order};

/// What is left to add below this share of the dose is not worth measuring: the books' own figures are
/// good to a third (trade knowledge, note on tags).
const NOT_WORTH: f64 = 0.1;

/// Takes what the packs of the recipe bring off what is to be added, and says so. Where a pack states no
/// amount the agent is left out: its own goes in instead.
pub(crate) fn taken_off(order: &Order<'_>, dyes: &[Dye], wanted: &mut Vec<Wanted>) -> Vec<String> {
    let mut said = Vec::new();
    for agent in agents(order, true) {
        let Some(it) = wanted.iter().find(|it| it.id == agent) else { continue };
        let name = order.lore.agent(&it.id).map_or(agent, |a| a.name.as_str());
        said.push(format!(
            "The pack's own {name} lies in a sachet of its own: measure what this sheet says of it from there first, put \
             it in at its own step, and never together with the dye."
        ));
    }
    for agent in agents(order, false) {
        let name = order.lore.agent(agent).map_or_else(|_| agent.to_owned(), |a| a.name.clone());
        let Some(brings) = brought(order, dyes, agent) else {
            let before = wanted.len();
            let fixes = wanted.iter().any(|it| it.id == agent && it.group == AgentGroup::Alkali);
            wanted.retain(|it| it.id != agent);
            if wanted.len() < before {
                said.push(format!(
                    "The pack brings its own {name}: none is added. When it lies beside the dye in a sachet \
                     of its own, put it in dissolved, when the pack says{}.",
                    if fixes { ", and not together with the dye" } else { "" }
                ));
            }
            continue;
        };
        let mut rest = brings;
        let mut met = false;
        for it in wanted.iter_mut().filter(|it| it.id == agent) {
            met = true;
            let all = it.mass.to_grams();
            let left = (all - rest).max(0.0);
            rest = (rest - all).max(0.0);
            shrink(it, if left < NOT_WORTH * all { 0.0 } else { left / all });
        }
        wanted.retain(|it| it.id != agent || it.mass.to_grams() > 0.0);
        if met {
            said.push(format!(
                "The pack brings about {} g of {name} of its own: that is taken off what is added.",
                trimmed(brings, 1)
            ));
        }
    }
    said
}

/// The agents any dye of the recipe brings, each once: those in sachets of their own, or those with the dye.
fn agents<'a>(order: &Order<'a>, own_sachet: bool) -> Vec<&'a str> {
    let mut agents: Vec<&str> = Vec::new();
    let dyes = order.dyes.iter().filter(|dye| dye.owf.to_percent() > 0.0);
    for it in dyes.flat_map(|dye| &dye.contains).filter(|it| it.own_sachet == own_sachet) {
        if !agents.contains(&it.agent) {
            agents.push(it.agent);
        }
    }
    agents
}

/// Grams of an agent the dosed dyes bring; none where a pack does not say how much it holds.
fn brought(order: &Order<'_>, dyes: &[Dye], agent: &str) -> Option<f64> {
    let mut grams = 0.0;
    for dye in dyes {
        let wanted = order.dyes.iter().find(|wanted| wanted.id == dye.id);
        let contains = wanted.map_or(&[][..], |wanted| wanted.contains.as_slice());
        for Brought { grams: held, pack, .. } in contains.iter().filter(|it| it.agent == agent) {
            grams += (*held)?.to_grams() * dye.grams.value() / pack.to_grams();
        }
    }
    Some(grams)
}

/// The same dose, a share of it.
fn shrink(it: &mut Wanted, share: f64) {
    it.mass = it.mass.try_times(share).unwrap_or(Mass::ZERO);
    it.per = match it.per {
        Per::OnFibre(owf) => Per::OnFibre(owf.try_times(share).unwrap_or(owf)),
        Per::PerLitre(amount) => Per::PerLitre(amount.try_times(share).unwrap_or(amount)),
    };
}

/// Who of the recipe is a mixture, for a note.
pub(crate) fn may_split(order: &Order<'_>) -> Option<String> {
    let those = order.dyes.iter().filter(|dye| dye.may_split && dye.owf.to_percent() > 0.0);
    let names: Vec<&str> = those.map(|dye| dye.name).collect();
    if names.is_empty() {
        return None;
    }
    Some(format!(
        "May split: {}. What comes mixed in a pack takes up part by part, so another depth, ratio, heat or \
         cloth leans to one of its colours: swatch on this cloth, at this ratio, and add all of it at once.",
        names.join(", ")
    ))
}
