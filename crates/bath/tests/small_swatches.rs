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

#[test]
fn what_a_coarse_kitchen_cannot_dose_becomes_larger_and_says_so() {
    // A 0.5 g scale and the same syringes: the acid and the salt of so little bath set the least.
    let swatch = of(Procedure::ReactiveCold, "cotton", 0.5, 0.5).sheet(Kind::Swatch).unwrap();
    assert!(swatch.dry.to_grams() > 0.5, "{} g", swatch.dry.to_grams());
    let said = swatch.notes.iter().any(|n| n.contains("asked for a swatch of 0.5 g"));
    assert!(said, "{:?}", swatch.notes);
}
