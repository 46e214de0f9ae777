//! The worked example, planned and audited: every sheet keeps the fifteen rules, every amount adds up.

mod common;

use common::{Check, costume, example, planned, shelf};

#[test]
fn the_example_keeps_every_rule() -> Check {
    let plan = serde_json::to_value(example()?)?;
    let broken = auditor::audit(&plan).map_err(|e| e.why)?;
    let said: Vec<String> = broken.iter().map(ToString::to_string).collect();
    assert!(broken.is_empty(), "{}", said.join("\n"));
    Ok(())
}

#[test]
fn the_example_says_what_it_must() -> Check {
    let plan = example()?;
    let piece = |id: &str| plan.pieces.iter().find(|p| p.id == id).ok_or(format!("no {id}"));
    let procedure = |id: &str| piece(id).map(|p| p.class.as_ref().map(|c| c.procedure.clone()));
    assert_eq!(procedure("coat")?.as_deref(), Some("acid-milling"));
    assert_eq!(procedure("sash")?.as_deref(), Some("acid-milling"));
    assert_eq!(procedure("shirt")?.as_deref(), Some("reactive-cold"));
    assert_eq!(procedure("banner")?.as_deref(), Some("disperse"));
    assert_eq!(procedure("tights")?.as_deref(), Some("acid-milling"));
    assert!(piece("braid")?.sheets.is_empty() && !piece("braid")?.tests.is_empty());
    assert!(piece("glow")?.reach.as_ref().is_some_and(|r| !r.within && !r.limits.is_empty()));
    for piece in plan.pieces.iter().filter(|p| !p.sheets.is_empty()) {
        let lines: Vec<_> = piece.sheets.iter().map(|s| s.first_line.as_deref()).collect();
        let (swatches, bulks) = lines.split_at(lines.len() / 2);
        assert!(swatches.iter().all(Option::is_none), "{}", piece.id);
        let provisional = |line: &Option<&str>| *line == Some("provisional: dye the swatch first");
        assert!(!bulks.is_empty() && bulks.iter().all(provisional), "{}", piece.id);
    }
    Ok(())
}

/// What is overruled is refused when it is no advice: so every advice must be on that list, and on the page
/// that tells of it.
#[test]
fn every_advice_may_be_named() -> Check {
    let guide = include_str!("../../../docs/costume-file.md");
    for id in costume::ADVICE {
        assert!(guide.contains(&format!("`{id}`")), "{id} is not in the guide");
    }
    let given = example()?.pieces.into_iter().flat_map(|piece| piece.advice);
    for advice in given {
        assert!(costume::ADVICE.contains(&advice.id.as_str()), "{}", advice.id);
    }
    Ok(())
}

/// Nothing that is taken is left to chance: it is there, it is ordered, or it is asked for.
#[test]
fn everything_short_or_unknown_is_ordered_bought_or_asked_for() -> Check {
    let plan = example()?;
    let days = plan.days.as_ref().ok_or("no days")?;
    let mut asked = 0;
    for row in &plan.shopping.rows {
        let ordered = days.orders.iter().any(|order| order.item == row.item);
        let at_hand = days.at_hand.iter().find(|one| one.item == row.item);
        let unknown = row.on_shelf_g.is_none();
        assert_eq!(row.ask.is_some(), unknown, "{}", row.item);
        let open = unknown || row.short_g.is_some();
        assert_eq!(ordered || at_hand.is_some(), open, "{}: {row:?}", row.item);
        assert!(!(ordered && at_hand.is_some()), "{} stands twice", row.item);
        if let Some(one) = at_hand {
            asked += usize::from(one.ask);
            assert_eq!(one.ask, unknown, "{}", row.item);
            assert_eq!(one.need == row.need, unknown, "{}: {}", row.item, one.need);
            assert!(one.by <= one.used, "{}: {} after {}", row.item, one.by, one.used);
            assert!(!(one.too_late && one.food_shop), "{}: a shop has no post", row.item);
            // What a scour takes has to be there when the goods are scoured.
            let of = plan.scours.iter().filter(|s| s.auxiliaries.iter().any(|a| a.id == row.item));
            let scoured: Vec<&String> = of.flat_map(|scour| &scour.pieces).collect();
            let takes = |item: &plan::document::DayItem| {
                item.job == "scour" && item.piece.as_ref().is_some_and(|p| scoured.contains(&p))
            };
            for day in days.days.iter().filter(|day| day.items.iter().any(takes)) {
                assert!(one.used <= day.day, "{} is scoured with on {}", row.item, day.day);
            }
        }
    }
    assert!(asked > 3, "{asked} asked for");
    let salt = days.at_hand.iter().find(|one| one.item == "salt").ok_or("no salt")?;
    assert!(!salt.ask && salt.food_shop && salt.need.contains("1 pack of 1000 g"), "{salt:?}");
    let acid = plan.shopping.rows.iter().find(|row| row.item == "acetic-acid").ok_or("no acid")?;
    assert!(acid.need.contains("mL of 5 % vinegar"), "{}", acid.need);
    Ok(())
}

