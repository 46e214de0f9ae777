//! Each dye as this kit doses it, and the stock solutions to make first.

use dosing::{Form, How, Shown, dose, owf_from_masses};
use lore::{AgentGroup, DyeClass};
use units::{Mass, trimmed};

use crate::sheet::{Dye, Stock};
use crate::{DyeWanted, Order, Refusal};

/// Digits of a depth as printed.
const DEPTH_DIGITS: i32 = 4;

/// Every dye of the order, dosed for this weight of goods.
pub(crate) fn dosed(order: &Order<'_>, dry: Mass) -> Result<Vec<Dye>, Refusal> {
    order.dyes.iter().filter(|dye| dye.owf.to_percent() > 0.0).map(|d| one(order, d, dry)).collect()
}

fn one(order: &Order<'_>, wanted: &DyeWanted<'_>, dry: Mass) -> Result<Dye, Refusal> {
    if let Some(agent) = alkali_within(order, wanted) {
        return Err(Refusal::HoldsAlkali { dye: wanted.name.to_owned(), agent });
    }
    let want = wanted.owf * dry;
    let dose = dose(want, wanted.form, order.kitchen.kit, &wanted.stock);
    let refuse = |reason: &str, help: &str| Refusal::CannotDose {
        dye: wanted.name.to_owned(),
        amount: units::significant(want.to_grams(), 3),
        reason: reason.to_owned(),
        help: help.to_owned(),
    };
    if let How::Cannot { reason, help } = dose.how() {
        return Err(refuse(reason, help));
    }
    let real = dose.real().filter(|real| real.to_grams() > 0.0);
    let (Some(real), Some(grams)) = (real, dose.grams()) else {
        return Err(refuse(
            "it rounds to nothing on this kit",
            "a finer scale, a smaller syringe or a weaker stock would do it",
        ));
    };
    let depth = owf_from_masses(real, dry)?.to_percent();
    let (stock_pct, stock_ml) = match dose.how() {
        How::Stock { strength_pct, volume_ml, .. }
        | How::Volume { strength_pct, volume_ml, .. } => (Some(*strength_pct), Some(*volume_ml)),
        How::Weigh { .. } | How::Cannot { .. } => (None, None),
    };
    let cost = wanted.price.map(|price| dose.try_cost(price)).transpose()?;
    Ok(Dye {
        id: wanted.id.to_owned(),
        name: wanted.name.to_owned(),
        class: wanted.class,
        ci: wanted.ci.map(str::to_owned),
        form: if matches!(wanted.form, Form::Powder) { "powder" } else { "liquid" },
        owf_pct: digits(depth),
        grams,
        stock_pct,
        stock_ml,
        price: wanted.price,
        cost,
        dose,
    })
}

/// The alkali that lies in the powder of a reactive dye, by its name: with it the dye is spent within hours of being
/// dissolved (trade knowledge, stock life).
fn alkali_within(order: &Order<'_>, wanted: &DyeWanted<'_>) -> Option<String> {
    let reactive = matches!(
        wanted.class,
        DyeClass::ReactiveDct | DyeClass::ReactiveMct | DyeClass::ReactiveVs
    );
    let within = wanted.contains.iter().filter(|it| reactive && !it.own_sachet);
    let alkali = within.filter_map(|it| order.lore.agent(it.agent).ok());
    alkali.filter(|it| it.group == AgentGroup::Alkali).map(|it| it.name.clone()).next()
}

/// The stocks these dyes are measured from.
pub(crate) fn stocks(order: &Order<'_>, dyes: &[Dye]) -> Vec<Stock> {
    let keeps = |id: &str| {
        order.dyes.iter().find(|wanted| wanted.id == id).map_or(0, |w| w.stock.keeps_days)
    };
    dyes.iter()
        .filter_map(|dye| {
            let How::Stock { volume_ml, make, .. } = dye.dose.how() else { return None };
            let left = make.leftover_ml();
            let days = keeps(&dye.id);
            let after = match (left.value() > 0.0, days) {
                (false, _) => String::new(),
                (true, 0) => format!(" {left} mL are left over: it does not keep."),
                (true, days) => format!(
                    " {left} mL are left over: label it with the day; it keeps {}, cool and dark.",
                    if days == 1 { "1 day".to_owned() } else { format!("{days} days") }
                ),
            };
            Some(Stock {
                dye: dye.id.clone(),
                strength_pct: make.strength_pct(),
                grams: make.grams(),
                make_ml: make.volume_ml(),
                used_ml: *volume_ml,
                leftover_ml: left,
                keeps_days: days,
                words: format!("{}: {}{after}", dye.name, make.words()),
            })
        })
        .collect()
}

/// All dye together in words: "4.5 g of red and 5 mL of 1 % stock of blue".
pub(crate) fn spoken(dyes: &[Dye]) -> String {
    let each: Vec<String> =
        dyes.iter().map(|dye| format!("{} of {}", dye.dose.amount(), dye.name)).collect();
    match each.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// A depth to four digits.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what a printed number may have"
)]
fn digits(percent: f64) -> Shown {
    let places = DEPTH_DIGITS - 1 - percent.max(1e-6).log10().floor() as i32;
    Shown::try_round(percent, places.clamp(0, 8) as u8).unwrap_or(Shown::ZERO).trimmed()
}

/// The water that a stock brings, for a note.
pub(crate) fn brought(dyes: &[Dye]) -> Option<String> {
    let ml: f64 = dyes.iter().map(|dye| dye.dose.volume().to_millilitres()).sum();
    (ml > 0.0).then(|| trimmed(ml, 1))
}
