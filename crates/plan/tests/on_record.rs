//! What is dyed already is not asked for again: a swatch that waits to be read, a piece dyed whole, a good swatch that
//! does not make its bulk sheet final. All dyes and swatches here are invented; no cloth was dyed.

mod common;

use std::collections::BTreeSet;
use std::ops::ControlFlow;

use common::invented::{shelf, swatch};
use common::{Check, costume};
use lore::Lore;
use plan::document::{Plan, SwatchPlan};
use plan::{Dyed, OnRecord, Request, Taught, ToLearn, plan, swatch_plan};
use units::{Day, LiquorRatio};

type Fails = Box<dyn std::error::Error>;

const COSTUME: &str = "[costume]\nname = \"a test\"\n[[piece]]\nid = \"a\"\ncloth = \"cotton\"\n\
    weight_g = 200\ntarget = { lab = [45.0, 20.0, -20.0] }\n\
    [[piece]]\nid = \"b\"\ncloth = \"linen\"\nweight_g = 200\ntarget = { lab = [60.0, -10.0, 20.0] }\n";

/// The plan and the plan of swatches, with what was learnt and what is on record.
fn both(learnt: Vec<ToLearn>, of_a: Vec<Dyed>) -> Result<(Plan, SwatchPlan), Fails> {
    let (costume, shelf) = (costume(COSTUME)?, shelf());
    let named = |what| OnRecord { costume: "a test".to_owned(), piece: "a".to_owned(), what };
    let taught = Taught::try_of(&shelf, &[], learnt, vec![])?
        .with_record(of_a.into_iter().map(named).collect());
    let request = Request {
        lore: Lore::shipped(),
        costume: &costume,
        shelf: &shelf,
        taught: Some(&taught),
        today: Day::try_ymd(2027, 1, 11)?,
        threads: 1,
    };
    let made = plan(&request, &mut |_| ControlFlow::Continue(()))?;
    let broken = auditor::audit(&serde_json::to_value(&made)?).map_err(|e| e.why)?;
    assert!(broken.is_empty(), "{broken:?}");
    Ok((made, swatch_plan(&request, 1.0, None, &mut |_| ControlFlow::Continue(()))?))
}

/// Doses of piece a's recipe, by their places on the shelf, each so many times as much.
fn recipe(made: &Plan, times: f64) -> Vec<(usize, f64)> {
    let shelf = shelf();
    let place = |id: &str| shelf.dyes.iter().position(|d| d.dye.id == id);
    let dyes = &made.pieces[0].recipes[0].dyes;
    dyes.iter().filter_map(|d| Some((place(&d.id)?, times * d.owf_pct))).collect()
}

/// Swatches of a by the plan's own recipe until one is good enough, each dyed at this ratio, where it is told.
fn until_good(ratio: Option<f64>) -> Result<Vec<ToLearn>, Fails> {
    let ratio = ratio.map(LiquorRatio::try_litres_per_kilogram).transpose()?;
    let mut dyed: Vec<ToLearn> = vec![];
    loop {
        let (made, _) = both(dyed.clone(), vec![])?;
        let rests = made.pieces[0].special.rests_on.as_ref().ok_or("nothing said")?;
        if rests.goes_by.as_ref().is_some_and(|by| by.say == plan::document::Say::Stop) {
            return Ok(dyed);
        }
        assert!(dyed.len() < 6, "six swatches, and none is good enough");
        let code = format!("C-{}", dyed.len() + 1);
        let job = u64::try_from(dyed.len())?;
        let mut one = swatch(&shelf(), &code, Some("a"), job, &recipe(&made, 1.02))?;
        one.head.ratio = ratio;
        dyed.push(one);
    }
}

#[test]
fn a_swatch_that_is_dyed_is_to_be_read_and_not_dyed_again() -> Check {
    let (made, rota) = both(vec![], vec![Dyed::Unread("C-9".to_owned())])?;
    let next = made.next.join("\n");
    assert!(
        next.contains("Dyed and not read yet: C-9 of a. Read each when it is washed off"),
        "{next}"
    );
    assert!(next.contains("Dye the swatches first: b."), "{next}");
    let recorded = made.pieces[0].special.recorded.as_ref().ok_or("nothing said")?;
    assert!(recorded.words.starts_with("Swatch C-9 is dyed: read it when"), "{}", recorded.words);
    assert_eq!(made.pieces[1].special.recorded, None);
    assert_eq!(
        (rota.to_read.len(), rota.to_read[0].codes.as_slice()),
        (1, &["C-9".to_owned()][..])
    );
    assert!(rota.turns.iter().all(|turn| turn.piece == "b"), "{:?}", rota.turns);
    assert!(rota.words[0].contains("C-9 of a"), "{:?}", rota.words);
    Ok(())
}

