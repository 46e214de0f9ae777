//! The page holds together: tags, ids, no request outside, every number of the document.

mod fixture;

use std::collections::BTreeSet;

use serde_json::Value;

/// Elements of HTML that have no end tag (HTML Living Standard, "void elements"; from memory).
const VOID: [&str; 6] = ["br", "meta", "input", "hr", "img", "link"];

/// Walks the tags; every end tag must close the last open one. Gives back (name, attributes) of each start tag.
fn tags(page: &str) -> Vec<(String, Vec<(String, String)>)> {
    let mut open: Vec<String> = vec![];
    let mut seen = vec![];
    let mut rest = page;
    while let Some(at) = rest.find('<') {
        assert!(
            !rest[..at].contains('>'),
            "a bare > before {:?}",
            &rest[at..rest.len().min(at + 60)]
        );
        let end = rest[at..].find('>').map(|e| at + e).expect("a tag that never ends");
        let inside = &rest[at + 1..end];
        rest = &rest[end + 1..];
        if inside.starts_with('!') {
            continue;
        }
        if let Some(name) = inside.strip_prefix('/') {
            let last = open.pop();
            assert_eq!(last.as_deref(), Some(name), "crossed tags");
            continue;
        }
        let name: String = inside.chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
        if name == "style" {
            let close = rest.find("</style>").expect("an end to the style");
            rest = &rest[close + "</style>".len()..];
            continue;
        }
        seen.push((name.clone(), attributes(&inside[name.len()..])));
        if !VOID.contains(&name.as_str()) {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
    seen
}

fn attributes(mut rest: &str) -> Vec<(String, String)> {
    let mut all = vec![];
    loop {
        rest = rest.trim_start();
        if rest.is_empty() {
            return all;
        }
        let stop = rest.find(['=', ' ']).unwrap_or(rest.len());
        let name = rest[..stop].to_owned();
        rest = &rest[stop..];
        let Some(value) = rest.strip_prefix("=\"") else {
            all.push((name, String::new()));
            continue;
        };
        let close = value.find('"').expect("a quote that never closes");
        all.push((name, value[..close].to_owned()));
        rest = &value[close + 1..];
    }
}

fn of<'a>(attributes: &'a [(String, String)], name: &str) -> Option<&'a str> {
    attributes.iter().find(|(n, _)| n == name).map(|(_, v)| v.as_str())
}

#[test]
fn the_tag_walker_can_fail() {
    for bad in ["<p><b></p></b>", "<p>", "<p>a > b</p>"] {
        assert!(std::panic::catch_unwind(|| tags(bad)).is_err(), "{bad}");
    }
}

/// Every page that stands alone: the plan's, its cards and labels, the record of a piece.
fn pages() -> [String; 3] {
    let plan = fixture::plan();
    [paper::html(&plan), paper::cards_and_labels(&plan), paper::record_page(&fixture::record())]
}

#[test]
fn tags_are_balanced_and_ids_are_unique_and_met() {
    for page in pages() {
        balanced(&page);
    }
}

fn balanced(page: &str) {
    let seen = tags(page);
    let mut ids = BTreeSet::new();
    for (_, attributes) in &seen {
        if let Some(id) = of(attributes, "id") {
            assert!(ids.insert(id), "{id} twice");
        }
    }
    for (name, attributes) in &seen {
        let asked = ["for", "aria-labelledby"].into_iter().filter_map(|a| of(attributes, a));
        let linked =
            of(attributes, "href").map(|h| h.strip_prefix('#').expect("a link within the page"));
        for id in asked.chain(linked).flat_map(str::split_whitespace) {
            assert!(ids.contains(id), "{name} speaks of {id}, which is not there");
        }
    }
}

#[test]
fn nothing_outside_is_asked_for() {
    for page in pages() {
        alone(&page);
    }
}

fn alone(page: &str) {
    for word in ["http:", "https:", "//", "url(", "@import", "src=", "<script", "<link", "<iframe"]
    {
        assert!(!page.contains(word), "{word} in the page");
    }
    for (_, attributes) in tags(page) {
        assert!(
            attributes.iter().all(|(name, _)| !name.starts_with("on")),
            "a script in {attributes:?}"
        );
    }
}

#[test]
fn chips_speak_tables_are_captioned_headings_go_down_by_one() {
    for page in pages() {
        spoken(&page);
    }
}

