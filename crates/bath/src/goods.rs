//! The goods of a bath as programmes are chosen by: which fibre leads, what else gets wet, and the
//! strictest limits of all of it.

use lore::{Caps, Limits, Lore, Makeup, Material, NoProgramme, Part, Procedure, UnknownName};
use units::{Celsius, Ph, Share};

use crate::Order;
use crate::weights::takers;

/// What goes into the bath.
pub(crate) struct Goods<'a> {
    lore: &'a Lore,
    makeup: &'a Makeup,
    lining: Option<Lined<'a>>,
    /// Every material of the cloth, the one that leads the dyeing first.
    pub(crate) materials: Vec<&'a Material>,
    /// Trims and parts.
    pub(crate) parts: Vec<&'a Part>,
    /// The strictest limits of cloth and parts.
    pub(crate) limits: Option<Limits>,
}

/// A lining, and how much of it counts as taking the dye.
struct Lined<'a> {
    makeup: &'a Makeup,
    share: Share,
}

impl<'a> Goods<'a> {
    pub(crate) fn try_of(order: &Order<'a>) -> Result<Self, UnknownName> {
        let lore = order.lore;
        let mut parts: Vec<&Part> = Vec::new();
        let weighed = order.comes.parts_weigh.iter().map(|(word, _)| word);
        for word in order.parts.iter().chain(weighed) {
            let part = lore.part(word)?;
            if parts.iter().all(|other| other.id != part.id) {
                parts.push(part);
            }
        }
        let mut materials = by_weight(lore, order.makeup);
        let dyes = |m: &&Material| lore.verdict(m, order.procedure).verdict.dyes();
        if let Some(lead) = materials.iter().position(dyes) {
            let lead = materials.remove(lead);
            materials.insert(0, lead);
        }
        if let Some(made_up) = order.made_up {
            let made_up = lore.material(made_up)?;
            if materials.iter().all(|m| m.id != made_up.id) {
                materials.push(made_up);
            }
        }
        let mut limits = lore.limits(order.makeup, &parts);
        let mut lining = None;
        if let Some(lined) = order.comes.lining {
            for material in by_weight(lore, lined.makeup) {
                if materials.iter().all(|m| m.id != material.id) {
                    materials.push(material);
                }
            }
            limits = match (limits, lore.limits(lined.makeup, &[])) {
                (Some(cloth), Some(lining)) => Some(cloth.stricter(lining)),
                (cloth, lining) => cloth.or(lining),
            };
            let cloth = takers(order, order.makeup);
            let counts = if cloth > 0.0 { takers(order, lined.makeup) / cloth } else { 0.0 };
            let share = Share::try_fraction(counts.min(1.0)).unwrap_or(Share::WHOLE);
            lining = Some(Lined { makeup: lined.makeup, share });
        }
        Ok(Self { lore, makeup: order.makeup, lining, materials, parts, limits })
    }

    /// A sentence in which nothing is called by a fibre that it may only be: what sets the limits of a lining of
    /// unknown fibre is called the lining.
    pub(crate) fn in_its_own_words(&self, said: String) -> String {
        let unknown = |lined: &&Lined<'_>| matches!(lined.makeup, Makeup::Unknown(_));
        let Some(lined) = self.lining.as_ref().filter(unknown) else { return said };
        let of_cloth = self.lore.materials_of(self.makeup);
        let only_lining = |m: &&&Material| of_cloth.iter().all(|cloth| cloth.id != m.id);
        let maybe = self.lore.materials_of(lined.makeup);
        maybe.iter().filter(only_lining).fold(said, |said, m| {
            said.replace(&format!("the {}", m.name), "the lining (its fibre is not known)")
        })
    }

    /// The same of a refusal.
    pub(crate) fn in_its_own_name(&self, no: NoProgramme) -> NoProgramme {
        let own = |by: String| {
            let said = self.in_its_own_words(format!("the {by}"));
            said.strip_prefix("the ").unwrap_or(&said).to_owned()
        };
        match no {
            NoProgramme::TooHot { title, needs, bears, by } => {
                NoProgramme::TooHot { title, needs, bears, by: own(by) }
            }
            NoProgramme::Alkali { title, how, by, bears } => {
                NoProgramme::Alkali { title, how, by: own(by), bears }
            }
            other => other,
        }
    }

    /// Whether a word means this part.
    pub(crate) fn is_part(&self, part: &Part, word: &str) -> bool {
        self.lore.part(word).is_ok_and(|known| known.id == part.id)
    }

    /// Whether a part takes the dye. A lining of unknown fibre does not count on it.
    pub(crate) fn part_takes(&self, part: &Part, procedure: Procedure) -> bool {
        let material = part.material.as_deref().and_then(|id| self.lore.material(id).ok());
        part.id != "lining"
            && material.is_some_and(|m| self.lore.verdict(m, procedure).verdict.dyes())
    }

    /// How much of the lining counts as taking the dye: its dyeing fibres against those of the cloth, by
    /// which the depth is reckoned; at most the whole of it.
    pub(crate) fn lining_share(&self) -> Share {
        self.lining.as_ref().map_or(Share::WHOLE, |lined| lined.share)
    }

