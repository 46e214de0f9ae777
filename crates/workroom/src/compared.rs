//! Compare two readings: every difference under every light that can be had.

use colour::{
    ClothPrior, Comparison, Origin, Reading, Value, Viewing, Weights, compare, describe, read_file,
    read_typed,
};
use serde::Serialize;

use crate::asked::{Asked, file_and_sample};
use crate::disk::bytes;
use crate::{Trouble, shown};

/// Two readings compared, as printed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// Always "compare".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The reading looked at.
    pub first: ReadingSeen,
    /// What it is held against: the standard.
    pub second: ReadingSeen,
    /// The plain sentence.
    pub sentence: String,
    /// Whether it passes from where it is seen, with its figures.
    pub seen: String,
    /// True when it passes from there.
    pub passes: bool,
    /// From how near.
    pub seen_from: &'static str,
    /// Every light, the reference first.
    pub differences: Vec<DifferenceSeen>,
    /// The worst light of each place.
    pub places: Vec<PlaceSeen>,
    /// Whether the match holds from light to light.
    pub metamerism: Vec<MetamerismSeen>,
    /// Grey-scale grade of change, ISO 105-A02 by ΔE*ab.
    pub grade_a02: String,
    /// The same by instrument formula, ISO 105-A05.
    pub grade_a05: String,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

/// One reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingSeen {
    /// As given.
    pub given: String,
    /// In words.
    pub words: String,
    /// Lab under the reference light.
    pub lab: [f64; 3],
    /// The reference light.
    pub light: &'static str,
    /// The observer.
    pub observer: &'static str,
    /// True when a spectrum is known, so that other lights can be looked at.
    pub spectrum: bool,
}

/// Every difference under one light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DifferenceSeen {
    /// The light.
    pub light: &'static str,
    /// What it is in words.
    pub words: &'static str,
    /// CIEDE2000.
    pub de00: f64,
    /// CIEDE2000 (2:1:1).
    pub de00_textile: f64,
    /// CIE 1976.
    pub de_ab: f64,
    /// CMC(2:1).
    pub cmc_2_1: f64,
    /// CMC(1:1).
    pub cmc_1_1: f64,
    /// Lightness, first − second.
    pub dl: f64,
    /// Chroma, first − second.
    pub dc: f64,
    /// Hue, first − second.
    pub dh: f64,
}

/// The worst light of a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceSeen {
    /// The place.
    pub place: &'static str,
    /// Its worst light.
    pub light: &'static str,
    /// ΔE00 there.
    pub de00: f64,
    /// Whether it passes from where it is seen.
    pub passes: bool,
}

/// The index of metamerism for one light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MetamerismSeen {
    /// The test light.
    pub light: &'static str,
    /// Index, ΔE00.
    pub index: f64,
    /// In words, with the correction made.
    pub words: String,
}

/// Compares two readings, each a hex colour, "L a b", or a file with its sample after a colon; the
/// second is the standard.
pub fn compare_readings(
    first: &str,
    second: &str,
    seen_from: Option<&str>,
) -> Result<Compared, Trouble> {
    let mut asked = Asked::default();
    let places = (asked.typed("", first), asked.typed("", second));
    let viewing = match seen_from {
        None => Some(Viewing::CloseUp),
        Some(given) => {
            let at = asked.typed("--seen-from", given);
            asked.keep(&at, Viewing::from_name(given), "touching, beside, close up or stage")
        }
    };
    let one = reading(first)?;
    let two = reading(second)?;
    let hint = "write a colour as \"#2f6f5a\" or \"45 -12.5 8\" (L* a* b*), or name a reading file";
    let one = asked.keep(&places.0, one, hint);
    let two = asked.keep(&places.1, two, hint);
    asked.sound()?;
    let (Some(one), Some(two), Some(viewing)) = (one, two, viewing) else {
        return Err(Trouble::refused("this could not be read", hint));
    };
    let (one, two) = alike(one, two)?;
    let found = compare(&one, &two).map_err(|e| {
        Trouble::refused(e.to_string(), "give both for one light and observer, or their spectra")
    })?;
    Ok(written((first, &one), (second, &two), &found, viewing))
}

