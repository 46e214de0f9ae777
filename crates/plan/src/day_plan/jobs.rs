//! Bath sheets made into jobs with stages: who must be there, what is hot, what goes down the sink.

use days::{
    Ask, Attention, Family, Heat, Hours, Item, Job, JobKind, JobPlace, Judgement, Kitchen,
    Leftover, Pot, Stage, Worth,
};
use lore::{Lore, Reuse};
use units::{Minutes, Share};

use super::families::{family, never_together};
use super::jars::{holds_jars, named_in};
use super::parcels::{counted_days, waits};
use super::trials::tests;
use crate::Request;
use crate::document::{Outcome, PiecePlan, ScourSeen, Sheet, SheetStep, Shopping};

/// Weighing out and dissolving, for each bath and for each dye in it (judgement).
const WEIGH_MIN: f64 = 5.0;
const WEIGH_EACH_MIN: f64 = 5.0;
const SWATCH_WEIGH_MIN: f64 = 20.0;
/// A step of the hands to which the bath sheet gives no time (judgement).
const HANDS_MIN: f64 = 5.0;
/// A swatch dried, and two hours in the room before it is judged, as its sheet says (the drying itself is
/// judgement).
const SWATCH_DRY_MIN: f64 = 210.0;
/// A piece hung up dries overnight (judgement; felt and feathers take longer).
const PIECE_DRY_MIN: f64 = 720.0;
/// Looking at a swatch in daylight and under a lamp, and writing it down (judgement).
const JUDGE_MIN: f64 = 15.0;
/// How a hold begins whose first minutes take the hands: no bath is left to itself while most of the dye reacts.
const STIR_HARD: &str = "stir hard for the first ";
/// From this temperature a bath wants a burner and somebody near, °C (judgement: warmer than the hand
/// likes; below it tap water and a lid do).
const HOT_C: f64 = 45.0;
/// A jar and the room around it in a pot of hot water, L (judgement).
const JAR_ROOM_L: f64 = 1.5;
/// How the id of a blend's second bath ends.
pub(super) const SECOND_BATH: &str = ", second bath";
/// And that of its first.
pub(super) const FIRST_BATH: &str = ", first bath";
/// How a sheet names the washing machine: no pot is taken by what is in its drum.
const MACHINE: &str = bath::MACHINE;
/// Jars one can look after in one pot (judgement).
const MOST_JARS: usize = 8;

/// The question put to the day plan.
pub(crate) fn ask(
    request: &Request,
    pieces: &[PiecePlan],
    scours: &[ScourSeen],
    shopping: &Shopping,
) -> Ask {
    let costume = request.costume;
    let (kitchen, calendar) = (&costume.kitchen, &costume.calendar);
    let pots = kitchen.vessels.iter().map(|v| Pot {
        name: v.name.clone(),
        jars: if holds_jars(request, v) { jars(v.holds.to_litres()) } else { 0 },
    });
    let mut all: Vec<Job> =
        pieces.iter().filter_map(|piece| scour_job(request, piece, scours, shopping)).collect();
    all.extend(pieces.iter().flat_map(|piece| jobs(request, pieces, piece, shopping)));
    let items = shopping.rows.iter().filter(|row| waits(request, row)).map(|row| Item {
        name: row.item.clone(),
        days: counted_days(request.today, calendar.delivery_days),
    });
    Ask {
        today: request.today,
        due: costume.day,
        hours: Hours {
            weekdays: calendar.weekdays,
            from: calendar.from,
            length: calendar.hours,
            not_on: calendar.not_on.clone(),
            first: calendar.start,
        },
        kitchen: Kitchen {
            pots: pots.collect(),
            burners: kitchen.burners,
            hands: kitchen.hands,
            sinks: kitchen.sinks,
            drying: kitchen.drying,
        },
        items: items.collect(),
        never_together: never_together(request.lore),
        judgement: Judgement::default(),
        jobs: all,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a pot of some litres over a litre and a half"
)]
fn jars(litres: f64) -> usize {
    ((litres / JAR_ROOM_L).floor().max(0.0) as usize).min(MOST_JARS)
}

