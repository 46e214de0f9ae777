//! The hard colours with the starter shelf: what the ways of the trade look like, and blacks of
//! three fibres under the lights of a hall and a flash.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use colour::{Bands, ClothPrior, Lab, Light, Place, Weights};
use dyeing::{
    Black, BlendBath, BlendLook, Dosed, Dye, Ground, Look, Over, Substrate, predict, starter,
    starter_dye,
};
use lore::{BlendKind, Lore, People, Procedure};
use units::{LiquorRatio, OnFibre, Share};

fn percent(p: f64) -> Share {
    Share::try_percent(p).unwrap()
}

fn twenty() -> LiquorRatio {
    LiquorRatio::try_litres_per_kilogram(20.0).unwrap()
}

fn dosed(dye: &Dye, pct: f64) -> Dosed<'_> {
    Dosed { dye, dose: OnFibre::try_percent(pct).unwrap(), scatter: 0.0 }
}

/// A dye of the shelf that goes into this bath.
fn for_bath(procedure: Procedure) -> Option<&'static Dye> {
    starter().iter().map(|s| &s.dye).find(|d| procedure.takes(d.class))
}

#[test]
fn every_way_the_trade_knows_can_be_shown_and_colours_what_it_says_it_colours() {
    let lore = Lore::shipped();
    let mut shown = 0;
    for blend in [
        [("viscose", 60.0), ("linen", 40.0)],
        [("cotton", 65.0), ("polyester", 35.0)],
        [("wool", 80.0), ("nylon-66", 20.0)],
        [("silk", 55.0), ("cotton", 45.0)],
        [("wool", 55.0), ("polyester", 45.0)],
        [("acrylic", 70.0), ("wool", 30.0)],
        [("cotton", 60.0), ("nylon-6", 40.0)],
        [("acetate", 60.0), ("viscose", 40.0)],
    ] {
        let fibres = blend.map(|(id, p)| (id, percent(p)));
        let ground = Ground::assumed(&fibres, Look::White).unwrap();
        let undyed = ground.fibres().unwrap();
        let makeup = lore.try_makeup(&fibres).unwrap();
        let ways = lore.blend_ways(&makeup, &[], People::default()).unwrap().ways;
        for way in &ways {
            let procedures: Vec<Procedure> = std::iter::once(way.first).chain(way.second).collect();
            // Union and indigo have no single dye on the shelf: they are shown from a pack.
            let Some(dyes) = procedures.iter().map(|p| for_bath(*p)).collect::<Option<Vec<&Dye>>>()
            else {
                continue;
            };
            let takes: Vec<_> = procedures
                .iter()
                .map(|p| {
                    move |m: &str| {
                        lore.material(m).is_ok_and(|m| lore.verdict(m, *p).verdict.dyes())
                    }
                })
                .collect();
            let recipes: Vec<[Dosed; 1]> = dyes.iter().map(|dye| [dosed(dye, 0.8)]).collect();
            let baths: Vec<BlendBath> = dyes
                .iter()
                .zip(&takes)
                .zip(&recipes)
                .map(|((dye, takes), recipe)| BlendBath {
                    class: dye.class,
                    ratio: twenty(),
                    takes,
                    recipe,
                })
                .collect();
            let look = BlendLook::of(&ground, &baths).unwrap();
            for fibre in &way.fibres {
                let of = |all: &[dyeing::FibreLook]| {
                    all.iter().find(|f| f.material == fibre.material).unwrap().lab.l
                };
                let darker = of(&undyed) - of(&look.fibres);
                let coloured = fibre.by.is_some();
                assert_eq!(darker > 1.0, coloured, "{blend:?} {way:?}: {darker}");
            }
            shown += 1;
        }
        // Where one bath takes on all, its fibres are nearer than where one stays undyed.
        assert!(ways.iter().any(|way| way.kind != BlendKind::Heather), "{blend:?}");
    }
    assert!(shown >= 20, "only {shown} ways could be shown");
}

#[test]
fn blacks_of_three_fibres_are_looked_at_under_every_light() {
    let lights: Vec<Light> = Place::ALL.iter().flat_map(|p| p.lights().iter().copied()).collect();
    for (fibre, id) in
        [("wool", "acid-black"), ("nylon-6", "acid-black"), ("cotton", "reactive-black")]
    {
        let dye = starter_dye(id).unwrap();
        let ground = Ground::assumed(&[(fibre, Share::WHOLE)], Look::White).unwrap();
        let on = Substrate::try_new(&ground, dye.class, twenty()).unwrap();
        let at = |pct| {
            let p = predict(&on, &[dosed(dye, pct)], dyeing::HOME).unwrap();
            Black::of(&p.bands, &lights)
        };
        let (pale, deep) = (at(0.2), at(dye.most.to_percent()));
        println!("{fibre} {id} at {} %: {}", dye.most.to_percent(), deep.words());
        assert!(deep.lightness < pale.lightness && pale.verdict != dyeing::Blackness::Holds);
    }
}

#[test]
fn a_mesh_matched_to_skin_is_skin_where_it_covers_and_where_it_does_not() {
    // A light-brown skin, as a reading of a colour has it: its likeliest spectrum.
    let prior = ClothPrior::shipped();
    let skin = prior.likely(Lab::new(62.0, 14.0, 19.0)).unwrap().bands;
    let white = Ground::assumed(&[("nylon-66", Share::WHOLE)], Look::White).unwrap();
    let light = Weights::reference();
    for cover in [0.3, 0.5, 0.7] {
        let over = Over::new(Share::try_fraction(cover).unwrap(), skin);
        let wanted = over.try_wanted(&skin, &white.reflectance(), 1.0).unwrap();
        // Gaps swallow light on its way: the cloth itself must be a good deal lighter than skin.
        let (cloth, shown) = (light.lab(&wanted.cloth), light.lab(&wanted.shows));
        assert!(cloth.l > light.lab(&skin).l, "{cover}: {cloth}");
        assert!(colour::ciede2000(shown, light.lab(&skin)) < 1.0);
        // Stretched, it is still near skin: the backing is the colour.
        let worn = over.stretched(percent(40.0)).shown(&wanted.cloth);
        assert!(colour::ciede2000(light.lab(&worn), light.lab(&skin)) < 6.0);
    }
    let black = Bands::flat(0.02).unwrap();
    let over = Over::new(percent(40.0), skin);
    assert!(over.try_wanted(&black, &white.reflectance(), 2.0).is_err(), "no mesh hides a leg");
}
