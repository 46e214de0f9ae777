//! What a dose says, sentence by sentence, for the kits a home has.

use dosing::{DosingRefusal, Form, Kit, Scale, StockRules, Syringe, dose, relative_scatter};
use units::{Mass, StockStrength, Volume};

fn syringe(capacity: f64, mark: f64) -> Result<Syringe, DosingRefusal> {
    Syringe::try_new(Volume::try_millilitres(capacity)?, Volume::try_millilitres(mark)?)
}

fn say(
    grams: f64,
    form: Form,
    scale: Option<Scale>,
    measures: Vec<Syringe>,
    pack: Option<f64>,
) -> Result<String, DosingRefusal> {
    let kit = Kit::try_new(scale, measures)?;
    let mut rules = StockRules::new(StockStrength::try_percent(2.0)?, 7);
    rules.pack = pack.map(Mass::try_grams).transpose()?;
    Ok(dose(Mass::try_grams(grams)?, form, &kit, &rules).words().to_owned())
}

#[test]
fn what_a_dose_says() -> Result<(), DosingRefusal> {
    let fine = Some(Scale::JEWELLERY);
    let ten = || Ok::<_, DosingRefusal>(vec![syringe(10.0, 0.2)?]);
    let liquid = Form::Liquid(StockStrength::try_percent(10.0)?);
    let powder = Form::Powder;
    let kitchen = Some(Scale::KITCHEN);
    let jug = || Ok::<_, DosingRefusal>(vec![syringe(250.0, 10.0)?]);
    check(say(3.456, powder, fine, ten()?, None)?, "Weigh 3.46 g.");
    check(say(0.0, powder, fine, ten()?, None)?, "None is needed.");
    check(
        say(4.0, powder, kitchen, vec![], None)?,
        "Weigh 4.0 g; on this scale that may be 2.5 % off, and nothing in the kit does better.",
    );
    check(
        say(0.05, powder, fine, ten()?, None)?,
        "For the 1 % stock weigh 1.00 g, dissolve it in a little warm water and make up to 100 mL. \
         Measure 5.0 mL of it with the 10 mL syringe (0.05 g of dye). 95 mL is left; it keeps 7 \
         days.",
    );
    check(
        say(0.3, powder, kitchen, ten()?, None)?,
        "For the 2 % stock weigh 5.0 g, dissolve it in a little warm water and make up to 250 mL. \
         Measure 15.0 mL of it in 2 fills of the 10 mL syringe (0.3 g of dye). 235 mL is left; it \
         keeps 7 days.",
    );
    // √(4.5² + 2² + 1.75² + (100 × 0.29 × 10 ÷ 200)²) = 5.4 %.
    check(
        say(4.0, powder, None, jug()?, Some(10.0))?,
        "Dissolve one whole pack (10 g) in warm water and make up to 500 mL (a 2 % stock). Measure \
         200 mL of it with the 250 mL measuring jug (4 g of dye). 300 mL is left; it keeps 7 days. \
         A dose from whole packs may be 5.4 % off: packs are filled unevenly.",
    );
    check(
        say(20.0, powder, None, vec![], Some(20.0))?,
        "Dissolve one whole pack (20 g) in warm water and make up to 1000 mL (a 2 % stock). Use all \
         1000 mL (20 g of dye). A dose from whole packs may be 4.5 % off: packs are filled unevenly.",
    );
    check(
        say(0.8, liquid, None, ten()?, None)?,
        "Measure 8.0 mL of the liquid with the 10 mL syringe (0.8 g of dye).",
    );
    check(
        say(0.02, liquid, None, ten()?, None)?,
        "For the 1 % stock measure 10.0 mL of the liquid with the 10 mL syringe and make up with \
         water to 100 mL. Measure 2.0 mL of it with the 10 mL syringe (0.02 g of dye). 98 mL is \
         left; it keeps 7 days.",
    );
    Ok(())
}