pub(super) fn minutes(given: f64) -> Minutes {
    Minutes::try_minutes(given).unwrap_or(Minutes::ZERO)
}

/// A job of a piece with nothing in it yet.
fn blank(piece: &PiecePlan, kind: JobKind, what: &str) -> Job {
    Job {
        id: format!("{}: {what}", piece.id),
        piece: piece.id.clone(),
        kind,
        place: JobPlace::Nowhere,
        stages: vec![],
        drying: Minutes::ZERO,
        after: vec![],
        worth: worth(piece),
        darkness: darkness(piece),
        needs: vec![],
        leftover: Leftover::Never,
    }
}

/// What the scour of a piece is called among its jobs.
const SCOUR: &str = "scour";

/// The scour of a piece. Pieces of one scour lie in one bath and hang to dry together; a piece that is dropped leaves
/// the others theirs.
fn scour_job(
    request: &Request,
    piece: &PiecePlan,
    scours: &[ScourSeen],
    shopping: &Shopping,
) -> Option<Job> {
    let n = piece.special.scour?;
    let scour = scours.iter().find(|scour| scour.n == n)?;
    let mut job = blank(piece, JobKind::Scour, SCOUR);
    // Nothing is dyed in it: no pot is scrubbed after it.
    job.darkness = Share::try_fraction(0.0).unwrap_or(job.darkness);
    let mut stages = vec![stage("measure out", WEIGH_MIN, Attention::All)];
    let mut agents: Vec<&str> = vec![];
    for step in &scour.steps {
        agents.extend(step.adds.iter().map(|add| add.id.as_str()));
        join(&mut stages, of_step(request.lore, &scour.vessel.material, step, &mut agents));
    }
    let vessels = &request.costume.kitchen.vessels;
    match vessels.iter().position(|vessel| named_in(&scour.vessel.words, &vessel.name)) {
        Some(pot) => {
            job.place = JobPlace::Load { pot, together: format!("scour {n}") };
        }
        // In a bath tub nothing stands on a burner.
        None => {
            nowhere(&mut stages);
            stages.iter_mut().for_each(|stage| stage.heat = Heat::None);
        }
    }
    for stage in &mut stages {
        stage.name = format!("scour {n}: {}", stage.name);
    }
    unburnt(request, &mut stages);
    job.stages = stages;
    job.drying = minutes(PIECE_DRY_MIN);
    let used = |id: &str| scour.auxiliaries.iter().any(|aux| aux.id == id);
    let rows = shopping.rows.iter().filter(|row| waits(request, row) && used(&row.item));
    // What a scour takes is little of what is short: it waits only for what is not at hand at all.
    let none = |row: &&crate::document::ShoppingRow| row.on_shelf_g.is_none_or(|g| g <= 0.0);
    job.needs = rows.filter(none).map(|row| row.item.clone()).collect();
    Some(job)
}

/// In no vessel that is counted: a bath tub, a bowl, a machine.
fn nowhere(stages: &mut [Stage]) {
    stages.iter_mut().for_each(|stage| stage.vessel = false);
}

/// Where there is no burner what is hot is so by tap, kettle or machine: it is watched as well.
fn unburnt(request: &Request, stages: &mut [Stage]) {
    if request.costume.kitchen.burners == 0 {
        heated_by(stages, "warm with hot water from tap and kettle");
    }
}

/// No burner heats these stages: something else does, in words.
fn heated_by(stages: &mut [Stage], words: &str) {
    for stage in stages.iter_mut().filter(|stage| stage.heat == Heat::Burner) {
        stage.heat = Heat::Own;
        stage.name = stage.name.replace("heat on a burner", words);
    }
}

