//! A timetable told in words: days with their work, what to order until when, what to drop first.

use std::collections::BTreeMap;

use days::{
    Ask, AskRefusal, Attention, Date, Entry, JobKind, Moment, Timetable, Unplaced, WashReason,
    Washed, WhyDropped, WhyUnplaced,
};
use units::{Day, Minutes};

use crate::Request;
use crate::day_plan::parcels::last_order;
use crate::document::{
    DayItem, DayLimits, DayPlan, DaySeen, DropSeen, LeftoverSeen, NoPlaceSeen, OrderSeen,
    PiecePlan, ScourSeen, Shopping,
};
use crate::seen::{print, sentence};

use super::jobs::{FIRST_BATH, SECOND_BATH};
use super::other_recipe::{self, Offer};
use super::{at_hand, jars};

/// A day has so many minutes.
const DAY_MIN: f64 = 1440.0;

/// Tells a timetable.
pub(crate) fn told(
    request: &Request,
    pieces: &[PiecePlan],
    scours: &[ScourSeen],
    shopping: &Shopping,
    ask: &Ask,
    found: &Timetable,
) -> DayPlan {
    let named = |id: &str| name(pieces, id);
    let days = days(ask, found, pieces, &named);
    let (fits, latest_start) = match &found.date {
        Date::Open => (true, None),
        Date::Kept { latest_start, .. } => (true, Some(latest_start.to_string())),
        Date::Missed { .. } => (false, None),
    };
    let fits = fits && found.unplaced.is_empty();
    let instead = other_recipe::offers(ask, found, pieces, shopping);
    let (drop_first, still_possible) = match &found.date {
        // A day that is past is a slip of the file: nothing that is dropped brings it back.
        Date::Missed { .. } if past(ask).is_some() => (vec![], vec![]),
        Date::Missed { rescue } => (
            rescue
                .drop
                .iter()
                .filter(|d| instead.iter().all(|offer| offer.piece != d.piece))
                .map(|d| DropSeen {
                    piece: d.piece.clone(),
                    name: named(&d.piece),
                    why: sentence(&dropped(d, shopping)),
                })
                .collect(),
            rescue.kept.clone(),
        ),
        Date::Open | Date::Kept { .. } => (vec![], vec![]),
    };
    DayPlan {
        fits,
        done: found.finish.map(|m| m.day.to_string()),
        latest_start,
        verdict: verdict(ask, found, &instead),
        limits: limits(request, ask),
        days,
        orders: orders(request, ask, found, shopping),
        at_hand: at_hand::at_hand(request, ask, found, (pieces, scours), shopping),
        drop_first,
        still_possible,
        no_place: found.unplaced.iter().map(|u| no_place(ask, u, &named)).collect(),
        leftovers: leftovers(request, ask, found, pieces),
        rules: rules(),
    }
}

/// What is said when the question itself made no sense.
pub(crate) fn refused(request: &Request, ask: &Ask, refusal: &AskRefusal) -> DayPlan {
    DayPlan {
        fits: false,
        done: None,
        latest_start: None,
        verdict: sentence(&format!("no day plan: {}", why_refused(refusal))),
        limits: limits(request, ask),
        days: vec![],
        orders: vec![],
        at_hand: vec![],
        drop_first: vec![],
        still_possible: vec![],
        no_place: vec![],
        leftovers: vec![],
        rules: rules(),
    }
}

/// Why there is no day plan, as far as the maker's file can mend it; how jobs hang together is no business of theirs.
fn why_refused(refusal: &AskRefusal) -> String {
    match refusal {
        AskRefusal::NoHands
        | AskRefusal::NoHours(_)
        | AskRefusal::PastMidnight(_)
        | AskRefusal::NoWeekday => refusal.to_string(),
        _ => "this kitchen's work could not be put on days. Scour first, then dye and judge each swatch, then each \
              piece: every sheet has its own clock"
            .to_owned(),
    }
}

