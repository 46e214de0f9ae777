//! Where a bath is by its clock: the step that is being done, how late it is, what may wait and what must not, and when
//! the later steps come.
//!
//! Instants are milliseconds since 1970 (UTC) and come from whoever asks: nothing here looks at a clock. What is known
//! of waiting is `lore`'s. Left out: the other pots of the day (`day_late`).

use lore::{LateStep, Lore, Procedure, StepKind};
use plan::document::{PiecePlan, Sheet, SheetStep};

use crate::BathClock;

/// A minute in milliseconds.
const MINUTE_MS: f64 = 60_000.0;

/// Where a bath is.
#[derive(Debug, Clone, PartialEq)]
pub struct BathNow {
    /// The step that is being done; none once all are.
    pub step: Option<StepNow>,
    /// How far along the sheet's own time it is, minutes from the start.
    pub at_min: f64,
    /// Minutes that the whole is behind the sheet's clock; below zero where it is ahead.
    pub behind_min: f64,
    /// When it will be through, as it goes now.
    pub ends: i64,
    /// The steps after this one, and when each begins as it goes now.
    pub later: Vec<StepLater>,
}

/// The step that is being done.
#[derive(Debug, Clone, PartialEq)]
pub struct StepNow {
    /// Its number.
    pub n: usize,
    /// When it began.
    pub began: i64,
    /// When it should end; none where it takes as long as it takes.
    pub ends: Option<i64>,
    /// Minutes over that; 0 while it is in time.
    pub over_min: f64,
    /// What is known of waiting in it.
    pub waiting: Waiting,
}

/// What is known of waiting in a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    /// Minutes it may take longer; none: it keeps to the clock.
    pub bears_min: Option<f64>,
    /// True where waiting itself does harm.
    pub must_not: bool,
    /// True where it may wait as long as is said.
    pub freely: bool,
    /// What waits how, or why it does not.
    pub says: String,
}

/// A step still to come.
#[derive(Debug, Clone, PartialEq)]
pub struct StepLater {
    /// Its number.
    pub n: usize,
    /// What kind of step.
    pub kind: String,
    /// When it begins, as it goes now.
    pub begins: i64,
    /// True where what is in it must not wait once it has begun.
    pub must_not: bool,
}

/// Where a bath is; nothing while it has not begun.
#[must_use]
pub fn bath_now(piece: &PiecePlan, sheet: &Sheet, clock: &BathClock, now: i64) -> Option<BathNow> {
    let begun = clock.begun?;
    let Some(at) = sheet.steps.iter().position(|step| !clock.done.contains(&step.n)) else {
        let ended = clock.done_at.values().copied().max().unwrap_or(now);
        return Some(BathNow {
            step: None,
            at_min: sheet.total_min,
            behind_min: minutes(ended - begun) - sheet.total_min,
            ends: ended,
            later: vec![],
        });
    };
    let step = &sheet.steps[at];
    let before = sheet.steps[..at].iter().filter_map(|s| clock.done_at.get(&s.n)).copied().max();
    let rings = clock.rings.get(&step.n).copied();
    // A clock that was started says when the step really began; what moved it since is in `late`.
    let moved: u32 = clock.late.iter().filter(|l| l.step == step.n).map(|l| l.moved_min).sum();
    let started = rings.map(|rings| rings - ms(step.minutes + f64::from(moved)));
    let began = started.or(before).unwrap_or(begun + ms(step.at_min));
    let ends = (step.minutes > 0.0).then(|| rings.unwrap_or(began + ms(step.minutes)));
    let over_min = ends.map_or(0.0, |ends| minutes(now - ends).max(0.0));
    let through = ends.unwrap_or(now).max(now);
    let behind_min = minutes(through - begun) - (step.at_min + step.minutes);
    let rest = |from: &SheetStep| through + ms(from.at_min - (step.at_min + step.minutes));
    let later = sheet.steps[at + 1..].iter().map(|s| StepLater {
        n: s.n,
        kind: s.kind.clone(),
        begins: rest(s),
        must_not: waiting(piece, sheet, s).must_not,
    });
    let passed = minutes(now - began).clamp(0.0, step.minutes);
    Some(BathNow {
        at_min: step.at_min + passed,
        behind_min,
        ends: through + ms(sheet.total_min - (step.at_min + step.minutes)),
        later: later.collect(),
        step: Some(StepNow {
            n: step.n,
            began,
            ends,
            over_min,
            waiting: waiting(piece, sheet, step),
        }),
    })
}