#[test]
fn a_kitchen_without_a_scale_doses_by_spoon_drop_and_bottle() -> Result<(), DosingRefusal> {
    let spoons = Kit::try_new(None, vec![])?.with_spoons(&[ml(15.0)?, ml(2.5)?, ml(5.0)?])?;
    let ten_grams = rules()?.with_pack(Mass::try_grams(10.0)?);
    let say = |grams: f64, form, kit: &Kit, rules: &StockRules| {
        Mass::try_grams(grams).map(|want| dose(want, form, kit, rules).words().to_owned())
    };
    // √(4.5² + 2² + 8² + 10² ÷ 3) = 11 %.
    check(
        say(0.7, Form::Powder, &spoons, &ten_grams)?,
        "Dissolve one whole pack (10 g) in warm water and make up to 500 mL (a 2 % stock). Measure \
         35 mL of it as 2 level spoons of 15 mL and 1 of 5 mL (0.7 g of dye). 465 mL is left; it \
         keeps 7 days. This dose may be 11 % off: spoons of one name differ, and so does what is \
         called level.",
    );
    let liquid = Form::Liquid(StockStrength::try_percent(10.0)?);
    let bottle = rules()?.with_pack(Mass::try_grams(6.0)?);
    check(
        say(6.1, liquid, &spoons, &bottle)?,
        "Empty one whole bottle into the bath: 60 mL (6 g of dye). A dose by the bottle may be 4.5 % \
         off: bottles are filled unevenly.",
    );
    check(
        say(0.06, liquid, &spoons.clone().with_drops(), &bottle)?,
        "Measure 0.6 mL of the liquid as 12 drops (0.06 g of dye). This dose may be 15 % off: drops \
         differ by the dropper and how it is held.",
    );
    check(
        say(0.06, liquid, &spoons, &bottle)?,
        "This cannot be dosed: 0.06 g of a liquid dye is dosed by volume, and neither whole level \
         spoons nor drops come within a tenth of it; get a 10 mL syringe with marks of 0.2 mL.",
    );
    // With a scale and a syringe nobody is sent to the spoons, nor is powder ever spooned.
    let better = Kit::try_new(Some(Scale::JEWELLERY), vec![syringe(10.0, 0.2)?])?;
    let both = better.clone().with_spoons(&[ml(2.5)?, ml(5.0)?])?.with_drops();
    for grams in [0.02, 0.1, 0.7, 4.0, 30.0] {
        for form in [Form::Powder, liquid] {
            assert_eq!(say(grams, form, &both, &bottle)?, say(grams, form, &better, &bottle)?);
        }
        let loose = rules()?;
        let without = Kit::try_new(None, vec![])?.with_spoons(&[ml(2.5)?, ml(5.0)?])?;
        assert!(say(grams, Form::Powder, &without, &loose)?.starts_with("This cannot be dosed"));
    }
    Ok(())
}

fn ml(given: f64) -> Result<Volume, DosingRefusal> {
    Ok(Volume::try_millilitres(given)?)
}

fn rules() -> Result<StockRules, DosingRefusal> {
    Ok(StockRules::new(StockStrength::try_percent(2.0)?, 7))
}

#[test]
fn what_cannot_be_dosed_says_what_would_help() -> Result<(), DosingRefusal> {
    let fine = Some(Scale::JEWELLERY);
    let ten = || Ok::<_, DosingRefusal>(vec![syringe(10.0, 0.2)?]);
    let liquid = Form::Liquid(StockStrength::try_percent(10.0)?);
    let powder = Form::Powder;
    check(
        say(0.05, powder, fine, vec![], None)?,
        "This cannot be dosed: 0.05 g is too little for a scale that shows 0.01 g, and there is no \
         syringe or measuring jug; get a 10 mL syringe with marks of 0.2 mL.",
    );
    check(
        say(0.05, powder, Some(Scale::PLAIN), ten()?, None)?,
        "This cannot be dosed: 0.05 g is too little for a scale that shows 1 g, and no stock \
         solution of this dye can be weighed out on it within 2 %; get a scale that shows 0.01 g.",
    );
    check(
        say(4.0, powder, None, vec![], None)?,
        "This cannot be dosed: 4 g of powder cannot be weighed without a scale; get a scale that \
         shows 0.01 g, or enter what a whole pack holds, so that it can be made up in half a litre \
         and dosed by volume.",
    );
    check(
        say(4.0, powder, None, ten()?, Some(10.0))?,
        "This cannot be dosed: 4 g cannot be weighed without a scale, and its stock would take \
         more than 10 fills of the 10 mL syringe; get a measuring jug of half a litre with marks.",
    );
    check(
        say(0.000_01, powder, fine, ten()?, None)?,
        "This cannot be dosed: 0.00001 g is too little for a scale that shows 0.01 g, and its \
         stock would be less than five marks of the 10 mL syringe; dye a larger swatch, or get a 1 \
         mL syringe with marks of 0.01 mL.",
    );
    check(
        say(0.8, liquid, fine, vec![], None)?,
        "This cannot be dosed: 0.8 g of a liquid dye is dosed by volume, and there is no syringe or \
         measuring jug; get a 10 mL syringe with marks of 0.2 mL.",
    );
    Ok(())
}

#[test]
fn a_pinch_is_as_unsure_as_the_trade_says() -> Result<(), DosingRefusal> {
    // 0.1 g on a 0.01 g scale is ten digits: 10 % (common practice, ±1 digit); from a stock the
    // same amount is within 2–3 %.
    let (pinch, rules) =
        (Mass::try_grams(0.1)?, StockRules::new(StockStrength::try_percent(2.0)?, 7));
    let bare = Kit::try_new(Some(Scale::JEWELLERY), vec![])?;
    let with = Kit::try_new(Some(Scale::JEWELLERY), vec![syringe(10.0, 0.2)?])?;
    assert!((relative_scatter(pinch, Form::Powder, &bare, &rules) - 0.1).abs() < 1e-12);
    assert!((0.02..0.03).contains(&relative_scatter(pinch, Form::Powder, &with, &rules)));
    Ok(())
}

#[expect(clippy::needless_pass_by_value, reason = "one line a case")]
fn check(said: String, meant: &str) {
    assert_eq!(said, meant);
}