fn name(pieces: &[PiecePlan], id: &str) -> String {
    pieces.iter().find(|p| p.id == id).map_or_else(|| id.to_owned(), |p| p.name.clone())
}

fn limits(request: &Request, ask: &Ask) -> DayLimits {
    let from = ask.hours.from.to_minutes();
    DayLimits {
        vessels: ask.kitchen.pots.iter().map(|p| p.name.clone()).collect(),
        burners: ask.kitchen.burners,
        hands: ask.kitchen.hands,
        sinks: ask.kitchen.sinks,
        drying: ask.kitchen.drying,
        from: clock(from),
        until: clock(from + ask.hours.length.to_minutes()),
        delivery_days: request.costume.calendar.delivery_days,
        weekdays: WEEKDAYS
            .into_iter()
            .zip(ask.hours.weekdays)
            .filter_map(|(name, free)| free.then_some(name))
            .collect(),
        not_on: ask.hours.not_on.iter().map(ToString::to_string).collect(),
    }
}

/// "10:05"; past midnight it begins again.
fn clock(minutes: f64) -> String {
    let whole = minutes.rem_euclid(DAY_MIN).round();
    format!("{:02.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
}

/// The day it must be ready, when it is past.
fn past(ask: &Ask) -> Option<Day> {
    ask.due.filter(|due| ask.today.days_until(*due) < 0)
}

fn verdict(ask: &Ask, found: &Timetable, instead: &[Offer]) -> String {
    let done = found.finish.map_or_else(
        || "nothing can be placed".to_owned(),
        |m| format!("all that has a place is dry on {} {}", m.day.weekday(), m.day),
    );
    let words = match (&found.date, past(ask)) {
        (Date::Missed { .. }, Some(day)) => format!(
            "{done}: the day it must be ready, {day}, is past. Write the right one under [costume], and plan \
             again"
        ),
        (Date::Open, _) => format!("{done}; no day was given that it must be ready for"),
        (Date::Kept { latest_start, slack_days }, _) => format!(
            "{done}, in time for {}; begin on {latest_start} at the latest ({slack_days} days to spare)",
            ask.due.map_or_else(String::new, |d| d.to_string())
        ),
        (Date::Missed { rescue }, None) => format!(
            "{done}: too late for {}. {}{}",
            ask.due.map_or_else(String::new, |d| d.to_string()),
            instead.iter().map(|offer| format!("{} ", offer.words)).collect::<String>(),
            match (rescue.drop.len() == instead.len(), rescue.enough || !instead.is_empty()) {
                (true, _) if !instead.is_empty() => "Nothing is dropped before that is tried",
                (true, _) => "Nothing that may be dropped would help",
                (false, true) =>
                    "Without the pieces listed under what to drop first, the rest is in time",
                (false, false) =>
                    "Even without the pieces listed under what to drop first, not everything that must \
                     be done can be",
            }
        ),
    };
    let stuck = if found.unplaced.is_empty() { "" } else { ". Some work has no place: see below" };
    sentence(&format!("{words}{stuck}"))
}

fn days(
    ask: &Ask,
    found: &Timetable,
    pieces: &[PiecePlan],
    named: &dyn Fn(&str) -> String,
) -> Vec<DaySeen> {
    let mut days: BTreeMap<Day, Vec<DayItem>> = BTreeMap::new();
    for entry in &found.entries {
        for item in entry_items(ask, entry, pieces, named) {
            days.entry(entry.start.day).or_default().push(item);
        }
    }
    for drying in &found.drying {
        let job = &ask.jobs[drying.job];
        let mut item = blank(drying.start, drying.end, "drying", "hangs to dry");
        item.piece = Some(job.piece.clone());
        item.piece_name = Some(named(&job.piece));
        days.entry(drying.start.day).or_default().push(item);
    }
    for wash in &found.washes {
        let (job, what) = match wash.what {
            Washed::Sink(_) => ("rinse", "rinse the sink down with much water"),
            Washed::Pot(pot) => {
                let pot = &ask.kitchen.pots[pot].name;
                let item = washed(wash.start, wash.end, "scrub", &format!("scrub {pot}"), wash.why);
                let item = DayItem { vessel: Some(pot.clone()), ..item };
                days.entry(wash.start.day).or_default().push(item);
                continue;
            }
        };
        let mut item = washed(wash.start, wash.end, job, what, wash.why);
        if let Washed::Sink(sink) = wash.what {
            item.sink_no = Some(sink + 1);
        }
        days.entry(wash.start.day).or_default().push(item);
    }
    days.into_iter().map(|(day, items)| day_seen(day, items)).collect()
}

fn washed(from: Moment, to: Moment, job: &'static str, what: &str, why: WashReason) -> DayItem {
    let because = match why {
        WashReason::NeverTogether(a, b) => format!("{a} and {b} never meet"),
        WashReason::DarkToPale => "a paler bath follows a darker one".to_owned(),
    };
    let mut item = blank(from, to, job, &format!("{what}: {because}"));
    item.hands = "all";
    item
}

fn blank(from: Moment, to: Moment, job: &'static str, what: &str) -> DayItem {
    let start = from.clock.to_minutes();
    let later = f64::from(from.day.days_until(to.day)) * DAY_MIN;
    let end = to.clock.to_minutes() + later;
    DayItem {
        start: clock(start),
        end: clock(end),
        start_min: print(start, 0),
        end_min: print(end, 0),
        piece: None,
        piece_name: None,
        job,
        bath: None,
        what: what.to_owned(),
        vessel: None,
        stands: None,
        together: vec![],
        burner: false,
        hands: "away",
        powder: false,
        changing: false,
        sink: vec![],
        sink_no: None,
        over_night: end > DAY_MIN,
    }
}

/// One item for each job of an entry: jars that stand in one pot are named one by one, and each says with
/// which others it is done.
fn entry_items(
    ask: &Ask,
    entry: &Entry,
    pieces: &[PiecePlan],
    named: &dyn Fn(&str) -> String,
) -> Vec<DayItem> {
    let stands = jars::stands(ask, entry, pieces, named);
    let together = jars::together(ask, entry);
    entry
        .jobs
        .iter()
        .map(|&job| {
            let job = &ask.jobs[job];
            let stage = &job.stages[entry.stage];
            let kind = match job.kind {
                JobKind::Test => "test",
                JobKind::Scour => "scour",
                JobKind::Swatch => "swatch",
                JobKind::Judge => "judge",
                JobKind::Bulk => "bulk",
                JobKind::Finish => "finish",
            };
            let in_jar = matches!(job.place, days::JobPlace::Jar { .. });
            let mut item = blank(entry.start, entry.end, kind, &stage.name);
            item.piece = Some(job.piece.clone());
            item.piece_name = Some(named(&job.piece));
            item.bath = if job.id.ends_with(FIRST_BATH) {
                Some(1)
            } else {
                job.id.ends_with(SECOND_BATH).then_some(2)
            };
            item.vessel = entry.pot.map(|pot| {
                let pot = &ask.kitchen.pots[pot].name;
                if in_jar { format!("jar in {pot}") } else { pot.clone() }
            });
            item.stands.clone_from(&stands);
            item.together.clone_from(&together);
            if in_jar && together.len() > 1 && entry.attention == Attention::All {
                item.what.push_str(", one jar after the other");
            }
            item.burner = entry.burner;
            item.hands = match entry.attention {
                Attention::Alone => "alone",
                Attention::All => "all",
                Attention::Near => "near",
                Attention::Away => "away",
            };
            item.powder = stage.powder;
            item.changing = stage.changing;
            item.sink = stage.sink.iter().map(ToString::to_string).collect();
            item.sink_no = entry.sink.filter(|_| !stage.sink.is_empty()).map(|sink| sink + 1);
            item
        })
        .collect()
}

fn day_seen(day: Day, mut items: Vec<DayItem>) -> DaySeen {
    items.sort_by(|a, b| {
        let at = |i: &DayItem| (i.start_min, i.end_min);
        at(a).partial_cmp(&at(b)).unwrap_or(std::cmp::Ordering::Equal).then(a.piece.cmp(&b.piece))
    });
    let is = |job: &str| items.iter().any(|i| i.job == job);
    let kinds: Vec<&str> = [
        ("tests", is("test")),
        ("scouring", is("scour")),
        ("swatches", is("swatch") || is("judge")),
        ("dyeing", is("bulk")),
    ]
    .into_iter()
    .filter_map(|(word, so)| so.then_some(word))
    .collect();
    let kind = if kinds.is_empty() { "drying".to_owned() } else { in_a_row(&kinds) };
    let work = || items.iter().filter(|i| i.job != "drying");
    let begins = work().map(|i| i.start_min).fold(f64::INFINITY, f64::min);
    let ends = work().map(|i| i.end_min.min(DAY_MIN)).fold(0.0, f64::max);
    DaySeen {
        day: day.to_string(),
        weekday: weekday(day),
        kind,
        begins: clock(if begins.is_finite() { begins } else { 0.0 }),
        ends: clock(ends),
        items,
    }
}

/// "tests", "swatches and dyeing", "scouring, swatches and dyeing".
fn in_a_row(words: &[&str]) -> String {
    match words {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        _ => words.concat(),
    }
}

fn weekday(day: Day) -> &'static str {
    WEEKDAYS[day.weekday().from_monday()]
}

