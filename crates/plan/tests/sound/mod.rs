//! What must hold of every finished plan: the auditor's rules, and that every printed figure reconciles with
//! the others to the printed digit.

use costume::Shelf;
use serde_json::Value;

use crate::common::{costume, planned};

/// Audits and reconciles one costume text on a shelf; gives the plan.
pub(crate) fn sound(text: &str, shelf: &Shelf) -> Result<Value, String> {
    let costume = costume(text).map_err(|e| e.to_string())?;
    let plan = planned(&costume, shelf).map_err(|e| e.to_string())?;
    let plan = serde_json::to_value(plan).map_err(|e| e.to_string())?;
    let broken = auditor::audit(&plan).map_err(|e| e.why)?;
    if let Some(first) = broken.first() {
        return Err(format!("{first}\n{text}"));
    }
    reconciles(&plan).map_err(|e| format!("{e}\n{text}"))?;
    Ok(plan)
}

fn number(value: &Value, key: &str) -> Option<f64> {
    value.get(key).and_then(Value::as_f64)
}

fn list<'v>(value: &'v Value, key: &str) -> impl Iterator<Item = &'v Value> {
    value.get(key).and_then(Value::as_array).into_iter().flatten()
}

/// Whether two printed figures are the same to the last printed digit, binary noise aside.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9 * (1.0 + a.abs())
}

fn hundredths(amount: f64) -> f64 {
    // Half away from zero on the decimal figure: a hair above binary noise.
    ((amount * 100.0) * (1.0 + 1e-12)).round() / 100.0
}

/// Every dose from a stock has its stock: made for its own sheet, or left over from the swatch of the piece, with
/// enough left for it.
fn stocked(piece: &Value) -> Result<(), String> {
    let made = |kind: &str, id: &Value| -> f64 {
        let sheets = list(piece, "sheets").filter(|sheet| sheet["kind"] == kind);
        let stocks = sheets.flat_map(|sheet| list(sheet, "stocks"));
        let left = stocks.filter(|stock| stock["dye"] == *id).map(|stock| {
            number(stock, "make_ml").unwrap_or(0.0) - number(stock, "used_ml").unwrap_or(0.0)
        });
        left.fold(0.0, f64::max)
    };
    for sheet in list(piece, "sheets") {
        for dye in list(sheet, "dyes").filter(|dye| dye["how"] == "stock") {
            let own = list(sheet, "stocks").any(|stock| stock["dye"] == dye["id"]);
            let needs = number(dye, "stock_ml").unwrap_or(f64::INFINITY);
            if !own && (sheet["kind"] == "swatch" || made("swatch", &dye["id"]) < needs - 1e-6) {
                return Err(format!("{}: no stock of {} for its bath", piece["id"], dye["id"]));
            }
        }
    }
    Ok(())
}

