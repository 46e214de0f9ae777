//! One piece from top to bottom in the order of the work: goods, target, reach, class, recipes,
//! expectation, sheets, what can go wrong, care.

use maud::{Markup, html};
use plan::document::{
    AdviceSeen, ClassChosen, ClassRefused, GoodsSeen, PiecePlan, Plan, ReachSeen, TestToMake,
};

use crate::cautions::Cautions;
use crate::chip::{Chip, Standing, row};
use crate::front::outcome;
use crate::number::{apart, lab, name, percent, whole_percent, with, words};
use crate::table::{say, table};
use crate::{care, expected, recipes, sheet, special};

/// One piece; `at` counts from 0.
pub(crate) fn piece(at: usize, piece: &PiecePlan, plan: &Plan, cautions: &Cautions<'_>) -> Markup {
    let currency = plan.costume.currency.as_str();
    let id = format!("piece-{}", at + 1);
    html! {
        section.piece.no-sheets[piece.sheets.is_empty()] aria-labelledby=(id) {
            h2 id=(id) tabindex="-1" { (piece.name) }
            p.verdict { b { (outcome(piece.outcome)) ": " } (piece.why) }
            @if let Some(recorded) = &piece.special.recorded { p { strong { (recorded.words) } } }
            p { "It " b { (piece.special.worth) } " be done."
                @if let Some(set) = &piece.special.set { " It must match: " a href="#sets" { (set) } "." }
                @if let Some(other) = &piece.special.shares_with {
                    " It lies in the bath of " b { (name(plan, other)) } ": its bath sheets are there." } }
            @if !piece.sheets.is_empty() {
                ul.jump {
                    @for (n, one) in piece.sheets.iter().enumerate() {
                        li { a href={ "#" (id) "-bath-" (n + 1) } { "To the " (one.kind) " bath sheet" } }
                    }
                    @if !piece.wrong.is_empty() { li { a href={ "#" (id) "-wrong" } { "If it goes wrong" } } }
                    @if piece.care.is_some() { li { a href={ "#" (id) "-care" } { "Care" } } }
                }
            }
            (advice(&piece.advice))
            (part_at(&id, "goods", "The goods", &html! {
                (goods(&piece.goods))
                @if !piece.special.goods_notes.is_empty() {
                    ul { @for note in &piece.special.goods_notes { li { (note) } } }
                }
            }))
            (part_at(&id, "colour", "The colour", &target(piece)))
            @if !piece.tests.is_empty() { (part_at(&id, "tests", "Tests to make first", &tests(&piece.tests))) }
            @if let Some(reach) = &piece.reach { (part_at(&id, "reach", "Can it be reached?", &reached(piece, reach))) }
            @if piece.class.is_some() || !piece.others.is_empty() {
                (part_at(&id, "class", "Dye class", &classes(piece.class.as_ref(), &piece.others)))
            }
            @if !piece.recipes.is_empty() { (part_at(&id, "recipes", "The recipes", &recipes::recipes(piece, currency))) }
            @if let Some(expectation) = &piece.expected {
                (part_at(&id, "expect", "What to expect", &expected::expected(&id, expectation)))
            }
            (special::special(piece))
            @for (n, one) in piece.sheets.iter().enumerate() {
                (sheet::sheet(&format!("{id}-bath-{}", n + 1), piece, one, currency, cautions, sheet::Steps::Told))
                p.back { a href="#pieces" { "Back to the pieces" } }
            }
            @if !piece.wrong.is_empty() {
                div.screen-only { h3 id={ (id) "-wrong" } tabindex="-1" { "What can go wrong" } (care::wrong(&piece.wrong)) }
            }
            @if let Some(seen) = &piece.care {
                div.screen-only { h3 id={ (id) "-care" } tabindex="-1" { "Care of the finished piece" } (care::cared(seen)) }
            }
            p.back { a href="#pieces" { "Back to the pieces" } }
        }
    }
}

/// A part of a piece under its heading; on paper the heading hangs in a column of its own.
pub(crate) fn part(heading: &str, body: &Markup) -> Markup {
    html! { div.part { h3 { (heading) } div { (body) } } }
}

/// The same, its heading to be found by the piece's id and its own.
fn part_at(piece: &str, own: &str, heading: &str, body: &Markup) -> Markup {
    html! { div.part { h3 id={ (piece) "-" (own) } tabindex="-1" { (heading) } div { (body) } } }
}

fn advice(advice: &[AdviceSeen]) -> Markup {
    let body = html! {
            ul.advice { @for one in advice {
                li { (one.text)
                    @if one.overruled { " " strong { "Overruled by the maker." } }
                    @else if may_be_overruled(one) { " " span.quiet { "(" code { (one.id) } ")" } } }
            } }
            @if advice.iter().any(|one| !one.overruled && may_be_overruled(one)) {
                p.quiet.screen-only { "To overrule a piece of advice, name its id, which stands in brackets after it, \
                    under " code { "overrule" } " in the costume file." }
            }
    };
    html! { @if !advice.is_empty() { (part("Advice", &body)) } }
}

/// Some advice only tells how things are: there is nothing in it to overrule.
fn may_be_overruled(advice: &AdviceSeen) -> bool {
    !["no-bath", "goods", "target-assumed", "programme"].contains(&advice.id.as_str())
}

