//! How many scatters a second the search may ask for: a jewellery scale and two syringes, amounts
//! from 1 mg to 10 g, so that weighing, stocks and refusals all occur.

use std::time::Instant;

use dosing::{Form, Kit, Scale, StockRules, Syringe, relative_scatter};
use units::{Mass, StockStrength, Volume};

#[expect(clippy::print_stdout, reason = "an example that reports a measurement")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let ml = Volume::try_millilitres;
    let syringes =
        vec![Syringe::try_new(ml(1.0)?, ml(0.01)?)?, Syringe::try_new(ml(10.0)?, ml(0.2)?)?];
    let kit = Kit::try_new(Some(Scale::JEWELLERY), syringes)?;
    let rules = StockRules::new(StockStrength::try_percent(2.0)?, 7);
    let wants = (0..100_000)
        .map(|i| Mass::try_grams(0.001 * 10f64.powf(f64::from(i) * 4e-5)))
        .collect::<Result<Vec<_>, _>>()?;
    let start = Instant::now();
    let sum: f64 = wants
        .iter()
        .map(|&want| relative_scatter(want, Form::Powder, &kit, &rules))
        .filter(|scatter| scatter.is_finite())
        .sum();
    let nanoseconds = start.elapsed().as_secs_f64() * 1e9 / 100_000.0;
    println!("{nanoseconds:.0} ns each (mean scatter {:.4})", sum / 100_000.0);
    Ok(())
}
