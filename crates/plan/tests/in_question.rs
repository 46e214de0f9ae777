//! What a job's swatches speak for is asked in the verdict on them. Dyes and swatches are invented: the true dyes are
//! those of the starter shelf, one of them with light of its own, and no cloth was dyed.

mod common;

use colour::{Bands, Lab, Weights};
use common::{Check, costume};
use costume::Shelf;
use dyeing::{Dosed, Dyeing, Glimpse, Ground, InBath, Look, Scatter, Seen, Substrate, predict};
use lore::{DyeClass, Lore};
use plan::document::Correction;
use plan::{Lesson, Request, Taught, ToLearn, correct};
use units::{Day, LiquorRatio, OnFibre, Share};

type Fails = Box<dyn std::error::Error>;

const COSTUME: &str = "[costume]\nname = \"a test\"\n[[piece]]\nid = \"a\"\ncloth = \"cotton\"\n\
    weight_g = 200\ntarget = { lab = [45.0, 20.0, -20.0] }\n";
const CAREFUL: Scatter = Scatter { common: 0.03, each: 0.03 };
/// Two recipes of three dyes; the second dye is the scarlet, which takes most light at 512 nm.
const RECIPES: [[(usize, f64); 3]; 2] =
    [[(0, 0.8), (3, 0.5), (5, 0.6)], [(0, 0.9), (3, 0.4), (5, 0.7)]];

fn shelf() -> Shelf {
    let mut shelf = Shelf::of_starters();
    shelf.dyes.retain(|d| d.dye.class == DyeClass::ReactiveDct);
    shelf
}

/// A swatch that sends out so much light of its own at most, around 544 nm.
fn swatch(shelf: &Shelf, code: &str, doses: &[(usize, f64)], glow: f64) -> Result<ToLearn, Fails> {
    let ground = Ground::assumed(&[("cotton", Share::WHOLE)], Look::White)?;
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0)?;
    let on = Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio)?;
    let mut recipe = vec![];
    let mut bath = vec![];
    for &(dye, pct) in doses {
        let dose = OnFibre::try_percent(pct)?;
        recipe.push(Dosed { dye: &shelf.dyes[dye].dye, dose, scatter: 0.0 });
        bath.push(InBath { dye, dose, scatter: 0.015 });
    }
    let mut seen = *predict(&on, &recipe, CAREFUL)?.bands.values();
    for (i, r) in seen.iter_mut().enumerate() {
        let nm = 400.0 + 10.0 * f64::from(u32::try_from(i)?);
        let away = (nm - 544.0) / 23.0;
        *r += glow * (-away * away).exp();
    }
    let read: Lab = Weights::reference().lab(&Bands::try_new(seen)?);
    let head = Lesson {
        code: code.to_owned(),
        piece: Some(("a test".to_owned(), "a".to_owned())),
        own: true,
        look_alike: false,
        fibre: "cotton".to_owned(),
        material: "cotton".to_owned(),
        undyed: None,
        day: Day::try_ymd(2027, 1, 5)?,
        class: DyeClass::ReactiveDct,
        procedure: None,
        ratio: Some(ratio),
        doses: bath.iter().map(|b| (b.dye, b.dose)).collect(),
        job: 0,
        read,
        confirmed: false,
        surprise: None,
    };
    let glimpse = Glimpse { seen: Seen::Colour(read), bias: 0.7, spread: 0.7 };
    let dyeing = Dyeing { on, fibre: "cotton".to_owned(), job: 0, bath, scatter: CAREFUL, glimpse };
    Ok(ToLearn { head, dyeing })
}

fn corrected(glow: f64, own: bool) -> Result<Correction, Fails> {
    let shelf = shelf();
    let mut swatches = vec![];
    for (code, doses) in ["C-1", "C-2"].into_iter().zip(&RECIPES) {
        let mut one = swatch(&shelf, code, doses, glow)?;
        one.head.own = own;
        swatches.push(one);
    }
    let (costume, lore) = (costume(COSTUME)?, Lore::shipped());
    let taught = Taught::try_of(&shelf, &[], swatches, vec![])?.ready_for(lore, &costume);
    let today = Day::try_ymd(2027, 1, 11)?;
    let taught = Some(&taught);
    let request = Request { lore, costume: &costume, shelf: &shelf, taught, today, threads: 1 };
    Ok(correct(&request, &costume.pieces[0], Some("C-2"), false)?)
}

#[test]
fn a_dye_that_seems_to_glow_is_asked_about_by_name() -> Check {
    let name = &shelf().dyes[3].dye.name;
    let said = corrected(0.3, true)?.words.join(" ");
    let asked = format!("Swatches C-1, C-2 together read as if {name} glowed (fluoresced");
    assert!(said.contains(&asked), "{said}");
    assert!(said.contains("read it again in another light"), "{said}");
    Ok(())
}

#[test]
fn honest_swatches_and_friends_are_not_asked_about_for_it() -> Check {
    for (glow, own) in [(0.0, true), (0.3, false)] {
        let said = corrected(glow, own)?.words.join(" ");
        assert!(!said.contains("as if"), "{glow} {own}: {said}");
    }
    Ok(())
}
