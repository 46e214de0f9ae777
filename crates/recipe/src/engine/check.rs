//! What the engine refuses to search, in words.

use super::{Aim, BANDS, Law, MOST_DYES, Palette};

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

/// No K/S and no amount of dye is larger; keeps the narrow width from overflowing.
const MOST: f64 = 1e6;

/// Checks a palette and an aim once, so that the loops need not.
pub(super) fn check(palette: &Palette, aim: &Aim) -> Result<(), Unsearchable> {
    let dyes = palette.shapes.len();
    if dyes == 0 || dyes > 60_000 {
        return Err(Unsearchable::Dyes(dyes));
    }
    if palette.most.len() != dyes {
        return Err(Unsearchable::Unpaired { shapes: dyes, most: palette.most.len() });
    }
    let above = "it must be above 0 and at most 1 000 000; measure or enter it again";
    let within = "it must be at least 0 and at most 1 000 000; measure or enter it again";
    let share = "it must be at least 0 and below 1; measure or enter it again";
    let part = "it must be 0 to 1; enter the blend again";
    let finite = "it must be a plain number; measure or enter it again";
    let colour = "no colour lies beyond 300 from grey; measure or enter it again";
    number(
        || "the surface reflection".to_owned(),
        palette.surface,
        share,
        |v| (0.0..1.0).contains(&v),
    )?;
    for band in 0..BANDS {
        let nm = 400 + 10 * band;
        let cloth = || format!("K/S of the cloth at {nm} nm");
        number(cloth, palette.cloth_ks[band], above, |v| v > 0.0)?;
        number(|| format!("the start at {nm} nm"), aim.start[band], finite, |_| true)?;
        match &palette.law {
            Law::Plain => {}
            Law::Ceiling(ceiling) => {
                let value = ceiling[band];
                if value.is_nan() || value <= 0.0 {
                    let what = format!("the ceiling at {nm} nm");
                    return Err(Unsearchable::Number { what, value, rule: above });
                }
            }
            Law::Sides(sides) => {
                for (at, side) in sides.iter().enumerate() {
                    let what = |part: &str| format!("{part} of fibre {}", at + 1);
                    number(|| what("the share"), side.share, part, |v| (0.0..=1.0).contains(&v))?;
                    number(|| what("the gain"), side.gain, within, |v| (0.0..=MOST).contains(&v))?;
                    let name = || format!("{} at {nm} nm", what("K/S"));
                    number(name, side.cloth_ks[band], above, positive)?;
                }
            }
        }
        for (dye, shape) in palette.shapes.iter().enumerate() {
            let what = || format!("K/S of dye {} at {nm} nm", dye + 1);
            if !(0.0..=MOST).contains(&shape[band]) {
                return Err(Unsearchable::Number {
                    what: what(),
                    value: shape[band],
                    rule: within,
                });
            }
        }
    }
    for (dye, most) in palette.most.iter().enumerate() {
        number(|| format!("the most of dye {}", dye + 1), *most, above, positive)?;
    }
    if aim.lights.is_empty() {
        return Err(Unsearchable::NoLight);
    }
    for (at, light) in aim.lights.iter().enumerate() {
        let name = |what: &str| format!("{what} of light {}", at + 1);
        for c in 0..3 {
            number(|| name("the white"), light.white[c], above, positive)?;
            number(|| name("the colour wanted"), light.lab[c], colour, |v| v.abs() <= 300.0)?;
            for w in light.weights[c] {
                number(|| name("a weight"), w, finite, |_| true)?;
            }
        }
        number(|| name("the share"), light.share, above, positive)?;
    }
    Ok(())
}

/// Checks the size asked for.
pub(super) fn check_size(size: usize) -> Result<(), Unsearchable> {
    if (1..=MOST_DYES).contains(&size) { Ok(()) } else { Err(Unsearchable::Size(size)) }
}

fn positive(value: f64) -> bool {
    value > 0.0 && value <= MOST
}

/// Looks at one number; its name is put into words only when it is refused, since every search asks.
fn number(
    what: impl Fn() -> String,
    value: f64,
    rule: &'static str,
    fits: impl Fn(f64) -> bool,
) -> Result<(), Unsearchable> {
    if value.is_finite() && fits(value) {
        return Ok(());
    }
    Err(Unsearchable::Number { what: what(), value, rule })
}
