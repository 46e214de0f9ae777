//! A costume as a whole: goods as they come, what matches, the kitchen, the days; read to the last value,
//! and each bad value refused at its line.

use colour::{Place, ScreenColour, Viewing};
use costume::{
    AsGiven, BlendWish, Colours, Costume, Faults, Files, Worth, read_costume, read_shelf,
};
use lore::{GoodsForm, Lore, Makeup, Method};
use proptest::prelude::*;
use units::Day;

type Checked = Result<(), Box<dyn std::error::Error>>;

struct NoFiles;

impl Files for NoFiles {
    fn colours(&self, path: &str) -> Result<Colours, String> {
        Err(format!("there is no file {path}"))
    }
}

const WHOLE: &str = r##"[costume]
name = "a test"
day = 2027-03-20
colours = "together"
[kitchen]
syringes_ml = [10, 500]
spoons_ml = [15, 2.5, 5]
alkalinity_mg_per_l = 120
burners = 3
hands = 2
sinks = 1
lifts_kg = 12.5
drying = 8
methods = ["machine", "pot", "cold wrap"]
[kitchen.machine]
holds_kg = 6
litres = 15
hottest_c = 60
[[kitchen.vessel]]
name = "big pot"
litres = 20
of = "stainless"
to_60_min = 40
[calendar]
weekdays = ["saturday", "Sunday"]
from = "10:30"
hours = 5.5
not_on = [2027-03-07, "2027-02-28", 2027-03-07]
delivery_days = 7
start = 2027-01-15
[[piece]]
id = "coat"
cloth = "felted wool"
weight_g = 900
form = "sewn"
parts = ["zip", "elastic"]
parts_g = { zip = 22, elastic = 6 }
lining = { cloth = "acetate", weight_g = 120 }
spare_g = 12
shrinkage_allowed = true
brightened = true
dyed_by = ["Ada", "Bo", "Cy"]
worth = "must"
target = { lab = [40.0, 30.0, 12.0] }
[[piece]]
id = "veil"
cloth = { viscose = 60, nylon = 40 }
weight_g = 80
over = { cover_pct = 45, hex = "#c08060" }
blend = "heather"
target = { lab = [45.0, 28.0, 10.0] }
[[fixed]]
id = "wig"
name = "the wig"
colour = { hex = "#702020" }
note = "bought"
[[match]]
name = "the reds"
pieces = ["coat", "veil", "wig"]
lights = ["hall lamps", "flash"]
seen_from = "beside"
"##;

fn read(text: &str) -> Result<Costume, Faults> {
    read_costume("c.toml", text, Lore::shipped(), &NoFiles)
}

