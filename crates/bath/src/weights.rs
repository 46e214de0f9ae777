//! What the goods weigh, line by line: what takes the dye, what only gets wet.
//!
//! Dye is reckoned on what takes it, liquor on everything that gets wet. Weights are taken to a tenth of a
//! gram before they are added, so that the printed lines add up to the printed whole.

use dosing::{Shown, bath_volume};
use lore::Makeup;
use units::{LiquorRatio, Mass, Volume};

use crate::goods::Goods;
use crate::sheet::{Weighed, WhatWeighs};
use crate::swatch::swatch_weight;
use crate::{Kind, Order, Refusal};

/// Tenths of a gram.
const DECIMALS: u8 = 1;

/// The weights of one bath.
pub(crate) struct Weights {
    /// Line by line.
    pub(crate) lines: Vec<Weighed>,
    /// Everything that gets wet.
    pub(crate) dry: Mass,
    /// What of it takes the dye.
    pub(crate) takes: Mass,
    /// Litres per kilogram of what takes the dye: the ratio at which the dye works, the same in the swatch.
    pub(crate) ratio: LiquorRatio,
}

impl Weights {
    /// Litres per kilogram of everything that gets wet.
    fn on_all(&self) -> f64 {
        self.ratio.to_litres_per_kilogram() * (self.takes / self.dry)
    }

    /// The whole bath.
    pub(crate) fn liquor(&self) -> Result<Volume, Refusal> {
        Ok(bath_volume(self.ratio, self.takes)?)
    }
}

/// The weights of an order; of a swatch of `snip`, else of the usual one. Refuses parts and lining that weigh as much as the whole.
pub(crate) fn reckoned(
    order: &Order<'_>,
    goods: &Goods<'_>,
    snip: Option<Mass>,
) -> Result<Weights, Refusal> {
    let whole = whole(order, goods)?;
    match order.kind {
        Kind::Bulk => Ok(whole),
        Kind::Swatch => {
            let cloth = of(&whole.lines, WhatWeighs::Cloth);
            let dry = snip.unwrap_or_else(|| swatch_weight(cloth, &order.comes));
            let lines = vec![line(WhatWeighs::Cloth, "swatch".to_owned(), dry, dry)?];
            Ok(Weights { lines, dry, takes: dry, ratio: whole.ratio })
        }
    }
}

/// The whole piece, spare cloth included.
fn whole(order: &Order<'_>, goods: &Goods<'_>) -> Result<Weights, Refusal> {
    let comes = &order.comes;
    if comes.parts_weigh.is_empty() && comes.lining.is_none() && comes.spare.is_none() {
        let dry = order.goods;
        let lines = vec![line(WhatWeighs::Cloth, "cloth".to_owned(), dry, dry)?];
        return Ok(Weights { lines, dry, takes: dry, ratio: order.ratio });
    }
    let mut lines = Vec::new();
    for part in &goods.parts {
        let each = comes.parts_weigh.iter().filter(|(id, _)| goods.is_part(part, id));
        let mass: Mass = each.map(|(_, mass)| *mass).sum();
        if mass.to_grams() > 0.0 {
            let takes = if goods.part_takes(part, order.procedure) { mass } else { Mass::ZERO };
            lines.push(line(WhatWeighs::Part(part.id.clone()), part.name.clone(), mass, takes)?);
        }
    }
    if let Some(lining) = comes.lining {
        let takes = goods.lining_share() * lining.dry;
        lines.push(line(WhatWeighs::Lining, "lining".to_owned(), lining.dry, takes)?);
    }
    let given = shown(order.goods)?;
    let others: f64 = lines.iter().map(|line| line.grams.value()).sum();
    let cloth = Mass::try_grams(given.value() - others).unwrap_or(Mass::ZERO);
    let cloth = line(WhatWeighs::Cloth, "cloth".to_owned(), cloth, cloth)?;
    if cloth.grams.value() <= 0.0 {
        return Err(Refusal::PartsOutweigh {
            whole: given,
            parts: Shown::try_round(others, DECIMALS)?,
        });
    }
    lines.insert(0, cloth);
    if let Some(spare) = comes.spare.filter(|spare| spare.to_grams() > 0.0) {
        lines.push(line(WhatWeighs::Spare, "spare cloth and thread".to_owned(), spare, spare)?);
    }
    let sum = |each: fn(&Weighed) -> Shown| -> Result<Mass, Refusal> {
        let total: f64 = lines.iter().map(|line| each(line).value()).sum();
        Ok(Mass::try_grams(Shown::try_round(total, DECIMALS)?.value())?)
    };
    let (dry, takes) = (sum(|line| line.grams)?, sum(|line| line.takes)?);
    let ratio =
        LiquorRatio::try_litres_per_kilogram(order.ratio.to_litres_per_kilogram() * (dry / takes))?;
    Ok(Weights { lines, dry, takes, ratio })
}

