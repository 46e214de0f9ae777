//! What a piece is made of: known fibres by percentage, or a fibre that is not known; and what a
//! procedure does to a blend.

use units::{Celsius, Share};

use crate::identify::Odds;
use crate::{DyeClass, Finding, Lore, Material, Procedure, Provenance, UnknownName, Verdict};

/// What a piece is made of.
#[derive(Debug, Clone, PartialEq)]
pub enum Makeup {
    /// Known fibres, the largest share first; shares add to one.
    Known(Vec<Portion>),
    /// Not known; what is known is how likely each fibre of the key is.
    Unknown(Odds),
}

/// One fibre of a blend and its share by weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Portion {
    /// The material's id.
    pub material: String,
    /// Its share of the weight.
    pub share: Share,
}

/// A makeup that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MakeupRefusal {
    /// No fibre was named.
    #[error("no fibre is named: name one, or say that the fibre is unknown")]
    Empty,
    /// A fibre we do not know.
    #[error("{0}")]
    Unknown(#[from] UnknownName),
    /// A fibre named twice.
    #[error("{0} is named twice: give each fibre one percentage")]
    Twice(String),
    /// The shares do not make a whole.
    #[error("the blend adds up to {sum} %: its percentages must add up to 100 %, give or take 0.5")]
    Sum {
        /// What they add up to, in per cent, as a person writes it.
        sum: String,
    },
}

/// What a home pot can do with a common blend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlendNote {
    /// The two fibres or families it speaks of.
    pub of: [String; 2],
    /// In one bath.
    pub one_bath: Option<String>,
    /// In two baths.
    pub two_bath: Option<String>,
    /// The risk.
    pub risk: String,
    /// Where it is from.
    pub provenance: Provenance,
}

/// What a procedure does to the whole of a known makeup.
#[derive(Debug, Clone, PartialEq)]
pub struct BlendFinding {
    /// The verdict for the piece: ruins if any fibre is ruined; lowered when a part stays pale.
    pub verdict: Verdict,
    /// The share of the cloth that is coloured (fair or better).
    pub takes: Share,
    /// The coolest bath that still works on every fibre that is coloured.
    pub works_from: Option<Celsius>,
    /// Fibre by fibre, the largest share first.
    pub each: Vec<(Portion, Finding)>,
    /// One sentence: what it looks like.
    pub says: String,
}

/// A way to colour every fibre of a blend in two baths.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TwoBaths {
    /// The bath that comes first.
    pub first: Procedure,
    /// The bath that comes second.
    pub second: Procedure,
    /// In words.
    pub says: String,
}

/// Percentages may miss 100 by this much: labels print whole numbers.
const SLACK_PERCENT: f64 = 0.5;
/// A piece counts as coloured all over from this share on (the haze of a tenth is not seen at
/// arm's length); house judgement.
const WHOLE_FROM: f64 = 0.9;
/// Below this share the colour reads as a stain in a pale cloth; house judgement.
const HALF: f64 = 0.5;
/// The verdict of a blend is the one that this part of its coloured weight reaches.
const MOST: f64 = 0.75;

impl Lore {
    /// A known makeup from names and shares; the shares must add to 100 ± 0.5 % and are then
    /// scaled to one exactly.
    pub fn try_makeup(&self, fibres: &[(&str, Share)]) -> Result<Makeup, MakeupRefusal> {
        let mut portions: Vec<Portion> = Vec::new();
        for (word, share) in fibres {
            let material = self.material(word)?;
            if portions.iter().any(|portion| portion.material == material.id) {
                return Err(MakeupRefusal::Twice(material.name.clone()));
            }
            portions.push(Portion { material: material.id.clone(), share: *share });
        }
        if portions.is_empty() {
            return Err(MakeupRefusal::Empty);
        }
        let sum: f64 = portions.iter().map(|portion| portion.share.to_percent()).sum();
        let refusal = || MakeupRefusal::Sum { sum: units::trimmed(sum, 2) };
        if (sum - 100.0).abs() > SLACK_PERCENT + 1e-9 {
            return Err(refusal());
        }
        for portion in &mut portions {
            portion.share = Share::try_percent(portion.share.to_percent() * 100.0 / sum)
                .map_err(|_| refusal())?;
        }
        portions.retain(|portion| portion.share.to_fraction() > 0.0);
        portions.sort_by(|a, b| b.share.to_fraction().total_cmp(&a.share.to_fraction()));
        Ok(Makeup::Known(portions))
    }

