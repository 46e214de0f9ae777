//! What a plan says of sets, of brightened cloth, of reach and of change of light: one figure in one place, and
//! words that say no more than the figures do.

mod common;

use common::{Check, costume, example, planned};
use costume::Shelf;
use plan::document::{PiecePlan, Plan};

const HEAD: &str = "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.01\nsyringes_ml = [1, 10, 60]\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 30\nof = \"stainless\"\n";

fn piece(id: &str, cloth: &str, target: &str) -> String {
    format!(
        "[[piece]]\nid = \"{id}\"\ncloth = \"{cloth}\"\nweight_g = 300\ntarget = {target}\n\
         seen_from = \"beside\"\nlights = [\"daylight\", \"hall lamps\"]\n"
    )
}

fn plan_of(body: &str) -> Result<Plan, Box<dyn std::error::Error>> {
    planned(&costume(&format!("{HEAD}{body}"))?, &Shelf::of_starters())
}

fn dyes(piece: &PiecePlan) -> Vec<&str> {
    let chosen = piece.recipes.first().map(|r| r.dyes.iter().map(|d| d.id.as_str()).collect());
    chosen.unwrap_or_default()
}

/// Blacks that match as they are keep the recipes they have without a set; where a wig is far enough away,
/// they come to it.
#[test]
fn pieces_that_match_alone_keep_their_recipes() -> Check {
    let blacks = [("gloves", "cotton"), ("spats", "wool")];
    let pieces: String =
        blacks.iter().map(|(id, cloth)| piece(id, cloth, "{ lab = [17.0, 0.2, -0.4] }")).collect();
    let alone = plan_of(&pieces)?;
    let set = "[[match]]\nname = \"the blacks\"\npieces = [\"gloves\", \"spats\"]\nseen_from = \"stage\"\n";
    let plan = plan_of(&format!("{pieces}{set}"))?;
    let set = plan.sets.first().ok_or("no set")?;
    assert!(set.largest_alone <= 0.5 * set.passes, "{} of {}", set.largest_alone, set.passes);
    assert!(set.as_alone && set.holds && set.largest == set.largest_alone);
    assert!(set.verdict.contains("keep their own recipes"), "{}", set.verdict);
    for (with, without) in plan.pieces.iter().zip(&alone.pieces) {
        assert_eq!(dyes(with), dyes(without));
        assert_eq!(
            with.sheets.iter().map(|s| &s.dyes).collect::<Vec<_>>(),
            without.sheets.iter().map(|s| &s.dyes).collect::<Vec<_>>()
        );
    }
    let wig = "[[fixed]]\nid = \"wig\"\ncolour = { lab = [19.5, 1.5, 0.6] }\n\
        [[match]]\nname = \"the blacks\"\npieces = [\"gloves\", \"spats\", \"wig\"]\n";
    let moved = plan_of(&format!("{pieces}{wig}"))?;
    let set = moved.sets.first().ok_or("no set")?;
    assert!(!set.as_alone && set.largest < set.largest_alone, "{}", set.verdict);
    // A recipe is said to be the set's where it is, and nowhere else.
    for (with, without) in moved.pieces.iter().zip(&alone.pieces) {
        let own = with.recipes.first().ok_or("no recipe")?;
        let before = without.recipes.first().ok_or("no recipe")?;
        assert_eq!(own.for_set, own.dyes != before.dyes, "{}", with.id);
        assert!(with.recipes[1..].iter().all(|other| !other.for_set));
        let said = with.expected.as_ref().is_some_and(|e| e.verdict.contains("for the set"));
        assert_eq!(said, own.for_set, "{}", with.id);
    }
    assert!(moved.pieces.iter().any(|p| p.recipes[0].for_set));
    Ok(())
}

/// What to expect and how far dyeings scatter, never "holds" alone; a fixed thing of which only the colour was
/// given is assumed under lamps and nowhere else.
#[test]
fn a_set_says_what_to_expect_and_how_sure_it_is() -> Check {
    let pieces: String = [("coat", "wool"), ("shirt", "cotton")]
        .iter()
        .map(|(id, cloth)| piece(id, cloth, "{ lab = [42.0, 18.0, 12.0] }"))
        .collect();
    let plan = plan_of(&format!(
        "{pieces}[[fixed]]\nid = \"wig\"\ncolour = {{ lab = [42.5, 18.5, 12.5] }}\n\
         [[match]]\nname = \"the reds\"\npieces = [\"coat\", \"shirt\", \"wig\"]\n"
    ))?;
    let set = plan.sets.first().ok_or("no set")?;
    for words in ["expect", "nine times in ten", "estimates", "assumed look under lamps"] {
        assert!(set.verdict.contains(words), "{words}: {}", set.verdict);
    }
    assert!(set.within90 > set.largest && set.first90 > set.within90, "{}", set.verdict);
    let lamps: Vec<&String> = set.lights.iter().filter(|l| *l != "D65").collect();
    assert!(!lamps.is_empty());
    for pair in &set.pairs {
        let with_wig = pair.a == "wig" || pair.b == "wig";
        let assumed: Vec<&String> = pair.assumed.iter().collect();
        assert_eq!(assumed, if with_wig { lamps.clone() } else { vec![] }, "{pair:?}");
        assert!(!pair.one_bath && pair.within90 > pair.worst && pair.first90 >= pair.within90);
    }
    let both = |a: &str, b: &str| set.pairs.iter().find(|p| p.a == a && p.b == b);
    let (two, one) =
        (both("coat", "shirt").ok_or("no pair")?, both("coat", "wig").ok_or("no pair")?);
    // Two dyeings scatter more than one beside something that stays as it is.
    assert!(two.within90 - two.worst > one.within90 - one.worst - 0.3, "{two:?} {one:?}");
    Ok(())
}