/// By how much the clock of a step may be moved when so many minutes more are asked for: all of them where it waits
/// freely, else what is left of what it bears.
#[must_use]
pub fn may_move(step: &StepNow, asked_min: u32, moved_before_min: u32) -> u32 {
    if step.waiting.freely {
        return asked_min;
    }
    let bears = step.waiting.bears_min.unwrap_or(0.0).clamp(0.0, 1e6);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped above")]
    let bears = bears.floor() as u32;
    asked_min.min(bears.saturating_sub(moved_before_min))
}

/// What is known of waiting in a step of a sheet.
#[must_use]
pub fn waiting(piece: &PiecePlan, sheet: &Sheet, step: &SheetStep) -> Waiting {
    let known = || {
        let goods = wet(piece, sheet);
        let goods: Vec<&str> = goods.iter().map(String::as_str).collect();
        let adds: Vec<&str> = step.adds.iter().map(|add| add.id.as_str()).collect();
        // While there is no dye in the bath yet, what goes in waits as the goods' own entering does.
        let dye_in = |s: &SheetStep| s.n <= step.n && s.adds.iter().any(|add| add.id == "dye");
        let first = step.kind == "add" && !sheet.steps.iter().any(dye_in);
        Lore::shipped().waiting(&LateStep {
            procedure: sheet.procedure.parse::<Procedure>().ok()?,
            goods: &goods,
            kind: if first { StepKind::Enter } else { step.kind.parse().ok()? },
            adds: &adds,
            after_alkali: after_alkali(sheet, step.n),
        })
    };
    let bears_min = step.stretch_min.filter(|most| *most > 0.0);
    match known() {
        Some(row) => Waiting {
            bears_min,
            must_not: row.must_not,
            freely: row.freely,
            says: row.says.clone(),
        },
        None => Waiting {
            bears_min,
            must_not: true,
            freely: false,
            says: "Nothing is known of waiting here: keep to the clock.".to_owned(),
        },
    }
}

/// Whether alkali went into the dye bath before this step, and no drain lies between.
pub(crate) fn after_alkali(sheet: &Sheet, n: usize) -> bool {
    let mut soda = false;
    for step in sheet.steps.iter().filter(|step| step.n < n) {
        soda |= step.adds.iter().any(|add| add.group == "alkali");
        // Once it is drained and rinsed nothing lies in soda any more.
        soda &= step.kind != "rinse";
    }
    soda
}

/// Material ids of all that is wet in a bath: cloth, blend, lining.
pub(crate) fn wet(piece: &PiecePlan, sheet: &Sheet) -> Vec<String> {
    let goods = &sheet.goods;
    let own = &piece.goods;
    let mut all: Vec<String> = goods.material.iter().chain(&own.material).cloned().collect();
    let fibres = [&goods.fibres, &goods.lining_fibres, &own.fibres, &own.lining_fibres];
    all.extend(fibres.into_iter().flatten().map(|one| one.fibre.clone()));
    all.sort();
    all.dedup();
    all
}

/// Milliseconds in minutes.
pub(crate) fn minutes(ms: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a few days of milliseconds")]
    let ms = ms as f64;
    ms / MINUTE_MS
}

