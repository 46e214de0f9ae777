//! The pieces of a plan as they are told: colour and way, dyes, how near it comes.

use workroom::document::PiecePlan;
use workroom::{Outcome, Plan};

use super::name;
use crate::cli::speech::{chip, say_wrapped};

/// Up to so many pieces are told in full; of more, two lines each, for the page has the rest.
const FEW: usize = 6;

/// The pieces; then those that are never dyed.
pub(super) fn tell(plan: &Plan) {
    let few = plan.pieces.len() <= FEW;
    if !few {
        let says = "The pieces: their dyes, how far from the target in daylight, and within how much \
                    of the expected colour nine of ten pieces land (difference ΔE00)";
        say_wrapped("", 0, says);
    }
    for piece in &plan.pieces {
        let first = format!("  {}", chip(&piece.target.hex));
        let says = format!("{}: {}, {}", piece.name, piece.target.words, way(plan, piece));
        say_wrapped(&first, 6, &says);
        if few { in_full(piece) } else { in_short(piece) }
    }
    for fixed in &plan.fixed {
        let first = format!("  {}", chip(&fixed.colour.hex));
        let says = format!("{}: {}, as it is, never dyed", fixed.name, fixed.colour.words);
        say_wrapped(&first, 6, &says);
    }
}

fn in_full(piece: &PiecePlan) {
    if piece.outcome == Outcome::Bath {
        let baths: Vec<String> = baths(piece)
            .iter()
            .map(|dyes| {
                let with_depth =
                    |(id, depth): &(&str, f64)| format!("{id} {} %", units::significant(*depth, 3));
                dyes.iter().map(with_depth).collect::<Vec<_>>().join(" + ")
            })
            .collect();
        say_wrapped("      ", 6, &baths.join("; then "));
    }
    if let Some(expected) = piece.expected.as_ref().filter(|_| piece.outcome != Outcome::SharesBath)
    {
        say_wrapped("      ", 6, &expected.verdict);
    }
}

fn in_short(piece: &PiecePlan) {
    let Some(expected) = piece.expected.as_ref().filter(|_| piece.outcome == Outcome::Bath) else {
        return;
    };
    let baths: Vec<String> = baths(piece)
        .iter()
        .map(|dyes| dyes.iter().map(|(id, _)| *id).collect::<Vec<_>>().join(" + "))
        .collect();
    // As dosed, the same figure as on the page; the recipe's own is before doses are rounded.
    let far = expected.lights.first().map_or(0.0, |light| light.difference);
    let far = format!("{far:.1}");
    let reach = match &piece.reach {
        Some(reach) if !reach.within => format!("out of reach, {far}"),
        _ => far,
    };
    let (baths, sure) = (baths.join("; then "), expected.piece_spread90);
    say_wrapped("      ", 6, &format!("{baths}: {reach}, within {sure:.1}"));
}

/// The dyes of a piece with their depths, % owf, bath by bath: a blend in two baths has two.
fn baths(piece: &PiecePlan) -> Vec<Vec<(&str, f64)>> {
    let bulk = piece.sheets.iter().filter(|sheet| sheet.kind == "bulk");
    bulk.map(|sheet| sheet.dyes.iter().map(|d| (d.id.as_str(), d.owf_pct)).collect()).collect()
}

fn way(plan: &Plan, piece: &PiecePlan) -> String {
    match (&piece.class, piece.outcome, &piece.special.shares_with) {
        (_, Outcome::SharesBath, Some(other)) => {
            format!("in the bath of {}", name(plan, other))
        }
        (_, Outcome::Leave, _) => "leave as it is".to_owned(),
        (Some(class), Outcome::Bath | Outcome::SharesBath, _) => class.name.clone(),
        _ => "no bath yet".to_owned(),
    }
}