#[test]
fn every_value_arrives() -> Checked {
    let costume = read(WHOLE)?;
    assert!(costume.together);
    let kitchen = &costume.kitchen;
    assert!(kitchen.kit.scale().is_none());
    let spoons: Vec<f64> = kitchen.spoons.iter().map(|s| s.to_millilitres()).collect();
    assert_eq!(spoons, [2.5, 5.0, 15.0]);
    assert_eq!(kitchen.alkalinity_mg_per_l, Some(120.0));
    assert_eq!((kitchen.burners, kitchen.hands, kitchen.sinks, kitchen.drying), (3, 2, 1, 8));
    assert_eq!(kitchen.lifts.map(|m| m.to_grams()), Some(12_500.0));
    assert_eq!(kitchen.methods, [Method::Pot, Method::Machine, Method::ColdWrap]);
    let machine = kitchen.machine.ok_or("no machine")?;
    assert_eq!(
        (machine.holds.to_grams(), machine.water.to_litres(), machine.hottest.to_degrees()),
        (6000.0, 15.0, 60.0)
    );
    assert_eq!(kitchen.vessels[0].to_60.map(|m| m.to_minutes()), Some(40.0));
    let days = &costume.calendar;
    assert_eq!(days.weekdays, [false, false, false, false, false, true, true]);
    assert_eq!((days.from.to_minutes(), days.hours.to_minutes()), (630.0, 330.0));
    assert_eq!(days.not_on, [Day::try_ymd(2027, 2, 28)?, Day::try_ymd(2027, 3, 7)?]);
    assert_eq!((days.delivery_days, days.start), (7, Some(Day::try_ymd(2027, 1, 15)?)));

    let [coat, veil] = costume.pieces.as_slice() else { return Err("two pieces".into()) };
    assert_eq!(coat.goods.form, GoodsForm::Sewn);
    let weigh: Vec<(&str, f64)> =
        coat.goods.parts_weigh.iter().map(|(id, m)| (id.as_str(), m.to_grams())).collect();
    assert!(weigh.contains(&("zip", 22.0)) && weigh.contains(&("elastic", 6.0)), "{weigh:?}");
    let lining = coat.goods.lining.as_ref().ok_or("no lining")?;
    assert_eq!((lining.words.as_str(), lining.dry.to_grams()), ("acetate", 120.0));
    assert_eq!(lining.makeup, Lore::shipped().try_makeup(&[("acetate", units::Share::WHOLE)])?);
    assert_eq!(coat.spare.map(|m| m.to_grams()), Some(12.0));
    assert!(coat.shrinkage_allowed && coat.brightened);
    assert_eq!(coat.dyed_by, ["Ada", "Bo", "Cy"]);
    assert_eq!((coat.worth, coat.blend, coat.over.as_ref()), (Worth::Must, None, None));
    let over = veil.over.as_ref().ok_or("no backing")?;
    assert!((over.cover.to_percent() - 45.0).abs() < 1e-12);
    assert_eq!(over.backing.as_given, AsGiven::Screen(ScreenColour::from_hex("#c08060")?));
    assert_eq!((veil.blend, veil.worth), (Some(BlendWish::Heather), Worth::Should));

    let wig = &costume.fixed[0];
    assert_eq!((wig.id.as_str(), wig.name.as_str()), ("wig", "the wig"));
    assert_eq!(wig.note.as_deref(), Some("bought"));
    assert_eq!(wig.colour.as_given, AsGiven::Screen(ScreenColour::from_hex("#702020")?));
    let set = &costume.matches[0];
    assert_eq!((set.name.as_str(), set.members.len()), ("the reds", 3));
    assert_eq!(set.places, Some(vec![Place::Hall, Place::Flash]));
    assert_eq!(set.viewing, Some(Viewing::Beside));
    Ok(())
}

#[test]
fn what_is_left_out_is_the_usual() -> Checked {
    let costume = read(
        "[costume]\nname = \"a test\"\n[[piece]]\nid = \"a\"\ncloth = \"cotton\"\nweight_g = 120\n\
         target = { lab = [50.0, 10.0, 20.0] }\n",
    )?;
    let piece = &costume.pieces[0];
    assert_eq!((piece.goods.form, piece.worth), (GoodsForm::Roll, Worth::Should));
    assert!(!piece.brightened && !piece.shrinkage_allowed && piece.dyed_by.is_empty());
    assert!(piece.spare.is_none() && piece.goods.lining.is_none() && !costume.together);
    assert_eq!(costume.kitchen.methods, [Method::Pot, Method::Tub]);
    assert!(costume.kitchen.machine.is_none() && costume.kitchen.lifts.is_none());
    assert_eq!(costume.calendar, costume::Calendar::default());
    assert_eq!(costume.calendar.weekdays, [true; 7]);
    Ok(())
}

#[test]
fn a_machine_that_is_described_is_at_hand() -> Checked {
    let text = WHOLE.replace("methods = [\"machine\", \"pot\", \"cold wrap\"]\n", "");
    assert_eq!(read(&text)?.kitchen.methods, [Method::Pot, Method::Tub, Method::Machine]);
    Ok(())
}

