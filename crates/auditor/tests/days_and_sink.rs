//! Rules 16 to 20: the days, the sink, the swatch and what has to come, broken one at a time on a plan of a whole costume that keeps them all. A case is one
//! line: name, rule, what is done.
#![expect(
    clippy::unwrap_used,
    reason = "helpers of tests: a hand-made plan that lacks a key should fail loudly"
)]

mod costume;
mod good;

use costume::{Item, check, clock, items, job, judge, keeps, limit};
use serde_json::{Value, json};

/// The nth item of the nth day.
fn item(plan: &mut Value, day: usize, nth: usize) -> &mut Value {
    &mut plan["days"]["days"][day]["items"][nth]
}

/// Moves an item to other hours, words and figures.
fn moved(item: &mut Value, from: f64, to: f64) {
    item["start_min"] = json!(from);
    item["end_min"] = json!(to);
    item["start"] = json!(clock(from));
    item["end"] = json!(clock(to));
    item["over_night"] = json!(to > 1440.0);
}

fn piece<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    plan["pieces"].as_array_mut().unwrap().iter_mut().find(|p| p["id"] == id).unwrap()
}

fn row<'a>(plan: &'a mut Value, id: &str) -> &'a mut Value {
    let rows = plan["shopping"]["rows"].as_array_mut().unwrap();
    rows.iter_mut().find(|r| r["item"] == id).unwrap()
}

/// A use of the sink by nobody's bath, and a rinse of it.
fn poured(from: f64, families: &[&str]) -> Value {
    let mut item = Item { from, to: from + 5.0, job: "finish", piece: "belt", hands: "all" }.json();
    item["sink"] = json!(families);
    item
}

fn rinse(from: f64) -> Value {
    Item { from, to: from + 5.0, job: "rinse", piece: "", hands: "all" }.json()
}

#[test]
fn rule_16_hands() {
    check("judged while rinsing", 16, |p| {
        let at = item(p, 1, 3)["start_min"].as_f64().unwrap();
        moved(item(p, 1, 0), at, at + 15.0);
    });
    check("judged while a pot heats", 16, |p| moved(item(p, 1, 0), 700.0, 715.0));
    check("three pots for one person", 16, |p| {
        for at in 0..2 {
            let mut more = item(p, 4, 1).clone();
            more["burner"] = json!(false);
            more["vessel"] = json!(["big pot", "third pot"][at]);
            more["job"] = json!("finish");
            items(p, 4).push(more);
        }
        limit(p, "vessels", json!(["big pot", "small pot", "third pot"]));
    });
    check("hands not said", 16, |p| limit(p, "hands", Value::Null));
    check("an item of unknown hands", 16, |p| item(p, 0, 1)["hands"] = json!("some"));
    check("the clock says another hour", 16, |p| item(p, 0, 1)["start"] = json!("09:00"));
    keeps("two people", |p| {
        limit(p, "hands", json!(2));
        let at = item(p, 1, 3)["start_min"].as_f64().unwrap();
        moved(item(p, 1, 0), at, at + 15.0);
    });
}

#[test]
fn rule_16_powder() {
    let second = |p: &mut Value, from: f64| {
        limit(p, "hands", json!(2));
        limit(p, "burners", json!(2));
        for one in job("finish", "belt", "big pot", from, 10.0, "acid") {
            items(p, 0).push(one);
        }
    };
    check("weighed while a pot heats", 16, |p| second(p, 700.0));
    check("weighed while a pot is let off", 16, |p| second(p, 825.0));
    check("weighed with half a hand", 16, |p| item(p, 0, 0)["hands"] = json!("near"));
    check("powder that the days keep quiet about", 16, |p| item(p, 0, 0)["powder"] = json!(false));
    check("a change that the days keep quiet about", 16, |p| {
        item(p, 0, 1)["changing"] = json!(false)
    });
    keeps("weighed when nothing wants looking at", |p| second(p, 850.0));
}

