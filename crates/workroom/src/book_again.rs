//! How to make a piece again: which of its dyeings is its recipe, and that recipe for any weight.
//!
//! The whole piece as dyed goes before any swatch; of the swatches, one that was approved; else the one that reads
//! nearest to the colour wanted; else the last that was read. A swatch dyed to learn of a dye or of a new lot is no
//! recipe, however late it was dyed. Left out: whether the recipe is any good; that its readings tell.

use std::collections::BTreeMap;

use colour::{Lab, ciede2000};
use lore::{Lore, Procedure};
use serde::Serialize;
use workbook::{
    Amount, Bath, Book, Call, Dose, Dosed, Id, Lot, PieceRecord, Purpose, Recorded, Refusal,
    ShelfDye, Swatch, WithReadings,
};

use crate::book_seen::of_daylight;

/// What a piece is made again from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RecipeFrom {
    /// `dyed piece`, `approved swatch`, `nearest swatch` or `last swatch`.
    pub what: &'static str,
    /// Its entry in the journal; of a piece dyed in several baths the first of them.
    pub entry: i64,
    /// The code on the swatch's card.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
}

/// The recipe of a piece.
pub(crate) enum Recipe<'a> {
    /// The piece itself, by the baths it was dyed in.
    Dyed(Vec<&'a Recorded<Bath>>),
    /// A swatch; why this one.
    Swatch { it: &'a Recorded<Swatch>, what: &'static str, why: String },
}