fn spoken(page: &str) {
    let seen = tags(page);
    let mut level = 0;
    for (at, (name, attributes)) in seen.iter().enumerate() {
        let class = of(attributes, "class").unwrap_or_default();
        if class.split(' ').any(|c| c == "chip") {
            let words = of(attributes, "aria-label").unwrap_or_default();
            assert!(words.len() > 12 && of(attributes, "role") == Some("img"), "{attributes:?}");
        }
        if name == "table" {
            assert_eq!(seen[at + 1].0, "caption");
        }
        if name == "th" {
            assert!(of(attributes, "scope").is_some());
        }
        if let Some(n) = name.strip_prefix('h').and_then(|n| n.parse::<i32>().ok()) {
            assert!(n <= level + 1, "h{n} after h{level}");
            level = n;
        }
    }
    assert_eq!(seen.iter().filter(|(name, _)| name == "h1").count(), 1);
}

/// Every number of a value, with where it stands.
fn numbers(at: &str, value: &Value, out: &mut Vec<(String, f64)>) {
    match value {
        Value::Number(number) => out.extend(number.as_f64().map(|n| (at.to_owned(), n))),
        Value::Array(all) => all.iter().for_each(|one| numbers(at, one, out)),
        Value::Object(all) => all.iter().for_each(|(key, one)| numbers(key, one, out)),
        _ => {}
    }
}

/// Keys of colour differences.
const APART: [&str; 16] = [
    "difference",
    "differences",
    "worst",
    "alone",
    "largest",
    "largest_alone",
    "largest_without",
    "from_target",
    "gap",
    "contrast",
    "glow",
    "within90",
    "first90",
    "passes",
    "undyed",
    "dyed",
];

#[test]
fn every_number_of_the_document_is_printed_as_it_stands() {
    let plan = fixture::plan();
    let page = paper::html(&plan);
    let text: String = words(&page);
    let printed: BTreeSet<&str> =
        text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '\u{2212}')).collect();
    let printed: BTreeSet<&str> = printed.into_iter().map(|n| n.trim_end_matches('.')).collect();
    let mut all = vec![];
    numbers("", &serde_json::to_value(&plan).unwrap(), &mut all);
    let mut missing = vec![];
    let mut checked = 0;
    for (key, value) in &all {
        // Printed as a clock, in the words of an addition, as per cent, or not for the maker.
        if ["at_min", "start_min", "end_min", "version"].contains(&key.as_str()) {
            continue;
        }
        checked += 1;
        let digits = |v: f64| format!("{v}").replace('-', "\u{2212}");
        let share = ["share", "portion"].contains(&key.as_str());
        let shown = match key.as_str() {
            "odds" => digits((value * 100.0).round()),
            _ if share => digits((value * 1e4).round() / 100.0),
            // No finer than it is seen or measured: a tenth of a difference, three digits of a depth, water in
            // litres.
            key if APART.contains(&key) => format!("{value:.1}"),
            // Money, to the hundredth.
            "to_pay" => format!("{value:.2}"),
            "owf_pct" => units::significant(*value, 3),
            "liquor_ml" | "water_ml" if *value < 1000.0 => digits(value.round()),
            "liquor_ml" | "water_ml" if *value < 10_000.0 => format!("{:.2}", value / 1000.0),
            "liquor_ml" | "water_ml" => format!("{:.1}", value / 1000.0),
            _ => digits(*value),
        };
        let whole = key == "portion" && *value == 1.0;
        if !whole && !printed.contains(shown.as_str()) {
            missing.push(format!("{key} {shown}"));
        }
    }
    assert!(missing.is_empty(), "not printed: {missing:?}");
    assert!(checked > 300, "{checked} numbers");
}

#[test]
fn advice_that_only_tells_is_not_offered_to_be_overruled() {
    let with = |id: &str| {
        let mut plan = fixture::plan();
        plan.pieces.retain(|piece| piece.id == "jerkin");
        plan.pieces[0].advice[0].id = id.to_owned();
        paper::html(&plan)
    };
    assert_eq!(with("metamerism").matches("To overrule a piece of advice").count(), 1);
    for id in ["no-bath", "goods", "target-assumed", "programme"] {
        assert!(!with(id).contains("To overrule"), "{id}");
    }
}

/// The page's words without its tags and styles.
fn words(page: &str) -> String {
    let body = &page[page.find("<body").expect("a body")..];
    let mut out = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => {
                inside = true;
                out.push(' ');
            }
            '>' => inside = false,
            _ if !inside => out.push(c),
            _ => {}
        }
    }
    out
}

