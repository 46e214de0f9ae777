//! What can hurt, and what is done about it: cautions, gear, people, first aid, waste, vessels, and what
//! is refused outright.
//!
//! Rows in `hazards.toml`. The ids of cautions are fixed: finished sheets are checked for them. It stands
//! behind the dye maker's own sheet and local codes, and says so. Left out: what must not meet.

use serde::Deserialize;
use units::Celsius;

use crate::fault::{held, read};
use crate::named::named;
use crate::{DataFault, DyeClass, Lore, Procedure, Provenance, Standing};

named! {
    /// Whom or what a caution protects, the gravest first.
    pub enum CautionKind, "kind of caution" {
        /// People.
        Harm = "harm",
        /// The goods.
        Ruin = "ruin",
        /// Whoever wears the finished piece.
        Wear = "wear",
    }
}

/// One caution.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Its fixed id.
    pub id: String,
    /// What it is called, in two or three words.
    pub name: String,
    /// Whom it protects.
    pub kind: CautionKind,
    #[serde(default)]
    always: bool,
    #[serde(default)]
    procedures: Vec<Procedure>,
    #[serde(default)]
    classes: Vec<DyeClass>,
    #[serde(default)]
    agents: Vec<String>,
    #[serde(default)]
    goods: Vec<String>,
    /// "procedure goods", where only the pair calls for it.
    #[serde(default)]
    pairs: Vec<String>,
    hot_from_c: Option<f64>,
    #[serde(default)]
    powder_only: bool,
    /// Hazard words in the manner of the GHS.
    pub words: Option<String>,
    /// What to do, in short plain sentences.
    pub text: String,
    source: String,
    standing: Standing,
}

/// What a bath holds, as cautions are chosen by.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CautionAsk<'a> {
    /// The procedure; none for a scour or strip.
    pub procedure: Option<Procedure>,
    /// Classes of its dyes.
    pub classes: &'a [DyeClass],
    /// Whether any of them comes as powder.
    pub powder: bool,
    /// Agents of every bath of the sheet, finishes included.
    pub agents: &'a [&'a str],
    /// Material ids of everything that gets wet.
    pub goods: &'a [&'a str],
    /// Hottest bath of the sheet, finishes included.
    pub top: Option<Celsius>,
}

