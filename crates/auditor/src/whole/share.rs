//! Rule 21: no piece is split over two baths, only like cloth shares one, and who shares stands on the sheet.

use serde_json::Value;

use crate::Log;
use crate::read::{Goods, Sheet, list, text};
use crate::whole::{Piece, named};

/// How far two printed L*a*b* figures may lie apart and be the same cloth (a digit of print).
const SAME_LOOK: f64 = 0.15;

pub(crate) fn check(log: &mut Log<'_>, pieces: &[Piece<'_>]) {
    for piece in pieces {
        for sheet in &piece.sheets {
            one_bath(log, pieces, piece, sheet);
        }
        follower(log, pieces, piece);
    }
    not_split(log, pieces);
}

/// The pieces a sheet says lie in its bath.
pub(crate) fn members<'a>(sheet: &Sheet<'a>) -> Vec<&'a str> {
    list(sheet.raw, "pieces").filter_map(Value::as_str).collect()
}

fn one_bath(log: &mut Log<'_>, pieces: &[Piece<'_>], owner: &Piece<'_>, sheet: &Sheet<'_>) {
    let inside = members(sheet);
    if !inside.contains(&owner.id) {
        log.about(
            21,
            owner.id,
            format!("its {} sheet does not say that the piece is in the bath", sheet.kind),
        );
    }
    for (at, id) in inside.iter().enumerate() {
        if inside[..at].contains(id) {
            log.about(21, id, "it stands twice on one sheet");
        }
        let Some(piece) = named(pieces, id) else {
            log.about(
                21,
                id,
                format!("it is in the bath of {}, and the plan does not know it", owner.id),
            );
            continue;
        };
        if piece.id == owner.id {
            continue;
        }
        if shares_with(piece) != Some(owner.id) || text(piece.raw, "outcome") != Some("shares-bath")
        {
            log.about(21, id, format!("it is in the bath of {}, and does not say so", owner.id));
        }
        alike(log, owner, piece);
    }
}

/// Unlike cloth never shares a bath: neither the fibre nor the undyed look may differ.
fn alike(log: &mut Log<'_>, a: &Piece<'_>, b: &Piece<'_>) {
    let none = Value::Null;
    let goods = |p: &Piece<'_>| p.raw.get("goods").unwrap_or(&none).clone();
    let (one, other) = (goods(a), goods(b));
    let (one, other) = (Goods::of(&one), Goods::of(&other));
    if one.known != Some(true)
        || other.known != Some(true)
        || one.material != other.material
        || one.fibres != other.fibres
    {
        log.about(
            21,
            b.id,
            format!("it shares the bath of {}, and is not of the same fibre", a.id),
        );
    }
    let look = |p: &Piece<'_>| -> Vec<f64> {
        let lab = p.raw.pointer("/cloth/lab").and_then(Value::as_array);
        lab.into_iter().flatten().filter_map(Value::as_f64).collect()
    };
    let (one, other) = (look(a), look(b));
    let same = one.len() == 3 && other.len() == 3;
    if !same || one.iter().zip(&other).any(|(a, b)| (a - b).abs() > SAME_LOOK) {
        log.about(
            21,
            b.id,
            format!("it shares the bath of {}, and undyed it does not look the same", a.id),
        );
    }
}

fn shares_with<'a>(piece: &Piece<'a>) -> Option<&'a str> {
    text(piece.raw, "shares_with")
}

/// A piece that lies in another's bath stands on every sheet of that bath, and has none of its own.
fn follower(log: &mut Log<'_>, pieces: &[Piece<'_>], piece: &Piece<'_>) {
    let shares = text(piece.raw, "outcome") == Some("shares-bath");
    let Some(leader) = shares_with(piece) else {
        if shares {
            log.about(21, piece.id, "it shares a bath, and the plan does not say whose");
        }
        return;
    };
    if !shares {
        log.about(
            21,
            piece.id,
            format!("it says it lies in the bath of {leader}, and has another outcome"),
        );
    }
    let Some(leader) = named(pieces, leader).filter(|l| l.id != piece.id) else {
        log.about(
            21,
            piece.id,
            format!("it lies in the bath of '{leader}', which is no other piece of the plan"),
        );
        return;
    };
    let mut bulks = leader.of_kind("bulk").peekable();
    if bulks.peek().is_none() {
        log.about(21, piece.id, format!("it lies in the bath of {}, which has none", leader.id));
    }
    if bulks.any(|sheet| !members(sheet).contains(&piece.id)) {
        log.about(
            21,
            piece.id,
            format!("it lies in the bath of {}, whose sheet does not name it", leader.id),
        );
    }
}

/// No garment is split: a piece stands on one bulk sheet of a procedure. Two baths of a blend are two
/// procedures, one after the other.
fn not_split(log: &mut Log<'_>, pieces: &[Piece<'_>]) {
    let mut seen: Vec<(&str, &str)> = Vec::new();
    for sheet in pieces.iter().flat_map(|p| p.of_kind("bulk")) {
        for id in members(sheet) {
            if seen.contains(&(id, sheet.procedure)) {
                log.about(
                    21,
                    id,
                    format!(
                        "it stands on two bulk sheets of '{}': a piece is never split",
                        sheet.procedure
                    ),
                );
            }
            seen.push((id, sheet.procedure));
        }
    }
}