/// Goods as facts; used for the piece and for each bath.
pub(crate) fn goods(goods: &GoodsSeen) -> Markup {
    html! {
        dl.facts {
            div { dt { "Goods" } dd { (goods.words) } }
            div { dt { "Air-dry weight" } dd { (with(goods.dry_g, "g")) ", " (goods.weight_from) } }
            @if goods.known {
                div.of-goods { dt { "Fibre" } dd {
                    @for (at, one) in goods.fibres.iter().enumerate() {
                        @if at > 0 { ", " }
                        (words(&one.fibre)) " " (percent(one.share))
                    }
                    ", as the costume file says"
                } }
            } @else {
                div { dt { "Fibre" } dd {
                    strong { "unknown. " } "Could be "
                    @for (at, one) in goods.possible.iter().enumerate() {
                        @if at > 0 { ", " }
                        (words(&one.fibre)) " (odds " (whole_percent(one.odds)) ")"
                    }
                } }
            }
            div.of-goods { dt { "Form" } dd { (form(goods.form)) } }
            @if !goods.parts_weigh.is_empty() {
                div.of-goods { dt { "Of that, parts" } dd {
                    @for (at, part) in goods.parts_weigh.iter().enumerate() {
                        @if at > 0 { ", " }
                        (words(&part.part)) " " (with(part.grams, "g"))
                    }
                } }
            }
            @if let Some(lining) = &goods.lining { div { dt { "Lining" } dd { (lining) } } }
            @if !goods.parts.is_empty() {
                div { dt { "Parts in the bath" } dd {
                    @for (at, part) in goods.parts.iter().enumerate() {
                        @if at > 0 { ", " }
                        (words(part))
                    }
                } }
            }
        }
    }
}

/// The form of goods in words.
fn form(form: &str) -> &str {
    match form {
        "roll" => "off the roll, not cut yet",
        "cut panels" => "cut panels",
        "sewn" => "sewn",
        "worn" => "worn before",
        other => other,
    }
}

fn target(piece: &PiecePlan) -> Markup {
    let mut chips = vec![];
    if let Some(cloth) = &piece.cloth {
        let standing = if cloth.assumed { Standing::Estimate } else { Standing::Given };
        chips.push(Chip::seen("Undyed cloth", cloth, standing));
    }
    chips.push(Chip::seen("Target", &piece.target, Standing::Given));
    if let Some(expected) = &piece.expected {
        chips.push(Chip::seen("Expected", &expected.colour, Standing::Estimate));
    }
    html! {
        div.beside {
        (row(&chips))
        dl.facts {
            div { dt { "Given as" } dd { (piece.target.from) } }
            div { dt { "CIELAB" } dd { (lab(piece.target.lab)) } }
            div { dt { "Spectrum" } dd {
                @if piece.target.assumed { span.estimate { "estimate" } ": only the colour was given; the most likely cloth spectrum of that colour is assumed" }
                @else { span.given { "as read" } }
            } }
            @if let Some(cloth) = &piece.cloth {
                div { dt { "Undyed cloth" } dd { (cloth.words) ", " (lab(cloth.lab)) ", " (cloth.from) } }
            }
        }
        }
    }
}

fn tests(tests: &[TestToMake]) -> Markup {
    let rows: Vec<_> = tests
        .iter()
        .map(|one| vec![say(&one.test), say(&one.how), say(&one.settles), say(&one.hazard)])
        .collect();
    let heads = ["Test", "How", "What it would settle", "What can hurt"];
    table(
        "tests",
        "Tests on a snip of the cloth, in the order to make them: least harm first",
        &heads,
        &rows,
    )
}

fn reached(piece: &PiecePlan, reach: &ReachSeen) -> Markup {
    let chips = [
        Chip::seen("Target", &piece.target, Standing::Given),
        Chip::seen("Nearest within reach", &reach.nearest, Standing::Estimate),
    ];
    html! {
        p.verdict {
            b { @if reach.within { "Yes. " } @else { "No: it is out of reach. " } }
            "The nearest colour these dyes can give on this cloth is " (apart(reach.gap))
            " (CIEDE2000) from the target"
            @if reach.without_glow { ", without the glow of its brightener" }
            ": " (reach.nearest.words) ", " (lab(reach.nearest.lab)) "."
        }
        div.beside[!reach.within] {
            @if !reach.within { (row(&chips)) }
            div {
                @if !reach.limits.is_empty() {
                    h4 { "What limits it" }
                    ul { @for line in &reach.limits { li { (line) } } }
                }
                @if !reach.would_help.is_empty() {
                    h4 { "What would help" }
                    ul { @for line in &reach.would_help { li { (line) } } }
                }
            }
        }
    }
}

fn classes(chosen: Option<&ClassChosen>, others: &[ClassRefused]) -> Markup {
    let rows: Vec<_> =
        others.iter().map(|one| vec![say(&one.name), verdict(one), say(&one.why_not)]).collect();
    let caption = if chosen.is_some() {
        "The other classes, and why not"
    } else {
        "Every class, and why not"
    };
    html! {
        @if let Some(class) = chosen {
            p.verdict { b { (class.name) } " (dye class: " (class.dye_class_name) "), "
                (class.verdict) " on these goods: " (class.why) }
        } @else { p.verdict { b { "None. " } "No class of dye is offered for these goods." } }
        @if !rows.is_empty() {
            div class=[chosen.map(|_| "screen-only")] {
                (table("others", caption, &["Class", "On these goods", "Why not"], &rows))
            }
        }
    }
}

/// Where the reason says that the bath ruins, that is what is told first.
fn verdict(refused: &ClassRefused) -> Markup {
    let told = |words: &str| words.trim_start().to_lowercase().starts_with("ruins");
    html! {
        @if told(&refused.why_not) || told(&refused.verdict) { strong { "ruins" } }
        @else { (refused.verdict) }
    }
}