#[test]
fn what_must_be_said_is_said_in_its_place() {
    let page = paper::html(&fixture::plan());
    let at = |what: &str| page.find(what).unwrap_or_else(|| panic!("{what} is not said"));
    let bulk = at("provisional: dye the swatch first");
    let rest = &page[bulk..];
    assert!(rest.find("Cautions first") < rest.find("Goods and bath"));
    assert!(rest.find("Goods and bath") < rest.find("Step by step"));
    for what in [
        "signed by M. Quill, 2027-02-28",
        "a screen cannot show this colour; the chip is the nearest it can",
        "may take up to 15\u{a0}min longer",
        "keep to the clock",
        "add no dye once the alkali is in",
        "The Ferry &lt;Keeper&gt; &amp; Daughter",
        "Overruled by the maker.",
        "No: it is out of reach.",
        "Lights to judge under: daylight (D65), hall lamps (LED-B3).",
        "<strong>ruins</strong>",
        "(odds 41\u{a0}%)",
        "not on the shelf list",
        "Mourning veil breaks the set.",
        "Lost alone, kept together: </b>Signal sash, with a name long enough to wrap on a narrow screen louder than Keeper's jerkin.",
        "Does it stay black? No.",
        "Of that takes dye",
        "In: </b>the sink (stainless)",
        "1 pack</b> of 20\u{a0}g",
        "The search stopped before it was proven",
    ] {
        at(what);
    }
}

#[test]
fn a_caution_is_in_full_at_the_front_and_where_it_is_new() {
    let page = paper::html(&fixture::plan());
    let front = page.find("id=\"cautions\"").expect("the cautions page");
    let pieces = page.find("id=\"piece-1\"").expect("a piece");
    assert!(front < pieces);
    let full = "Reactive dye powder can make you asthmatic for life.";
    let sheets = page.matches("Cautions first").count();
    // Once at the front, and in the page on every sheet; paper hides it where it was said before.
    assert_eq!(page.matches(full).count(), sheets + 1);
    assert_eq!(
        page.matches("<li class=\"again\"><b>1 Mask for reactive powder</b>").count(),
        sheets - 1
    );
    assert_eq!(page.matches("<li class=\"\"><b>1 Mask for reactive powder</b>").count(), 1);
}

/// The sheets of one piece are taken to the pot by themselves: nothing there leads to a page that is not there.
#[test]
fn sheets_of_one_piece_have_every_caution_in_full() {
    let plan = fixture::plan();
    let all = paper::bath_sheets(&plan, None).expect("sheets");
    assert!(all.contains("class=\"again\"") && all.contains("all-cautions"));
    for piece in plan.pieces.iter().filter(|piece| !piece.sheets.is_empty()) {
        let own = paper::bath_sheets(&plan, Some(&piece.id)).expect("its sheets");
        balanced(&own);
        assert!(!own.contains("class=\"again\"") && !own.contains("last page"), "{}", piece.id);
        for caution in piece.sheets.iter().flat_map(|sheet| &sheet.cautions) {
            let told = own.matches(caution.text.as_str()).count();
            let wanted = piece.sheets.iter().filter(|s| s.cautions.contains(caution)).count();
            assert!(told >= wanted, "{}: {}", piece.id, caution.name);
        }
    }
}

/// A page that would hold one sentence is none.
#[test]
fn what_is_not_there_takes_no_page_of_the_cards() {
    let plan = fixture::plan();
    assert!(!paper::cards_and_labels(&plan).contains("bottles first"));
    let mut dyed = fixture::plan();
    for piece in &mut dyed.pieces {
        for sheet in &mut piece.sheets {
            sheet.first_line = None;
        }
    }
    let page = paper::cards_and_labels(&dyed);
    assert!(page.contains("class=\"deck screen-only\" aria-labelledby=\"cards\""), "{page}");
    assert!(page.contains("class=\"deck bottles first\""));
}