impl<'a> Recipe<'a> {
    /// The recipe of a piece; none where nothing was dyed.
    pub(crate) fn of(record: &'a PieceRecord, target: Option<[f64; 3]>) -> Option<Recipe<'a>> {
        if let Some(last) = record.baths.iter().rposition(|(b, _)| b.it.purpose == Purpose::Dye) {
            // What was made ready before the last dyeing belongs to it; an earlier dyeing is another cutting's.
            let ready = record.baths[..last].iter().rev();
            let ready = ready.take_while(|(b, _)| b.it.purpose == Purpose::Prepare).count();
            let all = record.baths[last - ready..].iter().map(|(b, _)| b);
            return Some(Recipe::Dyed(all.collect()));
        }
        if !record.baths.is_empty() {
            return Some(Recipe::Dyed(record.baths.iter().map(|(b, _)| b).collect()));
        }
        of_swatches(record, target)
    }

    pub(crate) fn seen(&self) -> RecipeFrom {
        match self {
            Recipe::Dyed(baths) => RecipeFrom {
                what: "dyed piece",
                entry: baths.first().map_or(0, |b| b.id.entry().number()),
                code: None,
            },
            Recipe::Swatch { it, what, .. } => {
                let (entry, code) = (it.id.entry().number(), it.it.code.clone());
                RecipeFrom { what, entry, code }
            }
        }
    }

    /// In sentences, every dose for 100 g of dry cloth.
    pub(crate) fn said(&self, book: &Book, cloth: &str) -> Result<Vec<String>, Refusal> {
        let mut said = vec![];
        match self {
            Recipe::Dyed(baths) => {
                let days: Vec<String> = baths.iter().map(|b| b.it.day.to_string()).collect();
                said.push(format!(
                    "From the piece itself, as it was dyed {} (entry {}).",
                    days.first().map_or("", String::as_str),
                    self.seen().entry
                ));
                for bath in baths {
                    said.push(dyeing(book, &Dyeing::of_bath(&bath.it), cloth)?);
                }
            }
            Recipe::Swatch { it, why, .. } => {
                said.push(why.clone());
                for one in chain(book, &it.it)? {
                    said.push(dyeing(book, &Dyeing::of_swatch(&one), cloth)?);
                }
            }
        }
        said.push(
            "Of a dye of another lot dye a swatch first, read it beside this record, and correct it: another lot is \
             another dye until its swatch says that it is not."
                .to_owned(),
        );
        Ok(said)
    }
}

/// The swatch that was approved, else of those that are no tests the nearest to the target, else the last that was
/// read, else the last.
pub(crate) fn of_swatches(record: &PieceRecord, target: Option<[f64; 3]>) -> Option<Recipe<'_>> {
    if let Some(it) = approved(record) {
        let why = format!("From {}, which was approved.", called(&it.it));
        return Some(Recipe::Swatch { it, what: "approved swatch", why });
    }
    let tests: Vec<bool> = (0..record.swatches.len()).map(|i| tests(record, i)).collect();
    let all = || record.swatches.iter().zip(&tests);
    let left_out: Vec<String> =
        all().filter(|(_, test)| **test).map(|((s, _), _)| called(&s.it)).collect();
    let aside = match left_out.len() {
        0 => String::new(),
        1 => format!(" Passed over: {}, which tests a dye or a lot.", left_out[0]),
        _ => format!(" Passed over: {}, which test dyes or lots.", left_out.join(", ")),
    };
    let good: Vec<&WithReadings<Swatch>> =
        all().filter(|(_, test)| !**test).map(|(one, _)| one).collect();
    let off = |(_, readings): &WithReadings<Swatch>| -> Option<f64> {
        let wanted = lab_of(target?);
        let finished = readings.iter().filter(|r| !r.it.condition.is_unfinished());
        let read = finished.filter_map(|r| of_daylight(&r.it.value, &r.it.also));
        read.map(|lab| ciede2000(wanted, lab_of(lab))).min_by(f64::total_cmp)
    };
    let nearest = good.iter().filter_map(|one| Some((one, off(one)?)));
    if let Some(((it, _), off)) = nearest.min_by(|a, b| a.1.total_cmp(&b.1)) {
        let why = format!(
            "From {}, of its swatches the nearest to the colour wanted: {off:.1} from it (ΔE00) as read.{aside}",
            called(&it.it)
        );
        return Some(Recipe::Swatch { it, what: "nearest swatch", why });
    }
    let finished = |(_, readings): &&&WithReadings<Swatch>| {
        readings.iter().any(|r| !r.it.condition.is_unfinished())
    };
    let read = good.iter().rev().find(finished);
    let (it, _) = read.or(good.last()).copied()?;
    let why = format!(
        "From {}, the last{}: which of its swatches came nearest to the colour wanted cannot be told.{aside}",
        called(&it.it),
        if read.is_some() { " that was read" } else { "" }
    );
    Some(Recipe::Swatch { it, what: "last swatch", why })
}

/// The swatch approved last, unless it was judged otherwise afterwards.
fn approved(record: &PieceRecord) -> Option<&Recorded<Swatch>> {
    let mut last: BTreeMap<Id<Swatch>, (usize, Call)> = BTreeMap::new();
    for (place, verdict) in record.verdicts.iter().enumerate() {
        if let Some(swatch) = verdict.it.swatch {
            last.insert(swatch, (place, verdict.it.call));
        }
    }
    let good = |call: Call| matches!(call, Call::Accepted | Call::GoodEnough);
    let of = last.into_iter().filter(|(_, (_, call))| good(*call));
    let (id, _) = of.max_by_key(|(_, (place, _))| *place)?;
    record.swatches.iter().map(|(swatch, _)| swatch).find(|swatch| swatch.id == id)
}

/// Whether a swatch was dyed to learn of a dye or a lot and not to be the recipe: it has only some of the dyes of
/// another of this piece, or repeats an earlier one with another lot.
fn tests(record: &PieceRecord, place: usize) -> bool {
    let of = |place: usize| dosed(record, &record.swatches[place].0.it);
    let own = of(place);
    let fewer =
        |other: &Dosage| own.len() < other.len() && own.keys().all(|dye| other.contains_key(dye));
    let again = |other: &Dosage| {
        own.len() == other.len()
            && own.iter().all(|(dye, a)| other.get(dye).is_some_and(|b| a.alike(b)))
            && own.iter().any(|(dye, a)| other.get(dye).is_some_and(|b| a.lots != b.lots))
    };
    let others = (0..record.swatches.len()).filter(|other| *other != place);
    others.clone().any(|other| fewer(&of(other)))
        || others.filter(|other| *other < place).any(|other| again(&of(other)))
}

