//! The vessel: the smallest at hand that holds the bath and bears its heat and what is in it.
//!
//! Never more than two thirds full (common practice: room to stir, and against boiling over). A
//! garment is never split over two baths.

use dosing::Shown;
use lore::Lore;
use units::{Celsius, Volume, trimmed};

use crate::sheet::Vessel;
use crate::{Kind, Order, Refusal, VesselAtHand};

/// How full at most.
const FULL: f64 = 2.0 / 3.0;
/// How full at least: below this the goods lie in too shallow a bath to be covered, and a jar in hot water
/// serves better (our judgement).
const LEAST: f64 = 0.15;
/// A swatch is lost in anything bigger than this, mL (our judgement).
const SWATCH_POT_ML: f64 = 2500.0;
/// Jars a swatch may be dyed in, mL.
const JARS_ML: [f64; 6] = [250.0, 350.0, 500.0, 750.0, 1000.0, 2000.0];
/// Groups of agents that a vessel must be made to bear.
const HARSH: [&str; 4] = ["acid", "soda", "caustic", "reducer"];

/// The vessel for this bath.
pub(crate) fn chosen(
    order: &Order<'_>,
    liquor: Volume,
    hottest: Celsius,
    agents: &[&str],
) -> Result<Vessel, Refusal> {
    let brim = liquor.try_times(1.0 / FULL)?;
    let swatch = order.kind == Kind::Swatch;
    let fits = |at_hand: &&VesselAtHand<'_>| {
        at_hand.holds.to_millilitres() >= brim.to_millilitres() - 0.5
            && !(swatch && at_hand.holds.to_millilitres() > SWATCH_POT_ML)
            && bears(order.lore, at_hand.material, hottest, agents)
    };
    let smallest = order.kitchen.vessels.iter().filter(fits).min_by(|a, b| {
        a.holds.to_millilitres().total_cmp(&b.holds.to_millilitres()).then(a.name.cmp(b.name))
    });
    let small = |found: &&VesselAtHand<'_>| liquor / found.holds < LEAST;
    let lost = smallest.filter(small);
    if let Some(found) = lost
        && let Some(mut jar) = jar(order.lore, brim, hottest, agents)
    {
        jar.words = format!("{} (your {} holds the hot water)", jar.words, found.name);
        return Ok(jar);
    }
    if let Some(found) = smallest {
        return Ok(Vessel {
            words: format!(
                "{} ({} L), {} % full; once used for dye, never again for food",
                found.name,
                trimmed(found.holds.to_litres(), 1),
                trimmed(100.0 * (liquor / found.holds), 0)
            ),
            material: found.material.to_owned(),
        });
    }
    if swatch && let Some(jar) = jar(order.lore, brim, hottest, agents) {
        return Ok(jar);
    }
    Err(Refusal::NoVessel {
        liquor,
        hottest,
        needs: brim,
        bears: wanted(order.lore, hottest, agents),
    })
}

/// A jar in a hot-water bath for the swatch.
fn jar(lore: &Lore, brim: Volume, hottest: Celsius, agents: &[&str]) -> Option<Vessel> {
    let ml = JARS_ML.into_iter().find(|ml| *ml >= brim.to_millilitres())?;
    let material = ["glass", "enamel", "stainless"]
        .into_iter()
        .find(|material| bears(lore, material, hottest, agents))?;
    let what = match material {
        "glass" => "a heat-proof glass jar",
        "enamel" => "an unchipped enamel mug",
        _ => "a stainless steel beaker",
    };
    let ml = Shown::try_round(ml, 0).ok()?;
    Some(Vessel {
        words: format!(
            "{what} of {ml} mL standing on a cloth in a pot of hot water; thermometer in the jar; used \
             for dye only"
        ),
        material: material.to_owned(),
    })
}

fn bears(lore: &Lore, material: &str, hottest: Celsius, agents: &[&str]) -> bool {
    let Some(row) = lore.vessels().iter().find(|vessel| vessel.id == material) else {
        return false;
    };
    let groups = agents
        .iter()
        .filter_map(|agent| lore.agent(agent).ok())
        .flat_map(|agent| agent.meets_as.iter());
    let mut harsh = groups.filter(|group| HARSH.contains(&group.as_str()));
    row.refused.is_none()
        && row.max.is_some_and(|max| hottest <= max)
        && harsh.all(|group| row.bears.contains(group))
}

/// What the vessel must be made of, in words.
fn wanted(lore: &Lore, hottest: Celsius, agents: &[&str]) -> String {
    let names: Vec<&str> = lore
        .vessels()
        .iter()
        .filter(|vessel| bears(lore, &vessel.id, hottest, agents))
        .map(|vessel| vessel.name.as_str())
        .collect();
    if names.is_empty() {
        "of something that bears it (none is known)".to_owned()
    } else {
        format!("such as a {}", names.join(" or "))
    }
}
