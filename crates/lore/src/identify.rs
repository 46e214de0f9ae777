//! Which fibre is it? A Bayesian key: what was seen → odds of each fibre → what still counts.
//!
//! Observations are taken as independent given the fibre, except that smell goes with the residue
//! and is weakened to a power. The tables are house judgement and say so. Which test to make next
//! is in `identify_next`.

use units::Minutes;

use crate::identify_file::KeyFibre;
use crate::named::named;
use crate::{Lore, Provenance, UnknownName};

named! {
    /// A kind of observation.
    pub enum Kind, "kind of observation" {
        /// What the fibre does as the flame comes near.
        Flame = "flame",
        /// What it does when the flame is taken away.
        After = "after",
        /// What the smoke smells of.
        Smell = "smell",
        /// What is left.
        Residue = "residue",
        /// A snip in household bleach.
        Bleach = "bleach",
        /// A snip in acetone.
        Acetone = "acetone",
        /// A drop of water on scoured cloth.
        Water = "water",
        /// A wetted, squeezed snip let go under water.
        Float = "float",
    }
}

/// The outcome that tells of a blend: part of the snip is gone, fibres remain.
const PARTLY: &str = "partly";

impl Kind {
    /// The words for what may be seen, in the order of the key.
    #[must_use]
    pub const fn outcomes(self) -> &'static [&'static str] {
        match self {
            Self::Flame => &["ignites", "curls", "melts"],
            Self::After => &["burns-on", "glows", "goes-out"],
            Self::Smell => &[
                "paper",
                "hair",
                "vinegar",
                "celery",
                "sweet",
                "acrid",
                "wax",
                "acid-smoke",
                "other",
            ],
            Self::Residue => {
                &["ash", "crushable", "tan-bead", "black-bead", "irregular", "pale-bead", "char"]
            }
            Self::Bleach => &["dissolves", "stays"],
            Self::Acetone => &["dissolves", "softens", "stays"],
            Self::Water => &["sinks", "beads"],
            Self::Float => &["floats", "sinks"],
        }
    }

    /// Whether part of a snip may be gone and part remain.
    const fn may_be_partly(self) -> bool {
        matches!(self, Self::Bleach | Self::Acetone)
    }
}

/// One thing that was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Observation {
    kind: Kind,
    outcome: &'static str,
}

impl Observation {
    /// From a kind and a word, like `Kind::Flame` and "melts"; bleach and acetone also know
    /// "partly", which tells of a blend. Refuses other words with the nearest that are known.
    pub fn try_new(kind: Kind, word: &str) -> Result<Self, UnknownName> {
        let asked = crate::near::tidy(word);
        let partly = kind.may_be_partly().then_some(&PARTLY);
        let known = || kind.outcomes().iter().chain(partly).copied();
        match known().find(|outcome| *outcome == asked) {
            Some(outcome) => Ok(Self { kind, outcome }),
            None => Err(UnknownName::of("result of this test", word, known())),
        }
    }

    /// Its kind.
    #[must_use]
    pub const fn kind(self) -> Kind {
        self.kind
    }

    /// What was seen, in a word.
    #[must_use]
    pub const fn outcome(self) -> &'static str {
        self.outcome
    }

    /// The kind, and the outcome's number in the list of its kind; past the end for "partly".
    pub(crate) fn place(self) -> (Kind, usize) {
        let outcomes = self.kind.outcomes();
        let at = outcomes.iter().position(|outcome| *outcome == self.outcome);
        (self.kind, at.unwrap_or(outcomes.len()))
    }
}

/// Two observations of one kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{kind} is told twice, as {first} and as {second}: keep the one you trust")]
pub struct ToldTwice {
    /// The kind.
    pub kind: Kind,
    /// What came first.
    pub first: &'static str,
    /// What came second.
    pub second: &'static str,
}

/// How likely each fibre of the key is.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    each: Vec<FibreOdds>,
    seen: Vec<Observation>,
    counts_from: f64,
}

/// One fibre of the key and its odds.
#[derive(Debug, Clone, PartialEq)]
pub struct FibreOdds {
    /// The id of its row in the key, which is also the id of its first material.
    pub fibre: String,
    /// Its name.
    pub name: String,
    /// The materials it stands for.
    pub materials: Vec<String>,
    /// Its odds, 0 to 1; all of them add to one.
    pub odds: f64,
}

