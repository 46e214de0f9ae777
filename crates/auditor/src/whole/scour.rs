//! Rule 26: what is dyed was scoured, gently enough for every fibre in it, and is dry before its first dye bath.

use serde_json::Value;

use crate::Log;
use crate::agents::group_of;
use crate::materials::{Alkali, Material, material, may_be, part_of};
use crate::read::{Goods, Step, list, number, text};
use crate::whole::clock::Book;
use crate::whole::{Piece, named};

/// Wool and hair, °C: never above 120 °F (trade.md A2, S29 p. 22).
const FELTING_MOST_C: f64 = 49.0;
/// How far a printed amount may lie from its rate: rounded to what the scale shows.
const AMOUNT: f64 = 0.12;
/// A dose this small is taken as the nearest thing that can be measured, grams.
const LEAST_G: f64 = 0.05;
/// Half the last digit of weights (grams to a tenth) for each piece of a load.
const HALF_TENTH: f64 = 0.05 + 1e-6;
/// The least water goods can be turned in, L/kg (judgement: below it they crowd).
const LEAST_RATIO: f64 = 8.0;

/// Every piece with a bath is scoured, or the maker says that it needs none.
pub(crate) fn scoured(log: &mut Log<'_>, plan: &Value, pieces: &[Piece<'_>]) {
    let scours: Vec<&Value> = list(plan, "scours").collect();
    for piece in pieces {
        let dyed = !piece.sheets.is_empty() || text(piece.raw, "shares_with").is_some();
        let done = piece.raw.get("scoured").and_then(Value::as_bool) == Some(true);
        let mine: Vec<&&Value> = scours.iter().filter(|scour| has(scour, piece.id)).collect();
        match (dyed, done, mine.as_slice()) {
            (true, false, []) => {
                log.about(26, piece.id, "it has a dye bath, and nothing scours it before");
            }
            (_, _, [_, _, ..]) => log.about(26, piece.id, "it lies in two scours"),
            (_, true, [_]) => {
                log.about(26, piece.id, "it was scoured before, and is scoured again");
            }
            (_, _, [one]) if piece.raw.get("scour") != one.get("n") => {
                log.about(26, piece.id, "it does not name the scour it lies in");
            }
            _ => {}
        }
    }
    for scour in scours {
        one_scour(log, scour, pieces);
    }
}

fn has(scour: &Value, piece: &str) -> bool {
    list(scour, "pieces").any(|id| id.as_str() == Some(piece))
}

fn one_scour(log: &mut Log<'_>, scour: &Value, pieces: &[Piece<'_>]) {
    let n = number(scour, "n").unwrap_or(0.0);
    let ids: Vec<&str> = list(scour, "pieces").filter_map(Value::as_str).collect();
    let steps: Vec<Step<'_>> =
        list(scour, "steps").enumerate().map(|(i, s)| Step::of(i, s)).collect();
    let hottest = steps.iter().filter_map(Step::hottest).fold(0.0, f64::max);
    let alkaline = steps.iter().flat_map(|s| &s.adds).any(|a| group_of(a.id) == Some("alkali"));
    let mut weigh = 0.0;
    for id in &ids {
        let Some(piece) = named(pieces, id) else {
            log.sheet(26, format!("scour {n} is for '{id}', and there is no such piece"));
            continue;
        };
        let Some(raw) = piece.raw.get("goods") else { continue };
        let spare = piece.raw.get("spare").and_then(|s| number(s, "grams")).unwrap_or(0.0);
        weigh += number(raw, "dry_g").unwrap_or(0.0) + spare;
        if ids.len() > 1 && text(raw, "form") == Some("worn") {
            log.about(26, id, format!("worn before, and in scour {n} with others"));
        }
        bears(log, id, &Goods::of(raw), (hottest, alkaline));
        if steps.iter().any(|s| s.agitation == Some("stir")) && felts(&Goods::of(raw)) {
            log.about(26, id, format!("it felts, and scour {n} stirs it"));
        }
    }
    amounts(log, scour, (weigh, ids.len()));
}

