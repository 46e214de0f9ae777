//! Pieces of a set, solved and held to their tolerances; shared by the tests of matched sets.

#![allow(dead_code, reason = "each test uses its part")]

use colour::{Light, Observer, Weights, ciede2000};
use dyeing::Look;
use lore::Procedure;
use recipe::{
    Candidate, Choice, Fixed, Go, InSet, Matched, Member, Question, SLACK, Target, Terms, matched,
    propose,
};
use units::Mass;

use crate::common::Bench;

pub(crate) const LIGHTS: [Light; 3] = [Light::D65, Light::A, Light::Fl11];
/// Differences this near are alike to the solver, which then takes the simpler recipes; and what its
/// smoothing may leave.
pub(crate) const ALIKE: f64 = 0.05 + 0.01;

pub(crate) fn cotton() -> Bench {
    Bench::cotton()
}

pub(crate) fn wool() -> Bench {
    Bench::of(&[("wool", 100.0)], Look::White, Procedure::AcidMilling)
}

pub(crate) fn polyester() -> Bench {
    Bench::of(&[("polyester", 100.0)], Look::White, Procedure::Disperse)
}

/// The bench with these dyes alone, and so much cloth that any dose can be weighed.
pub(crate) fn with(mut bench: Bench, ids: &[&str]) -> Bench {
    bench.dyes.retain(|d| ids.contains(&d.id.as_str()));
    assert_eq!(bench.dyes.len(), ids.len());
    bench.goods = Mass::try_grams(50_000.0).unwrap();
    bench
}

/// Pieces with their targets, ready to be asked.
pub(crate) struct Case {
    pub(crate) benches: Vec<Bench>,
    shelves: Vec<Vec<Candidate<'static>>>,
    pub(crate) targets: Vec<Target>,
}

impl Case {
    pub(crate) fn of(pieces: Vec<(Bench, Target)>) -> Self {
        let (benches, targets): (Vec<Bench>, Vec<Target>) = pieces.into_iter().unzip();
        let shelves = benches.iter().map(Bench::candidates).collect();
        Self { benches, shelves, targets }
    }

    pub(crate) fn questions(&self) -> Vec<Question<'_>> {
        (0..self.benches.len())
            .map(|k| self.benches[k].ask(&self.shelves[k], self.targets[k]))
            .collect()
    }

    pub(crate) fn alone(&self) -> Vec<Option<Choice>> {
        let best = |q: &Question| propose(q, 1).unwrap().choices.into_iter().next();
        self.questions().iter().map(best).collect()
    }

    pub(crate) fn solve(&self, fixed: &[Fixed], passes: f64) -> Matched {
        self.solve_by(fixed, &Terms::nearest(&LIGHTS, passes))
    }

    pub(crate) fn solve_by(&self, fixed: &[Fixed], terms: &Terms) -> Matched {
        self.solve_in_order(&(0..self.benches.len()).collect::<Vec<_>>(), fixed, terms, 1)
    }

    pub(crate) fn solve_in_order(
        &self,
        order: &[usize],
        fixed: &[Fixed],
        terms: &Terms,
        threads: usize,
    ) -> Matched {
        let (questions, alone) = (self.questions(), self.alone());
        let members: Vec<Member> = order
            .iter()
            .map(|k| Member { question: &questions[*k], alone: alone[*k].as_ref() })
            .collect();
        let found = matched(&members, fixed, terms, threads, &mut |_| Go::On).unwrap();
        for (k, piece) in order.iter().zip(&found.pieces) {
            keeps_its_tolerance(&questions[*k], alone[*k].as_ref(), piece);
        }
        said_is_so(&found, fixed);
        found
    }
}

/// A piece within its tolerance alone stays so under every light; one that is not comes no more than
/// the slack further.
pub(crate) fn keeps_its_tolerance(question: &Question, alone: Option<&Choice>, piece: &Choice) {
    let Some(alone) = alone else { return };
    for (before, after) in alone.lights.iter().zip(&piece.lights) {
        let most = if before.difference <= question.tolerance {
            question.tolerance
        } else {
            before.difference + SLACK
        };
        assert!(after.difference <= most + 1e-9, "{before:?} {after:?}");
    }
}

/// The differences said are those of the colours said.
pub(crate) fn said_is_so(found: &Matched, fixed: &[Fixed]) {
    let bands = |which: InSet| match which {
        InSet::Member(k) => found.pieces[k].prediction.bands,
        InSet::Fixed(k) => fixed[k].bands,
    };
    for pair in &found.pairs {
        let light = Weights::of(pair.light, Observer::Ten);
        let gives = ciede2000(light.lab(&bands(pair.one)), light.lab(&bands(pair.other)));
        assert!((gives - pair.after).abs() < 1e-6, "{gives} {pair:?}");
    }
    let worst = |of: fn(&recipe::Between) -> f64| found.pairs.iter().map(of).fold(0.0, f64::max);
    if let (Some(before), Some(after)) = (found.before, found.after) {
        assert!((worst(|p| p.before) - before.difference).abs() < 1e-12);
        assert!((worst(|p| p.after) - after.difference).abs() < 1e-12);
        assert!(after.difference <= before.difference + 1e-12);
    }
    assert_eq!(found.holds, found.breaks.is_none());
}

pub(crate) fn after(found: &Matched) -> f64 {
    found.after.unwrap().difference
}