/// A test that tells fibres apart.
#[derive(Debug, Clone, PartialEq)]
pub struct IdTest {
    /// Its id.
    pub id: String,
    /// Its place in the order of least harm, 1 first.
    pub stage: u8,
    /// Its name.
    pub name: String,
    /// What to do.
    pub how: String,
    /// The hazard.
    pub hazard: String,
    /// What it lets one see.
    pub observes: Vec<Kind>,
    /// How long it takes at the longest its words allow, with setting it out and writing it down.
    pub minutes: Minutes,
    /// Id of the agent that goes down the sink after it.
    pub leaves: Option<String>,
    /// Where it is from.
    pub provenance: Provenance,
}

impl Odds {
    /// Every fibre, likeliest first.
    #[must_use]
    pub fn each(&self) -> &[FibreOdds] {
        &self.each
    }

    /// What was seen.
    #[must_use]
    pub fn seen(&self) -> &[Observation] {
        &self.seen
    }

    /// True when something was seen that only a blend does: then no single fibre may be ruled out.
    #[must_use]
    pub fn looks_like_a_blend(&self) -> bool {
        self.seen.iter().any(|observation| observation.outcome == PARTLY)
    }

    /// The fibres that count: every fibre before any test and when it looks like a blend, else
    /// those of at least 5 % odds (the figure is in the key's data).
    pub fn counted(&self) -> impl Iterator<Item = &FibreOdds> {
        let all = self.seen.is_empty() || self.looks_like_a_blend();
        self.each.iter().filter(move |fibre| all || fibre.odds >= self.counts_from)
    }
}

impl Lore {
    /// The odds of each fibre after these observations; none of them leaves the prior odds of a
    /// costume stash. Refuses two observations of one kind.
    pub fn try_odds(&self, seen: &[Observation]) -> Result<Odds, ToldTwice> {
        for (i, first) in seen.iter().enumerate() {
            if let Some(second) = seen[i + 1..].iter().find(|later| later.kind == first.kind) {
                return Err(ToldTwice {
                    kind: first.kind,
                    first: first.outcome,
                    second: second.outcome,
                });
            }
        }
        let weights: Vec<f64> = self.key.fibres.iter().map(|row| self.weight(row, seen)).collect();
        let total: f64 = weights.iter().sum();
        let mut each: Vec<FibreOdds> = self
            .key
            .fibres
            .iter()
            .zip(&weights)
            .map(|(row, weight)| FibreOdds {
                fibre: row.id.clone(),
                name: row.name.clone(),
                materials: row.materials.clone(),
                odds: weight / total,
            })
            .collect();
        each.sort_by(|a, b| b.odds.total_cmp(&a.odds));
        Ok(Odds { each, seen: seen.to_vec(), counts_from: self.key.counts_from })
    }

    /// The odds before anything was seen.
    #[must_use]
    pub fn untested(&self) -> Odds {
        self.try_odds(&[]).unwrap_or_else(|_| Odds {
            each: Vec::new(),
            seen: Vec::new(),
            counts_from: self.key.counts_from,
        })
    }

    /// Where the likelihoods of the key are from.
    #[must_use]
    pub fn key_provenance(&self) -> Option<&Provenance> {
        self.key.provenance.as_ref()
    }

    /// The ids of every material that counts.
    pub(crate) fn counted_materials<'a>(&self, odds: &'a Odds) -> Vec<&'a str> {
        odds.counted().flat_map(|fibre| fibre.materials.iter().map(String::as_str)).collect()
    }

    /// Prior times likelihoods, with smell weakened.
    pub(crate) fn weight(&self, row: &KeyFibre, seen: &[Observation]) -> f64 {
        seen.iter()
            .fold(row.prior, |weight, observation| weight * self.likelihood(row, *observation))
    }

    /// The likelihood of one observation, smell weakened.
    pub(crate) fn likelihood(&self, row: &KeyFibre, observation: Observation) -> f64 {
        let plain = row.gives(observation);
        if observation.kind == Kind::Smell { plain.powf(self.key.smell_power) } else { plain }
    }
}
