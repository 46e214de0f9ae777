//! A whole walk in a kitchen without a scale, with nothing on the shelf but all-purpose packs.

mod common;

use common::{Check, costume, planned};
use costume::{Shelf, read_shelf};
use lore::Lore;
use plan::document::{Outcome, Plan};

const COSTUME: &str = "[costume]\nname = \"a test\"\n[kitchen]\nsyringes_ml = [10, 250]\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 20\nof = \"stainless\"\n\
    [[kitchen.vessel]]\nname = \"jar\"\nlitres = 1\nof = \"glass\"\n\
    [[piece]]\nid = \"shirt\"\ncloth = \"cotton\"\nweight_g = 400\n\
    target = { lab = [47.0, 34.0, 9.0] }\nseen_from = \"stage\"\n\
    [[piece]]\nid = \"shawl\"\ncloth = \"felted wool\"\nweight_g = 300\n\
    target = { lab = [42.0, 40.0, 12.0] }\nseen_from = \"stage\"\n\
    [[piece]]\nid = \"scarf\"\ncloth = \"silk\"\nweight_g = 80\n\
    target = { lab = [45.0, 35.0, 10.0] }\nseen_from = \"stage\"\n";

const SHELF: &str = "[[pack]]\nid = \"rose\"\nname = \"old rose\"\nkind = \"all-purpose\"\n\
    pack_g = 10\ncolours_g = 250\npacks = 6\npack_price = 4.50\n\
    on = [{ fibre = \"cotton\", lab = [45.0, 36.0, 10.0] }, { fibre = \"wool\", lab = [40.0, 42.0, 14.0] }]\n\
    contains = [\"salt\"]\nlabelled = true\nsheet = true\nlot = \"A1\"\n\
    [[pack]]\nid = \"blue\"\nname = \"slate blue\"\nkind = \"all-purpose\"\n\
    pack_g = 10\ncolours_g = 250\npacks = 2\n\
    on = [{ fibre = \"cotton\", lab = [40.0, -6.0, -22.0] }]\n\
    contains = [\"salt\"]\nlabelled = true\nbought = 2026-09-01\nlot = \"A7\"\n";

fn shelf(text: &str) -> Result<Shelf, Box<dyn std::error::Error>> {
    let folder = common::Folder(common::folder());
    Ok(read_shelf("shelf.toml", text, Lore::shipped(), &folder)?)
}

fn walk(shelf_text: &str) -> Result<Plan, Box<dyn std::error::Error>> {
    planned(&costume(COSTUME)?, &shelf(shelf_text)?)
}

#[test]
fn a_costume_of_packs_without_a_scale() -> Check {
    let plan = walk(SHELF)?;
    let piece = |id: &str| plan.pieces.iter().find(|p| p.id == id).ok_or(format!("no {id}"));
    for id in ["shirt", "shawl"] {
        let piece = piece(id)?;
        let why = &piece.why;
        assert_eq!(
            piece.class.as_ref().map(|c| c.procedure.as_str()),
            Some("union"),
            "{id}: {why}"
        );
        for sheet in &piece.sheets {
            let dyes = &sheet.dyes;
            assert!(!dyes.is_empty() && dyes.iter().all(|d| d.class == "union"), "{id}");
            // No scale: every dose is a volume out of whole packs made up.
            // The swatch's stock serves the piece as well, as far as it goes.
            let from = |dye: &str| {
                sheet.stocks.iter().any(|s| s.dye == dye)
                    || sheet.from_swatch.iter().any(|s| s.dye == dye)
            };
            assert!(dyes.iter().all(|d| d.how == "stock" && from(&d.id)), "{id}");
            assert!(sheet.kind == "bulk" || sheet.from_swatch.is_empty(), "{id}");
            for stock in &sheet.stocks {
                assert!(
                    stock.words.contains("whole pack") && stock.words.contains(" g) in warm water"),
                    "{}",
                    stock.words
                );
            }
            // The packs bring their salt: none is dosed, none is added, and the sheet says why.
            assert!(sheet.auxiliaries.iter().all(|a| a.id != "salt"), "{id}");
            let adds = || sheet.steps.iter().flat_map(|s| &s.adds);
            assert!(adds().all(|add| add.id != "salt" && add.grams > 0.0), "{id}");
            if id == "shirt" {
                let told = |n: &String| n.starts_with("The pack brings its own");
                assert!(sheet.notes.iter().any(told), "{:?}", sheet.notes);
            }
            assert!(sheet.notes.iter().any(|n| n.starts_with("May split")), "{:?}", sheet.notes);
        }
        // Wide, and said so: wider than a recipe of estimates may be, in figures and in advice.
        let recipe = piece.recipes.first().ok_or("no recipe")?;
        let radius = piece.expected.as_ref().ok_or("nothing expected")?.piece_spread90;
        assert!(radius > 6.0, "{id}: {radius}");
        assert!(piece.advice.iter().any(|a| a.id == "spread"), "{id}");
        let known = recipe.dyes.iter().map(|d| d.known.as_str());
        assert!(known.clone().count() > 0 && known.clone().all(|k| k == "pack claim"), "{id}");
    }
    // Wool's colour is claimed, and felt dyes as wool; cotton's pack colour stays off it.
    let on_wool: Vec<&str> = piece("shawl")?.sheets[1].dyes.iter().map(|d| d.id.as_str()).collect();
    assert_eq!(on_wool, ["rose"]);
    // Nobody claims anything for silk.
    let scarf = piece("scarf")?;
    assert!(matches!(scarf.outcome, Outcome::NoBath));
    assert!(scarf.why.contains("claim no colour for silk"), "{}", scarf.why);
    let broken = auditor::audit(&serde_json::to_value(&plan)?).map_err(|e| e.why)?;
    let said: Vec<String> = broken.iter().map(ToString::to_string).collect();
    assert!(said.is_empty(), "{}", said.join("\n"));
    Ok(())
}