#[test]
fn a_piece_dyed_whole_is_to_be_judged_and_not_dyed_again() -> Check {
    let day = Some(Day::try_ymd(2027, 1, 9)?);
    let (made, rota) = both(until_good(Some(20.0))?, vec![Dyed::Whole { day, read: true }])?;
    let next = made.next.join("\n");
    let says = "a: It was dyed whole on 2027-01-09. The sheets here are how it would be dyed again";
    assert!(next.contains(says) && next.contains("correct FILE a --dyed"), "{next}");
    assert!(!next.contains("Dye in bulk") && next.contains("Dye the swatches first: b."), "{next}");
    assert!(rota.left_out.iter().any(|one| one.piece == "a" && one.why.contains("--dyed")));
    assert!(rota.pieces.iter().all(|one| one.piece == "b"));
    // Nothing is bought for it, and no day kept free.
    let (before, _) = both(until_good(Some(20.0))?, vec![])?;
    let bought = |made: &Plan, piece: &str| {
        made.shopping.rows.iter().any(|row| row.pieces.iter().any(|of| of == piece))
    };
    let on_a_day = |made: &Plan, piece: &str| {
        made.days
            .iter()
            .flat_map(|days| &days.days)
            .any(|day| day.items.iter().any(|item| item.piece.as_deref() == Some(piece)))
    };
    assert!(bought(&before, "a") && on_a_day(&before, "a"));
    assert!(!bought(&made, "a") && !on_a_day(&made, "a"), "{:?}", made.shopping.rows);
    assert!(bought(&made, "b") && on_a_day(&made, "b"));
    assert!(next.contains("no day and no shopping counts it"), "{next}");
    let (unread, _) = both(vec![], vec![Dyed::Whole { day: None, read: false }])?;
    let recorded = unread.pieces[0].special.recorded.as_ref().ok_or("nothing said")?;
    assert!(recorded.words.contains("record the reading, and judge it"), "{}", recorded.words);
    assert!(recorded.whole && !recorded.read);
    assert!(made.pieces[0].special.recorded.as_ref().is_some_and(|of_a| of_a.read));
    assert!(!unread.next.join("\n").contains("first: a"), "{:?}", unread.next);
    Ok(())
}

/// What the plan says of a good swatch that vouches for nothing, the plan of swatches says too, with the same card.
#[test]
fn a_good_swatch_that_makes_nothing_final_names_the_card_that_does() -> Check {
    for (ratio, why) in [(Some(30.0), "dyed at 30:1, and the bath is 20:1"), (None, "is not noted")]
    {
        let (made, rota) = both(until_good(ratio)?, vec![])?;
        let piece = &made.pieces[0];
        let words = &piece.special.rests_on.as_ref().ok_or("nothing said")?.words;
        assert!(words.contains(why), "{words}");
        let card = piece.sheets.iter().find_map(|sheet| sheet.code.clone()).ok_or("no card")?;
        let stands = rota.pieces.iter().find(|one| one.piece == "a").ok_or("not in it")?;
        assert!(stands.settled && stands.words.contains(why), "{}", stands.words);
        assert!(
            stands.words.contains(&format!("provisional until a swatch by card {card}")),
            "{}",
            stands.words
        );
        assert_eq!(stands.card, Some(card));
        assert!(rota.words.iter().any(|w| w.contains("still provisional")), "{:?}", rota.words);
    }
    Ok(())
}

/// A good swatch's recipe takes the place of those it does not differ from, and what is counted is what stands there.
#[test]
fn recipes_that_really_differ_do() -> Check {
    let (made, _) = both(until_good(Some(20.0))?, vec![])?;
    let piece = &made.pieces[0];
    let mut telling = BTreeSet::new();
    for recipe in &piece.recipes {
        let all: f64 = recipe.dyes.iter().map(|d| d.owf_pct).sum();
        let of = recipe.dyes.iter().filter(|d| d.owf_pct > 0.05 * all);
        let mut dyes: Vec<&str> = of.map(|d| d.id.as_str()).collect();
        dyes.sort_unstable();
        // Of the same dyes only what is visibly nearer in its worst light.
        let nearer = format!("{:.0}", 2.0 * recipe.worst_light.difference);
        assert!(telling.insert((dyes, nearer)), "{:?}", piece.recipes);
    }
    let said = &piece.search.as_ref().ok_or("no search")?.why_stopped;
    assert!(said.ends_with(&format!("and {} really differ.", piece.recipes.len())), "{said}");
    Ok(())
}

/// No swatch is said to take a doubt from one figure to the same, and each says what it does for its own piece.
#[test]
fn a_swatch_that_settles_nothing_that_shows_is_not_told() -> Check {
    let learnt = until_good(Some(20.0))?;
    for rounds in 0..learnt.len() {
        let (_, rota) = both(learnt[..rounds].to_vec(), vec![])?;
        for (n, turn) in rota.turns.iter().enumerate() {
            assert_eq!(turn.n, n + 1);
            for part in turn.words.split(" from ").skip(1) {
                let mut figures = part.trim_end_matches('.').split([' ', ',', ';']);
                let (from, to) = (figures.next(), figures.nth(1));
                assert_ne!(from, to.map(|t| t.trim_end_matches('.')), "{}", turn.words);
            }
            let own = ["its own", "little of any doubt"];
            assert!(own.iter().any(|own| turn.words.contains(own)), "{}", turn.words);
        }
    }
    Ok(())
}