/// The jobs of one piece: its tests, or its swatch, the judging and the bulk bath.
fn jobs(
    request: &Request,
    pieces: &[PiecePlan],
    piece: &PiecePlan,
    shopping: &Shopping,
) -> Vec<Job> {
    let blank = |kind, what: &str| blank(piece, kind, what);
    if !piece.tests.is_empty() && piece.outcome != Outcome::Bath {
        let mut job = blank(JobKind::Test, "test");
        job.stages = tests(request.lore, &piece.tests);
        return vec![job];
    }
    let mut made: Vec<Job> = vec![];
    let two = piece.sheets.len() > 2;
    for (nth, sheet) in piece.sheets.iter().enumerate() {
        let swatch = sheet.kind == "swatch";
        if swatch && !piece.sheets.iter().any(|s| s.first_line.is_some()) {
            continue;
        }
        // Of two baths the second follows the first; the goods hang to dry after both.
        let bath = match (two, nth % 2) {
            (true, 0) => format!("{}{FIRST_BATH}", sheet.kind),
            (true, _) => format!("{}{SECOND_BATH}", sheet.kind),
            (false, _) => sheet.kind.to_owned(),
        };
        let mut job = blank(if swatch { JobKind::Swatch } else { JobKind::Bulk }, &bath);
        if two && nth % 2 == 1 {
            job.after.extend(made.last().map(|before| before.id.clone()));
        }
        if made.is_empty() || (!swatch && !made.iter().any(|job| job.kind == JobKind::Bulk)) {
            // Scoured first, and so is whoever lies in the bath with it.
            let lies = |other: &&PiecePlan| {
                other.id == piece.id || other.special.shares_with.as_ref() == Some(&piece.id)
            };
            let scoured = pieces.iter().filter(lies).filter(|other| other.special.scour.is_some());
            job.after.extend(scoured.map(|other| format!("{}: {SCOUR}", other.id)));
        }
        let in_jar = matches!(place(request, sheet, &[]), JobPlace::Jar { .. });
        job.stages = stages(request.lore, sheet, in_jar);
        if sheet.vessel.words.starts_with(MACHINE) {
            heated_by(&mut job.stages, "the machine heats");
        }
        unburnt(request, &mut job.stages);
        job.place = place(request, sheet, &job.stages);
        if job.place == JobPlace::Nowhere {
            nowhere(&mut job.stages);
        }
        job.drying = minutes(if swatch { SWATCH_DRY_MIN } else { PIECE_DRY_MIN });
        job.needs = needs(request, pieces, sheet, shopping, swatch);
        if !swatch {
            job.leftover = leftover(request, piece, sheet);
        }
        let id = job.id.clone();
        made.push(job);
        if swatch && (!two || nth % 2 == 1) {
            let name = "judge the swatch dry and cool, in daylight and under a lamp; write it down";
            let mut judge = blank(JobKind::Judge, "judge");
            judge.stages = vec![stage(name, JUDGE_MIN, Attention::All)];
            judge.after = vec![id];
            made.push(judge);
        }
    }
    made
}

fn worth(piece: &PiecePlan) -> Worth {
    match piece.special.worth {
        "must" => Worth::Must,
        "could" => Worth::Could,
        _ => Worth::Should,
    }
}

/// 1 − L*/100 of what is expected, or of the target.
fn darkness(piece: &PiecePlan) -> Share {
    let seen = piece.expected.as_ref().map_or(&piece.target, |e| &e.colour);
    Share::try_fraction((1.0 - seen.lab[0] / 100.0).clamp(0.0, 1.0)).unwrap_or(Share::WHOLE)
}

pub(super) fn stage(name: &str, min: f64, attention: Attention) -> Stage {
    Stage {
        name: name.to_owned(),
        minutes: minutes(min),
        at_most: None,
        attention,
        heat: Heat::None,
        changing: false,
        vessel: false,
        powder: false,
        sink: vec![],
        may_wait: false,
    }
}