/// Every material that may be in the goods.
fn materials(goods: &Goods<'_>) -> Vec<&'static Material> {
    let fibres = goods.fibres.iter().map(|(id, _)| *id).chain(goods.lining.iter().copied());
    let known = goods.is_known();
    fibres
        .flat_map(|id| {
            let others: &[&str] = if known { &[] } else { may_be(id) };
            std::iter::once(id).chain(others.iter().copied())
        })
        .filter_map(material)
        .collect()
}

fn felts(goods: &Goods<'_>) -> bool {
    materials(goods).iter().any(|m| m.felts)
}

fn bears(log: &mut Log<'_>, id: &str, goods: &Goods<'_>, (hottest, alkaline): (f64, bool)) {
    let parts = goods.parts.iter().filter_map(|id| part_of(id));
    let of_parts = parts.map(|p| (p.id, p.most_c, p.alkali, false));
    let all = materials(goods).into_iter().map(|m| (m.id, m.most_c, m.alkali, m.felts));
    for (what, most, alkali, felts) in all.chain(of_parts) {
        let most = if felts { most.min(FELTING_MOST_C) } else { most };
        if hottest > most {
            log.about(
                26,
                id,
                format!("its scour gets to {hottest} °C, and {what} bears {most} °C"),
            );
        }
        let ruined = match alkali {
            Alkali::Never | Alkali::ColdWeakShort => true,
            Alkali::Below(most) => hottest > f64::from(most),
            Alkali::Bears => false,
        };
        if alkaline && ruined {
            log.about(26, id, format!("there is soda in its scour at {hottest} °C, and {what}"));
        }
    }
}

/// Weight, bath and doses reckon up.
fn amounts(log: &mut Log<'_>, scour: &Value, (weigh, pieces): (f64, usize)) {
    let n = number(scour, "n").unwrap_or(0.0);
    let of = |key| number(scour, key).filter(|x| *x > 0.0);
    let (Some(dry), Some(ratio), Some(ml)) = (of("dry_g"), of("liquor_ratio"), of("liquor_ml"))
    else {
        log.sheet(26, format!("scour {n} lacks a weight, a ratio or a volume"));
        return;
    };
    #[expect(clippy::cast_precision_loss, reason = "a handful of pieces")]
    let slack = 2.0 * HALF_TENTH * (pieces + 1) as f64;
    if (weigh - dry).abs() > slack {
        log.sheet(26, format!("{weigh:.1} g lie in scour {n}, and it is reckoned for {dry} g"));
    }
    if (ratio * dry - ml).abs() > HALF_TENTH * dry + 0.5 || ratio < LEAST_RATIO {
        log.sheet(26, format!("scour {n}: {dry} g at {ratio} L/kg are not {ml} mL of bath"));
    }
    if list(scour, "auxiliaries").next().is_none() {
        log.sheet(26, format!("scour {n} has nothing in it that cleans"));
    }
    for aux in list(scour, "auxiliaries") {
        let id = text(aux, "id").unwrap_or_default();
        let wanted = number(aux, "g_per_l").map(|rate| rate * ml / 1000.0);
        match wanted.zip(number(aux, "grams")) {
            Some((wanted, grams)) if (grams - wanted).abs() <= (AMOUNT * wanted).max(LEAST_G) => {}
            _ => log.sheet(26, format!("scour {n}: the dose of '{id}' is not what its rate says")),
        }
    }
}

/// In the day plan: the scour is done and its goods are dry before anything dyes them; what it lets off stands among
/// what goes down the sink.
pub(crate) fn first(log: &mut Log<'_>, plan: &Value, book: &Book<'_>, pieces: &[Piece<'_>]) {
    for piece in pieces.iter().filter(|p| !book.has_no_place(p.id)) {
        let Some(scour) = list(plan, "scours").find(|scour| has(scour, piece.id)) else { continue };
        // Who lies in another's bath is dyed when that is.
        let dyed_as = text(piece.raw, "shares_with").unwrap_or(piece.id);
        let begins = ["swatch", "bulk"]
            .into_iter()
            .flat_map(|job| {
                let who = if job == "swatch" { piece.id } else { dyed_as };
                book.of_piece(who, job).map(|w| w.from)
            })
            .reduce(f64::min);
        let Some(begins) = begins else { continue };
        let scours: Vec<_> = book.of_piece(piece.id, "scour").collect();
        let Some(ends) = scours.iter().map(|w| w.to).reduce(f64::max) else {
            log.about(26, piece.id, "it has a day for its dye, and none for its scour");
            continue;
        };
        if ends > begins {
            log.about(26, piece.id, "it is dyed before its scour is done");
        }
        // Hung to dry after its scour: done by then, or never hung and so still wet.
        let hung = book.of_piece(piece.id, "drying").find(|w| w.from >= ends - 1e-9);
        if hung.is_some_and(|hung| hung.from < begins && hung.to > begins) {
            log.about(26, piece.id, "it is taken off the line wet from its scour to be dyed");
        }
        let alkaline = list(scour, "steps")
            .flat_map(|step| list(step, "adds"))
            .any(|add| text(add, "id").and_then(group_of) == Some("alkali"));
        if alkaline && !scours.iter().any(|w| w.sink.contains(&"alkali")) {
            log.about(
                26,
                piece.id,
                "its scour lets off soda, and the day plan sends none down a sink",
            );
        }
    }
}
