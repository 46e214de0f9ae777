//! Tests of unknown cloth on their days: long enough, with the kitchen to themselves, and their bleach kept from acid.

mod common;

use common::{Check, costume, planned, shelf};
use serde_json::Value;

const COSTUME: &str = "[costume]\nname = \"a test\"\n[kitchen]\nscale_g = 0.01\nsyringes_ml = [1, 10, 100]\n\
    burners = 2\nhands = 2\n\
    [[kitchen.vessel]]\nname = \"pot\"\nlitres = 12\nof = \"stainless\"\n\
    [[kitchen.vessel]]\nname = \"second pot\"\nlitres = 12\nof = \"stainless\"\n\
    [[piece]]\nid = \"wool\"\ncloth = \"wool\"\nweight_g = 100\ntarget = { hex = \"#204060\" }\n\
    [[piece]]\nid = \"silk\"\ncloth = \"silk\"\nweight_g = 100\nscoured = true\ntarget = { hex = \"#604020\" }\n\
    [[piece]]\nid = \"braid\"\ncloth = \"unknown\"\nweight_g = 50\ntarget = { hex = \"#204060\" }\n\
    [[piece]]\nid = \"trim\"\ncloth = \"unknown\"\nweight_g = 50\ntarget = { hex = \"#204060\" }\n";

/// Day, start, end and the item itself.
fn items(plan: &Value) -> Vec<(&str, f64, f64, &Value)> {
    let days = plan["days"]["days"].as_array().into_iter().flatten();
    let each = |day: &'_ Value| -> Vec<(f64, f64, usize)> {
        let items = day["items"].as_array().map_or(0, Vec::len);
        (0..items)
            .map(|i| {
                let at = |key: &str| day["items"][i][key].as_f64().unwrap_or(f64::NAN);
                (at("start_min"), at("end_min"), i)
            })
            .collect()
    };
    days.flat_map(|day| {
        each(day).into_iter().map(move |(from, to, i)| {
            (day["day"].as_str().unwrap_or_default(), from, to, &day["items"][i])
        })
    })
    .collect()
}

#[test]
fn tests_have_their_time_the_kitchen_and_a_rinsed_sink() -> Check {
    let plan = serde_json::to_value(planned(&costume(COSTUME)?, &shelf()?)?)?;
    let all = items(&plan);
    for piece in ["braid", "trim"] {
        let tests: Vec<_> =
            all.iter().filter(|i| i.3["job"] == "test" && i.3["piece"] == piece).collect();
        let takes: f64 = tests.iter().map(|(_, from, to, _)| to - from).sum();
        // An hour of bleach, acetone with its airing, a burn.
        assert!(takes >= 100.0, "{piece}: {takes} min");
        assert!(tests.iter().any(|i| i.3["sink"][0] == "bleach"), "{piece}: bleach goes somewhere");
        for (day, from, to, test) in tests.iter().filter(|i| i.3["hands"] == "alone") {
            let beside = all.iter().find(|(other, start, end, item)| {
                let attended = item["hands"] != "away" || item["burner"] == true;
                let same = std::ptr::eq(*item, *test);
                other == day && start < to && from < end && attended && !same
            });
            assert!(beside.is_none(), "{}: beside {}", test["what"], beside.map_or("", |b| b.0));
        }
        let harmful = ["bleach", "acetone", "burn"];
        for what in harmful {
            let one = tests.iter().find(|i| i.3["what"].as_str().is_some_and(|w| w.contains(what)));
            let one = one.ok_or(format!("{piece}: no day has {what}"))?;
            assert_eq!(one.3["hands"], "alone", "{what}");
        }
    }
    let broken = auditor::audit(&plan).map_err(|e| e.why)?;
    assert!(broken.is_empty(), "{broken:?}");
    Ok(())
}
