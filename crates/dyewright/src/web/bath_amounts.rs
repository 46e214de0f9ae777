//! The amounts of a bath to tick off as they go in, each as it was really weighed or poured.

use maud::{Markup, html};
use workroom::document::Sheet;

use super::bath::{AtPot, Typed};

/// An amount of a sheet.
pub(super) struct Amount {
    /// Id of the dye or auxiliary.
    pub(super) id: String,
    /// What it is.
    pub(super) name: String,
    /// How it is measured out, in words.
    words: String,
    /// As planned, in its unit.
    pub(super) planned: String,
    /// The unit, in words.
    pub(super) unit: String,
}

/// The amounts of a sheet, dyes first.
pub(super) fn planned(sheet: &Sheet) -> Vec<Amount> {
    let dyes = sheet.dyes.iter().map(|dye| {
        let (planned, unit) = match (dye.how, dye.stock_ml, dye.stock_pct) {
            ("stock", Some(ml), Some(pct)) => (ml, format!("mL of {pct} % stock")),
            _ => (dye.grams, "g".to_owned()),
        };
        let (id, name, words) = (dye.id.clone(), dye.name.clone(), dye.words.clone());
        Amount { id, name, words, planned: planned.to_string(), unit }
    });
    let others = sheet.auxiliaries.iter().map(|one| Amount {
        id: one.id.clone(),
        name: one.name.clone(),
        words: one.words.clone(),
        planned: one.grams.to_string(),
        unit: "g".to_owned(),
    });
    dyes.chain(others).collect()
}

/// The part of the page.
pub(super) fn amounts(pot: &AtPot<'_>, typed: &Typed<'_>) -> Markup {
    let all = planned(pot.sheet);
    let really = &pot.clock.really;
    let left = all.iter().filter(|one| !really.contains_key(&one.id)).count();
    html! {
        section.amounts aria-labelledby="amounts" {
            h2 id="amounts" tabindex="-1" { "What goes in" }
            p { "Tick each as it is weighed or poured, and change it to what it really was: the record and what is learnt go by that. "
                b { (all.len() - left) " of " (all.len()) " are ticked." } }
            ul.entries { @for one in &all { (amount(pot, one, typed)) } }
            @if left > 1 {
                form method="post" action=(pot.here) {
                    @for id in really.keys() { input type="hidden" name={ "is-" (id) } value="in"; }
                    button.second type="submit" name="mark" value="all" { "All the others as planned" }
                }
            }
        }
    }
}

fn amount(pot: &AtPot<'_>, one: &Amount, typed: &Typed<'_>) -> Markup {
    let field = |name: &str| typed.fields.get(name).map(String::as_str);
    let refused = typed.why.is_some() && field("of") == Some(&one.id);
    let value = if refused { field("amount").unwrap_or_default() } else { &one.planned };
    html! {
        li id={ "in-" (one.id) } {
            @match pot.clock.really.get(&one.id) {
                Some(really) if !refused => {
                    span.is-in { b { "In: " (one.name) ", " (said(really, &one.unit)) }
                        @if *really != one.planned { span.quiet { " planned " (one.planned) " " (one.unit) } } }
                    form method="post" action=(pot.here) {
                        input type="hidden" name="of" value=(one.id);
                        button.second type="submit" name="mark" value="out" { "Not in after all" span.unseen { ": " (one.name) } }
                    }
                }
                _ => {
                    span { b { (one.name) } br; span.quiet { (one.words) } }
                    form.row method="post" action=(pot.here) {
                        input type="hidden" name="of" value=(one.id);
                        div.field {
                            label for={ "amount-" (one.id) } { "Really, " (one.unit) span.unseen { " of " (one.name) } }
                            input id={ "amount-" (one.id) } name="amount" value=(value) inputmode="decimal" autocomplete="off" required
                                aria-invalid=[refused.then_some("true")];
                        }
                        button type="submit" name="mark" value="in" { "It is in" span.unseen { ": " (one.name) } }
                    }
                }
            }
        }
    }
}

/// As typed; with the unit where none was typed.
fn said(really: &str, unit: &str) -> String {
    if really.chars().any(char::is_alphabetic) {
        really.to_owned()
    } else {
        format!("{really} {unit}")
    }
}
