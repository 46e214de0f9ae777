//! Rules 22 and 23: weights and doses reckon up on the sheet as printed, and what a kit brings with it is
//! not dosed a second time.

use serde_json::Value;

use crate::Log;
use crate::read::{Sheet, list, number, text};
use crate::whole::share::members;
use crate::whole::{Piece, named};

/// Half the last printed digit of a weight (grams to a tenth) and of a liquor ratio (to a tenth).
const HALF_TENTH: f64 = 0.05;
/// Half the last printed digit of a bath in whole millilitres, and what the float adds.
const HALF_ML: f64 = 0.5 + 1e-6;
/// A depth is printed to four digits: it may be off by half of the fourth, at most this share of it.
const FOUR_DIGITS: f64 = 0.5e-3 + 1e-9;
/// How far a printed dose of an auxiliary may lie from its rate: rounded to what the scale shows. The rates
/// themselves are good to ±30 % only (trade.md, note on tags).
const AUXILIARY: f64 = 0.12;
/// A dose this small is taken as the nearest thing that can be measured, grams.
const LEAST_G: f64 = 0.05;
/// Soapings or rinses for which one list entry may stand, each with the rate it names.
const BATHS: u8 = 4;

/// Both rules on every sheet of the plan.
pub(crate) fn weights(log: &mut Log<'_>, pieces: &[Piece<'_>]) {
    for piece in pieces {
        parts(log, piece);
        for sheet in &piece.sheets {
            if sheet.kind == "bulk" {
                whole_goods(log, pieces, piece, sheet);
            }
            one_sheet(log, piece, sheet);
            kit(log, piece, sheet);
        }
    }
}

/// Parts weigh less than the whole they are part of.
fn parts(log: &mut Log<'_>, piece: &Piece<'_>) {
    let goods = piece.raw.get("goods").unwrap_or(&Value::Null);
    let mut weigh = 0.0;
    for part in list(goods, "parts_weigh") {
        match number(part, "grams").filter(|g| *g >= 0.0) {
            Some(grams) => weigh += grams,
            None => log.about(22, piece.id, "a part is weighed, and its weight is no weight"),
        }
    }
    if weigh > 0.0 && number(goods, "dry_g").is_none_or(|dry| weigh >= dry) {
        log.about(22, piece.id, format!("its parts weigh {weigh} g, as much as the whole or more"));
    }
}

/// Everything that lies in a bulk bath is in its weight: the pieces it is for and their spare cloth.
fn whole_goods(log: &mut Log<'_>, pieces: &[Piece<'_>], piece: &Piece<'_>, sheet: &Sheet<'_>) {
    let inside = members(sheet);
    let weigh = |id: &&str| {
        let raw = named(pieces, id)?.raw;
        let spare = raw.get("spare").map_or(Some(0.0), |s| number(s, "grams"))?;
        Some(number(raw.get("goods")?, "dry_g")? + spare)
    };
    let each: Option<Vec<f64>> = inside.iter().map(weigh).collect();
    let (Some(each), Some(dry)) = (each, number(sheet.raw, "dry_g")) else {
        log.about(22, piece.id, "what lies in its bath cannot be weighed up");
        return;
    };
    let sum: f64 = each.iter().sum();
    #[expect(clippy::cast_precision_loss, reason = "a handful of pieces")]
    let rounding = 2.0 * HALF_TENTH * (each.len() + 1) as f64;
    if (sum - dry).abs() > rounding {
        log.about(
            22,
            piece.id,
            format!("{sum:.1} g lie in its bath, and the sheet is reckoned for {dry} g"),
        );
    }
}

