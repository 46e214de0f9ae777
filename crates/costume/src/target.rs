//! The colour a piece should be, as the maker gave it, and undyed cloth as read.

use colour::{Bands, Lab, ScreenColour};

use crate::reader::{Any, At, Table};
use crate::{Colours, Files};

/// A colour as given.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// What was given.
    pub as_given: AsGiven,
    /// How it was written, for the sheet: "lab 42, −18, 6", "#2f6f5a", "coat.csv, sample 3".
    pub written: String,
}

/// The three ways a colour can be known.
#[derive(Debug, Clone, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "a handful per piece; a box would cost every reader a step"
)]
pub enum AsGiven {
    /// A colour, D65/10°; its spectrum has to be assumed.
    Colour(Lab),
    /// A screen colour, D65/2°; its cloth colour and spectrum have to be assumed.
    Screen(ScreenColour),
    /// A read spectrum.
    Spectrum(Bands),
}

/// Reads a colour: `{ lab = […] }`, `{ hex = "…" }` or `{ file = "…", sample = "…" }`.
pub(crate) fn given(table: &Table, files: &dyn Files) -> Option<Given> {
    let lab = table.any("lab");
    let hex = table.text("hex");
    let file = table.text("file");
    let sample = table.text("sample");
    let one_way = [lab.is_some(), hex.is_some(), file.is_some()].iter().filter(|x| **x).count();
    let made = match (lab, hex, file) {
        _ if one_way != 1 => {
            table.fault(
                table.span.clone(),
                format!("a colour is given in one way, not in {one_way}"),
                "write one of lab = [L, a, b], hex = \"#rrggbb\", file = \"reading.csv\"",
            );
            None
        }
        (Some(lab), ..) => typed(table, &lab),
        (_, Some(hex), _) => screen(table, &hex),
        (.., Some(file)) => from_file(table, &file, sample.as_ref(), files),
        _ => None,
    };
    table.finish();
    made
}

fn typed(table: &Table, lab: &At<Any>) -> Option<Given> {
    let [l, a, b] = table.three("lab", lab)?;
    let hint = "L* runs from 0 to 100; a* and b* of cloth stay within ±128";
    let lab = table.keep(&lab.span, Lab::try_typed(l, a, b), hint)?;
    let written = format!("L* {l}, a* {a}, b* {b}");
    Some(Given { as_given: AsGiven::Colour(lab), written })
}

fn screen(table: &Table, hex: &At<String>) -> Option<Given> {
    let hint = "write # and six digits 0-9 or a-f, as in #2f6f5a";
    let colour = table.keep(&hex.span, ScreenColour::from_hex(&hex.it), hint)?;
    Some(Given { as_given: AsGiven::Screen(colour), written: hex.it.clone() })
}

fn from_file(
    table: &Table,
    file: &At<String>,
    sample: Option<&At<String>>,
    files: &dyn Files,
) -> Option<Given> {
    let hint = "a path is taken from the folder of the costume file";
    let colours: Colours = table.keep(&file.span, files.colours(&file.it), hint)?;
    let (name, as_given) = match (sample, colours.as_slice()) {
        (None, [only]) => only.clone(),
        (None, many) => {
            let names = names(many);
            let says = format!("{} holds {} samples", file.it, many.len());
            table.fault(file.span.clone(), says, format!("name one with sample = \"…\": {names}"));
            return None;
        }
        (Some(wanted), many) => match many.iter().find(|(name, _)| *name == wanted.it) {
            Some(found) => found.clone(),
            None => {
                let says = format!("{} holds no sample \"{}\"", file.it, wanted.it);
                table.fault(wanted.span.clone(), says, format!("it holds {}", names(many)));
                return None;
            }
        },
    };
    Some(Given { as_given, written: format!("{}, sample {name}", file.it) })
}

fn names(colours: &[(String, AsGiven)]) -> String {
    let mut names: Vec<&str> = colours.iter().take(8).map(|(name, _)| name.as_str()).collect();
    if colours.len() > names.len() {
        names.push("…");
    }
    names.join(", ")
}
