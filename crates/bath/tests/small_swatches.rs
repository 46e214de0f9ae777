//! Swatches from half a gram to ten: at the bulk's own ratio, dosed as surely, or else larger and said so.

mod common;

use bath::Kind;
use common::Plain;
use lore::{Lore, Procedure};

fn of(procedure: Procedure, fibre: &'static str, asked: f64, scale_g: f64) -> Plain<'static> {
    Plain {
        swatch_g: Some(asked),
        scale_g,
        ..Plain::of(Lore::shipped(), &[(fibre, 1.0)], procedure, 1.5)
    }
}

#[test]
fn from_half_a_gram_to_ten_at_the_bulks_ratio() {
    for (procedure, fibre) in [
        (Procedure::ReactiveCold, "cotton"),
        (Procedure::AcidMilling, "wool"),
        (Procedure::Direct, "viscose"),
    ] {
        for asked in [0.5, 1.0, 2.0, 5.0, 10.0] {
            let plain = of(procedure, fibre, asked, 0.01);
            let (swatch, bulk) =
                (plain.sheet(Kind::Swatch).unwrap(), plain.sheet(Kind::Bulk).unwrap());
            let what = format!("{asked} g by {procedure}");
            assert!(swatch.dry.to_grams() >= asked, "{what}: {}", swatch.dry.to_grams());
            assert_eq!(swatch.ratio, bulk.ratio, "{what}");
            let litres = swatch.dry.to_grams() / 1000.0 * swatch.ratio.to_litres_per_kilogram();
            assert!((swatch.liquor_ml.value() / 1000.0 - litres).abs() <= 0.0005, "{what}");
            for (small, big) in swatch.dyes.iter().zip(&bulk.dyes) {
                let off = small.owf_pct.value() / big.owf_pct.value() - 1.0;
                assert!(off.abs() < 0.08, "{what}: {} is off by {off}", small.id);
                assert!(small.dose.relative_scatter() <= 0.1, "{what}");
            }
            assert!(plain.audit(&swatch).is_empty(), "{what}: {:?}", plain.audit(&swatch));
            if swatch.dry.to_grams() > asked {
                let said = swatch.notes.iter().any(|n| n.contains("You asked for a swatch of"));
                assert!(said, "{what} became {} g unsaid", swatch.dry.to_grams());
            }
        }
    }
    // With a scale of 0.01 g and a 1 mL syringe half a gram is really dosed, by stock solution.
    let half = of(Procedure::AcidMilling, "wool", 0.5, 0.01).sheet(Kind::Swatch).unwrap();
    assert_eq!(half.dry.to_grams(), 0.5, "{:?}", half.notes);
    assert!(half.dyes.iter().all(|dye| dye.stock_ml.is_some()), "{:?}", half.dyes);
    assert!(half.vessel.words.contains("jar of 50 mL"), "{}", half.vessel.words);
    assert!(half.vessel.words.contains("never screwed down"), "{}", half.vessel.words);
    assert!(half.notes.iter().any(|n| n.contains("lying on undyed cloth")), "{:?}", half.notes);
}

/// The paler the recipe and the coarser the scale, the larger the least swatch that doses as surely; and the sheet says
/// that it is not the one asked for.
#[test]
fn what_this_kitchen_cannot_dose_so_small_becomes_larger_and_says_so() {
    let least = |owf: f64, scale_g: f64| {
        let plain = of(Procedure::AcidMilling, "wool", 0.5, scale_g);
        let dyes = plain.dyes.iter().map(|(id, class, of)| (*id, *class, of * owf / 1.5)).collect();
        let swatch = Plain { dyes, ..plain }.sheet(Kind::Swatch).unwrap();
        let said = swatch.notes.iter().any(|n| n.contains("asked for a swatch of 0.5 g"));
        assert_eq!(said, swatch.dry.to_grams() > 0.5, "{owf} % on {scale_g} g: {:?}", swatch.notes);
        swatch.dry.to_grams()
    };
    for scale_g in [0.01, 0.1, 0.2] {
        let by_depth: Vec<f64> = [2.0, 0.5, 0.1, 0.02].map(|owf| least(owf, scale_g)).to_vec();
        assert!(by_depth.is_sorted(), "{scale_g} g: {by_depth:?}");
    }
    for owf in [2.0, 0.5, 0.1, 0.02] {
        let by_scale: Vec<f64> = [0.01, 0.1, 0.2].map(|scale_g| least(owf, scale_g)).to_vec();
        assert!(by_scale.is_sorted(), "{owf} %: {by_scale:?}");
    }
    assert!(least(0.02, 0.2) > 0.5, "a trace cannot be dosed on half a gram with a coarse scale");
}
