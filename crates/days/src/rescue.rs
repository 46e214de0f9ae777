//! What to drop so that the rest is ready by the date.

use crate::ask::Ask;
use crate::clock::{minutes, whole};
use crate::job::{Attention, Worth};
use crate::read::units;
use crate::schedule::Planner;
use crate::timetable::{Dropped, Rescue, WhyDropped};

/// How many dropped pieces are tried again once the rest fits: each is a whole plan.
const SECOND_CHANCES: usize = 6;

struct Candidate {
    piece: String,
    worth: Worth,
    frees: i32,
    hopeless: Option<WhyDropped>,
}

/// Which pieces to drop, and which then are ready.
///
/// A piece that would be late even with the kitchen to itself goes first: it is in the way; one that
/// must be done is named last all the same. Then
/// pieces go by worth, and of equal worth the one that frees most attended time first, until the
/// rest is ready; the shortest such beginning of the list is found by halving. At last those of
/// most worth that were dropped are tried again beside the rest.
pub(crate) fn rescue(ask: &Ask, deadline: i32) -> Rescue {
    let (hopeless, mut rest): (Vec<Candidate>, Vec<Candidate>) =
        candidates(ask, deadline).into_iter().partition(|piece| piece.hopeless.is_some());
    rest.sort_by(|a, b| {
        (a.worth, std::cmp::Reverse(a.frees), &a.piece).cmp(&(
            b.worth,
            std::cmp::Reverse(b.frees),
            &b.piece,
        ))
    });
    let name = |piece: &Candidate| piece.piece.clone();
    let lost: Vec<String> = hopeless.iter().map(name).collect();
    let fits = |dropped: &[bool]| {
        let out = rest.iter().zip(dropped).filter(|(_, dropped)| **dropped);
        let gone: Vec<String> = lost.iter().cloned().chain(out.map(|(p, _)| name(p))).collect();
        ready(&ask.without(&gone), deadline)
    };
    let first = |count: usize| (0..rest.len()).map(|i| i < count).collect::<Vec<bool>>();
    // With everything dropped nothing is late.
    let (mut too_few, mut enough) = (None, rest.len());
    while enough > too_few.map_or(0, |few: usize| few + 1) {
        let low = too_few.map_or(0, |few| few + 1);
        let middle = low + (enough - low) / 2;
        if fits(&first(middle)) {
            enough = middle;
        } else {
            too_few = Some(middle);
        }
    }
    let mut dropped = first(enough);
    for again in (0..enough.saturating_sub(1)).rev().take(SECOND_CHANCES) {
        dropped[again] = false;
        dropped[again] = !fits(&dropped);
    }
    let enough = hopeless.iter().all(|piece| piece.worth != Worth::Must)
        && rest.iter().zip(&dropped).all(|(piece, &out)| !out || piece.worth != Worth::Must);
    let kept = rest.iter().zip(&dropped).filter(|(_, out)| !**out);
    let kept = in_order(ask, kept.map(|(piece, _)| name(piece)).collect());
    let out = rest.into_iter().zip(dropped).filter(|(_, out)| *out).map(|(piece, _)| piece);
    let mut drop: Vec<Candidate> = hopeless.into_iter().chain(out).collect();
    // What must be is named last, whatever is in its way.
    drop.sort_by_key(|piece| piece.worth == Worth::Must);
    let drop = drop.into_iter().map(|piece| Dropped {
        piece: piece.piece,
        frees: minutes(piece.frees),
        why: piece.hopeless.unwrap_or(WhyDropped::Crowded),
    });
    Rescue { kept, drop: drop.collect(), enough }
}

fn ready(ask: &Ask, deadline: i32) -> bool {
    units(ask).is_ok_and(|units| Planner::new(ask, &units).plan(Some(deadline)).done_by(deadline))
}

fn pieces(ask: &Ask) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for job in &ask.jobs {
        if !pieces.contains(&job.piece) {
            pieces.push(job.piece.clone());
        }
    }
    pieces
}

fn in_order(ask: &Ask, some: Vec<String>) -> Vec<String> {
    pieces(ask).into_iter().filter(|piece| some.contains(piece)).collect()
}

fn candidates(ask: &Ask, deadline: i32) -> Vec<Candidate> {
    pieces(ask)
        .into_iter()
        .map(|piece| {
            let jobs = || ask.jobs.iter().filter(|job| job.piece == piece);
            let stages = jobs().flat_map(|job| &job.stages);
            let attended =
                stages.filter(|stage| stage.attention != Attention::Away || stage.powder);
            Candidate {
                worth: jobs().map(|job| job.worth).max().unwrap_or(Worth::Could),
                frees: attended.map(|stage| whole(stage.minutes)).sum(),
                hopeless: hopeless(ask, &piece, deadline),
                piece,
            }
        })
        .collect()
}

/// Why a piece is late even alone; none when alone it is ready.
fn hopeless(ask: &Ask, piece: &str, deadline: i32) -> Option<WhyDropped> {
    let others: Vec<String> = pieces(ask).into_iter().filter(|other| other != piece).collect();
    let alone = ask.without(&others);
    let units = units(&alone).ok()?;
    let plan = Planner::new(&alone, &units).plan(Some(deadline));
    if plan.done_by(deadline) {
        return None;
    }
    if plan.placed.iter().any(Result::is_err) {
        return Some(WhyDropped::NoPlace);
    }
    let with = |still_coming: &dyn Fn(&str) -> bool| {
        let mut quick = alone.clone();
        for item in &mut quick.items {
            if !still_coming(&item.name) {
                item.days = 0;
            }
        }
        ready(&quick, deadline)
    };
    if !with(&|_| false) {
        return Some(WhyDropped::TooLongAlone);
    }
    let needed = |item: &str| alone.jobs.iter().any(|job| job.needs.iter().any(|it| it == item));
    let names = || alone.items.iter().map(|item| item.name.clone()).filter(|item| needed(item));
    let one_by_one: Vec<String> = names().filter(|item| !with(&|it| it == item)).collect();
    // When no single one is to blame they are all, together.
    let blame = if one_by_one.is_empty() { names().collect() } else { one_by_one };
    Some(WhyDropped::DeliveryTooLate(blame))
}
