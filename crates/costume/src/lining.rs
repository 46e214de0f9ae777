//! A lining sewn into a piece: cloth of its own in the same bath.

use lore::{Lore, Makeup};
use units::Mass;

use crate::goods::makeup;
use crate::reader::Table;
use crate::weight::weight;

/// A lining that cannot be taken out; its weight is part of the piece's.
#[derive(Debug, Clone, PartialEq)]
pub struct Lining {
    /// What the maker calls its cloth.
    pub words: String,
    /// Its fibres, or what is known of an unknown fibre.
    pub makeup: Makeup,
    /// Its air-dry weight, within the weight of the piece.
    pub dry: Mass,
}

/// Reads `lining`.
pub(crate) fn lining(table: &Table, lore: &Lore) -> Option<Lining> {
    let part = table.part("lining")?;
    let cloth = part.any("cloth");
    let tests = part.part("tests");
    let dry = weight(&part).map(|(dry, _)| dry);
    if cloth.is_none() {
        let hint = "name its fibre, as in lining = { cloth = \"acetate\", weight_g = 120 }";
        part.fault(part.span.clone(), "the `cloth` of the lining is missing", hint);
    }
    let made = cloth.and_then(|cloth| makeup(&part, &cloth, tests.as_ref(), lore));
    part.finish();
    let (words, makeup, _) = made?;
    Some(Lining { words, makeup, dry: dry? })
}

/// Notes when parts and lining together are not lighter than the goods they are within.
pub(crate) fn within(
    table: &Table,
    goods: Option<Mass>,
    parts: &[(String, Mass)],
    lining: Option<&Lining>,
) {
    let Some(goods) = goods else { return };
    if lining.is_some() && parts.iter().any(|(id, _)| id == "lining") {
        let span = table.any("parts_g").map_or(table.span.clone(), |p| p.span);
        let hint = "keep lining = { … } and take it out of parts_g";
        table.fault(span, "the lining is weighed twice", hint);
        return;
    }
    let parts: Mass = parts.iter().map(|(_, mass)| *mass).sum();
    let lined = lining.map_or(Mass::ZERO, |l| l.dry);
    let (key, what, weigh) = if parts >= goods {
        ("parts_g", "its parts weigh", parts)
    } else if lined >= goods {
        ("lining", "its lining weighs", lined)
    } else if parts + lined >= goods {
        ("lining", "its parts and its lining weigh", parts + lined)
    } else {
        return;
    };
    let span = table.any(key).map_or(table.span.clone(), |p| p.span);
    let said = |mass: Mass| units::trimmed(mass.to_grams(), 1);
    let says = format!("{what} {} g of a piece of {} g", said(weigh), said(goods));
    table.fault(span, says, "the weight of the piece includes them: weigh it whole");
}