#[test]
fn rule_16_kitchen() {
    check("two burners of one", 16, |p| {
        limit(p, "hands", json!(2));
        for one in job("finish", "belt", "big pot", 600.0, 60.0, "acid") {
            items(p, 0).push(one);
        }
    });
    check("two baths in one pot", 16, |p| {
        limit(p, "hands", json!(3));
        limit(p, "burners", json!(2));
        for one in job("finish", "belt", "small pot", 600.0, 60.0, "acid") {
            items(p, 0).push(one);
        }
    });
    check("a jar among other work", 16, |p| {
        limit(p, "hands", json!(3));
        limit(p, "burners", json!(2));
        for one in job("finish", "belt", "jar in small pot", 600.0, 60.0, "acid") {
            items(p, 0).push(one);
        }
    });
    check("a pot from nowhere", 16, |p| item(p, 0, 1)["vessel"] = json!("bucket"));
    check("pots not said", 16, |p| limit(p, "vessels", json!([])));
    check("three pieces on two lines", 16, |p| {
        for at in 0..2 {
            let from = 900.0 + f64::from(at);
            let hung = Item { from, to: 1000.0, job: "drying", piece: "scarf", hands: "away" };
            items(p, 0).push(hung.json());
        }
    });
    check("drying not said", 16, |p| limit(p, "drying", json!("many")));
    check("two at one sink", 16, |p| {
        limit(p, "hands", json!(2));
        items(p, 0).push(poured(830.0, &["water"]));
    });
    check("before the working day", 16, |p| {
        moved(item(p, 1, 0), 540.0, 555.0);
    });
    check("after it", 16, |p| limit(p, "until", json!("13:00")));
    check("no hours at all", 16, |p| limit(p, "from", Value::Null));
    check("days out of order", 16, |p| p["days"]["days"].as_array_mut().unwrap().swap(3, 4));
    check("no day of the calendar", 16, |p| p["days"]["days"][4]["day"] = json!("2026-11-31"));
    check("a job nobody knows", 16, |p| item(p, 0, 1)["job"] = json!("simmer"));
}

#[test]
fn jars_in_one_pot_are_one_deed() {
    let jars = |p: &mut Value| {
        for item in items(p, 0) {
            if item["vessel"] == "small pot" {
                item["vessel"] = json!("jar in small pot");
            }
        }
        let other: Vec<Value> = items(p, 0)
            .iter()
            .map(|item| {
                let mut other = item.clone();
                other["piece"] = json!("belt");
                other
            })
            .collect();
        items(p, 0).extend(other);
        let mut swatch = piece(p, "coat")["sheets"][0].clone();
        swatch["pieces"] = json!(["belt"]);
        piece(p, "belt")["sheets"].as_array_mut().unwrap().insert(0, swatch);
        items(p, 4).insert(0, judge("belt", 600.0));
        for (nth, at) in [(1, 615.0), (2, 635.0), (3, 835.0), (4, 855.0)] {
            let long = item(p, 4, nth)["end_min"].as_f64().unwrap()
                - item(p, 4, nth)["start_min"].as_f64().unwrap();
            moved(item(p, 4, nth), at, at + long);
        }
    };
    keeps("two jars", jars);
    check("the second jar is heated later", 16, |p| {
        jars(p);
        moved(item(p, 0, 5), 620.0, 819.0);
    });
    let own = |p: &mut Value, words: &str| {
        for id in ["coat", "belt"] {
            piece(p, id)["sheets"][0]["vessel"] = json!({"words": words, "material": "glass"});
        }
        limit(p, "vessels", json!(["big pot", "small pot", "swatch jar"]));
    };
    check("the second jar is the same jar", 16, |p| {
        jars(p);
        own(p, "swatch jar (1 L), 30 % full");
    });
    keeps("jars of nobody's kitchen", |p| {
        jars(p);
        own(p, "a glass jar of 250 mL (your swatch jar holds the hot water)");
    });
    check("the second jar is in no pot", 16, |p| {
        jars(p);
        item(p, 0, 5).as_object_mut().unwrap().remove("vessel");
    });
}