    /// The ids of the cloth's materials, the leading one first.
    pub(crate) fn ids(&self) -> Vec<&'a str> {
        self.materials.iter().map(|m| m.id.as_str()).collect()
    }

    /// The ids of everything that gets wet, parts included.
    pub(crate) fn all_ids(&self) -> Vec<&'a str> {
        let of_parts = self.parts.iter().filter_map(|part| part.material.as_deref());
        self.ids().into_iter().chain(of_parts).collect()
    }

    /// The limits that parts and unknown fibres add to those of the materials.
    pub(crate) fn caps(&self) -> Caps {
        let Some(limits) = &self.limits else { return Caps::default() };
        Caps {
            top: Some(limits.t_max.it),
            heat: limits.heat.as_ref().map(|bound| bound.it),
            cool: limits.cool.as_ref().map(|bound| bound.it),
            top_minutes: limits.max_at_top.as_ref().map(|bound| bound.it),
            alkali: Some(limits.alkali.it),
            agitation: Some(limits.agitation.it),
        }
    }

    /// The hottest alkaline bath that everything in it bears, where something bears alkali only cold.
    /// A fibre that the matrix lets take an indigo vat is not asked.
    pub(crate) fn alkali_cap(&self, procedure: Procedure) -> Option<Celsius> {
        let granted = |m: &Material| {
            procedure == Procedure::Indigo && self.lore.verdict(m, procedure).verdict.dyes()
        };
        let of_cloth = self.materials.iter().filter(|m| !granted(m)).map(|m| m.alkali);
        let of_parts = self.parts.iter().flat_map(|part| {
            let material = part.material.as_deref().and_then(|id| self.lore.material(id).ok());
            part.alkali.into_iter().chain(material.filter(|m| !granted(m)).map(|m| m.alkali))
        });
        of_cloth
            .chain(of_parts)
            .filter_map(|rule| self.lore.alkali_limit(rule))
            .map(|limit| limit.max_temperature)
            .reduce(|a, b| if b < a { b } else { a })
    }

    /// The pH that each of what only keeps the dyeing fibres company bears in a hot bath: other fibres, linings, parts.
    /// For a fibre that the bath is for the programme's own window holds.
    pub(crate) fn companions_ph(&self, procedure: Procedure) -> Vec<(Ph, Ph)> {
        let dyed = |m: &&Material| self.lore.verdict(m, procedure).verdict.dyes();
        let lead = self.materials.iter().find(|m| dyed(m)).map(|m| &m.id);
        let of_parts = self
            .parts
            .iter()
            .filter_map(|part| part.material.as_deref().and_then(|id| self.lore.material(id).ok()));
        let others = self.materials.iter().copied().filter(|m| Some(&m.id) != lead);
        others.chain(of_parts).map(|m| m.ph_hot).collect()
    }

    /// One sentence for each fibre and part that stays as it is.
    pub(crate) fn stays(&self, procedure: Procedure, with_parts: bool) -> Vec<String> {
        let way = self.lore.procedure_name(procedure);
        let mut said = Vec::new();
        let lining = self.lining.as_ref().filter(|_| with_parts);
        let cloths = [(Some(self.makeup), "cloth"), (lining.map(|it| it.makeup), "lining")];
        for (makeup, of) in cloths {
            let Some(makeup) = makeup else { continue };
            let Makeup::Known(portions) = makeup else {
                if of == "lining" {
                    said.push(format!(
                        "In this bath ({way}) the lining may stay as it is: its fibre is not known. Test a thread of it."
                    ));
                }
                continue;
            };
            for portion in portions {
                let Ok(material) = self.lore.material(&portion.material) else { continue };
                let found = self.lore.verdict(material, procedure);
                if found.verdict.dyes() {
                    continue;
                }
                let share = units::trimmed(portion.share.to_percent(), 1);
                let how = if found.verdict == lore::Verdict::Stains {
                    "will not dye: it is only stained, and the stain leaves in washing"
                } else {
                    "will not dye: it stays as it is"
                };
                let name = named(&material.name, &material.id);
                said.push(format!(
                    "In this bath ({way}) the {name} ({share} % of the {of}) {how}."
                ));
            }
        }
        for part in self.parts.iter().filter(|_| with_parts) {
            let name = named(&part.name, &part.id);
            said.push(if self.part_takes(part, procedure) {
                format!("The {name} may come out another depth than the cloth: {}.", part.says)
            } else {
                format!("The {name} stays as it is, or nearly: {}.", part.says)
            });
        }
        said
    }
}

/// A name that holds the word its id begins with, so that nobody takes one thing for another.
fn named(name: &str, id: &str) -> String {
    let first = id.split('-').next().unwrap_or(id);
    if name.to_lowercase().contains(first) { name.to_owned() } else { format!("{name} ({id})") }
}

/// The materials of a makeup, the weightiest (or likeliest) first.
fn by_weight<'a>(lore: &'a Lore, makeup: &'a Makeup) -> Vec<&'a Material> {
    let order: Vec<&str> = match makeup {
        Makeup::Known(portions) => portions.iter().map(|p| p.material.as_str()).collect(),
        Makeup::Unknown(odds) => {
            odds.each().iter().flat_map(|row| row.materials.iter().map(String::as_str)).collect()
        }
    };
    let mut materials = lore.materials_of(makeup);
    let place = |m: &Material| order.iter().position(|id| *id == m.id).unwrap_or(usize::MAX);
    materials.sort_by_key(|m| place(m));
    materials
}
