//! Household measures: how many spoons, cups or millilitres hold a mass, always as a range.
//!
//! Bulk density swings with grain, packing and damp, so a spoon is never one number. Rows in
//! `measures.toml`. Left out: what the maker's own scale can weigh (room `dosing`).

use serde::Deserialize;
use units::{Mass, Volume, trimmed};

use crate::fault::{held, read};
use crate::named::named;
use crate::{DataFault, Lore, Provenance, Standing};

named! {
    /// Whose spoons.
    pub enum Spoons, "set of spoons" {
        /// 5, 15 and 250 mL.
        Metric = "metric",
        /// 4.93, 14.79 and 236.6 mL.
        Us = "us",
    }
}

/// Something from a shop that stands for an agent.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Product {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The agent it stands for.
    pub agent: String,
    grams_per_gram: Option<f64>,
    ml_per_gram: Option<f64>,
    bulk_low_g_per_ml: Option<f64>,
    bulk_high_g_per_ml: Option<f64>,
    #[serde(default)]
    spoon: bool,
    /// Why it must be weighed, where it must.
    pub never_by_spoon: Option<String>,
    /// Light and dense grades differ twofold: a spoon counts only when the maker says which it is.
    #[serde(default)]
    pub declare_grade: bool,
    /// What to know about it.
    pub note: Option<String>,
    source: String,
    standing: Standing,
}

/// How much of one product does the work, in household words.
#[derive(Debug, Clone, PartialEq)]
pub struct Household {
    /// The product's id.
    pub product: String,
    /// Its name.
    pub name: String,
    /// The mass to weigh; none for a liquid.
    pub mass: Option<Mass>,
    /// The volume to pour; none for a powder.
    pub volume: Option<Volume>,
    /// In words: "3 to 4 level tablespoons", "200 mL".
    pub words: Option<String>,
    /// Least volume of the spoons, for a powder that may be spooned.
    pub low: Option<Volume>,
    /// Most volume.
    pub high: Option<Volume>,
    /// The words count only when this grade was declared.
    pub declare_grade: bool,
    /// Why it must be weighed, where it must.
    pub never_by_spoon: Option<String>,
    /// Where it is from.
    pub provenance: Provenance,
}

/// A mass ratio that lets one substance stand for another.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Equivalence {
    /// Its id.
    pub id: String,
    factor_g_per_g: f64,
    /// What stands for what, and by which formula masses.
    pub says: String,
    source: String,
    standing: Standing,
}

impl Equivalence {
    /// Grams of the one that do the work of a gram of the other.
    #[must_use]
    pub const fn factor(&self) -> f64 {
        self.factor_g_per_g
    }

    /// Where it is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct SpoonRow {
    us_teaspoon_ml: f64,
    us_tablespoon_ml: f64,
    us_cup_ml: f64,
    metric_teaspoon_ml: f64,
    metric_tablespoon_ml: f64,
    metric_cup_ml: f64,
    source: String,
    standing: Standing,
}

/// Something that is never measured by spoon, and why.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NeverBySpoon {
    /// Its id; `dye` is dye powder.
    pub id: String,
    /// Why.
    pub why: String,
    source: String,
    standing: Standing,
}

impl NeverBySpoon {
    /// Where it is from.
    #[must_use]
    pub fn provenance(&self) -> Provenance {
        Provenance { source: self.source.clone(), standing: self.standing }
    }
}

/// Everything `measures.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Measures {
    spoons: Option<SpoonRow>,
    products: Vec<Product>,
    never: Vec<NeverBySpoon>,
    equivalences: Vec<Equivalence>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    spoons: SpoonRow,
    product: Vec<Product>,
    never_by_spoon: Vec<NeverBySpoon>,
    equivalence: Vec<Equivalence>,
}

const FILE: &str = "measures.toml";