fn one_sheet(log: &mut Log<'_>, piece: &Piece<'_>, sheet: &Sheet<'_>) {
    let of = |key| number(sheet.raw, key).filter(|x| *x > 0.0);
    let (Some(dry), Some(takes), Some(ratio), Some(liquor)) =
        (of("dry_g"), of("takes_g"), of("liquor_ratio"), of("liquor_ml"))
    else {
        log.about(
            22,
            piece.id,
            format!("its {} sheet lacks a weight, a ratio or a volume", sheet.kind),
        );
        return;
    };
    if takes > dry + 1e-9 {
        log.about(22, piece.id, format!("{takes} g take the dye of {dry} g that get wet"));
    }
    // The ratio is litres per kilogram of what takes the dye.
    let slack = HALF_TENTH * takes + HALF_TENTH * ratio + HALF_ML;
    if (ratio * takes - liquor).abs() > slack {
        log.about(22, piece.id, format!("{takes} g at {ratio} L/kg are not {liquor} mL"));
    }
    for dye in list(sheet.raw, "dyes") {
        let id = text(dye, "id").unwrap_or_default();
        let (Some(owf), Some(grams)) = (number(dye, "owf_pct"), number(dye, "grams")) else {
            log.about(22, piece.id, format!("'{id}' has no depth or no weight"));
            continue;
        };
        let slack = grams.abs() * (FOUR_DIGITS + HALF_TENTH / takes) + 1e-9;
        if (owf / 100.0 * takes - grams).abs() > slack {
            log.about(22, piece.id, format!("'{id}': {owf} % of {takes} g is not {grams} g"));
        }
    }
    for aux in &sheet.auxiliaries {
        auxiliary(log, piece, sheet, aux, takes, liquor);
    }
}

fn auxiliary(
    log: &mut Log<'_>,
    piece: &Piece<'_>,
    sheet: &Sheet<'_>,
    aux: &Value,
    takes: f64,
    liquor: f64,
) {
    let id = text(aux, "id").unwrap_or_default();
    let Some(grams) = number(aux, "grams").filter(|g| *g > 0.0) else {
        log.about(22, piece.id, format!("'{id}' has no weight"));
        return;
    };
    let dose = match (number(aux, "g_per_l"), number(aux, "owf_pct")) {
        (Some(rate), _) => rate * liquor / 1000.0,
        (None, Some(owf)) => owf / 100.0 * takes,
        (None, None) => return,
    };
    // A detergent is listed once and goes into every soaping.
    let fits = (1..=BATHS)
        .map(f64::from)
        .any(|baths| (baths * dose - grams).abs() <= (AUXILIARY * baths * dose).max(LEAST_G));
    if !fits {
        log.about(
            22,
            piece.id,
            format!(
                "'{id}' on the {} sheet: its rate gives {dose:.2} g, the sheet says {grams} g",
                sheet.kind
            ),
        );
    }
}

/// Rule 23: where a sheet says that the pack brings its own, none is added, by list or by step.
fn kit(log: &mut Log<'_>, piece: &Piece<'_>, sheet: &Sheet<'_>) {
    let low = |s: &str| s.to_lowercase();
    let notes = list(sheet.raw, "notes").filter_map(Value::as_str).map(low);
    for note in notes {
        let Some((_, after)) = note.split_once("brings its own ") else { continue };
        let Some((agent, _)) = after.split_once(": none is added") else { continue };
        // "salt (table salt or Glauber's salt)" is the agent `salt`, "soda ash (…)" is `soda-ash`.
        let called = |id: &str| {
            let id = low(id).replace('-', " ");
            !id.is_empty() && (agent == id || agent.starts_with(&format!("{id} (")))
        };
        let is_it = |aux: &&&Value| {
            text(aux, "id").is_some_and(called)
                || text(aux, "name").map(low).as_deref() == Some(agent)
        };
        for aux in sheet.auxiliaries.iter().filter(is_it) {
            let id = text(aux, "id").unwrap_or_default();
            log.about(
                23,
                piece.id,
                format!(
                    "the pack brings its own {agent}, and the {} sheet doses '{id}' as well",
                    sheet.kind
                ),
            );
        }
        for step in &sheet.steps {
            for add in step.adds.iter().filter(|a| called(a.id)) {
                log.about(
                    23,
                    piece.id,
                    format!(
                        "the pack brings its own {agent}, and step {} of the {} sheet adds '{}'",
                        step.n, sheet.kind, add.id
                    ),
                );
            }
        }
    }
    for dye in list(sheet.raw, "dyes") {
        for brings in list(dye, "brings") {
            let agent = text(brings, "agent").unwrap_or_default();
            let unknown = number(brings, "grams").is_none();
            let dosed = sheet.auxiliaries.iter().any(|aux| text(aux, "id") == Some(agent));
            if unknown && dosed {
                log.about(
                    23,
                    piece.id,
                    format!(
                        "the pack brings '{agent}', and the {} sheet doses it as well",
                        sheet.kind
                    ),
                );
            }
        }
    }
}
