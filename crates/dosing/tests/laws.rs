//! Laws of dosing, over kits and amounts far beyond a home's.

use dosing::{
    Dose, DosingRefusal, Form, How, Kit, Scale, Shown, StockRules, Syringe, cost, dose, make_stock,
    price_shown, relative_scatter,
};
use proptest::prelude::*;
use units::{Mass, PricePerGram, StockStrength, Volume};

const STEPS: [f64; 13] =
    [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0];
const MEASURES: [(f64, f64); 8] = [
    (1.0, 0.01),
    (3.0, 0.1),
    (5.0, 0.2),
    (10.0, 0.2),
    (20.0, 1.0),
    (60.0, 2.0),
    (500.0, 25.0),
    (1000.0, 50.0),
];
const STRONGEST: [f64; 5] = [0.05, 0.1, 1.0, 2.0, 5.0];

fn scale(step: f64) -> Result<Scale, DosingRefusal> {
    Scale::try_step(Mass::try_grams(step)?)
}

fn measures(mask: u8) -> Result<Vec<Syringe>, DosingRefusal> {
    (0..8)
        .filter(|i| mask >> i & 1 == 1)
        .map(|i| {
            let (capacity, mark) = MEASURES[i];
            Syringe::try_new(Volume::try_millilitres(capacity)?, Volume::try_millilitres(mark)?)
        })
        .collect()
}

/// Step (13 is no scale), measures, strongest stock, pack.
type Bench = (usize, u8, usize, Option<f64>);

fn bench() -> impl Strategy<Value = Bench> {
    (0..=STEPS.len(), any::<u8>(), 0..STRONGEST.len(), proptest::option::of(2.0..500.0))
}

fn set_up((step, mask, strongest, pack): Bench) -> Result<(Kit, StockRules), DosingRefusal> {
    let kit = Kit::try_new(STEPS.get(step).map(|&s| scale(s)).transpose()?, measures(mask)?)?;
    let mut rules = StockRules::new(StockStrength::try_percent(STRONGEST[strongest])?, 7);
    if let Some(pack) = pack {
        rules = rules.with_pack(Mass::try_grams(pack)?);
    }
    Ok((kit, rules))
}

/// From a hundredth of a milligram to a hundred kilograms, evenly in the logarithm.
fn amount() -> impl Strategy<Value = f64> {
    (-5.0..5.0f64).prop_map(|e| 10f64.powf(e))
}

fn form() -> impl Strategy<Value = Form> {
    prop_oneof![
        3 => Just(Form::Powder),
        1 => (0.01..40.0f64).prop_filter_map("strength", |p| {
            StockStrength::try_percent(p).ok().map(Form::Liquid)
        }),
    ]
}

/// A printed number read back as whole units of 10^-12, as a pocket calculator would key it in.
fn keyed(printed: &str) -> Option<i128> {
    let (whole, after) = printed.split_once('.').unwrap_or((printed, ""));
    let padded = format!("{whole}{after:0<12}");
    (after.len() <= 12).then(|| padded.parse().ok()).flatten()
}

/// grams × 100 = mL × %, in exact decimals.
fn reconciles(grams: Shown, ml: Shown, percent: Shown) -> bool {
    let key = |s: Shown| keyed(&s.to_string());
    match (key(grams), key(ml), key(percent)) {
        (Some(g), Some(v), Some(p)) => g * 100 * 1_000_000_000_000 == v * p,
        _ => false,
    }
}