    /// The materials a makeup may hold: those named, or all that count while it is unknown.
    #[must_use]
    pub fn materials_of(&self, makeup: &Makeup) -> Vec<&Material> {
        let ids: Vec<&str> = match makeup {
            Makeup::Known(portions) => portions.iter().map(|p| p.material.as_str()).collect(),
            Makeup::Unknown(odds) => self.counted_materials(odds),
        };
        self.fibres.materials.iter().filter(|m| ids.contains(&m.id.as_str())).collect()
    }

    /// What a procedure does to a known blend, with one dye class or with the best for each fibre.
    #[must_use]
    pub fn blend_verdict(
        &self,
        portions: &[Portion],
        procedure: Procedure,
        class: Option<DyeClass>,
    ) -> BlendFinding {
        let each: Vec<(Portion, Finding)> = portions
            .iter()
            .filter_map(|portion| {
                let material = self.material(&portion.material).ok()?;
                let finding = match class {
                    Some(class) => self.verdict_for(material, procedure, class).ok()?,
                    None => self.verdict(material, procedure),
                };
                Some((portion.clone(), finding))
            })
            .collect();
        let takes = share_reaching(&each, Verdict::Fair);
        let works_from = each
            .iter()
            .filter(|(_, finding)| finding.verdict.dyes())
            .map(|(_, finding)| finding.works_from)
            .max_by(|a, b| a.to_degrees().total_cmp(&b.to_degrees()));
        let verdict = whole_verdict(&each, takes);
        let says = self.blend_sentence(&each, takes, verdict);
        BlendFinding {
            verdict,
            takes: Share::try_fraction(takes.clamp(0.0, 1.0)).unwrap_or(Share::WHOLE),
            works_from,
            each,
            says,
        }
    }

    /// What is known of this blend: notes whose two fibres or families are both in it.
    pub fn blend_notes<'a>(&'a self, portions: &[Portion]) -> Vec<&'a BlendNote> {
        let materials: Vec<&Material> =
            portions.iter().filter_map(|p| self.material(&p.material).ok()).collect();
        let has = |word: &str, taken: Option<&str>| {
            materials
                .iter()
                .find(|m| {
                    Some(m.id.as_str()) != taken
                        && (m.id == word || m.dyes_as == word || m.group.id() == word)
                })
                .map(|m| m.id.as_str())
        };
        self.matrix
            .blends
            .iter()
            .filter(|note| {
                has(&note.of[0], None).is_some_and(|first| has(&note.of[1], Some(first)).is_some())
            })
            .collect()
    }

    fn blend_sentence(&self, each: &[(Portion, Finding)], takes: f64, verdict: Verdict) -> String {
        let name = |portion: &Portion| {
            self.material(&portion.material).map_or(portion.material.clone(), |m| m.name.clone())
        };
        if let Some((portion, finding)) = each.iter().find(|(_, f)| f.verdict == Verdict::Ruins) {
            return format!("ruins the {}: {}", name(portion), finding.why);
        }
        if let [(_, finding)] = each {
            return finding.why.clone();
        }
        let percent = units::trimmed(takes * 100.0, 0);
        let pale: Vec<String> =
            each.iter().filter(|(_, f)| !f.verdict.dyes()).map(|(p, _)| name(p)).collect();
        if takes <= 0.0 {
            "takes on none of its fibres".to_owned()
        } else if pale.is_empty() {
            "takes on every fibre, not equally deep on each".to_owned()
        } else if !verdict.dyes() {
            format!("takes on only {percent} % of the cloth; the {} stays pale", pale.join(" and "))
        } else if takes >= WHOLE_FROM {
            format!("takes on {percent} % of the cloth; the {} stays pale", pale.join(" and "))
        } else {
            format!(
                "takes on {percent} % of the cloth: a heather, the {} reads as a white haze",
                pale.join(" and the ")
            )
        }
    }
}

/// The share of the weight on which the verdict is at least this good.
fn share_reaching(each: &[(Portion, Finding)], least: Verdict) -> f64 {
    each.iter()
        .filter(|(_, finding)| finding.verdict >= least)
        .map(|(portion, _)| portion.share.to_fraction())
        .sum()
}

fn whole_verdict(each: &[(Portion, Finding)], takes: f64) -> Verdict {
    if each.iter().any(|(_, finding)| finding.verdict == Verdict::Ruins) {
        return Verdict::Ruins;
    }
    if takes <= 0.0 {
        return each.iter().map(|(_, finding)| finding.verdict).max().unwrap_or(Verdict::None);
    }
    let reached = [Verdict::Excellent, Verdict::Good]
        .into_iter()
        .find(|least| share_reaching(each, *least) >= MOST * takes - 1e-9)
        .unwrap_or(Verdict::Fair);
    if takes >= WHOLE_FROM - 1e-9 {
        reached
    } else if takes >= HALF - 1e-9 {
        reached.min(Verdict::Fair)
    } else {
        Verdict::Stains
    }
}
