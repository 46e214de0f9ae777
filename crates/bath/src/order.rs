//! What a bath sheet is made from: the order.

use dosing::{Form, Kit, StockRules};
use lore::{DyeClass, GoodsForm, Lore, Makeup, Method, Procedure};
use units::{Celsius, LiquorRatio, Mass, Minutes, OnFibre, PerLitre, PricePerGram, Share, Volume};

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
    /// Air-dry weight of the goods, lining and parts included, spare cloth not.
    pub goods: Mass,
    /// As what they come, and what in their weight is not cloth.
    pub comes: Comes<'a>,
    /// Litres of liquor per kilogram of everything that gets wet.
    pub ratio: LiquorRatio,
    /// What the maker measures and dyes with.
    pub kitchen: Kitchen<'a>,
    /// Who is near the pots.
    pub near: Near,
}

/// As what the goods come, and what in their weight is not cloth. By default: cloth from the roll, all of
/// it one cloth, no shrinkage allowed for.
#[derive(Debug, Clone, Copy, Default)]
pub struct Comes<'a> {
    /// Roll, cut panels, sewn, worn before.
    pub form: GoodsForm,
    /// Ids of parts with what they weigh, within the weight of the goods. They need not stand in
    /// [`Order::parts`] too.
    pub parts_weigh: &'a [(&'a str, Mass)],
    /// A lining sewn in, within the weight of the goods.
    pub lining: Option<Lining<'a>>,
    /// Spare cloth, thread and a patch that go into the bath too, on top of the weight of the goods.
    pub spare: Option<Mass>,
    /// What the maker wants its swatch to weigh.
    pub swatch_weighs: Option<Mass>,
    /// Scoured before, or cut with room to shrink.
    pub shrinkage_allowed: bool,
    /// One of the two baths of a blend: it need not colour more than one fibre of it.
    pub one_of_two: bool,
}

/// A lining sewn in.
#[derive(Debug, Clone, Copy)]
pub struct Lining<'a> {
    /// What it is made of.
    pub makeup: &'a Makeup,
    /// Its air-dry weight.
    pub dry: Mass,
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
    /// What its pack brings besides dye; empty for dye sold by itself.
    pub contains: Vec<Brought<'a>>,
    /// A mixture, or may be one: its parts may take up differently.
    pub may_split: bool,
    /// Price per gram, when known.
    pub price: Option<PricePerGram>,
}

/// What one pack of a dye brings besides the dye.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brought<'a> {
    /// The agent's id.
    pub agent: &'a str,
    /// How much of it one pack brings; unknown where the pack does not say.
    pub grams: Option<Mass>,
    /// The dye in one pack, above zero.
    pub pack: Mass,
    /// It lies in a sachet of its own beside the dye.
    pub own_sachet: bool,
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
    /// Alkalinity of the water as calcium carbonate, when known.
    pub alkalinity: Option<PerLitre>,
    /// What the maker can lift and pour alone.
    pub lifts: Option<Mass>,
    /// Ways to work at hand besides the vessels.
    pub methods: &'a [Method],
    /// The washing machine, when it may be dyed in.
    pub machine: Option<Machine>,
    /// Whether anything heats a pot.
    pub burner: bool,
}

/// A washing machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Dry goods it holds.
    pub holds: Mass,
    /// Water it lets in.
    pub water: Volume,
    /// Its hottest wash.
    pub hottest: Celsius,
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
    /// How long it takes from cold to 60 °C, two thirds full, on the maker's own burner.
    pub to_60: Option<Minutes>,
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

impl<'a> Kitchen<'a> {
    /// A kitchen of which only the measures and vessels are known; table vinegar of 5 %.
    #[must_use]
    pub fn of(kit: &'a Kit, vessels: &'a [VesselAtHand<'a>]) -> Self {
        Self {
            kit,
            vessels,
            hardness: None,
            vinegar: Share::try_percent(5.0).unwrap_or(Share::WHOLE),
            alkalinity: None,
            lifts: None,
            methods: &[],
            machine: None,
            burner: true,
        }
    }
}

impl<'a> VesselAtHand<'a> {
    /// A vessel whose heating time is not known.
    #[must_use]
    pub const fn of(name: &'a str, holds: Volume, material: &'a str) -> Self {
        Self { name, holds, material, to_60: None }
    }
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
