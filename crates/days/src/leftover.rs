//! Baths that may be used again, dark to pale; offers, on which nothing relies.

use crate::ask::Ask;
use crate::clock::DAY;
use crate::job::{JobKind, JobPlace, Leftover};
use crate::place::Placed;
use crate::schedule::Schedule;
use crate::timetable::LeftoverOffer;
use crate::unit::Unit;

/// Who may begin in whose bath: the next paler piece of the same key that begins within a day of
/// the darker one's end. Each bath is offered once, and never to a piece of a match.
pub(crate) fn offers(ask: &Ask, units: &[Unit], plan: &Schedule) -> Vec<LeftoverOffer> {
    let mut baths: Vec<Bath<'_>> = Vec::new();
    for (unit, placed) in units.iter().zip(&plan.placed) {
        let &[job] = unit.members.as_slice() else { continue };
        let it = &ask.jobs[job];
        let (Leftover::Key { key, matched }, JobKind::Bulk, JobPlace::Pot(_), Ok(placed)) =
            (&it.leftover, it.kind, &it.place, placed)
        else {
            continue;
        };
        let Some(end) = left_at(unit, placed) else { continue };
        let darkness = it.darkness.to_fraction();
        baths.push(Bath { job, key, matched: *matched, darkness, start: placed.start(), end });
    }
    baths.sort_by(|a, b| b.darkness.total_cmp(&a.darkness).then(a.job.cmp(&b.job)));
    let below = ask.judgement.leftover_below.to_fraction();
    let mut taken = vec![false; baths.len()];
    let mut offers = Vec::new();
    for (index, from) in baths.iter().enumerate() {
        let next = (index + 1..baths.len()).find(|&other| {
            let to = &baths[other];
            !taken[other]
                && !to.matched
                && to.key == from.key
                && from.darkness - to.darkness >= below
                && (from.end..=from.end + DAY).contains(&to.start)
        });
        if let Some(other) = next {
            taken[other] = true;
            let to = &baths[other];
            offers.push(LeftoverOffer { from: from.job, to: to.job, key: from.key.to_owned() });
        }
    }
    offers
}

/// When the goods leave the pot for good.
fn left_at(unit: &Unit, placed: &Placed) -> Option<i32> {
    let last = unit.blocks.iter().rposition(|block| block.in_pot.is_some())?;
    let fit = &placed.fits[last];
    match unit.gaps.get(last) {
        Some(gap) if gap.holds_pot => Some(placed.fits[last + 1].start),
        _ => Some(fit.start + unit.blocks[last].in_pot?.1),
    }
}

struct Bath<'a> {
    job: usize,
    key: &'a str,
    matched: bool,
    darkness: f64,
    start: i32,
    end: i32,
}
