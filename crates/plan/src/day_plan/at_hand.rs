//! What has to be at hand and is not ordered by parcel: what a food shop has, and what the shelf file does not
//! tell, so that the maker is asked.

use std::collections::BTreeMap;

use days::{Ask, JobKind, Timetable};
use units::Day;

use crate::Request;
use crate::document::{AtHandSeen, PiecePlan, ScourSeen, Shopping, ShoppingRow};

use super::parcels;
use crate::shopping::{WATER, bought};

/// What to look for or buy, the most urgent first.
pub(super) fn at_hand(
    request: &Request,
    ask: &Ask,
    found: &Timetable,
    (pieces, scours): (&[PiecePlan], &[ScourSeen]),
    shopping: &Shopping,
) -> Vec<AtHandSeen> {
    let first = first_days(ask, found, pieces, scours);
    let mut seen: Vec<AtHandSeen> = shopping
        .rows
        .iter()
        .filter(|row| row.ask.is_some() || row.short_g.is_some())
        .filter(|row| !parcels::waits(request, row))
        .filter_map(|row| {
            let used = *first.get(row.item.as_str())?;
            Some(one(request, row, used))
        })
        .collect();
    seen.sort_by(|a, b| (&a.by, &a.item).cmp(&(&b.by, &b.item)));
    seen
}

fn one(request: &Request, row: &ShoppingRow, used: Day) -> AtHandSeen {
    // What no food shop has comes by parcel when it is not there after all.
    let shop = parcels::in_food_shops(request, row);
    let promised = request.costume.calendar.delivery_days;
    let order = if shop { Some(used) } else { parcels::last_order(request.today, promised, used) };
    AtHandSeen {
        item: row.item.clone(),
        name: row.name.clone(),
        need: need(request, row),
        ask: row.ask.is_some(),
        food_shop: shop,
        too_late: order.is_none(),
        by: order.unwrap_or(used).max(request.today).to_string(),
        used: used.to_string(),
        pieces: row.pieces.clone(),
    }
}

/// All of it where nobody knows what is there; what is missing, in packs, where it is short.
fn need(request: &Request, row: &ShoppingRow) -> String {
    let Some(short) = row.short_g.filter(|_| row.ask.is_none()) else { return row.need.clone() };
    let water = row.notes.iter().find_map(|note| note.strip_prefix(WATER));
    let water = water.and_then(|words| words.split(',').next());
    let more = format!("{} more", bought(request, &row.item, short));
    let more = water.map_or_else(|| more.clone(), |words| format!("{more}, and {words}"));
    match (row.packs, row.pack_g) {
        (Some(1), Some(grams)) => format!("{more}: 1 pack of {grams} g"),
        (Some(n), Some(grams)) => format!("{more}: {n} packs of {grams} g"),
        _ => more,
    }
}

/// The first day on which each dye and auxiliary is used.
fn first_days<'p>(
    ask: &Ask,
    found: &Timetable,
    pieces: &'p [PiecePlan],
    scours: &'p [ScourSeen],
) -> BTreeMap<&'p str, Day> {
    let mut first: BTreeMap<&str, Day> = BTreeMap::new();
    let mut on = |id: &'p str, used: Day| {
        let day = first.entry(id).or_insert(used);
        *day = (*day).min(used);
    };
    for entry in &found.entries {
        for job in entry.jobs.iter().map(|&job| &ask.jobs[job]) {
            if job.kind == JobKind::Scour {
                let of = scours.iter().filter(|scour| scour.pieces.contains(&job.piece));
                of.flat_map(|scour| &scour.auxiliaries)
                    .for_each(|aux| on(&aux.id, entry.start.day));
            }
            let kind = match job.kind {
                JobKind::Swatch => "swatch",
                JobKind::Bulk => "bulk",
                _ => continue,
            };
            let sheets = pieces.iter().filter(|piece| piece.id == job.piece);
            let sheets = sheets.flat_map(|piece| &piece.sheets).filter(|sheet| sheet.kind == kind);
            for sheet in sheets {
                let dyes = sheet.dyes.iter().map(|dye| dye.id.as_str());
                for id in dyes.chain(sheet.auxiliaries.iter().map(|aux| aux.id.as_str())) {
                    on(id, entry.start.day);
                }
            }
        }
    }
    first
}