fn line(it: WhatWeighs, name: String, mass: Mass, takes: Mass) -> Result<Weighed, Refusal> {
    Ok(Weighed { it, name, grams: shown(mass)?, takes: shown(takes)? })
}

fn shown(mass: Mass) -> Result<Shown, Refusal> {
    Ok(Shown::try_round(mass.to_grams(), DECIMALS)?)
}

fn of(lines: &[Weighed], it: WhatWeighs) -> Mass {
    let found = lines.iter().find(|line| line.it == it);
    found.and_then(|line| Mass::try_grams(line.grams.value()).ok()).unwrap_or(Mass::ZERO)
}

/// The share of a makeup that this way of dyeing dyes; all or nothing for an unknown fibre.
pub(crate) fn takers(order: &Order<'_>, makeup: &Makeup) -> f64 {
    let dyes = |id: &str| {
        order.lore.material(id).is_ok_and(|m| order.lore.verdict(m, order.procedure).verdict.dyes())
    };
    match makeup {
        Makeup::Known(portions) => portions
            .iter()
            .filter(|portion| dyes(&portion.material))
            .map(|portion| portion.share.to_fraction())
            .sum(),
        Makeup::Unknown(_) => {
            let all = order.lore.materials_of(makeup);
            if !all.is_empty() && all.iter().all(|m| dyes(&m.id)) { 1.0 } else { 0.0 }
        }
    }
}

/// What the weights say, where not everything takes the dye or something goes in on top.
pub(crate) fn said(weights: &Weights) -> Vec<String> {
    let mut said = Vec::new();
    let grams = |of: &Shown| of.trimmed().to_string();
    let undyed: Vec<String> = weights
        .lines
        .iter()
        .filter(|line| line.takes != line.grams)
        .map(|line| match line.takes.value() > 0.0 {
            true => format!(
                "{}, {} g, counts as {} g",
                line.name,
                grams(&line.grams),
                grams(&line.takes)
            ),
            false => format!("{}, {} g, takes none", line.name, grams(&line.grams)),
        })
        .collect();
    if !undyed.is_empty() {
        said.push(format!(
            "Dye is reckoned on {} g of the {} g that get wet ({}); water, and what goes by the litre, on all of \
             it: {} L/kg of what takes the dye, {} L/kg of all that gets wet.",
            units::trimmed(weights.takes.to_grams(), 1),
            units::trimmed(weights.dry.to_grams(), 1),
            undyed.join("; "),
            units::trimmed(weights.ratio.to_litres_per_kilogram(), 1),
            units::trimmed(weights.on_all(), 1)
        ));
    }
    if let Some(spare) = weights.lines.iter().find(|line| line.it == WhatWeighs::Spare) {
        said.push(format!(
            "{} g of spare cloth, thread and a patch go into this bath with it and are in its weight: the \
             repair a year later has the same colour.",
            grams(&spare.grams)
        ));
    }
    said
}
