//! Tables for a spreadsheet: the shopping list and the days as comma-separated values (RFC 4180), UTF-8.
//!
//! The first row says in plain words what each column is and its unit. A field that a spreadsheet would
//! take for a formula (it begins with =, +, -, @, a tab or a line break) gets an apostrophe before it.

use plan::document::{DayItem, DaySeen, Plan, ShoppingRow};

use crate::number::{hundredths, names};

/// One row per thing it takes, in the order of the list.
pub(crate) fn shopping(plan: &Plan) -> String {
    let money = &plan.costume.currency;
    let mut out = row(&[
        "Item".to_owned(),
        "What".to_owned(),
        "Kind".to_owned(),
        "It takes (g)".to_owned(),
        "As it is bought".to_owned(),
        "On the shelf (g)".to_owned(),
        "Short (g)".to_owned(),
        "Packs to buy (number)".to_owned(),
        "A pack holds (g)".to_owned(),
        format!("A pack costs ({money})"),
        format!("To pay ({money})"),
        format!("Price per gram ({money})"),
        format!("Cost of what is used ({money})"),
        "For the pieces".to_owned(),
        "Notes".to_owned(),
    ]);
    for one in &plan.shopping.rows {
        out += &bought(one, plan);
    }
    out
}

fn bought(one: &ShoppingRow, plan: &Plan) -> String {
    let number = |value: Option<f64>| value.map_or_else(String::new, |v| v.to_string());
    let money = |value: Option<f64>| value.map_or_else(String::new, hundredths);
    row(&[
        one.item.clone(),
        one.name.clone(),
        one.kind.to_owned(),
        number(Some(one.grams)),
        one.need.clone(),
        number(one.on_shelf_g),
        number(one.short_g),
        number(one.packs.map(f64::from)),
        number(one.pack_g),
        money(one.pack_price),
        money(one.to_pay),
        money(one.price_per_g),
        money(one.cost),
        names(plan, &one.pieces),
        one.ask.iter().chain(&one.notes).cloned().collect::<Vec<_>>().join("; "),
    ])
}

/// One row per stretch of work or waiting, by day and clock, of several jars done together one; the head alone when there is no day plan.
pub(crate) fn days(plan: &Plan) -> String {
    let heads = [
        "Day (year-month-day)",
        "Weekday",
        "Start (hours:minutes)",
        "End (hours:minutes)",
        "Minutes",
        "Ends on a later day",
        "Piece",
        "Job",
        "What to do",
        "Pot or tub",
        "On a burner",
        "Hands",
        "Powder is open",
        "Being heated, cooled or added to",
        "Into the sink",
    ];
    let mut out = row(&heads.map(str::to_owned));
    for day in plan.days.iter().flat_map(|days| &days.days) {
        for item in day.items.iter().filter(|item| item.leads()) {
            out += &row(&done(day, item, plan));
        }
    }
    out
}

fn done(day: &DaySeen, item: &DayItem, plan: &Plan) -> [String; 15] {
    let who = match item.together.is_empty() {
        true => item.piece_name.clone().unwrap_or_default(),
        false => names(plan, &item.together),
    };
    let whether = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
    [
        day.day.clone(),
        day.weekday.to_owned(),
        item.start.clone(),
        item.end.clone(),
        (item.end_min - item.start_min).to_string(),
        whether(item.over_night),
        who,
        item.job.to_owned(),
        item.what.clone(),
        item.stands.as_ref().or(item.vessel.as_ref()).cloned().unwrap_or_default(),
        whether(item.burner),
        item.hands.to_owned(),
        whether(item.powder),
        whether(item.changing),
        item.sink.join(", "),
    ]
}

fn row(fields: &[String]) -> String {
    fields.iter().map(|f| field(f)).collect::<Vec<_>>().join(",") + "\r\n"
}

/// One field: kept from being a formula, and quoted where it holds a comma, a quote or a line break.
fn field(value: &str) -> String {
    let formula = value.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
    let safe = if formula { format!("'{value}") } else { value.to_owned() };
    if safe.contains([',', '"', '\r', '\n']) {
        return format!("\"{}\"", safe.replace('"', "\"\""));
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_reckon_is_kept_as_words() {
        for (value, written) in [
            ("=1+1", "'=1+1"),
            ("+cmd", "'+cmd"),
            ("-2", "'-2"),
            ("@x", "'@x"),
            ("\t=x", "'\t=x"),
            ("=a,\"b\"", "\"'=a,\"\"b\"\"\""),
            ("navy blue", "navy blue"),
            ("a = b", "a = b"),
        ] {
            assert_eq!(field(value), written);
        }
    }

    /// RFC 4180, section 2, rules 6 and 7: the worked examples.
    #[test]
    fn the_standards_own_fields() {
        assert_eq!(row(&["aaa", "b\r\nbb", "ccc"].map(str::to_owned)), "aaa,\"b\r\nbb\",ccc\r\n");
        assert_eq!(row(&["aaa", "b\"bb", "ccc"].map(str::to_owned)), "aaa,\"b\"\"bb\",ccc\r\n");
    }
}