const WEEKDAYS: [&str; 7] =
    ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

fn orders(request: &Request, ask: &Ask, found: &Timetable, shopping: &Shopping) -> Vec<OrderSeen> {
    found
        .orders
        .iter()
        .map(|order| {
            let item = &ask.items[order.item].name;
            let row = shopping.rows.iter().find(|r| r.item == *item);
            let waits = |job: &&days::Job| job.needs.contains(item);
            let mut pieces: Vec<String> = vec![];
            for job in ask.jobs.iter().filter(waits) {
                if !pieces.contains(&job.piece) {
                    pieces.push(job.piece.clone());
                }
            }
            let last = last_day(request, ask, found, item);
            OrderSeen {
                item: item.clone(),
                name: row.map_or_else(|| item.clone(), |r| r.name.clone()),
                order_by: last.to_string(),
                comes: order.arrives.to_string(),
                in_time: order.too_late_for.is_empty(),
                pieces,
            }
        })
        .collect()
}

/// The last day a thing can be ordered and still be there for the first work of this plan that needs it.
fn last_day(request: &Request, ask: &Ask, found: &Timetable, item: &String) -> Day {
    let promised = request.costume.calendar.delivery_days;
    let needs = |entry: &&Entry| entry.jobs.iter().any(|&job| ask.jobs[job].needs.contains(item));
    let Some(first) = found.entries.iter().filter(needs).map(|entry| entry.start.day).min() else {
        return ask.today;
    };
    last_order(ask.today, promised, first).unwrap_or(ask.today)
}

