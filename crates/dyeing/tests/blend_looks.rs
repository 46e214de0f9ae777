//! Laws a blend's look must keep, whichever way it is dyed.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use colour::{BANDS, Bands};
use dyeing::{
    BlendBath, BlendLook, Dosed, Dye, Ground, Heather, Look, Substrate, predict, starter,
};
use lore::DyeClass;
use units::{LiquorRatio, OnFibre, Share};

const ALL: &dyn Fn(&str) -> bool = &|_| true;

fn ground(fibres: &[(&str, f64)]) -> Ground {
    let fibres: Vec<(&str, Share)> =
        fibres.iter().map(|(m, p)| (*m, Share::try_percent(*p).unwrap())).collect();
    Ground::assumed(&fibres, Look::White).unwrap()
}

fn of_class(class: DyeClass) -> &'static Dye {
    &starter().iter().find(|s| s.dye.class == class).unwrap().dye
}

fn dosed(dye: &Dye, pct: f64) -> Dosed<'_> {
    Dosed { dye, dose: OnFibre::try_percent(pct).unwrap(), scatter: 0.0 }
}

fn twenty() -> LiquorRatio {
    LiquorRatio::try_litres_per_kilogram(20.0).unwrap()
}

fn bath<'a>(class: DyeClass, recipe: &'a [Dosed<'a>]) -> BlendBath<'a> {
    BlendBath { class, ratio: twenty(), takes: ALL, recipe }
}

/// The look of one fibre alone, by the ordinary prediction.
fn alone(material: &str, dye: &Dye, pct: f64) -> Bands {
    let on = Substrate::try_new(&ground(&[(material, 100.0)]), dye.class, twenty()).unwrap();
    predict(&on, &[dosed(dye, pct)], dyeing::HOME).unwrap().bands
}

fn apart(a: &Bands, b: &Bands) -> f64 {
    (0..BANDS).map(|i| (a.values()[i] - b.values()[i]).abs()).fold(0.0, f64::max)
}

#[test]
fn one_bath_is_what_the_ordinary_prediction_says_of_the_whole_cloth() {
    let cloth = ground(&[("viscose", 60.0), ("linen", 40.0)]);
    for starter in starter().iter().filter(|s| s.dye.class == DyeClass::ReactiveDct) {
        let recipe = [dosed(&starter.dye, 1.5)];
        let look = BlendLook::of(&cloth, &[bath(starter.dye.class, &recipe)]).unwrap();
        let on = Substrate::try_new(&cloth, starter.dye.class, twenty()).unwrap();
        let whole = predict(&on, &recipe, dyeing::HOME).unwrap().bands;
        assert!(apart(&look.bands, &whole) < 1e-12, "{}", starter.dye.id);
        // Viscose goes 1.2 to 1.5 times deeper than linen: two tones, darker on the viscose.
        assert!(look.contrast > 0.5 && look.fibres[0].lab.l < look.fibres[1].lab.l);
    }
}

#[test]
fn two_baths_colour_each_fibre_as_if_it_were_alone_at_its_own_share() {
    let cloth = ground(&[("cotton", 65.0), ("polyester", 35.0)]);
    let (disperse, reactive) = (of_class(DyeClass::Disperse), of_class(DyeClass::ReactiveDct));
    let (first, second) = ([dosed(disperse, 0.35)], [dosed(reactive, 0.65)]);
    let baths = [bath(DyeClass::Disperse, &first), bath(DyeClass::ReactiveDct, &second)];
    let look = BlendLook::of(&cloth, &baths).unwrap();
    // 0.65 % on the whole cloth is 1 % on the cotton that alone takes it; the same for polyester.
    assert!(apart(&look.fibres[0].bands, &alone("cotton", reactive, 1.0)) < 1e-9);
    assert!(apart(&look.fibres[1].bands, &alone("polyester", disperse, 1.0)) < 1e-9);
    let mixed: Vec<f64> = (0..BANDS)
        .map(|i| look.fibres.iter().map(|f| f.share.to_fraction() * f.bands.values()[i]).sum())
        .collect();
    assert!(mixed.iter().zip(look.bands.values()).all(|(a, b)| (a - b).abs() < 1e-12));
}

#[test]
fn the_order_of_baths_moves_no_colour_here_and_more_baths_only_darken() {
    // Silk takes reactive and acid alike: K/S adds up on it whichever comes first.
    let cloth = ground(&[("silk", 55.0), ("cotton", 45.0)]);
    let (reactive, acid) = (of_class(DyeClass::ReactiveDct), of_class(DyeClass::AcidMilling));
    let (one, two) = ([dosed(reactive, 0.6)], [dosed(acid, 0.3)]);
    let (a, b) = (bath(DyeClass::ReactiveDct, &one), bath(DyeClass::AcidMilling, &two));
    let ab = BlendLook::of(&cloth, &[a, b]).unwrap();
    let ba = BlendLook::of(&cloth, &[b, a]).unwrap();
    assert!(apart(&ab.bands, &ba.bands) < 1e-12);
    let only = BlendLook::of(&cloth, &[a]).unwrap();
    assert!(ab.bands.values().iter().zip(only.bands.values()).all(|(x, y)| x <= y));
}

#[test]
fn a_heather_leaves_its_other_fibre_as_it_was_and_a_deep_one_is_two_colours() {
    let cloth = ground(&[("cotton", 65.0), ("polyester", 35.0)]);
    let undyed = BlendLook::of(&cloth, &[]).unwrap();
    assert!(undyed.heather() <= Heather::Soft, "{}", undyed.contrast);
    let mut before = undyed.contrast;
    for pct in [0.5, 1.0, 2.0, 4.0] {
        let recipe = [dosed(of_class(DyeClass::ReactiveDct), pct)];
        let look = BlendLook::of(&cloth, &[bath(DyeClass::ReactiveDct, &recipe)]).unwrap();
        assert!(apart(&look.fibres[1].bands, &undyed.fibres[1].bands) < 1e-15);
        assert!(look.contrast > before, "{pct}: {} {before}", look.contrast);
        before = look.contrast;
    }
    let recipe = [dosed(of_class(DyeClass::ReactiveDct), 4.0)];
    let look = BlendLook::of(&cloth, &[bath(DyeClass::ReactiveDct, &recipe)]).unwrap();
    assert_eq!(look.heather(), Heather::TwoTone, "{}", look.contrast);
}

#[test]
fn what_the_way_of_dyeing_does_not_let_take_stays_undyed() {
    let cloth = ground(&[("silk", 55.0), ("cotton", 45.0)]);
    let recipe = [dosed(of_class(DyeClass::ReactiveVs), 1.0)];
    let acid_route = BlendBath {
        class: DyeClass::ReactiveVs,
        ratio: twenty(),
        takes: &|m| m == "silk",
        recipe: &recipe,
    };
    let look = BlendLook::of(&cloth, &[acid_route]).unwrap();
    let undyed = BlendLook::of(&cloth, &[]).unwrap();
    assert!(apart(&look.fibres[1].bands, &undyed.fibres[1].bands) < 1e-15);
    assert!(look.contrast > undyed.contrast);
}

#[test]
fn no_fibre_that_takes_it_is_refused() {
    let recipe = [dosed(of_class(DyeClass::Disperse), 1.0)];
    let cloth = ground(&[("cotton", 50.0), ("linen", 50.0)]);
    let refusal = BlendLook::of(&cloth, &[bath(DyeClass::Disperse, &recipe)]);
    assert!(refusal.is_err_and(|e| e.to_string().contains("no fibre of this cloth takes")));
}

#[test]
fn a_part_of_the_cloth_is_matched_while_the_other_fibre_still_drinks() {
    let cloth = ground(&[("silk", 55.0), ("cotton", 45.0)]);
    let dye = of_class(DyeClass::ReactiveDct);
    let recipe = [dosed(dye, 0.7)];
    let on = Substrate::try_new(&cloth, dye.class, twenty()).unwrap();
    let cotton = on.part_of(&cloth, &["cotton"]).unwrap();
    let look = BlendLook::of(&cloth, &[bath(dye.class, &recipe)]).unwrap();
    let alone = predict(&cotton, &recipe, dyeing::HOME).unwrap().bands;
    assert!(apart(&alone, &look.fibres[1].bands) < 1e-12);
    // Both fibres together are what `dyed_part` keeps here; a fibre that is not there is none.
    let both = on.part_of(&cloth, &["cotton", "silk"]).unwrap();
    assert_eq!(both, on.dyed_part());
    assert!(on.part_of(&cloth, &["wool"]).is_none());
}
