//! One piece as a sheet for somebody without the program: the bulk bath with all it needs, and every amount
//! for 100 g of cloth too, so that it can be made for another weight.

use maud::{Markup, html};
use plan::document::{PiecePlan, Plan, Sheet, SheetAuxiliary, SheetDye};

use crate::chip::{Chip, Standing, row};
use crate::number::{lab, number, percent, water, with, words};
use crate::table::{say, say_or, table};
use crate::{care, closing, curve, page, scours, special, steps};

/// The sheet; none where the piece is not there or has no bulk bath.
pub(crate) fn one_sheet(plan: &Plan, id: &str) -> Option<Markup> {
    let piece = plan.pieces.iter().find(|piece| piece.id == id)?;
    let sheet = piece.sheets.iter().find(|sheet| sheet.kind == "bulk")?;
    let title = format!("{}: a recipe", piece.name);
    let body = html! {
        header {
            p.over { "A recipe from the costume “" (plan.costume.name) "”, " (plan.costume.today) }
            h1 { (piece.name) }
            p.note { (sheet.title) ", " (with(sheet.total_min, "minutes")) " in all" }
        }
        main.one-sheet {
            (warnings(sheet))
            section { (what(piece, sheet)) }
            section { (amounts(piece, sheet)) }
            (scours::of_one(plan, id))
            section {
                h2 { "Step by step" }
                (steps::steps("recipe", sheet, None))
                @if let Some(after) = &sheet.no_top_up_after {
                    p.stop { strong { "No top-up: " } "add no dye once the " (words(after)) " is in." }
                }
                h3.unseen { "The bath, and how to judge it" }
                div.two {
                    div { (curve::temperature("recipe", sheet)) }
                    div { (judging(piece, sheet)) }
                }
            }
        }
        footer { (closing::safety()) }
    };
    Some(page::whole(&title, &body))
}

/// In full: whoever gets this sheet has no other page to look them up on.
fn warnings(sheet: &Sheet) -> Markup {
    html! {
        section {
            p.first-line { "Dye a swatch of your own cloth first, at the same liquor ratio: your water, your cloth \
                and your dye are not ours." }
            @if !sheet.cautions.is_empty() {
                div.cautions {
                    h2 { "Cautions first" }
                    ul { @for caution in &sheet.cautions {
                        li { b { (caution.name) } ": " (caution.text) }
                    } }
                }
            }
        }
    }
}

fn what(piece: &PiecePlan, sheet: &Sheet) -> Markup {
    let mut chips = vec![];
    if let Some(cloth) = &piece.cloth {
        let standing = if cloth.assumed { Standing::Estimate } else { Standing::Given };
        chips.push(Chip::seen("Undyed cloth", cloth, standing));
    }
    chips.push(Chip::seen("Wanted", &piece.target, Standing::Given));
    if let Some(expected) = &piece.expected {
        chips.push(Chip::seen("Expected", &expected.colour, Standing::Estimate));
    }
    html! {
        h2 { "The cloth and the colour" }
        div.beside {
            (row(&chips))
            dl.facts {
                div { dt { "Cloth" } dd { (piece.goods.words) @if piece.goods.known { ": " (fibres(piece)) } } }
                div { dt { "Weight in this bath, dry" } dd { (with(sheet.dry_g, "g"))
                    @if sheet.takes_g != sheet.dry_g { ", of which " (with(sheet.takes_g, "g")) " takes dye" } } }
                div { dt { "Wanted" } dd { (piece.target.words) ", " (lab(piece.target.lab)) } }
                @if let Some(expected) = &piece.expected {
                    div { dt { "Expected" } dd { (expected.colour.words) ", " (lab(expected.colour.lab)) } }
                    div { dt { "How sure" } dd { "9 dyed pieces in 10 within " (number(expected.piece_spread90))
                        " (CIEDE2000) of the expected colour. " (expected.verdict) } }
                }
            }
        }
        p.quiet { "Colours are CIELAB for daylight D65 and the 10° observer; a screen or a printer shows them only nearly." }
    }
}

fn fibres(piece: &PiecePlan) -> String {
    let each =
        piece.goods.fibres.iter().map(|f| format!("{} {}", words(&f.fibre), percent(f.share)));
    each.collect::<Vec<_>>().join(", ")
}

