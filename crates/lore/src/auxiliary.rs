//! Auxiliaries: what goes into the baths besides dye, how much by depth, and what the water asks.
//!
//! Rows in `auxiliaries.toml`. Left out: spoons (`measure`) and when to add (`programme`).

use serde::Deserialize;
use units::{Mass, OnFibre, PerLitre, Volume};

use crate::fault::{held, read};
use crate::named::named;
use crate::programme_depth::{Band, Depth};
use crate::{DataFault, DyeClass, Lore, Procedure, Provenance, Standing, UnknownName};

named! {
    /// What an agent does in the bath: the groups of the sheets' JSON.
    pub enum AgentGroup, "group of agents" {
        /// Dye.
        Dye = "dye",
        /// Salt that drives dye on.
        Salt = "salt",
        /// Alkali.
        Alkali = "alkali",
        /// Acid or acid buffer.
        Acid = "acid",
        /// Levelling agent or retarder.
        Leveller = "leveller",
        /// Water softener.
        Sequestrant = "sequestrant",
        /// Detergent.
        Detergent = "detergent",
        /// Dispersing agent.
        Dispersant = "dispersant",
        /// Aftertreatment that holds dye back in the wash.
        Fixative = "fixative",
        /// Reducer.
        Reducer = "reducer",
        /// Oxidiser other than chlorine bleach.
        Oxidiser = "oxidiser",
        /// Chlorine bleach.
        Hypochlorite = "hypochlorite",
        /// Ammonia, ammonium salts, urea.
        Ammonia = "ammonia",
        /// Mordant and its helpers.
        Mordant = "mordant",
        /// Softener for the hand.
        Softener = "softener",
        /// Thickener.
        Thickener = "thickener",
    }
}

/// One agent.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Agent {
    /// Its id.
    pub id: String,
    /// What a dyer calls it.
    pub name: String,
    /// What it does in the bath.
    pub group: AgentGroup,
    /// Its groups in the never-together matrix.
    pub meets_as: Vec<String>,
    /// Only in programmes marked careful.
    #[serde(default)]
    pub careful: bool,
    /// False: never in a home bath.
    #[serde(default = "yes")]
    pub home: bool,
    /// Ids of the cautions it brings.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// What to know about it.
    pub note: Option<String>,
    source: String,
    standing: Standing,
}

impl Agent {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

/// What a dose goes by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Per {
    /// By weight of goods.
    OnFibre(OnFibre),
    /// By volume of liquor.
    PerLitre(PerLitre),
}

/// How much of one agent one bath takes at one depth.
#[derive(Debug, Clone, PartialEq)]
pub struct Dose {
    /// The agent's id.
    pub agent: String,
    /// Its name.
    pub name: String,
    /// Its group.
    pub group: AgentGroup,
    /// The bath it goes into: an id of a programme or finish.
    pub bath: String,
    /// How much, of one fill.
    pub per: Per,
    /// Amounts at the pale and at the deep end of the band, in the same unit.
    pub range: (f64, f64),
    /// How many fresh fills take this much each (two soapings: 2).
    pub fills: u8,
    /// The bath works without it, less surely.
    pub optional: bool,
    /// What to know about the amount.
    pub note: Option<String>,
    /// Where the row is from.
    pub provenance: Provenance,
}

impl Dose {
    /// The whole amount, all fills together, for this weight of goods in this much liquor.
    #[must_use]
    pub fn mass(&self, goods: Mass, liquor: Volume) -> Mass {
        let one = match self.per {
            Per::OnFibre(share) => share * goods,
            Per::PerLitre(amount) => amount * liquor,
        };
        one.try_times(f64::from(self.fills)).unwrap_or(one)
    }
}

/// What hard or alkaline water asks for.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Water {
    edta_g_per_g_hardness: f64,
    edta_from_hardness_mg_per_litre: f64,
    phosphate_g_per_g_hardness: f64,
    soft_to_mg_per_litre: f64,
    moderate_to_mg_per_litre: f64,
    hard_to_mg_per_litre: f64,
    acetic_g_per_g_alkalinity: f64,
    no_chelant_procedures: Vec<Procedure>,
    no_chelant_classes: Vec<DyeClass>,
    source: String,
    standing: Standing,
}

