//! How many swatches a costume needs when its pieces share dyes. In simulation.
//!
//! `cargo run --release --example shared_swatches -- --seed S [--costumes N] [--reading S]`. Each costume has
//! eight pieces, one in each of the eight depth × hue strata, in turn on two fibres, and six dyes that all of
//! them may use; every costume has hidden dyes of its own (world `right`). The rota of the program says which
//! piece is swatched next, by which recipe, and when it is time to stop; no piece is swatched more than four times.
//! Then every piece is dyed by the recipe it stands by, which is judged by its true noise-free ΔE00.
//!
//! Two ways on the same costumes, with the same luck: one belief and one rota for all pieces, and the same
//! program with its belief reset for every piece, each with a rota of its own. The last line is JSON: how many
//! costumes, swatches in all, and the shares of pieces within 2.0.

#![expect(clippy::print_stdout, reason = "an example speaks to the person who runs it")]

#[allow(dead_code, reason = "ladders are of the other example")]
#[path = "../virtual_dyehouse/believed.rs"]
mod believed;
#[allow(dead_code, reason = "strategies are of the other example")]
#[path = "../virtual_dyehouse/strategy.rs"]
mod strategy;
mod workshop;

use std::sync::Arc;

use believed::Believed;
use colour::{Bands, ClothPrior, Light};
use dyehouse::{
    Bolt, Cloth, House, Instrument, Reader, Shelf, Stratum, World, estimates_from_toml,
};
use dyeing::{Ground, Look};
use rayon::prelude::*;
use recipe::Target;
use serde_json::json;
use strategy::{Fault, Told};
use units::{LiquorRatio, Share};
use workshop::Came;

/// The dyes that all pieces of a costume share: a yellow of either cast, a red, two blues, a black.
const DYES: [&str; 6] = [
    "reactive-lemon",
    "reactive-golden",
    "reactive-bluish-red",
    "reactive-blue",
    "reactive-turquoise",
    "reactive-black",
];
/// The two fibres, with the gain of each for such dyes (those of the program's own table).
const FIBRES: [(&str, f64); 2] = [("cotton", 1.0), ("viscose", 1.3)];
/// Tolerance of every piece, ΔE00.
const TOLERANCE: f64 = 2.0;
const RATIO: f64 = 20.0;

fn main() -> Result<(), Fault> {
    let seed = number("--seed", 1.0)?;
    let costumes = number("--costumes", 100.0)?;
    let reader = Reader::try_new(number("--reading", 1.0)?, Instrument::Colour, Light::D65)?;
    let shelf = shelf()?;
    let believed = Believed::all(&shelf, LiquorRatio::try_litres_per_kilogram(RATIO)?)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "typed as a count")]
    let (seed, costumes) = (seed as u64, costumes as u64);
    let one =
        |costume: u64| both(&shelf, &believed, &reader, seed.wrapping_mul(1_000_003) + costume);
    let all: Vec<[Came; 2]> = (0..costumes).into_par_iter().map(one).collect::<Result<_, _>>()?;
    let [ours, reset] =
        [0, 1].map(|way| all.iter().map(|c| c[way]).fold(Came::default(), Came::and));
    let share = |c: Came| (1e4 * f64::from(c.within) / f64::from(c.pieces.max(1))).round() / 1e4;
    println!(
        "In simulation: {costumes} costumes of {} pieces, six dyes, two fibres.",
        Stratum::ALL.len()
    );
    println!(
        "{} swatches with one belief, {} with the belief reset per piece: {:.1} % fewer",
        ours.swatches,
        reset.swatches,
        100.0 * (1.0 - f64::from(ours.swatches) / f64::from(reset.swatches.max(1)))
    );
    for (name, came) in [("one belief", ours), ("reset", reset)] {
        let by: Vec<String> =
            came.by_swatches.iter().zip(0..).map(|(n, k)| format!("{k}: {n}")).collect();
        println!("pieces by their own swatches, {name}: {}", by.join(", "));
    }
    let line = json!({
        "costumes": costumes,
        "ours_swatches": ours.swatches,
        "reset_swatches": reset.swatches,
        "ours_within2": share(ours),
        "reset_within2": share(reset),
    });
    println!("{line}");
    Ok(())
}

/// One costume, both ways.
fn both(
    shelf: &Arc<Shelf>,
    believed: &[Believed],
    reader: &Reader,
    seed: u64,
) -> Result<[Came; 2], Fault> {
    let house = House::drawn(World::named("right")?, seed, Arc::clone(shelf));
    let ratio = LiquorRatio::try_litres_per_kilogram(RATIO)?;
    let mut pieces = Vec::new();
    for (number, stratum) in (0u64..).zip(Stratum::ALL) {
        let bolt = Bolt(usize::from(number % 2 == 1));
        let lab = house.target(number, stratum, bolt, ratio)?.lab;
        pieces.push(Told {
            bolt,
            on: &believed[bolt.0].on,
            published: &believed[bolt.0].published,
            known: &believed[bolt.0].published,
            ladders: &[],
            ratio,
            dosing: workshop::DOSING,
            reading: reader.scatter(),
            lab,
            target: Target { bands: ClothPrior::shipped().likely(lab)?.bands, assumed: true },
            tolerance: TOLERANCE,
        });
    }
    let ours = workshop::dyed(&house, &(0..).zip(&pieces).collect::<Vec<_>>(), reader)?;
    let mut reset = Came::default();
    for piece in (0..).zip(&pieces) {
        reset = reset.and(workshop::dyed(&house, &[piece], reader)?);
    }
    Ok([ours, reset])
}

/// The six dyes on the two fibres, white.
fn shelf() -> Result<Arc<Shelf>, Fault> {
    let text = include_str!("../../../dyeing/data/starter.toml");
    let all = estimates_from_toml(text, |class| class == "reactive-dct")?;
    let dyes = all.into_iter().filter(|dye| DYES.contains(&dye.id.as_str())).collect();
    let cloth = |(fibre, gain): (&str, f64)| -> Result<Cloth, Fault> {
        let white = Ground::assumed(&[(fibre, Share::WHOLE)], Look::White)?;
        Ok(Cloth {
            name: fibre.to_owned(),
            undyed: Bands::try_new(white.reflectance())?,
            gain,
            substantivity_l_per_kg: 60.0,
            surface: 0.0,
        })
    };
    let cloths = FIBRES.into_iter().map(cloth).collect::<Result<_, _>>()?;
    Ok(Arc::new(Shelf::try_new(dyes, cloths)?))
}

/// The number after a flag.
fn number(flag: &str, usual: f64) -> Result<f64, Fault> {
    let arguments: Vec<String> = std::env::args().collect();
    let Some(at) = arguments.iter().position(|a| a == flag) else { return Ok(usual) };
    let given = arguments.get(at + 1).map_or("", String::as_str);
    let number: Option<f64> = given.parse().ok().filter(|x| *x >= 0.0 && *x < 1e15);
    number.ok_or_else(|| format!("{flag} {given}: give a number from 0").into())
}
