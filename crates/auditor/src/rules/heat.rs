//! Rules 8, 9 and 10: heat, and how fast it comes and goes.

use crate::Log;
use crate::materials::{Family, Material, material, may_be, part_of};
use crate::read::{Sheet, Step};
use crate::words::{self, require};

/// Printed rates and temperatures are rounded; this much over a limit is rounding.
const ROUNDING: f64 = 0.05;

/// Elastane that is old or of unknown age (A1).
const OLD_ELASTANE_C: f64 = 60.0;

/// Wool (M9; B5 programme): ramps above 40 °C, time at the top, how cool before the rinse, and how
/// far from the bath a rinse or the next step may lie.
const WOOL_RAMPS_FROM_C: f64 = 40.0;
const WOOL_MOST_RATE: f64 = 1.0;
const WOOL_MOST_MIN_AT_TOP: f64 = 60.0;
const WOOL_TOP_FROM_C: f64 = 80.0;
const WOOL_COOL_TO_C: f64 = 50.0;
const WOOL_RINSE_WITHIN_C: f64 = 15.0;
const WOOL_MOST_JUMP_C: f64 = 20.0;

/// Acrylic (M10; B8 programme): 0.3 °C/min from 75 °C up, ≤ 1 °C/min down to 60 °C.
const ACRYLIC_SLOW_FROM_C: f64 = 75.0;
const ACRYLIC_MOST_RATE_UP: f64 = 0.3;
const ACRYLIC_MOST_RATE_DOWN: f64 = 1.0;
const ACRYLIC_COOL_TO_C: f64 = 60.0;

/// Rule 8: no step hotter than the weakest fibre, part or finish bears.
pub(crate) fn caps(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let rule = sheet.goods.rule(8);
    let known = sheet.goods.is_known();
    let fibres = sheet.goods.fibres.iter().flat_map(|(f, _)| {
        // A row of the key stands for several materials, and elastane of unknown age is old (A1).
        let others = if known { &[] } else { may_be(f) };
        let old = !known && *f == "elastane";
        let cap = move |m: &Material| (m.id, if old { OLD_ELASTANE_C } else { m.most_c }, rule);
        material(f).into_iter().chain(others.iter().filter_map(|o| material(o))).map(cap)
    });
    let made_up = sheet.goods.material.and_then(material).map(|m| (m.id, m.most_c, 8));
    let parts = sheet.goods.parts.iter().filter_map(|p| part_of(p).map(|row| (*p, row.most_c, 8)));
    let lining =
        sheet.goods.lining.iter().filter_map(|f| material(f)).map(|m| (m.id, m.most_c, rule));
    let caps: Vec<(&str, f64, u8)> = fibres.chain(made_up).chain(parts).chain(lining).collect();
    let Some(&(weakest, cap, rule)) = caps.iter().min_by(|a, b| a.1.total_cmp(&b.1)) else {
        return;
    };
    for step in &sheet.steps {
        if step.hottest().is_some_and(|t| t > cap + ROUNDING) {
            log.step(
                rule,
                step.n,
                format!("{} °C, but {weakest} bears {cap} °C", step.hottest().unwrap_or(cap)),
            );
        }
        let needs = match step.act {
            "heat" | "cool" => step.from.is_none() || step.to.is_none(),
            "enter" | "add" | "hold" | "rinse" | "soap" | "neutralise" => step.hottest().is_none(),
            _ => false,
        };
        if needs {
            log.step(8, step.n, "the temperature is missing");
        }
        // Water in the jug in which dye is pasted may be hotter than the bath, so the words of
        // `prepare` and `add` are left alone here.
        let bathes = !matches!(step.act, "prepare" | "add" | "dry" | "judge");
        if bathes && written(&step.text).is_some_and(|t| t > cap + ROUNDING) {
            log.step(
                rule,
                step.n,
                format!("the words name a heat above the {cap} °C that {weakest} bears"),
            );
        }
    }
}

/// Rule 9: wool and hair.
pub(crate) fn wool(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let Some(wool) = sheet.goods.fibres.iter().find(|(f, _)| material(f).is_some_and(|m| m.felts))
    else {
        return;
    };
    let (name, rule) = (wool.0, sheet.goods.rule(9));
    for step in &sheet.steps {
        pace(log, step, rule, name, WOOL_RAMPS_FROM_C, WOOL_MOST_RATE, WOOL_MOST_RATE);
        let works = !matches!(step.act, "prepare" | "dry" | "judge" | "drain");
        match step.agitation {
            Some("none" | "gentle") => {}
            None if !works => {}
            None => log.step(rule, step.n, format!("{name} felts: how it is moved must be said")),
            Some(how) => log.step(rule, step.n, format!("{name} felts: '{how}' is too much")),
        }
    }
    at_the_top(log, sheet, rule, name);
    shocks(log, sheet, rule, name);
}

