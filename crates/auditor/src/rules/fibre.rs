//! Rules 6, 7 and 11: what the fibre bears and what takes on it.

use crate::Log;
use crate::agents::group_of;
use crate::classes::{Takes, takes};
use crate::materials::{Alkali, KEY, material, part_of};
use crate::read::{Sheet, Step};

/// Odds from which a fibre counts after tests (M6).
const COUNTS: f64 = 0.05;
/// Odds that must lie on fibres which dye, before a class is offered (the issue, "unknown fibre").
const ENOUGH: f64 = 0.90;
/// How near printed odds must lie to the key's starting odds to be those.
const SAME_ODDS: f64 = 0.0015;
/// A share above which a fibre that is only stained must be said not to dye.
const VISIBLE: f64 = 0.05;

/// A bath above this pH is alkaline whatever was added (the issue, trade knowledge).
const ALKALINE_PH: f64 = 9.0;
/// The gentle indigo vat of wool and silk: at most this pH and temperature (the issue; B9).
const INDIGO_MOST_PH: f64 = 9.5;
const INDIGO_MOST_C: f64 = 50.0;
/// Silk: cold, weak, short (M7; B1's cold bath 35 °C, A4 soda ash ≤ 5 g/L, ≤ 60 min).
const SILK_MOST_C: f64 = 35.0;
const SILK_MOST_G_PER_L: f64 = 5.0;
const SILK_MOST_MIN: f64 = 60.0;
/// The acid route of reactive dyes (B4).
const ACID_ROUTE_PH: std::ops::RangeInclusive<f64> = 4.5..=5.5;

/// Rule 6: goods of unknown fibre.
pub(crate) fn odds(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let goods = &sheet.goods;
    if goods.is_known() {
        return;
    }
    let total: f64 = goods.fibres.iter().filter_map(|(_, odds)| *odds).sum();
    if total > 1.01 {
        log.sheet(6, format!("the odds of the fibres add to {total:.3}, more than 1"));
    }
    let held: Vec<(f64, f64)> = KEY
        .iter()
        .map(|(row, start)| {
            let here = goods.fibres.iter().filter(|(f, _)| row.contains(f));
            (here.filter_map(|(_, odds)| *odds).sum(), *start)
        })
        .collect();
    let missing = held.iter().filter(|(odds, _)| *odds <= 0.0).count();
    if missing > 0 {
        let untested =
            held.iter().all(|(odds, start)| *odds <= 0.0 || (odds - start).abs() < SAME_ODDS);
        if untested {
            log.sheet(6, "before any test every fibre of the key counts, and some are left out");
        }
        let most_hidden = COUNTS * f64::from(u32::try_from(missing).unwrap_or(u32::MAX));
        if 1.0 - total > most_hidden {
            log.sheet(6, "the fibres left out hold so much of the odds that one must count");
        }
    }
    let dyed: f64 = goods
        .fibres
        .iter()
        .filter(|(f, _)| {
            material(f).and_then(|m| takes(sheet.procedure, m.family)) == Some(Takes::Dyes)
        })
        .filter_map(|(_, odds)| *odds)
        .sum();
    if dyed < ENOUGH * total {
        log.sheet(
            6,
            format!(
                "'{}' dyes fibres that hold only {:.2} of the odds",
                sheet.procedure,
                dyed / total
            ),
        );
    }
}

/// Rule 7: alkali.
pub(crate) fn alkali(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let mut bearing: Vec<(&str, Alkali)> = sheet
        .goods
        .fibres
        .iter()
        .filter_map(|(f, _)| material(f).map(|m| (*f, m.alkali)))
        .collect();
    bearing.extend(sheet.goods.parts.iter().filter_map(|p| part_of(p).map(|row| (*p, row.alkali))));
    let rule = sheet.goods.rule(7);
    for (name, bears) in bearing {
        match bears {
            Alkali::Never | Alkali::ColdWeakShort if gentle_indigo(sheet, name) => {}
            Alkali::Bears => {}
            Alkali::Never => {
                for step in sheet.steps.iter().filter(|s| is_alkaline(s)) {
                    log.step(rule, step.n, format!("alkali on {name}: never"));
                }
            }
            Alkali::Below(most) => {
                let most = f64::from(most);
                for step in alkaline_steps(sheet) {
                    if step.hottest().is_some_and(|t| t > most) {
                        log.step(
                            rule,
                            step.n,
                            format!("hot alkali on {name}: not above {most} °C"),
                        );
                    }
                }
            }
            Alkali::ColdWeakShort => silk(log, sheet, rule, name),
        }
    }
}