/// The stages of a sheet: weighing out, then its steps, alike neighbours joined.
fn stages(lore: &Lore, sheet: &Sheet, in_jar: bool) -> Vec<Stage> {
    #[expect(clippy::cast_precision_loss, reason = "a handful of dyes")]
    let weigh = WEIGH_MIN + WEIGH_EACH_MIN * sheet.dyes.len() as f64;
    let powder = sheet.dyes.iter().any(|d| d.form == "powder");
    // One time for every swatch, so that swatches of one programme stand in one pot.
    let weigh = if sheet.kind == "swatch" { SWATCH_WEIGH_MIN } else { weigh };
    let mut first = stage("weigh out and dissolve", weigh, Attention::All);
    first.powder = powder;
    first.may_wait = true;
    let mut all = vec![first];
    let mut agents: Vec<&str> = vec![];
    for step in &sheet.steps {
        if step.kind == "dry" || step.kind == "judge" {
            continue;
        }
        agents.extend(step.adds.iter().map(|a| a.id.as_str()).filter(|id| *id != "dye"));
        let mut next = of_step(lore, &sheet.vessel.material, step, &mut agents);
        if let Some(hard) = stirred_hard(step) {
            let rest = step.minutes - hard;
            let mut first = Stage { minutes: minutes(hard), ..next.clone() };
            "hold, stirring hard".clone_into(&mut first.name);
            // Jars of one pot are stirred in turn: the hands are never free, and the hold is no longer for it.
            (first.attention, first.changing) =
                if in_jar { (Attention::Near, true) } else { (Attention::All, false) };
            join(&mut all, first);
            if rest < 1.0 {
                continue;
            }
            next.minutes = minutes(rest);
        }
        join(&mut all, next);
    }
    all
}

/// How long a hold is stirred hard, min, by the words of its sheet; none: it is only turned now and then.
fn stirred_hard(step: &SheetStep) -> Option<f64> {
    let words = step.text.to_lowercase();
    let (_, after) = words.split_once(STIR_HARD).filter(|_| step.kind == "hold")?;
    let hard: f64 = after.split_whitespace().next()?.parse().ok()?;
    (hard > 0.0).then(|| hard.min(step.minutes))
}

/// Adds a stage, or lengthens the last one where it goes on as that.
pub(super) fn join(all: &mut Vec<Stage>, next: Stage) {
    match all.last_mut() {
        Some(last) if joins(last, &next) => {
            last.minutes = minutes(last.minutes.to_minutes() + next.minutes.to_minutes());
            if !last.name.contains(&next.name) {
                last.name = format!("{}, {}", last.name, next.name);
            }
            for family in next.sink {
                if !last.sink.contains(&family) {
                    last.sink.push(family);
                }
            }
        }
        _ => all.push(next),
    }
}

/// Whether a stage goes on as the one before.
fn joins(last: &Stage, next: &Stage) -> bool {
    last.vessel == next.vessel
        && last.attention == next.attention
        && last.heat == next.heat
        && last.changing == next.changing
        && !last.powder
        && last.sink.is_empty() == next.sink.is_empty()
}

fn of_step(lore: &Lore, material: &str, step: &SheetStep, agents: &mut Vec<&str>) -> Stage {
    let hot = step.from_c.max(step.to_c) >= HOT_C;
    let heated = hot && material != "plastic";
    let (name, attention, changing) = match step.kind.as_str() {
        "prepare" => ("fill the bath", Attention::All, hot),
        "enter" => ("enter the goods", Attention::All, true),
        // A lot takes the hands for a minute and is waited for until the next.
        "add" => ("add in lots, turning the goods", Attention::Near, true),
        "heat" if heated => ("heat on a burner", Attention::Near, true),
        "heat" => ("warm with hot water, no burner", Attention::Near, true),
        "cool" => ("cool", Attention::Near, true),
        "hold" if step.agitation == "none" && !hot => ("leave it", Attention::Away, false),
        "hold" => ("hold, turning the goods", Attention::Near, false),
        "drain" => ("let the bath off", Attention::All, true),
        "rinse" => ("rinse", Attention::All, true),
        "soap" => ("soap off", Attention::All, true),
        "neutralise" => ("neutralise", Attention::All, true),
        _ => ("work", Attention::All, true),
    };
    let hands = attention == Attention::All || step.kind == "add";
    let at_least = if hands { HANDS_MIN } else { 1.0 };
    let mut made = stage(name, step.minutes.max(at_least), attention);
    let off = matches!(step.kind.as_str(), "cool" | "drain" | "rinse" | "neutralise");
    let burner = heated && !off;
    made.heat = if burner { Heat::Burner } else { Heat::None };
    made.changing = changing;
    made.vessel = true;
    if matches!(step.kind.as_str(), "drain" | "rinse" | "soap" | "neutralise") {
        made.sink = agents.iter().map(|id| family(lore, id)).collect();
        made.sink.sort_unstable();
        made.sink.dedup();
        if made.sink.len() > 1 {
            made.sink.retain(|f| *f != Family::Plain);
        }
        if made.sink.is_empty() {
            made.sink.push(Family::Plain);
        }
        if step.kind == "drain" {
            agents.clear();
        }
    }
    made
}

