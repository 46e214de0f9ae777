//! Which test to make next on a fibre that is not known: least harm first, and worth its trouble.
//!
//! A test's worth is the information it is expected to give: the entropy of the odds now less the
//! expected entropy after it (Shannon), in bits.

use crate::identify::{IdTest, Kind, Observation, Odds};
use crate::{Lore, Verdict};

/// A test and what it is expected to tell.
#[derive(Debug, Clone, PartialEq)]
pub struct TestAdvice {
    /// The test.
    pub test: IdTest,
    /// Expected information in bits; 0 for reading a label, which the key cannot weigh.
    pub bits: f64,
}

/// Whether testing may stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Settled {
    /// One fibre holds nearly all the odds: its id.
    Sure(String),
    /// The two likeliest are dyed the same way and hold nearly all the odds between them.
    SameWay(String, String),
    /// Go on testing.
    NotYet,
}

/// A test expected to give less than this is left out of the plan: house judgement.
const WORTH_BITS: f64 = 0.02;

impl Lore {
    /// Every test of the key.
    #[must_use]
    pub fn id_tests(&self) -> &[IdTest] {
        &self.key.tests
    }

    /// The tests still to make, least harm first and, at equal harm, the most telling first.
    /// A label comes first, once. Tests already made, tests that would tell next to nothing and
    /// tests the key has no figures for are left out.
    #[must_use]
    pub fn next_tests(&self, odds: &Odds) -> Vec<TestAdvice> {
        if self.settled(odds) != Settled::NotYet {
            return Vec::new();
        }
        let made = |kind: &Kind| odds.seen().iter().any(|seen| seen.kind() == *kind);
        let mut plan: Vec<TestAdvice> = self
            .key
            .tests
            .iter()
            .filter_map(|test| {
                let open: Vec<Kind> =
                    test.observes.iter().copied().filter(|kind| !made(kind)).collect();
                let bits = self.expected_bits(odds, &open);
                let unread = test.stage == 1 && odds.seen().is_empty();
                (unread || bits >= WORTH_BITS).then(|| TestAdvice { test: test.clone(), bits })
            })
            .collect();
        plan.sort_by(|a, b| {
            a.test.stage.cmp(&b.test.stage).then_with(|| b.bits.total_cmp(&a.bits))
        });
        plan
    }

    /// Whether testing may stop: one fibre is nearly sure, or the two likeliest are dyed alike.
    #[must_use]
    pub fn settled(&self, odds: &Odds) -> Settled {
        if odds.looks_like_a_blend() {
            return Settled::NotYet;
        }
        match odds.each() {
            [first, ..] if first.odds >= self.key.sure_from => Settled::Sure(first.fibre.clone()),
            [first, second, ..]
                if first.odds + second.odds >= self.key.sure_from
                    && self.best_way(&first.materials).is_some()
                    && self.best_way(&first.materials) == self.best_way(&second.materials) =>
            {
                Settled::SameWay(first.fibre.clone(), second.fibre.clone())
            }
            _ => Settled::NotYet,
        }
    }

    fn best_way(&self, materials: &[String]) -> Option<crate::Procedure> {
        let material = self.material(materials.first()?).ok()?;
        let best = *material.best_first.first()?;
        (self.verdict(material, best).verdict >= Verdict::Fair).then_some(best)
    }

    /// Expected information of seeing these kinds together.
    fn expected_bits(&self, odds: &Odds, kinds: &[Kind]) -> f64 {
        let now: Vec<f64> =
            self.key.fibres.iter().map(|row| self.weight(row, odds.seen())).collect();
        let total: f64 = now.iter().sum();
        if kinds.is_empty() || total <= 0.0 {
            return 0.0;
        }
        let now: Vec<f64> = now.into_iter().map(|weight| weight / total).collect();
        let mut after = 0.0;
        self.each_outcome(kinds, &now, &mut |joint| {
            let seen: f64 = joint.iter().sum();
            if seen > 0.0 {
                after += seen * entropy(joint.iter().map(|p| p / seen));
            }
        });
        (entropy(now.into_iter()) - after).max(0.0)
    }

    /// Calls `tell` with the joint odds (fibre and outcome) of every combination of outcomes.
    fn each_outcome(&self, kinds: &[Kind], joint: &[f64], tell: &mut impl FnMut(&[f64])) {
        let Some((kind, rest)) = kinds.split_first() else {
            tell(joint);
            return;
        };
        // Smell is weakened to a power, which leaves its outcomes not adding to one; they are
        // scaled so that expected information stays a proper expectation.
        let outcomes: Vec<Observation> = kind
            .outcomes()
            .iter()
            .filter_map(|word| Observation::try_new(*kind, word).ok())
            .collect();
        let sums: Vec<f64> = self
            .key
            .fibres
            .iter()
            .map(|row| outcomes.iter().map(|seen| self.likelihood(row, *seen)).sum())
            .collect();
        for seen in outcomes {
            let next: Vec<f64> = self
                .key
                .fibres
                .iter()
                .zip(joint)
                .zip(&sums)
                .map(|((row, weight), sum)| weight * self.likelihood(row, seen) / sum)
                .collect();
            self.each_outcome(rest, &next, tell);
        }
    }
}

fn entropy(odds: impl Iterator<Item = f64>) -> f64 {
    odds.filter(|p| *p > 0.0).map(|p| -p * p.log2()).sum()
}
