//! What is scoured before it is dyed: every piece with a bath, unless the maker says it was; pieces of one scour share
//! a bath where the trade lets them and a vessel takes it.

use bath::{Kind, Order, Scour, may_scour_together, scour};
use costume::{GroundGiven, Piece};
use dyeing::Look;
use lore::{GoodsForm, Group, ScourNeed};

use crate::Request;
use crate::document::{PiecePlan, ScourSeen, VesselSeen};
use crate::making::Ordered;
use crate::piece::Decided;
use crate::seen::{print, sentence};
use crate::sheets;

/// Pieces in one scour bath: more are not turned by one pair of hands (judgement).
const MOST_TOGETHER: usize = 6;
/// Litres to the kilogram that pieces together keep to: they must not crowd (judgement).
const LEAST_TOGETHER: f64 = 15.0;

/// A piece to be scoured.
struct Wanted<'d, 'a> {
    piece: &'a Piece,
    decided: &'d Decided<'a>,
    need: ScourNeed,
    /// Goods of another's colour or soil never lie with it.
    alone: bool,
}

/// The scours of a costume, numbered by programme and then by the first of their pieces in the alphabet, so that the
/// order of pieces in the file changes nothing.
pub(crate) fn scours(request: &Request, decided: &[Decided]) -> Vec<ScourSeen> {
    let wanted: Vec<Wanted> = decided.iter().filter_map(|one| wanted(request, one)).collect();
    let ordered: Vec<Ordered> = wanted.iter().filter_map(|one| ordered(request, one)).collect();
    let orders: Vec<Order> = wanted
        .iter()
        .zip(&ordered)
        .filter_map(|(one, ordered)| {
            let found = one.decided.found()?;
            let (offer, asked) = (&found.way.offer, &found.way.asked);
            Some(ordered.order(request, one.piece, offer, asked, Kind::Bulk))
        })
        .collect();
    let most = MOST_TOGETHER.min(request.costume.kitchen.drying.max(1));
    let mut loads: Vec<(Vec<usize>, Scour)> = vec![];
    for (at, order) in orders.iter().enumerate() {
        let one = &wanted[at];
        let joined = loads.iter().position(|(members, _)| {
            let lead = members[0];
            let needs = (wanted[lead].need, one.need);
            members.len() < most
                && !one.alone
                && !wanted[lead].alone
                && needs.0 == needs.1
                && may_scour_together(&orders[lead], order, needs).unwrap_or(false)
                && together(&orders, members, at, one.need).is_some()
        });
        if let Some((members, bath)) = joined.map(|load| &mut loads[load])
            && let Some(both) = together(&orders, members, at, one.need)
        {
            members.push(at);
            *bath = both;
        } else if let Ok(own) = scour(&[order], one.need) {
            loads.push((vec![at], own));
        }
    }
    loads.sort_by_cached_key(|(members, bath)| {
        let first = members.iter().map(|&at| wanted[at].piece.id.as_str()).min();
        (bath.programme.clone(), first.unwrap_or_default().to_owned())
    });
    let seen = |(n, (members, bath)): (usize, &(Vec<usize>, Scour))| {
        let pieces: Vec<&Piece> = members.iter().map(|&at| wanted[at].piece).collect();
        seen(request, n + 1, &pieces, wanted[members[0]].need, bath)
    };
    loads.iter().enumerate().map(seen).collect()
}

/// The bath of a load with one piece more, where a vessel takes it without crowding.
fn together(orders: &[Order], members: &[usize], more: usize, need: ScourNeed) -> Option<Scour> {
    let all: Vec<&Order> = members.iter().chain([&more]).map(|&at| &orders[at]).collect();
    let bath = scour(&all, need).ok()?;
    let roomy = bath.ratio.to_litres_per_kilogram() >= LEAST_TOGETHER - 1e-9;
    (bath.at_hand.is_some() && roomy).then_some(bath)
}

