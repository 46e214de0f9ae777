//! The colour card printed at home, for a door without folders: its drawing as bytes, and the print read in a photograph of
//! the tray, its values kept in the maker's folder only when the maker says so.
//!
//! Left out: what is read, and what is wrong with a print (`card_read`).

use std::path::Path;

use colour::{ClothPrior, Lab};
use paper::{CardSheet, ColourCard};
use picture::HomeCard;

use crate::card_read::{CardRead, CardReadWanted, HEAD, PatchRead, look_at_card, text};
use crate::disk::{Mark, only_over_ours, write_whole};
use crate::photo_beside::in_plain_words;
use crate::shown::on_screen;
use crate::{PhotoBeside, PhotoLaid, Trouble};

/// The card, drawn twice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CardDrawing {
    /// As SVG.
    pub svg: String,
    /// As PDF.
    pub pdf: Vec<u8>,
    /// Its file name without an ending: letters, digits and hyphens.
    pub stem: String,
}

/// Draws the card for a sheet ("a5", "a4") with a code of its own.
///
/// # Errors
/// Another sheet; a code that cannot stand on a card.
pub fn card_drawing(sheet: &str, code: &str) -> Result<CardDrawing, Trouble> {
    let sheet = match sheet {
        "a5" => CardSheet::A5,
        "a4" => CardSheet::A4,
        other => {
            let says = format!("\"{other}\" is no sheet that the card is drawn for");
            return Err(Trouble::refused(says, "choose A5 or A4"));
        }
    };
    let card = ColourCard::try_new(HomeCard::across(), HomeCard::asked(), code, sheet);
    let card = card.map_err(|e| not_a_code(&e.to_string()))?;
    let stem = format!("colour-card-{code}-{}", sheet.name().to_lowercase());
    Ok(CardDrawing { svg: card.svg(), pdf: card.pdf(), stem })
}

fn not_a_code(says: &str) -> Trouble {
    Trouble::refused(says, "write a short one, as matt-1")
}

/// What is asked of a photograph of a printed card beside a known chart.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CardLaid {
    /// The card's four corners; empty: it is looked for.
    pub corners: String,
    /// The known chart, where it lies, and the paper; its cloths and white are not looked at.
    pub beside: PhotoBeside,
    /// The light, in words.
    pub light: String,
    /// The code on the card.
    pub code: String,
}

/// Reads a printed card in a photograph that lies in the tray; nothing is written.
///
/// # Errors
/// As [`crate::read_card`].
pub fn read_card_laid(photo: &PhotoLaid, asked: &CardLaid, day: &str) -> Result<CardRead, Trouble> {
    card_drawing("a5", &asked.code)?;
    let said = |given: &str| Some(given.trim().to_owned()).filter(|g| !g.is_empty());
    let beside = &asked.beside;
    let read = beside.in_a_row().and_then(|across| {
        look_at_card(&CardReadWanted {
            photo: photo.path.clone(),
            card_corners: said(&asked.corners),
            corners: said(&beside.corners),
            chart: beside.chart.clone(),
            across,
            white: beside.paper.clone(),
            light: said(&asked.light),
            from: if beside.linear { "linear" } else { "camera" }.to_owned(),
            code: asked.code.clone(),
            out: Path::new("").to_path_buf(),
            day: day.to_owned(),
        })
    });
    let mut read = beside.plainly(read, photo)?;
    read.photograph.clone_from(&photo.job);
    for note in &mut read.notes {
        *note = in_plain_words(note);
    }
    Ok(read)
}

/// The patches of a card as a screen shows them, each by the likeliest spectrum of its colour; empty where there is none.
#[must_use]
pub fn card_shown(read: &CardRead) -> Vec<String> {
    let prior = ClothPrior::shipped();
    let shown = |patch: &PatchRead| {
        let [l, a, b] = patch.lab;
        prior.likely(Lab::new(l, a, b)).map_or_else(|_| String::new(), |it| on_screen(&it.bands).0)
    };
    read.patches.iter().map(shown).collect()
}

/// Keeps the values of a card that was read, in the maker's folder; gives the name of their file.
///
/// # Errors
/// A file of that name that is no card's; a disk that refuses.
pub fn keep_card(folder: &Path, read: &CardRead, day: &str) -> Result<String, Trouble> {
    card_drawing("a5", &read.code)?;
    let name = format!("printed-card-{}.txt", read.code);
    let path = folder.join(&name);
    only_over_ours(&path, Mark::Begins(HEAD))?;
    write_whole(&[(&path, text(day, read).as_bytes())])?;
    Ok(name)
}
