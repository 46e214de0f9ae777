//! `book dyed`: a piece dyed whole, recorded as it was really dosed.

use std::path::PathBuf;

use clap::Args;
use units::Day;
use workroom::{DyedWanted, Trouble, note_dyed};

use super::swatch::tell_recorded;
use super::{recording, say_json, today};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The piece, by its name
    piece: String,
    /// Its dry weight: 640g, 0.64kg, 8oz; a bare number is grams
    #[arg(long, value_name = "WEIGHT", allow_hyphen_values = true)]
    weight: String,
    /// What was dosed, once for each: acid-navy=1.2%, acid-navy=7.5g, salt=50g/l,
    /// acid-navy=12ml@1% (of a 1 % stock); a lot as in acid-navy:N-7=1.2%
    #[arg(long = "dose", value_name = "OF=AMOUNT", allow_hyphen_values = true)]
    doses: Vec<String>,
    /// The swatch whose recipe it repeats, by its code: what is not told is
    /// taken from it
    #[arg(long, value_name = "CODE")]
    by_swatch: Option<String>,
    /// Its costume, where the workbook and the costume files here do not tell
    #[arg(long, value_name = "NAME")]
    costume: Option<String>,
    /// The piece is meant to stand in no costume file
    #[arg(long)]
    outside: bool,
    /// Its cloth: a fibre, or "65 cotton, 35 polyester" [default: as recorded]
    #[arg(long, value_name = "CLOTH")]
    cloth: Option<String>,
    /// What it was before: white, natural, or a colour
    #[arg(long, value_name = "LOOK", allow_hyphen_values = true)]
    undyed: Option<String>,
    /// What for: dye, "top up" or overdye [default: dye]
    #[arg(long, value_name = "WORD")]
    purpose: Option<String>,
    /// Litres of liquor per kilogram of goods
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    ratio: Option<f64>,
    /// The way of dyeing by its id, as in acid-milling
    #[arg(long, value_name = "ID")]
    programme: Option<String>,
    /// How long it was in the bath, minutes
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    minutes: Option<f64>,
    /// How hot it was at the hottest, °C
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    hottest: Option<f64>,
    /// How it came out: "#2f6f5a", "45 -12.5 8" (L* a* b*), or a reading file
    #[arg(long, value_name = "COLOUR", allow_hyphen_values = true)]
    came_out: Option<String>,
    /// How far that reading may be off (rms ΔE00)
    #[arg(long, value_name = "DE", allow_hyphen_values = true)]
    spread: Option<f64>,
    /// The state it was read in: washed-off, dry, cool, ironed, or the opposite
    #[arg(long, value_name = "WORDS", value_delimiter = ',')]
    state: Vec<String>,
    /// By what means: instrument, photograph, file, typed, eye
    #[arg(long, value_name = "MEANS")]
    by: Option<String>,
    /// Whose eye, which camera or instrument
    #[arg(long, value_name = "NAME")]
    reader: Option<String>,
    /// The light it was read in
    #[arg(long, value_name = "WORDS")]
    light: Option<String>,
    /// What was done otherwise, and anything else
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
    /// The shelf file its dyes stand on [default: the starter shelf]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// The workbook; begun when it is not there yet [default: workbook.sqlite]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// The day it was dyed (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
    /// Who records
    #[arg(long, value_name = "NAME", default_value = "the maker")]
    who: String,
}

/// Records it.
pub(crate) fn run(words: &Words, json: bool) -> Result<(), Trouble> {
    let made = note_dyed(&DyedWanted {
        book: words.book.clone(),
        shelf: words.shelf.clone(),
        piece: words.piece.clone(),
        costume: words.costume.clone(),
        outside: words.outside,
        weight: words.weight.clone(),
        cloth: words.cloth.clone(),
        undyed: words.undyed.clone(),
        by_swatch: words.by_swatch.clone(),
        purpose: words.purpose.clone(),
        ratio: words.ratio,
        programme: words.programme.clone(),
        doses: words.doses.clone(),
        minutes: words.minutes,
        hottest_c: words.hottest,
        came_out: words.came_out.clone(),
        spread: words.spread,
        state: words.state.clone(),
        by: words.by.clone(),
        reader: words.reader.clone(),
        light: words.light.clone(),
        note: words.note.clone(),
        day: words.today.map_or_else(today, Ok)?,
        recording: recording(&words.who),
    })?;
    if json {
        say_json(&made)
    } else {
        tell_recorded(&made);
        Ok(())
    }
}
