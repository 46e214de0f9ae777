//! No dose below a millilitre where a weaker stock can be made, and no part of a mixed pack on the scale.
#![expect(clippy::unwrap_used, reason = "figures written in tests are quantities")]

use dosing::{Form, How, Kit, Made, Scale, StockRules, Syringe, dose};
use units::{Mass, StockStrength, Volume};

fn grams(g: f64) -> Mass {
    Mass::try_grams(g).unwrap()
}

fn kit(scale: Scale) -> Kit {
    let syringe = |ml: f64, mark: f64| {
        let volume = |ml| Volume::try_millilitres(ml).unwrap();
        Syringe::try_new(volume(ml), volume(mark)).unwrap()
    };
    let measures = vec![syringe(1.0, 0.01), syringe(10.0, 0.2), syringe(60.0, 1.0)];
    Kit::try_new(Some(scale), measures).unwrap()
}

fn rules(strongest: f64) -> StockRules {
    StockRules::new(StockStrength::try_percent(strongest).unwrap(), 7)
}

#[test]
fn traces_are_measured_from_a_weaker_stock_a_millilitre_at_least() {
    for mg in 1..=200_u32 {
        let want = grams(f64::from(mg) / 1000.0);
        let dose = dose(want, Form::Powder, &kit(Scale::JEWELLERY), &rules(5.0));
        if let How::Stock { volume_ml, strength_pct, .. } = dose.how() {
            // 0.1 % is the weakest stock: 1 mg of it is one millilitre.
            assert!(volume_ml.value() >= 1.0 - 1e-9, "{mg} mg: {volume_ml} mL of {strength_pct} %");
            assert!(dose.trace().is_none());
        }
    }
}

#[test]
fn what_no_weaker_stock_reaches_is_said() {
    let little = dose(grams(0.0004), Form::Powder, &kit(Scale::JEWELLERY), &rules(5.0));
    assert!(matches!(little.how(), How::Stock { .. }));
    assert!(
        little.trace().is_some() && little.words().contains("less than 1 mL"),
        "{}",
        little.words()
    );
    assert!(little.words().contains("make 10 mL of it up to 100 mL"), "{}", little.words());
}

#[test]
fn a_mixed_pack_is_dissolved_whole_and_a_part_of_it_is_measured() {
    // 7.4 g of a pack of 10 g: 370 mL of 2 % (by hand), though the scale would show it to 0.1 %.
    let pack = rules(2.0).with_pack(grams(10.0));
    let want = grams(7.4);
    let kit = kit(Scale::JEWELLERY);
    assert!(matches!(dose(want, Form::Powder, &kit, &pack).how(), How::Weigh { .. }));
    let whole = dose(want, Form::Powder, &kit, &pack.dissolved_whole());
    let How::Stock { volume_ml, strength_pct, make, .. } = whole.how() else {
        panic!("{}", whole.words())
    };
    assert_eq!((volume_ml.value(), strength_pct.value()), (370.0, 2.0));
    assert_eq!(make.made(), Made::WholePacks { packs: 1 });
    assert!(whole.words().contains("Dissolve one whole pack"), "{}", whole.words());
    // The whole of it needs no measuring.
    let all = dose(grams(10.0), Form::Powder, &kit, &pack.dissolved_whole());
    assert!(matches!(all.how(), How::Stock { measure: None, .. }), "{}", all.words());
}
