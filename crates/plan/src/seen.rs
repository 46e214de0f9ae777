//! Colours and goods as the document shows them, every number rounded here and nowhere later.

use colour::{Bands, ClothPrior, Lab, Observer, Screen, Shown, Weights, describe};
use costume::{AsGiven, Given, Goods};
use lore::Makeup;

use crate::document::{ColourSeen, FibreOdds, FibreShare, GoodsSeen, PartWeight};

/// A number rounded to so many decimals, as printed.
pub(crate) fn print(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    let rounded = (value * scale).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A remark as a sentence: a capital at its head, a stop at its end.
pub(crate) fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut chars = text.chars();
    let Some(first) = chars.next() else { return String::new() };
    let stop = if text.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{}{stop}", first.to_uppercase(), chars.as_str())
}

/// Lab as printed: one decimal.
pub(crate) fn lab(lab: Lab) -> [f64; 3] {
    [print(lab.l, 1), print(lab.a, 1), print(lab.b, 1)]
}

/// A colour given by the maker, brought to a reflectance.
#[derive(Debug, Clone)]
pub(crate) struct Resolved {
    pub(crate) bands: Bands,
    pub(crate) assumed: bool,
    pub(crate) seen: ColourSeen,
    /// What had to be changed to make it a colour a surface can have.
    pub(crate) moved: Option<String>,
    /// Expected rms ΔE00 of the assumed look under a light.
    pub(crate) unsure: Vec<(colour::Light, f64)>,
}

/// Brings a given colour to a reflectance: read, or the most likely one.
pub(crate) fn resolve(given: &Given, lights: &[colour::Light]) -> Result<Resolved, String> {
    let prior = ClothPrior::shipped();
    let (likely, moved) = match &given.as_given {
        AsGiven::Spectrum(bands) => {
            let seen = of_bands(bands, &given.written, false);
            return Ok(Resolved {
                bands: *bands,
                assumed: false,
                seen,
                moved: None,
                unsure: vec![],
            });
        }
        AsGiven::Colour(lab) => nearest_likely(*lab)?,
        AsGiven::Screen(screen) => match prior.screen_colour_to_cloth(screen.to_xyz2()) {
            Ok(likely) => (likely, None),
            Err(_) => nearest_likely(screen.to_lab2())?,
        },
    };
    let unsure = lights
        .iter()
        .map(|&l| (l, likely.expected_difference(Weights::of(l, Observer::Ten))))
        .collect();
    let seen = of_bands(&likely.bands, &given.written, true);
    Ok(Resolved { bands: likely.bands, assumed: true, seen, moved, unsure })
}

/// The most likely cloth of a colour, or of the nearest colour a surface can have.
fn nearest_likely(wanted: Lab) -> Result<(colour::Likely, Option<String>), String> {
    let prior = ClothPrior::shipped();
    let mut lab = wanted;
    let mut last = String::new();
    for step in 0..60 {
        match prior.likely(lab) {
            Ok(likely) if step == 0 => return Ok((likely, None)),
            Ok(likely) => {
                let says = format!(
                    "no cloth can have the colour as given (L* {:.0}, a* {:.0}, b* {:.0}); the aim is \
                     the nearest it can have, {}",
                    wanted.l,
                    wanted.a,
                    wanted.b,
                    describe(lab)
                );
                return Ok((likely, Some(says)));
            }
            Err(refusal) => last = refusal.to_string(),
        }
        lab = Lab::new(lab.l + (50.0 - lab.l) * 0.04, lab.a * 0.95, lab.b * 0.95);
    }
    Err(last)
}

/// A reflectance as shown.
pub(crate) fn of_bands(bands: &Bands, from: &str, assumed: bool) -> ColourSeen {
    let at = Weights::reference().lab(bands);
    let shown = Shown::of_bands(Screen::Srgb, bands);
    ColourSeen {
        words: describe(at),
        lab: lab(at),
        hex: shown.colour.to_hex(),
        from: from.to_owned(),
        assumed,
        screen_shows: shown.inside,
    }
}

/// A colour without a reflectance as shown; the chip takes the 10° colour for the 2° one.
pub(crate) fn of_lab(at: Lab, from: &str) -> ColourSeen {
    let shown = Shown::of_lab2(Screen::Srgb, at);
    ColourSeen {
        words: describe(at),
        lab: lab(at),
        hex: shown.colour.to_hex(),
        from: from.to_owned(),
        assumed: true,
        screen_shows: shown.inside,
    }
}

/// Goods as shown.
pub(crate) fn goods(goods: &Goods) -> GoodsSeen {
    let share = |p: &lore::Portion| FibreShare {
        fibre: p.material.clone(),
        share: print(p.share.to_fraction(), 4),
    };
    let (material, fibres, possible) = match &goods.makeup {
        Makeup::Known(portions) => {
            let material = match portions.as_slice() {
                [only] => Some(only.material.clone()),
                _ => None,
            };
            (material, portions.iter().map(share).collect(), vec![])
        }
        Makeup::Unknown(odds) => {
            let counted = odds
                .counted()
                .map(|f| FibreOdds { fibre: f.fibre.clone(), odds: print(f.odds, 4) });
            (None, vec![], counted.collect())
        }
    };
    GoodsSeen {
        known: possible.is_empty(),
        material,
        words: goods.words.clone(),
        fibres,
        possible,
        parts: goods.parts.clone(),
        form: goods.form.id(),
        parts_weigh: goods
            .parts_weigh
            .iter()
            .map(|(part, mass)| PartWeight { part: part.clone(), grams: print(mass.to_grams(), 1) })
            .collect(),
        lining_fibres: match goods.lining.as_ref().map(|l| &l.makeup) {
            Some(Makeup::Known(portions)) => portions.iter().map(share).collect(),
            _ => vec![],
        },
        lining: goods
            .lining
            .as_ref()
            .map(|l| format!("{}, {} g", l.words, print(l.dry.to_grams(), 1))),
        dry_g: print(goods.dry.to_grams(), 1),
        weight_from: goods.weight_from.clone(),
    }
}
