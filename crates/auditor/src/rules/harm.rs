//! Rules 1 to 5: what can hurt the maker.

use serde_json::Value;

use crate::Log;
use crate::agents::{group_of, refused as refused_agent, refused_dye};
use crate::classes::{Takes, takes};
use crate::materials::{Material, material, part_of};
use crate::read::{Sheet, Step, text};
use crate::words::{self, require};

/// What may never meet hypochlorite without a full rinse between (M1, H7).
const NEVER_WITH_BLEACH: [&str; 5] = ["acid", "ammonia", "reducer", "oxidiser", "dye"];
/// Hypochlorite baths are cool: A1 cotton ≤ 40 °C.
const BLEACH_MOST_C: f64 = 40.0;
/// Nothing at home is hotter than an open pot (M4).
const OPEN_POT_C: f64 = 100.0;
/// Plastic vessels (H1).
const PLASTIC_MOST_C: f64 = 60.0;
/// Below this pH a reducer gives off sulfur dioxide (H7).
const REDUCER_LEAST_PH: f64 = 6.0;

/// Rule 1: hypochlorite.
pub(crate) fn bleach(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    walk(sheet, |step, new, held| {
        for (a, b) in meetings(new, held) {
            if a == "hypochlorite" && NEVER_WITH_BLEACH.contains(&b) {
                log.step(1, step.n, format!("hypochlorite meets {b} without a full rinse between"));
            }
        }
        let bleaching = new.contains(&"hypochlorite") || held.contains(&"hypochlorite");
        if bleaching && step.hottest().is_some_and(|t| t > BLEACH_MOST_C) {
            log.step(1, step.n, format!("hypochlorite above {BLEACH_MOST_C} °C"));
        }
    });
    if !sheet.adds_group("hypochlorite") {
        return;
    }
    require(log, sheet, &words::BLEACH);
    for (fibre, _) in &sheet.goods.fibres {
        if !material(fibre).is_some_and(|m| m.bears_bleach) {
            log.sheet(1, format!("hypochlorite ruins {fibre}"));
        }
    }
    for part in &sheet.goods.parts {
        if !part_of(part).is_some_and(|p| p.bears_bleach) {
            log.sheet(1, format!("hypochlorite ruins the {part}"));
        }
    }
    if left_at_the_end(sheet).contains(&"hypochlorite") {
        log.sheet(1, "hypochlorite is not rinsed out at the end");
    }
}

/// Those who must not be near dye powder, by their word in the plan.
const NOT_NEAR_POWDER: [(&str, &str); 3] = [
    ("asthma", "someone with asthma"),
    ("pregnancy", "someone pregnant"),
    ("children", "children"),
];

/// Rule 2: reactive powder; and any dye powder near those it can harm.
pub(crate) fn powder(log: &mut Log<'_>, sheet: &Sheet<'_>, people: &Value) {
    let near = |key: &str| people.get(key).and_then(Value::as_bool);
    for dye in sheet.dyes.iter().filter(|dye| dye.form != "liquid") {
        for (_, who) in NOT_NEAR_POWDER.iter().filter(|(key, _)| near(key) == Some(true)) {
            log.sheet(2, format!("'{}' is powder with {who} near: a liquid, or no bath", dye.name));
        }
    }
    let reactive = |class: &str| class.contains("reactive");
    let by_procedure = reactive(sheet.procedure);
    let suspects = sheet.dyes.iter().filter(|d| by_procedure || reactive(d.class));
    let powders: Vec<_> = suspects.filter(|d| d.form != "liquid").collect();
    if powders.is_empty() {
        return;
    }
    require(log, sheet, &words::POWDER);
    for dye in &powders {
        if dye.form != "powder" {
            log.sheet(2, format!("'{}' is neither powder nor liquid: '{}'", dye.name, dye.form));
        }
    }
    for (_, who) in NOT_NEAR_POWDER.iter().filter(|(key, _)| near(key).is_none()) {
        log.sheet(2, format!("the plan does not say whether {who} may be near"));
    }
}

/// Rule 3: vessels.
pub(crate) fn vessel(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    require(log, sheet, &words::VESSELS);
    let vessel = sheet.raw.get("vessel").unwrap_or(&Value::Null);
    let of = text(vessel, "material").unwrap_or_default();
    let mut unlike: Vec<&str> = sheet.steps.iter().filter_map(|s| s.vessel).collect();
    unlike.push(of);
    unlike.sort_unstable();
    unlike.dedup();
    for of in unlike {
        match of {
            "stainless" | "enamel" | "glass" | "plastic" => {}
            "" => log.sheet(3, "the sheet does not say what the vessel is made of"),
            _ => log.sheet(3, format!("the auditor does not know a vessel of '{of}'")),
        }
    }
    for step in sheet.steps.iter().filter(|s| in_the_vessel(s)) {
        let plastic = step.vessel.unwrap_or(of) == "plastic";
        if plastic && step.hottest().is_some_and(|t| t > PLASTIC_MOST_C) {
            log.step(8, step.n, format!("a plastic vessel above {PLASTIC_MOST_C} °C"));
        }
    }
    dyed_in_one(log, sheet);
}

/// Rinsing may be done elsewhere, and in turns; goods are dyed in one vessel.
fn dyed_in_one(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    let rinses = |act: &str| matches!(act, "prepare" | "rinse" | "soap" | "neutralise" | "drain");
    for step in sheet.bath().iter().filter(|s| s.vessel.is_some() && !rinses(s.act)) {
        log.step(3, step.n, "the dye bath moves to another vessel");
    }
}

/// Drying and judging happen outside the vessel.
fn in_the_vessel(step: &Step<'_>) -> bool {
    !matches!(step.act, "dry" | "judge")
}

