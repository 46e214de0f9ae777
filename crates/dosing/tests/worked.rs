//! Published sums of the trade, to the printed digit.
//!
//! `fixtures/worked_arithmetic.csv` (see its SOURCE note): tutorial articles and lecture slides
//! named row by row. Rows about light and exhaustion belong to the room `dyeing`; a kind that
//! neither room claims fails the test.

use std::collections::{BTreeMap, HashMap};

use dosing::{
    aux_stock_volume, bath_volume, dye_stock_volume, liquor_ratio, owf_from_masses, water_to_add,
};
use units::{LiquorRatio, Mass, OnFibre, PerLitre, StockStrength, Volume};

const FIXTURE: &str = include_str!("fixtures/worked_arithmetic.csv");
/// Kinds checked by the room `dyeing`.
const ELSEWHERE: [&str; 4] =
    ["exhaustion_linear_isotherm", "exhaustion_langmuir", "km_ks_from_r", "km_r_from_ks"];

type Checked<T> = Result<T, Box<dyn std::error::Error>>;

#[test]
fn every_published_sum_comes_out_to_the_printed_digit() -> Checked<()> {
    let mut checked = BTreeMap::<String, u32>::new();
    let mut reader = csv::Reader::from_reader(FIXTURE.as_bytes());
    for row in reader.records() {
        let row = row?;
        let (kind, inputs, printed) = (&row[1], Inputs::read(&row[2]), &row[3]);
        if ELSEWHERE.contains(&kind) {
            continue;
        }
        let ours = ours(kind, &inputs).map_err(|e| format!("row {}: {e}", &row[0]))?;
        let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
        assert_eq!(format!("{ours:.decimals$}"), printed, "row {} ({})", &row[0], &row[5]);
        assert!((ours - printed.parse::<f64>()?).abs() < 1e-9, "row {}: {ours}", &row[0]);
        *checked.entry(kind.to_owned()).or_default() += 1;
    }
    let counts: Vec<_> = checked.iter().map(|(kind, n)| (kind.as_str(), *n)).collect();
    assert_eq!(
        counts,
        [
            ("aux_stock_volume", 8),
            ("bath_volume", 1),
            ("dye_stock_volume", 6),
            ("liquor_ratio", 1),
            ("owf_from_masses", 1),
            ("water_to_add", 2)
        ]
    );
    Ok(())
}

/// Two more of the trade's own: the definition of a stock, and the worked 5 mL.
#[test]
fn twenty_grams_at_a_quarter_per_cent_take_five_millilitres() -> Checked<()> {
    let volume = dye_stock_volume(
        OnFibre::try_percent(0.25)?,
        Mass::try_grams(20.0)?,
        StockStrength::try_percent(1.0)?,
    )?;
    assert!((volume.to_millilitres() - 5.0).abs() < 1e-12);
    Ok(())
}

fn ours(kind: &str, given: &Inputs) -> Checked<f64> {
    let goods = || -> Checked<Mass> { Ok(Mass::try_grams(given.number("fabric_g")?)?) };
    let stock = || -> Checked<StockStrength> {
        Ok(StockStrength::try_percent(given.number("stock_pct")?)?)
    };
    let bath = || -> Checked<Volume> {
        let ratio = LiquorRatio::try_litres_per_kilogram(given.number("liquor_ratio")?)?;
        Ok(bath_volume(ratio, goods()?)?)
    };
    Ok(match kind {
        "dye_stock_volume" => {
            let depth = OnFibre::try_percent(given.number("owf_pct")?)?;
            dye_stock_volume(depth, goods()?, stock()?)?.to_millilitres()
        }
        "aux_stock_volume" => {
            let amount = PerLitre::try_grams_per_litre(given.number("g_per_L")?)?;
            aux_stock_volume(amount, bath()?, stock()?)?.to_millilitres()
        }
        "bath_volume" => bath()?.to_millilitres(),
        "water_to_add" => {
            let stocks = given
                .text("stock_volumes_mL")?
                .split('|')
                .map(|ml| Ok(Volume::try_millilitres(ml.parse()?)?))
                .collect::<Checked<Vec<_>>>()?;
            let total = Volume::try_millilitres(given.number("total_mL")?)?;
            water_to_add(total, &stocks)?.to_millilitres()
        }
        "owf_from_masses" => {
            owf_from_masses(Mass::try_grams(given.number("dye_g")?)?, goods()?)?.to_percent()
        }
        "liquor_ratio" => {
            let goods = Mass::try_grams(given.number("fabric_kg")? * 1000.0)?;
            liquor_ratio(Volume::try_litres(given.number("bath_L")?)?, goods)?
                .to_litres_per_kilogram()
        }
        _ => return Err(format!("no room claims the kind '{kind}'").into()),
    })
}

struct Inputs<'a>(HashMap<&'a str, &'a str>);

impl<'a> Inputs<'a> {
    fn read(text: &'a str) -> Self {
        Self(text.split(';').filter_map(|pair| pair.split_once('=')).collect())
    }

    fn text(&self, key: &str) -> Checked<&'a str> {
        self.0.get(key).copied().ok_or_else(|| format!("no {key}").into())
    }

    fn number(&self, key: &str) -> Checked<f64> {
        Ok(self.text(key)?.parse()?)
    }
}
