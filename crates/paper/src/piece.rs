//! One piece from top to bottom in the order of the work: goods, target, reach, class, recipes,
//! expectation, sheets, what can go wrong, care.

use maud::{Markup, html};
use plan::document::{
    AdviceSeen, Care, ClassChosen, ClassRefused, Failure, GoodsSeen, PiecePlan, ReachSeen,
    TestToMake,
};

use crate::chip::{Chip, Standing, row};
use crate::front::outcome;
use crate::number::{lab, number, percent, whole_percent, with, words};
use crate::table::{say, say_or, table};
use crate::{expected, recipes, sheet};

/// One piece; `at` counts from 0.
pub(crate) fn piece(at: usize, piece: &PiecePlan, currency: &str) -> Markup {
    let id = format!("piece-{}", at + 1);
    html! {
        section.piece aria-labelledby=(id) {
            h2 id=(id) tabindex="-1" { (piece.name) }
            p.verdict { b { (outcome(piece.outcome)) ": " } (piece.why) }
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
            h3 { "The goods" }
            (goods(&piece.goods))
            h3 { "The target" }
            (target(piece))
            @if !piece.tests.is_empty() { h3 { "Tests to make first" } (tests(&piece.tests)) }
            @if let Some(reach) = &piece.reach { h3 { "Can it be reached?" } (reached(piece, reach)) }
            @if piece.class.is_some() || !piece.others.is_empty() {
                h3 { "The class of dye" }
                (classes(piece.class.as_ref(), &piece.others))
            }
            @if !piece.recipes.is_empty() {
                h3 { "The recipes" }
                (recipes::recipes(piece, currency))
            }
            @if let Some(expectation) = &piece.expected {
                h3 { "What to expect" }
                (expected::expected(&id, piece, expectation))
            }
            @for (n, one) in piece.sheets.iter().enumerate() {
                (sheet::sheet(&format!("{id}-bath-{}", n + 1), piece, one, currency))
            }
            @if !piece.wrong.is_empty() { h3 id={ (id) "-wrong" } tabindex="-1" { "What can go wrong" } (wrong(&piece.wrong)) }
            @if let Some(care) = &piece.care { h3 id={ (id) "-care" } tabindex="-1" { "Care of the finished piece" } (cared(care)) }
            p.back { a href="#pieces" { "Back to the pieces" } }
        }
    }
}

fn advice(advice: &[AdviceSeen]) -> Markup {
    html! {
        @if !advice.is_empty() {
            h3 { "Advice" }
            ul { @for one in advice {
                li { (one.text)
                    @if one.overruled { " " strong { "Overruled by the maker." } }
                    @else if may_be_overruled(one) { " " span.quiet { "(" code { (one.id) } ")" } } }
            } }
            @if advice.iter().any(|one| !one.overruled && may_be_overruled(one)) {
                p.quiet { "To overrule a piece of advice, name its id, which stands in brackets after it, \
                    under " code { "overrule" } " in the costume file." }
            }
        }
    }
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
                div { dt { "Fibre" } dd {
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

fn target(piece: &PiecePlan) -> Markup {
    let mut chips = vec![Chip::seen("Target", &piece.target, Standing::Given)];
    if let Some(cloth) = &piece.cloth {
        let standing = if cloth.assumed { Standing::Estimate } else { Standing::Given };
        chips.push(Chip::seen("Undyed cloth", cloth, standing));
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
            "The nearest colour these dyes can give on this cloth is " (number(reach.gap))
            " (CIEDE2000) from the target: " (reach.nearest.words) ", " (lab(reach.nearest.lab)) "."
        }
        div.beside {
            (row(&chips))
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

fn wrong(failures: &[Failure]) -> Markup {
    let rows: Vec<_> = failures
        .iter()
        .map(|one| {
            vec![
                say(&one.sight),
                say(&one.cause),
                say_or(one.check.clone(), "no check known"),
                say(&one.remedy),
            ]
        })
        .collect();
    let heads = ["What you see", "Likely why", "How to check", "What then"];
    table("wrong", "What can go wrong with this way of dyeing", &heads, &rows)
}

fn cared(care: &Care) -> Markup {
    let rows: Vec<_> =
        care.fastness.iter().map(|one| vec![say(&one.test), say(&one.grade)]).collect();
    html! {
        div.two {
            @if !care.label.is_empty() {
                div {
                    h4 { "Words for the label" }
                    ul.label { @for line in &care.label { li { (line) } } }
                }
            }
            @if !rows.is_empty() {
                (table("fastness", "Fastness to expect", &["Test", "Grade"], &rows))
            }
        }
    }
}