fn reconciles(plan: &Value) -> Result<(), String> {
    list(plan, "pieces").try_for_each(stocked)?;
    let mut bought = std::collections::BTreeMap::new();
    for (piece, sheet) in list(plan, "pieces").flat_map(|p| list(p, "sheets").map(move |s| (p, s)))
    {
        // Friends dye from one stock made for all of them; what is weighed for it is the list's.
        let shared = |id: &str| {
            let friends = piece.get("friends").filter(|_| sheet["kind"] == "bulk")?;
            list(friends, "stocks").find(|s| s["dye"] == id).and_then(|s| number(s, "grams"))
        };
        for dye in list(sheet, "dyes") {
            let grams = number(dye, "grams").ok_or("a dye without grams")?;
            let id = dye["id"].as_str().ok_or("a dye without id")?;
            if let (Some(ml), Some(pct)) = (number(dye, "stock_ml"), number(dye, "stock_pct"))
                && !same(ml * pct / 100.0, grams)
            {
                return Err(format!("{id}: {ml} mL × {pct} % is not {grams} g"));
            }
            if let (Some(price), Some(cost)) = (number(dye, "price_per_g"), number(dye, "cost"))
                && !same(hundredths(grams * price), cost)
            {
                return Err(format!("{id}: {grams} g × {price} is not {cost}"));
            }
            if dye["how"] != "stock" {
                let weighed = shared(id).unwrap_or(grams);
                *bought.entry(("dye", id.to_owned())).or_insert(0.0) += weighed;
            }
        }
        for stock in list(sheet, "stocks") {
            let (grams, ml, pct) = (
                number(stock, "grams").ok_or("a stock without grams")?,
                number(stock, "make_ml").ok_or("a stock without volume")?,
                number(stock, "stock_pct").ok_or("a stock without strength")?,
            );
            let id = stock["dye"].as_str().ok_or("a stock without dye")?.to_owned();
            if !same(ml * pct / 100.0, grams) {
                return Err(format!("stock of {id}: {ml} mL × {pct} % is not {grams} g"));
            }
            *bought.entry(("dye", id)).or_insert(0.0) += grams;
        }
        for aux in list(sheet, "auxiliaries") {
            let id = aux["id"].as_str().ok_or("an auxiliary without id")?.to_owned();
            let grams = number(aux, "grams").ok_or("an auxiliary without grams")?;
            *bought.entry(("auxiliary", id)).or_insert(0.0) += grams;
        }
        let dyed: f64 = list(sheet, "dyes").filter_map(|d| number(d, "grams")).sum();
        let added: f64 = list(sheet, "steps")
            .flat_map(|s| list(s, "adds"))
            .filter(|a| a["id"] == "dye")
            .filter_map(|a| number(a, "grams"))
            .sum();
        if (dyed - added).abs() > 1e-6 {
            return Err(format!("{dyed} g of dye weighed but {added} g added"));
        }
    }
    for aux in list(plan, "scours").flat_map(|scour| list(scour, "auxiliaries")) {
        let id = aux["id"].as_str().ok_or("an auxiliary without id")?.to_owned();
        let grams = number(aux, "grams").ok_or("an auxiliary without grams")?;
        *bought.entry(("auxiliary", id)).or_insert(0.0) += grams;
    }
    let shopping = &plan["shopping"];
    let mut total = 0.0;
    for row in list(shopping, "rows") {
        let kind = if row["kind"] == "dye" { "dye" } else { "auxiliary" };
        let id = row["item"].as_str().ok_or("a row without item")?.to_owned();
        let grams = number(row, "grams").ok_or("a row without grams")?;
        let used = bought.remove(&(kind, id.clone())).ok_or(format!("{id} is bought, not used"))?;
        if (used - grams).abs() > 5e-5 {
            return Err(format!("{id}: sheets take {used} g, the list says {grams} g"));
        }
        if let (Some(price), Some(cost)) = (number(row, "price_per_g"), number(row, "cost")) {
            if !same(hundredths(grams * price), cost) {
                return Err(format!("{id}: {grams} g × {price} is not {cost}"));
            }
            total += cost;
        }
    }
    if let Some(((_, id), _)) = bought.into_iter().next() {
        return Err(format!("{id} is used but not on the list"));
    }
    let said = number(shopping, "total").ok_or("no total")?;
    if !same(hundredths(total), said) {
        return Err(format!("the costs add to {total}, the list says {said}"));
    }
    packs(shopping)?;
    for sheet in list(plan, "pieces").flat_map(|p| list(p, "sheets")) {
        weighed(sheet)?;
    }
    for stock in list(plan, "pieces").flat_map(|p| list(&p["friends"], "stocks")) {
        shared_out(stock)?;
    }
    list(plan, "pieces").try_for_each(reach)?;
    list(plan, "sets").try_for_each(set)
}

/// Nothing a piece may be dyed with is nearer its colour than what is said to be the nearest.
fn reach(piece: &Value) -> Result<(), String> {
    let reach = &piece["reach"];
    // A glow is in the recipes' figures and not in the nearest colour's.
    let Some(gap) = number(reach, "gap").filter(|_| reach["without_glow"] != true) else {
        return Ok(());
    };
    let lights = list(&piece["expected"], "lights");
    for one in list(piece, "recipes").chain(lights.take(1)) {
        let difference = number(one, "difference").ok_or("a recipe without its difference")?;
        if difference < gap - 1e-9 && piece["outcome"] != "shares-bath" {
            return Err(format!("{}: {difference} is nearer than the nearest, {gap}", piece["id"]));
        }
    }
    Ok(())
}