named! {
    /// Classes of water hardness (US Geological Survey).
    pub enum Hardness, "hardness" {
        /// Up to 60 mg/L as calcium carbonate.
        Soft = "soft",
        /// 61 to 120.
        Moderate = "moderate",
        /// 121 to 180.
        Hard = "hard",
        /// Above 180.
        VeryHard = "very hard",
    }
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct DoseRow {
    baths: Vec<String>,
    agent: String,
    tint_g_per_litre: Option<[f64; 2]>,
    pale_g_per_litre: Option<[f64; 2]>,
    medium_g_per_litre: Option<[f64; 2]>,
    deep_g_per_litre: Option<[f64; 2]>,
    black_g_per_litre: Option<[f64; 2]>,
    tint_percent_owf: Option<[f64; 2]>,
    pale_percent_owf: Option<[f64; 2]>,
    medium_percent_owf: Option<[f64; 2]>,
    deep_percent_owf: Option<[f64; 2]>,
    black_percent_owf: Option<[f64; 2]>,
    #[serde(default)]
    optional: bool,
    note: Option<String>,
    source: String,
    standing: Standing,
}

impl DoseRow {
    /// The ranges at a depth: grams per litre, % owf. A row has exactly one of the two.
    const fn ranges(&self, band: Band) -> (Option<[f64; 2]>, Option<[f64; 2]>) {
        match band {
            Band::Tint => (self.tint_g_per_litre, self.tint_percent_owf),
            Band::Pale => (self.pale_g_per_litre, self.pale_percent_owf),
            Band::Medium => (self.medium_g_per_litre, self.medium_percent_owf),
            Band::Deep => (self.deep_g_per_litre, self.deep_percent_owf),
            Band::Black => (self.black_g_per_litre, self.black_percent_owf),
        }
    }
}

/// Everything `auxiliaries.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Auxiliaries {
    agents: Vec<Agent>,
    doses: Vec<DoseRow>,
    water: Option<Water>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    agent: Vec<Agent>,
    dose: Vec<DoseRow>,
    water: Water,
}

const FILE: &str = "auxiliaries.toml";

const fn yes() -> bool {
    true
}

/// Reads `auxiliaries.toml`; every dose must name a known agent and give all five depths in one unit.
pub(crate) fn try_read(text: &str) -> Result<Auxiliaries, DataFault> {
    let file: File = read(FILE, text)?;
    for row in &file.dose {
        let whose = format!("dose of '{}' in {}", row.agent, row.baths.join(", "));
        let fault = |what: &str| DataFault { file: FILE, what: format!("{whose}: {what}") };
        if !file.agent.iter().any(|agent| agent.id == row.agent) {
            return Err(fault("no agent has this id"));
        }
        let both: Vec<_> = Band::ALL.iter().map(|band| row.ranges(*band)).collect();
        let by_litre = both.iter().all(|(litre, fibre)| litre.is_some() && fibre.is_none());
        let by_fibre = both.iter().all(|(litre, fibre)| litre.is_none() && fibre.is_some());
        if !by_litre && !by_fibre {
            return Err(fault("give tint, pale, medium, deep and black, all in one unit"));
        }
        if both.iter().flat_map(|(l, f)| l.or(*f)).any(|[from, to]| !(from >= 0.0 && to >= 0.0)) {
            return Err(fault("an amount is 0 or more"));
        }
    }
    Ok(Auxiliaries { agents: file.agent, doses: file.dose, water: Some(file.water) })
}

impl Lore {
    /// Every agent, in the order of the file.
    #[must_use]
    pub fn agents(&self) -> &[Agent] {
        &self.pot.auxiliaries.agents
    }

    /// The agent with this id; a word that is not known is refused with the nearest that are.
    pub fn agent(&self, id: &str) -> Result<&Agent, UnknownName> {
        self.agents().iter().find(|agent| agent.id == id).ok_or_else(|| {
            UnknownName::of("agent", id, self.agents().iter().map(|a| a.id.as_str()))
        })
    }

    /// The doses of one bath at one depth; a dose of nothing is left out.
    pub(crate) fn try_doses(
        &self,
        bath: &str,
        band: Band,
        place: f64,
        fills: impl Fn(&str) -> u8,
    ) -> Result<Vec<Dose>, DataFault> {
        let rows = self.pot.auxiliaries.doses.iter();
        let mut doses = Vec::new();
        for row in rows.filter(|row| row.baths.iter().any(|it| it == bath)) {
            let (litre, fibre) = row.ranges(band);
            let [low, high] = litre.or(fibre).unwrap_or([0.0, 0.0]);
            let amount = low + (high - low) * place;
            let Some(agent) = self.agents().iter().find(|agent| agent.id == row.agent) else {
                continue;
            };
            if amount <= 0.0 {
                continue;
            }
            let per = if litre.is_some() {
                Per::PerLitre(held(FILE, &row.agent, PerLitre::try_grams_per_litre(amount))?)
            } else {
                Per::OnFibre(held(FILE, &row.agent, OnFibre::try_percent(amount))?)
            };
            doses.push(Dose {
                agent: agent.id.clone(),
                name: agent.name.clone(),
                group: agent.group,
                bath: bath.to_owned(),
                per,
                range: (low, high),
                fills: fills(&agent.id),
                optional: row.optional,
                note: row.note.clone(),
                provenance: Provenance { source: row.source.clone(), standing: row.standing },
            });
        }
        Ok(doses)
    }

    /// Whether the water may be softened in this bath: a softener takes the metal out of
    /// premetallised dyes and mordants.
    #[must_use]
    pub fn may_soften(&self, procedure: Procedure, classes: &[DyeClass]) -> bool {
        self.pot.auxiliaries.water.as_ref().is_some_and(|water| {
            !water.no_chelant_procedures.contains(&procedure)
                && !classes.iter().any(|class| water.no_chelant_classes.contains(class))
        })
    }

