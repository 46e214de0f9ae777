//! What the workbook knows of swatches that are asked for by code: the values of a card of dyed cloths, and the dyes in one.
//!
//! Left out: swatches that were never read; their colour is what a photograph is to be read by.

use std::path::Path;

use colour::{Bands, ClothPrior, Spread, Value};
use workbook::{Book, Dosed, Id, Means, Recorded, Swatch, Undyed};

use crate::Trouble;
use crate::book_seen::of_daylight;
use crate::books::{place, to_read, trouble};

/// A dyed cloth of known value.
pub(crate) struct OwnCloth {
    /// Its name.
    pub(crate) name: String,
    /// What it reflects.
    pub(crate) reflectance: Bands,
    /// How far that may be off, root mean square ΔE00.
    pub(crate) spread: f64,
    /// Known by its colour only.
    pub(crate) assumed: bool,
}

/// Where a reading's spread was not recorded: by instrument, by photograph, by anything else (root mean square ΔE00,
/// judgement).
const UNSAID: [f64; 3] = [0.5, 1.5, 1.5];

/// The swatches of these codes, each by its surest reading; never how many lie in a row.
pub(crate) fn of_swatches(
    codes: &[String],
    book: Option<&Path>,
) -> Result<(Vec<OwnCloth>, Option<usize>), Trouble> {
    let path = place(book);
    let book = to_read(&path)?;
    let mut own: Vec<OwnCloth> = vec![];
    for code in codes.iter().map(|c| c.trim()).filter(|c| !c.is_empty()) {
        if own.iter().any(|o| o.name == code) {
            return Err(Trouble::refused(
                format!("swatch {code} is named twice"),
                "name each swatch of the card once, in its order",
            ));
        }
        own.push(one(&book, &path, code)?);
    }
    if own.len() < FEWEST {
        return Err(Trouble::refused(
            format!(
                "{} swatches are named, and camera and lamp are learnt from {FEWEST} at least",
                own.len()
            ),
            "name more, or photograph with a chart",
        ));
    }
    Ok((own, None))
}

/// Fewest known cloths, as `picture` has it.
const FEWEST: usize = 8;

/// The swatch of a code, and its entry.
fn coded(book: &Book, path: &Path, code: &str) -> Result<Id<Swatch>, Trouble> {
    book.swatch_coded(code).map_err(|e| trouble(&e, path))?.ok_or_else(|| {
        Trouble::refused(
            format!("{} has no swatch of the code {code}", path.display()),
            "`dyewright swatch list` shows the codes",
        )
    })
}

fn one(book: &Book, path: &Path, code: &str) -> Result<OwnCloth, Trouble> {
    let id = coded(book, path, code)?;
    let readings = book.readings_of(id).map_err(|e| trouble(&e, path))?;
    let mut best: Option<OwnCloth> = None;
    for reading in readings.iter().map(|r| &r.it).filter(|r| !r.condition.is_unfinished()) {
        let unsaid = match reading.means {
            Means::Instrument => UNSAID[0],
            Means::Photograph => UNSAID[1],
            _ => UNSAID[2],
        };
        let spread = match reading.spread {
            Spread::Unknown => unsaid,
            Spread::Rms(rms) => rms,
            Spread::Covariance(c) => (c[0][0] + c[1][1] + c[2][2]).sqrt(),
        };
        let seen = match &reading.value {
            Value::Spectrum(s) => s.try_to_bands().ok().map(|bands| (bands, false)),
            Value::Colour(_) => of_daylight(&reading.value, &reading.also)
                .and_then(|[l, a, b]| ClothPrior::shipped().likely(colour::Lab::new(l, a, b)).ok())
                .map(|likely| (likely.bands, true)),
        };
        let Some((reflectance, assumed)) = seen else { continue };
        // A later reading as sure as an earlier one stands in its place.
        if best.as_ref().is_none_or(|b| (spread, assumed) <= (b.spread, b.assumed)) {
            best = Some(OwnCloth { name: code.to_owned(), reflectance, spread, assumed });
        }
    }
    best.ok_or_else(|| {
        Trouble::refused(
            format!("swatch {code} has no reading for daylight and 10° of dry, finished cloth"),
            "leave it out of the card, or read it first and record the reading",
        )
    })
}

/// What was dyed into a swatch.
pub(crate) struct DyedIn {
    /// Shelf ids.
    pub(crate) dyes: Vec<String>,
    /// The cloth, as it was noted.
    pub(crate) cloth: String,
    /// How it looked undyed, as `--undyed` is written; none where nobody said.
    pub(crate) undyed: Option<String>,
}

/// The dyes in a swatch, those of the swatch beneath it too.
pub(crate) fn dyed_in(code: &str, book: Option<&Path>) -> Result<DyedIn, Trouble> {
    let path = place(book);
    let book = to_read(&path)?;
    let fail = |e: workbook::Refusal| trouble(&e, &path);
    let mut swatch: Recorded<Swatch> =
        book.swatch(coded(&book, &path, code.trim())?).map_err(fail)?;
    let cloth = swatch.it.cloth.clone();
    let mut dyes: Vec<String> = vec![];
    loop {
        for dose in &swatch.it.doses {
            if let Dosed::Dye { dye, .. } = &dose.of {
                let name = book.dye(*dye).map_err(fail)?.it.name;
                if !dyes.contains(&name) {
                    dyes.push(name);
                }
            }
        }
        match swatch.it.over {
            Some(beneath) => swatch = book.swatch(beneath).map_err(fail)?,
            None => break,
        }
    }
    let undyed = match &swatch.it.undyed {
        Undyed::Unsaid => None,
        Undyed::White => Some("white".to_owned()),
        Undyed::Natural => Some("natural".to_owned()),
        Undyed::Read(value) => of_daylight(value, &[]).map(|[l, a, b]| format!("{l} {a} {b}")),
    };
    Ok(DyedIn { dyes, cloth, undyed })
}
