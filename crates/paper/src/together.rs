//! The colours brought to cloth together: for each piece the colour wanted, alone, together; and which
//! relations between neighbours are kept.

use maud::{Markup, html};
use plan::document::{Plan, RelationSeen, TogetherPiece, TogetherSeen};

use crate::chip::{Chip, Standing, row};
use crate::number::{lab, name};

/// The section; nothing when every colour is within reach.
pub(crate) fn together(plan: &Plan) -> Markup {
    html! {
        @if let Some(seen) = &plan.together {
            section.together aria-labelledby="together" {
                h2 id="together" tabindex="-1" { "The colours brought to cloth together" }
                p.verdict { b { (seen.verdict) } }
                p {
                    @if seen.used { "The recipes aim at the colours brought together." }
                    @else { "The recipes aim at each colour alone; to aim at these, write "
                        code { "colours = \"together\"" } " in the costume file." }
                }
                p { "Kept of " (seen.relations.len()) " relations: " b { (seen.kept_alone) } " when each is brought alone, "
                    b { (seen.kept_together) } " when they are brought together." }
                (relations(seen, plan))
                div.threes { @for piece in seen.pieces.iter().filter(|p| moves(p)) { (three(piece)) } }
            }
        }
    }
}

/// Whether a colour goes elsewhere than it was wanted, alone or together; the others need no chips.
fn moves(piece: &TogetherPiece) -> bool {
    let apart = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).any(|(a, b)| (a - b).abs() > 1.0);
    apart(piece.target.lab, piece.alone.lab) || apart(piece.target.lab, piece.together.lab)
}

fn three(piece: &TogetherPiece) -> Markup {
    html! {
        div.three {
            h3 { (piece.name) }
            (row(&[
                Chip::seen("Wanted", &piece.target, Standing::Given),
                Chip::seen("Alone", &piece.alone, Standing::Estimate),
                Chip::seen("Together", &piece.together, Standing::Estimate),
            ]))
            p.quiet { "CIELAB: wanted " (lab(piece.target.lab)) "; alone " (lab(piece.alone.lab))
                "; together " (lab(piece.together.lab)) "." }
        }
    }
}

/// Those lost one way or the other, in words; of those kept both ways how many.
fn relations(seen: &TogetherSeen, plan: &Plan) -> Markup {
    let of = |alone: bool, together: bool| -> Vec<String> {
        let such = seen.relations.iter().filter(|r| (r.alone, r.together) == (alone, together));
        such.map(|r| said(r, plan)).collect()
    };
    html! {
        ul {
            @for (heading, all) in [
                ("Lost alone, kept together", of(false, true)),
                ("Kept alone, lost together", of(true, false)),
                ("Lost both ways", of(false, false)),
            ] {
                @if !all.is_empty() { li { b { (heading) ": " } (all.join("; ")) "." } }
            }
            li { "The other " (of(true, true).len()) " are kept both ways." }
        }
    }
}

fn said(relation: &RelationSeen, plan: &Plan) -> String {
    let (more, less) = (name(plan, &relation.more), name(plan, &relation.less));
    match relation.what {
        "alike" => format!("{more} and {less} alike"),
        what => format!("{more} {what} than {less}"),
    }
}
