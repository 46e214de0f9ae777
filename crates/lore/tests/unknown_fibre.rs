//! The key for unknown fibres, told how each fibre is known to behave (burning behaviour as eight
//! printed tables agree: common practice), must answer with that fibre; and an unknown fibre gets
//! no bath that could ruin it.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use lore::{Kind, Lore, Makeup, Observation, Odds, People, Settled, Stop, Verdict};

fn seen(words: &str) -> Vec<Observation> {
    words
        .split_whitespace()
        .map(|pair| {
            let (kind, outcome) = pair.split_once('=').unwrap();
            Observation::try_new(kind.parse::<Kind>().unwrap(), outcome).unwrap()
        })
        .collect()
}

fn odds(words: &str) -> Odds {
    Lore::shipped().try_odds(&seen(words)).unwrap()
}

#[test]
fn typical_behaviour_names_the_fibre() {
    for (fibre, words) in [
        ("cotton", "flame=ignites after=glows smell=paper residue=ash"),
        (
            "wool",
            "flame=curls after=goes-out smell=hair residue=crushable bleach=dissolves water=beads",
        ),
        (
            "silk",
            "flame=curls after=burns-on smell=hair residue=crushable bleach=dissolves water=sinks",
        ),
        ("nylon-6", "flame=melts after=goes-out smell=celery residue=tan-bead"),
        ("polyester", "flame=melts after=goes-out smell=sweet residue=black-bead"),
        ("acrylic", "flame=melts after=burns-on smell=acrid residue=irregular"),
        (
            "modacrylic",
            "flame=melts after=goes-out smell=acid-smoke residue=irregular acetone=softens water=sinks",
        ),
        ("acetate", "flame=melts after=burns-on smell=vinegar residue=irregular acetone=dissolves"),
        ("polyethylene", "flame=melts after=burns-on smell=wax residue=pale-bead float=floats"),
        ("pvc", "flame=melts after=goes-out smell=acid-smoke residue=irregular water=beads"),
        ("aramid", "flame=curls after=goes-out smell=other residue=char water=beads acetone=stays"),
    ] {
        assert_eq!(odds(words).each()[0].fibre, fibre, "{words}");
    }
}

#[test]
fn odds_add_to_one_and_the_order_of_telling_does_not_matter() {
    let one = odds("flame=melts smell=sweet residue=black-bead");
    let other = odds("residue=black-bead flame=melts smell=sweet");
    for (a, b) in one.each().iter().zip(other.each()) {
        assert_eq!(a.fibre, b.fibre);
        assert!((a.odds - b.odds).abs() < 1e-12);
    }
    assert!((one.each().iter().map(|f| f.odds).sum::<f64>() - 1.0).abs() < 1e-12);
}

#[test]
fn bayes_by_hand() {
    // Prior .05 wool and .04 silk, bleach .97 and .95: their ratio after the bleach test is
    // (.05 × .97) / (.04 × .95) = 1.27632, whatever the other fibres do.
    let after = odds("bleach=dissolves");
    let of = |id: &str| after.each().iter().find(|f| f.fibre == id).unwrap().odds;
    assert!((of("wool") / of("silk") - 0.05 * 0.97 / (0.04 * 0.95)).abs() < 1e-9);
    // Smell to the power 0.6: cotton .93, viscose .92, prior .24 and .08.
    let after = odds("smell=paper");
    let of = |id: &str| after.each().iter().find(|f| f.fibre == id).unwrap().odds;
    // Eight smells left unsaid are lifted to the floor of .02, so .93 becomes .93 / 1.09.
    let smell = |said: f64| (said / (said + 8.0 * 0.02)).powf(0.6);
    let expected = 0.24 * smell(0.93) / (0.08 * smell(0.92));
    assert!((of("cotton") / of("viscose") - expected).abs() < 1e-9);
}

#[test]
fn before_any_test_every_fibre_counts_and_there_is_no_bath() {
    let lore = Lore::shipped();
    let untested = lore.untested();
    assert_eq!(untested.counted().count(), 15);
    let offers = lore.offer(&Makeup::Unknown(untested.clone()), &[], People::default());
    assert!(offers.offered.is_empty(), "{:?}", offers.offered);
    assert!(!offers.tests.is_empty());
    // Least harm first; the label before everything, fire after water, bleach and acetone.
    let stages: Vec<u8> = offers.tests.iter().map(|t| t.test.stage).collect();
    assert!(stages.windows(2).all(|w| w[0] <= w[1]), "{stages:?}");
    assert_eq!(offers.tests[0].test.id, "label");
    let burn = offers.tests.iter().find(|t| t.test.id == "burn").unwrap();
    assert!(offers.tests.iter().all(|t| t.bits <= burn.bits), "the burn tells most");
    assert!(burn.test.hazard.contains("fire"));
    // The strictest limits of all of them.
    let limits = offers.limits.unwrap();
    assert!(limits.t_max.it.to_degrees() <= 40.0);
    assert_eq!(limits.alkali.it, lore::AlkaliRule::Never);
}

