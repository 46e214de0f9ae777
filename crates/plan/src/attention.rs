//! What the maker must look at first, and what to do next, over the whole costume.

use crate::Request;
use crate::day_plan::jars;
use crate::document::{DayPlan, Outcome, PiecePlan, Say, SetSeen};
use crate::rests;

/// Attention and next steps.
pub(crate) fn of(
    request: &Request,
    pieces: &[PiecePlan],
    sets: &[SetSeen],
    days: Option<&DayPlan>,
) -> (Vec<String>, Vec<String>) {
    (attention(request, pieces, sets, days), next(request, pieces, days))
}

/// So many readings that cannot well be believed are asked about one by one; of more the first are named (judgement: who has
/// hundreds of them looks for what they have in common).
const MOST_ASKED: usize = 6;
const MOST_NAMED: usize = 12;

/// Readings that cannot well be believed, each as a question, the furthest off first where there are many.
fn asked(request: &Request) -> Vec<String> {
    let mut asked: Vec<_> = request.taught.iter().flat_map(|t| rests::workbook(t).asked).collect();
    if asked.len() > MOST_ASKED {
        asked.sort_by(|a, b| b.off.total_cmp(&a.off));
    }
    let (first, more) = asked.split_at(asked.len().min(MOST_ASKED));
    let mut said: Vec<String> = first.iter().map(|one| one.words.clone()).collect();
    if !more.is_empty() {
        let codes: Vec<&str> =
            more.iter().flat_map(|one| &one.swatches).map(String::as_str).collect();
        let named = codes.iter().take(MOST_NAMED).copied().collect::<Vec<_>>().join(", ");
        let others = match codes.len().saturating_sub(MOST_NAMED) {
            0 => String::new(),
            n => format!(" and {n} more"),
        };
        said.push(format!(
            "{} more readings lie further from what was expected than swatches do, and move no recipe alone or are asked \
             about likewise: {named}{others}. So many have something in common: the lamp, the camera, or a dye that is another \
             than the shelf says.",
            more.len()
        ));
    }
    said
}

fn attention(
    request: &Request,
    pieces: &[PiecePlan],
    sets: &[SetSeen],
    days: Option<&DayPlan>,
) -> Vec<String> {
    let mut said = vec![];
    if let Some(row) = request.lore.no_burner().filter(|_| request.costume.kitchen.burners == 0) {
        let kitchen = &request.costume.kitchen;
        let has = kitchen.machine.is_some() && kitchen.methods.contains(&lore::Method::Machine);
        let machine = if has { format!(" {}", row.machine) } else { String::new() };
        said.push(format!("{}{machine} {}", row.can, row.cannot));
    }
    said.extend(asked(request));
    for set in sets.iter().filter(|s| !s.holds) {
        let mend = set.mend.first().map_or(String::new(), |m| format!(" What would mend it: {m}"));
        said.push(format!("{}{mend}", set.verdict));
    }
    if let Some(days) = days.filter(|d| !d.fits) {
        said.push(format!("The days: {}", days.verdict));
    }
    for order in days.iter().flat_map(|d| &d.orders).filter(|o| !o.in_time) {
        said.push(format!(
            "{} comes too late even if ordered today ({}): use what is on the shelf, or another recipe.",
            order.name, order.comes
        ));
    }
    if let Some(day) = request.costume.day {
        let left = request.today.days_until(day);
        if left < 0 {
            said.push(format!("The day in the file, {day}, is past."));
        } else if left < 14 {
            said.push(format!("{left} days are left until {day}: swatches come first, today."));
        }
    }
    for piece in pieces {
        if piece.outcome == Outcome::NoBath {
            said.push(format!("{}: no bath. {}", piece.name, piece.why));
        }
    }
    for piece in pieces {
        let far = |r: &&crate::document::ReachSeen| !r.within && !passes(request, piece, r.gap);
        if let Some(reach) = piece.reach.as_ref().filter(far) {
            let limits = reach.limits.first().map_or("", String::as_str);
            if piece.advice.iter().any(|a| a.id == "heather") {
                said.push(format!(
                    "{}: out of reach by {:.1}, as a whole. {limits}",
                    piece.name, reach.gap
                ));
                continue;
            }
            // The recipe taken may lie further off than the nearest colour: it also counts dyes and doubt.
            let comes_to =
                piece.expected.as_ref().and_then(|e| e.lights.first()).map(|l| l.difference);
            let recipe =
                comes_to.map_or_else(String::new, |d| format!("; the recipe comes to {d:.1}"));
            said.push(format!(
                "{}: out of reach by {:.1}{recipe}. What limits it: {limits}",
                piece.name, reach.gap
            ));
        }
    }
    for piece in pieces {
        for advice in &piece.advice {
            let loud = [
                "metamerism",
                "swatch-ratio",
                "low-ratio",
                "fair-class",
                "no-surface",
                "heather",
                "swatch-day",
                "paler",
                "brightened",
                "kit",
                "two-baths-chosen",
            ];
            if loud.contains(&advice.id.as_str()) && !advice.overruled {
                said.push(format!("{}: {}", piece.name, advice.text));
            }
        }
    }
    let wide = pieces.iter().filter(|p| p.advice.iter().any(|a| a.id == "spread")).count();
    if wide > 0 {
        let because = match request.taught {
            None => "The dyes are known by estimate",
            Some(_) => "Not all dyes are known well enough yet",
        };
        said.push(format!(
"{because}: the first dyeing of {wide} of {} pieces may land further off than passes, even where \
             the recipe matches on paper. That is what the swatches are for.",
            pieces.len()
        ));
    }
    said
}