/// Reads `measures.toml`; a product is a powder or a liquid, and a powder to be spooned has a density.
pub(crate) fn try_read(text: &str) -> Result<Measures, DataFault> {
    let file: File = read(FILE, text)?;
    for product in &file.product {
        let fault =
            |what: &str| DataFault { file: FILE, what: format!("'{}': {what}", product.id) };
        if product.grams_per_gram.is_some() == product.ml_per_gram.is_some() {
            return Err(fault("give grams_per_gram or ml_per_gram, one of them"));
        }
        if product.spoon == product.never_by_spoon.is_some() {
            return Err(fault("say spoon = true or why never_by_spoon"));
        }
        let dense = product.bulk_low_g_per_ml.zip(product.bulk_high_g_per_ml);
        let powder = product.grams_per_gram.is_some();
        if powder && product.spoon && !dense.is_some_and(|(low, high)| low > 0.0 && low <= high) {
            return Err(fault("a spoon needs bulk_low_g_per_ml and a bulk_high_g_per_ml"));
        }
        held(FILE, &product.id, Mass::try_grams(product.grams_per_gram.unwrap_or(1.0)))?;
        held(FILE, &product.id, Volume::try_millilitres(product.ml_per_gram.unwrap_or(1.0)))?;
    }
    Ok(Measures {
        spoons: Some(file.spoons),
        products: file.product,
        never: file.never_by_spoon,
        equivalences: file.equivalence,
    })
}

impl Product {
    /// How much of it does the work of `mass` of its agent.
    fn household(&self, mass: Mass, spoons: &SpoonRow, whose: Spoons) -> Option<Household> {
        let grams = mass.to_grams();
        let (mass, volume, low, high) = match (self.grams_per_gram, self.ml_per_gram) {
            (Some(factor), _) => {
                let mass = Mass::try_grams(grams * factor).ok()?;
                let dense = self.bulk_low_g_per_ml.zip(self.bulk_high_g_per_ml);
                let (light, heavy) = dense.filter(|_| self.spoon).unzip();
                let fill = |density: f64| Volume::try_millilitres(mass.to_grams() / density).ok();
                (Some(mass), None, heavy.and_then(fill), light.and_then(fill))
            }
            (None, Some(factor)) => {
                let volume = Volume::try_millilitres(grams * factor).ok()?;
                (None, Some(volume), None, None)
            }
            (None, None) => return None,
        };
        let words = match (volume, low, high) {
            (Some(volume), ..) => Some(poured(volume.to_millilitres())),
            (None, Some(low), Some(high)) => {
                spooned(low.to_millilitres(), high.to_millilitres(), spoons, whose)
            }
            _ => None,
        };
        Some(Household {
            product: self.id.clone(),
            name: self.name.clone(),
            mass,
            volume,
            words,
            low,
            high,
            declare_grade: self.declare_grade,
            never_by_spoon: self.never_by_spoon.clone(),
            provenance: Provenance { source: self.source.clone(), standing: self.standing },
        })
    }
}

/// Millilitres as a jug shows them: to 1 below 100, to 5 below 1000, to 10 above.
fn poured(ml: f64) -> String {
    let step = if ml < 100.0 {
        1.0
    } else if ml < 1000.0 {
        5.0
    } else {
        10.0
    };
    if ml < 0.5 {
        format!("{} mL", trimmed(ml, 2))
    } else {
        format!("{:.0} mL", (ml / step).round() * step)
    }
}

/// Level spoons or cups, to a quarter teaspoon, half tablespoon or quarter cup, as a range that holds the
/// true one. Nothing below a quarter teaspoon: weigh it.
fn spooned(low: f64, high: f64, spoons: &SpoonRow, whose: Spoons) -> Option<String> {
    let (tea, table, cup) = match whose {
        Spoons::Metric => {
            (spoons.metric_teaspoon_ml, spoons.metric_tablespoon_ml, spoons.metric_cup_ml)
        }
        Spoons::Us => (spoons.us_teaspoon_ml, spoons.us_tablespoon_ml, spoons.us_cup_ml),
    };
    let (unit, step, one, many) = if high <= tea * 3.0 {
        (tea, 0.25, "level teaspoon", "level teaspoons")
    } else if high <= table * 8.0 {
        (table, 0.5, "level tablespoon", "level tablespoons")
    } else {
        (cup, 0.25, "level cup", "level cups")
    };
    let down = (low / unit / step + 1e-9).floor() * step;
    let up = (high / unit / step - 1e-9).ceil() * step;
    if up < step || high < tea * 0.25 {
        return None;
    }
    let from = down.max(step);
    let noun = if up <= 1.0 { one } else { many };
    Some(if (up - from).abs() < 1e-9 {
        format!("{} {noun}", fraction(up))
    } else {
        format!("{} to {} {noun}", fraction(from), fraction(up))
    })
}

