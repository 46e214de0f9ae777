//! What a pack brings of its own is never dosed a second time, and the sheet stays whole without it.

#![expect(clippy::unwrap_used, reason = "a refusal here must fail the test")]

mod common;

use bath::{Brought, Kind, Sheet};
use common::{Plain, grams};
use lore::{Lore, Procedure};

fn union(contains: Vec<Brought<'_>>) -> Sheet {
    let lore = Lore::shipped();
    let mut plain = Plain::of(lore, &[("cotton", 1.0)], Procedure::Union, 4.0);
    plain.contains = contains;
    plain.sheet(Kind::Bulk).unwrap()
}

fn salt(sheet: &Sheet) -> f64 {
    sheet.auxiliaries.iter().filter(|a| a.id == "salt").map(|a| a.grams.value()).sum()
}

/// Salt as the steps add it, and how many steps do.
fn added(sheet: &Sheet) -> (f64, usize) {
    let adds = sheet.steps.iter().flat_map(|s| &s.adds).filter(|a| a.id == "salt");
    (adds.clone().map(|a| a.grams.value()).sum(), adds.count())
}

#[test]
fn its_own_salt_is_left_out_where_no_amount_is_stated() {
    let (with, plain) = (
        union(vec![Brought { agent: "salt", grams: None, pack: grams(10.0), own_sachet: false }]),
        union(vec![]),
    );
    assert!(salt(&plain) > 50.0 && added(&plain).1 == 2);
    assert_eq!((salt(&with), added(&with)), (0.0, (0.0, 0)));
    assert_eq!(with.steps.len(), plain.steps.len() - 2);
    for (i, step) in with.steps.iter().enumerate() {
        assert_eq!(step.n, i + 1);
        assert!(step.adds.iter().all(|add| add.grams.value() > 0.0), "{}", step.text);
    }
    assert!(
        with.notes.iter().any(|n| n.starts_with("The pack brings its own")),
        "{:?}",
        with.notes
    );
    assert!(with.notes.iter().any(|n| n.starts_with("May split: rust, slate.")));
    assert!(plain.notes.iter().all(|n| !n.contains("The pack brings") && !n.contains("May split")));
}

#[test]
fn its_own_salt_is_taken_off_where_the_amount_is_stated() {
    let plain = salt(&union(vec![]));
    // 4 % of 400 g are 16 g of dye: of packs of 10 g with 20 g of salt each that is 32 g of salt.
    for (held, brings) in [(20.0, 32.0), (40.0, 64.0)] {
        let own = Brought {
            agent: "salt",
            grams: Some(grams(held)),
            pack: grams(10.0),
            own_sachet: false,
        };
        let sheet = union(vec![own]);
        assert!((salt(&sheet) - (plain - brings)).abs() <= 1.0, "{} {plain}", salt(&sheet));
        let (total, steps) = added(&sheet);
        assert!((total - salt(&sheet)).abs() < 1e-9 && steps == 2);
        assert!(sheet.notes.iter().any(|n| n.contains(&format!("about {brings} g"))));
    }
    // More than enough, or all but a tenth of it: nothing is added, and no step adds nothing.
    for held in [200.0, (plain * 0.95) / 1.6] {
        let own = Brought {
            agent: "salt",
            grams: Some(grams(held)),
            pack: grams(10.0),
            own_sachet: false,
        };
        assert_eq!(added(&union(vec![own])), (0.0, 0));
    }
}

#[test]
fn what_the_bath_does_not_take_changes_nothing() {
    let own = Brought { agent: "soda-ash", grams: None, pack: grams(10.0), own_sachet: false };
    let (with, plain) = (union(vec![own]), union(vec![]));
    assert_eq!(with.auxiliaries, plain.auxiliaries);
    assert!(with.notes.iter().all(|n| !n.contains("The pack brings")));
}

/// A cold reactive bath of dyes that bring soda.
fn reactive(own_sachet: bool) -> Result<Sheet, bath::Refusal> {
    let lore = Lore::shipped();
    let mut plain = Plain::of(lore, &[("cotton", 1.0)], Procedure::ReactiveCold, 4.0);
    let soda =
        Brought { agent: "soda-ash", grams: Some(grams(10.0)), pack: grams(20.0), own_sachet };
    plain.contains = vec![soda];
    plain.sheet(Kind::Bulk)
}

#[test]
fn a_reactive_dye_with_soda_in_its_powder_is_refused_and_with_its_own_sachet_is_not() {
    let refused = reactive(false).unwrap_err();
    assert!(matches!(refused, bath::Refusal::HoldsAlkali { .. }), "{refused}");
    assert!(refused.to_string().contains("own_sachet = true"), "{refused}");
    let sheet = reactive(true).unwrap();
    let soda = |sheet: &Sheet| -> f64 {
        sheet.auxiliaries.iter().filter(|a| a.id == "soda-ash").map(|a| a.grams.value()).sum()
    };
    let lore = Lore::shipped();
    let plain = Plain::of(lore, &[("cotton", 1.0)], Procedure::ReactiveCold, 4.0);
    // The soda is the bath's own dose, at its own step, whatever it is measured from.
    let usual = soda(&plain.sheet(Kind::Bulk).unwrap());
    assert!(usual > 0.0 && (soda(&sheet) - usual).abs() < 1e-9);
    assert!(sheet.notes.iter().any(|n| n.contains("sachet of its own")), "{:?}", sheet.notes);
}
