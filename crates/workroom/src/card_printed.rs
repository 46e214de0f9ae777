//! The colour card to print at home, drawn into a folder as SVG and as PDF.
//!
//! Left out: printing it; reading it, which `card_read` does.

use std::path::{Path, PathBuf};

use paper::{CardSheet, ColourCard};
use picture::HomeCard;
use serde::Serialize;

use crate::Trouble;
use crate::disk::{Mark, can_write_into, only_over_ours, write_whole};

/// What is asked.
#[derive(Debug, Clone)]
pub struct CardWanted {
    /// The sheet: "a5" or "a4".
    pub sheet: String,
    /// The code to print on it.
    pub code: String,
    /// The folder to write into.
    pub out: PathBuf,
}

/// What was drawn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CardDrawn {
    /// Always "card".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The code on it.
    pub code: String,
    /// "A5" or "A4".
    pub sheet: &'static str,
    /// Patches, and how many in a row.
    pub patches: usize,
    /// In a row.
    pub across: usize,
    /// The files written.
    pub written: Vec<String>,
    /// What to do with it, in order.
    pub next: Vec<String>,
}

/// Draws the card.
pub fn draw_card(wanted: &CardWanted) -> Result<CardDrawn, Trouble> {
    let sheet = match wanted.sheet.to_lowercase().as_str() {
        "a5" => CardSheet::A5,
        "a4" => CardSheet::A4,
        other => {
            let says = format!("\"{other}\" is no sheet that the card is drawn for");
            return Err(Trouble::refused(says, "write --sheet a5 or --sheet a4"));
        }
    };
    let (across, patches) = (HomeCard::across(), HomeCard::asked());
    let card = ColourCard::try_new(across, patches, &wanted.code, sheet).map_err(|e| {
        Trouble::refused(e.to_string(), "give the print a code such as --code matt-1")
    })?;
    // Each sheet is a card of its own: one is not written over the other.
    let which = format!("{}-{}", wanted.code, sheet.name().to_lowercase());
    let place = |end: &str| wanted.out.join(format!("colour-card-{which}.{end}"));
    let (svg, pdf) = (place("svg"), place("pdf"));
    only_over_ours(&svg, Mark::Holds("<title>Dyewright colour card"))?;
    only_over_ours(&pdf, Mark::Holds("dyewright colour card"))?;
    can_write_into(&wanted.out)?;
    write_whole(&[(&svg, card.svg().as_bytes()), (&pdf, &card.pdf())])?;
    Ok(CardDrawn {
        dyewright: "card",
        version: 1,
        code: wanted.code.clone(),
        sheet: sheet.name(),
        patches: patches.len(),
        across,
        written: [&svg, &pdf].iter().map(|p| named(p)).collect(),
        next: vec![
            "Print one of the two at 100 %, best quality, without colour correction, on matt paper, without brightener if \
             you can get it. Measure the bar. Let it dry for a day."
                .to_owned(),
            "Read it once: by day at a window, beside a chart of known patches, both in one photograph. \
             `dyewright card read PHOTO --out mine.txt`"
                .to_owned(),
            "From then on it is your chart: `dyewright read PHOTO --chart mine.txt --cloth …`".to_owned(),
        ],
    })
}

fn named(path: &Path) -> String {
    path.display().to_string()
}