/// Dye by dye what is on a swatch, with what it was dyed over.
type Dosage = BTreeMap<Id<ShelfDye>, OfDye>;

/// How much of one dye, % owf; none where that cannot be told; and of which lots.
#[derive(Default)]
struct OfDye {
    owf: Option<f64>,
    lots: Vec<Option<Id<Lot>>>,
}

/// How much two doses may differ and be the same recipe, as a share: what a syringe and a kitchen scale scatter by.
const SAME_DOSE: f64 = 0.05;

impl OfDye {
    fn alike(&self, other: &Self) -> bool {
        match (self.owf, other.owf) {
            (Some(a), Some(b)) => (a - b).abs() <= SAME_DOSE * a.max(b),
            _ => false,
        }
    }
}

fn dosed(record: &PieceRecord, of: &Swatch) -> Dosage {
    let mut all = Dosage::new();
    let mut next = Some(of);
    while let Some(swatch) = next {
        for dose in &swatch.doses {
            let Dosed::Dye { dye, lot } = dose.of else { continue };
            let owf = on_fibre(dose, swatch);
            let there = all.entry(dye).or_insert(OfDye { owf: Some(0.0), lots: vec![] });
            there.owf = there.owf.zip(owf).map(|(a, b)| a + b);
            if !there.lots.contains(&lot) {
                there.lots.push(lot);
            }
        }
        next = swatch
            .over
            .and_then(|id| record.swatches.iter().find(|(s, _)| s.id == id))
            .map(|(s, _)| &s.it);
    }
    all
}

fn on_fibre(dose: &Dose, swatch: &Swatch) -> Option<f64> {
    match (dose.amount, swatch.liquor) {
        // g/L times L/kg is g/kg; a tenth of that is % of the weight.
        (Amount::PerLitre(per), Some(ratio)) => {
            Some(per.to_grams_per_litre() * ratio.to_litres_per_kilogram() / 10.0)
        }
        (amount, _) => amount.on_fibre(swatch.goods).map(|owf| owf.to_percent()),
    }
}

fn lab_of([l, a, b]: [f64; 3]) -> Lab {
    Lab::new(l, a, b)
}

fn called(swatch: &Swatch) -> String {
    swatch
        .code
        .as_ref()
        .map_or_else(|| "a swatch without a code".to_owned(), |c| format!("swatch {c}"))
}

/// A swatch after those it was dyed over, the first first.
fn chain(book: &Book, of: &Swatch) -> Result<Vec<Swatch>, Refusal> {
    let mut all = vec![of.clone()];
    let mut before = of.over;
    // A swatch is recorded after those it lies on, so this ends.
    while let Some(id) = before {
        let it = book.swatch(id)?.it;
        before = it.over;
        all.insert(0, it);
    }
    Ok(all)
}

/// What a swatch and a bath have in common.
struct Dyeing<'a> {
    head: String,
    procedure: Option<&'a str>,
    class: &'a str,
    ratio: Option<f64>,
    grams: f64,
    doses: &'a [Dose],
    /// How long and how hot.
    how: String,
    note: Option<&'a str>,
}

impl<'a> Dyeing<'a> {
    fn of_swatch(it: &'a Swatch) -> Self {
        Self {
            head: called(it),
            procedure: it.procedure.as_deref(),
            class: &it.class,
            ratio: it.liquor.map(units::LiquorRatio::to_litres_per_kilogram),
            grams: it.goods.to_grams(),
            doses: &it.doses,
            how: String::new(),
            note: it.note.as_deref(),
        }
    }

