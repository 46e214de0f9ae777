//! Pieces dyed whole as noted: a bath with what was in it, as it was really dosed, and how each piece came out.
//!
//! A `[[bath]]` stands in a file of swatches and is written as a swatch is, with the pieces it held and their dry
//! weights. Left out: baths without dye, for making ready or washing off.

use std::ops::Range;

use lore::{DyeClass, Procedure};
use units::{Celsius, Day, LiquorRatio, Mass, Minutes};

use crate::noted::{By, Row, class, cloth, programme, undyed};
use crate::noted_dose::doses;
use crate::noted_reading::reading;
use crate::reader::{Any, At, Table};
use crate::{DoseNoted, Files, GroundGiven, ReadingNoted, Whose};

/// A bath as noted.
#[derive(Debug, Clone, PartialEq)]
pub struct BathNoted {
    /// Where it stands in the file.
    pub span: Range<usize>,
    /// The costume its pieces are of.
    pub costume: String,
    /// Whether they are meant to stand in no costume file.
    pub outside: bool,
    /// The pieces, each with its dry weight.
    pub pieces: Vec<(String, Mass)>,
    /// What for, one of [`PURPOSES`].
    pub purpose: &'static str,
    /// The code of the swatch whose recipe it repeats.
    pub from_swatch: Option<String>,
    /// The day.
    pub day: Day,
    /// The cloth, in the file's words.
    pub cloth: String,
    /// Ids of its materials, the largest share first.
    pub materials: Vec<String>,
    /// What it was before; none: nobody said.
    pub undyed: Option<GroundGiven>,
    /// Liquor to goods.
    pub ratio: Option<LiquorRatio>,
    /// The class of its dyes.
    pub class: DyeClass,
    /// The way of dyeing.
    pub programme: Option<Procedure>,
    /// How long the goods were in it.
    pub time: Option<Minutes>,
    /// How hot it was at the hottest.
    pub hottest: Option<Celsius>,
    /// What was dosed.
    pub doses: Vec<DoseNoted>,
    /// How the pieces came out: the place of the piece, its reading.
    pub readings: Vec<(usize, ReadingNoted)>,
    /// Anything else.
    pub note: Option<String>,
}

/// What a bath can be for.
pub const PURPOSES: [&str; 3] = ["dye", "top up", "overdye"];

/// The dry weight of what is dyed whole, g: from a ribbon to what no home pot holds.
const GOODS_G: std::ops::RangeInclusive<f64> = 0.5..=100_000.0;

/// How long goods are in a bath, min: to a week of cold batch.
const MINUTES: std::ops::RangeInclusive<f64> = 1.0..=10_080.0;

/// How hot a bath gets without pressure, °C.
const HOTTEST_C: std::ops::RangeInclusive<f64> = 0.0..=105.0;

/// Reads one `[[bath]]`.
pub(crate) fn bath(row: &Row, by: &By) -> Option<BathNoted> {
    let (lore, files, shelf) = (by.lore, by.files, by.shelf);
    let own = row.own;
    let costume = row.with("costume").text("costume");
    let outside = row.with("outside").flag("outside");
    let pieces = pieces(row);
    if let (Some(costume), Some(pieces)) = (&costume, &pieces) {
        for (piece, _) in pieces {
            by.ask(own, costume, piece, outside);
        }
    }
    let pieces: Option<Vec<(String, Mass)>> =
        pieces.map(|all| all.into_iter().map(|(name, dry)| (name.it, dry)).collect());
    let purpose = own.choice("purpose", &PURPOSES, |word| word);
    let purpose = if own.any("purpose").is_none() { Some(PURPOSES[0]) } else { purpose };
    let from_swatch = own.text("from_swatch").map(|code| by.code(own, &code));
    let table = row.with("day");
    let day = table.day("day");
    if table.any("day").is_none() {
        own.fault(
            own.span.clone(),
            "`day` is missing",
            "the day it was dyed, as in day = 2031-03-02",
        );
    }
    let cloth = cloth(row, lore);
    let undyed = undyed(row, files);
    let hint = "litres of liquor per kilogram of goods, as in liquor_ratio = 20";
    let ratio = row.with("liquor_ratio").between("liquor_ratio", 1.0..=500.0, hint);
    let ratio = ratio.map(|r| own.keep(&r.span, LiquorRatio::try_litres_per_kilogram(r.it), hint));
    let (classes, doses) = doses(own, lore, shelf);
    let programme = programme(row, &classes);
    let class = class(own, &classes, "a bath");
    let hint = "how long the goods were in it, as in minutes = 60";
    let time = row.with("minutes").between("minutes", MINUTES, hint);
    let time = time.and_then(|t| own.keep(&t.span, Minutes::try_minutes(t.it), hint));
    let hint = "how hot it was at the hottest, in °C, as in hottest_c = 90";
    let hottest = row.with("hottest_c").between("hottest_c", HOTTEST_C, hint);
    let hottest = hottest.and_then(|t| own.keep(&t.span, Celsius::try_degrees(t.it), hint));
    for key in ["friend", "old_note"] {
        if let Some(there) = row.with(key).any(key) {
            let says = "a piece dyed whole is noted as one's own";
            own.fault(there.span, says, "note another's dyeing as a [[swatch]], with its weight");
        }
    }
    let readings = readings(row, files, pieces.as_deref());
    let note = own.text("note").map(|n| n.it);
    let (cloth, materials) = cloth?;
    Some(BathNoted {
        span: own.span.clone(),
        costume: match costume {
            Some(costume) => costume.it,
            None => {
                let hint = "write costume = \"…\" too, in the row or under [all]";
                own.fault(own.span.clone(), "a bath without its costume", hint);
                return None;
            }
        },
        outside,
        pieces: pieces?,
        purpose: purpose?,
        from_swatch: match from_swatch {
            None => None,
            Some(given) => Some(given?),
        },
        day: day?.it,
        cloth,
        materials,
        undyed: undyed?,
        ratio: match ratio {
            None => None,
            Some(given) => Some(given?),
        },
        class: class?,
        programme: programme?,
        time,
        hottest,
        doses: doses?,
        readings: readings?,
        note,
    })
}