fn check_digits(it: &Dose) -> Result<(), TestCaseError> {
    match it.how() {
        How::Stock { strength_pct, volume_ml, make, .. } => {
            let grams = it.grams().unwrap_or(Shown::ZERO);
            prop_assert!(reconciles(grams, *volume_ml, *strength_pct), "{it:?}");
            prop_assert!(reconciles(make.grams(), make.volume_ml(), make.strength_pct()), "{it:?}");
            prop_assert_eq!(make.strength_pct(), *strength_pct);
            prop_assert!(make.volume_ml().value() >= volume_ml.value());
            let left = make.volume_ml().value() - volume_ml.value();
            prop_assert!((make.leftover_ml().value() - left).abs() < 1e-6);
        }
        How::Volume { strength_pct, volume_ml, .. } => {
            prop_assert!(
                reconciles(it.grams().unwrap_or(Shown::ZERO), *volume_ml, *strength_pct),
                "{it:?}"
            );
        }
        How::Weigh { grams } => prop_assert_eq!(Some(*grams), it.grams()),
        How::Cannot { reason, help } => {
            prop_assert!(it.grams().is_none() && !reason.is_empty() && !help.is_empty());
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 3000,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn what_is_printed_reconciles_and_lies_within_half_a_step(
        set in bench(), want in amount(), form in form(),
    ) {
        let (kit, rules) = set_up(set).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let want = Mass::try_grams(want).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let it = dose(want, form, &kit, &rules);
        check_digits(&it)?;
        prop_assert_eq!(it.relative_scatter(), relative_scatter(want, form, &kit, &rules));
        prop_assert!(!it.words().is_empty());
        if let Some(real) = it.real() {
            let off = (real.to_grams() - want.to_grams()).abs();
            // A pack's or liquid's strength is itself printed: to 0.001 and 0.0001 %.
            let printed = match it.how() {
                How::Stock { strength_pct, measure: None, .. } => 0.0006 / strength_pct.value() * want.to_grams(),
                _ => 0.0,
            };
            prop_assert!(off <= 0.5 * it.step().to_grams() * (1.0 + 1e-6) + printed + 1e-9, "{it:?}");
            prop_assert!(it.relative_scatter() > 0.0 && it.relative_scatter() < 0.2, "{it:?}");
        } else {
            prop_assert!(it.relative_scatter().is_infinite());
        }
    }

    #[test]
    fn spoons_and_drops_keep_the_same_laws(
        set in bench(), want in amount(), form in form(), spoons in 0..5usize, drops in any::<bool>(),
    ) {
        let fail = |e: DosingRefusal| TestCaseError::fail(e.to_string());
        let (bare, rules) = set_up(set).map_err(fail)?;
        let want = Mass::try_grams(want).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let sizes: Vec<Volume> = [1.0, 2.5, 5.0, 15.0][..spoons.min(4)]
            .iter()
            .filter_map(|size| Volume::try_millilitres(*size).ok())
            .collect();
        let mut kit = bare.clone().with_spoons(&sizes).map_err(fail)?;
        if drops {
            kit = kit.with_drops();
        }
        let it = dose(want, form, &kit, &rules);
        check_digits(&it)?;
        prop_assert_eq!(it.relative_scatter(), relative_scatter(want, form, &kit, &rules));
        // More to measure with never makes a dose less sure (but for what one fill more is worth).
        let before = relative_scatter(want, form, &bare, &rules);
        prop_assert!(it.relative_scatter() <= before + 0.02, "{it:?} {before}");
        if let Some(real) = it.real() {
            let off = (real.to_grams() / want.to_grams() - 1.0).abs();
            prop_assert!(it.relative_scatter() < 0.2 && off <= 0.11 + 0.5 * it.step().to_grams() / want.to_grams(), "{it:?}");
        }
    }

    #[test]
    fn scatter_grows_with_a_coarser_scale(
        (step, mask, strongest, pack) in bench(), want in amount(),
    ) {
        let want = Mass::try_grams(want).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let at = |step: usize| -> Result<f64, TestCaseError> {
            let (kit, rules) = set_up((step, mask, strongest, pack))
                .map_err(|e| TestCaseError::fail(e.to_string()))?;
            Ok(relative_scatter(want, Form::Powder, &kit, &rules))
        };
        let step = step.min(STEPS.len() - 1);
        let here = at(step)?;
        for (coarser, grams) in STEPS.iter().enumerate().skip(step) {
            let there = at(coarser)?;
            prop_assert!(there >= here * (1.0 - 1e-9), "{} g: {here}, {grams} g: {there}", STEPS[step]);
        }
    }

    #[test]
    fn amounts_scale_with_weight(
        (step, mask, strongest, pack) in bench(), want in amount(), times in 1.0..20.0f64,
    ) {
        let (kit, rules) = set_up((step, mask, strongest, pack))
            .map_err(|e| TestCaseError::fail(e.to_string()))?;
        let (small, large) = (want, (want * times).min(1e6));
        let of = |grams: f64| Mass::try_grams(grams)
            .map(|mass| dose(mass, Form::Powder, &kit, &rules))
            .map_err(|e| TestCaseError::fail(e.to_string()));
        let (a, b) = (of(small)?, of(large)?);
        if let (Some(real_a), Some(real_b)) = (a.real(), b.real()) {
            let slack = 0.5 * (a.step().to_grams() * times + b.step().to_grams()) + 0.002 * large;
            let off = (real_a.to_grams() * large / small - real_b.to_grams()).abs();
            prop_assert!(off <= slack * (1.0 + 1e-6), "{a:?} {b:?}");
        }
    }

    #[test]
    fn a_batch_of_stock_reconciles(step in 0..STEPS.len(), tenths in 1..50u32, needed in 0.0..20_000.0f64) {
        let made = (|| -> Result<_, DosingRefusal> {
            let kit = Kit::try_new(Some(scale(STEPS[step])?), Vec::new())?;
            let strength = StockStrength::try_percent(f64::from(tenths) / 10.0)?;
            let needed = Volume::try_millilitres(needed)?;
            Ok((make_stock(strength, needed, &kit), kit, needed))
        })().map_err(|e| TestCaseError::fail(e.to_string()))?;
        if let (Ok(batch), kit, needed) = made {
            prop_assert!(reconciles(batch.grams(), batch.volume_ml(), batch.strength_pct()));
            prop_assert!(batch.volume_ml().value() >= needed.to_millilitres() - 1e-6);
            prop_assert!(batch.relative_scatter() <= 0.02 + 1e-9);
            let shown = Mass::try_grams(batch.grams().value())
                .map_err(|e| TestCaseError::fail(e.to_string()))?;
            prop_assert_eq!(kit.scale().map(|s| s.shows(shown)), Some(batch.grams()));
        }
    }

    #[test]
    fn a_calculator_agrees_with_the_cost(price in 0.0..50.0f64, grams in 0..100_000u64, decimals in 0..4u8) {
        let checked = (|| -> Result<_, DosingRefusal> {
            let grams = Shown::try_round(grams as f64 / 10f64.powi(i32::from(decimals)), decimals)?;
            let price = PricePerGram::try_per_gram(price)?;
            Ok((grams, price_shown(price), cost(price, grams)?))
        })().map_err(|e| TestCaseError::fail(e.to_string()))?;
        let (grams, price, money) = checked;
        let exact = keyed(&grams.to_string()).zip(keyed(&price.to_string())).map(|(g, p)| g * p);
        let unit = 10i128.pow(22); // a hundredth, in 10^-24
        prop_assert_eq!(exact.map(|e| (e + unit / 2) / unit), Some(i128::from(money.to_hundredths())));
    }

    #[test]
    fn no_number_makes_it_panic(bits in any::<u64>(), other in any::<u64>(), decimals in any::<u8>()) {
        let (a, b) = (f64::from_bits(bits), f64::from_bits(other));
        let _ = Shown::try_round(a, decimals).map(|s| s.to_string());
        if let (Ok(capacity), Ok(mark)) = (Volume::try_millilitres(a), Volume::try_millilitres(b)) {
            let _ = Syringe::try_new(capacity, mark).map(Syringe::words);
        }
        if let Ok(want) = Mass::try_grams(a) {
            let _ = Scale::try_step(want);
            for set in [(3, 0xff, 3, Some(20.0)), (13, 0x08, 2, Some(20.0)), (9, 0, 4, None)] {
                let (kit, rules) = set_up(set).map_err(|e| TestCaseError::fail(e.to_string()))?;
                let it = dose(want, Form::Powder, &kit, &rules);
                prop_assert!(!it.relative_scatter().is_nan());
            }
        }
    }
}
