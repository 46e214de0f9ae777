//! Pieces that must match: every pair edge to edge under every light, the verdict, what would mend it; and
//! the pieces that are read and never dyed.

use maud::{Markup, html};
use plan::document::{FixedSeen, PairSeen, Plan, SetMember, SetSeen};

use crate::chip::{Chip, Standing, bare, row};
use crate::number::{apart, lab, name};
use crate::table::{say, say_or, table};

/// The sets, and the fixed pieces; nothing when there are none.
pub(crate) fn sets(plan: &Plan) -> Markup {
    html! {
        @if !plan.sets.is_empty() || !plan.fixed.is_empty() {
            section.sets aria-labelledby="sets" {
                h2 id="sets" tabindex="-1" { "What must match" }
                @for set in &plan.sets { (one(set, plan)) }
                @if !plan.fixed.is_empty() { (fixed(&plan.fixed)) }
            }
        }
    }
}

fn one(set: &SetSeen, plan: &Plan) -> Markup {
    html! {
        div.set {
            h3 { (set.name) ": " (stands(set)) }
            p.verdict { b { (set.verdict) } " Judged " (set.viewing) "; a pair passes within " (apart(set.passes)) "." }
            p { "Largest difference expected " b { (apart(set.largest)) } ", nine times in ten below "
                b { (apart(set.within90)) } " (" (apart(set.first90)) " before any swatch); each matched alone " b { (apart(set.largest_alone)) }
                ". They meet at " (set.common.words) " ("
                span.estimate { "estimate" } "; " (lab(set.common.lab)) ")." }
            @if let Some(breaks) = &set.breaks {
                p.stop { b { (name(plan, breaks)) " breaks the set." }
                    @if let Some(without) = set.largest_without {
                        " Without it the largest difference is " (apart(without)) "."
                    }
                }
            }
            @if !set.mend.is_empty() {
                p { "What would mend it, the best first:" }
                ol { @for way in &set.mend { li { (way) } } }
            }
            @for pair in &set.pairs { (beside(pair, set, plan)) }
            (members(set))
        }
    }
}

/// How it stands, in a word: a set is expected to hold, and sure only where its scatter passes as well.
fn stands(set: &SetSeen) -> &'static str {
    if !set.holds {
        "it does not hold"
    } else if set.within90 <= set.passes {
        "it should hold"
    } else {
        "it should hold; look at the swatches"
    }
}

/// One pair under each light of the set, chips touching.
fn beside(pair: &PairSeen, set: &SetSeen, plan: &Plan) -> Markup {
    let (a, b) = (name(plan, &pair.a), name(plan, &pair.b));
    let hex = |id: &str, at: usize| {
        let member = set.members.iter().find(|m| m.id == id);
        member.and_then(|m| m.hexes.get(at)).map_or("", String::as_str)
    };
    html! {
        div.pair {
            h4 { (a) " (left) and " (b) " (right): expect " (apart(pair.worst)) " at worst (" (pair.light) ")"
                @if pair.worst > set.passes { ", too far apart" } @else { ", passes" } }
            p.quiet {
                @if pair.one_bath { "Dyed in one bath. " }
                @else if pair.within90 > pair.worst {
                    "Dyeings scatter: nine times in ten below " (apart(pair.within90))
                    " once swatches have shown what the dyes do, below " (apart(pair.first90)) " before. "
                }
                "Each matched alone: " (apart(pair.alone)) " at worst."
            }
            div.lights {
                @for (at, (light, off)) in set.lights.iter().zip(&pair.differences).enumerate() {
                    div.light {
                        p { b { (light) } ": " (apart(*off)) span.screen-only { " apart" }
                            @if *off > set.passes { ", too far" } @else { span.screen-only { ", passes" } }
                            @if pair.assumed.contains(light) { ", assumed" } }
                        (bare(&[
                            Chip::of("Left", hex(&pair.a, at), format!("{a} under {light}"), standing(set, &pair.a)),
                            Chip::of("Right", hex(&pair.b, at), format!("{b} under {light}"), standing(set, &pair.b)),
                        ]))
                    }
                }
            }
        }
    }
}

/// A fixed piece was read; a dyed one is reckoned.
fn standing(set: &SetSeen, id: &str) -> Standing {
    let fixed = set.members.iter().any(|m| m.id == id && m.kind == "fixed");
    if fixed { Standing::Given } else { Standing::Estimate }
}

fn members(set: &SetSeen) -> Markup {
    let rows: Vec<Vec<Markup>> = set.members.iter().map(member).collect();
    let heads =
        ["Piece", "In the set it is", "Matched alone", "Matched together", "From its own target"];
    table("members", "The members of this set", &heads, &rows)
}

fn member(member: &SetMember) -> Vec<Markup> {
    let kind = match member.kind {
        "fixed" => "fixed: read, never dyed",
        "undecided" => "undecided: no bath yet, left out",
        other => other,
    };
    let colour = |seen: Option<&plan::document::ColourSeen>| {
        say_or(seen.map(|c| format!("{}, {}", c.words, lab(c.lab))), "not known")
    };
    vec![
        say(&member.name),
        say(kind),
        colour(member.alone.as_ref()),
        colour(member.together.as_ref()),
        say_or(member.from_target.map(apart), "no target"),
    ]
}

fn fixed(fixed: &[FixedSeen]) -> Markup {
    html! {
        h3 { "Read, never dyed" }
        @for one in fixed {
            div.beside {
                (row(&[Chip::seen("As it is", &one.colour, Standing::Given)]))
                dl.facts {
                    div { dt { "Piece" } dd { (one.name) } }
                    div { dt { "CIELAB" } dd { (lab(one.colour.lab)) ", " (one.colour.from) } }
                    @if let Some(note) = &one.note { div { dt { "Note" } dd { (note) } } }
                }
            }
        }
    }
}