fn dropped(dropped: &days::Dropped, shopping: &Shopping) -> String {
    let frees = format!("it frees {} of work at the pots", hours(dropped.frees));
    match &dropped.why {
        WhyDropped::Crowded => format!("it would be ready if the others were not there; {frees}"),
        WhyDropped::DeliveryTooLate(items) => {
            let name = |item: &String| {
                let row = shopping.rows.iter().find(|r| r.item == *item);
                row.map_or_else(|| item.clone(), |r| r.name.clone())
            };
            let names: Vec<String> = items.iter().map(name).collect();
            format!("what it waits for comes too late ({}); {frees}", names.join("; "))
        }
        WhyDropped::TooLongAlone => {
            format!("even alone it takes longer than there is time; {frees}")
        }
        WhyDropped::NoPlace => "some of its work has no place: see below".to_owned(),
    }
}

fn hours(minutes: Minutes) -> String {
    let minutes = minutes.to_minutes();
    if minutes < 90.0 {
        format!("{minutes:.0} minutes")
    } else {
        format!("{} hours", units::trimmed(minutes / 60.0, 1))
    }
}

fn no_place(ask: &Ask, unplaced: &Unplaced, named: &dyn Fn(&str) -> String) -> NoPlaceSeen {
    let job = &ask.jobs[unplaced.job];
    let why = match &unplaced.why {
        WhyUnplaced::LongerThanADay { needs, day } => format!(
            "{} must be done in one go and a day has {}: take a longer day (hours under [calendar])",
            hours(*needs),
            hours(*day)
        ),
        WhyUnplaced::NoFittingDays => {
            "no run of free days fits its steps and its nights: give it two days one after the other"
                .to_owned()
        }
        WhyUnplaced::NoBurner => "it needs a burner, and there is none".to_owned(),
        WhyUnplaced::NoSink => "it needs a sink, and there is none".to_owned(),
        WhyUnplaced::NoDryingPlace => {
            "there is no place to hang it: see drying under [kitchen]".to_owned()
        }
        WhyUnplaced::WaitsFor { job } => {
            format!("it waits for what has no place: {}", ask.jobs[*job].id)
        }
        WhyUnplaced::NoRoom => {
            "pots and hands are taken for as far ahead as the plan looks".to_owned()
        }
    };
    NoPlaceSeen { piece: job.piece.clone(), name: named(&job.piece), why: sentence(&why) }
}

