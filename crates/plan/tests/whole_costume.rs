//! Random costumes in random kitchens: goods of every form, sets with fixed things, dates that can and cannot
//! be kept. Every rule of the auditor holds, every printed figure reconciles.

mod common;
mod sound;

use common::{Check, shelf};
use costume::Shelf;
use proptest::prelude::*;
use sound::sound;

/// A kitchen and its calendar.
fn kitchens() -> impl Strategy<Value = String> {
    let days = prop::sample::subsequence(
        vec!["\"monday\"", "\"wednesday\"", "\"friday\"", "\"saturday\"", "\"sunday\""],
        1..=5,
    );
    (1..4u32, 1..3u32, 1..3u32, 1..7u32, 4..10u32, days, 0..9u32, any::<bool>()).prop_map(
        |(burners, hands, sinks, drying, hours, days, delivery, big)| {
            let pot = if big { 45 } else { 14 };
            format!(
                "[kitchen]\nscale_g = 0.1\nsyringes_ml = [1, 10, 60]\nburners = {burners}\nhands = {hands}\n\
                 sinks = {sinks}\ndrying = {drying}\nlifts_kg = 10\n\
                 [[kitchen.vessel]]\nname = \"pot\"\nlitres = {pot}\nof = \"stainless\"\nto_60_min = 40\n\
                 [[kitchen.vessel]]\nname = \"small pot\"\nlitres = 9\nof = \"enamel\"\n\
                 [[kitchen.vessel]]\nname = \"tub\"\nlitres = 30\nof = \"plastic\"\n\
                 [calendar]\nweekdays = [{}]\nhours = {hours}\ndelivery_days = {delivery}\n",
                days.join(", ")
            )
        },
    )
}

