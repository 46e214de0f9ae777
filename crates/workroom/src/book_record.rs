//! The record of a piece: how it was made, so that it can be made again; what was assumed in it and what is missing.

use std::path::Path;

use serde::Serialize;
use workbook::{Aim, Book, PieceRecord, Refusal};

use crate::book_again::{Recipe, RecipeFrom};
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
    /// The dyeing it is made again from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<RecipeFrom>,
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

/// The record of a piece by the first of these names that the workbook knows in the costume; none where it knows none.
pub(crate) fn record_by_a_name(
    (book, path): (&Book, &Path),
    names: [&str; 2],
    costume: &str,
) -> Result<Option<PieceSeen>, Trouble> {
    for name in names {
        let id = match piece_called(book, path, name, Some(costume)) {
            Ok(id) => id,
            Err(Trouble::Refused { .. }) => continue,
            Err(why) => return Err(why),
        };
        let record = book.record_of(id).map_err(|e| trouble(&e, path))?;
        let seen = piece_seen(book, &record, shown_path(path)).map_err(|e| trouble(&e, path))?;
        return Ok(Some(seen));
    }
    Ok(None)
}

fn piece_seen(book: &Book, record: &PieceRecord, path: String) -> Result<PieceSeen, Refusal> {
    let target = wanted(book, record)?;
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
        dry_g: dry(record).map(|d| shown::rounded(d.to_grams(), 1)),
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
        from: None,
        again: vec![],
        assumed: vec![],
        missing: vec![],
    };
    if let Some(recipe) = Recipe::of(record, seen.target) {
        seen.from = Some(recipe.seen());
        seen.again = recipe.said(book, &seen.goods)?;
    }
    seen.assumed = assumed(&seen);
    seen.missing = missing(&seen);
    Ok(seen)
}

/// The colour a piece was to reach, in daylight, where that is known.
pub(crate) fn wanted(book: &Book, record: &PieceRecord) -> Result<Option<[f64; 3]>, Refusal> {
    Ok(match record.targets.last().map(|t| &t.it.aim) {
        None => None,
        Some(Aim::Shade(value)) => of_daylight(value, &[]),
        Some(Aim::Reading(id)) => {
            let it = book.reading(*id)?.it;
            of_daylight(&it.value, &it.also)
        }
    })
}

/// What a piece weighs dry: as recorded of it, else as it last went into a bath.
fn dry(record: &PieceRecord) -> Option<units::Mass> {
    let own = |bath: &workbook::Bath| {
        bath.pieces.iter().find(|p| p.piece == record.piece.id).map(|p| p.dry)
    };
    let of_baths = || record.baths.iter().rev().find_map(|(b, _)| own(&b.it));
    record.piece.it.dry.or_else(of_baths)
}