/// The maker's own vessel that a sheet names. What is of glass stands in the first pot that holds jars: jam
/// jars of one programme together, a jar of the maker's own alone.
fn place(request: &Request, sheet: &Sheet, stages: &[Stage]) -> JobPlace {
    let vessels = &request.costume.kitchen.vessels;
    let words = &sheet.vessel.words;
    let own = vessels.iter().position(|v| named_in(words, &v.name));
    if let Some(pot) = own.filter(|&at| vessels[at].material.name() != "glass") {
        return JobPlace::Pot(pot);
    }
    if words.starts_with(MACHINE) {
        return JobPlace::Nowhere;
    }
    let bath = vessels.iter().position(|v| holds_jars(request, v) && jars(v.holds.to_litres()) > 0);
    match bath {
        // The maker's own jar is one: nothing stands beside it.
        Some(pot) if own.is_some() => JobPlace::Jar { pot, together: sheet.pieces.join("|") },
        Some(pot) => {
            let like = |s: &Stage| {
                format!(
                    "{}{}{:?}{:?}{}",
                    s.name,
                    s.minutes.to_minutes(),
                    s.attention,
                    s.heat,
                    s.powder
                )
            };
            let together = stages.iter().map(like).collect::<Vec<_>>().join("|");
            // A piece in a jar is never handled as one with somebody's swatch.
            JobPlace::Jar { pot, together: format!("{}|{}|{together}", sheet.kind, sheet.title) }
        }
        None => own.map_or(JobPlace::Nowhere, JobPlace::Pot),
    }
}

/// What a sheet needs that has yet to come; a swatch is dyed from what is at hand, if there is any.
fn needs(
    request: &Request,
    pieces: &[PiecePlan],
    sheet: &Sheet,
    shopping: &Shopping,
    swatch: bool,
) -> Vec<String> {
    let used = |id: &str| {
        sheet.dyes.iter().any(|d| d.id == id) || sheet.auxiliaries.iter().any(|a| a.id == id)
    };
    shopping
        .rows
        .iter()
        .filter(|row| waits(request, row) && used(&row.item))
        .filter(|row| {
            // Swatches are dyed from what is at hand where it is enough for all of them.
            let at_hand = row.on_shelf_g.filter(|_| !crate::shopping::expired(row));
            !(swatch && at_hand.is_some_and(|g| g >= for_swatches(pieces, &row.item)))
        })
        .map(|row| row.item.clone())
        .collect()
}

/// What every swatch of the costume takes of a thing, g.
fn for_swatches(pieces: &[PiecePlan], item: &str) -> f64 {
    let swatches = pieces.iter().flat_map(|p| &p.sheets).filter(|s| s.kind == "swatch");
    swatches.map(|sheet| crate::shopping::weighed(sheet, item)).sum()
}

/// A bath of the same dyes may follow a darker one where the class allows any second use.
fn leftover(request: &Request, piece: &PiecePlan, sheet: &Sheet) -> Leftover {
    let reuse = sheet.procedure.parse().ok().and_then(|p| request.lore.leftover(p));
    if reuse.is_none_or(|l| l.reuse == Reuse::Never) {
        return Leftover::Never;
    }
    let mut dyes: Vec<&str> = sheet.dyes.iter().map(|d| d.id.as_str()).collect();
    dyes.sort_unstable();
    Leftover::Key {
        key: format!("{}: {}", sheet.procedure, dyes.join(", ")),
        matched: piece.special.set.is_some(),
    }
}