/// Silk: cold, weak and short, or the gentle indigo vat.
fn silk(log: &mut Log<'_>, sheet: &Sheet<'_>, rule: u8, name: &str) {
    if matches!(sheet.procedure, "reactive-hot" | "reactive-warm" | "vat" | "sulfur") {
        log.sheet(
            rule,
            format!("'{}' is a hot or strong alkaline bath: never on {name}", sheet.procedure),
        );
    }
    let mut minutes = 0.0;
    for step in alkaline_steps(sheet) {
        // A drain has no temperature of its own: it is the step before it that counts.
        let hot = match step.hottest() {
            Some(t) => t > SILK_MOST_C,
            None => step.act != "drain",
        };
        if hot {
            log.step(rule, step.n, format!("alkali on {name} above {SILK_MOST_C} °C"));
        }
        match step.longest() {
            Some(m) => minutes += m,
            // Draining has no time of its own; anything else without one may last for ever.
            None if step.act != "drain" => {
                log.step(rule, step.n, format!("alkali on {name}, and no time given"));
            }
            None => {}
        }
    }
    if minutes > SILK_MOST_MIN {
        log.sheet(
            rule,
            format!(
                "alkali on {name} for {minutes} min, stretching counted: at most {SILK_MOST_MIN}"
            ),
        );
    }
    let strength = strength_g_per_l(sheet);
    if strength.is_none_or(|s| s > SILK_MOST_G_PER_L * 1.02) && sheet.adds_group("alkali") {
        let found = strength.map_or("unknown".to_owned(), |s| format!("{s:.1} g/L"));
        log.sheet(rule, format!("alkali on {name}: {found}, at most {SILK_MOST_G_PER_L} g/L"));
    }
}

/// The alkali in the bath: what the steps add over the liquor, or what the list says, whichever is
/// more; `None` when an amount is missing.
fn strength_g_per_l(sheet: &Sheet<'_>) -> Option<f64> {
    let adds = sheet.steps.iter().flat_map(|s| &s.adds).filter(|a| a.is("alkali"));
    let mut grams = 0.0;
    for add in adds {
        grams += add.grams?;
    }
    let listed = sheet
        .auxiliaries
        .iter()
        .filter(|aux| {
            let id = crate::read::text(aux, "id").unwrap_or_default();
            let adds = sheet.steps.iter().flat_map(|s| &s.adds);
            group_of(id) == Some("alkali") || adds.into_iter().any(|a| a.id == id && a.is("alkali"))
        })
        .filter_map(|aux| crate::read::number(aux, "g_per_l"))
        .fold(0.0, f64::max);
    Some((grams / sheet.liquor_litres?).max(listed))
}

/// True when this step itself makes or keeps the bath alkaline.
fn is_alkaline(step: &Step<'_>) -> bool {
    let strong_ammonia =
        step.adds.iter().any(|a| a.id.contains("ammonia")) && step.ph.is_none_or(|p| p > 7.5);
    step.adds.iter().any(|a| a.is("alkali"))
        || step.ph.is_some_and(|ph| ph > ALKALINE_PH)
        || strong_ammonia
}

/// The steps from the alkali to the drain or neutralising that ends it.
fn alkaline_steps<'s>(sheet: &'s Sheet<'s>) -> impl Iterator<Item = &'s Step<'s>> {
    let mut alkaline = false;
    sheet.steps.iter().filter(move |step| {
        if is_alkaline(step) {
            alkaline = true;
        }
        let now = alkaline;
        if matches!(step.act, "drain" | "neutralise") {
            alkaline = false;
        }
        now
    })
}

