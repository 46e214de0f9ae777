//! Laws a prediction must keep, over the whole starter shelf.

use colour::{Lab, Weights};
use dyeing::{Dosed, Dye, Ground, HOME, Look, Refusal, Substrate, predict, starter};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre, Share};

fn on(class: DyeClass, ratio: f64) -> Result<Substrate, Refusal> {
    let material = match class {
        DyeClass::AcidLevelling | DyeClass::AcidMilling | DyeClass::Premetallised => "wool",
        DyeClass::Disperse => "polyester",
        DyeClass::Basic => "acrylic",
        _ => "cotton",
    };
    let ground = Ground::assumed(&[(material, Share::WHOLE)], Look::White)?;
    Substrate::try_new(&ground, class, LiquorRatio::try_litres_per_kilogram(ratio)?)
}

fn at(dye: &Dye, pct: f64, ratio: f64, scatter: f64) -> Result<dyeing::Prediction, Refusal> {
    let recipe = [Dosed { dye, dose: OnFibre::try_percent(pct)?, scatter }];
    predict(&on(dye.class, ratio)?, &recipe, HOME)
}

#[test]
fn more_fixed_dye_is_never_lighter_in_any_band() -> Result<(), Refusal> {
    for starter in starter() {
        let mut before = None;
        for pct in [0.0, 0.01, 0.1, 0.5, 1.0, 2.0, 5.0] {
            let now = at(&starter.dye, pct, 20.0, 0.0)?.bands;
            if let Some(before) = before.replace(now) {
                let before: colour::Bands = before;
                for (b, n) in before.values().iter().zip(now.values()) {
                    assert!(n <= b, "{} at {pct} %", starter.dye.id);
                }
            }
        }
    }
    Ok(())
}

#[test]
fn more_liquor_is_never_darker_and_a_coarser_dose_never_surer() -> Result<(), Refusal> {
    for starter in starter() {
        let l = |ratio| at(&starter.dye, 1.0, ratio, 0.0).map(|p| p.lab.l);
        assert!(l(10.0)? <= l(20.0)? && l(20.0)? <= l(40.0)?, "{}", starter.dye.id);
        let spread = |s| at(&starter.dye, 1.0, 20.0, s).map(|p| p.piece.within_90());
        assert!(spread(0.0)? < spread(0.1)? && spread(0.1)? < spread(0.3)?);
        let both = at(&starter.dye, 1.0, 20.0, 0.02)?;
        assert!(both.recipe.within_90() < both.piece.within_90());
    }
    Ok(())
}

#[test]
fn no_two_dyes_of_a_class_look_alike() -> Result<(), Refusal> {
    let shelf = starter();
    for (i, a) in shelf.iter().enumerate() {
        for b in &shelf[..i] {
            if a.dye.class == b.dye.class {
                let (x, y) = (at(&a.dye, 1.0, 20.0, 0.0)?.lab, at(&b.dye, 1.0, 20.0, 0.0)?.lab);
                let apart = colour::ciede2000(x, y);
                assert!(apart > 5.0, "{} and {} are {apart:.1} apart", a.dye.id, b.dye.id);
            }
        }
    }
    Ok(())
}

#[test]
fn an_undyed_cloth_is_its_ground_and_a_blend_is_between_its_fibres() -> Result<(), Refusal> {
    let half = Share::try_percent(50.0)?;
    let ground = Ground::assumed(&[("cotton", half), ("polyester", half)], Look::White)?;
    let ratio = LiquorRatio::try_litres_per_kilogram(20.0)?;
    let on = Substrate::try_new(&ground, DyeClass::ReactiveDct, ratio)?;
    for (a, b) in on.undyed().iter().zip(ground.reflectance()) {
        assert!((a - b).abs() < 1e-9);
    }
    let dye = &starter()[0].dye;
    let deep = on.dyed(&dye.absorbs().map(|a| a * 50.0));
    let light = Weights::reference();
    // Half the cloth takes no dye at all: however deep, the blend stays pale.
    assert!(light.lab_of(&deep).l > 60.0);
    Ok(())
}

#[test]
fn hues_are_what_their_names_say() -> Result<(), Refusal> {
    for starter in starter() {
        let Lab { l, .. } = at(&starter.dye, 1.0, 20.0, 0.0)?.lab;
        let h = at(&starter.dye, 1.0, 20.0, 0.0)?.lab.to_lch();
        println!(
            "{:26} {:22} L {l:5.1} C {:5.1} h {:5.1}",
            starter.dye.id, starter.dye.name, h.c, h.h
        );
        let range = match starter.dye.name.as_str() {
            n if n.contains("greenish yellow") => 80.0..115.0,
            n if n.ends_with("yellow") => 60.0..105.0,
            n if n.ends_with("orange") => 30.0..75.0,
            "scarlet" => 15.0..50.0,
            n if n.contains("turquoise") => 185.0..265.0,
            n if n.contains("green") => 150.0..215.0,
            _ => continue,
        };
        assert!(range.contains(&h.h), "{} has hue {:.0}", starter.dye.id, h.h);
    }
    Ok(())
}