/// The same packs without salt of their own: then the sheet doses it, by the spoon.
#[test]
fn without_salt_of_its_own_the_bath_has_it() -> Check {
    let plan = walk(&SHELF.replace("contains = [\"salt\"]\n", ""))?;
    let shirt = plan.pieces.iter().find(|p| p.id == "shirt").ok_or("no shirt")?;
    let bulk = shirt.sheets.get(1).ok_or(format!("no sheet: {}", shirt.why))?;
    assert!(bulk.auxiliaries.iter().any(|a| a.id == "salt" && a.grams > 10.0), "{}", shirt.why);
    Ok(())
}

/// Two days off between swatch and piece, or two weeks: a stock is counted on only while it keeps.
#[test]
fn the_piece_takes_the_rest_of_its_swatchs_stock_while_it_keeps() -> Check {
    let plan = walk(SHELF)?;
    let row = plan.shopping.rows.iter().find(|r| r.item == "rose").ok_or("no rose")?;
    let of = |id: &str| plan.pieces.iter().find(|p| p.id == id).ok_or(format!("no {id}"));
    let (mut opened, mut taken) = (0.0, 0.0);
    for id in ["shirt", "shawl"] {
        for sheet in &of(id)?.sheets {
            opened += sheet.stocks.iter().filter(|s| s.dye == "rose").map(|s| s.grams).sum::<f64>();
            taken += sheet.from_swatch.iter().filter(|s| s.dye == "rose").count() as f64;
        }
    }
    // Both pieces go on with the pack their swatch was dyed from, and only what is opened is bought.
    assert!((taken - 2.0).abs() < 1e-9, "{taken}");
    assert!((row.grams - opened).abs() < 1e-6, "{} {opened}", row.grams);
    for id in ["shirt", "shawl"] {
        let [swatch, bulk] = of(id)?.sheets.as_slice() else { return Err("two sheets".into()) };
        for left in &bulk.from_swatch {
            let made = swatch.stocks.iter().find(|s| s.dye == left.dye).ok_or("no stock")?;
            assert!((left.left_ml - (made.make_ml - made.used_ml)).abs() < 0.01);
        }
    }
    // Between the swatch days and the pieces lies a month without a free day: the stock is too old.
    let away: Vec<String> = (12..=31)
        .map(|day| format!("2027-01-{day}"))
        .chain((1..=28).map(|day| format!("2027-02-{day:02}")))
        .collect();
    let calendar = format!("[calendar]\nnot_on = [{}]\n[[piece]]", away.join(", "));
    let text = COSTUME.replacen("[[piece]]", &calendar, 1);
    let plan = planned(&costume(&text)?, &shelf(SHELF)?)?;
    let days = plan.days.as_ref().ok_or("no days")?;
    let on = |job: &str| {
        let mut of = days.days.iter().filter(|d| d.items.iter().any(|i| i.job == job));
        of.next().map(|d| d.day.clone())
    };
    let apart = on("swatch").zip(on("bulk"));
    let split = apart.is_some_and(|(s, b)| s.as_str() < "2027-02" && b.as_str() > "2027-02");
    let any = plan.pieces.iter().flat_map(|p| &p.sheets).any(|s| !s.from_swatch.is_empty());
    assert!(!split || !any, "a stock of January in a bath of March");
    let broken = auditor::audit(&serde_json::to_value(&plan)?).map_err(|e| e.why)?;
    assert!(broken.is_empty(), "{broken:?}");
    Ok(())
}
