//! The card printed at home in rendered photographs: found by itself any way round and tilted, never claimed where another
//! chart or none lies, and its patches read by a chart beside it. Printers and cameras are invented.

#![expect(clippy::unwrap_used, reason = "a test may fail")]

use colour::{BANDS, Bands, ClothPrior, Weights, ciede2000};
use picture::{Asked, CardFault, Chain, ChartKind, HomeCard, PhotoRefusal, Picture};
use scenes::{Chance, Layout, NoChart, Printer, Scene, with_print};

fn prints(chance: &mut Chance) -> Vec<Bands> {
    let printer = Printer::drawn(chance);
    HomeCard::asked().iter().map(|rgb| printer.prints(*rgb)).collect()
}

fn chart() -> Vec<Bands> {
    ChartKind::classic().patches().to_vec()
}

fn picture(scene: &Scene, chance: &mut Chance) -> Picture {
    Picture::try_read(&scene.photograph(chance).jpeg().unwrap()).unwrap()
}

/// The chart of 24 with a card beside it, in one frame.
fn both(card: &[Bands], seed: u64) -> Scene {
    let mut chance = Chance::of(seed);
    let mut layout = Layout::careful(&chart(), 6, vec![]);
    layout.side = [1500, 1500];
    layout.clutter = 2;
    let scene = layout.scene(&mut chance);
    with_print(scene, card, HomeCard::across(), &mut chance)
}

#[test]
fn it_is_found_any_way_round_and_tilted_and_stands_where_it_lies() {
    let kind = HomeCard::to_be_found().unwrap();
    for seed in 0..8 {
        let mut chance = Chance::of(100 + seed);
        let mut layout = Layout::careful(&prints(&mut chance), HomeCard::across(), vec![]);
        layout.tilt = [0.0, 35.0];
        layout.side = [800, 900];
        let scene = layout.scene(&mut chance);
        let found = picture(&scene, &mut chance).find_chart(&kind).unwrap();
        let corners = scene.chart_corners().unwrap();
        for (seen, truth) in found.corners().iter().zip(corners) {
            let off = (seen[0] - truth[0]).hypot(seen[1] - truth[1]);
            assert!(off < 0.3 * found.pitch(), "{seed}: {off:.1} of {:.1}", found.pitch());
        }
    }
}

#[test]
fn it_is_not_claimed_in_a_picture_of_the_other_chart_or_of_none() {
    let kind = HomeCard::to_be_found().unwrap();
    let mut chance = Chance::of(7);
    let mut layout = Layout::careful(&chart(), 6, vec![]);
    layout.side = [800, 900];
    let scene = layout.scene(&mut chance);
    assert!(picture(&scene, &mut chance).find_chart(&kind).is_err());
    for none in NoChart::ALL {
        let scene = none.scene(&mut chance);
        assert!(picture(&scene, &mut chance).find_chart(&kind).is_err(), "{none:?}");
    }
}

#[test]
fn its_patches_are_read_by_the_chart_beside_it() {
    let mut chance = Chance::of(21);
    let card = prints(&mut chance);
    let seen = picture(&both(&card, 3), &mut chance);
    let asked = Asked { chart: ChartKind::classic(), corners: None, cloths: &[], paper: None };
    let read = seen.read_card(&asked, None, Chain::Developed, ClothPrior::shipped()).unwrap();
    let (mut off, mut held) = (0.0, 0);
    for (seen, truth) in read.patches.iter().zip(&card) {
        let away = ciede2000(seen.lab, Weights::reference().lab(truth));
        off += away / 48.0;
        held += usize::from(away <= seen.within90);
    }
    assert!(off < 3.0 && held >= 36, "{off:.2}, {held} of 48 held");
    assert!(!read.faults.iter().any(CardFault::is_fatal), "{:?}", read.faults);
}

#[test]
fn bad_prints_are_told() {
    let asked = Asked { chart: ChartKind::classic(), corners: None, cloths: &[], paper: None };
    let read = |card: &[Bands]| {
        let seen = picture(&both(card, 5), &mut Chance::of(2));
        seen.read_card(&asked, None, Chain::Developed, ClothPrior::shipped())
    };
    let mut chance = Chance::of(33);
    let good = prints(&mut chance);
    let mut twice = good.clone();
    twice[11] = twice[10];
    let faults = read(&twice).unwrap().faults;
    let alike = |f: &CardFault| matches!(f, CardFault::Alike(a, b, _) if a == "B3" && b == "B4");
    assert!(faults.iter().any(alike), "{faults:?}");
    let blue = |bands: &Bands| {
        let lift = |(n, v): (usize, &f64)| if (2..8).contains(&n) { 1.12 * v } else { *v };
        let all: Vec<f64> = bands.values().iter().enumerate().map(lift).collect();
        Bands::try_new(<[f64; BANDS]>::try_from(all).unwrap()).unwrap()
    };
    let bluish: Vec<Bands> = good.iter().map(blue).collect();
    let faults = read(&bluish).unwrap().faults;
    assert!(faults.iter().any(|f| matches!(f, CardFault::Brightened(_))), "{faults:?}");
    // Half of the ink and no black: little between light and dark.
    let pale: Vec<Bands> =
        good.iter().map(|b| Bands::try_new(b.values().map(|v| 0.5 + 0.42 * v)).unwrap()).collect();
    match read(&pale) {
        Ok(read) => assert!(read.faults.iter().any(CardFault::is_fatal), "{:?}", read.faults),
        Err(why) => assert!(matches!(why, PhotoRefusal::NoCard | PhotoRefusal::OnCard(_)), "{why}"),
    }
}
