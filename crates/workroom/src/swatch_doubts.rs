//! Readings of swatches that cannot well be: they are recorded as they were noted, and doubted in words.
//!
//! Dye only takes light away: a cloth that was dyed is never lighter than it was. Left out: how dark a dose
//! should have made it, which is what the reading is there to tell.

use colour::Weights;
use costume::{AmountNoted, AsGiven, DosedNoted, GroundGiven, SwatchNoted};
use dyeing::{Ground, Look};
use units::Share;

/// From this much dye on a cloth is visibly darker, % owf (house judgement: the palest tints are at 0.05).
const VISIBLE: f64 = 0.2;

/// What is doubted of the readings of these swatches, a sentence each.
pub(crate) fn doubts(noted: &[SwatchNoted]) -> Vec<String> {
    noted.iter().filter(|one| one.over.is_none()).flat_map(of_swatch).collect()
}

fn of_swatch(one: &SwatchNoted) -> Vec<String> {
    let depth = depth(one);
    let Some(undyed) = undyed(one).filter(|_| depth >= VISIBLE) else { return vec![] };
    let lighter =
        one.readings.iter().map(|r| lightness(&r.colour.as_given)).filter(|l| *l > undyed);
    lighter
        .map(|l| {
            format!(
                "{}: it reads L* {}, lighter than the undyed cloth (L* {}), though {} % of dye is on it. Dye \
                 only darkens: look whether the reading is of another cloth, or the colour is mistyped.",
                one.code,
                units::trimmed(l, 1),
                units::trimmed(undyed, 1),
                units::trimmed(depth, 2)
            )
        })
        .collect()
}

/// Its dye on weight of fibre, as far as the doses tell it outright.
fn depth(one: &SwatchNoted) -> f64 {
    let dyes = one.doses.iter().filter(|dose| matches!(dose.of, DosedNoted::Dye { .. }));
    dyes.map(|dose| match dose.amount {
        AmountNoted::OnFibre(share) => share.to_percent(),
        AmountNoted::Weighed(mass) => 100.0 * (mass / one.goods),
        AmountNoted::Poured(_) | AmountNoted::PerLitre(_) => 0.0,
    })
    .sum()
}

/// L* of the cloth before it was dyed: as read, else the usual look of its main fibre.
fn undyed(one: &SwatchNoted) -> Option<f64> {
    let look = match &one.undyed {
        Some(GroundGiven::Read(given)) => return Some(lightness(&given.as_given)),
        Some(GroundGiven::Assumed(look)) => *look,
        None => Look::White,
    };
    let main = one.materials.first()?;
    let ground = Ground::assumed(&[(main.as_str(), Share::WHOLE)], look).ok()?;
    let bands = colour::Bands::try_new(ground.reflectance()).ok()?;
    Some(Weights::reference().lab(&bands).l)
}

fn lightness(given: &AsGiven) -> f64 {
    match given {
        AsGiven::Colour(lab) => lab.l,
        AsGiven::Screen(screen) => screen.to_lab2().l,
        AsGiven::Spectrum(bands) => Weights::reference().lab(bands).l,
    }
}
