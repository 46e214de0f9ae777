//! What a bath sheet is made from: the order.

use dosing::{Form, Kit, StockRules};
use lore::{DyeClass, Lore, Makeup, Procedure};
use units::{LiquorRatio, Mass, OnFibre, PerLitre, PricePerGram, Share, Volume};

/// One bath to be written down.
#[derive(Debug, Clone)]
pub struct Order<'a> {
    /// What the trade knows.
    pub lore: &'a Lore,
    /// Swatch or bulk. For a swatch the weight is that of the bulk goods; the room chooses the snip.
    pub kind: Kind,
    /// What the cloth is made of.
    pub makeup: &'a Makeup,
    /// The made-up material (faux fur, felt …) whose limits hold too, by id.
    pub made_up: Option<&'a str>,
    /// Ids of the parts that go into the bath with the cloth.
    pub parts: &'a [&'a str],
    /// The way of dyeing.
    pub procedure: Procedure,
    /// The dyes of the recipe, in the order they are printed.
    pub dyes: &'a [DyeWanted<'a>],
    /// Air-dry weight of the goods.
    pub goods: Mass,
    /// Litres of liquor per kilogram.
    pub ratio: LiquorRatio,
    /// What the maker measures and dyes with.
    pub kitchen: Kitchen<'a>,
    /// Who is near the pots.
    pub near: Near,
}

/// Which of the two baths of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A snip of the same cloth, dyed first.
    Swatch,
    /// The piece itself.
    Bulk,
}

/// One dye of the recipe.
#[derive(Debug, Clone)]
pub struct DyeWanted<'a> {
    /// Shelf id.
    pub id: &'a str,
    /// Its hue in words.
    pub name: &'a str,
    /// Its class.
    pub class: DyeClass,
    /// Colour Index Generic Name.
    pub ci: Option<&'a str>,
    /// Powder, or a liquid of a strength.
    pub form: Form,
    /// Depth wanted.
    pub owf: OnFibre,
    /// What its stock solutions may be.
    pub stock: StockRules,
    /// A copper phthalocyanine (the turquoises of cellulose): no chelant, warmer, more salt, longer.
    pub phthalocyanine: bool,
    /// Price per gram, when known.
    pub price: Option<PricePerGram>,
}

/// What is at hand.
#[derive(Debug, Clone, Copy)]
pub struct Kitchen<'a> {
    /// Scale and measures.
    pub kit: &'a Kit,
    /// Vessels kept for dye, in any order.
    pub vessels: &'a [VesselAtHand<'a>],
    /// Hardness of the water as calcium carbonate, when known.
    pub hardness: Option<PerLitre>,
    /// Strength of the vinegar, acetic acid w/v.
    pub vinegar: Share,
}

/// One vessel of the kitchen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VesselAtHand<'a> {
    /// What it is called.
    pub name: &'a str,
    /// What it holds to the brim.
    pub holds: Volume,
    /// What it is made of: an id of lore's vessels.
    pub material: &'a str,
}

/// Who is near the pots.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Near {
    /// Somebody with asthma or a dye allergy.
    pub asthma: bool,
    /// Somebody pregnant or breast-feeding.
    pub pregnancy: bool,
    /// Children.
    pub children: bool,
    /// Pets.
    pub pets: bool,
}

impl Kind {
    /// As written in JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Swatch => "swatch",
            Self::Bulk => "bulk",
        }
    }
}

impl Near {
    /// The ids of lore's people rules that hold.
    pub(crate) fn ids(self) -> impl Iterator<Item = &'static str> {
        [
            ("asthma", self.asthma),
            ("pregnancy", self.pregnancy),
            ("children", self.children),
            ("pets", self.pets),
        ]
        .into_iter()
        .filter_map(|(id, near)| near.then_some(id))
    }
}
