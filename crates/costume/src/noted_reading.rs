//! The readings of a swatch as noted: the colour, its spread, the state of the cloth, who read it how.

use std::ops::RangeInclusive;

use colour::{Colour, Lab, Light, Observer};
use units::Day;

use crate::noted::{Row, Whose};
use crate::reader::{Any, At, Table};
use crate::target::given;
use crate::{Files, Given};

/// A reading as noted.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingNoted {
    /// The colour.
    pub colour: Given,
    /// The same reading under further lights, for the 10° observer.
    pub under: Vec<Colour>,
    /// How far it may be off: rms ΔE00; none: nobody knows.
    pub spread: Option<f64>,
    /// Loose dye washed off, soaped where the class asks for it.
    pub washed_off: Option<bool>,
    /// Dry.
    pub dry: Option<bool>,
    /// Cooled down.
    pub cool: Option<bool>,
    /// Ironed.
    pub ironed: Option<bool>,
    /// The nap, one of [`NAPS`].
    pub nap: Option<&'static str>,
    /// What lay behind it, one of [`BACKINGS`].
    pub backing: Option<&'static str>,
    /// The day.
    pub day: Option<Day>,
    /// Readings taken at one go.
    pub job: Option<String>,
    /// The light it was taken in, in words.
    pub light: Option<String>,
    /// By what means, one of [`MEANS`].
    pub by: &'static str,
    /// Whose eye, or which camera or instrument.
    pub reader: Option<String>,
    /// Whose it is.
    pub whose: Whose,
    /// Anything else.
    pub note: Option<String>,
}

/// How a nap can lie.
pub const NAPS: [&str; 4] = ["none", "with", "against", "both ways"];
/// What can lie behind a cloth.
pub const BACKINGS: [&str; 5] = ["itself", "white", "grey", "black", "open"];
/// By what means a colour can be read.
pub const MEANS: [&str; 6] = ["instrument", "photograph", "file", "typed", "eye", "invented"];

/// Spread of a reading, ΔE00 (room `colour` takes no more).
const SPREAD: RangeInclusive<f64> = 0.0..=20.0;

/// Keys of a reading that a swatch's row or `[all]` may tell for it.
const HELD: [&str; 12] = [
    "spread",
    "washed_off",
    "dry",
    "cool",
    "ironed",
    "nap",
    "backing",
    "read_on",
    "job",
    "light",
    "by",
    "reader",
];

/// Reads `reading`. A reading belongs to whom the swatch belongs to.
pub(crate) fn readings(row: &Row, files: &dyn Files, whose: &Whose) -> Option<Vec<ReadingNoted>> {
    held_asked(row);
    let tables = row.own.parts("reading");
    let read: Vec<Option<ReadingNoted>> = tables
        .iter()
        .map(|table| {
            let read = reading(table, row, files, whose);
            table.finish();
            read
        })
        .collect();
    read.into_iter().collect()
}

/// Asks for what may stand under `[all]` for the others, even where nothing was read yet.
pub(crate) fn held_asked(row: &Row) {
    for key in HELD {
        row.with(key);
    }
}

pub(crate) fn reading(
    table: &Table,
    row: &Row,
    files: &dyn Files,
    whose: &Whose,
) -> Option<ReadingNoted> {
    let colour = match table.part("colour") {
        Some(part) => given(&part, files),
        None => {
            let hint = "write colour = { lab = [31.5, 2.3, -18.5] }, or a hex, or a file";
            if table.any("colour").is_none() {
                table.fault(table.span.clone(), "`colour` is missing", hint);
            }
            None
        }
    };
    let under = under(table);
    let hint =
        "how far the reading may be off, as a colour difference; leave it out when nobody knows";
    let spread = held(table, row, "spread").between("spread", SPREAD, hint).map(|s| s.it);
    let told = |key| held(table, row, key);
    let said = told("washed_off").choice_of_flag("washed_off");
    let dry = told("dry").choice_of_flag("dry");
    let cool = told("cool").choice_of_flag("cool");
    let ironed = told("ironed").choice_of_flag("ironed");
    // Everything is asked for before anything is found wanting: a key nobody asked for is a fault.
    let nap = told("nap").choice("nap", &NAPS, itself);
    let backing = told("backing").choice("backing", &BACKINGS, itself);
    let day = told("read_on").day("read_on").map(|d| d.it);
    let job = told("job").text("job").map(|t| t.it);
    let light = told("light").text("light").map(|t| t.it);
    let by = told("by").choice("by", &MEANS, itself).unwrap_or("typed");
    let reader = told("reader").text("reader").map(|t| t.it);
    let note = table.text("note").map(|t| t.it);
    Some(ReadingNoted {
        colour: colour?,
        under: under?,
        spread,
        washed_off: said,
        dry,
        cool,
        ironed,
        nap,
        backing,
        day,
        job,
        light,
        by,
        reader,
        whose: whose.clone(),
        note,
    })
}

/// The table that tells a key: the reading's own, else the swatch's row, else what holds for all.
fn held<'a, 'r, 'i>(
    own: &'a Table<'r, 'i>,
    row: &Row<'a, 'r, 'i>,
    key: &'static str,
) -> &'a Table<'r, 'i> {
    let there = own.any(key).is_some();
    let elsewhere = row.with(key);
    if there || elsewhere.any(key).is_none() { own } else { elsewhere }
}

const fn itself(word: &'static str) -> &'static str {
    word
}

/// Reads `under`: `{ A = [L, a, b], FL11 = [L, a, b] }`.
fn under(table: &Table) -> Option<Vec<Colour>> {
    let Some(lights) = table.part("under") else { return Some(vec![]) };
    let mut read = vec![];
    let mut sound = true;
    for (name, value) in lights.all() {
        let hint = "write the light by its name, as in under = { A = [45.0, 12.0, 8.0] }";
        let light = lights.keep(&name.span, Light::from_name(&name.it), hint);
        let lab = lights.three("under", &value).and_then(|[l, a, b]| {
            lights.keep(&value.span, Lab::try_typed(l, a, b), "L*, a*, b* under that light")
        });
        match (light, lab) {
            (Some(Light::D65), Some(_)) => {
                let says = "daylight (D65) is what `colour` tells already";
                lights.fault(name.span, says, "write further lights only");
                sound = false;
            }
            (Some(light), Some(lab)) => read.push(Colour { lab, light, observer: Observer::Ten }),
            _ => sound = false,
        }
    }
    sound.then_some(read)
}

impl Table<'_, '_> {
    /// true, false, or nothing said.
    fn choice_of_flag(&self, key: &'static str) -> Option<bool> {
        match self.any(key)? {
            At { it: Any::Flag(flag), .. } => Some(flag),
            At { it, span } => {
                let says = format!("`{key}` is {}", it.kind());
                self.fault(span, says, "write true or false, or leave it out");
                None
            }
        }
    }
}
