//! Invented dyes and swatches of them: the true dyes are drawn around the starter shelf's estimates.

use colour::Lab;
use costume::Shelf;
use dyeing::{Dosed, Dye, Dyeing, Glimpse, Ground, HOME, InBath, Look, Seen, Substrate, predict};
use lore::DyeClass;
use plan::{Lesson, ToLearn};
use units::{Day, LiquorRatio, OnFibre, Share};

type Fails = Box<dyn std::error::Error>;

/// The reactive dyes of the starter shelf.
pub(crate) fn shelf() -> Shelf {
    let mut shelf = Shelf::of_starters();
    shelf.dyes.retain(|d| d.dye.class == DyeClass::ReactiveDct);
    shelf
}

/// The dye as it might really be: each number 0.8 spreads away, in turn up and down.
pub(crate) fn truth(place: usize, dye: &Dye) -> Dye {
    let way = |k: usize| if (place + k).is_multiple_of(2) { 0.8 } else { -0.8 };
    let deviates: Vec<f64> = (0..dye.doubts()).map(way).collect();
    dye.drawn(&deviates)
}

pub(crate) fn cotton() -> Result<Substrate, Fails> {
    let ground = Ground::assumed(&[("cotton", Share::WHOLE)], Look::White)?;
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0)?;
    Ok(Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio)?)
}

/// A swatch on cotton of what the dyes truly are.
pub(crate) fn swatch(
    shelf: &Shelf,
    code: &str,
    piece: Option<&str>,
    job: u64,
    doses: &[(usize, f64)],
) -> Result<ToLearn, Fails> {
    let on = cotton()?;
    let truths: Vec<Dye> = shelf.dyes.iter().enumerate().map(|(i, d)| truth(i, &d.dye)).collect();
    let mut recipe = vec![];
    let mut bath = vec![];
    for &(dye, pct) in doses {
        let dose = OnFibre::try_percent(pct)?;
        recipe.push(Dosed { dye: &truths[dye], dose, scatter: 0.0 });
        bath.push(InBath { dye, dose, scatter: 0.02 });
    }
    let read: Lab = predict(&on, &recipe, HOME)?.lab;
    let glimpse = Glimpse { seen: Seen::Colour(read), bias: 0.7, spread: 0.7 };
    let head = Lesson {
        code: code.to_owned(),
        piece: piece.map(|p| ("a test".to_owned(), p.to_owned())),
        own: true,
        look_alike: false,
        fibre: "cotton".to_owned(),
        material: "cotton".to_owned(),
        undyed: None,
        day: Day::try_ymd(2027, 1, 5)?,
        class: DyeClass::ReactiveDct,
        procedure: None,
        ratio: Some(LiquorRatio::try_litres_per_kilogram(20.0)?),
        doses: bath.iter().map(|b| (b.dye, b.dose)).collect(),
        job,
        read,
        confirmed: false,
        surprise: None,
    };
    let dyeing = Dyeing { on, fibre: "cotton".to_owned(), job, bath, scatter: HOME, glimpse };
    Ok(ToLearn { head, dyeing })
}
