//! Rules 12 to 15: order of work, judging, the swatch, and wearing.

use serde_json::Value;
use units::Day;

use crate::Log;
use crate::classes::is_alkaline_reactive;
use crate::read::{Sheet, Step, list, number, text};
use crate::words::{self, require, says};

/// The words with which a bulk sheet begins until its swatch is dyed (the issue, rule 14).
const PROVISIONAL: &str = "provisional: dye the swatch first";
/// A cold rinse (B1: salt and alkali out before heat; soap-off begins at 20 °C).
const COLD_C: f64 = 30.0;
/// Shares of one dose must add to the whole, within print rounding.
const WHOLE: f64 = 0.011;
/// How far the ratio of a swatch may lie from the bulk's and be "this ratio".
const SAME_RATIO: f64 = 0.02;
/// A target this much lighter than the cloth is lightening, L* (E4; one unit is a reading's noise).
const LIGHTER: f64 = 2.0;

/// Rule 12: reactive dyes with salt and alkali.
pub(crate) fn reactive(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    if sheet.procedure.starts_with("reactive") {
        dissolved(log, sheet, "dye");
        soaped_clear(log, sheet);
    }
    if !is_alkaline_reactive(sheet.procedure) {
        return;
    }
    require(log, sheet, &words::NO_TOP_UP);
    if text(sheet.raw, "no_top_up_after") != Some("alkali") {
        log.sheet(12, "the sheet does not say `no_top_up_after: alkali`");
    }
    dissolved(log, sheet, "alkali");
    let Some(first) = sheet.steps.iter().position(|s| adds(s, "alkali")) else {
        log.sheet(12, "reactive dye needs alkali, and no step adds it");
        return;
    };
    if !sheet.steps[..first].iter().any(|s| adds(s, "dye")) {
        log.sheet(12, "no dye is added before the alkali");
    }
    for step in &sheet.steps[first..] {
        for group in ["dye", "salt"] {
            if adds(step, group) {
                log.step(
                    12,
                    step.n,
                    format!("{group} goes in before the alkali, never with or after it"),
                );
            }
        }
    }
    for group in ["salt", "alkali"] {
        portions(log, sheet, group);
    }
    rinsed_cold(log, &sheet.steps[first..]);
}

fn adds(step: &Step<'_>, group: &str) -> bool {
    step.adds.iter().any(|a| a.is(group))
}

fn dissolved(log: &mut Log<'_>, sheet: &Sheet<'_>, group: &str) {
    for step in &sheet.steps {
        for add in step.adds.iter().filter(|a| a.is(group)) {
            if add.dissolved != Some(true) {
                log.step(12, step.n, format!("'{}' must be dissolved before it goes in", add.id));
            }
        }
    }
}

fn portions(log: &mut Log<'_>, sheet: &Sheet<'_>, group: &str) {
    let all = sheet.steps.iter().flat_map(|s| &s.adds).filter(|a| a.is(group));
    let mut sums: Vec<(&str, f64)> = Vec::new();
    for add in all {
        let portion = add.portion.unwrap_or(f64::NAN);
        match sums.iter_mut().find(|(id, _)| *id == add.id) {
            Some((_, sum)) => *sum += portion,
            None => sums.push((add.id, portion)),
        }
    }
    for (id, sum) in sums {
        if sum.is_nan() || (sum - 1.0).abs() > WHOLE {
            log.sheet(
                12,
                format!("the portions of '{id}' are missing or do not add to the whole dose"),
            );
        }
    }
}

/// After the alkali bath is drained, the first water is cold, and soap comes only after it.
fn rinsed_cold(log: &mut Log<'_>, from_alkali: &[Step<'_>]) {
    let Some(drain) = from_alkali.iter().position(|s| s.act == "drain") else {
        log.sheet(12, "the alkali bath is never drained");
        return;
    };
    for step in &from_alkali[..drain] {
        if matches!(step.act, "rinse" | "soap") {
            log.step(12, step.n, "drain the alkali bath before rinsing or soaping");
        }
    }
    let washes = |s: &&Step<'_>| matches!(s.act, "rinse" | "soap" | "heat" | "hold");
    match from_alkali[drain..].iter().find(washes) {
        None => log.sheet(12, "nothing is rinsed after the alkali bath"),
        Some(step) if step.act == "rinse" && step.hottest().is_some_and(|t| t <= COLD_C) => {}
        Some(step) => {
            log.step(12, step.n, "the first rinse after alkali is cold, before any hot soap")
        }
    }
}