macro_rules! said {
    ($($(#[$doc:meta])* $name:ident { $($(#[$fdoc:meta])* $field:ident: $kind:ty),* $(,)? }),+ $(,)?) => {
        $(
            $(#[$doc])*
            #[derive(Debug, Clone, PartialEq, Deserialize)]
            #[serde(deny_unknown_fields)]
            pub struct $name {
                /// Its id.
                pub id: String,
                $($(#[$fdoc])* pub $field: $kind,)*
                source: String,
                standing: Standing,
            }

            impl $name {
                /// Where the row is from.
                #[must_use]
                pub fn provenance(&self) -> Provenance {
                    Provenance { source: self.source.clone(), standing: self.standing }
                }
            }
        )+
    };
}

said! {
    /// Protective gear.
    Gear {
        /// What it is.
        name: String,
        /// The cautions that call for it.
        for_cautions: Vec<String>,
        /// What to know about it.
        text: String,
    },
    /// A rule about people near the pots.
    PeopleRule {
        /// What they do not handle: `reactive-powder`, `powder`, `reducer`, `bleach`, `hot-bath`.
        forbids: Vec<String>,
        /// The rule.
        text: String,
    },
    /// First aid, or a rule for waste.
    Instruction {
        /// What to do.
        text: String,
    },
    /// What is refused outright.
    NeverAtHome {
        /// Words it goes by.
        names: Vec<String>,
        /// Why.
        why: String,
    },
}

/// What a pot may be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    /// Its id: `stainless`, `enamel`, `plastic`, `glass`.
    pub id: String,
    /// What it is.
    pub name: String,
    /// Hottest bath it holds; none: it is refused.
    pub max: Option<Celsius>,
    /// Why it is refused.
    pub refused: Option<String>,
    /// Groups of agents it bears.
    pub bears: Vec<String>,
    /// Where the row is from.
    pub provenance: Provenance,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VesselRow {
    id: String,
    name: String,
    max_c: Option<f64>,
    #[serde(default)]
    bears: Vec<String>,
    refused: Option<String>,
    source: String,
    standing: Standing,
}

/// Dyes blocked by C.I. Generic Name, for one reason.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Blocked {
    /// `carcinogen` or `sensitiser`.
    pub why: String,
    /// In words.
    pub text: String,
    /// The names, without "C.I.".
    pub dyes: Vec<String>,
    source: String,
    standing: Standing,
}

impl Blocked {
    /// Where the list is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

/// Everything `hazards.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Hazards {
    cautions: Vec<Caution>,
    gear: Vec<Gear>,
    people: Vec<PeopleRule>,
    first_aid: Vec<Instruction>,
    waste: Vec<Instruction>,
    vessels: Vec<Vessel>,
    refused: Vec<NeverAtHome>,
    blocked: Vec<Blocked>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    caution: Vec<Caution>,
    gear: Vec<Gear>,
    people: Vec<PeopleRule>,
    first_aid: Vec<Instruction>,
    waste: Vec<Instruction>,
    vessel: Vec<VesselRow>,
    refused: Vec<NeverAtHome>,
    blocked: Vec<Blocked>,
}

const FILE: &str = "hazards.toml";

/// Reads `hazards.toml`; gear names known cautions.
pub(crate) fn try_read(text: &str) -> Result<Hazards, DataFault> {
    let file: File = read(FILE, text)?;
    for gear in &file.gear {
        let known = |id: &String| file.caution.iter().any(|caution| caution.id == *id);
        if let Some(missing) = gear.for_cautions.iter().find(|id| !known(id)) {
            let what = format!("'{}' is for '{missing}', no caution", gear.id);
            return Err(DataFault { file: FILE, what });
        }
    }
    for caution in &file.caution {
        if let Some(c) = caution.hot_from_c {
            held(FILE, &caution.id, Celsius::try_degrees(c))?;
        }
    }
    let vessel = |row: VesselRow| {
        Ok(Vessel {
            max: row.max_c.map(|c| held(FILE, &row.id, Celsius::try_degrees(c))).transpose()?,
            id: row.id,
            name: row.name,
            refused: row.refused,
            bears: row.bears,
            provenance: Provenance { source: row.source, standing: row.standing },
        })
    };
    Ok(Hazards {
        cautions: file.caution,
        gear: file.gear,
        people: file.people,
        first_aid: file.first_aid,
        waste: file.waste,
        vessels: file.vessel.into_iter().map(vessel).collect::<Result<_, DataFault>>()?,
        refused: file.refused,
        blocked: file.blocked,
    })
}

impl Caution {
    /// Where the row is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }

    fn called_for(&self, ask: &CautionAsk<'_>, lore: &Lore) -> bool {
        if self.powder_only && !ask.powder {
            return false;
        }
        let on = |list: &[String]| ask.goods.iter().any(|id| lore.dyes_like(list, id));
        let pair = |pair: &String| {
            pair.split_once(' ').is_some_and(|(procedure, goods)| {
                ask.procedure.is_some_and(|p| p.id() == procedure) && on(&[goods.to_owned()])
            })
        };
        self.always
            || ask.procedure.is_some_and(|p| self.procedures.contains(&p))
            || ask.classes.iter().any(|class| self.classes.contains(class))
            || ask.agents.iter().any(|agent| {
                self.agents.iter().any(|it| it == agent)
                    || lore.agent(agent).is_ok_and(|it| it.cautions.contains(&self.id))
            })
            || on(&self.goods)
            || self.pairs.iter().any(pair)
            || self.hot_from_c.zip(ask.top).is_some_and(|(from, top)| top.to_degrees() >= from)
    }
}

impl Lore {
    /// The cautions a sheet must carry, harm first, then ruin, then wear.
    #[must_use]
    pub fn cautions(&self, ask: &CautionAsk<'_>) -> Vec<&Caution> {
        let all = self.pot.hazards.cautions.iter();
        let mut called: Vec<&Caution> = all.filter(|it| it.called_for(ask, self)).collect();
        called.sort_by_key(|caution| caution.kind);
        called
    }

    /// The caution with this id.
    #[must_use]
    pub fn caution(&self, id: &str) -> Option<&Caution> {
        self.pot.hazards.cautions.iter().find(|caution| caution.id == id)
    }

    /// The gear these cautions call for, each once.
    #[must_use]
    pub fn gear_for(&self, cautions: &[&Caution]) -> Vec<&Gear> {
        let called = |gear: &&Gear| cautions.iter().any(|it| gear.for_cautions.contains(&it.id));
        self.pot.hazards.gear.iter().filter(called).collect()
    }

    /// Rules about people: asthma, pregnancy, children, pets.
    #[must_use]
    pub fn people_rules(&self) -> &[PeopleRule] {
        &self.pot.hazards.people
    }

    /// First aid.
    #[must_use]
    pub fn first_aid(&self) -> &[Instruction] {
        &self.pot.hazards.first_aid
    }

    /// What to do with waste.
    #[must_use]
    pub fn waste(&self) -> &[Instruction] {
        &self.pot.hazards.waste
    }

    /// What a pot may be made of.
    #[must_use]
    pub fn vessels(&self) -> &[Vessel] {
        &self.pot.hazards.vessels
    }

    /// Why a substance or process is refused outright, when one of its words stands in what was said.
    #[must_use]
    pub fn refused(&self, said: &str) -> Option<&NeverAtHome> {
        let said = format!(" {} ", plain(said));
        let named =
            |it: &&NeverAtHome| it.names.iter().any(|n| said.contains(&format!(" {} ", plain(n))));
        self.pot.hazards.refused.iter().find(named)
    }

    /// Why a dye is blocked, by the C.I. Generic Name in what was said.
    #[must_use]
    pub fn blocked_dye(&self, said: &str) -> Option<&Blocked> {
        let said = format!(" {} ", plain(said));
        let named =
            |it: &&Blocked| it.dyes.iter().any(|n| said.contains(&format!(" {} ", plain(n))));
        self.pot.hazards.blocked.iter().find(named)
    }
}

/// Lower case, every run of other signs one blank: whole words compare.
fn plain(text: &str) -> String {
    let words = text.to_lowercase();
    let words = words.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ids(ask: &CautionAsk<'_>) -> Vec<String> {
        Lore::shipped().cautions(ask).iter().map(|caution| caution.id.clone()).collect()
    }

    #[test]
    fn a_reactive_sheet_carries_its_cautions() {
        // Respiratory sensitiser: health-and-safety information sheet on reactive dyes.
        let ask = CautionAsk {
            procedure: Some(Procedure::ReactiveCold),
            classes: &[DyeClass::ReactiveDct],
            powder: true,
            agents: &["salt", "soda-ash", "detergent-neutral"],
            goods: &["cotton"],
            top: Celsius::try_degrees(90.0).ok(),
        };
        let carried = ids(&ask);
        for id in [
            "reactive-powder-mask",
            "dye-only-vessels",
            "gloves-eyes",
            "soda-eyes",
            "hot-bath-burns",
            "no-epsom-or-rock-salt",
            "no-top-up-after-alkali",
            "flame-not-certified",
            "rub-and-sweat-check",
            "waste-to-sewer",
            "follow-the-makers-sheet",
        ] {
            assert!(carried.contains(&id.to_owned()), "{id} is missing from {carried:?}");
        }
        let liquid = ids(&CautionAsk { powder: false, ..ask });
        assert!(!liquid.contains(&"reactive-powder-mask".to_owned()), "a liquid raises no dust");
    }

    #[test]
    fn other_sheets_carry_theirs() {
        let silk = CautionAsk {
            procedure: Some(Procedure::ReactiveCold),
            goods: &["silk-satin"],
            ..CautionAsk::default()
        };
        assert!(ids(&silk).contains(&"silk-alkali-short".to_owned()));
        let vat = CautionAsk { agents: &["sodium-dithionite"], ..CautionAsk::default() };
        assert!(ids(&vat).contains(&"reducer-dithionite".to_owned()));
        let acrylic = CautionAsk { goods: &["acrylic"], ..CautionAsk::default() };
        assert!(ids(&acrylic).contains(&"acrylic-cannot-be-levelled".to_owned()));
    }

    #[test]
    fn forbidden_things_are_refused_by_name() {
        let lore = Lore::shipped();
        for said in
            ["potassium dichromate", "Sodium Sulfide", "130 °C", "a carrier", "sulfuric acid"]
        {
            assert!(lore.refused(said).is_some(), "{said}");
        }
        for said in ["a tint of blue", "sodium sulfate", "chromatic"] {
            assert!(lore.refused(said).is_none(), "{said}");
        }
        // Named by a US bulletin of 1978 (benzidine) and in Contact Dermatitis 1993 (disperse).
        for said in
            ["C.I. Direct Black 38", "ci direct-blue 6", "Disperse Blue 106", "Disperse Blue 124"]
        {
            assert!(lore.blocked_dye(said).is_some(), "{said}");
        }
        // From memory of allergen and carcinogen lists; a dye of both kinds is told as a carcinogen.
        for (said, why) in [
            ("C.I. Disperse Blue 3", "sensitiser"),
            ("C.I. Disperse Yellow 49", "sensitiser"),
            ("C.I. Disperse Brown 1", "sensitiser"),
            ("C.I. Disperse Orange 11", "carcinogen"),
            ("C.I. Acid Red 26", "carcinogen"),
            ("C.I. Basic Violet 14", "carcinogen"),
            ("C.I. Disperse Yellow 3", "carcinogen"),
        ] {
            let told = lore.blocked_dye(said).map(|it| it.why.to_string());
            assert_eq!(told.as_deref(), Some(why), "{said}");
        }
        for said in ["C.I. Direct Blue 60", "Disperse Blue 10", "Disperse Blue 56"] {
            assert!(lore.blocked_dye(said).is_none(), "{said}");
        }
    }

    #[test]
    fn sentences_are_short() {
        for caution in &Lore::shipped().pot.hazards.cautions {
            for sentence in caution.text.split(['.', ':', ';']) {
                let words = sentence.split_whitespace().count();
                assert!(words <= 28, "{}: {words} words: {sentence}", caution.id);
            }
        }
    }
}