#[test]
fn a_card_has_all_that_is_needed_beside_the_jar() {
    let plan = fixture::plan();
    let page = paper::cards_and_labels(&plan);
    let cards = page.matches("<article class=\"card\"").count();
    assert_eq!(cards, 2, "of the jerkin and the veil; the sash's is signed away");
    for what in [
        "K7M-Q3T-X</p>",
        "Sew or glue the dry swatch here",
        "6.3\u{a0}mL</b> of 1\u{a0}%",
        "Really dosed, lot",
        "20:1",
        "washed off",
        "ironed",
        "Nap: ",
        "Read: L* ",
    ] {
        assert!(page.contains(what), "{what}");
    }
    let card =
        &page[page.find("<article").expect("a card")..page.find("</article>").expect("its end")];
    assert_eq!(card.matches("role=\"img\"").count(), 2, "wanted and expected, edge to edge");
    // A label: strength, day made, day to discard, what can hurt.
    let label = &page[page.find("class=\"bottle\"").expect("a label")..];
    let label = &label[..label.find("</article>").expect("its end")];
    for what in [
        "navy blue",
        "1\u{a0}%",
        "C.I. Reactive Blue 4",
        "Made on",
        "Discard by",
        "(5 days later)",
        "never food or drink",
        "asthmatic for life",
        "Keeper&#39;s jerkin",
    ] {
        assert!(
            label.contains(what) || label.contains(&what.replace("&#39;", "'")),
            "{what}: {label}"
        );
    }
    // One bottle of one dye at one strength, however many sheets make it.
    assert_eq!(page.matches("class=\"bottle\"").count(), 1);
    let mut none = fixture::plan();
    none.pieces.retain(|piece| piece.id == "trim");
    let page = paper::cards_and_labels(&none);
    assert!(page.contains("No swatch is to be dyed") && page.contains("makes no stock solution"));
}

#[test]
fn a_day_is_drawn_in_black_and_white_with_every_bar() {
    let plan = fixture::plan();
    let page = paper::html(&plan);
    let bars: usize = page.matches("stroke=\"#161616\" stroke-width=\"1.2\"").count();
    // Two that are done at one time in one pot are one bar with both letters.
    let days = plan.days.iter().flat_map(|d| &d.days);
    let items = days.flat_map(|d| d.items.iter().map(move |item| (&d.day, item)));
    let mut places: Vec<String> = items
        .filter(|(_, item)| item.job != "drying")
        .map(|(day, i)| format!("{day} {:?} {} {} {}", i.vessel, i.start, i.end, i.hands))
        .collect();
    places.sort();
    places.dedup();
    assert_eq!(bars, places.len());
    assert!(
        page.contains(
            "black: hands full; striped: stay in the house and look; empty: needs nobody."
        )
    );
}

#[test]
fn a_recipe_sheet_stands_alone() {
    let plan = fixture::plan();
    for piece in ["jerkin", "sash", "veil"] {
        let page = paper::recipe_sheet(&plan, piece).expect("a sheet");
        let seen = tags(&page);
        let ids: BTreeSet<_> = seen.iter().filter_map(|(_, a)| of(a, "id")).collect();
        for (_, attributes) in &seen {
            assert!(of(attributes, "href").is_none(), "a link on a sheet of its own");
            for id in of(attributes, "for").into_iter().chain(of(attributes, "aria-labelledby")) {
                assert!(id.split(' ').all(|id| ids.contains(id)), "{id}");
            }
        }
        for what in [
            "Reactive dye powder can make you asthmatic for life.",
            "1.97\u{a0}g", // of the first dye for 100 g: its depth on fibre, to three digits
            "120\u{a0}g",  // of salt for 100 g: 60 g/L at 20 L per kg
            "2000\u{a0}mL", // of bath for 100 g: 20 L per kg
            "9 dyed pieces in 10 within 4.6",
        ] {
            assert!(page.contains(what), "{piece}: {what}");
        }
    }
    let friends = paper::recipe_sheet(&plan, "veil").expect("a sheet");
    assert!(
        friends.contains("From one stock for Ada, Bo, Cy") && friends.contains("138.5\u{a0}mL")
    );
    assert_eq!(paper::recipe_sheet(&plan, "trim"), None);
    assert_eq!(paper::recipe_sheet(&plan, "nobody"), None);
}

/// Speech: one small page, as it stands.
#[test]
fn a_small_page() {
    let mut plan = fixture::plan();
    plan.pieces.retain(|piece| piece.id == "trim");
    plan.shopping.rows.truncate(1);
    (plan.together, plan.days) = (None, None);
    plan.sets.clear();
    let page = paper::html(&plan);
    let body = &page[page.find("<body").expect("a body")..];
    insta::assert_snapshot!("small_page", body.replace("><", ">\n<"));
}