#[test]
fn volume_alone_will_do_to_measure_with() -> Checked {
    for measures in ["spoons_ml = [5]", "syringes_ml = [500]"] {
        let text = WHOLE.replace("syringes_ml = [10, 500]\nspoons_ml = [15, 2.5, 5]", measures);
        assert!(read(&text)?.kitchen.kit.scale().is_none(), "{measures}");
    }
    Ok(())
}

#[test]
fn an_unknown_lining_may_have_tests() -> Checked {
    let lining = "{ cloth = \"unknown\", tests = { flame = \"melts\" }, weight_oz = 4 }";
    let text = WHOLE.replace("{ cloth = \"acetate\", weight_g = 120 }", lining);
    let costume = read(&text)?;
    let lining = costume.pieces[0].goods.lining.as_ref().ok_or("no lining")?;
    assert!(matches!(lining.makeup, Makeup::Unknown(_)));
    Ok(())
}

#[test]
fn a_fixed_thing_may_stand_in_two_matches() -> Checked {
    let text = WHOLE.replace("\"veil\", \"wig\"]", "\"wig\"]")
        + "[[match]]\nname = \"under\"\npieces = [\"veil\", \"wig\"]\n";
    let costume = read(&text)?;
    assert_eq!(costume.matches.len(), 2);
    assert_eq!((&costume.matches[1].places, costume.matches[1].viewing), (&None, None));
    Ok(())
}

/// One change to the whole file: it must be refused at the line of what was changed, saying this.
fn check(from: &str, to: &str, says: &str) {
    let at = WHOLE.find(from).unwrap_or_else(|| panic!("{from} is not in the whole file"));
    let line = WHOLE[..at].matches('\n').count() + 1;
    let text = format!("{}{to}{}", &WHOLE[..at], &WHOLE[at + from.len()..]);
    match read(&text) {
        Ok(_) => panic!("{to:?} was accepted"),
        Err(faults) => {
            let said: Vec<(usize, &str)> =
                faults.list.iter().map(|f| (faults.place(f).0, f.says.as_str())).collect();
            // What is missing is told at the head of its table, a few lines above.
            let first = if to.is_empty() { line - 3 } else { line };
            let lines = first..=line + to.matches('\n').count();
            let found = said.iter().any(|(at, text)| lines.contains(at) && text.contains(says));
            assert!(found, "{to:?} at {line}: {said:?}");
            assert!(faults.list.iter().all(|f| !f.hint.is_empty()));
        }
    }
}

#[test]
fn a_faulty_kitchen_is_refused() {
    check("\"together\"", "\"both\"", "both");
    check("[15, 2.5, 5]", "[15, -5]", "-5");
    check("[15, 2.5, 5]", "[5, 5]", "twice");
    check("[15, 2.5, 5]", "[nan]", "NaN");
    check("[15, 2.5, 5]", "[0.4]", "0.4");
    check("[15, 2.5, 5]", "[51]", "51");
    check("[15, 2.5, 5]", "[1, 2.5, 5, 10, 15]", "");
    check("[15, 2.5, 5]", "[\"large\"]", "a text");
    check("[kitchen]\nsyringes_ml = [10, 500]\nspoons_ml = [15, 2.5, 5]", "[kitchen]", "nothing");
    check(
        "[kitchen]\nsyringes_ml = [10, 500]\nspoons_ml = [15, 2.5, 5]",
        "[kitchen]\nsyringes_ml = []",
        "nothing",
    );
    check("alkalinity_mg_per_l = 120", "alkalinity_mg_per_l = -1", "-1");
    check("burners = 3", "burners = -1", "-1");
    check("burners = 3", "burners = 21", "21");
    check("burners = 3", "burners = 2.5", "2.5");
    check("burners = 3", "burners = nan", "finite");
    check("hands = 2", "hands = -1", "-1");
    check("sinks = 1", "sinks = \"one\"", "a text");
    check("drying = 8", "drying = 1e9", "1000000000");
    check("lifts_kg = 12.5", "lifts_kg = 0.5", "0.5");
    check("lifts_kg = 12.5", "lifts_kg = 101", "101");
    check("\"cold wrap\"", "\"cold warp\"", "cold warp");
    check("\"cold wrap\"", "\"pot\"", "twice");
    check("[\"machine\", \"pot\", \"cold wrap\"]", "[]", "empty");
    check("[kitchen.machine]", "[kitchen.washer]", "washer");
    check(
        "[\"machine\", \"pot\", \"cold wrap\"]\n[kitchen.machine]",
        "[\"pot\"]\n[kitchen.machine]",
        "not among",
    );
    check(
        "[\"machine\", \"pot\", \"cold wrap\"]\n[kitchen.machine]\nholds_kg = 6\nlitres = 15\nhottest_c = 60",
        "[\"machine\"]",
        "not described",
    );
    check("holds_kg = 6\n", "", "holds_kg");
    check("holds_kg = 6", "holds_kg = 0", "0");
    check("litres = 15", "litres = -15", "-15");
    check("hottest_c = 60", "hottest_c = 140", "140");
    check("to_60_min = 40", "to_60_min = 0", "0");
    check("to_60_min = 40", "to_60_min = 601", "601");
}