/// Whether a gap passes from where the piece is seen.
fn passes(request: &Request, piece: &PiecePlan, gap: f64) -> bool {
    let asked = request.costume.pieces.iter().find(|p| p.id == piece.id);
    asked.is_some_and(|p| p.viewing.passes(gap))
}

fn next(request: &Request, pieces: &[PiecePlan], days: Option<&DayPlan>) -> Vec<String> {
    let mut steps = vec![];
    if let Some(days) = days.filter(|days| !days.fits && !days.drop_first.is_empty()) {
        let drop: Vec<&str> = days.drop_first.iter().map(|d| d.name.as_str()).collect();
        steps.push(format!(
            "Decide about the day: leave out {} as the day plan says, give more hours or weekdays under \
             calendar, or move the day; then plan again. Till then the days put first what can still be ready.",
            drop.join(", ")
        ));
    }
    let orders: Vec<String> = days
        .iter()
        .flat_map(|d| &d.orders)
        .filter(|o| o.in_time)
        .map(|o| format!("{} (by {})", o.name, o.order_by))
        .collect();
    if !orders.is_empty() {
        steps.push(format!("Order what is missing: {}.", orders.join("; ")));
    }
    steps.extend(days.and_then(shop));
    steps.extend(days.and_then(look));
    let tests: Vec<&str> =
        pieces.iter().filter(|p| !p.tests.is_empty()).map(|p| p.name.as_str()).collect();
    if !tests.is_empty() {
        steps.push(format!(
            "Test a snip of {} as the plan says, write what you see under tests in the costume file, \
             and plan again.",
            tests.join(", ")
        ));
    }
    let stopped: Vec<&str> = pieces
        .iter()
        .filter(|p| p.outcome == Outcome::NoBath && p.tests.is_empty())
        .map(|p| p.name.as_str())
        .collect();
    if !stopped.is_empty() {
        steps.push(format!(
            "Settle what stops {}: the reason stands under what needs attention. Change the costume or the \
             shelf file, and plan again.",
            stopped.join(", ")
        ));
    }
    let again: Vec<(&str, String)> = request
        .with_bath(pieces)
        .filter(|(_, p)| provisional(p) && !recorded(p))
        .filter_map(|(_, p)| Some((p.id.as_str(), to_read_again(request, p)?)))
        .collect();
    let swatches: Vec<&str> = request
        .with_bath(pieces)
        .filter(|(_, p)| provisional(p) && !recorded(p) && !again.iter().any(|(id, _)| *id == p.id))
        .map(|(_, p)| p.name.as_str())
        .collect();
    steps.extend(done(request, pieces));
    steps.extend(jars::wanted(pieces));
    if !again.is_empty() {
        let each: Vec<&str> = again.iter().map(|(_, words)| words.as_str()).collect();
        steps.push(format!(
            "Read again, dry and in the same light, before anything more is dyed for it, and record that reading: {}. \
             Its judgement says why (dyewright correct FILE PIECE).",
            each.join(", ")
        ));
    }
    if !swatches.is_empty() {
        steps.push(format!("Dye the swatches first: {}.", swatches.join(", ")));
        steps.push(
            "Judge each swatch dry and cool, in daylight and under one lamp. Note it as really dosed and as read, \
             and record it (dyewright swatch record FILE: the page of cards ends with a file of swatches to fill in). \
             Then plan again: a swatch that is good enough makes its bulk sheet final, and for any other the plan has \
             the next recipe, and its judgement says why (dyewright correct FILE PIECE)."
                .to_owned(),
        );
    }
    let bulk = request
        .with_bath(pieces)
        .filter(|(_, p)| !provisional(p) && !whole(p))
        .map(|(_, p)| p.name.as_str())
        .collect::<Vec<_>>();
    if !bulk.is_empty() {
        steps.push(format!("Dye in bulk: {}.", bulk.join(", ")));
    }
    steps
}

