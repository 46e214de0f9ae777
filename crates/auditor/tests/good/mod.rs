//! Hand-made plans that keep all fifteen rules, written after the programmes of the trade
//! knowledge (B1, B5, B7, B8, B12): the ground on which each rule is then broken. The costumes,
//! weights and prices are invented.

#![allow(dead_code, reason = "each test file takes what it needs")]

use serde_json::{Value, json};

/// A plan of one piece with one swatch sheet and one bulk sheet of the same bath.
pub(crate) fn plan(sheet: &Value) -> Value {
    let mut swatch = sheet.clone();
    swatch["kind"] = json!("swatch");
    swatch.as_object_mut().unwrap().remove("first_line");
    json!({
        "dyewright": "plan",
        "version": 2,
        "costume": {"name": "invented", "day": "2027-03-20", "today": "2026-11-24"},
        "people": {"asthma": false, "pregnancy": false, "children": false, "pets": false},
        "pieces": [{
            "id": "coat",
            "goods": sheet["goods"],
            "outcome": "bath",
            "scoured": true,
            "target": {"lab": [40.0, 20.0, 10.0]},
            "cloth": {"lab": [92.0, 0.0, 3.0]},
            "reach": {"within": true},
            "sheets": [swatch, sheet],
            "care": {"label": ["hand wash at most 30 °C", "do not bleach"]},
            "advice": [],
        }],
        "shopping": {"rows": [], "total": 0.0, "to_pay": 0.0, "left_out": []},
    })
}

/// What every good sheet shares.
fn sheet(
    procedure: &str,
    goods: Value,
    dye: Value,
    steps: Vec<Value>,
    cautions: &[(&str, &str)],
) -> Value {
    let always = [
        ("dye-only-vessels", "Vessels used for dye never return to food."),
        (
            "flame-not-certified",
            "Dyeing destroys flame protection: the dyed piece is not certified.",
        ),
        ("rub-and-sweat-check", "Before it is worn, check rubbing and sweat on white cloth."),
    ];
    let cautions: Vec<Value> =
        always.iter().chain(cautions).map(|(id, text)| json!({"id": id, "text": text})).collect();
    let numbered: Vec<Value> = steps
        .into_iter()
        .enumerate()
        .map(|(i, mut s)| {
            s["n"] = json!(i + 1);
            s
        })
        .collect();
    json!({
        "kind": "bulk",
        "first_line": "provisional: dye the swatch first",
        "procedure": procedure,
        "goods": goods,
        "dry_g": 500.0, "takes_g": 500.0, "pieces": ["coat"], "liquor_ratio": 20.0, "liquor_ml": 10000.0,
        "vessel": {"words": "steel pot", "material": "stainless"},
        "cautions": cautions,
        "dyes": [dye],
        "auxiliaries": [],
        "steps": numbered,
        "judge": {"text": "Judge only when dry, cool and conditioned.", "lights": ["daylight", "hall lamps"]},
        "fastness_claimed": true,
    })
}

fn known(fibres: &[(&str, f64)]) -> Value {
    let fibres: Vec<Value> = fibres.iter().map(|(f, s)| json!({"fibre": f, "share": s})).collect();
    json!({"material": fibres[0]["fibre"], "words": "cloth", "known": true, "fibres": fibres, "dry_g": 500.0})
}

fn dye(class: &str) -> Value {
    json!({"id": "red", "name": "a red", "class": class, "owf_pct": 1.0, "form": "powder", "how": "weigh", "grams": 5.0})
}

/// A step that moves the bath.
fn moved(act: &str, from: f64, to: f64, rate: f64, agitation: &str) -> Value {
    let minutes = ((to - from).abs() / rate).ceil();
    json!({"do": act, "text": "", "from_c": from, "to_c": to, "rate_c_per_min": rate, "minutes": minutes, "agitation": agitation})
}

/// A step that stays at one temperature.
fn still(act: &str, at: f64, minutes: f64, agitation: &str) -> Value {
    json!({"do": act, "text": "", "from_c": at, "to_c": at, "minutes": minutes, "agitation": agitation})
}

fn adds(
    at: f64,
    minutes: f64,
    agitation: &str,
    id: &str,
    group: &str,
    grams: f64,
    portion: f64,
) -> Value {
    let mut step = still("add", at, minutes, agitation);
    step["adds"] =
        json!([{"id": id, "group": group, "grams": grams, "portion": portion, "dissolved": true}]);
    step
}

fn with(mut step: Value, key: &str, value: Value) -> Value {
    step[key] = value;
    step
}

