//! What must never meet, in bath, sink, bucket or bin.
//!
//! Rows in `never_together.toml`: groups and pairs of groups; agents name their groups. What is not
//! known is kept apart. Left out: what one alone does (`hazard`).

use serde::Deserialize;

use crate::fault::read;
use crate::{DataFault, DyeClass, Lore, Provenance, Standing, UnknownName};

/// Whether two agents may meet; a later one is worse.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Together {
    /// They may meet.
    Fine,
    /// One may follow the other only after everything was rinsed away; with the reason.
    OnlyAfterRinse(String),
    /// Never: with the reason.
    Never(String),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
enum Verdict {
    #[serde(rename = "never")]
    Never,
    #[serde(rename = "after rinse")]
    AfterRinse,
    #[serde(rename = "fine")]
    Fine,
}

/// One group of agents that behave alike.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeetingGroup {
    /// Its id.
    pub id: String,
    /// What is in it.
    pub name: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Pair {
    a: String,
    b: String,
    verdict: Verdict,
    why: String,
    source: String,
    standing: Standing,
}

/// Everything `never_together.toml` holds.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct NeverTogether {
    places: Vec<String>,
    groups: Vec<MeetingGroup>,
    pairs: Vec<Pair>,
}

const FILE: &str = "never_together.toml";

/// Reads `never_together.toml`; a pair names two known groups and stands once.
pub(crate) fn try_read(text: &str) -> Result<NeverTogether, DataFault> {
    let all: NeverTogether = read(FILE, text)?;
    for (i, pair) in all.pairs.iter().enumerate() {
        let fault = |what: &str| DataFault {
            file: FILE,
            what: format!("{} and {}: {what}", pair.a, pair.b),
        };
        let known = |id: &str| all.groups.iter().any(|group| group.id == id);
        if !known(&pair.a) || !known(&pair.b) || pair.a == pair.b {
            return Err(fault("not two known groups"));
        }
        if all.pairs[..i].iter().any(|other| other.is(&pair.a, &pair.b)) {
            return Err(fault("the pair stands twice"));
        }
    }
    Ok(all)
}

impl Pair {
    fn is(&self, a: &str, b: &str) -> bool {
        (self.a == a && self.b == b) || (self.a == b && self.b == a)
    }
}

impl Lore {
    /// Whether two agents (ids of agents, dye classes or groups) may meet. The worst of all their
    /// groups counts; a pair nobody wrote down is kept apart by a rinse.
    pub fn together(&self, a: &str, b: &str) -> Result<Together, UnknownName> {
        let (ours, theirs) = (self.meets_as(a)?, self.meets_as(b)?);
        if a == b {
            return Ok(Together::Fine);
        }
        let met = ours.iter().flat_map(|x| theirs.iter().map(move |y| (*x, *y)));
        Ok(met.map(|(x, y)| self.groups_together(x, y)).max().unwrap_or(Together::Fine))
    }

    /// The families an agent, a dye class or a group meets others as: acid, chlorine bleach, reducer,
    /// soda, ammonia … What a sink or bucket that held it is called by.
    pub fn families(&self, id: &str) -> Result<Vec<&MeetingGroup>, UnknownName> {
        let ids: Vec<String> = self.meets_as(id)?.into_iter().map(str::to_owned).collect();
        Ok(self.meeting_groups().iter().filter(|group| ids.contains(&group.id)).collect())
    }

    /// The worst that can happen when two baths use one sink, one after the other: every agent (or dye
    /// class, or family) of the one against every one of the other.
    pub fn baths_together(&self, a: &[&str], b: &[&str]) -> Result<Together, UnknownName> {
        let mut worst = Together::Fine;
        for (one, other) in a.iter().flat_map(|one| b.iter().map(move |other| (one, other))) {
            worst = worst.max(self.together(one, other)?);
        }
        Ok(worst)
    }

    fn groups_together(&self, a: &str, b: &str) -> Together {
        if a == b {
            return Together::Fine;
        }
        match self.pot.never_together.pairs.iter().find(|pair| pair.is(a, b)) {
            Some(pair) => match pair.verdict {
                Verdict::Fine => Together::Fine,
                Verdict::AfterRinse => Together::OnlyAfterRinse(pair.why.clone()),
                Verdict::Never => Together::Never(pair.why.clone()),
            },
            None => Together::OnlyAfterRinse("not known to be safe".to_owned()),
        }
    }

    /// The groups an agent, a dye class or a group itself meets others as.
    fn meets_as<'a>(&'a self, id: &'a str) -> Result<Vec<&'a str>, UnknownName> {
        if let Ok(agent) = self.agent(id) {
            return Ok(agent.meets_as.iter().map(String::as_str).collect());
        }
        if let Ok(class) = id.parse::<DyeClass>() {
            return Ok(match class {
                DyeClass::Basic => vec!["cationic"],
                DyeClass::Disperse | DyeClass::Vat | DyeClass::Indigo | DyeClass::Mordant => {
                    vec!["nonionic"]
                }
                _ => vec!["anionic"],
            });
        }
        let groups = &self.pot.never_together.groups;
        groups.iter().find(|group| group.id == id).map(|group| vec![group.id.as_str()]).ok_or_else(
            || {
                let agents = self.agents().iter().map(|agent| agent.id.as_str());
                UnknownName::of("agent", id, agents.chain(groups.iter().map(|g| g.id.as_str())))
            },
        )
    }