/// Whole packs cover what is short, and cost what is to be paid.
fn packs(shopping: &Value) -> Result<(), String> {
    let mut sum = 0.0;
    for row in list(shopping, "rows") {
        let Some(packs) = number(row, "packs") else { continue };
        let item = &row["item"];
        let (size, price) = (number(row, "pack_g"), number(row, "pack_price"));
        let (size, price) = (size.ok_or("no pack_g")?, price.ok_or("no pack_price")?);
        let short = number(row, "short_g").ok_or("packs for what is not short")?;
        if packs * size < short - 1e-9 || (packs - 1.0) * size >= short - 1e-9 {
            return Err(format!("{item}: {packs} packs of {size} g for {short} g"));
        }
        let pays = number(row, "to_pay").ok_or("packs without to_pay")?;
        if !same(hundredths(packs * price), pays) {
            return Err(format!("{item}: {packs} × {price} is not {pays}"));
        }
        sum += pays;
    }
    let said = number(shopping, "to_pay").ok_or("no to_pay")?;
    if !same(hundredths(sum), said) {
        return Err(format!("packs cost {sum}, the list says {said}"));
    }
    let cheapest = &shopping["cheapest"];
    let (least, chosen) = (number(cheapest, "to_pay"), number(cheapest, "chosen_to_pay"));
    match (least, chosen) {
        (Some(least), Some(chosen)) if least > chosen + 1e-9 => {
            Err(format!("the cheapest dyes cost {least}, those chosen {chosen}"))
        }
        _ => Ok(()),
    }
}

/// What was weighed adds up to the weights of the bath.
fn weighed(sheet: &Value) -> Result<(), String> {
    let lines: Vec<&Value> = list(sheet, "weights").collect();
    if lines.is_empty() {
        return Ok(());
    }
    for (line, whole) in [("grams", "dry_g"), ("takes_g", "takes_g")] {
        let sum: f64 = lines.iter().filter_map(|l| number(l, line)).sum();
        let said = number(sheet, whole).ok_or("a sheet without weights")?;
        if (sum - said).abs() > 1e-6 {
            return Err(format!("the lines add to {sum} g, {whole} says {said}"));
        }
    }
    Ok(())
}

/// A stock made once for all is dissolved as it says.
fn shared_out(stock: &Value) -> Result<(), String> {
    let of = |key| number(stock, key).ok_or(format!("a shared stock without {key}"));
    let (grams, ml, pct) = (of("grams")?, of("make_ml")?, of("stock_pct")?);
    if same(ml * pct / 100.0, grams) {
        Ok(())
    } else {
        Err(format!("shared stock: {ml} mL × {pct} % is not {grams} g"))
    }
}

/// A set is as far apart as its worst pair, and holds when that passes.
fn set(set: &Value) -> Result<(), String> {
    let worst = list(set, "pairs").filter_map(|p| number(p, "worst")).fold(0.0, f64::max);
    let largest = number(set, "largest").ok_or("a set without largest")?;
    if !same(worst, largest) {
        return Err(format!("{}: worst pair {worst}, largest {largest}", set["name"]));
    }
    let passes = number(set, "passes").ok_or("a set without passes")?;
    let alone = number(set, "largest_alone").ok_or("a set without largest_alone")?;
    if set["holds"] == true && largest > passes + 0.006 {
        return Err(format!("{} holds at {largest} > {passes}", set["name"]));
    }
    let (within, first) = (number(set, "within90"), number(set, "first90"));
    let (within, first) = within.zip(first).ok_or("a set without its scatter")?;
    if within < largest - 0.06 || first < within - 0.11 {
        return Err(format!(
            "{}: {largest}, {within} nine times in ten, {first} first",
            set["name"]
        ));
    }
    // What is dosed differs from what was searched by the last digit of the measure.
    if largest > alone + 0.3 {
        return Err(format!("{}: {largest} together, {alone} alone", set["name"]));
    }
    Ok(())
}