/// Washing may be promised only when the goods are soaped or rinsed until the water is clear.
fn soaped_clear(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let claimed = sheet.raw.get("fastness_claimed").and_then(Value::as_bool);
    let clear = sheet.steps.iter().any(|s| {
        matches!(s.act, "soap" | "rinse")
            && (s.until.contains("clear") || s.until.contains("colourless"))
    });
    let soaped = sheet.steps.iter().any(|s| s.act == "soap");
    if claimed != Some(false) && !(clear && soaped) {
        log.sheet(12, "washing is promised without soaping until the rinse is clear");
    }
}

/// Rule 13: how and where to judge.
pub(crate) fn judging(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let judge = sheet.raw.get("judge").unwrap_or(&Value::Null);
    let how = text(judge, "text").unwrap_or_default().to_lowercase();
    for word in ["dry", "cool", "condition"] {
        if !how.contains(word) {
            log.sheet(13, format!("the words on judging do not say '{word}'"));
        }
    }
    let mut lights: Vec<&str> = list(judge, "lights").filter_map(Value::as_str).collect();
    lights.retain(|l| !l.trim().is_empty());
    lights.sort_unstable();
    lights.dedup();
    if lights.len() < 2 {
        log.sheet(13, "judge under two lights at least");
    }
    let judged = sheet.steps.iter().position(|s| s.act == "judge");
    if let Some(at) = judged
        && !sheet.steps[..at].iter().any(|s| s.act == "dry")
    {
        log.step(13, sheet.steps[at].n, "judged before it is dried");
    }
    let before = &sheet.steps[..judged.unwrap_or(sheet.steps.len())];
    if matches!(sheet.procedure, "vat" | "indigo") && !before.iter().any(|s| s.act == "soap") {
        log.sheet(13, "a vat dyeing is soaped before it is judged");
    }
}

/// Rule 14: swatch before bulk.
pub(crate) fn swatch(log: &mut Log<'_>, raw: &Value, sheets: &[Sheet<'_>], today: Option<&str>) {
    for (at, bulk) in sheets.iter().enumerate().filter(|(_, s)| s.kind == "bulk") {
        let signed = bulk.raw.get("waiver").is_some_and(|w| is_signed(w, today));
        let recorded = bulk.raw.get("swatch_recorded").is_some_and(|r| is_recorded(r, bulk));
        let provisional = text(bulk.raw, "first_line") == Some(PROVISIONAL);
        if !signed && !recorded && !provisional {
            log.sheet(14, format!("the bulk sheet does not begin '{PROVISIONAL}', and neither a recorded swatch on this cloth at this ratio nor a signed waiver stands in its place"));
        }
        if signed || recorded {
            continue;
        }
        // A blend dyed in two baths has a swatch for each: the bulk answers to the one dyed its way.
        let before = || sheets[..at].iter().filter(|s| s.kind == "swatch");
        let own = before().find(|s| s.procedure == bulk.procedure);
        match own.or_else(|| before().next()) {
            None => log.sheet(14, "no swatch sheet comes before the bulk sheet"),
            Some(swatch) => same_recipe(log, swatch, bulk),
        }
    }
    in_the_same_order(log, sheets);
    if text(raw, "outcome") == Some("bath")
        && sheets.iter().all(|s| s.kind != "bulk" && s.kind != "swatch")
    {
        log.sheet(14, "a bath is promised, but there is no sheet the auditor knows");
    }
}

/// Two baths follow each other in the swatch as they do in the bulk: the second goes over the first.
fn in_the_same_order(log: &mut Log<'_>, sheets: &[Sheet<'_>]) {
    let ways = |kind: &str| -> Vec<&str> {
        sheets.iter().filter(|s| s.kind == kind).map(|s| s.procedure).collect()
    };
    let (swatches, bulks) = (ways("swatch"), ways("bulk"));
    if bulks.len() > 2 {
        log.sheet(14, "the auditor knows no way of dyeing a piece in more than two baths");
    }
    if bulks.len() > 1 && !swatches.is_empty() && swatches != bulks {
        log.sheet(14, "the baths of the swatch do not follow each other as those of the bulk");
    }
}