/// A reading; the inner error is the argument's own, the outer one a file's.
fn reading(given: &str) -> Result<Result<Reading, String>, Trouble> {
    let Some((file, sample)) = file_and_sample(given) else {
        return Ok(read_typed(given).map_err(|e| e.rule));
    };
    let held = bytes(file.as_ref())?;
    let mut readings = read_file(&held, file).map_err(|faults| {
        let said: Vec<String> = faults.iter().map(|f| format!("{file}: {f}")).collect();
        Trouble::refused(said.join("\n  "), "mend the file, or export it again as CSV or CGATS")
    })?;
    let name = |i: usize, r: &Reading| r.name.clone().unwrap_or_else(|| (i + 1).to_string());
    let names: Vec<String> = readings.iter().enumerate().map(|(i, r)| name(i, r)).collect();
    let at = match sample {
        Some(wanted) => names.iter().position(|n| n == wanted),
        None => (names.len() == 1).then_some(0),
    };
    let Some(at) = at else {
        let listed: Vec<&str> = names.iter().take(8).map(String::as_str).collect();
        let more = if names.len() > 8 { ", …" } else { "" };
        let says = match sample {
            Some(wanted) => format!("{file} holds no sample \"{wanted}\""),
            None => format!("{file} holds {} samples", names.len()),
        };
        let hint = format!(
            "name one after a colon, as {file}:{}; it holds {}{more}",
            listed[0],
            listed.join(", ")
        );
        return Err(Trouble::refused(says, hint));
    };
    let mut chosen = readings.swap_remove(at);
    chosen.name = Some(names[at].clone());
    Ok(Ok(chosen))
}

/// A screen colour against a cloth colour: the screen colour is taken as the likeliest cloth.
fn alike(one: Reading, two: Reading) -> Result<(Reading, Reading), Trouble> {
    let screen = |r: &Reading| matches!(r.origin, Origin::Screen(_));
    let bare_cloth = |r: &Reading| matches!(r.value, Value::Colour(_)) && !screen(r);
    if screen(&one) && bare_cloth(&two) {
        return Ok((as_cloth(one)?, two));
    }
    if screen(&two) && bare_cloth(&one) {
        let two = as_cloth(two)?;
        return Ok((one, two));
    }
    Ok((one, two))
}

fn as_cloth(reading: Reading) -> Result<Reading, Trouble> {
    let Origin::Screen(screen) = reading.origin else { return Ok(reading) };
    let likely = ClothPrior::shipped().screen_colour_to_cloth(screen.to_xyz2()).map_err(|e| {
        Trouble::refused(e.to_string(), "give the colour of the cloth itself, as L* a* b*")
    })?;
    let lab = Weights::reference().lab(&likely.bands);
    let hex = screen.to_hex();
    let mut cloth = Reading::of_colour(colour::Colour::d65_10(lab), Origin::Typed);
    cloth.notes.push(format!(
        "{hex} is a screen's colour; it is taken as the likeliest cloth that looks so ({lab}), which is \
         assumed."
    ));
    Ok(cloth)
}

fn written(
    (first, one): (&str, &Reading),
    (second, two): (&str, &Reading),
    found: &Comparison,
    viewing: Viewing,
) -> Compared {
    let seen = |given: &str, reading: &Reading, colour: colour::Colour| ReadingSeen {
        given: given.to_owned(),
        words: describe(colour.lab),
        lab: shown::lab(colour.lab),
        light: colour.light.name(),
        observer: colour.observer.name(),
        spectrum: matches!(reading.value, Value::Spectrum(_)),
    };
    let n = |v: f64| shown::rounded(v, 2);
    Compared {
        dyewright: "compare",
        version: 1,
        first: seen(first, one, found.first),
        second: seen(second, two, found.second),
        sentence: found.sentence.clone(),
        seen: found.seen(viewing),
        passes: found.in_reference().is_some_and(|d| viewing.passes(d.de00)),
        seen_from: viewing.name(),
        differences: found
            .differences
            .iter()
            .map(|d| DifferenceSeen {
                light: d.light.name(),
                words: d.light.words(),
                de00: n(d.de00),
                de00_textile: n(d.de00_textile),
                de_ab: n(d.de_ab),
                cmc_2_1: n(d.cmc_2_1),
                cmc_1_1: n(d.cmc_1_1),
                dl: n(d.dl),
                dc: n(d.dc),
                dh: n(d.dh),
            })
            .collect(),
        places: found
            .places
            .iter()
            .map(|(place, d)| PlaceSeen {
                place: place.name(),
                light: d.light.name(),
                de00: n(d.de00),
                passes: viewing.passes(d.de00),
            })
            .collect(),
        metamerism: found
            .metamerism
            .iter()
            .map(|m| MetamerismSeen {
                light: m.test.name(),
                index: n(m.de00),
                words: m.words(viewing),
            })
            .collect(),
        grade_a02: found.grade_a02.to_string(),
        grade_a05: found.grade_a05.to_string(),
        notes: found.notes.clone(),
    }
}