#[test]
fn rule_17_heat() {
    check("heated and left", 17, |p| item(p, 0, 1)["hands"] = json!("away"));
    check("added to and left", 17, |p| {
        item(p, 1, 2)["hands"] = json!("away");
        item(p, 1, 2)["burner"] = json!(false);
    });
    check("heated overnight", 17, |p| moved(item(p, 4, 1), 620.0, 1500.0));
    check("heated after hours", 17, |p| moved(item(p, 4, 1), 900.0, 1100.0));
    check("overnight and not said", 17, |p| item(p, 2, 4)["over_night"] = json!(false));
    check("said and not overnight", 17, |p| item(p, 0, 3)["over_night"] = json!(true));
    check("hot, and no burner", 17, |p| item(p, 0, 1)["burner"] = json!(false));
    check("hot for longer than anybody is there", 17, |p| moved(item(p, 0, 1), 620.0, 700.0));
    keeps("left cold overnight", |p| {
        let mut soak =
            Item { from: 900.0, to: 1740.0, job: "finish", piece: "belt", hands: "away" }.json();
        soak["vessel"] = json!("big pot");
        items(p, 4).push(soak);
    });
}

#[test]
fn rule_18_sink() {
    let pairs = [
        ("bleach", "acid"),
        ("bleach", "ammonia"),
        ("bleach", "a reducer"),
        ("bleach", "peroxide"),
        ("acid", "reducer"),
        ("peroxide", "reducer"),
        ("permanganate", "reducer"),
        ("permanganate", "peroxide"),
        ("permanganate", "ammonia"),
    ];
    for (a, b) in pairs {
        for (a, b) in [(a, b), (b, a)] {
            let name = format!("{a} then {b}");
            let pour = |p: &mut Value, to: f64| {
                items(p, 4).push(poured(860.0, &[a, "water"]));
                items(p, 4).push(poured(to, &[b, "water"]));
            };
            // The bath of that day is an acid one: take it away.
            let alone = |p: &mut Value| {
                limit(p, "sinks", json!(1));
                p["days"]["leftovers"] = json!([]);
                items(p, 4).clear();
                p["days"]["no_place"] = json!([{"piece": "belt", "why": "a test"}]);
            };
            check(&name, 18, |p| {
                alone(p);
                pour(p, 900.0);
            });
            check(&format!("{name}, rinsed too soon"), 18, |p| {
                alone(p);
                pour(p, 900.0);
                items(p, 4).push(rinse(850.0));
            });
            check(&format!("{name}, rinsed too late"), 18, |p| {
                alone(p);
                pour(p, 900.0);
                items(p, 4).push(rinse(910.0));
            });
            keeps(&format!("{name}, rinsed between"), |p| {
                alone(p);
                pour(p, 900.0);
                items(p, 4).push(rinse(870.0));
            });
        }
    }
    check("in one pouring", 18, |p| items(p, 4).push(poured(900.0, &["bleach", "acid"])));
    check("what nobody knows", 18, |p| items(p, 4).push(poured(900.0, &["magic"])));
    check("acid that the days keep quiet about", 18, |p| item(p, 0, 2)["sink"] = json!(["water"]));
    check("called something else", 18, |p| item(p, 0, 2)["sink"] = json!(["alkali", "water"]));
    keeps("acid and soda", |p| items(p, 4).push(poured(900.0, &["alkali"])));
}