/// Rule 4: what is refused outright, and heat beyond an open pot.
pub(crate) fn refused(log: &mut Log<'_>, sheet: &Sheet<'_>) {
    if sheet.procedure == "sulfur" {
        log.sheet(4, "sulfur dyeing needs sulfide, which is refused");
    }
    for dye in &sheet.dyes {
        for word in [dye.id, dye.name, dye.ci] {
            for why in refused_dye(word).into_iter().chain(refused_agent(word)) {
                log.sheet(4, why);
            }
        }
    }
    for aux in &sheet.auxiliaries {
        for key in ["id", "name"] {
            if let Some(why) = refused_agent(text(aux, key).unwrap_or_default()) {
                log.sheet(4, why);
            }
        }
    }
    for step in &sheet.steps {
        for add in &step.adds {
            if let Some(why) = refused_agent(add.id) {
                log.step(4, step.n, why);
            }
        }
        let written = super::heat::written(&step.text);
        let hottest = step.hottest().into_iter().chain(written).fold(f64::MIN, f64::max);
        if in_the_vessel(step) && hottest > OPEN_POT_C {
            log.step(4, step.n, format!("{hottest} °C is hotter than an open pot can be"));
        }
        if words::says(
            &step.text,
            &["pressure cooker", "pressure pot", "under pressure", "autoclave"],
        ) && !words::says(&step.text, &["never", "no pressure", "not "])
        {
            log.step(4, step.n, "pressure is blocked at home");
        }
    }
}

/// Rule 5: dithionite, thiourea dioxide and their like.
pub(crate) fn reducer(log: &mut Log<'_>, sheet: &Sheet<'_>, people: &Value) {
    walk(sheet, |step, new, held| {
        for (a, b) in meetings(new, held) {
            let acid = b == "acid" && step.ph.is_none_or(|ph| ph < REDUCER_LEAST_PH);
            if a == "reducer" && (acid || b == "oxidiser") {
                log.step(5, step.n, format!("a reducer meets {b} without a full rinse between"));
            }
        }
        let reducing = new.contains(&"reducer") || held.contains(&"reducer");
        if reducing && step.ph.is_some_and(|ph| ph < REDUCER_LEAST_PH) {
            log.step(5, step.n, format!("a reducer below pH {REDUCER_LEAST_PH}"));
        }
    });
    let reducers: Vec<&str> = sheet
        .steps
        .iter()
        .flat_map(|s| &s.adds)
        .filter(|a| a.is("reducer"))
        .map(|a| a.id)
        .collect();
    let (sugars, reducers): (Vec<&str>, Vec<&str>) =
        reducers.into_iter().partition(|id| is_fruit_sugar(id));
    if !sugars.is_empty() {
        require(log, sheet, &words::SUGAR_VAT);
    }
    let (sulfites, strong): (Vec<&str>, Vec<&str>) =
        reducers.iter().partition(|id| id.contains("bisulfite") || id.contains("thiosulfate"));
    if !strong.is_empty() {
        require(log, sheet, &words::REDUCER);
    }
    if !sulfites.is_empty() {
        require(log, sheet, &words::SULFITE);
    }
    if reducers.is_empty() {
        return;
    }
    for (fibre, _) in &sheet.goods.fibres {
        // The gentle indigo vat is a reducing bath in which hair fibres do dye (C).
        let vat = |m: &Material| takes(sheet.procedure, m.family) == Some(Takes::Dyes);
        let vat = material(fibre).is_some_and(|m| sheet.procedure == "indigo" && vat(m));
        if !vat && !material(fibre).is_some_and(|m| m.bears_reducer) {
            log.sheet(5, format!("a reducing bath ruins {fibre}"));
        }
    }
    for (key, who) in [("pregnancy", "someone pregnant"), ("children", "children")] {
        if people.get(key).and_then(Value::as_bool) != Some(false) {
            log.sheet(5, format!("a reducer with {who} near"));
        }
    }
}

/// Sugars that reduce an indigo vat: mild, not of rule 5 but for the cap (H7).
fn is_fruit_sugar(id: &str) -> bool {
    ["fructose", "fruit-sugar", "glucose"].iter().any(|sugar| id.contains(sugar))
}

/// Goes through the steps and hands each one over with the groups it adds and those still on the
/// goods or in the bath from before. A full rinse is a drain and then at least one rinse.
fn walk<'s>(
    sheet: &'s Sheet<'s>,
    mut see: impl FnMut(&Step<'s>, &[&'s str], &[&'s str]),
) -> Vec<&'s str> {
    let mut held: Vec<&'s str> = Vec::new();
    let mut drained = false;
    for step in &sheet.steps {
        let mut new: Vec<&'s str> = Vec::new();
        for add in &step.adds {
            // A fruit-sugar vat gives off nothing with acid: only its alkali counts.
            if add.group == "reducer" && is_fruit_sugar(add.id) {
                continue;
            }
            new.extend([add.group].into_iter().chain(group_of(add.id)));
        }
        if step.act == "rinse" && drained {
            held.clear();
        }
        see(step, &new, &held);
        held.append(&mut new);
        drained = step.act == "drain" || (drained && step.act == "rinse");
    }
    held
}

fn left_at_the_end<'s>(sheet: &'s Sheet<'s>) -> Vec<&'s str> {
    walk(sheet, |_, _, _| {})
}

/// Pairs of groups that meet now, both ways round.
fn meetings<'s>(new: &[&'s str], held: &[&'s str]) -> Vec<(&'s str, &'s str)> {
    let mut pairs = Vec::new();
    for (i, a) in new.iter().enumerate() {
        for b in new[i + 1..].iter().chain(held) {
            pairs.extend([(*a, *b), (*b, *a)]);
        }
    }
    pairs
}