fn amounts(piece: &PiecePlan, sheet: &Sheet) -> Markup {
    let ratio = sheet.liquor_ratio;
    let mut rows = vec![vec![
        say("water, the whole bath"),
        html! { b { (water(sheet.liquor_ml)) } br; span.quiet { "of that " (water(sheet.water_ml)) " to run in first" } },
        html! { b { (with(scaled(ratio * 100.0), "mL")) } },
        html! { (with(ratio, "L per kg")) " of dry cloth: keep to it" },
    ]];
    rows.extend(sheet.dyes.iter().map(dye));
    rows.extend(sheet.auxiliaries.iter().map(|aux| auxiliary(aux, ratio)));
    let heads = ["What to have", "For this bath", "For each 100\u{a0}g of cloth", "How"];
    html! {
        h2 { "What to have" }
        (table("amounts", "Amounts for this bath, and for each 100 g of dry cloth that takes dye", &heads, &rows))
        p { b { "For your own weight: " } "weigh your cloth dry, divide its grams by 100, and take the third \
            column that many times; the bath grows with it, the temperatures and times stay. For a bath of less than \
            10\u{a0}g of cloth make a stock solution: a pinch cannot be weighed well." }
        p { b { "Pot: " } (words(&sheet.vessel.material)) ", for dye only and never again for food, " (least_pot(sheet))
            " at least: the whole bath fills it by two thirds at most; scale, measuring jug, thermometer; mask, gloves \
            and goggles as the cautions say." }
        @if let Some(friends) = &piece.special.friends {
            h3 { "From one stock for " (friends.names.join(", ")) }
            (special::shared(friends, piece))
            ol { @for line in &friends.words { li { (line) } } }
        }
        @if !sheet.stocks.is_empty() {
            h3 { "Stock solutions to make first" }
            ul { @for stock in &sheet.stocks { li { (stock.words) } } }
        }
    }
}

fn dye(dye: &SheetDye) -> Vec<Markup> {
    vec![
        html! { (dye.name) br; span.quiet { (dye.class_name) @if let Some(ci) = &dye.ci { ", " (ci) } ", " (dye.form) } },
        html! {
            b { (with(dye.grams, "g")) }
            @if let Some(ml) = dye.stock_ml { " as " (with(ml, "mL")) @if let Some(pct) = dye.stock_pct { " of " (with(pct, "%")) " solution" } }
        },
        html! { b { (with(scaled(dye.owf_pct), "g")) } },
        html! { (dye.words) span.quiet { " This dose scatters by ± " (with(dye.scatter_pct, "%")) "." } },
    ]
}

fn auxiliary(one: &SheetAuxiliary, ratio: f64) -> Vec<Markup> {
    let per_100 = one.owf_pct.or_else(|| one.g_per_l.map(|g| g * ratio / 10.0));
    vec![
        say(&one.name),
        html! { b { (with(one.grams, "g")) } @if let Some(spoons) = &one.household { br; span.quiet { (spoons) @if let Some(d) = &one.declared { " (" (d) ")" } } } },
        say_or(per_100.map(|g| with(scaled(g), "g")), "the same for any weight"),
        html! { (one.words) @if let Some(g) = one.g_per_l { span.quiet { " " (with(g, "g/L")) " of bath." } } },
    ]
}

/// The least pot that the bath fills by two thirds, to the next half litre.
fn least_pot(sheet: &Sheet) -> String {
    with((sheet.liquor_ml * 1.5 / 500.0).ceil() / 2.0, "L")
}

/// An amount for 100 g of cloth, to three digits: no household scale shows more of it.
fn scaled(grams: f64) -> f64 {
    if grams == 0.0 {
        return 0.0;
    }
    let digits = 2.0 - grams.abs().log10().floor();
    // A power of ten that is whole keeps the quotient the nearest number to its three digits.
    let (up, down) = (10_f64.powf(digits.max(0.0)), 10_f64.powf((-digits).max(0.0)));
    (grams * up / down).round() * down / up
}

fn judging(piece: &PiecePlan, sheet: &Sheet) -> Markup {
    html! {
        h3 { "Judging it" }
        p { (sheet.judge.text) " Under: " (sheet.judge.lights.join(", ")) "." }
        @if !sheet.notes.is_empty() { ul { @for note in &sheet.notes { li { (note) } } } }
        @if let Some(seen) = &piece.care { h3 { "Care" } (care::brief(seen)) }
    }
}

#[cfg(test)]
mod tests {
    use super::scaled;

    #[test]
    fn three_digits() {
        for (grams, shown) in [
            (1.9743, "1.97"),
            (120.0, "120"),
            (1234.5, "1230"),
            (0.012_345, "0.0123"),
            (0.0, "0"),
            (2000.0, "2000"),
            (99.96, "100"),
        ] {
            assert_eq!(crate::number::number(scaled(grams)), shown);
        }
    }
}