fn wanted<'d, 'a>(request: &Request, one: &'d Decided<'a>) -> Option<Wanted<'d, 'a>> {
    let piece = one.piece;
    one.found()?;
    // What was dyed whole has nothing left that a scour would take off.
    let dyed = request.taught.and_then(|t| t.whole_of(&request.costume.name, &piece.id));
    if piece.scoured || dyed.is_some() {
        return None;
    }
    let natural = matches!(piece.ground, GroundGiven::Assumed(Look::Natural));
    let cloth = request.lore.materials_of(&piece.goods.makeup);
    let plant = cloth.iter().any(|m| m.group == Group::Cellulose);
    let need = match piece.goods.form {
        GoodsForm::Worn => ScourNeed::Worn,
        form if natural && plant && !form.is_made_up() => ScourNeed::Loomstate,
        _ => ScourNeed::New,
    };
    let company = request.lore.scour_reason(need).is_some_and(|reason| reason.with_others);
    // Cloth that has a colour already may give some of it off.
    let coloured = matches!(piece.ground, GroundGiven::Read(_));
    Some(Wanted { piece, decided: one, need, alone: !company || coloured })
}

/// What the order of a scour borrows: the goods and the vessels, and no dye. A jar is no scour bath.
fn ordered<'a>(request: &Request<'a>, one: &Wanted<'_, 'a>) -> Option<Ordered<'a>> {
    let found = one.decided.found()?;
    Some(Ordered::of(request, one.piece, &found.way.asked, &[]).without_glass())
}

fn seen(
    request: &Request,
    n: usize,
    pieces: &[&Piece],
    need: ScourNeed,
    bath: &Scour,
) -> ScourSeen {
    let hottest = bath.steps.iter().map(|step| step.to.to_degrees()).fold(0.0, f64::max);
    let reason = request.lore.scour_reason(need);
    ScourSeen {
        n,
        pieces: pieces.iter().map(|piece| piece.id.clone()).collect(),
        names: pieces.iter().map(|piece| piece.name.clone()).collect(),
        need: need.id().to_owned(),
        why: reason.map_or_else(String::new, |reason| sentence(&reason.says)),
        programme: bath.programme.clone(),
        title: bath.title.clone(),
        dry_g: print(bath.dry.to_grams(), 1),
        liquor_ratio: print(bath.ratio.to_litres_per_kilogram(), 1),
        liquor_ml: bath.liquor_ml.value(),
        top_c: print(hottest, 0),
        vessel: VesselSeen {
            words: bath.vessel.words.clone(),
            material: bath.vessel.material.clone(),
        },
        auxiliaries: bath
            .auxiliaries
            .iter()
            .map(|aux| sheets::auxiliary(aux, request.shelf))
            .collect(),
        steps: bath.steps.iter().map(sheets::step).collect(),
        total_min: print(bath.total.to_minutes(), 0),
        accept: request.lore.drop_test().map_or_else(String::new, |test| test.says.clone()),
        notes: bath.notes.clone(),
    }
}

/// Says at the head of each piece's first baths which scour goes before them.
pub(crate) fn tell(scours: &[ScourSeen], pieces: &mut [PiecePlan]) {
    for piece in pieces {
        let Some(scour) = scours.iter().find(|scour| scour.pieces.contains(&piece.id)) else {
            continue;
        };
        piece.special.scour = Some(scour.n);
        let with: Vec<&str> = scour
            .pieces
            .iter()
            .zip(&scour.names)
            .filter(|(id, _)| **id != piece.id)
            .map(|(_, name)| name.as_str())
            .collect();
        let with = match with.as_slice() {
            [] => String::new(),
            names => format!(", together with {}", names.join(", ")),
        };
        let n = scour.n;
        // Of two baths the goods are scoured before the first only.
        let mut told: Vec<&str> = vec![];
        for sheet in piece.sheets.iter_mut() {
            if told.contains(&sheet.kind) {
                continue;
            }
            told.push(sheet.kind);
            sheet.scour = Some(match sheet.kind {
                "swatch" => format!(
                    "The cloth of this swatch is scoured as the goods are, scour {n}: {}.",
                    sheet.goods.weight_from
                ),
                _ => format!(
                    "Scour {n} goes before this bath{with}: {} L at {} °C. Weigh the goods when they are dry again.",
                    units::trimmed(scour.liquor_ml / 1000.0, 1),
                    units::trimmed(scour.top_c, 0)
                ),
            });
        }
    }
}
