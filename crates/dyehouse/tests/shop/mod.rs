//! A shelf to test with: the reactive dyes of the program's own starter file on two plain cloths.

#![allow(dead_code, reason = "each test file takes what it needs")]
#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

use std::sync::Arc;

use colour::{Bands, Light};
use dyehouse::{
    Bolt, Cloth, House, Instrument, Jar, Part, Reader, Recipe, Shelf, World, estimates_from_toml,
};
use units::{LiquorRatio, OnFibre};

pub(crate) fn shelf() -> Arc<Shelf> {
    let text = include_str!("../../../dyeing/data/starter.toml");
    let dyes = estimates_from_toml(text, |class| class == "reactive-dct").unwrap();
    assert!(dyes.len() >= 8, "the starter shelf has lost its reactive dyes");
    let cloth = |name: &str, drop: f64, gain: f64| Cloth {
        name: name.to_owned(),
        undyed: Bands::try_new(std::array::from_fn(|i| 0.88 - drop * (-(i as f64) / 6.0).exp()))
            .unwrap(),
        gain,
        substantivity_l_per_kg: 60.0,
        surface: 0.0,
    };
    Arc::new(
        Shelf::try_new(dyes, vec![cloth("cotton", 0.1, 1.0), cloth("silk", 0.2, 0.75)]).unwrap(),
    )
}

pub(crate) fn house(world: &str, seed: u64) -> House {
    House::drawn(World::named(world).unwrap(), seed, shelf())
}

pub(crate) fn ratio() -> LiquorRatio {
    LiquorRatio::try_litres_per_kilogram(20.0).unwrap()
}

/// A recipe on the first cloth: jars with doses in % owf.
pub(crate) fn recipe(parts: &[(usize, f64)]) -> Recipe {
    let part = |&(jar, pct): &(usize, f64)| Part {
        jar: Jar(jar),
        dose: OnFibre::try_percent(pct).unwrap(),
    };
    Recipe { bolt: Bolt(0), parts: parts.iter().map(part).collect(), ratio: ratio() }
}

pub(crate) fn reader(scatter: f64) -> Reader {
    Reader::try_new(scatter, Instrument::Colour, Light::D65).unwrap()
}
