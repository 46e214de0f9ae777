//! `propose`: one cloth, one colour, what is at hand; the one-minute question.

use std::path::{Path, PathBuf};

use clap::Args;
use units::Day;
use workroom::document::{Expected, PiecePlan, Sheet};
use workroom::{Outcome, ProposeWanted, Proposed, Trouble, begin_costume, propose_one};

use super::progress::Teller;
use super::speech::{chip, say, say_list, say_wrapped};
use super::{Ended, say_json};

/// The words of the command.
#[derive(Debug, Args)]
pub(crate) struct Words {
    /// The cloth: "cotton", a blend as "65 cotton, 35 polyester", or unknown
    #[arg(long)]
    cloth: String,
    /// The colour: "#2f6f5a", "45 -12.5 8" (L* a* b*), or a reading file
    #[arg(long, allow_hyphen_values = true)]
    colour: String,
    /// Dry weight, as 250g, 0.3kg, 8oz or 1.5lb [default: 100g]
    #[arg(long, allow_hyphen_values = true)]
    weight: Option<String>,
    /// The undyed cloth: white, natural, or a colour or reading file [default: white]
    #[arg(long, value_name = "COLOUR")]
    undyed: Option<String>,
    /// What is at hand: classes, families (reactive, acid) or dyes, with commas
    /// between [default: all of the shelf]
    #[arg(long, value_delimiter = ',')]
    have: Vec<String>,
    /// A shelf file [default: the starter shelf]
    #[arg(long, value_name = "FILE")]
    shelf: Option<PathBuf>,
    /// A workbook whose swatches the recipe rests on; it is only read [default: none]
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
    /// From how near it is seen: touching, beside, close up, stage [default: close up]
    #[arg(long, value_name = "DISTANCE")]
    seen_from: Option<String>,
    /// Where it is seen, with commas between: daylight, shop, hall, home, stage,
    /// flash [default: daylight,hall]
    #[arg(long, value_delimiter = ',', value_name = "PLACES")]
    lights: Vec<String>,
    /// The smallest step the scale shows, in grams, as 0.01 or 0.01g [default: 0.1]
    #[arg(long, value_name = "G", allow_hyphen_values = true, value_parser = grams)]
    scale: Option<f64>,
    /// What the largest pot holds to the brim, in litres [default: enough]
    #[arg(long, value_name = "LITRES", allow_hyphen_values = true)]
    pot: Option<f64>,
    /// Write the question as a costume file, to be planned; never over a file
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Ask as on this day (year-month-day) instead of today
    #[arg(long, value_name = "DAY")]
    today: Option<Day>,
}

/// Proposes and says it.
pub(crate) fn run(words: &Words, json: bool) -> Result<Ended, Trouble> {
    let wanted = ProposeWanted {
        cloth: words.cloth.clone(),
        colour: words.colour.clone(),
        weight: words.weight.clone(),
        undyed: words.undyed.clone(),
        have: words.have.clone(),
        shelf: words.shelf.clone(),
        book: words.book.clone(),
        seen_from: words.seen_from.clone(),
        lights: words.lights.clone(),
        scale_g: words.scale,
        pot_l: words.pot,
        today: words.today.map_or_else(super::today, Ok)?,
    };
    let teller = Teller::of_one();
    let found = propose_one(&wanted, &mut |progress| teller.tell(progress));
    teller.finish();
    let found = found?;
    if let Some(file) = &words.write {
        begin_costume(&wanted, file)?;
    }
    if json {
        say_json(&found)?;
    } else {
        tell(&found, words.write.as_deref());
    }
    let piece = &found.piece;
    let open = piece.outcome == Outcome::NoBath || piece.reach.as_ref().is_some_and(|r| !r.within);
    Ok(if open { Ended::Undecided } else { Ended::Answered })
}

fn tell(found: &Proposed, written: Option<&Path>) {
    let piece = &found.piece;
    let asked =
        format!("{} g of {} to {}", piece.goods.dry_g, piece.goods.words, piece.target.words);
    say_wrapped(&chip(&piece.target.hex), 5, &format!("{asked} ({})", piece.target.from));
    say("");
    match piece.outcome {
        Outcome::Bath | Outcome::SharesBath => bath(piece),
        Outcome::Leave => say_wrapped("Leave it: ", 2, &piece.why),
        Outcome::NoBath => no_bath(piece),
    }
    let advice: Vec<String> = piece.advice.iter().map(|a| a.text.clone()).collect();
    say_list("What could go wrong, and advice", &first(&advice, &wrong(piece)));
    say_list("Taken for granted", &found.taken);
    let asked = found.workbook.iter().flat_map(|book| &book.asked).map(|asked| asked.words.clone());
    say_list("About the workbook", &found.notes.iter().cloned().chain(asked).collect::<Vec<_>>());
    say("");
    match written {
        Some(file) => {
            say_wrapped(
                "",
                0,
                &format!("Written: {}. For sheets with every step and time:", file.display()),
            );
            say(&format!("  dyewright plan {}", file.display()));
        }
        None => {
            say("For sheets with every step and time, make it a costume file:");
            say("");
            for line in found.costume_file.lines().filter(|l| !l.starts_with('#')).skip(1) {
                say(format!("  {line}").trim_end());
            }
            say("");
            say("--write costume.toml writes it; `dyewright plan costume.toml` plans it.");
        }
    }
}

