//! Jars that stand in one pot of hot water: what stands where, in words, and which pieces are done as one.
//!
//! Only the hot water is shared: every swatch has a jar, a dye and a liquor of its own. Which jars that takes is told
//! among what to do next.

use days::{Ask, Entry, Job, JobKind, JobPlace};

use crate::Request;
use crate::document::PiecePlan;

/// Whether jars stand in it: in a pot that is heated, or, where nothing heats, in whatever takes hot water.
pub(super) fn holds_jars(request: &Request, vessel: &costume::Vessel) -> bool {
    let by_kettle = request.costume.kitchen.burners == 0 && vessel.material.name() != "glass";
    by_kettle || vessel.material.name() != "plastic"
}

/// Whether a sheet names this vessel: with its size, or with what of the bath is done in it.
pub(super) fn named_in(words: &str, vessel: &str) -> bool {
    words
        .strip_prefix(vessel)
        .is_some_and(|rest| rest.starts_with(" (") || rest.starts_with(" for the "))
}

/// The jars that the sheets still to be done ask for, counted by what they are; nothing where they ask for none.
pub(crate) fn wanted(pieces: &[PiecePlan]) -> Option<String> {
    let mut jars: Vec<(String, usize)> = vec![];
    for piece in pieces {
        let recorded = piece.special.recorded.as_ref();
        if recorded.is_some_and(|recorded| recorded.whole) {
            continue;
        }
        let first = piece.sheets.iter().any(|sheet| sheet.first_line.is_some());
        let provisional = first && recorded.is_none();
        // Both baths of a blend are dyed in a like jar, one after the other.
        let mut mine: Vec<String> = vec![];
        for sheet in piece.sheets.iter().filter(|sheet| provisional || sheet.kind == "bulk") {
            let words = &sheet.vessel.words;
            let jar = words.split(" standing ").next().filter(|jar| jar.len() < words.len());
            if let Some(jar) = jar.filter(|jar| !mine.iter().any(|own| own == jar)) {
                mine.push(jar.to_owned());
            }
        }
        for jar in mine {
            match jars.iter_mut().find(|(known, _)| *known == jar) {
                Some((_, count)) => *count += 1,
                None => jars.push((jar, 1)),
            }
        }
    }
    jars.sort();
    let each: Vec<String> =
        jars.iter().map(|(jar, count)| format!("{jar} ({count} times)")).collect();
    (!each.is_empty()).then(|| {
        format!(
            "Have the jars ready, whatever of them the kitchen lists: {}; one each for what is dyed on one day, so \
             fewer do where the days differ. A jar stays some degrees below the water it stands in: go by a \
             thermometer in the jar.",
            each.join(", ").replace(" (1 times)", "")
        )
    })
}

/// Ids of the pieces that are done together in this stretch; empty for a piece alone.
pub(super) fn together(ask: &Ask, entry: &Entry) -> Vec<String> {
    match entry.jobs.as_slice() {
        [] | [_] => vec![],
        several => several.iter().map(|&job| ask.jobs[job].piece.clone()).collect(),
    }
}

/// Which jar stands in which pot; nothing for what is in the pot itself, or in none.
pub(super) fn stands(
    ask: &Ask,
    entry: &Entry,
    pieces: &[PiecePlan],
    named: &dyn Fn(&str) -> String,
) -> Option<String> {
    let pot = &ask.kitchen.pots[entry.pot?].name;
    let jobs: Vec<&Job> = entry.jobs.iter().map(|&job| &ask.jobs[job]).collect();
    if !jobs.iter().all(|job| matches!(job.place, JobPlace::Jar { .. })) {
        return None;
    }
    let jars: Vec<String> = jobs.iter().map(|job| jar(job, pieces)).collect();
    let first = jars.first()?;
    if jars.len() == 1 {
        return Some(format!("{first}, standing in {pot}"));
    }
    let names = jobs.iter().map(|job| named(&job.piece));
    let which = if jars.iter().all(|jar| jar == first) {
        format!(", each {first}: {}", names.collect::<Vec<_>>().join(", "))
    } else {
        let each: Vec<String> =
            names.zip(&jars).map(|(name, jar)| format!("{name} in {jar}")).collect();
        format!(": {}", each.join(", "))
    };
    Some(format!("{} separate jars standing in {pot}{which}", jars.len()))
}

/// The jar as its bath sheet names it: what stands before "standing …" or its size in brackets.
fn jar(job: &Job, pieces: &[PiecePlan]) -> String {
    let kind = if job.kind == JobKind::Swatch { "swatch" } else { "bulk" };
    let mut sheets = pieces
        .iter()
        .filter(|piece| piece.id == job.piece)
        .flat_map(|piece| &piece.sheets)
        .filter(|sheet| sheet.kind == kind);
    // Both baths of a blend are dyed in a like jar; the second is named where it is the second's turn.
    let sheet =
        if job.id.ends_with(super::jobs::SECOND_BATH) { sheets.nth(1) } else { sheets.next() };
    let words = sheet.map_or("a jar", |sheet| sheet.vessel.words.as_str());
    let end = [" standing", " ("].iter().filter_map(|at| words.find(at)).min();
    words[..end.unwrap_or(words.len())].to_owned()
}