/// Minutes in milliseconds; a bath never takes a year.
pub(crate) fn ms(minutes: f64) -> i64 {
    const YEAR_MIN: f64 = 366.0 * 24.0 * 60.0;
    #[expect(clippy::cast_possible_truncation, reason = "at most a year of milliseconds")]
    let ms = (minutes.clamp(-YEAR_MIN, YEAR_MIN) * MINUTE_MS).round() as i64;
    ms
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use plan::document::Plan;

    use super::*;
    use crate::{PlanWanted, Stamp, plan_costume};

    /// A plan of one piece of this cloth, from nothing but a costume file.
    pub(crate) fn plan_of(cloth: &str) -> Plan {
        let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("{e}"));
        let file = folder.path().join("c.toml");
        let text = format!(
            "[costume]\nname = \"A\"\n[[piece]]\nid = \"scarf\"\ncloth = \"{cloth}\"\nweight_g = 100\n\
             undyed = \"white\"\ntarget = {{ hex = \"#2f6f5a\" }}\n"
        );
        std::fs::write(&file, text).unwrap_or_else(|e| panic!("{e}"));
        let wanted = PlanWanted {
            file,
            shelf: None,
            book: None,
            out: None,
            today: units::Day::try_ymd(2031, 5, 12).unwrap_or_else(|e| panic!("{e}")),
            hand_out: vec![],
            stamp: Stamp::try_utc("20310512T100000Z").unwrap_or_else(|e| panic!("{e}")),
            write: false,
        };
        let made = plan_costume(&wanted, &mut |_| ControlFlow::Continue(()));
        made.unwrap_or_else(|e| panic!("{e}")).plan
    }

    #[test]
    fn a_bath_is_late_by_what_its_clock_says_and_what_comes_later_moves_with_it() {
        let plan = plan_of("cotton");
        let piece = &plan.pieces[0];
        let sheet = piece.sheets.iter().find(|s| s.kind == "bulk").unwrap();
        let mut clock = BathClock::default();
        assert_eq!(bath_now(piece, sheet, &clock, 0), None, "it has not begun");
        let first = &sheet.steps[0];
        clock.begun = Some(0);
        // In the middle of the first step: in time, and on the curve.
        let now = bath_now(piece, sheet, &clock, ms(first.minutes / 2.0)).unwrap();
        assert!(now.behind_min.abs() < 1e-6 && (now.at_min - first.minutes / 2.0).abs() < 1e-6);
        assert_eq!(now.later.len(), sheet.steps.len() - 1);
        let planned = now.ends;
        assert_eq!(planned, ms(sheet.total_min));
        // Seven minutes over: so much behind, and all that follows by as much.
        let over = bath_now(piece, sheet, &clock, ms(first.minutes + 7.0)).unwrap();
        assert!((over.behind_min - 7.0).abs() < 1e-6, "{over:?}");
        assert_eq!(over.ends, planned + ms(7.0));
        assert!((over.step.as_ref().unwrap().over_min - 7.0).abs() < 1e-6);
        // Done two minutes early: ahead.
        clock.done.insert(first.n);
        clock.done_at.insert(first.n, ms(first.minutes - 2.0));
        let ahead = bath_now(piece, sheet, &clock, ms(first.minutes - 2.0)).unwrap();
        assert!((ahead.behind_min + 2.0).abs() < 1e-6, "{ahead:?}");
    }

    #[test]
    fn the_fixing_after_soda_moves_only_as_far_as_it_bears_and_the_first_step_freely() {
        let plan = plan_of("cotton");
        let piece = &plan.pieces[0];
        let sheet = piece.sheets.iter().find(|s| s.kind == "bulk").unwrap();
        let of = |n: usize| {
            let step = sheet.steps.iter().find(|s| s.n == n).unwrap();
            let waiting = waiting(piece, sheet, step);
            StepNow { n, began: 0, ends: Some(0), over_min: 0.0, waiting }
        };
        assert_eq!(may_move(&of(1), 90, 0), 90, "nothing has begun: it waits");
        let soda = |s: &&SheetStep| s.adds.iter().any(|a| a.group == "alkali");
        let last = sheet.steps.iter().filter(soda).map(|s| s.n).max().unwrap();
        let hold = sheet.steps.iter().find(|s| s.n > last && s.kind == "hold").unwrap();
        let fixing = of(hold.n);
        let bears = hold.stretch_min.unwrap_or(0.0);
        assert!(fixing.waiting.must_not && fixing.waiting.says.contains("Soda is in"));
        assert!(f64::from(may_move(&fixing, 500, 0)) <= bears);
        assert_eq!(may_move(&fixing, 500, 500), 0, "what it bears is used up once");
        let early = |s: &&SheetStep| {
            s.kind == "add" && s.adds.iter().all(|a| a.id != "dye" && a.group != "alkali")
        };
        let dye = sheet.steps.iter().find(|s| s.adds.iter().any(|a| a.id == "dye")).unwrap();
        for step in sheet.steps.iter().filter(early).filter(|s| s.n < dye.n) {
            assert!(!of(step.n).waiting.must_not, "no dye is in: {}", step.text);
        }
        let rinse = sheet.steps.iter().find(|s| s.kind == "rinse").unwrap();
        assert!(of(rinse.n).waiting.freely, "in the rinse it is out of the soda");
    }
}