/// A number of spoons as a cook writes it.
fn fraction(number: f64) -> String {
    let whole = number.floor();
    let part = match number - whole {
        p if p < 0.125 => "",
        p if p < 0.375 => "¼",
        p if p < 0.625 => "½",
        _ => "¾",
    };
    if whole == 0.0 { part.to_owned() } else { format!("{whole:.0}{part}") }
}

impl Lore {
    /// What holds this mass of an agent, product by product, the usual one first; empty for an agent no
    /// product stands for. Powder that must not be spooned comes without words.
    #[must_use]
    pub fn household(&self, agent: &str, mass: Mass, whose: Spoons) -> Vec<Household> {
        let Some(spoons) = &self.pot.measures.spoons else { return Vec::new() };
        let products = self.pot.measures.products.iter().filter(|product| product.agent == agent);
        products.filter_map(|product| product.household(mass, spoons, whose)).collect()
    }

    /// The household measure of one product for the work of this mass of its agent; none for a product
    /// that is not known or must be weighed.
    #[must_use]
    pub fn measure(&self, product: &str, mass: Mass, whose: Spoons) -> Option<Household> {
        let spoons = self.pot.measures.spoons.as_ref()?;
        let product = self.product(product)?;
        product.household(mass, spoons, whose).filter(|household| household.words.is_some())
    }

    /// Every product.
    #[must_use]
    pub fn products(&self) -> &[Product] {
        &self.pot.measures.products
    }

    /// The product with this id.
    #[must_use]
    pub fn product(&self, id: &str) -> Option<&Product> {
        self.products().iter().find(|product| product.id == id)
    }

    /// Why this is never measured by spoon: `dye`, or a product's id.
    #[must_use]
    pub fn never_by_spoon(&self, id: &str) -> Option<&str> {
        let listed = self.pot.measures.never.iter().find(|it| it.id == id);
        listed
            .map(|it| it.why.as_str())
            .or_else(|| self.product(id).and_then(|product| product.never_by_spoon.as_deref()))
    }

    /// What stands for what, by formula masses.
    #[must_use]
    pub fn equivalences(&self) -> &[Equivalence] {
        &self.pot.measures.equivalences
    }

    /// What is never measured by spoon.
    #[must_use]
    pub fn never_spooned(&self) -> &[NeverBySpoon] {
        &self.pot.measures.never
    }

