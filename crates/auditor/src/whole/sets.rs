//! Rule 24: matched sets say what their pairs say, and what must match is never begun in a leftover bath.

use serde_json::Value;

use crate::Log;
use crate::read::{list, number, text};
use crate::whole::clock::{Book, Work};
use crate::whole::{Piece, named};

/// Half the last digit of a printed difference, twice, for two figures that are compared.
const PRINTED: f64 = 0.0051;
/// A bath is used again only for what is paler (trade.md F, carry), and paler must be seen: L*.
const PALER: f64 = 1.0;

pub(crate) fn check(log: &mut Log<'_>, plan: &Value, pieces: &[Piece<'_>]) {
    let fixed: Vec<&str> = list(plan, "fixed").filter_map(|f| text(f, "id")).collect();
    for set in list(plan, "sets") {
        let name = text(set, "name").unwrap_or_default();
        members(log, set, name, pieces, &fixed);
        figures(log, set, name);
    }
}

fn members(log: &mut Log<'_>, set: &Value, name: &str, pieces: &[Piece<'_>], fixed: &[&str]) {
    for member in list(set, "members") {
        let id = text(member, "id").unwrap_or_default();
        let ok = match text(member, "kind") {
            Some("fixed") => fixed.contains(&id),
            Some("dyed") => named(pieces, id).is_some_and(|p| {
                matches!(text(p.raw, "outcome"), Some("bath" | "shares-bath" | "leave"))
            }),
            Some("undecided") => named(pieces, id).is_some(),
            _ => false,
        };
        if !ok {
            log.about(24, id, format!("it is not in the plan as the set '{name}' says"));
        }
    }
    let decided: Vec<&str> = list(set, "members")
        .filter(|m| text(m, "kind") != Some("undecided"))
        .filter_map(|m| text(m, "id"))
        .collect();
    for (at, a) in decided.iter().enumerate() {
        for b in &decided[at + 1..] {
            let is_it = |p: &Value| {
                let ends = (text(p, "a"), text(p, "b"));
                ends == (Some(a), Some(b)) || ends == (Some(b), Some(a))
            };
            if list(set, "pairs").filter(|p| is_it(p)).count() != 1 {
                log.sheet(
                    24,
                    format!("set '{name}': {a} and {b} do not stand beside each other once"),
                );
            }
        }
    }
}

fn figures(log: &mut Log<'_>, set: &Value, name: &str) {
    let lights = list(set, "lights").count();
    let mut largest: f64 = 0.0;
    for pair in list(set, "pairs") {
        let differences: Vec<f64> = list(pair, "differences").filter_map(Value::as_f64).collect();
        let most = differences.iter().copied().fold(0.0, f64::max);
        let worst = number(pair, "worst");
        if differences.len() != lights || worst.is_none_or(|w| (w - most).abs() > PRINTED) {
            let ends = (text(pair, "a").unwrap_or_default(), text(pair, "b").unwrap_or_default());
            log.sheet(
                24,
                format!(
                    "set '{name}': the worst of {} and {} is not the largest of its lights",
                    ends.0, ends.1
                ),
            );
        }
        largest = largest.max(most);
    }
    let (Some(said), Some(passes)) = (number(set, "largest"), number(set, "passes")) else {
        log.sheet(24, format!("set '{name}' does not say its largest difference or what passes"));
        return;
    };
    if (said - largest).abs() > PRINTED {
        log.sheet(
            24,
            format!("set '{name}': its largest difference is {largest}, the set says {said}"),
        );
    }
    let holds = set.get("holds").and_then(Value::as_bool);
    // On the last printed digit either word may be right.
    let either = (largest - passes).abs() <= PRINTED;
    if holds.is_none() || (!either && holds != Some(largest <= passes)) {
        log.sheet(24, format!("set '{name}': its largest difference is {largest} and {passes} passes, which it does not say"));
    }
}

/// Leftover baths are offered from dark to pale where the class bears it, and never for a match.
pub(crate) fn leftovers(log: &mut Log<'_>, plan: &Value, book: &Book<'_>, pieces: &[Piece<'_>]) {
    for offer in list(book.raw, "leftovers") {
        let (from, to) =
            (text(offer, "from").unwrap_or_default(), text(offer, "to").unwrap_or_default());
        let (Some(one), Some(other)) = (named(pieces, from), named(pieces, to)) else {
            log.sheet(
                24,
                format!(
                    "a leftover bath goes from '{from}' to '{to}', which the plan does not know"
                ),
            );
            continue;
        };
        if from == to {
            log.about(24, to, "a piece is offered its own leftover bath");
        }
        let matched = text(other.raw, "set").is_some()
            || list(plan, "sets")
                .flat_map(|s| list(s, "members"))
                .any(|m| text(m, "id") == Some(to));
        let shared = list(plan, "pieces")
            .any(|p| text(p, "shares_with") == Some(to) && text(p, "set").is_some());
        if matched || shared {
            log.about(
                24,
                to,
                format!("it must match, and is offered what is left of the bath of {from}"),
            );
        }
        let ways = |p: &Piece<'_>| -> Vec<String> {
            p.of_kind("bulk").map(|s| s.procedure.to_owned()).collect()
        };
        let common: Vec<String> =
            ways(one).into_iter().filter(|w| ways(other).contains(w)).collect();
        // F, carry: reactive baths with alkali are never used again.
        if !common.iter().any(|way| !way.starts_with("reactive")) {
            log.about(24, to, format!("no bath of {from} may be used again for it"));
        }
        let lightness = |p: &Piece<'_>| {
            let of = |at: &str| p.raw.pointer(at).and_then(Value::as_f64);
            of("/expected/colour/lab/0").or_else(|| of("/target/lab/0"))
        };
        let paler = lightness(one).zip(lightness(other)).is_some_and(|(a, b)| b >= a + PALER);
        if !paler {
            log.about(
                24,
                to,
                format!("it is not paler than {from}, whose leftover bath it is offered"),
            );
        }
        let ends = book.of_piece(from, "bulk").map(|w: &Work<'_>| w.to).reduce(f64::max);
        let begins = book.of_piece(to, "bulk").map(|w| w.from).reduce(f64::min);
        if ends.zip(begins).is_none_or(|(ends, begins)| begins < ends) {
            log.about(
                24,
                to,
                format!("it is dyed before {from}, whose leftover bath it is offered"),
            );
        }
    }
}
