//! How sure the numbers are, and who has the last word where it can hurt.

use maud::{Markup, html};
use plan::document::Plan;

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
                ul {
                    @for piece in &plan.pieces {
                        @if let Some(expected) = &piece.expected {
                            li { (piece.name) ": recipe within " (number(expected.recipe_spread90))
                                ", dyed piece within " (number(expected.piece_spread90))
                                " of the expected colour, 9 times in 10." }
                        }
                    }
                }
            }
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
