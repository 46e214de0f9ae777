//! How sure the numbers are, and who has the last word where it can hurt.

use maud::{Markup, html};
use plan::document::{Plan, WorkbookSeen};

use crate::number::number;

/// One plain paragraph, and the spreads of this plan.
pub(crate) fn sure(plan: &Plan) -> Markup {
    html! {
        section.sure aria-labelledby="sure" {
            h2 id="sure" tabindex="-1" { "How sure these numbers are" }
            p {
                "The amounts are exact for the recipe and the weight; the colours are reckoned. Where a dye is "
                span.estimate { "estimate" } ", its colour and strength come from published or typical values, \
                 not from your bottle; where it says chip or ladder, from readings of dyed cloth. Two spreads \
                 follow. The spread of the recipe says how far the colour itself may be from what is expected, \
                 because of what is not known of the dyes and the cloth. The spread of the dyed piece adds \
                 weighing, measuring and the scatter of one dyeing to the next, so it is the wider one. A \
                 swatch on the same cloth narrows both, which is why it comes first."
            }
            @if plan.pieces.iter().any(|piece| piece.expected.is_some()) {
                p { "Nine times in ten, recipe and dyed piece lie within so much of the expected colour:" }
                ul {
                    @for piece in &plan.pieces {
                        @if let Some(expected) = &piece.expected {
                            li { (piece.name) ": " (number(expected.recipe_spread90)) " and "
                                (number(expected.piece_spread90)) "."
                                @if let Some(rests) = &piece.special.rests_on { " " (rests.words) } }
                        }
                    }
                }
            }
            @if let Some(book) = &plan.workbook { (taught(book)) }
            (glossary())
        }
    }
}

/// What the workbook taught, and what in it taught nothing.
fn taught(book: &WorkbookSeen) -> Markup {
    html! {
        p { "Swatches of the workbook that teach: " (book.taught) "." }
        @if !book.passed_over.is_empty() {
            ul {
                @for passed in &book.passed_over {
                    li { "Passed over: " (few(&passed.swatches)) ", because " (passed.why) "." }
                }
            }
        }
    }
}

/// Codes as they are named in a sentence: of hundreds the first few.
fn few(codes: &[String]) -> String {
    const MOST: usize = 24;
    match codes.len() {
        many if many > MOST => format!("{} and {} more", codes[..MOST].join(", "), many - MOST),
        _ => codes.join(", "),
    }
}

/// The words of this page that are not plain, one sentence each.
const GLOSSARY: [(&str, &str); 8] = [
    ("% owf", "On weight of fibre: grams of dye for every 100 g of dry cloth."),
    ("Liquor ratio", "Litres of bath for every kilogram of dry cloth."),
    (
        "Difference (CIEDE2000)",
        "How far two colours are apart to the eye: 0 is the same, about 1 is just seen side by side.",
    ),
    (
        "D65, LED, FL11",
        "Names of standard lights: D65 is daylight, LED-B3 and its like are LED lamps, FL11 is a narrow-band \
         fluorescent shop lamp.",
    ),
    ("Metamerism index", "How far two colours that match in daylight part under another light."),
    (
        "Stock solution",
        "Dye dissolved beforehand at a known strength, so that a small amount can be measured as millilitres.",
    ),
    ("Exhaustion", "The share of the dye that leaves the bath and goes onto the cloth."),
    (
        "A name in brackets after advice",
        "Its id: to overrule the advice, write the id under overrule at the piece in the costume file.",
    ),
];

fn glossary() -> Markup {
    html! {
        div.glossary {
            h3 { "Words used in this plan" }
            dl { @for (word, meaning) in GLOSSARY { dt { (word) } dd { (meaning) } } }
        }
    }
}

/// The safety foot.
pub(crate) fn safety() -> Markup {
    html! {
        h2 { "Where it can hurt, others have the last word" }
        p {
            "Follow the dye maker's own instructions and safety sheet where they say otherwise than this plan. \
             Local codes on drains, waste and fire come before it. What calls for a licensed or trained person \
             is theirs to do. Pots, spoons and strainers used for dye are never used for food again."
        }
    }
}