/// What is short and any food shop has.
fn shop(days: &DayPlan) -> Option<String> {
    let short = days.at_hand.iter().filter(|one| !one.ask);
    let each: Vec<String> =
        short.map(|one| format!("{}, {} (by {})", one.name, one.need, one.by)).collect();
    (!each.is_empty()).then(|| format!("Buy, in a food shop: {}.", each.join("; ")))
}

/// What nobody said is there.
fn look(days: &DayPlan) -> Option<String> {
    let unknown = days.at_hand.iter().filter(|one| one.ask);
    let first = unknown.clone().next()?;
    let each: Vec<&str> = unknown.map(|one| one.name.as_str()).collect();
    Some(format!(
        "Look whether you have what the shelf file does not count, the first of it by {}, and buy what is not \
         there: {}. How much of each stands in the day plan; written into the shelf file, it is not asked again.",
        first.by,
        each.join("; ")
    ))
}

/// The swatch of a piece that is to be read again before another is dyed.
fn to_read_again(request: &Request, piece: &PiecePlan) -> Option<String> {
    let goes_by = piece.special.rests_on.as_ref()?.goes_by.as_ref();
    let code = match goes_by {
        Some(swatch) => (swatch.say == Say::ReadAgain).then(|| swatch.swatch.clone()),
        None => {
            let held_out = request.taught?.held_out_of(&request.costume.name, &piece.id);
            held_out.map(|lesson| lesson.code.clone())
        }
    }?;
    Some(format!("swatch {code} of {}", piece.name))
}

/// What is dyed already: swatches to be read, pieces to be judged.
fn done(request: &Request, pieces: &[PiecePlan]) -> Vec<String> {
    let of = |whole: bool| {
        let recorded =
            request.with_bath(pieces).filter_map(|(_, p)| Some((p, p.special.recorded.as_ref()?)));
        recorded.filter(move |(_, recorded)| recorded.whole == whole)
    };
    let mut steps = vec![];
    let unread: Vec<String> =
        of(false).map(|(p, r)| format!("{} of {}", r.unread.join(", "), p.name)).collect();
    if !unread.is_empty() {
        steps.push(format!(
            "Dyed and not read yet: {}. Read each when it is washed off, dry, cool and ironed, and record the reading \
             (dyewright swatch record FILE); then plan again. Its card need not be printed again.",
            unread.join("; ")
        ));
    }
    steps.extend(of(true).map(|(p, r)| format!("{}: {}", p.name, r.words)));
    steps
}

/// Whether a swatch of it waits to be read, or the piece itself is dyed.
fn recorded(piece: &PiecePlan) -> bool {
    piece.special.recorded.is_some()
}

/// Whether the piece itself is dyed.
fn whole(piece: &PiecePlan) -> bool {
    piece.special.recorded.as_ref().is_some_and(|recorded| recorded.whole)
}

/// Whether a bulk sheet still waits for its swatch.
fn provisional(piece: &PiecePlan) -> bool {
    piece.sheets.iter().any(|s| s.first_line.is_some())
}