fn leftovers(
    request: &Request,
    ask: &Ask,
    found: &Timetable,
    pieces: &[PiecePlan],
) -> Vec<LeftoverSeen> {
    let piece = |id: &str| pieces.iter().find(|p| p.id == id);
    found
        .leftovers
        .iter()
        .filter_map(|offer| {
            let (from, to) = (&ask.jobs[offer.from].piece, &ask.jobs[offer.to].piece);
            let procedure = piece(from)?.class.as_ref()?.procedure.parse().ok()?;
            let says = &request.lore.leftover(procedure)?.says;
            Some(LeftoverSeen {
                from: from.clone(),
                to: to.clone(),
                words: sentence(&format!(
                    "the bath of {} is the darker and the same dyes: {} may begin in what is left of it. \
                     {} An offer, never counted on: what is left in a bath is not known, so the amounts \
                     on the sheet stay for a fresh one, and nothing that must match is begun in it",
                    piece(from)?.name,
                    piece(to)?.name,
                    sentence(says)
                )),
            })
        })
        .collect()
}

fn rules() -> Vec<String> {
    [
        "No powder is weighed while another pot is heating, cooling or being added to; nobody weighs powder or \
         judges and minds a bath on a burner meanwhile.",
        "\"Hands full\" leaves no hand for anything else; a bath that stands near and only holds goes on, and is looked \
         at in between.",
        "A test with bleach, acetone, fire or fumes has the kitchen to itself: no burner lit, no bath looked after \
         beside it, and the room is aired after acetone before anything is lit.",
        "Nothing hot is left alone, and nothing is hot overnight.",
        "Bleach, acid and whatever else must never meet do not share a sink on one day without a rinse \
         between: the rinses stand in the plan.",
        "Goods are scoured and dry before their swatch is cut or their bath is made.",
        "A parcel is counted on two working days later than promised, and never on a Sunday.",
        "Swatches are dyed, dried and judged in daylight before the piece they are for.",
        "Several jars in one pot are separate jars, each with its own dye and marked with its piece; only the \
         hot water round them is shared.",
        "Steps to which a bath sheet gives no minutes are given five; pieces dry overnight.",
    ]
    .map(str::to_owned)
    .to_vec()
}