#[test]
fn a_faulty_calendar_is_refused() {
    check("\"saturday\"", "\"saterday\"", "saterday");
    check("\"saturday\"", "6", "a number");
    check("[\"saturday\", \"Sunday\"]", "[]", "empty");
    check("\"10:30\"", "\"half past ten\"", "half past ten");
    check("\"10:30\"", "\"24:00\"", "24:00");
    check("\"10:30\"", "\"10:60\"", "10:60");
    check("\"10:30\"", "\"10:+3\"", "10:+3");
    check("\"10:30\"", "10.5", "a number");
    check("\"10:30\"\nhours = 5.5", "\"20:00\"\nhours = 5.5", "after midnight");
    check("hours = 5.5", "hours = 0", "0");
    check("hours = 5.5", "hours = -2", "-2");
    check("hours = 5.5", "hours = 17", "17");
    check("hours = 5.5", "hours = inf", "finite");
    check("not_on = [2027-03-07", "not_on = [\"7 March\"", "7 March");
    check("not_on = [2027-03-07", "not_on = [7", "a number");
    check("delivery_days = 7", "delivery_days = -1", "-1");
    check("delivery_days = 7", "delivery_days = 1.5", "1.5");
    check("start = 2027-01-15", "start = \"soon\"", "soon");
    check("start = 2027-01-15", "start = 2027-03-21", "after the day");
    check("hours = 5.5", "hour = 5.5", "hour");
}

#[test]
fn faulty_goods_are_refused() {
    check("\"sewn\"", "\"sown\"", "sown");
    check("zip = 22", "zip = 0", "nothing");
    check("zip = 22", "zip = -1", "-1");
    check("zip = 22", "zip = nan", "NaN");
    check("zip = 22", "zip = \"light\"", "a text");
    check("zip = 22", "label = 1", "not among");
    check("zip = 22", "zipp = 1", "zipp");
    check("zip = 22", "zip = 895", "901 g of a piece of 900 g");
    check("weight_g = 120", "weight_g = 872", "900 g of a piece of 900 g");
    check(
        "parts = [\"zip\", \"elastic\"]\nparts_g = { zip = 22, elastic = 6 }",
        "parts = [\"lining\"]\nparts_g = { lining = 100 }",
        "twice",
    );
    check("weight_g = 120", "weight_g = 900", "of a piece of 900 g");
    check(", weight_g = 120", "", "weight is missing");
    check("weight_g = 120", "weight_g = -3", "-3");
    check("cloth = \"acetate\", ", "", "`cloth` of the lining");
    check("\"acetate\"", "\"acetat\"", "acetat");
    check("weight_g = 120", "weight_g = 120, colour = 1", "colour");
    check("spare_g = 12", "spare_g = 0", "0");
    check("spare_g = 12", "spare_g = -12", "-12");
    check("spare_g = 12", "spare_g = 901", "more than the piece weighs");
    check("spare_g = 12", "spare_g = \"some\"", "a text");
    check("shrinkage_allowed = true", "shrinkage_allowed = 1", "a number");
    check("brightened = true", "brightened = true\nundyed = \"natural\"", "brightened");
    check("brightened = true", "brightened = \"yes\"", "a text");
}

