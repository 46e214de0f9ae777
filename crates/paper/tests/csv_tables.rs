//! The tables for a spreadsheet read back by a reader that is not ours (RFC 4180).

mod fixture;

use plan::document::Plan;

/// Every row, strictly: as many fields in each as in the head.
fn read(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(false)
        .terminator(csv::Terminator::CRLF)
        .from_reader(text.as_bytes());
    let rows = reader.records().map(|row| row.expect("a sound row"));
    rows.map(|row| row.iter().map(str::to_owned).collect()).collect()
}

fn column(rows: &[Vec<String>], head: &str) -> Vec<String> {
    let at =
        rows[0].iter().position(|h| h == head).unwrap_or_else(|| panic!("{head} in {:?}", rows[0]));
    rows[1..].iter().map(|row| row[at].clone()).collect()
}

fn money(plan: &Plan, pick: fn(&plan::document::ShoppingRow) -> Option<f64>) -> Vec<String> {
    let digits = |v: Option<f64>| v.map_or_else(String::new, |v| v.to_string());
    plan.shopping.rows.iter().map(|row| digits(pick(row))).collect()
}

#[test]
fn the_shopping_table_has_every_figure_of_the_list() {
    let plan = fixture::plan();
    let text = paper::shopping_csv(&plan);
    let rows = read(&text);
    assert_eq!(rows.len(), plan.shopping.rows.len() + 1);
    for (head, pick) in [
        ("It takes (g)", (|r| Some(r.grams)) as fn(&plan::document::ShoppingRow) -> Option<f64>),
        ("On the shelf (g)", |r| r.on_shelf_g),
        ("Short (g)", |r| r.short_g),
        ("Packs to buy (number)", |r| r.packs.map(f64::from)),
        ("A pack holds (g)", |r| r.pack_g),
        ("A pack costs (EUR)", |r| r.pack_price),
        ("To pay (EUR)", |r| r.to_pay),
        ("Price per gram (EUR)", |r| r.price_per_g),
        ("Cost of what is used (EUR)", |r| r.cost),
    ] {
        // Money has two decimals, like everywhere; what is weighed has the digits of the document.
        let of_money = |digits: String| match digits.split_once('.') {
            None if !digits.is_empty() => format!("{digits}.00"),
            Some((whole, part)) => format!("{whole}.{part:0<2}"),
            None => digits,
        };
        let wanted = money(&plan, pick).into_iter();
        let wanted: Vec<String> =
            if head.ends_with("(EUR)") { wanted.map(of_money).collect() } else { wanted.collect() };
        assert_eq!(column(&rows, head), wanted, "{head}");
    }
    // RFC 4180, section 2, rules 1 and 2: every row ends in CRLF.
    assert!(text.ends_with("\r\n") && !text.replace("\r\n", "").contains(['\r', '\n']));
}

#[test]
fn the_days_table_has_every_stretch() {
    let plan = fixture::plan();
    let rows = read(&paper::days_csv(&plan));
    let items: Vec<_> = plan.days.iter().flat_map(|d| &d.days).flat_map(|d| &d.items).collect();
    assert_eq!(rows.len(), items.len() + 1);
    assert_eq!(
        column(&rows, "What to do"),
        items.iter().map(|i| i.what.clone()).collect::<Vec<_>>()
    );
    let minutes: Vec<String> =
        items.iter().map(|i| (i.end_min - i.start_min).to_string()).collect();
    assert_eq!(column(&rows, "Minutes"), minutes);
    let mut none = plan;
    none.days = None;
    assert_eq!(read(&paper::days_csv(&none)).len(), 1);
}

#[test]
fn words_come_back_whatever_stands_in_them_and_none_is_a_formula() {
    for (given, read_back) in [
        ("a, \"b\"\r\nc", "a, \"b\"\r\nc"),
        ("=HYPERLINK(\"x\")", "'=HYPERLINK(\"x\")"),
        ("-1", "'-1"),
        ("@sum", "'@sum"),
        ("plain", "plain"),
    ] {
        let mut plan = fixture::plan();
        plan.shopping.rows[0].name = given.to_owned();
        plan.shopping.rows[0].notes = vec![given.to_owned()];
        let rows = read(&paper::shopping_csv(&plan));
        assert_eq!(column(&rows, "What")[0], read_back);
        assert_eq!(column(&rows, "Notes")[0], read_back);
        for field in rows.iter().flatten() {
            assert!(!field.starts_with(['=', '+', '-', '@']), "{field}");
        }
    }
}