    /// Disodium EDTA dihydrate that binds this hardness (given as calcium carbonate); none for water
    /// soft enough to do without. Stoichiometric, by formula masses.
    #[must_use]
    pub fn softener_for(&self, hardness: PerLitre) -> Option<PerLitre> {
        let water = self.pot.auxiliaries.water.as_ref()?;
        let grams = hardness.to_grams_per_litre();
        (grams * 1000.0 > water.edta_from_hardness_mg_per_litre)
            .then(|| PerLitre::try_grams_per_litre(grams * water.edta_g_per_g_hardness).ok())
            .flatten()
    }

    /// Sodium hexametaphosphate for this hardness instead; it falls apart hot and in acid.
    #[must_use]
    pub fn phosphate_for(&self, hardness: PerLitre) -> Option<PerLitre> {
        let water = self.pot.auxiliaries.water.as_ref()?;
        let grams = hardness.to_grams_per_litre();
        (grams * 1000.0 > water.edta_from_hardness_mg_per_litre)
            .then(|| PerLitre::try_grams_per_litre(grams * water.phosphate_g_per_g_hardness).ok())
            .flatten()
    }

    /// The class of this hardness (given as calcium carbonate).
    #[must_use]
    pub fn hardness_class(&self, hardness: PerLitre) -> Option<Hardness> {
        let water = self.pot.auxiliaries.water.as_ref()?;
        let mg = hardness.to_grams_per_litre() * 1000.0;
        Some(match mg {
            mg if mg <= water.soft_to_mg_per_litre => Hardness::Soft,
            mg if mg <= water.moderate_to_mg_per_litre => Hardness::Moderate,
            mg if mg <= water.hard_to_mg_per_litre => Hardness::Hard,
            _ => Hardness::VeryHard,
        })
    }

    /// Acetic acid that alkaline water eats before its pH falls (alkalinity as calcium carbonate).
    #[must_use]
    pub fn acid_eaten_by(&self, alkalinity: PerLitre) -> Option<PerLitre> {
        let water = self.pot.auxiliaries.water.as_ref()?;
        let grams = alkalinity.to_grams_per_litre() * water.acetic_g_per_g_alkalinity;
        PerLitre::try_grams_per_litre(grams).ok()
    }

    /// Where the water figures are from.
    #[must_use]
    pub fn water_provenance(&self) -> Option<Provenance> {
        let water = self.pot.auxiliaries.water.as_ref()?;
        Some(Provenance { source: water.source.clone(), standing: water.standing })
    }

    /// The doses a shade takes in this bath and its finishes; refused as [`Lore::programme`] is.
    pub fn auxiliaries(
        &self,
        procedure: Procedure,
        goods: &[&str],
        amount: OnFibre,
    ) -> Result<Vec<Dose>, crate::NoProgramme> {
        let ask = crate::ProgrammeAsk { procedure, goods, amount, caps: crate::Caps::default() };
        self.programme(&ask).map(|programme| programme.doses)
    }
}

impl Depth {
    /// Band and place, as doses are looked up by.
    pub(crate) const fn spot(&self) -> (Band, f64) {
        (self.band, self.place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn litre(mg: f64) -> PerLitre {
        PerLitre::try_grams_per_litre(mg / 1000.0).unwrap_or(PerLitre::ZERO)
    }

    #[test]
    fn water_asks_for_what_formula_masses_say() {
        let lore = Lore::shipped();
        // Disodium EDTA dihydrate 372.24, calcium carbonate 100.09 g/mol: 0.372 g/L to 100 mg/L.
        let edta = lore.softener_for(litre(100.0)).map_or(0.0, PerLitre::to_grams_per_litre);
        assert!((edta - 0.1 * 372.24 / 100.09).abs() < 5e-4, "{edta}");
        // 200 mg/L alkalinity eats 0.24 g/L acetic acid, 4.8 mL/L of 5 % w/v vinegar (two to one).
        let acid = lore.acid_eaten_by(litre(200.0)).map_or(0.0, PerLitre::to_grams_per_litre);
        assert!((acid / 0.05 - 4.8).abs() < 0.01, "{acid}");
        // 10 grains a US gallon is 171 mg/L: hard (US Geological Survey classes).
        assert_eq!(lore.hardness_class(litre(171.0)), Some(Hardness::Hard));
        assert_eq!(lore.hardness_class(litre(60.0)), Some(Hardness::Soft));
        assert!(lore.softener_for(litre(40.0)).is_none());
    }

    #[test]
    fn metal_dyes_and_mordants_are_not_softened() {
        let lore = Lore::shipped();
        assert!(!lore.may_soften(Procedure::AcidMilling, &[DyeClass::Premetallised]));
        assert!(!lore.may_soften(Procedure::AlumNatural, &[DyeClass::Mordant]));
        assert!(lore.may_soften(Procedure::ReactiveCold, &[DyeClass::ReactiveDct]));
    }

    #[test]
    fn every_agent_points_at_cautions_and_groups_that_exist() {
        let lore = Lore::shipped();
        for agent in lore.agents() {
            for caution in &agent.cautions {
                assert!(lore.caution(caution).is_some(), "{} names {caution}", agent.id);
            }
            assert!(lore.together(&agent.id, &agent.id).is_ok(), "{}", agent.id);
        }
    }
}
