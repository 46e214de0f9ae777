//! The tests of unknown cloth as stages of a day: each as long as its words allow, what can hurt with the kitchen to
//! itself, and what goes down the sink counted there.

use days::{Attention, Stage};
use lore::Lore;

use super::families::family;
use super::jobs::{join, stage};
use crate::document::TestToMake;

/// Pouring away what a test leaves, with much water (judgement).
const POUR_MIN: f64 = 5.0;
/// How the key writes that a test hurts nobody.
const HARMLESS: &str = "none";

/// The stages of some tests, in the order of the key: least harm first, and what burns with a flame after what gives off
/// a vapour that burns.
pub(super) fn tests(lore: &Lore, tests: &[TestToMake]) -> Vec<Stage> {
    let mut all: Vec<Stage> = vec![];
    for test in tests {
        let words = |what: &str| format!("test a snip: {what}");
        let beside = if test.hazard == HARMLESS { Attention::All } else { Attention::Alone };
        let mut made = stage(&words(&test.test), test.minutes, beside);
        if beside == Attention::All {
            // What hurts nobody is done in one go, and named in one breath.
            if !all.is_empty() {
                made.name.clone_from(&test.test);
            }
            join(&mut all, made);
            continue;
        }
        // Each may be made on a day of its own: the next may not be needed after it.
        made.may_wait = !all.is_empty();
        all.push(made);
        if let Some(agent) = &test.leaves {
            let name = words("pour away what it stood in, with much water, and rinse the snip");
            let mut pour = stage(&name, POUR_MIN, Attention::Alone);
            pour.sink = vec![family(lore, agent)];
            all.push(pour);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made() -> Vec<Stage> {
        let lore = Lore::shipped();
        let to_make = |test: &lore::IdTest| TestToMake {
            test: test.name.clone(),
            how: test.how.clone(),
            hazard: test.hazard.clone(),
            settles: String::new(),
            minutes: test.minutes.to_minutes(),
            leaves: test.leaves.clone(),
        };
        let asked: Vec<TestToMake> =
            lore.next_tests(&lore.untested()).iter().map(|advice| to_make(&advice.test)).collect();
        tests(lore, &asked)
    }

    #[test]
    fn bleach_has_its_hour_alone_and_is_counted_in_the_sink() {
        let all = made();
        let at = all.iter().position(|stage| stage.name.contains("bleach")).expect("asked for");
        assert!(all[at].minutes.to_minutes() >= 60.0, "{all:?}");
        assert_eq!(all[at + 1].sink, [days::Family::Hypochlorite]);
        assert!(all.iter().skip(at).all(|stage| stage.attention == Attention::Alone));
    }

    #[test]
    fn what_gives_off_a_vapour_comes_before_a_flame_and_has_time_to_be_aired() {
        let all = made();
        let at = |what: &str| all.iter().position(|stage| stage.name.ends_with(what));
        let (acetone, flame) = (at("acetone snip").expect("asked"), at("burn").expect("asked"));
        assert!(acetone < flame && all[acetone].minutes.to_minutes() >= 15.0);
    }
}