    /// Where the volumes of the spoons are from.
    #[must_use]
    pub fn spoon_provenance(&self) -> Option<Provenance> {
        let spoons = self.pot.measures.spoons.as_ref()?;
        Some(Provenance { source: spoons.source.clone(), standing: spoons.standing })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grams(g: f64) -> Mass {
        Mass::try_grams(g).unwrap_or(Mass::ZERO)
    }

    fn of(product: &str, g: f64) -> Household {
        let all = Lore::shipped().household(
            &Lore::shipped().product(product).map(|p| p.agent.clone()).unwrap_or_default(),
            grams(g),
            Spoons::Us,
        );
        match all.into_iter().find(|household| household.product == product) {
            Some(household) => household,
            None => panic!("no product {product}"),
        }
    }

    /// Formula masses g/mol from the standard atomic weights of carbon, hydrogen, oxygen, sodium, sulfur.
    #[test]
    fn stand_ins_agree_with_formula_masses() {
        for (product, agent_g, want_g) in [
            ("washing-soda-crystals", 10.0, 10.0 * 286.141 / 105.988), // 27.0 g
            ("glauber-crystals", 50.0, 50.0 * 322.195 / 142.042),      // 113.4 g
            ("citric-for-acetic", 1.0, 192.124 / 3.0 / 60.052),        // 1.07 g
            ("soda-monohydrate", 1.0, 124.004 / 105.988),              // 1.170 g
        ] {
            let mass = of(product, agent_g).mass.map_or(0.0, Mass::to_grams);
            assert!((mass / want_g - 1.0).abs() < 1e-3, "{product}: {mass} g, want {want_g} g");
        }
        for (id, want) in [
            ("sulfate-for-salt-equal-sodium", 142.042 / (2.0 * 58.443)),
            ("citric-monohydrate-for-acetic", 210.139 / 3.0 / 60.052),
            ("potassium-chloride-for-salt", 74.551 / 58.443),
            ("soda-ash-from-bicarbonate", 105.988 / (2.0 * 84.007)),
        ] {
            let row = Lore::shipped().equivalences().iter().find(|it| it.id == id);
            let factor = row.map_or(0.0, Equivalence::factor);
            assert!((factor - want).abs() < 1e-3, "{id}: {factor}, want {want}");
        }
    }

    #[test]
    fn a_gram_of_acetic_acid_a_litre_in_ten_litres_is_200_ml_of_5_percent_vinegar() {
        // 5 % w/v is 5 g in 100 mL (definition).
        assert_eq!(of("vinegar-5", 10.0).words.as_deref(), Some("200 mL"));
        assert_eq!(of("vinegar-4", 10.0).words.as_deref(), Some("250 mL"));
        assert_eq!(of("vinegar-8", 10.0).words.as_deref(), Some("125 mL"));
    }

    #[test]
    fn spoons_hold_the_grams_of_the_tables() {
        // Grams in a US teaspoon (shared table of bulk densities): light soda ash 2.8–3.2, dense
        // 4.9–5.2, table salt 5.7–6.4, granular citric acid 3.9–4.7.
        for (product, low_g, high_g) in [
            ("soda-ash-light", 2.8, 3.2),
            ("soda-ash-dense", 4.9, 5.2),
            ("table-salt", 5.7, 6.4),
            ("citric-granular", 3.9, 4.7),
        ] {
            let spoon = 4.928_921_593_75;
            let row = Lore::shipped().product(product);
            let holds = row.and_then(|p| p.bulk_low_g_per_ml.zip(p.bulk_high_g_per_ml));
            let Some((low, high)) = holds else { panic!("{product} has no density") };
            assert!(low * spoon <= low_g + 0.05 && high * spoon >= high_g - 0.05, "{product}");
        }
    }

    #[test]
    fn the_words_hold_the_true_amount() {
        assert_eq!(
            of("table-salt", 60.0).words.as_deref(),
            Some("3 to 4 level tablespoons"),
            "60 g at 1.15–1.30 g/mL is 46–52 mL, 3.1–3.5 tablespoons"
        );
        assert_eq!(of("table-salt", 400.0).words.as_deref(), Some("1¼ to 1½ level cups"));
        assert_eq!(of("table-salt", 5.0).words.as_deref(), Some("¾ to 1 level teaspoon"));
        assert_eq!(of("table-salt", 0.2).words, None, "too little for a spoon");
    }

    #[test]
    fn what_must_be_weighed_is_not_spooned() {
        for product in ["dithionite", "alum-fine", "glauber-crystals", "baking-soda"] {
            assert!(of(product, 100.0).words.is_none(), "{product}");
            assert!(Lore::shipped().never_by_spoon(product).is_some(), "{product}");
        }
        assert!(Lore::shipped().never_by_spoon("dye").is_some());
        assert!(
            of("soda-ash-light", 10.0).declare_grade && of("soda-ash-dense", 10.0).declare_grade
        );
    }
}