#[test]
fn faulty_wishes_are_refused() {
    check("\"Ada\", \"Bo\", \"Cy\"", "\"Ada\"", "1 people");
    check("\"Ada\", \"Bo\", \"Cy\"", "\"Ada\", \"ada\"", "twice");
    check("\"Ada\", \"Bo\", \"Cy\"", "\"Ada\", \" \"", "empty");
    check("\"Ada\", \"Bo\", \"Cy\"", "\"Ada\", 2", "a number");
    check("\"Ada\", \"Bo\", \"Cy\"", "1,2,3,4,5,6,7,8,9,10,11,12,13", "a number");
    check("\"must\"", "\"may\"", "may");
    check("\"heather\"", "\"three baths\"", "three baths");
    check("cover_pct = 45, ", "", "cover_pct");
    check("cover_pct = 45", "cover_pct = 0.5", "0.5");
    check("cover_pct = 45", "cover_pct = 100", "100");
    check("cover_pct = 45", "cover_pct = nan", "finite");
    check(", hex = \"#c08060\"", "", "not in 0");
    check("hex = \"#c08060\"", "hex = \"#c0\"", "#c0");
    let thirteen: Vec<String> = (0..13).map(|i| format!("\"n{i}\"")).collect();
    check("\"Ada\", \"Bo\", \"Cy\"", &thirteen.join(", "), "13 people");
}

#[test]
fn faulty_matches_and_fixed_things_are_refused() {
    check("id = \"wig\"", "id = \"coat\"", "both called \"coat\"");
    check("id = \"veil\"", "id = \"coat\"", "two pieces");
    check("id = \"wig\"\n", "", "`id` is missing");
    check("colour = { hex = \"#702020\" }\n", "", "`colour` is missing");
    check("colour = { hex = \"#702020\" }", "colour = \"red\"", "a text");
    check("colour = { hex = \"#702020\" }", "colour = { file = \"x.csv\" }", "x.csv");
    check("note = \"bought\"", "weight_g = 100", "weight_g");
    check("name = \"the reds\"\n", "", "`name` is missing");
    check("pieces = [\"coat\", \"veil\", \"wig\"]\n", "", "`pieces` is missing");
    check("[\"coat\", \"veil\", \"wig\"]", "[\"coat\"]", "a match of one");
    check("[\"coat\", \"veil\", \"wig\"]", "[]", "a match of nothing");
    check("[\"coat\", \"veil\", \"wig\"]", "[\"coat\", \"vail\"]", "vail");
    check("[\"coat\", \"veil\", \"wig\"]", "[\"coat\", \"coat\"]", "twice");
    check("[\"coat\", \"veil\", \"wig\"]", "[\"coat\", 3]", "a number");
    check("\"flash\"", "\"moon\"", "moon");
    check("\"beside\"", "\"across\"", "across");
    let shoes = "[[fixed]]\nid = \"shoes\"\ncolour = { hex = \"#702020\" }\n[[match]]\n";
    check(
        "[[match]]\nname = \"the reds\"\npieces = [\"coat\", \"veil\", \"wig\"]",
        &format!("{shoes}name = \"still\"\npieces = [\"shoes\", \"wig\"]"),
        "is dyed",
    );
    check(
        "seen_from = \"beside\"",
        "[[match]]\nname = \"more\"\npieces = [\"coat\", \"wig\"]",
        "is in the match \"the reds\" already",
    );
    check(
        "seen_from = \"beside\"",
        "[[match]]\nname = \"the reds\"\npieces = [\"veil\", \"wig\"]",
        "two matches",
    );
    check("[\"coat\", \"veil\", \"wig\"]", "[\"coat\", \"veil\", \"wig\"]\nlight = []", "light");
}

