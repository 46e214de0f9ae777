//! The plan of swatches in words: what a swatch is for, when to stop, how to go on.

use recipe::Turn;

use crate::document::{SwatchStand, SwatchTurn, ToRead};
use crate::seen::sentence;

/// What is in doubt of a piece: its place, before, after.
type Doubt = (usize, f64, f64);

/// What the swatch at this place is for; none where it settles nothing, and what it takes of any doubt does not show at
/// the digit that is printed. `name` names a piece by its place.
pub(crate) fn turn<'n>(
    turns: &[Turn],
    at: usize,
    name: &dyn Fn(usize) -> &'n str,
) -> Option<String> {
    let turn = &turns[at];
    let (own, others): (Vec<usize>, Vec<usize>) =
        turn.settles.iter().partition(|piece| **piece == turn.piece);
    let others: Vec<&str> = others.into_iter().map(name).collect();
    let settled = |piece: usize| turns[..at].iter().any(|before| before.settles.contains(&piece));
    let shows = |d: &&Doubt| !settled(d.0) && digit(d.1) != digit(d.2);
    let falls = |d: &Doubt| d.1 - d.2;
    let open: Vec<&Doubt> = turn.doubts.iter().filter(shows).collect();
    let its = open.iter().find(|d| d.0 == turn.piece);
    let takes = its.map(|d| {
        format!("takes what is in doubt of its own recipe from {} to {}", digit(d.1), digit(d.2))
    });
    match (own.is_empty(), others.is_empty()) {
        (false, true) => Some("likely settles its own recipe".to_owned()),
        (false, false) => {
            Some(format!("likely settles its own recipe, and that of {}", others.join(", ")))
        }
        (true, false) => {
            let its = match takes {
                Some(takes) => takes,
                None if settled(turn.piece) => "its own is likely settled before it".to_owned(),
                None => "of its own it takes no doubt that shows".to_owned(),
            };
            Some(format!("likely settles the recipe of {}; {its}", others.join(", ")))
        }
        (true, true) => {
            // What it is dyed for may be another piece that it tells most of.
            let most = open.iter().filter(|d| d.0 != turn.piece);
            let most = most.max_by(|a, b| falls(a).total_cmp(&falls(b)));
            let more = most.filter(|most| its.is_none_or(|its| falls(most) > falls(its)));
            let other = more.map(|d| {
                format!(
                    "what is in doubt of the recipe of {} from {} to {}",
                    name(d.0),
                    digit(d.1),
                    digit(d.2)
                )
            });
            match (takes, other) {
                (Some(takes), None) => Some(takes),
                (Some(takes), Some(other)) => Some(format!("{takes}, and {other}")),
                (None, Some(other)) => {
                    let its = match settled(turn.piece) {
                        true => "its own is likely settled before it",
                        false => "of its own it takes no doubt that shows",
                    };
                    Some(format!("takes {other}; {its}"))
                }
                (None, None) => None,
            }
        }
    }
}

/// As it is printed.
fn digit(doubt: f64) -> String {
    format!("{doubt:.1}")
}

/// When to stop, and how to go on.
pub(crate) fn words(
    pieces: &[SwatchStand],
    turns: &[SwatchTurn],
    to_read: &[ToRead],
) -> Vec<String> {
    let settled = pieces.iter().filter(|p| p.settled).count();
    let of = format!("{settled} of {} pieces are settled", pieces.len());
    let mut said = vec![];
    if !to_read.is_empty() {
        let each: Vec<String> =
            to_read.iter().map(|one| format!("{} of {}", one.codes.join(", "), one.name)).collect();
        said.push(format!("read first what is dyed already: {}", each.join("; ")));
    }
    let provisional: Vec<String> = pieces
        .iter()
        .filter(|p| p.settled)
        .filter_map(|p| Some(format!("{} (card {})", p.name, p.card.as_ref()?)))
        .collect();
    if turns.is_empty() {
        said.push(match (to_read.is_empty(), provisional.is_empty()) {
            (false, _) => {
                format!("{of}; what is read tells whether a further swatch is worth its cloth")
            }
            (true, true) => {
                format!("stop swatching: {of}, and no further swatch is worth its cloth")
            }
            (true, false) => {
                format!("{of}, and no further swatch is worth its cloth for what it would tell")
            }
        });
    } else {
        let swatches = match turns.len() {
            1 => "1 swatch".to_owned(),
            n => format!("{n} swatches"),
        };
        said.push(format!("{of}; {swatches} would likely settle the rest that can be"));
        said.push(
            "Only the first is sure to be worth it. Dye it, read it dry and cool, record it, and ask again: what is \
             read may settle more than is foretold, or less"
                .to_owned(),
        );
        said.push(
            "Swatches of one class may stand in jars in one hot bath on one day: then dye the first few at once, and \
             ask again after that"
                .to_owned(),
        );
    }
    if !provisional.is_empty() {
        said.push(format!(
            "Settled, and their bulk sheets still provisional until a swatch by the card is good enough, or you sign \
             that there will be none: {}",
            provisional.join(", ")
        ));
    }
    said.iter().map(|s| sentence(s)).collect()
}
