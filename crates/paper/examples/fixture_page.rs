//! Writes the invented plan of the tests to standard output, to be looked at: the page, or what is named
//! after it: `recipe`, `shopping`, `days`, `calendar`.

#![expect(clippy::print_stdout, reason = "the page is its output")]

#[path = "../tests/fixture/mod.rs"]
mod fixture;

fn main() {
    let plan = fixture::plan();
    let wanted = std::env::args().nth(1).unwrap_or_default();
    let text = match wanted.as_str() {
        "recipe" => paper::recipe_sheet(&plan, "veil").unwrap_or_default(),
        "shopping" => paper::shopping_csv(&plan),
        "days" => paper::days_csv(&plan),
        "calendar" => paper::Stamp::try_utc("20270301T091500Z")
            .map_or_else(|refused| refused.to_string(), |stamp| paper::calendar(&plan, &stamp)),
        _ => paper::html(&plan),
    };
    print!("{text}");
}
