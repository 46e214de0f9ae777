//! Fibres and made-up materials: what they are called, what they bear, what dyes them best.
//!
//! The rows are in `materials.toml`, read by `material_file`; the numbers behind them are in
//! `material_numbers`. Left out: what colour they are.

use units::{Celsius, Minutes, PerLitre, Ph, Ramp, Share};

use crate::named::named;
use crate::near::tidy;
use crate::{Lore, Procedure, Provenance, UnknownName};

/// A fibre or made-up material, with every limit a bath must keep.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// Its id in files and JSON, like `nylon-6`.
    pub id: String,
    /// What a dyer calls it.
    pub name: String,
    /// Other words it is known by.
    pub aliases: Vec<String>,
    /// Its family.
    pub group: Group,
    /// The row of the matrix it dyes as.
    pub dyes_as: String,
    /// Procedures that dye it, best first.
    pub best_first: Vec<Procedure>,
    /// Highest wet temperature any sheet may print.
    pub t_max: Celsius,
    /// The same when it is old, or only possible in a piece of unknown fibre.
    pub t_max_unknown: Celsius,
    /// Why no hotter.
    pub t_max_why: String,
    /// pH window for baths at 60 °C and above.
    pub ph_hot: (Ph, Ph),
    /// Longest time at the top temperature.
    pub max_at_top: Option<Minutes>,
    /// Fastest heating.
    pub heat: Option<Ramp>,
    /// Above this temperature heating is slower still.
    pub slow_above: Option<(Celsius, Ramp)>,
    /// Fastest cooling.
    pub cool: Option<Ramp>,
    /// Cool in the bath to this before rinsing.
    pub cool_to: Option<Celsius>,
    /// How much alkali it bears.
    pub alkali: AlkaliRule,
    /// Hypochlorite bleach.
    pub hypochlorite: Treatment,
    /// Hydrogen peroxide.
    pub peroxide: Treatment,
    /// Reducing strip (dithionite, thiourea dioxide).
    pub reducing: Treatment,
    /// How much it may be moved.
    pub agitation: Agitation,
    /// How to handle it, in words.
    pub handling: String,
    /// Shrinkage to expect when not pre-shrunk, from and to.
    pub shrink: Option<(Share, Share)>,
    /// How much it may shrink by felting, when it is shocked or rubbed: not to be allowed for but avoided.
    pub felts: Option<Share>,
    /// Shrinkage in words.
    pub shrinks: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

/// A trim or part that goes into the bath with the goods and may cap it.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its id in files and JSON, like `old-elastic`.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// Other words for it.
    pub aliases: Vec<String>,
    /// The material it is of, whose limits it has; none for glue and the like.
    pub material: Option<String>,
    /// Its own highest temperature, when stricter than its material's.
    pub t_max: Option<Celsius>,
    /// Its own rule about alkali.
    pub alkali: Option<AlkaliRule>,
    /// What to know about it.
    pub says: String,
    /// Where the row is from.
    pub provenance: Provenance,
}

named! {
    /// The family of a material.
    pub enum Group, "family of fibre" {
        /// Cotton, linen, viscose and their like.
        Cellulose = "cellulose",
        /// Wool, silk, hair, feathers.
        Protein = "protein",
        /// Leather, and fur on the pelt.
        Skin = "skin",
        /// Nylon.
        Polyamide = "polyamide",
        /// Polyester, cationic-dyeable polyester, PLA.
        Polyester = "polyester",
        /// Acrylic and modacrylic.
        Acrylic = "acrylic",
        /// Acetate and triacetate.
        Acetate = "acetate",
        /// Elastane.
        Elastane = "elastane",
        /// Polypropylene and polyethylene.
        Polyolefin = "polyolefin",
        /// Aramid.
        Aramid = "aramid",
        /// Vinyl, coated and foam-backed goods.
        Film = "film",
        /// Faux fur.
        Pile = "pile",
        /// Metallised-film yarn.
        Metallised = "metallised",
    }
}

