//! What the engine refuses to search, in words.

use super::{Aim, BANDS, MOST_DYES, Palette};

/// Why a search cannot begin.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unsearchable {
    /// No dye, or more than the engine can number.
    #[error("{0} dyes: a search needs 1 to 60 000; choose the dyes to search")]
    Dyes(usize),
    /// Sets of none or of too many.
    #[error("sets of up to {0} dyes: a set has 1 to 4; ask for a size in that range")]
    Size(usize),
    /// Shapes and greatest amounts do not pair.
    #[error("{shapes} dyes but {most} greatest amounts: each dye needs one")]
    Unpaired {
        /// Dyes.
        shapes: usize,
        /// Greatest amounts.
        most: usize,
    },
    /// No light.
    #[error("no light: a colour is wanted under at least one; name a light")]
    NoLight,
    /// A number that cannot be used.
    #[error("{what} is {value}: {rule}")]
    Number {
        /// Which number.
        what: String,
        /// As given.
        value: f64,
        /// The rule it broke and what to do.
        rule: &'static str,
    },
    /// A set names a dye that is not in the palette, or one twice, or not in ascending order.
    #[error("set {0:?}: name 1 to 4 dyes of the palette, each once, in ascending order")]
    Set(Vec<usize>),
}

/// Checks a palette and an aim once, so that the loops need not.
pub(super) fn check(palette: &Palette, aim: &Aim) -> Result<(), Unsearchable> {
    let dyes = palette.shapes.len();
    if dyes == 0 || dyes > 60_000 {
        return Err(Unsearchable::Dyes(dyes));
    }
    if palette.most.len() != dyes {
        return Err(Unsearchable::Unpaired { shapes: dyes, most: palette.most.len() });
    }
    let above = "it must be a number above 0; measure or enter it again";
    let within = "it must be a number of at least 0; measure or enter it again";
    let finite = "it must be a plain number; measure or enter it again";
    number("the surface reflection", palette.surface, within, |v| (0.0..1.0).contains(&v))?;
    for band in 0..BANDS {
        let nm = 400 + 10 * band;
        number(&format!("K/S of the cloth at {nm} nm"), palette.cloth_ks[band], above, |v| {
            v > 0.0
        })?;
        number(&format!("the start at {nm} nm"), aim.start[band], finite, |_| true)?;
        if let super::Law::Ceiling(ceiling) = &palette.law {
            let value = ceiling[band];
            if value.is_nan() || value <= 0.0 {
                let what = format!("the ceiling at {nm} nm");
                return Err(Unsearchable::Number { what, value, rule: above });
            }
        }
        for (dye, shape) in palette.shapes.iter().enumerate() {
            let what = || format!("K/S of dye {} at {nm} nm", dye + 1);
            if !(shape[band].is_finite() && shape[band] >= 0.0) {
                return Err(Unsearchable::Number {
                    what: what(),
                    value: shape[band],
                    rule: within,
                });
            }
        }
    }
    for (dye, most) in palette.most.iter().enumerate() {
        number(&format!("the most of dye {}", dye + 1), *most, above, |v| v > 0.0)?;
    }
    if aim.lights.is_empty() {
        return Err(Unsearchable::NoLight);
    }
    for (at, light) in aim.lights.iter().enumerate() {
        let name = |what: &str| format!("{what} of light {}", at + 1);
        for c in 0..3 {
            number(&name("the white"), light.white[c], above, |v| v > 0.0)?;
            number(&name("the colour wanted"), light.lab[c], finite, |_| true)?;
            for w in light.weights[c] {
                number(&name("a weight"), w, finite, |_| true)?;
            }
        }
        number(&name("the share"), light.share, above, |v| v > 0.0)?;
    }
    Ok(())
}

/// Checks the size asked for.
pub(super) fn check_size(size: usize) -> Result<(), Unsearchable> {
    if (1..=MOST_DYES).contains(&size) { Ok(()) } else { Err(Unsearchable::Size(size)) }
}

fn number(
    what: &str,
    value: f64,
    rule: &'static str,
    fits: impl Fn(f64) -> bool,
) -> Result<(), Unsearchable> {
    if value.is_finite() && fits(value) {
        return Ok(());
    }
    Err(Unsearchable::Number { what: what.to_owned(), value, rule })
}