    /// The places the rule holds for: bath, sink, bucket, bin.
    #[must_use]
    pub fn kept_apart_in(&self) -> &[String] {
        &self.pot.never_together.places
    }

    /// The groups of the matrix.
    #[must_use]
    pub fn meeting_groups(&self) -> &[MeetingGroup] {
        &self.pot.never_together.groups
    }

    /// Where the pairs of the matrix are from.
    pub fn never_together_provenance(&self) -> impl Iterator<Item = Provenance> + '_ {
        self.pot
            .never_together
            .pairs
            .iter()
            .map(|pair| Provenance { source: pair.source.clone(), standing: pair.standing })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_agent_has_a_family_and_sinks_are_kept_apart() {
        let lore = Lore::shipped();
        for agent in lore.agents() {
            let families = lore.families(&agent.id).unwrap();
            assert_eq!(families.len(), agent.meets_as.len(), "{}", agent.id);
            assert!(!families.is_empty(), "{} is of no family", agent.id);
        }
        let named = |id: &str| lore.families(id).unwrap()[0].id.clone();
        for (agent, family) in [
            ("sodium-hypochlorite", "hypochlorite"),
            ("acetic-acid", "acid"),
            ("soda-ash", "soda"),
            ("sodium-dithionite", "reducer"),
            ("hydrogen-peroxide", "peroxide"),
            ("ammonia", "ammonia"),
        ] {
            assert_eq!(named(agent), family, "{agent}");
        }
        let bleach = ["sodium-hypochlorite"];
        for other in [&["acetic-acid", "salt"][..], &["sodium-dithionite"], &["ammonia"]] {
            let met = lore.baths_together(&bleach, other);
            assert!(matches!(met, Ok(Together::Never(_))), "{other:?}: {met:?}");
        }
        let apart = lore.baths_together(&["soda-ash"], &["acetic-acid"]);
        assert!(matches!(apart, Ok(Together::OnlyAfterRinse(_))), "{apart:?}");
        assert_eq!(lore.baths_together(&["salt"], &["soda-ash"]), Ok(Together::Fine));
        assert!(lore.families("moonlight").is_err());
    }

    #[test]
    fn what_harms_never_meets() {
        // Public safety advice: a US public-health report of 1991 on bleach and acid; CLP hazard
        // statement EUH031; ICSC 1717 for dithionite. Chloramine and peroxide: common practice.
        for (a, b) in [
            ("sodium-hypochlorite", "acetic-acid"),
            ("sodium-hypochlorite", "citric-acid"),
            ("sodium-hypochlorite", "ammonia"),
            ("sodium-hypochlorite", "ammonium-sulfate"),
            ("sodium-hypochlorite", "urea"),
            ("sodium-hypochlorite", "sodium-dithionite"),
            ("sodium-hypochlorite", "hydrogen-peroxide"),
            ("sodium-dithionite", "acetic-acid"),
            ("sodium-dithionite", "hydrogen-peroxide"),
            ("thiourea-dioxide", "citric-acid"),
            ("sodium-sulfide", "acetic-acid"),
            ("soda-ash", "aluminium"),
            ("basic", "acid-milling"),
            ("basic", "cationic-fixative"),
            ("direct", "cationic-fixative"),
            ("alum", "soda-ash"),
            ("epsom-salt", "soda-ash"),
        ] {
            let said = Lore::shipped().together(a, b);
            if (a, b) == ("basic", "cationic-fixative") {
                assert_eq!(said, Ok(Together::Fine), "both cationic");
                continue;
            }
            assert!(matches!(said, Ok(Together::Never(_))), "{a} and {b}: {said:?}");
            assert_eq!(said, Lore::shipped().together(b, a), "{a} and {b} both ways");
        }
    }

    #[test]
    fn what_our_own_baths_hold_may_meet() {
        let lore = Lore::shipped();
        for row in &lore.pot.programmes {
            let agents: Vec<&str> = row
                .steps
                .iter()
                .filter(|step| step.portion.is_some())
                .filter_map(|step| step.what.as_deref())
                .filter(|what| *what != "dye")
                .collect();
            for a in &agents {
                for b in &agents {
                    let met = lore.together(a, b);
                    let fresh_fill =
                        row.id == "finish-indigo" || row.id == "neutralise-then-soap-off";
                    let ok = !matches!(met, Ok(Together::Never(_)) | Err(_));
                    assert!(ok || fresh_fill, "{}: {a} and {b}: {met:?}", row.id);
                }
            }
        }
    }

    #[test]
    fn an_unknown_word_is_refused_and_an_unknown_pair_kept_apart() {
        let lore = Lore::shipped();
        assert!(lore.together("vinegarr", "soda-ash").is_err());
        assert!(matches!(lore.together("flame", "soda-ash"), Ok(Together::OnlyAfterRinse(_))));
        assert_eq!(lore.kept_apart_in(), ["bath", "sink", "bucket", "bin"]);
    }
}