/// With a brightener the colours under each light hold its glow: much in daylight, next to none under lamps;
/// without it no key speaks of a glow.
#[test]
fn the_glow_of_a_brightener_is_in_every_figure() -> Check {
    let ivory = piece("jabot", "cotton", "{ lab = [88.0, 1.0, 12.0] }");
    let plain = plan_of(&ivory)?;
    let plan = plan_of(&format!("{ivory}brightened = true\n"))?;
    let (with, without) = (&plan.pieces[0], &plain.pieces[0]);
    let lights = |p: &PiecePlan| p.expected.as_ref().map(|e| e.lights.clone()).ok_or("no figures");
    let (glowing, dull) = (lights(with)?, lights(without)?);
    assert!(dull.iter().all(|l| l.glow.is_none()));
    let glow = |at: usize| glowing[at].glow.ok_or("no glow");
    assert_eq!(glowing[0].light, "D65");
    assert!(glow(0)? > 2.0 && glow(0)? > 5.0 * glow(1)?, "{} {}", glow(0)?, glow(1)?);
    assert!(glowing[0].lab[2] < dull[0].lab[2] - 1.0, "bluer in daylight");
    let lamp = (glowing[1].difference - dull[1].difference).abs();
    assert!(lamp < 1.0, "as without under {}: {lamp}", glowing[1].light);
    let special = with.special.brightened.as_ref().ok_or("not told")?;
    assert!((special.dyed - glow(0)?).abs() < 1e-9, "one figure for the glow");
    let verdict = with.expected.as_ref().map_or("", |e| e.verdict.as_str());
    assert!(verdict.contains(&format!("{:.1} in daylight", glow(0)?)), "{verdict}");
    assert!(verdict.contains(&format!("({:.1};", glowing[0].difference)), "{verdict}");
    let recipe = with.recipes.first().ok_or("no recipe")?;
    // The sheet doses what can be measured: a little else than the recipe.
    assert!((recipe.difference - glowing[0].difference).abs() < 0.5);
    assert!(with.reach.as_ref().is_some_and(|r| r.without_glow));
    Ok(())
}

/// How near a colour can come is said once: no recipe and no expectation is nearer, and what limits it does not
/// promise nothing in figures.
#[test]
fn nothing_is_nearer_than_the_nearest_and_limits_speak_plainly() -> Check {
    let plan = example()?;
    let mut out_of_reach = 0;
    for piece in &plan.pieces {
        let Some(reach) = &piece.reach else { continue };
        if !reach.without_glow {
            for recipe in &piece.recipes {
                assert!(recipe.difference >= reach.gap - 1e-9, "{}: {recipe:?}", piece.id);
            }
            let comes_to = piece.expected.as_ref().map(|e| e.lights[0].difference);
            assert!(comes_to.is_none_or(|d| d >= reach.gap - 1e-9), "{}", piece.id);
        }
        out_of_reach += usize::from(!reach.within);
        for words in reach.limits.iter().chain(piece.advice.iter().map(|a| &a.text)) {
            assert!(!words.contains("0.0 would be left"), "{}: {words}", piece.id);
        }
        if let Some(advice) = piece.advice.iter().find(|a| a.id == "out-of-reach") {
            assert!(
                advice.text.contains(&format!("{:.1} (CIEDE2000)", reach.gap)),
                "{}",
                advice.text
            );
        }
    }
    assert!(out_of_reach >= 2, "the example has colours out of reach");
    // A blend in two baths: the whole of the cloth, not what one bath does for its own fibre.
    let pockets = plan.pieces.iter().find(|p| p.id == "pockets").ok_or("no pockets")?;
    let comes_to = pockets.expected.as_ref().ok_or("no figures")?.lights[0].difference;
    assert!((pockets.recipes[0].difference - comes_to).abs() < 1e-9, "one figure for the recipe");
    assert!(pockets.reach.as_ref().is_some_and(|r| r.gap <= comes_to && r.gap > comes_to - 1.0));
    Ok(())
}

/// Change of light in words says what the figures beside it say.
#[test]
fn a_match_is_said_to_hold_under_a_lamp_where_it_passes_there() -> Check {
    let text = std::fs::read_to_string(common::folder().join("costume.toml"))?;
    let asked = costume(&text)?;
    let plan = example()?;
    let (mut held, mut lost) = (0, 0);
    for (piece, asked) in plan.pieces.iter().zip(&asked.pieces) {
        let Some(expected) = piece.expected.as_ref().filter(|_| !asked.brightened) else {
            continue;
        };
        let limit = asked.viewing.limit();
        let lamps: Vec<_> = expected.lights.iter().filter(|l| l.light != "D65").collect();
        assert_eq!(lamps.len(), expected.metamerism.len(), "{}", piece.id);
        let apart = expected.lights[0].difference;
        if (apart - limit).abs() < 0.006 {
            continue;
        }
        let day = apart <= limit;
        for (lamp, words) in lamps.into_iter().zip(&expected.metamerism) {
            // On the last printed digit either word may be right.
            if (lamp.difference - limit).abs() < 0.006 {
                continue;
            }
            let here = lamp.difference <= limit;
            assert_eq!(words.contains("holds"), day && here, "{}: {words}", piece.id);
            assert_eq!(words.contains("does not hold"), day && !here, "{}: {words}", piece.id);
            held += usize::from(day && here);
            lost += usize::from(day && !here);
        }
    }
    assert!(held > 5, "{held} held, {lost} lost");
    Ok(())
}