fn finish(mut steps: Vec<Value>) -> Vec<Value> {
    steps.push(json!({"do": "dry", "text": "dry away from heat"}));
    steps.push(json!({"do": "judge", "text": "when dry"}));
    steps
}

fn cold_reactive(alkali_g: f64, hold: f64, soap_c: f64) -> Vec<Value> {
    let a = "stir";
    finish(vec![
        still("enter", 25.0, 5.0, a),
        adds(25.0, 10.0, a, "dye", "dye", 5.0, 1.0),
        adds(25.0, 10.0, a, "salt", "salt", 125.0, 0.25),
        adds(25.0, 10.0, a, "salt", "salt", 125.0, 0.25),
        adds(25.0, 15.0, a, "salt", "salt", 250.0, 0.5),
        adds(25.0, 5.0, a, "soda-ash", "alkali", alkali_g * 0.4, 0.4),
        with(adds(25.0, 5.0, a, "soda-ash", "alkali", alkali_g * 0.6, 0.6), "ph", json!(10.8)),
        moved("heat", 25.0, 35.0, 1.0, a),
        still("hold", 35.0, hold, a),
        json!({"do": "drain", "text": ""}),
        still("rinse", 20.0, 5.0, a),
        still("rinse", 20.0, 5.0, a),
        still("rinse", 50.0, 5.0, a),
        with(still("soap", soap_c, 10.0, a), "until", json!("the rinse is near clear")),
        still("rinse", 40.0, 5.0, a),
    ])
}

const REACTIVE: [(&str, &str); 2] = [
    ("reactive-powder-mask", "Wear a P100 half mask and gloves; paste the powder wet."),
    ("no-top-up-after-alkali", "Once alkali is in, add no more dye."),
];

/// B1 on cotton.
pub(crate) fn reactive_cotton() -> Value {
    let mut s = sheet(
        "reactive-cold",
        known(&[("cotton", 1.0)]),
        dye("reactive-dct"),
        cold_reactive(80.0, 60.0, 90.0),
        &REACTIVE,
    );
    s["no_top_up_after"] = json!("alkali");
    s["auxiliaries"] = json!([{"id": "salt", "grams": 500.0, "g_per_l": 50.0}, {"id": "soda-ash", "grams": 80.0, "g_per_l": 8.0}]);
    s
}

/// B4, B12 on silk: soda ash 4 g/L, one hour of alkali.
pub(crate) fn cool_reactive_silk() -> Value {
    let mut s = sheet(
        "reactive-cold",
        known(&[("silk", 1.0)]),
        dye("reactive-dct"),
        cold_reactive(40.0, 35.0, 80.0),
        &REACTIVE,
    );
    s["no_top_up_after"] = json!("alkali");
    s
}

/// B5 milling on wool.
pub(crate) fn milling_wool() -> Value {
    let a = "gentle";
    let steps = finish(vec![
        still("enter", 40.0, 10.0, a),
        with(adds(40.0, 10.0, a, "citric-acid", "acid", 10.0, 1.0), "ph", json!(5.0)),
        adds(40.0, 10.0, a, "dye", "dye", 5.0, 1.0),
        moved("heat", 40.0, 70.0, 1.0, a),
        still("hold", 70.0, 15.0, a),
        moved("heat", 70.0, 98.0, 1.0, a),
        with(still("hold", 98.0, 45.0, "none"), "stretch_min", json!(15)),
        moved("cool", 98.0, 50.0, 1.0, "none"),
        json!({"do": "drain", "text": ""}),
        still("rinse", 40.0, 5.0, a),
        still("rinse", 30.0, 5.0, a),
    ]);
    sheet("acid-milling", known(&[("wool", 1.0)]), dye("acid-milling"), steps, &[])
}

/// B5 on silk, reactive dyes by the acid route.
pub(crate) fn acid_route_silk() -> Value {
    let a = "gentle";
    let steps = finish(vec![
        still("enter", 40.0, 10.0, a),
        with(adds(40.0, 5.0, a, "vinegar", "acid", 200.0, 1.0), "ph", json!(5.0)),
        adds(40.0, 10.0, a, "dye", "dye", 5.0, 1.0),
        moved("heat", 40.0, 85.0, 0.8, a),
        with(still("hold", 85.0, 40.0, a), "ph", json!(5.0)),
        moved("cool", 85.0, 50.0, 1.0, a),
        json!({"do": "drain", "text": ""}),
        still("rinse", 40.0, 5.0, a),
        with(still("soap", 50.0, 10.0, a), "until", json!("the rinse is clear")),
    ]);
    sheet("reactive-acid-route", known(&[("silk", 1.0)]), dye("reactive-vs"), steps, &REACTIVE[..1])
}

