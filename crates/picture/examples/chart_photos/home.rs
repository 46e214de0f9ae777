//! A card printed at home: read once in daylight by the chart, and cloths then read by it in another light.

use colour::{BANDS, Bands, ClothPrior, Light, Weights, ciede2000};
use picture::{Calibration, Chain, HomeCard, Patch, Seen};
use scenes::{Camera, Chance, Printer};

use crate::{Asked, figures::Figures, root_polynomial::RootPolynomial};

/// As the program draws out the spread of a print's patches (`picture`, `sample/print.rs`).
const INK: f64 = 1.4;

/// Runs it with every camera, each with a printer of its own.
pub(crate) fn run(
    asked: &Asked,
    every: &[(String, [[f64; BANDS]; 3])],
    [chart, cloths]: [&[Bands]; 2],
    chance: &mut Chance,
) -> Result<String, String> {
    let (mut all, mut card) = (Figures::default(), Figures::default());
    for (n, (name, sensitivities)) in every.iter().enumerate() {
        let printer = Printer::drawn(chance);
        let prints: Vec<Bands> = HomeCard::asked().iter().map(|rgb| printer.prints(*rgb)).collect();
        let day = Camera::under(Light::D65, sensitivities);
        let (patches, seen) = crate::averages(&day, chart, &prints, asked.of_white, chance);
        let said = |e: picture::Refusal| e.to_string();
        let prior = ClothPrior::shipped();
        let known = Calibration::try_learn(&patches, Chain::Linear, prior).map_err(said)?;
        card.frame(&known);
        let root = of(&patches);
        let (mut values, mut spreads) = (Vec::new(), Vec::new());
        for (print, seen) in prints.iter().zip(&seen) {
            let read = known.try_cloth(seen).map_err(said)?;
            let truth = Weights::reference().lab(print);
            card.add(
                ciede2000(truth, read.lab),
                read.within90 * INK,
                ciede2000(truth, root.lab(seen.rgb)),
            );
            values.push(prior.likely(read.lab).map_err(|e| e.to_string())?.bands);
            spreads.push(read.rms() * INK);
        }
        let later = if asked.other { &every[(n + 1) % every.len()].1 } else { sensitivities };
        let camera = Camera::under(asked.light, later);
        let (patches, seen) = crate::averages(&camera, &prints, cloths, asked.of_white, chance);
        let believed: Vec<Patch> = patches
            .iter()
            .zip(&values)
            .map(|(p, value)| Patch { reflectance: *value, seen: p.seen })
            .collect();
        let ours = Calibration::try_learn_read(&believed, &spreads, Chain::Linear, prior);
        let ours = ours.map_err(|e| format!("{name}: {e}"))?;
        let root = of(&believed);
        let mut figures = Figures::default();
        figures.frame(&ours);
        for (truth, seen) in crate::labs(cloths).iter().zip(&seen) {
            let Ok(read) = ours.try_cloth(seen) else {
                figures.refused += 1;
                continue;
            };
            let rival = ciede2000(*truth, root.lab(seen.rgb));
            figures.add(ciede2000(*truth, read.lab), read.within90, rival);
        }
        println!("{name}: {}", figures.line());
        all += &figures;
    }
    println!("the card's own patches: {}", card.line());
    println!("all: {}", all.line());
    Ok(all.json())
}

fn of(patches: &[Patch]) -> RootPolynomial {
    let known: Vec<(Bands, [f64; 3])> = patches
        .iter()
        .map(|Patch { reflectance, seen: Seen { rgb, .. } }| (*reflectance, *rgb))
        .collect();
    RootPolynomial::fit(&known)
}
