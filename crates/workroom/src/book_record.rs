//! The record of a piece: how it was made, so that it can be made again; what was assumed in it and what is missing.

use std::path::Path;

use colour::{Lab, ciede2000};
use lore::{Lore, Procedure};
use serde::Serialize;
use workbook::{
    Aim, Amount, Bath, Book, Dose, Dosed, PieceRecord, Purpose, Refusal, Swatch, WithReadings,
};

use crate::book_asked::{piece_called, shown_path};
use crate::book_gaps::{assumed, missing};
use crate::book_seen::{BathSeen, ReadSeen, SwatchSeen, bath, of_daylight, reading, swatch};
use crate::books::{place, to_read, trouble};
use crate::{Trouble, shown};

/// How a piece was made.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceSeen {
    /// Always "book-record".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The costume.
    pub costume: String,
    /// The piece.
    pub piece: String,
    /// What it is made of.
    pub goods: String,
    /// Dry weight, g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dry_g: Option<f64>,
    /// The colour it was to reach, Lab D65/10°, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target: Option<[f64; 3]>,
    /// Swatches that led to it.
    pub swatches: Vec<SwatchSeen>,
    /// Baths it was in, in order.
    pub baths: Vec<BathSeen>,
    /// Readings of it as it is.
    pub readings: Vec<ReadSeen>,
    /// What was thought of it: the day, the word, why.
    pub verdicts: Vec<String>,
    /// What to have to make it again: dyes with their lots.
    pub dyes: Vec<String>,
    /// In sentences: how to make it again.
    pub again: Vec<String>,
    /// In whole sentences: what was taken for granted.
    pub assumed: Vec<String>,
    /// In whole sentences: what is not known for making it again.
    pub missing: Vec<String>,
}

/// How a piece was made, so that it can be made again.
pub fn record_of_piece(
    book: Option<&Path>,
    piece: &str,
    costume: Option<&str>,
) -> Result<PieceSeen, Trouble> {
    let path = place(book);
    let book = to_read(&path)?;
    let id = piece_called(&book, &path, piece, costume)?;
    let record = book.record_of(id).map_err(|e| trouble(&e, &path))?;
    piece_seen(&book, &record, shown_path(&path)).map_err(|e| trouble(&e, &path))
}

fn piece_seen(book: &Book, record: &PieceRecord, path: String) -> Result<PieceSeen, Refusal> {
    let target = match record.targets.last().map(|t| &t.it.aim) {
        None => None,
        Some(Aim::Shade(value)) => of_daylight(value, &[]),
        Some(Aim::Reading(id)) => {
            let it = book.reading(*id)?.it;
            of_daylight(&it.value, &it.also)
        }
    };
    let swatches: Vec<SwatchSeen> =
        record.swatches.iter().map(|(s, _)| swatch(book, s)).collect::<Result<_, _>>()?;
    let baths: Vec<BathSeen> =
        record.baths.iter().map(|(b, r)| bath(book, b, r)).collect::<Result<_, _>>()?;
    let dyes = record
        .dyes
        .iter()
        .map(|dye| {
            let lots = record.lots.iter().filter(|l| l.it.dye == dye.id);
            let lots: Vec<&str> = lots.map(|l| l.it.mark.as_str()).collect();
            let of =
                if lots.is_empty() { String::new() } else { format!(", lot {}", lots.join(", ")) };
            format!("{} ({}){of}", dye.it.name, dye.it.class)
        })
        .collect();
    let mut seen = PieceSeen {
        dyewright: "book-record",
        version: 1,
        book: path,
        costume: record.costume.it.name.clone(),
        piece: record.piece.it.name.clone(),
        goods: record.piece.it.goods.clone(),
        dry_g: record.piece.it.dry.map(|d| shown::rounded(d.to_grams(), 1)),
        target,
        swatches,
        baths,
        readings: record.readings.iter().map(reading).collect(),
        verdicts: record
            .verdicts
            .iter()
            .map(|v| {
                let why = v.it.note.as_ref().map_or_else(String::new, |n| format!(": {n}"));
                format!("{} {}{why}", v.it.day, v.it.call.word())
            })
            .collect(),
        dyes,
        again: vec![],
        assumed: vec![],
        missing: vec![],
    };
    seen.again = again(book, record, &seen)?;
    seen.assumed = assumed(&seen);
    seen.missing = missing(&seen);
    Ok(seen)
}

/// How to make it again: its own baths, else the swatch that came nearest to what was wanted.
fn again(book: &Book, record: &PieceRecord, seen: &PieceSeen) -> Result<Vec<String>, Refusal> {
    let mut said = vec![];
    if record.baths.is_empty() {
        let Some((of, why)) = nearest(record, seen.target) else { return Ok(vec![]) };
        said.push(why);
        for one in chain(book, of)? {
            said.push(dyeing(book, &Dyeing::of_swatch(&one))?);
        }
    } else {
        for (bath, _) in &record.baths {
            said.push(dyeing(book, &Dyeing::of_bath(&bath.it))?);
        }
    }
    said.push(
        "Of a dye of another lot dye a swatch first, read it beside this record, and correct it: another lot is another \
         dye until its swatch says that it is not."
            .to_owned(),
    );
    Ok(said)
}

/// The swatch whose finished reading came nearest to the target, else the last that was read, else the last.
fn nearest(record: &PieceRecord, target: Option<[f64; 3]>) -> Option<(&Swatch, String)> {
    let off = |(_, readings): &&WithReadings<Swatch>| -> Option<f64> {
        let wanted = lab_of(target?);
        let finished = readings.iter().filter(|r| !r.it.condition.is_unfinished());
        let read = finished.filter_map(|r| of_daylight(&r.it.value, &r.it.also));
        read.map(|lab| ciede2000(wanted, lab_of(lab))).min_by(f64::total_cmp)
    };
    let found = record
        .swatches
        .iter()
        .filter_map(|one| Some((one, off(&one)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some(((swatch, _), off)) = found {
        let why = format!(
            "From {}, of its swatches the nearest to the colour wanted: {off:.1} from it (ΔE00) as read.",
            called(&swatch.it)
        );
        return Some((&swatch.it, why));
    }
    let read = record.swatches.iter().rev().find(|(_, readings)| !readings.is_empty());
    let (swatch, _) = read.or(record.swatches.last())?;
    let why = format!(
        "From {}, the last{}: which of its swatches came nearest to the colour wanted cannot be told.",
        called(&swatch.it),
        if read.is_some() { " that was read" } else { "" }
    );
    Some((&swatch.it, why))
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
            note: it.note.as_deref(),
        }
    }
}

/// One dyeing for any weight: every dose for 100 g of dry cloth.
fn dyeing(book: &Book, of: &Dyeing<'_>) -> Result<String, Refusal> {
    let way = way(of.procedure, of.class);
    let ratio = of.ratio.map_or_else(
        || "at a liquor ratio that was not noted".to_owned(),
        |r| format!("at {}:1", units::trimmed(r, 1)),
    );
    let doses: Vec<String> =
        of.doses.iter().map(|dose| for_100_g(book, dose, of.grams)).collect::<Result<_, _>>()?;
    let doses = if doses.is_empty() { "no dose noted".to_owned() } else { doses.join("; ") };
    let note = of.note.map_or_else(String::new, |note| format!(" Noted: {note}"));
    Ok(format!("As {}: {way}, {ratio}; for each 100 g of dry cloth {doses}.{note}", of.head))
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
