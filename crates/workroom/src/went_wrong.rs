//! It went wrong: what to do at once, at a pot of a plan or anywhere, and what it means for the plan.
//!
//! The knowledge is `lore`'s; what is seen on the dry goods stands in the plan. Left out: the record.

use lore::{AtThePot, Lore, Mishap, Procedure, Standing, StepKind, Strikes};
use plan::document::{PiecePlan, Plan, Sheet};

use crate::bath_now::{after_alkali, wet};

/// One thing that may have happened, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WentWrong {
    /// Its id.
    pub id: String,
    /// people, room, bath or cloth.
    pub strikes: &'static str,
    /// What happened.
    pub sight: String,
    /// What to do, in order.
    pub first: Vec<String>,
    /// What makes it worse.
    pub never: Option<String>,
    /// When others have to come.
    pub call: Option<String>,
    /// What then becomes of bath and cloth.
    pub after: Option<String>,
    /// Which pots it is for, where no pot was named.
    pub of: Option<String>,
    /// True where it is of the step that is being done.
    pub of_step: bool,
    /// Where it is from, in words.
    pub from: String,
}

/// At any pot, the gravest first.
#[must_use]
pub fn went_wrong() -> Vec<WentWrong> {
    let lore = Lore::shipped();
    lore.mishaps().into_iter().map(|row| seen(lore, row, None, row.of.clone())).collect()
}

/// At this pot, in this step where one is being done: people first, then what is of the step.
#[must_use]
pub fn went_wrong_at(piece: &PiecePlan, sheet: &Sheet, step: Option<usize>) -> Vec<WentWrong> {
    let lore = Lore::shipped();
    let Ok(procedure) = sheet.procedure.parse::<Procedure>() else { return went_wrong() };
    let goods = wet(piece, sheet);
    let goods: Vec<&str> = goods.iter().map(String::as_str).collect();
    let agents: Vec<&str> = sheet.auxiliaries.iter().map(|one| one.id.as_str()).collect();
    let temperatures = sheet.steps.iter().flat_map(|s| [s.from_c, s.to_c]);
    let step = step.and_then(|n| sheet.steps.iter().find(|s| s.n == n));
    let kind = step.and_then(|s| s.kind.parse::<StepKind>().ok());
    let pot = AtThePot {
        procedure,
        goods: &goods,
        agents: &agents,
        top: units::Celsius::try_degrees(temperatures.fold(0.0, f64::max)).ok(),
        step: kind,
        // Without a step anything of this pot may be meant.
        after_alkali: step.map_or(sheet.auxiliaries.iter().any(|a| is_alkali(sheet, &a.id)), |s| {
            after_alkali(sheet, s.n)
        }),
    };
    lore.mishaps_at(&pot).into_iter().map(|row| seen(lore, row, kind, None)).collect()
}

fn is_alkali(sheet: &Sheet, agent: &str) -> bool {
    let mut adds = sheet.steps.iter().flat_map(|step| &step.adds);
    adds.any(|add| add.id == agent && add.group == "alkali")
}

fn seen(lore: &Lore, row: &Mishap, kind: Option<StepKind>, of: Option<String>) -> WentWrong {
    WentWrong {
        id: row.id.clone(),
        strikes: row.strikes.id(),
        sight: row.sight.clone(),
        first: row.first.clone(),
        never: row.never.clone(),
        call: row.call.clone(),
        after: row.after.clone(),
        of,
        of_step: kind.is_some_and(|kind| row.is_of_step(kind)) && row.strikes != Strikes::People,
        from: from(lore, row),
    }
}

fn from(lore: &Lore, row: &Mishap) -> String {
    let of = row.provenance();
    let standing = match of.standing {
        Standing::FromMemory => "From memory",
        Standing::CommonPractice => "Common practice",
        Standing::Published => "Published",
        Standing::Calculated => "Calculated",
        Standing::Judgement => "Our judgement",
    };
    let source = lore.sources().iter().find(|source| source.id == of.source);
    source.map_or_else(|| standing.to_owned(), |s| format!("{standing}: {}", s.citation))
}

/// What it means for the plan if the goods of this bath are spoilt, in sentences.
#[must_use]
pub fn means_for_the_plan(plan: &Plan, piece: &PiecePlan, sheet: &Sheet) -> Vec<String> {
    let mut all = vec![
        "Tick what really went in and record what was really done, good or bad: a swatch gone wrong teaches too, once it \
         is washed, dry and read."
            .to_owned(),
    ];
    if sheet.kind == "swatch" {
        all.push(format!(
            "Only the swatch is lost: a new snip of {} and the same amounts again. The piece itself waits for a good one.",
            grams(sheet.dry_g)
        ));
    } else {
        let dyes: Vec<String> =
            sheet.dyes.iter().map(|dye| format!("{} of {}", grams(dye.grams), dye.name)).collect();
        let spare = match &piece.special.spare {
            Some(_) => " Its spare cloth is there for a patch or a trial.",
            None => "",
        };
        all.push(format!(
            "If the goods are lost, once more takes {} of cloth and {}.{spare}",
            grams(sheet.dry_g),
            dyes.join(", ")
        ));
        all.push(
            "Not lost yet: dry it, read it, and let this piece’s page say whether topping up, overdyeing or stripping \
             still brings it there."
                .to_owned(),
        );
    }
    if sheet.pieces.len() > 1 {
        let others = names(plan, sheet.pieces.iter().filter(|id| **id != piece.id));
        all.push(format!("The same bath holds {others}: look at them first, and lift them too."));
    }
    if let Some(set) = &piece.special.set {
        let same = |p: &&PiecePlan| p.id != piece.id && p.special.set.as_ref() == Some(set);
        let others: Vec<&str> = plan.pieces.iter().filter(same).map(|p| p.name.as_str()).collect();
        if !others.is_empty() {
            all.push(format!(
                "It must match {}: what is not dyed yet waits until this one is read.",
                others.join(", ")
            ));
        }
    }
    if let Some(days) = &plan.days {
        all.push(format!("The days: {}", days.verdict));
        if let Some(latest) = &days.latest_start {
            all.push(format!(
                "Beginning anew is possible until {latest}; this bath takes {} minutes.",
                sheet.total_min.round()
            ));
        }
    }
    all
}

fn names<'a>(plan: &Plan, ids: impl Iterator<Item = &'a String>) -> String {
    let name = |id: &String| {
        plan.pieces.iter().find(|p| p.id == *id).map_or_else(|| id.clone(), |p| p.name.clone())
    };
    ids.map(name).collect::<Vec<_>>().join(", ")
}

fn grams(grams: f64) -> String {
    format!("{grams}\u{a0}g")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everywhere_it_is_told_for_which_pots_and_from_where() {
        let all = went_wrong();
        assert_eq!(all[0].strikes, "people");
        assert!(all.iter().all(|one| !one.first.is_empty() && !one.from.is_empty()));
        let soda = all.iter().find(|one| one.id == "forgot-soda").unwrap();
        assert_eq!(soda.of.as_deref(), Some("reactive baths with soda"));
        assert!(all.iter().filter(|one| one.strikes == "people").any(|one| one.call.is_some()));
    }
}