    fn of_bath(it: &'a Bath) -> Self {
        let purpose = if it.purpose == Purpose::Dye { "" } else { it.purpose.word() };
        let comma = if purpose.is_empty() { "" } else { ", to " };
        Self {
            head: format!("the bath of {}{comma}{purpose}", it.day),
            procedure: it.procedure.as_deref(),
            class: &it.class,
            ratio: it.liquor.map(units::LiquorRatio::to_litres_per_kilogram),
            grams: it.pieces.iter().map(|p| p.dry.to_grams()).sum(),
            doses: &it.doses,
            how: how(it),
            note: it.note.as_deref(),
        }
    }
}

/// How long the goods were in a bath, and how hot it was, as far as told.
fn how(it: &Bath) -> String {
    let time = it.time.map(|t| format!(", {} min", units::trimmed(t.to_minutes(), 1)));
    let hot =
        it.hottest.map(|t| format!(", {} °C at the hottest", units::trimmed(t.to_degrees(), 1)));
    [time, hot].into_iter().flatten().collect()
}

/// One dyeing for any weight: every dose for 100 g of dry cloth; no recipe where it would ruin the cloth.
fn dyeing(book: &Book, of: &Dyeing<'_>, cloth: &str) -> Result<String, Refusal> {
    let way = way(of.procedure, of.class);
    if let Some(why) = crate::cloth_told::ruins(cloth, of.class, of.procedure) {
        let head = &of.head;
        return Ok(format!(
            "Not as {head}: {way} ruins {cloth} ({why}). No recipe is told; look whether it was recorded of the right \
             piece and cloth, and undo it if not."
        ));
    }
    let ratio = of.ratio.map_or_else(
        || "at a liquor ratio that was not noted".to_owned(),
        |r| format!("at {}:1", units::trimmed(r, 1)),
    );
    let doses: Vec<String> =
        of.doses.iter().map(|dose| for_100_g(book, dose, of.grams)).collect::<Result<_, _>>()?;
    let doses = if doses.is_empty() { "no dose noted".to_owned() } else { doses.join("; ") };
    let note = of.note.map_or_else(String::new, |note| format!(" Noted: {note}"));
    let (head, how) = (&of.head, &of.how);
    Ok(format!("As {head}: {way}, {ratio}{how}; for each 100 g of dry cloth {doses}.{note}"))
}

/// The way of dyeing in words, else the class's.
pub(crate) fn way(procedure: Option<&str>, class: &str) -> String {
    let lore = Lore::shipped();
    let named = procedure.and_then(|id| Some(lore.procedure_name(id.parse::<Procedure>().ok()?)));
    match (named, procedure) {
        (Some(name), Some(id)) => format!("{name} ({id})"),
        (_, Some(id)) => id.to_owned(),
        (_, None) => format!("dyes of the class {class}, the programme not noted"),
    }
}

fn for_100_g(book: &Book, dose: &Dose, grams: f64) -> Result<String, Refusal> {
    let (name, lot) = match &dose.of {
        Dosed::Dye { dye, lot } => {
            let lot = lot.map(|lot| book.lot(lot)).transpose()?;
            (
                book.dye(*dye)?.it.name,
                lot.map_or_else(String::new, |l| format!(", lot {}", l.it.mark)),
            )
        }
        Dosed::Auxiliary(name) => (name.clone(), String::new()),
    };
    let each = |amount: f64, unit: &str| {
        format!("{} {unit} of {name}{lot}", units::significant(amount / grams * 100.0, 3))
    };
    Ok(match dose.amount {
        Amount::Weighed(mass) => each(mass.to_grams(), "g"),
        Amount::Poured(volume) => each(volume.to_millilitres(), "mL"),
        Amount::OnFibre(owf) => {
            format!("{} g of {name}{lot}", units::significant(owf.to_percent(), 3))
        }
        Amount::PerLitre(per) => format!(
            "{} g of {name} per litre of bath",
            units::significant(per.to_grams_per_litre(), 3)
        ),
    })
}
