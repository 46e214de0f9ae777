//! Whether the auditor knows what it is shown. What it does not know counts as the breach of the
//! rule that would have judged it.

use serde_json::Value;

use crate::Log;
use crate::agents::{GROUPS, group_of, may_be_called};
use crate::classes::{belongs, takes};
use crate::materials::{Family, material, part_of};
use crate::read::{Goods, Sheet, Step, list, text};
use crate::words::says;

/// What may be done in a step (docs/json.md).
const ACTS: [&str; 12] = [
    "prepare",
    "enter",
    "add",
    "heat",
    "hold",
    "cool",
    "drain",
    "rinse",
    "soap",
    "neutralise",
    "dry",
    "judge",
];

/// Rounding that shares of a whole may be off by when printed.
const WHOLE: f64 = 0.011;

/// Names everything on a sheet that the auditor does not know.
pub(crate) fn everything(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    if !matches!(sheet.kind, "swatch" | "bulk") {
        log.sheet(14, unknown("kind of sheet", sheet.kind));
    }
    if takes(sheet.procedure, Family::Cotton).is_none() {
        log.sheet(11, unknown("procedure", sheet.procedure));
    }
    goods(log, &sheet.goods);
    if sheet.dyes.is_empty() {
        log.sheet(11, "the sheet names no dye");
    }
    for dye in &sheet.dyes {
        if dye.id.trim().is_empty() && dye.name.trim().is_empty() {
            log.sheet(4, "a dye without a name cannot be vouched for");
        }
        if belongs(dye.class, sheet.procedure) == Some(false) {
            log.sheet(
                11,
                format!(
                    "'{}' is of class '{}', which is not dyed by '{}'",
                    dye.name, dye.class, sheet.procedure
                ),
            );
        }
    }
    if sheet.steps.is_empty() {
        log.sheet(8, "the sheet has no steps");
    }
    let mut last = 0;
    for step in &sheet.steps {
        one_step(log, step);
        if step.n <= last {
            log.step(1, step.n, "the steps are not numbered in the order they are printed");
        }
        last = step.n;
    }
    for aux in &sheet.auxiliaries {
        let id = text(aux, "id").unwrap_or_default();
        let enters = sheet.steps.iter().flat_map(|s| &s.adds).any(|a| a.id == id);
        if !enters {
            log.sheet(
                1,
                format!("'{id}' is listed but no step adds it, so its group is not known"),
            );
        }
    }
}

fn goods(log: &mut Log<'_>, goods: &Goods<'_>) {
    if goods.known.is_none() {
        log.sheet(6, "the sheet does not say whether the fibre is known");
    }
    if goods.fibres.is_empty() {
        log.sheet(6, "the sheet does not say which fibres the goods are or may be");
    }
    for (fibre, share) in &goods.fibres {
        if material(fibre).is_none() {
            log.sheet(6, unknown("fibre", fibre));
        }
        if !share.is_some_and(|s| (0.0..=1.0).contains(&s)) {
            log.sheet(6, format!("the share of '{fibre}' is missing or not between 0 and 1"));
        }
    }
    let whole: f64 = goods.fibres.iter().filter_map(|(_, s)| *s).sum();
    if goods.is_known() && (whole - 1.0).abs() > WHOLE {
        log.sheet(6, format!("the shares of the fibres add to {whole:.3}, not 1"));
    }
    for part in &goods.parts {
        if part_of(part).is_none() {
            log.sheet(8, unknown("part", part));
        }
    }
}

fn one_step(log: &mut Log<'_>, step: &Step<'_>) {
    if !ACTS.contains(&step.act) {
        log.step(1, step.n, unknown("act", step.act));
    }
    words_and_figures(log, step);
    for key in &step.nonsense {
        log.step(8, step.n, format!("`{key}` is not a figure that can be"));
    }
    if step.agitation.is_some_and(|a| !matches!(a, "none" | "gentle" | "stir")) {
        log.step(9, step.n, unknown("agitation", step.agitation.unwrap_or_default()));
    }
    if step.act == "add" && step.adds.is_empty() {
        log.step(1, step.n, "something is added, but the sheet does not say what");
    }
    for add in &step.adds {
        if !GROUPS.contains(&add.group) {
            log.step(1, step.n, format!("'{}': {}", add.id, unknown("group", add.group)));
        }
        if let Some(own) = group_of(add.id)
            && !may_be_called(own, add.group)
        {
            log.step(1, step.n, format!("'{}' is called '{}', but it is {own}", add.id, add.group));
        }
    }
}

/// Agents that a step's words may not bring in behind the back of its figures: the words, the group,
/// and the rule that would have judged it.
const IN_WORDS: [(&[&str], &str, u8); 3] = [
    (&["chlorine bleach", "hypochlorite"], "hypochlorite", 1),
    (&["dithionite", "thiourea dioxide"], "reducer", 5),
    (&["soda ash", "washing soda", "caustic soda"], "alkali", 7),
];

/// What the words of a step add must stand among its figures.
fn words_and_figures(log: &mut Log<'_>, step: &Step<'_>) {
    let warns = says(&step.text, &["never", "no ", "not "]);
    let adds = says(&step.text, &["add ", "stir in", "pour", "sprinkle", "put in"]);
    for (names, group, rule) in IN_WORDS {
        let figures = step.adds.iter().any(|a| a.is(group));
        if adds && !warns && !figures && step.act != "prepare" && says(&step.text, names) {
            log.step(rule, step.n, format!("the words add '{}', the figures do not", names[0]));
        }
    }
}

/// A piece must say what comes of it, and be consistent with the sheets it has.
pub(crate) fn outcome(
    log: &mut Log<'_>,
    raw: &Value,
    goods: Option<&Goods<'_>>,
    sheets: &[Sheet<'_>],
) {
    let outcome = text(raw, "outcome").unwrap_or_default();
    match outcome {
        "bath" if sheets.is_empty() => log.sheet(14, "a bath is promised, but there is no sheet"),
        "no-bath" | "leave" | "shares-bath" if !sheets.is_empty() => {
            log.sheet(14, format!("the outcome is '{outcome}', yet a sheet is printed"));
        }
        "bath" | "no-bath" | "leave" | "shares-bath" => {}
        _ => log.sheet(14, unknown("outcome", outcome)),
    }
    let Some(goods) = goods else {
        log.sheet(6, "the piece does not say what its goods are");
        return;
    };
    if outcome == "no-bath" && !goods.is_known() && list(raw, "tests").next().is_none() {
        log.sheet(6, "the fibre is unknown and no test is named");
    }
    for sheet in sheets {
        let same = sheet.goods.known == goods.known
            && sheet.goods.material == goods.material
            && sheet.goods.fibres == goods.fibres
            && sheet.goods.parts == goods.parts;
        // A swatch is cut from the cloth, so the parts may be left off it.
        let cut = sheet.kind == "swatch"
            && sheet.goods.known == goods.known
            && sheet.goods.material == goods.material
            && sheet.goods.fibres == goods.fibres
            && sheet.goods.parts.is_empty();
        if !same && !cut {
            log.sheet(
                6,
                format!("the goods of the {} sheet are not the goods of the piece", sheet.kind),
            );
        }
    }
}

fn unknown(what: &str, word: &str) -> String {
    if word.is_empty() {
        format!("the {what} is missing")
    } else {
        format!("the auditor does not know the {what} '{word}'")
    }
}