/// `piece` with `weight_g`, or `pieces = { sash = 118, gloves = 40 }`.
fn pieces(row: &Row) -> Option<Vec<(At<String>, Mass)>> {
    let own = row.own;
    let weight = own.between("weight_g", GOODS_G, "its dry weight in grams");
    let (one, many) = (row.with("piece").text("piece"), own.part("pieces"));
    let hint = "write piece = \"sash\" and weight_g = 118, or pieces = { sash = 118, gloves = 40 }";
    let mass = |at: &At<f64>| own.keep(&at.span, Mass::try_grams(at.it), hint);
    match (own.any("pieces").is_some(), one, many) {
        (false, Some(piece), _) => {
            if own.any("weight_g").is_none() {
                own.fault(own.span.clone(), "`weight_g` is missing", hint);
            }
            Some(vec![(piece, mass(&weight?)?)])
        }
        (true, _, Some(many)) => {
            if let Some(weight) = own.any("weight_g") {
                let says = "`weight_g` beside `pieces`, which tell their weights";
                own.fault(weight.span, says, "take it out");
            }
            each(own, &many, hint)
        }
        (true, _, None) => None,
        (false, None, _) => {
            own.fault(own.span.clone(), "a bath without a piece", hint);
            None
        }
    }
}

fn each(own: &Table, many: &Table, hint: &str) -> Option<Vec<(At<String>, Mass)>> {
    let all = many.all();
    if all.is_empty() {
        own.fault(many.span.clone(), "`pieces` names none", hint);
        return None;
    }
    let mut read = vec![];
    for (name, value) in all {
        let grams = match value.it {
            Any::Number(n) if GOODS_G.contains(&n) => n,
            _ => {
                let says = format!("\"{}\" has no dry weight that goods can have", name.it);
                own.fault(value.span, says, "write it in grams, as in pieces = { sash = 118 }");
                continue;
            }
        };
        read.push(own.keep(&value.span, Mass::try_grams(grams), hint).map(|mass| (name, mass)));
    }
    read.into_iter().collect()
}

/// `reading`: each of the piece it names; of a bath with one piece it needs to name none.
fn readings(
    row: &Row,
    files: &dyn Files,
    pieces: Option<&[(String, Mass)]>,
) -> Option<Vec<(usize, ReadingNoted)>> {
    let tables = row.own.parts("reading");
    crate::noted_reading::held_asked(row);
    let mut sound = true;
    let mut read = vec![];
    for table in &tables {
        let of = table.text("piece");
        let it = reading(table, row, files, &Whose::Own);
        table.finish();
        let names = || {
            let names = pieces.unwrap_or_default().iter().map(|(name, _)| name.as_str());
            names.collect::<Vec<_>>().join(", ")
        };
        let place = match (&of, pieces) {
            (_, None) => None,
            (None, Some([_])) => Some(0),
            (Some(of), Some(all)) => {
                all.iter().position(|(name, _)| *name == of.it).or_else(|| {
                    let says = format!("\"{}\" was not in that bath", of.it);
                    table.fault(of.span.clone(), says, format!("it held {}", names()));
                    None
                })
            }
            (None, Some(_)) => {
                let says = "a reading that does not say of which piece it is";
                table.fault(table.span.clone(), says, format!("write piece = one of {}", names()));
                None
            }
        };
        match place.zip(it) {
            Some(one) => read.push(one),
            None => sound = false,
        }
    }
    sound.then_some(read)
}