named! {
    /// How much a material may be moved in the bath; later is stricter.
    pub enum Agitation, "agitation" {
        /// Stir as the recipe says.
        Stir = "stir",
        /// Lift and turn gently, no wringing.
        Gentle = "gentle",
        /// No stirring or rubbing at all: raise and lower it, or lay it still.
        None = "none",
    }
}

named! {
    /// How much alkali a material bears; later is stricter.
    pub enum AlkaliRule, "alkali rule" {
        /// As the procedure asks.
        Yes = "yes",
        /// Only in a cold bath.
        Cold = "cold",
        /// Only cold, weak and short.
        ColdWeakShort = "cold-weak-short",
        /// Never.
        Never = "never",
    }
}

named! {
    /// Whether a treatment is allowed; later is stricter.
    pub enum Permission, "permission" {
        /// Allowed.
        Yes = "yes",
        /// Allowed within what the words say.
        Careful = "careful",
        /// Never.
        Never = "never",
    }
}

/// Whether a bleach or strip is allowed on a material, and within what.
#[derive(Debug, Clone, PartialEq, Eq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Treatment {
    /// Allowed, allowed with care, or never.
    pub verdict: Permission,
    /// Within what, or why not.
    pub how: String,
}

/// What an alkali rule allows.
#[derive(Debug, Clone, PartialEq)]
pub struct AlkaliLimit {
    /// The rule.
    pub rule: AlkaliRule,
    /// Most soda ash.
    pub max_dose: Option<PerLitre>,
    /// Hottest bath with alkali in it.
    pub max_temperature: Celsius,
    /// Longest time with alkali in the bath.
    pub max_time: Option<Minutes>,
    /// In words.
    pub says: String,
    /// Where it is from.
    pub provenance: Provenance,
}

/// A note that must be shown with a material.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MaterialNote {
    /// The materials it belongs to.
    pub materials: Vec<String>,
    /// The note.
    pub says: String,
    /// Where it is from.
    pub provenance: Provenance,
}

impl Lore {
    /// Every material, in the order of the file.
    #[must_use]
    pub fn materials(&self) -> &[Material] {
        &self.fibres.materials
    }

    /// The material known by this id, name or alias; a word that is not known is refused with the
    /// nearest that are.
    pub fn material(&self, word: &str) -> Result<&Material, UnknownName> {
        let asked = tidy(word);
        let all = &self.fibres.materials;
        all.iter()
            .find(|m| m.id == asked)
            .or_else(|| {
                all.iter().find(|m| {
                    tidy(&m.name) == asked || m.aliases.iter().any(|alias| tidy(alias) == asked)
                })
            })
            .ok_or_else(|| {
                let words = all.iter().flat_map(|m| {
                    std::iter::once(m.id.as_str()).chain(m.aliases.iter().map(String::as_str))
                });
                let mut refusal = UnknownName::of("fibre", word, words);
                refusal.known = all.iter().map(|m| m.id.clone()).collect();
                refusal
            })
    }

    /// Every trim and part.
    #[must_use]
    pub fn parts(&self) -> &[Part] {
        &self.fibres.parts
    }

    /// The part known by this id, name or alias.
    pub fn part(&self, word: &str) -> Result<&Part, UnknownName> {
        let asked = tidy(word);
        self.fibres
            .parts
            .iter()
            .find(|p| {
                p.id == asked
                    || tidy(&p.name) == asked
                    || p.aliases.iter().any(|alias| tidy(alias) == asked)
            })
            .ok_or_else(|| {
                UnknownName::of("part", word, self.fibres.parts.iter().map(|p| p.id.as_str()))
            })
    }

    /// The notes that must be shown with a material.
    pub fn notes_on<'a>(
        &'a self,
        material: &'a Material,
    ) -> impl Iterator<Item = &'a MaterialNote> {
        self.fibres.notes.iter().filter(|note| note.materials.contains(&material.id))
    }

    /// What an alkali rule allows; none for `yes` and `never`, which need no numbers.
    #[must_use]
    pub fn alkali_limit(&self, rule: AlkaliRule) -> Option<&AlkaliLimit> {
        self.fibres.alkali.iter().find(|limit| limit.rule == rule)
    }
}
