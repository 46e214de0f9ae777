//! What the costume takes and costs, in packs, with what the shelf already holds taken off.

use serde::Serialize;

/// The shopping list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shopping {
    /// What it takes.
    pub rows: Vec<ShoppingRow>,
    /// Sum of the costs that are known: what is used, gram by gram.
    pub total: f64,
    /// Sum of the whole packs that must be bought, of those with a known price.
    pub to_pay: f64,
    /// What the sums leave out, in words.
    pub left_out: Vec<String>,
    /// The cheapest dyes to buy that still reach everything.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cheapest: Option<CheapestSeen>,
}

/// One thing it takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShoppingRow {
    /// Shelf or auxiliary id.
    pub item: String,
    /// Its name.
    pub name: String,
    /// dye or auxiliary.
    pub kind: &'static str,
    /// How much it takes.
    pub grams: f64,
    /// The same in words, as it is bought: grams, or millilitres of vinegar of the maker's own strength.
    pub need: String,
    /// The question, where the shelf does not say how much there is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ask: Option<String>,
    /// How much is on the shelf.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on_shelf_g: Option<f64>,
    /// How much is short.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short_g: Option<f64>,
    /// Price per gram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_g: Option<f64>,
    /// grams × price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// What a pack holds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pack_g: Option<f64>,
    /// What a pack costs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pack_price: Option<f64>,
    /// Whole packs to buy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packs: Option<u32>,
    /// packs × pack price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_pay: Option<f64>,
    /// The last day its maker vouches for what is on the shelf.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expires: Option<String>,
    /// Age, expiry, a new lot, and other things to know before using or buying it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Ids of the pieces it is for.
    pub pieces: Vec<String>,
}

/// The cheapest set of dyes that still reaches everything.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheapestSeen {
    /// Ids of the dyes.
    pub dyes: Vec<String>,
    /// What must be bought of them.
    pub to_pay: f64,
    /// What the recipes chosen above would have to buy.
    pub chosen_to_pay: f64,
    /// False when the search stopped before it was proven cheapest.
    pub proven: bool,
    /// Recipes that would change: piece id and its dyes.
    pub changes: Vec<RecipeChange>,
    /// What it comes to, in words.
    pub words: String,
}

/// A piece that would take another of its recipes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecipeChange {
    /// Id of the piece.
    pub piece: String,
    /// Place of the recipe in the piece's list, from 1.
    pub recipe: usize,
    /// ΔE00 in daylight then.
    pub difference: f64,
}