#[test]
fn a_match_of_a_faulty_piece_is_not_called_unknown() -> Checked {
    let faults = read(&WHOLE.replace("felted wool", "felted wol")).err().ok_or("accepted")?;
    assert_eq!(faults.list.len(), 1, "{faults}");
    Ok(())
}

#[test]
fn all_faults_of_a_whole_costume_come_at_once() -> Checked {
    let text = WHOLE
        .replace("burners = 3", "burners = -1")
        .replace("hours = 5.5", "hours = 40")
        .replace("zip = 22", "zip = -1")
        .replace("cover_pct = 45", "cover_pct = 0")
        .replace("\"#702020\"", "\"red\"")
        .replace("\"beside\"", "\"across\"");
    let faults = read(&text).err().ok_or("accepted")?;
    assert_eq!(faults.list.len(), 6, "{faults}");
    Ok(())
}

#[test]
fn the_shelf_knows_packs_and_ages() -> Checked {
    let read = |text: &str| read_shelf("s.toml", text, Lore::shipped(), &NoFiles);
    let dye = "[[dye]]\nid = \"n\"\nlike = \"acid-navy\"\npack_g = 50\npack_price = 11.5\n\
        bought = 2026-01-02\nopened = 2026-02-03\nexpires = 2029-01-01\n";
    let other = "[[auxiliary]]\nid = \"soda-ash\"\npack_g = 1000\npack_price = 3.2\n\
        bought = 2026-01-02\nexpires = 2028-01-01\n";
    let shelf = read(&format!("{dye}{other}"))?;
    let (one, soda) = (&shelf.dyes[0], &shelf.others[0]);
    let pack = one.sold_in.ok_or("no pack")?;
    assert_eq!((pack.contents().to_grams(), pack.price().to_hundredths()), (50.0, 1150));
    assert_eq!(one.price, Some(pack.price_per_gram()));
    assert_eq!(one.bought, Some(Day::try_ymd(2026, 1, 2)?));
    assert_eq!(one.expires, Some(Day::try_ymd(2029, 1, 1)?));
    assert_eq!(soda.sold_in.map(|p| p.packs_for(p.contents())), Some(1));
    assert_eq!(soda.bought, Some(Day::try_ymd(2026, 1, 2)?));
    assert_eq!(soda.expires, Some(Day::try_ymd(2028, 1, 1)?));
    for (from, to) in [
        ("expires = 2029-01-01", "expires = 2025-01-01"),
        ("expires = 2029-01-01", "expires = \"never\""),
        ("bought = 2026-01-02", "bought = 7"),
        ("opened = 2026-02-03", "opened = 2026-01-01"),
        ("pack_g = 50", "pack_g = 0.01"),
    ] {
        assert!(read(&dye.replace(from, to)).is_err(), "{to}");
    }
    assert!(read(&other.replace("expires = 2028", "expires = 2020")).is_err());
    Ok(())
}

proptest! {
    #[test]
    fn no_broken_whole_costume_makes_it_panic(at in 0..WHOLE.len(), length in 1..40usize) {
        let end = (at + length).min(WHOLE.len());
        let _ = read(&format!("{}{}", &WHOLE[..at], &WHOLE[end..]));
    }

    #[test]
    fn no_number_makes_it_panic(number in proptest::num::f64::ANY) {
        for from in ["= 3\n", "= 12.5", "= 6\n", "= 60\n", "= 40\n", "= 5.5", "= 7\n", "= 22", "= 45", "= 12\n"] {
            prop_assert!(WHOLE.contains(from), "{from}");
            let _ = read(&WHOLE.replace(from, &format!("= {number:?}\n")));
        }
    }
}
