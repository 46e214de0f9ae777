//! How big the swatch is. Common practice: 10 g of the same cloth, less when there is little of it.

use units::Mass;

/// The usual swatch, g (common practice).
const USUAL_G: f64 = 10.0;
/// The swatch of small goods, g, and what counts as small, g (our judgement).
const SMALL_G: f64 = 5.0;
const SMALL_GOODS_G: f64 = 60.0;
/// No more of the cloth than this goes into a swatch (our judgement).
const MOST_OF_GOODS: f64 = 0.1;
/// Below this no swatch can be judged, g: 50 × 50 mm in four layers at 200 g/m² is 2 g.
const LEAST_G: f64 = 2.0;

/// The weight of the swatch for goods of this weight: 10 g, 5 g for goods below 60 g, at most a tenth
/// of the goods in whole grams, at least 2 g of the same cloth.
#[must_use]
pub fn swatch_weight(goods: Mass) -> Mass {
    let goods = goods.to_grams();
    let usual = if goods < SMALL_GOODS_G { SMALL_G } else { USUAL_G };
    let grams = usual.min((goods * MOST_OF_GOODS + 1e-9).floor()).max(LEAST_G);
    Mass::try_grams(grams).unwrap_or(Mass::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swatch_is_ten_grams_or_a_tenth() {
        for (goods, want) in
            [(800.0, 10.0), (100.0, 10.0), (70.0, 7.0), (59.0, 5.0), (35.0, 3.0), (8.0, 2.0)]
        {
            let got = Mass::try_grams(goods).map(swatch_weight).map(Mass::to_grams);
            assert_eq!(got, Ok(want), "{goods} g");
        }
    }
}