#[test]
fn rule_18_water_between_and_several_sinks() {
    let day = |p: &mut Value, first: Value, second: Value| {
        p["days"]["leftovers"] = json!([]);
        p["days"]["no_place"] = json!([{"piece": "belt", "why": "a test"}]);
        *items(p, 4) = vec![first, second];
    };
    check("peroxide then acid, no water", 18, |p| {
        day(p, poured(600.0, &["peroxide"]), poured(700.0, &["acid", "water"]));
    });
    keeps("peroxide, goods rinsed, then acid", |p| {
        day(p, poured(600.0, &["peroxide", "water"]), poured(700.0, &["acid", "water"]));
    });
    let numbered = |mut item: Value, sink: u64| {
        item["sink_no"] = json!(sink);
        item
    };
    let two = |p: &mut Value, one: u64, other: u64| {
        limit(p, "sinks", json!(2));
        let first = numbered(poured(600.0, &["bleach"]), one);
        day(p, first, numbered(poured(700.0, &["acid"]), other));
    };
    keeps("two sinks", |p| two(p, 1, 2));
    check("two sinks, the same one", 18, |p| two(p, 2, 2));
    check("two sinks, the other one rinsed", 18, |p| {
        two(p, 2, 2);
        items(p, 4).push(numbered(rinse(650.0), 1));
    });
    keeps("two sinks, this one rinsed", |p| {
        two(p, 2, 2);
        items(p, 4).push(numbered(rinse(650.0), 2));
    });
    check("two sinks, not said which", 18, |p| {
        limit(p, "sinks", json!(2));
        day(p, poured(600.0, &["bleach"]), poured(700.0, &["acid"]));
    });
}

#[test]
fn rule_19_swatch_first() {
    check("dyed before it is judged", 19, |p| {
        let judge = items(p, 2).remove(0);
        items(p, 4).push(judge);
        moved(items(p, 4).last_mut().unwrap(), 900.0, 915.0);
    });
    check("never judged", 19, |p| {
        items(p, 1).remove(0);
    });
    check("never swatched", 19, |p| items(p, 0).clear());
    check("judged wet", 19, |p| {
        let judge = items(p, 1).remove(0);
        items(p, 0).push(judge);
        moved(items(p, 0).last_mut().unwrap(), 850.0, 865.0);
    });
    check("never hung up", 19, |p| {
        items(p, 0).pop();
    });
    check("judged by lamplight", 19, |p| {
        limit(p, "until", json!("20:00"));
        moved(item(p, 1, 0), 1030.0, 1045.0);
    });
    check("judged before dawn", 19, |p| {
        limit(p, "from", json!("06:00"));
        moved(item(p, 1, 0), 400.0, 415.0);
    });
    check("yesterday", 19, |p| p["costume"]["today"] = json!("2026-11-26"));
    check("today not said", 19, |p| p["costume"]["today"] = Value::Null);
    check("a piece without a day", 19, |p| {
        items(p, 4).clear();
        p["days"]["leftovers"] = json!([]);
    });
    check("dyed again", 19, |p| {
        p["pieces"].as_array_mut().unwrap().iter_mut().for_each(|one| {
            one["recorded"] = json!({"whole": true, "words": "It was dyed whole."});
        });
    });
    check("a bath without a sheet", 19, |p| {
        let mut more =
            Item { from: 900.0, to: 905.0, job: "bulk", piece: "scarf", hands: "all" }.json();
        more["powder"] = json!(false);
        items(p, 4).push(more);
    });
}

#[test]
fn rule_20_deliveries() {
    let order = |p: &mut Value, key: &str, value: &str| p["days"]["orders"][0][key] = json!(value);
    check("comes a day too late", 20, |p| order(p, "comes", "2026-11-29"));
    check("ordered a day too late", 20, |p| order(p, "order_by", "2026-11-25"));
    check("comes sooner than it can", 20, |p| order(p, "comes", "2026-11-26"));
    check("no day of coming", 20, |p| order(p, "comes", "soon"));
    check("delivery takes no time", 20, |p| limit(p, "delivery_days", Value::Null));
    check("not ordered", 20, |p| p["days"]["orders"] = json!([]));
    check("more swatches than there is dye for", 20, |p| {
        piece(p, "shirt")["sheets"][0]["stocks"][0]["grams"] = json!(1.2);
    });
    check("a swatch that is weighed, not measured", 20, |p| {
        piece(p, "shirt")["sheets"][0]["dyes"][0]["how"] = json!("weigh");
    });
    check("a swatch of what has expired", 20, |p| {
        let navy = row(p, "navy");
        navy["notes"] = json!(["expired on 2026-01-01: not counted on, buy new"]);
    });
    check("a swatch from nothing", 20, |p| {
        let navy = row(p, "navy");
        navy["on_shelf_g"] = json!(0.0);
        navy["short_g"] = json!(6.0);
    });
}