/// One piece; several share a colour, so that baths are shared and sets can hold.
fn piece(id: usize) -> impl Strategy<Value = String> {
    let cloth = prop::sample::select(vec![
        "\"cotton\"",
        "\"cotton\"",
        "\"wool\"",
        "\"silk\"",
        "\"polyester\"",
        "\"linen\"",
        "{ viscose = 55, linen = 45 }",
        "{ polyester = 65, cotton = 35 }",
        "{ nylon = 85, elastane = 15 }",
        "\"feathers\"",
    ]);
    let colour = prop::sample::select(vec![
        "[40.0, 20.0, -20.0]",
        "[62.0, -12.0, 22.0]",
        "[17.0, 0.2, -0.4]",
        "[88.0, 1.0, 12.0]",
    ]);
    let extra = prop::sample::select(vec![
        "",
        "form = \"sewn\"\nparts = [\"zip\"]\nparts_g = { zip = 3 }\n",
        "form = \"cut panels\"\nspare_g = 5\n",
        "form = \"worn\"\nworth = \"could\"\n",
        "lining = { cloth = \"viscose\", weight_g = 6 }\n",
        "dyed_by = [\"Ina\", \"Oke\"]\n",
        "over = { cover_pct = 60, lab = [60.0, 14.0, 18.0] }\n",
        "brightened = true\n",
        "blend = \"two baths\"\n",
        "worth = \"must\"\nswatch = { waived_by = \"M. Ash\", day = 2027-01-05 }\n",
    ]);
    (cloth, colour, extra, 12.0..700.0f64).prop_map(move |(cloth, colour, extra, grams)| {
        format!(
            "[[piece]]\nid = \"p{id}\"\ncloth = {cloth}\nweight_g = {grams:.1}\ntarget = {{ lab = {colour} }}\n\
             {extra}"
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_costumes_keep_every_rule(
        kitchen in kitchens(),
        pieces in (piece(0), piece(1), piece(2), piece(3)),
        many in 1..=4usize,
        due in 2..90i32,
        matched in any::<bool>(),
        together in any::<bool>(),
        own_shelf in any::<bool>(),
    ) {
        let all = [pieces.0, pieces.1, pieces.2, pieces.3];
        let day = units::Day::try_ymd(2027, 1, 11).map_err(|e| TestCaseError::fail(e.to_string()))?;
        let colours = if together { "together" } else { "each" };
        let mut text = format!(
            "[costume]\nname = \"a test\"\nday = {}\ncolours = \"{colours}\"\n{kitchen}{}",
            day.plus_days(due),
            all[..many].concat()
        );
        if matched {
            let ids: Vec<String> = (0..many).map(|i| format!("\"p{i}\"")).collect();
            text.push_str(&format!(
                "[[fixed]]\nid = \"wig\"\ncolour = {{ lab = [41.0, 18.0, -19.0] }}\n\
                 [[match]]\nname = \"all\"\npieces = [{}, \"wig\"]\nlights = [\"daylight\", \"flash\"]\n",
                ids.join(", ")
            ));
        }
        let shelf = if own_shelf { shelf().map_err(|e| TestCaseError::fail(e.to_string()))? }
            else { Shelf::of_starters() };
        if let Err(says) = sound(&text, &shelf) {
            return Err(TestCaseError::fail(says));
        }
    }
}

/// Found by the random costumes: a small piece in a jar and another's swatch were weighed out as one, by one pair of
/// hands.
#[test]
fn a_piece_in_a_jar_is_not_handled_as_one_with_a_swatch() -> Check {
    let text = "[costume]\nname = \"a test\"\nday = 2027-01-13\n[kitchen]\nscale_g = 0.1\nsyringes_ml = [1, 10, 60]\n\
        burners = 1\nhands = 1\nsinks = 1\ndrying = 2\nlifts_kg = 10\n[[kitchen.vessel]]\nname = \"pot\"\n\
        litres = 14\nof = \"stainless\"\n[[kitchen.vessel]]\nname = \"small pot\"\nlitres = 9\nof = \"enamel\"\n\
        [calendar]\nweekdays = [\"sunday\"]\nhours = 6\ndelivery_days = 0\n\
        [[piece]]\nid = \"a\"\ncloth = { polyester = 65, cotton = 35 }\nweight_g = 12.0\n\
        target = { lab = [17.0, 0.2, -0.4] }\nworth = \"must\"\nswatch = { waived_by = \"Nell\", day = 2027-01-05 }\n\
        [[piece]]\nid = \"b\"\ncloth = \"polyester\"\nweight_g = 12.0\ntarget = { lab = [40.0, 20.0, -20.0] }\n";
    sound(text, &Shelf::of_starters())?;
    Ok(())
}

#[test]
fn pieces_of_one_cloth_and_colour_lie_in_one_bath_and_unlike_cloth_never_does() -> Check {
    let piece = |id: &str, cloth: &str| {
        format!(
            "[[piece]]\nid = \"{id}\"\ncloth = \"{cloth}\"\nweight_g = 120\n\
             target = {{ lab = [40.0, 20.0, -20.0] }}\n"
        )
    };
    let head = "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.1\nsyringes_ml = [10]\n\
        [[kitchen.vessel]]\nname = \"pot\"\nlitres = 30\nof = \"stainless\"\n";
    let text =
        format!("{head}{}{}{}", piece("a", "cotton"), piece("b", "linen"), piece("c", "cotton"));
    let plan = sound(&text, &Shelf::of_starters())?;
    assert_eq!(plan["pieces"][2]["outcome"], "shares-bath");
    assert_eq!(plan["pieces"][2]["shares_with"], "a");
    assert_eq!(plan["pieces"][0]["sheets"][1]["pieces"], serde_json::json!(["a", "c"]));
    assert_eq!(plan["pieces"][1]["outcome"], "bath");
    // What does not fit into one vessel is not shared, and never split.
    let small = head.replace("litres = 30", "litres = 5");
    let plan = sound(&text.replace(head, &small), &Shelf::of_starters())?;
    assert_eq!(plan["pieces"][2]["outcome"], "bath");
    Ok(())
}