#[test]
fn after_tests_those_of_five_per_cent_count() {
    let after = odds("flame=ignites after=glows smell=paper residue=ash");
    let counted: Vec<_> = after.counted().map(|f| f.fibre.as_str()).collect();
    assert_eq!(counted, ["cotton", "viscose"]);
    assert!(after.counted().all(|f| f.odds >= 0.05));
    assert!(after.each().iter().filter(|f| f.odds >= 0.05).count() == 2);
}

/// Over every pair of observations: an offer ruins nothing that counts, keeps the strictest limit
/// of what counts, and dyes at least nine tenths of the odds.
#[test]
fn no_offer_ruins_what_may_be_there() {
    let lore = Lore::shipped();
    let mut offered = 0;
    for a in Kind::ALL {
        for b in Kind::ALL.iter().filter(|b| a < b) {
            for (x, y) in a.outcomes().iter().flat_map(|x| b.outcomes().iter().map(move |y| (x, y)))
            {
                let seen =
                    [Observation::try_new(*a, x).unwrap(), Observation::try_new(*b, y).unwrap()];
                let odds = lore.try_odds(&seen).unwrap();
                let counted: Vec<_> = odds.counted().flat_map(|f| f.materials.clone()).collect();
                let makeup = Makeup::Unknown(odds.clone());
                for offer in lore.offer(&makeup, &[], People::default()).offered {
                    offered += 1;
                    for id in &counted {
                        let material = lore.material(id).unwrap();
                        let verdict = lore.verdict(material, offer.procedure).verdict;
                        assert_ne!(
                            verdict,
                            Verdict::Ruins,
                            "{id} {} {a}={x} {b}={y}",
                            offer.procedure
                        );
                        assert!(offer.works_from <= material.t_max_unknown, "{id}");
                    }
                    let dyed: f64 = odds
                        .each()
                        .iter()
                        .filter(|f| {
                            f.materials.iter().all(|id| {
                                lore.verdict(lore.material(id).unwrap(), offer.procedure)
                                    .verdict
                                    .dyes()
                            })
                        })
                        .map(|f| f.odds)
                        .sum();
                    assert!(dyed >= 0.9 - 1e-9, "{} dyes {dyed}", offer.procedure);
                }
            }
        }
    }
    assert!(offered > 0, "nothing was ever offered, so nothing was checked");
}

#[test]
fn a_partly_dissolved_snip_is_a_blend_and_gets_no_bath() {
    let lore = Lore::shipped();
    let odds = odds("flame=ignites after=glows smell=paper residue=ash bleach=partly");
    assert!(odds.looks_like_a_blend());
    assert_eq!(odds.counted().count(), 15);
    let offers = lore.offer(&Makeup::Unknown(odds), &[], People::default());
    assert!(offers.offered.is_empty());
    assert!(offers.refused.iter().any(|r| r.stop == Stop::NotSure && r.why_not.contains("blend")));
}

#[test]
fn testing_stops_when_it_is_settled() {
    let lore = Lore::shipped();
    let sure = odds("flame=melts after=goes-out smell=sweet residue=black-bead");
    assert_eq!(lore.settled(&sure), Settled::Sure("polyester".to_owned()));
    assert!(lore.next_tests(&sure).is_empty());
    let same = odds("flame=ignites after=glows smell=paper residue=ash");
    assert!(matches!(lore.settled(&same), Settled::SameWay(..)), "{:?}", lore.settled(&same));
    assert_eq!(lore.settled(&lore.untested()), Settled::NotYet);
}

#[test]
fn what_was_seen_is_refused_in_words_when_it_cannot_be() {
    let said = Observation::try_new(Kind::Flame, "melt").map(|_| ()).map_err(|e| e.to_string());
    assert_eq!(
        said,
        Err("'melt' is not a result of this test we know: did you mean melts?".to_owned())
    );
    let twice = Lore::shipped().try_odds(&seen("flame=melts flame=curls"));
    assert!(twice.is_err_and(|e| e.to_string().contains("told twice")));
}

#[test]
fn a_test_says_how_long_it_takes_and_what_it_leaves_in_the_sink() {
    let lore = Lore::shipped();
    for test in lore.id_tests() {
        assert!((1.0..=120.0).contains(&test.minutes.to_minutes()), "{}", test.id);
        let known = test.leaves.as_ref().is_none_or(|agent| lore.agent(agent).is_ok());
        assert!(known, "{} leaves what nobody knows", test.id);
    }
    let of = |id: &str| lore.id_tests().iter().find(|test| test.id == id).unwrap();
    let (bleach, acetone, burn) = (of("bleach"), of("acetone"), of("burn"));
    assert!(bleach.minutes.to_minutes() >= 60.0 && bleach.leaves.is_some());
    // The vapour is gone before anything is lit, in the order and in the words of both.
    assert!(acetone.stage < burn.stage);
    assert!(acetone.how.contains("air it") && burn.how.contains("not in the room with acetone"));
}