/// Several jars are told as separate jars, each with its piece, and one of them leads.
#[test]
fn jars_say_where_they_stand() -> Check {
    let plan = example()?;
    let items = plan.days.iter().flat_map(|days| &days.days).flat_map(|day| &day.items);
    let mut several = 0;
    for item in items {
        let jar = item.vessel.as_ref().is_some_and(|vessel| vessel.starts_with("jar in "));
        assert_eq!(jar, item.stands.is_some(), "{item:?}");
        assert!(item.together.is_empty() || item.together.len() > 1, "{item:?}");
        if let Some(stands) = item.stands.as_ref().filter(|_| item.together.len() > 1) {
            several += 1;
            assert!(stands.contains("separate jars"), "{stands}");
            let name = item.piece_name.as_deref().ok_or("no name")?;
            assert!(stands.contains(name), "{stands} does not name {name}");
        }
        if item.what.contains("heat") {
            assert!(item.burner, "{}: heated on nothing", item.what);
        }
    }
    assert!(several > 0, "no two jars in one pot");
    Ok(())
}

/// Friends are told of the mask, of the life of a reactive stock, and of what one stock gains.
#[test]
fn friends_are_told_what_a_stock_can_do() -> Check {
    let plan = example()?;
    let kerchief = plan.pieces.iter().find(|p| p.id == "kerchief").ok_or("no kerchief")?;
    let friends = kerchief.special.friends.as_ref().ok_or("no friends")?;
    let all = friends.words.join("\n");
    for says in ["mask", "Nell alone opens the powder", "within 7 days", "No alkali"] {
        assert!(all.contains(says), "{says}: {all}");
    }
    let gains = friends.apart90_own > friends.apart90;
    assert_eq!(all.contains("no nearer than with a stock of each one's own"), !gains, "{all}");
    Ok(())
}

/// The two chips that lie edge to edge differ by what is printed between them: over its backing for a sheer, with
/// the glow for brightened cloth.
#[test]
fn the_chips_shown_side_by_side_differ_by_the_figure_beside_them() -> Check {
    let plan = example()?;
    let lab = |lab: [f64; 3]| colour::Lab::new(lab[0], lab[1], lab[2]);
    let mut seen = 0;
    for piece in &plan.pieces {
        let Some(expected) = &piece.expected else { continue };
        let apart = colour::ciede2000(lab(piece.target.lab), lab(expected.colour.lab));
        let said = expected.lights[0].difference;
        // Both Labs are printed to a tenth.
        assert!((apart - said).abs() < 0.2, "{}: {apart:.2} and {said:.2}", piece.id);
        seen += 1;
    }
    assert!(seen >= 15, "{seen}");
    Ok(())
}

/// What friends dye from one stock is bought for all of them, and no sheet tells of another stock than theirs.
#[test]
fn the_dye_of_friends_is_bought_for_all_of_them() -> Check {
    let piece = |friends: &str| {
        costume(&format!(
            "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.1\nsyringes_ml = [1, 10, 60]\n\
             [[kitchen.vessel]]\nname = \"tub\"\nlitres = 30\nof = \"plastic\"\n[[kitchen.vessel]]\nname = \"pot\"\n\
             litres = 20\nof = \"stainless\"\n[[piece]]\nid = \"shirt\"\ncloth = \"cotton\"\nweight_g = 600\n\
             target = {{ hex = \"#902030\" }}\n{friends}"
        ))
    };
    let shelf = shelf()?;
    let alone = planned(&piece("")?, &shelf)?;
    let three = planned(&piece("dyed_by = [\"Ann\", \"Bea\", \"Cy\"]\n")?, &shelf)?;
    let grams = |plan: &plan::document::Plan, dye: &str| {
        plan.shopping.rows.iter().find(|row| row.item == dye).map_or(0.0, |row| row.grams)
    };
    let shirt = three.pieces.first().ok_or("no piece")?;
    let friends = shirt.special.friends.as_ref().ok_or("no friends")?;
    assert!(friends.stocks.len() >= 2);
    let [swatch, bulk] =
        ["swatch", "bulk"].map(|kind| shirt.sheets.iter().find(|s| s.kind == kind));
    let (swatch, bulk) = (swatch.ok_or("no swatch")?, bulk.ok_or("no bulk")?);
    for stock in &friends.stocks {
        // For three, and what the swatch takes.
        assert!(stock.each_ml * 3.0 <= stock.make_ml && stock.each_ml * 4.0 > stock.make_ml);
        let first =
            swatch.stocks.iter().filter(|s| s.dye == stock.dye).map(|s| s.grams).sum::<f64>()
                + swatch
                    .dyes
                    .iter()
                    .filter(|d| d.id == stock.dye && d.how != "stock")
                    .map(|d| d.grams)
                    .sum::<f64>();
        let bought = grams(&three, &stock.dye);
        assert!((bought - first - stock.grams).abs() < 0.006, "{}: {bought}", stock.dye);
        assert!(bought > 1.5 * grams(&alone, &stock.dye), "{}: {bought}", stock.dye);
        for told in bulk.stocks.iter().filter(|s| s.dye == stock.dye) {
            assert_eq!((told.grams, told.make_ml), (stock.grams, stock.make_ml));
        }
    }
    assert!(friends.words.iter().any(|w| w.contains("needs the same again")));
    Ok(())
}