/// A number of grams, with or without its unit.
fn grams(given: &str) -> Result<f64, String> {
    let tidy = given.trim();
    let number = tidy.strip_suffix(['g', 'G']).unwrap_or(tidy).trim();
    number.parse().map_err(|_| "write the smallest step in grams, as 0.1 or 0.1g".to_owned())
}

fn bath(piece: &PiecePlan) {
    let class = piece.class.as_ref().map_or("", |c| c.name.as_str());
    let can = match &piece.reach {
        Some(reach) if !reach.within => {
            format!(
                "Not quite: the nearest is {:.1} away (ΔE00), {}.",
                reach.gap, reach.nearest.words
            )
        }
        _ => "It can be done.".to_owned(),
    };
    say_wrapped(
        "",
        0,
        &format!("{can} With {class}. {}.", capital(piece.why.trim_end_matches('.'))),
    );
    if let Some(reach) = piece.reach.as_ref().filter(|r| !r.within) {
        say_list(
            "What limits it, and what would help",
            &[reach.limits.clone(), reach.would_help.clone()].concat(),
        );
    }
    if let Some(sheet) = piece.sheets.iter().find(|s| s.kind == "bulk").or(piece.sheets.first()) {
        recipe(sheet, piece);
    }
    if let Some(expected) = &piece.expected {
        expect(expected);
    }
    if let Some(sheet) = piece.sheets.first() {
        let cautions: Vec<String> = sheet.cautions.iter().map(|c| c.text.clone()).collect();
        say_list("Cautions", &cautions);
    }
}

fn recipe(sheet: &Sheet, piece: &PiecePlan) {
    say("");
    let litres = units::trimmed(sheet.liquor_ml / 1000.0, 2);
    say_wrapped(
        "",
        2,
        &format!(
            "Recipe for {} g in {litres} L ({}:1), {} min in all",
            sheet.dry_g, sheet.liquor_ratio, sheet.total_min
        ),
    );
    for dye in &sheet.dyes {
        let known = piece.recipes.first().and_then(|r| r.dyes.iter().find(|d| d.id == dye.id));
        let known = known.map_or_else(String::new, |d| format!(" ({}, {})", d.name, d.known));
        let depth = format!("{} %", units::significant(dye.owf_pct, 3));
        let measure = match (dye.stock_ml, dye.stock_pct) {
            (Some(ml), Some(pct)) => format!("{ml} mL of a {pct} % stock = {} g", dye.grams),
            _ => format!("{} g", dye.grams),
        };
        say_wrapped(&format!("  {:<21} {depth:>9}  ", dye.id), 6, &format!("{measure}{known}"));
    }
    for one in &sheet.auxiliaries {
        let spoon = one.household.as_deref().and_then(|h| h.split(", or").next());
        let spoon = spoon.map_or_else(String::new, |h| format!(" (about {h})"));
        say_wrapped(&format!("  {:<32}  ", one.name), 6, &format!("{} g{spoon}", one.grams));
    }
    if let Some(first) = &sheet.first_line {
        say_wrapped("  ", 2, &format!("{first}."));
    }
}

fn expect(expected: &Expected) {
    say("");
    let colour = &expected.colour;
    let [l, a, b] = colour.lab;
    say_wrapped(
        &chip(&colour.hex),
        5,
        &format!(
            "Expected: {} (L* {l}, a* {a}, b* {b}; {}). {}.",
            colour.words,
            colour.hex,
            expected.verdict.trim_end_matches('.')
        ),
    );
    for light in &expected.lights {
        say(&format!("  {:<8} ΔE00 {:4.1}   {}", light.light, light.difference, light.words));
    }
    say_wrapped(
        "  ",
        2,
        &format!(
            "Before the scatter of dosing and dyeing, the recipe's own colour is sure to {}.",
            expected.recipe_spread90
        ),
    );
}

fn no_bath(piece: &PiecePlan) {
    // The reason may begin with the same two words.
    let why = piece.why.to_lowercase();
    let first = if why.starts_with("no bath") { "" } else { "No bath: " };
    say_wrapped(first, 2, &piece.why);
    for (i, test) in piece.tests.iter().enumerate() {
        say("");
        say_wrapped(&format!("{}. ", i + 1), 3, &format!("{}: {}", test.test, test.how));
        say_wrapped("   Beware: ", 5, &test.hazard);
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// Lines of what could go wrong.
const MOST_LINES: usize = 6;

/// What most often goes wrong.
fn wrong(piece: &PiecePlan) -> Vec<String> {
    piece
        .wrong
        .iter()
        .map(|w| {
            format!(
                "{}: {}. {}.",
                w.sight,
                w.cause.trim_end_matches('.'),
                w.remedy.trim_end_matches('.')
            )
        })
        .collect()
}

/// Advice first, then failures, so many lines at most; a plan has them all.
fn first(advice: &[String], wrong: &[String]) -> Vec<String> {
    advice.iter().chain(wrong).take(MOST_LINES).cloned().collect()
}
