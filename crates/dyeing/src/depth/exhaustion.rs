//! How much of the dye in the bath ends on the fibre, at equilibrium.
//!
//! Left out: rate, competition between dyes, salt and temperature (they set the constants).
//! Sources: the partition (linear) and Langmuir isotherms of the dyeing textbooks.

use units::{LiquorRatio, OnFibre, Share};

use super::Refusal;

/// Share exhausted by a linear isotherm: E = K / (K + L), substantivity `k` in L/kg.
pub fn linear_exhaustion(k: f64, ratio: LiquorRatio) -> Result<Share, Refusal> {
    let k = positive("the substantivity in L/kg", k)?;
    Ok(Share::try_fraction(k / (k + ratio.to_litres_per_kilogram()))?)
}

/// Share exhausted by a Langmuir isotherm: sites saturate at `most`, affinity `k` in L/g.
///
/// Solves S·k·c / (1 + k·c) + c·L = D for the dye left in the bath, c in g/L, with S and D in g/kg
/// of fibre.
pub fn langmuir_exhaustion(
    dye: OnFibre,
    most: OnFibre,
    k: f64,
    ratio: LiquorRatio,
) -> Result<Share, Refusal> {
    let k = positive("the Langmuir affinity in L/g", k)?;
    let (d, s, l) =
        (dye.to_percent() * 10.0, most.to_percent() * 10.0, ratio.to_litres_per_kilogram());
    if d == 0.0 {
        // The limit of a vanishing dose: the isotherm is linear there, with slope S·k.
        return Ok(Share::try_fraction(s * k / (s * k + l))?);
    }
    // k·L·c² + b·c − D = 0; of the two forms of the root the one that adds, never subtracts.
    let b = s * k + l - d * k;
    let root = (b * b + 4.0 * k * l * d).sqrt();
    let left = if b > 0.0 { 2.0 * d / (b + root) } else { (root - b) / (2.0 * k * l) };
    Ok(Share::try_fraction((1.0 - left * l / d).clamp(0.0, 1.0))?)
}

fn positive(what: &'static str, given: f64) -> Result<f64, Refusal> {
    if given.is_finite() && given > 0.0 {
        return Ok(given);
    }
    Err(Refusal::NotAbove { what, given, rule: "it must be a finite number above zero" })
}
