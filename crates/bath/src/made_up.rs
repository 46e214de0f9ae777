//! What the form of the goods asks: tests, thread, panels, wear; and how much smaller they will be.

use lore::{GoodsForm, Group, Makeup, Material};
use units::{Celsius, trimmed};

use crate::goods::Goods;
use crate::{Kind, Order};

/// Shrinkage less than this is not told of, %.
const NOTHING_PCT: f64 = 0.5;

/// The notes about form and shrinkage; none on a swatch sheet but how to measure shrinkage.
pub(crate) fn notes(order: &Order<'_>, goods: &Goods<'_>, hottest: Celsius) -> Vec<String> {
    let form = order.comes.form;
    if order.kind == Kind::Swatch {
        let shrinks = !form.is_made_up() && !order.comes.shrinkage_allowed;
        return order_shrinks(order).filter(|_| shrinks).map_or_else(Vec::new, |_| {
            vec![
                "Draw a square of 10 cm on the swatch with a thread before it is wetted, where it is big enough: \
                 what it lost when dry is what the cloth will lose."
                    .to_owned(),
            ]
        });
    }
    let parts: Vec<&str> = goods.parts.iter().map(|part| part.id.as_str()).collect();
    let asked = order.lore.form_notes(form, order.procedure, &goods.ids(), &parts);
    let mut said: Vec<String> = asked.iter().map(|note| note.says.clone()).collect();
    said.extend(shrinkage(order, goods, hottest));
    said.extend(felting(order));
    said.extend(lining(order));
    said
}

/// How much smaller, in per cent and in centimetres to the metre.
fn shrinkage(order: &Order<'_>, goods: &Goods<'_>, hottest: Celsius) -> Option<String> {
    let form = order.comes.form;
    if order.comes.shrinkage_allowed {
        let made_up = if form.is_made_up() {
            "it was scoured or pre-shrunk"
        } else {
            "the shrinkage is allowed for"
        };
        return order_shrinks(order).map(|_| {
            format!("You said that {made_up}: no more is added here for what it shrinks.")
        });
    }
    let shrinks = order_shrinks(order)?;
    let (cm, words) = (shrinks.range(), &shrinks.words);
    let top = trimmed(hottest.to_degrees(), 0);
    let before = scoured_at(order, goods, hottest);
    Some(match form {
        GoodsForm::Roll => format!(
            "Allow {cm} % for shrinkage ({words}): {before}, or cut {cm} cm longer to the metre."
        ),
        GoodsForm::AsTheyCome => {
            format!("Expect them to come out {cm} % smaller ({words}).")
        }
        GoodsForm::CutPanels => format!(
            "Expect the panels to come out {cm} % smaller ({words}), {cm} cm in a metre: if that was not allowed \
             for, measure the swatch before the panels go in."
        ),
        GoodsForm::Sewn => format!(
            "Expect it to shrink by {cm} % ({words}), {cm} cm in a metre, and not always alike in length and width; \
             it cannot be let out afterwards beyond its seams."
        ),
        GoodsForm::Worn => format!(
            "Goods washed before have mostly shrunk; where this bath, which gets to {top} °C, is hotter than they \
             were ever washed, it may still take up to {} % ({words}), {} cm in a metre.",
            trimmed(shrinks.high, 1),
            trimmed(shrinks.high, 1)
        ),
    })
}

/// How to shrink cloth before it is cut. Cellulose bears a scour as hot as its bath; other fibres are scoured as
/// they bear and dyed before they are cut.
fn scoured_at(order: &Order<'_>, goods: &Goods<'_>, hottest: Celsius) -> String {
    let top = trimmed(hottest.to_degrees(), 0);
    let cloth = order.lore.materials_of(order.makeup);
    if !cloth.is_empty() && cloth.iter().all(|m| m.group == Group::Cellulose) {
        return format!("scour it at {top} °C, the hottest this sheet gets, before it is cut");
    }
    match order.lore.scour(lore::ScourNeed::New, &goods.ids(), &goods.caps()) {
        Ok(scour) => format!(
            "scour it at {} °C as its fibre bears, dye it before it is cut (the bath of {top} °C takes the rest)",
            trimmed(scour.hottest().to_degrees(), 0)
        ),
        Err(_) => "dye it before it is cut".to_owned(),
    }
}

/// Felting is not allowed for but kept away.
fn felting(order: &Order<'_>) -> Option<String> {
    let felts = |m: &&Material| m.felts.map(|most| (m.name.clone(), most.to_percent()));
    let Makeup::Known(_) = order.makeup else { return None };
    let (name, most) = order.lore.materials_of(order.makeup).iter().find_map(felts)?;
    Some(format!(
        "Felting is another matter than shrinking: shocked or rubbed, {name} loses up to {} % for good. Keep the \
         rates and the stillness of this sheet.",
        trimmed(most, 0)
    ))
}

/// A lining that shrinks otherwise than the cloth.
fn lining(order: &Order<'_>) -> Option<String> {
    let lined = order.comes.lining.filter(|_| !order.comes.shrinkage_allowed)?;
    let cloth = of(order, order.makeup)?;
    let lining = of(order, lined.makeup)?;
    if (cloth.low, cloth.high) == (lining.low, lining.high) {
        return None;
    }
    Some(format!(
        "Cloth and lining shrink otherwise ({} % and {} %): open the hem of the lining before the bath, and sew it \
         again when all is dry.",
        cloth.range(),
        lining.range()
    ))
}

/// Shrinkage to expect, in per cent.
struct Shrinks {
    low: f64,
    high: f64,
    words: String,
}

impl Shrinks {
    fn range(&self) -> String {
        let (low, high) = (trimmed(self.low, 1), trimmed(self.high, 1));
        if low == high { high } else { format!("{low}–{high}") }
    }
}

fn order_shrinks(order: &Order<'_>) -> Option<Shrinks> {
    of(order, order.makeup)
}

/// What a known cloth shrinks: by its fibres, from the least that one may to the most that another may.
/// None for an unknown fibre, of which no figure would be honest.
fn of(order: &Order<'_>, makeup: &Makeup) -> Option<Shrinks> {
    let Makeup::Known(portions) = makeup else { return None };
    let materials: Vec<&Material> =
        portions.iter().filter_map(|p| order.lore.material(&p.material).ok()).collect();
    let shrinking = materials.iter().filter_map(|m| Some((m, m.shrink?)));
    let mut found: Option<Shrinks> = None;
    for (material, (low, high)) in shrinking {
        let (low, high) = (low.to_percent(), high.to_percent());
        let words = format!("{}: {}", material.name, material.shrinks);
        found = Some(match found {
            None => Shrinks { low, high, words },
            Some(so_far) => Shrinks {
                low: so_far.low.min(low),
                high: so_far.high.max(high),
                words: format!("{}; {words}", so_far.words),
            },
        });
    }
    found.filter(|it| it.high >= NOTHING_PCT)
}
