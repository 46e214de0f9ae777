//! Bath arithmetic: liquor from goods, stock volumes, water to add.
//!
//! Definitions of the trade. Displacement by the goods is ignored; water held by wetted-out goods
//! counts as part of the liquor.

use units::{LiquorRatio, Mass, OnFibre, PerLitre, StockStrength, Volume};

use crate::{DosingRefusal, Shown};

/// Liquor ratio × goods: the whole bath. Refuses baths over 1000 L.
pub fn bath_volume(ratio: LiquorRatio, goods: Mass) -> Result<Volume, DosingRefusal> {
    Ok(Volume::try_millilitres(ratio.to_litres_per_kilogram() * goods.to_grams())?)
}

/// mL of dye stock = goods g × % owf ÷ stock %.
pub fn dye_stock_volume(
    depth: OnFibre,
    goods: Mass,
    stock: StockStrength,
) -> Result<Volume, DosingRefusal> {
    Ok(stock.try_volume_holding(depth * goods)?)
}

/// mL of auxiliary stock = g/L × bath L × 100 ÷ stock %.
pub fn aux_stock_volume(
    amount: PerLitre,
    bath: Volume,
    stock: StockStrength,
) -> Result<Volume, DosingRefusal> {
    Ok(stock.try_volume_holding(amount * bath)?)
}

/// Water to add = whole bath − all stock volumes; refused in words when the stocks overfill it.
pub fn water_to_add(total: Volume, stocks: &[Volume]) -> Result<Volume, DosingRefusal> {
    let stocks: f64 = stocks.iter().map(|v| v.to_millilitres()).sum();
    let total = total.to_millilitres();
    // A bath filled to the brim by its stocks is allowed; 0.005 mL is below what anything shows.
    if stocks > total + 0.005 {
        let shown = |ml: f64| Shown::try_round(ml, 2).unwrap_or(Shown::ZERO).trimmed();
        return Err(DosingRefusal::StocksOverfill { stocks: shown(stocks), total: shown(total) });
    }
    Ok(Volume::try_millilitres((total - stocks).max(0.0))?)
}

/// % owf = 100 × dye ÷ goods.
pub fn owf_from_masses(dye: Mass, goods: Mass) -> Result<OnFibre, DosingRefusal> {
    some(goods)?;
    Ok(OnFibre::try_percent(100.0 * (dye / goods))?)
}

/// Liquor ratio = bath ÷ goods, L/kg.
pub fn liquor_ratio(bath: Volume, goods: Mass) -> Result<LiquorRatio, DosingRefusal> {
    some(goods)?;
    Ok(LiquorRatio::try_litres_per_kilogram(bath.to_millilitres() / goods.to_grams())?)
}

fn some(goods: Mass) -> Result<(), DosingRefusal> {
    if goods.to_grams() > 0.0 { Ok(()) } else { Err(DosingRefusal::NoGoods { goods }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stocks_that_overfill_the_bath_are_refused_in_words() -> Result<(), DosingRefusal> {
        let ml = Volume::try_millilitres;
        let said = water_to_add(ml(50.0)?, &[ml(30.0)?, ml(20.05)?]).map_err(|e| e.to_string());
        assert_eq!(
            said,
            Err(
                "the stock solutions come to 50.05 mL but the whole bath is 50 mL, so there is no \
                 water to add: make stronger stocks, or raise the liquor ratio"
                    .into()
            )
        );
        assert_eq!(water_to_add(ml(0.3)?, &[ml(0.1)?, ml(0.1)?, ml(0.1)?])?, Volume::ZERO);
        assert!(owf_from_masses(Mass::try_grams(1.0)?, Mass::ZERO).is_err());
        assert!(liquor_ratio(ml(100.0)?, Mass::ZERO).is_err());
        Ok(())
    }
}