/// The exception: an indigo vat at pH ≤ 9.5 and ≤ 50 °C, on wool and silk and on nothing else.
fn gentle_indigo(sheet: &Sheet<'_>, name: &str) -> bool {
    use crate::materials::Family::{Silk, Wool};
    let bath = sheet.bath();
    let mut stated = bath.iter().filter_map(|s| s.ph).peekable();
    sheet.procedure == "indigo"
        && name != "hair"
        && material(name).is_some_and(|m| matches!(m.family, Wool | Silk))
        && stated.peek().is_some()
        && stated.all(|ph| ph <= INDIGO_MOST_PH)
        && bath.iter().filter_map(Step::hottest).all(|t| t <= INDIGO_MOST_C)
}

/// Rule 7, second half: the acid route of reactive dyes has no alkali and keeps its pH.
pub(crate) fn acid_route(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    if sheet.procedure != "reactive-acid-route" {
        return;
    }
    for step in &sheet.steps {
        for add in &step.adds {
            if add.is("alkali") || (add.is("ammonia") && add.id.contains("ammonia")) {
                log.step(7, step.n, format!("'{}' in the acid route: no alkali at all", add.id));
            }
        }
    }
    let stated: Vec<_> = sheet.bath().iter().filter_map(|s| s.ph.map(|ph| (s.n, ph))).collect();
    if stated.is_empty() {
        log.sheet(7, "the acid route needs its pH on the sheet");
    }
    for (n, ph) in stated {
        if !ACID_ROUTE_PH.contains(&ph) {
            log.step(7, n, format!("pH {ph} in the acid route: 4.5 to 5.5"));
        }
    }
}

/// Rule 11: the class must match the fibre, and what will not dye must be said.
pub(crate) fn class(log: &mut Log<'_>, sheet: &Sheet<'_>, said: &[String]) {
    let cautions = sheet.cautions.iter().map(|(_, text)| text.clone());
    let sentences: Vec<String> = cautions.chain(said.iter().map(|s| s.to_lowercase())).collect();
    let mut any = false;
    for (fibre, share) in &sheet.goods.fibres {
        let Some(family) = material(fibre).map(|m| m.family) else { continue };
        let share = share.unwrap_or(1.0);
        match takes(sheet.procedure, family) {
            None => return,
            Some(Takes::Dyes) => any = true,
            Some(Takes::Ruined) => {
                log.sheet(sheet.goods.rule(11), format!("'{}' ruins {fibre}", sheet.procedure));
            }
            Some(Takes::Stained) if share <= VISIBLE => {}
            Some(_) if !sheet.goods.is_known() => {}
            Some(_) => {
                if !stays(&sentences, &[fibre, fibre.split('-').next().unwrap_or(fibre)]) {
                    log.sheet(
                        11,
                        format!(
                            "{fibre} will not dye by '{}', and nothing says so",
                            sheet.procedure
                        ),
                    );
                }
            }
        }
    }
    if !any {
        log.sheet(11, format!("'{}' dyes none of these fibres", sheet.procedure));
    }
    for part in sheet.goods.parts.iter().filter_map(|p| part_of(p)) {
        let dyes = part.family.and_then(|f| takes(sheet.procedure, f)) == Some(Takes::Dyes);
        if !dyes && !part.called.is_empty() && !stays(&sentences, &[part.called]) {
            log.sheet(11, format!("the {} stays as it is, and nothing says so", part.id));
        }
    }
}

/// True when one sentence names the thing and says that it will not dye.
fn stays(sentences: &[String], names: &[&str]) -> bool {
    let words = [
        "not dye",
        "undyed",
        "not take",
        "stays as it is",
        "stay as they are",
        "keeps its colour",
        "keep their colour",
    ];
    sentences.iter().any(|s| {
        words.iter().any(|w| s.contains(w)) && names.iter().any(|n| s.contains(&n.to_lowercase()))
    })
}