/// B5 on silk, acid dyes.
pub(crate) fn acid_silk() -> Value {
    let mut s = acid_route_silk();
    s["procedure"] = json!("acid-milling");
    s["dyes"][0]["class"] = json!("acid-milling");
    s
}

/// B7, open pot.
pub(crate) fn disperse_polyester() -> Value {
    let a = "stir";
    let steps = finish(vec![
        still("enter", 50.0, 10.0, a),
        adds(50.0, 10.0, a, "dye", "dye", 5.0, 1.0),
        moved("heat", 50.0, 98.0, 1.0, a),
        still("hold", 98.0, 90.0, a),
        moved("cool", 98.0, 60.0, 1.0, a),
        json!({"do": "drain", "text": ""}),
        still("rinse", 40.0, 5.0, a),
    ]);
    sheet("disperse", known(&[("polyester", 1.0)]), dye("disperse"), steps, &[])
}

/// B8.
pub(crate) fn basic_acrylic() -> Value {
    let a = "gentle";
    let steps = finish(vec![
        still("enter", 60.0, 10.0, a),
        adds(60.0, 10.0, a, "dye", "dye", 5.0, 1.0),
        moved("heat", 60.0, 75.0, 1.0, a),
        moved("heat", 75.0, 98.0, 0.3, a),
        still("hold", 98.0, 60.0, a),
        moved("cool", 98.0, 60.0, 1.0, a),
        json!({"do": "drain", "text": ""}),
        still("rinse", 40.0, 5.0, a),
    ]);
    sheet(
        "basic",
        known(&[("acrylic", 1.0)]),
        dye("basic"),
        steps,
        &[(
            "acrylic-cannot-be-levelled",
            "Acrylic cannot be levelled once it is uneven: heat slowly.",
        )],
    )
}

/// A vat on cotton, for what rule 5 and rule 13 say of it (B9).
pub(crate) fn indigo_cotton() -> Value {
    let a = "gentle";
    let steps = finish(vec![
        adds(50.0, 5.0, "none", "caustic-soda", "alkali", 10.0, 1.0),
        adds(50.0, 40.0, "none", "sodium-dithionite", "reducer", 15.0, 1.0),
        adds(40.0, 5.0, "none", "dye", "dye", 5.0, 1.0),
        with(still("enter", 30.0, 3.0, a), "ph", json!(11.0)),
        json!({"do": "drain", "text": ""}),
        still("rinse", 20.0, 5.0, a),
        still("soap", 60.0, 10.0, a),
        still("rinse", 20.0, 5.0, a),
    ]);
    sheet(
        "indigo",
        known(&[("cotton", 1.0)]),
        dye("indigo"),
        steps,
        &[(
            "reducer-handling",
            "Keep the powder dry in a small tin. Add it slowly into much water, by an open window; never cap \
         it, never mix it with acid, bleach or oxidisers, never heat it dry.",
        )],
    )
}

/// An unknown braid after tests: cotton or viscose, in a cold reactive bath.
pub(crate) fn unknown_cellulose() -> Value {
    let mut s = reactive_cotton();
    s["goods"] = json!({"words": "unknown braid", "known": false, "possible": [
        {"fibre": "cotton", "odds": 0.70}, {"fibre": "viscose", "odds": 0.27}], "dry_g": 500.0});
    s
}

/// Cotton and polyester, said to be a heather.
pub(crate) fn reactive_blend() -> Value {
    let mut s = reactive_cotton();
    s["goods"] = known(&[("cotton", 0.6), ("polyester", 0.4)]);
    s["cautions"].as_array_mut().unwrap().push(
        json!({"id": "undyed-share", "text": "The polyester (40 %) will not dye: expect a heather."}),
    );
    s
}

/// Every good sheet with its name.
pub(crate) fn all() -> Vec<(&'static str, Value)> {
    vec![
        ("reactive cotton", reactive_cotton()),
        ("cool reactive silk", cool_reactive_silk()),
        ("milling wool", milling_wool()),
        ("acid-route silk", acid_route_silk()),
        ("acid silk", acid_silk()),
        ("disperse polyester", disperse_polyester()),
        ("basic acrylic", basic_acrylic()),
        ("indigo cotton", indigo_cotton()),
        ("unknown cellulose", unknown_cellulose()),
        ("reactive blend", reactive_blend()),
    ]
}