fn at_the_top(log: &mut Log<'_>, sheet: &Sheet<'_>, rule: u8, name: &str) {
    let bath = sheet.bath();
    let top = bath.iter().filter_map(Step::hottest).fold(f64::MIN, f64::max);
    if top < WOOL_TOP_FROM_C {
        return;
    }
    let near = |t: Option<f64>| t.is_some_and(|t| t >= top - 2.0);
    let mut minutes = 0.0;
    for step in bath.iter().filter(|s| near(s.starts()) && near(s.ends())) {
        match step.longest() {
            Some(m) => minutes += m,
            None => log.step(rule, step.n, format!("{name} at the top, and no time given")),
        }
    }
    if minutes > WOOL_MOST_MIN_AT_TOP + ROUNDING {
        log.sheet(
            rule,
            format!("{name} stays {minutes} min at the top, stretching counted: at most 60"),
        );
    }
    let end = bath.iter().rev().find_map(Step::ends);
    if end.is_none_or(|t| t > WOOL_COOL_TO_C + ROUNDING) {
        log.sheet(
            rule,
            format!("{name} must cool to {WOOL_COOL_TO_C} °C in the bath before it is rinsed"),
        );
    }
}

fn shocks(log: &mut Log<'_>, sheet: &Sheet<'_>, rule: u8, name: &str) {
    let mut before: Option<f64> = None;
    for step in sheet.steps.iter().filter(|s| !matches!(s.act, "dry" | "judge")) {
        if let (Some(last), Some(now)) = (before, step.starts()) {
            let jump = (now - last).abs();
            let most = if step.act == "rinse" { WOOL_RINSE_WITHIN_C } else { WOOL_MOST_JUMP_C };
            if jump > most + ROUNDING {
                log.step(
                    rule,
                    step.n,
                    format!("{name} goes from {last} to {now} °C at once: at most {most} °C"),
                );
            }
        }
        before = step.ends().or(before);
    }
}

/// Rule 10: acrylic.
pub(crate) fn acrylic(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let is_acrylic = |f: &str| material(f).is_some_and(|m| m.family == Family::Acrylic);
    let Some(acrylic) = sheet.goods.fibres.iter().find(|(f, _)| is_acrylic(f)) else { return };
    let rule = sheet.goods.rule(10);
    if sheet.goods.is_known() {
        require(log, sheet, &words::ACRYLIC);
    }
    let mut before: Option<f64> = None;
    for step in sheet.steps.iter().filter(|s| !matches!(s.act, "dry" | "judge")) {
        let (up, down) = (ACRYLIC_MOST_RATE_UP, ACRYLIC_MOST_RATE_DOWN);
        let (Some(from), Some(to)) = (step.starts(), step.ends()) else { continue };
        let floor = if to > from { ACRYLIC_SLOW_FROM_C } else { ACRYLIC_COOL_TO_C };
        pace(log, step, rule, acrylic.0, floor, up, down);
        // A step that begins far from where the last one ended is a shock, unless both are cool.
        if let Some(last) = before
            && last.max(from) > ACRYLIC_COOL_TO_C + ROUNDING
            && (from - last).abs() > 2.0
        {
            log.step(rule, step.n, format!("{} goes from {last} to {from} °C at once", acrylic.0));
        }
        if matches!(step.act, "rinse" | "soap") && from > ACRYLIC_COOL_TO_C + ROUNDING {
            log.step(rule, step.n, format!("{} is rinsed before it is cool", acrylic.0));
        }
        before = Some(to);
    }
    let bath_end = sheet.bath().iter().rev().find_map(Step::ends);
    if bath_end.is_some_and(|t| t > ACRYLIC_COOL_TO_C + ROUNDING) {
        log.sheet(
            rule,
            format!("{} must cool to 60 °C in the bath before it is taken out", acrylic.0),
        );
    }
}

/// Complains when a step that moves above `floor` moves faster than it may, or may be.
fn pace(log: &mut Log<'_>, step: &Step<'_>, rule: u8, name: &str, floor: f64, up: f64, down: f64) {
    let moves = match (step.from, step.to) {
        (Some(from), Some(to)) => (to - from).abs() > ROUNDING && from.max(to) > floor + ROUNDING,
        _ => matches!(step.act, "heat" | "cool"),
    };
    if !moves || matches!(step.act, "dry" | "judge") {
        return;
    }
    let most = if step.to > step.from { up } else { down };
    match step.fastest() {
        Some(rate) if rate <= most + ROUNDING => {}
        Some(rate) => log.step(rule, step.n, format!("{rate:.2} °C/min on {name}: at most {most}")),
        None => log.step(
            rule,
            step.n,
            format!("the rate is missing, and {name} bears at most {most} °C/min"),
        ),
    }
}

/// The hottest "N °C" that a text tells the maker to use (not one it warns of).
pub(crate) fn written(text: &str) -> Option<f64> {
    let mut hottest: Option<f64> = None;
    for (at, _) in text.match_indices("°c") {
        let before = text[..at].trim_end();
        let digits = before
            .char_indices()
            .rev()
            .take_while(|(_, c)| c.is_ascii_digit() || *c == '.')
            .last()
            .map_or(before.len(), |(i, _)| i);
        let Ok(figure) = before[digits..].parse::<f64>() else { continue };
        let lead: String =
            before[..digits].chars().rev().take(40).collect::<Vec<_>>().into_iter().rev().collect();
        let clause = lead.rsplit(['.', ';', ':']).next().unwrap_or_default();
        let warned =
            words::says(clause, &["never", "not ", "above", "over ", "below", "under", "no more"]);
        if !warned {
            hottest = Some(hottest.map_or(figure, |h| h.max(figure)));
        }
    }
    hottest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heat_is_read_out_of_words() {
        assert_eq!(written("soak at 85–95 °c for 10 min"), Some(95.0));
        assert_eq!(written("heat to 40 °c. never above 80 °c"), Some(40.0));
        assert_eq!(written("rinse cold"), None);
        assert_eq!(written("°c"), None);
    }
}