fn is_signed(waiver: &Value, today: Option<&str>) -> bool {
    let who = text(waiver, "signed_by").is_some_and(|w| !w.trim().is_empty());
    who && is_past(text(waiver, "day"), today)
}

fn is_recorded(recorded: &Value, bulk: &Sheet<'_>) -> bool {
    let day = text(recorded, "day").is_some_and(|d| d.parse::<Day>().is_ok());
    let ratios = (number(recorded, "liquor_ratio"), number(bulk.raw, "liquor_ratio"));
    day && matches!(ratios, (Some(a), Some(b)) if (a - b).abs() <= SAME_RATIO * b)
}

/// True for a day that is one, and not after today when today is known.
fn is_past(day: Option<&str>, today: Option<&str>) -> bool {
    let Some(day) = day.and_then(|d| d.parse::<Day>().ok()) else { return false };
    today.and_then(|t| t.parse::<Day>().ok()).is_none_or(|today| day.days_until(today) >= 0)
}

/// A swatch teaches only what it shares with the bulk: way, ratio, dyes and depth.
fn same_recipe(log: &mut Log<'_>, swatch: &Sheet<'_>, bulk: &Sheet<'_>) {
    if swatch.procedure != bulk.procedure {
        log.sheet(14, "the swatch is dyed another way than the bulk");
    }
    let ratios = (number(swatch.raw, "liquor_ratio"), number(bulk.raw, "liquor_ratio"));
    if !matches!(ratios, (Some(a), Some(b)) if (a - b).abs() <= SAME_RATIO * b) {
        log.sheet(14, "the swatch has another liquor ratio than the bulk");
    }
    for dye in &bulk.dyes {
        // Depths are rounded to what each scale can weigh, so a small difference is rounding.
        let same = swatch.dyes.iter().any(|s| {
            s.id == dye.id
                && matches!((s.owf_pct, dye.owf_pct), (Some(a), Some(b)) if (a - b).abs() <= 0.1 * a.max(b) + 0.005)
        });
        if !same {
            log.sheet(14, format!("'{}' is not on the swatch sheet at the bulk's depth", dye.id));
        }
    }
    if swatch.dyes.len() != bulk.dyes.len() {
        log.sheet(14, "the swatch has other dyes than the bulk");
    }
}

/// Rule 14, last part: overdyeing cannot lighten.
pub(crate) fn lightening(log: &mut Log<'_>, raw: &Value, sheets: &[Sheet<'_>]) {
    let lightness = |key: &str| raw.get(key)?.get("lab")?.get(0)?.as_f64();
    let within = raw.pointer("/reach/within").and_then(Value::as_bool);
    if let (Some(target), Some(cloth)) = (lightness("target"), lightness("cloth"))
        && !sheets.is_empty()
        && target > cloth + LIGHTER
        && within != Some(false)
    {
        log.sheet(14, format!("the target (L* {target}) is lighter than the cloth (L* {cloth}), and overdyeing cannot lighten"));
    }
}

/// Rule 15 on a bulk sheet.
pub(crate) fn wearing(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    if sheet.kind == "swatch" {
        return;
    }
    require(log, sheet, &words::FLAME);
    require(log, sheet, &words::RUB);
}

/// Rule 15 on a piece: its label, which claims no flame protection.
pub(crate) fn label(log: &mut Log<'_>, raw: &Value, sheets: &[Sheet<'_>]) {
    if sheets.iter().all(|s| s.kind == "swatch") {
        return;
    }
    let care = raw.get("care").unwrap_or(&Value::Null);
    let label: Vec<String> = list(care, "label")
        .filter_map(Value::as_str)
        .map(str::to_lowercase)
        .filter(|l| !l.trim().is_empty())
        .collect();
    if label.is_empty() {
        log.sheet(15, "the piece has no care label");
    }
    for words in &label {
        let claims =
            says(words, &["flame", "fire"]) && says(words, &["proof", "certified", "retardant"]);
        if claims && !says(words, &["not", "never", "no "]) {
            log.sheet(15, format!("the label claims flame protection: '{words}'"));
        }
    }
}
