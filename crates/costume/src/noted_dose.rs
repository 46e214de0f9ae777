//! The doses of a swatch as noted: what was really dosed, by what, and how far it may be off.

use lore::{DyeClass, Lore};
use units::{Mass, OnFibre, PerLitre, Share, StockStrength, Volume};

use crate::Shelf;
use crate::reader::{At, Table, nearest};

/// A dose as noted.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseNoted {
    /// Of what.
    pub of: DosedNoted,
    /// How much.
    pub amount: AmountNoted,
    /// One standard deviation as a share of the amount.
    pub scatter: Option<Share>,
    /// By what it was measured.
    pub measured: Option<String>,
}

/// What was dosed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DosedNoted {
    /// A dye of the shelf, by id.
    Dye {
        /// Its id.
        id: String,
        /// Its class.
        class: DyeClass,
        /// Its lot, as told here or on the shelf.
        lot: Option<String>,
    },
    /// An auxiliary, by id.
    Auxiliary(String),
}

/// How much, in the way it was dosed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AmountNoted {
    /// On weight of fibre.
    OnFibre(OnFibre),
    /// Weighed, or so much of a stock solution.
    Weighed(Mass),
    /// Poured.
    Poured(Volume),
    /// To a litre of liquor.
    PerLitre(PerLitre),
}

/// Strength of a stock solution, %.
const STOCK_PCT: std::ops::RangeInclusive<f64> = 0.001..=20.0;

/// Reads `dose`: the classes of its dyes with their places, and the doses.
pub(crate) fn doses(
    row: &Table,
    lore: &Lore,
    shelf: &Shelf,
) -> (Vec<At<DyeClass>>, Option<Vec<DoseNoted>>) {
    let mut classes = vec![];
    let mut read = vec![];
    for table in row.parts("dose") {
        let one = dose(&table, lore, shelf);
        table.finish();
        if let Some(DoseNoted { of: DosedNoted::Dye { class, id, .. }, .. }) = &one {
            let twice = |d: &Option<DoseNoted>| matches!((d, &one), (Some(a), Some(b)) if a.of == b.of && a.amount == b.amount);
            if read.iter().any(twice) {
                let says = format!("\"{id}\" is dosed twice alike");
                table.fault(table.span.clone(), says, "write the two together, or take one out");
            }
            classes.push(At { it: *class, span: table.span.clone() });
        }
        read.push(one);
    }
    (classes, read.into_iter().collect())
}

fn dose(table: &Table, lore: &Lore, shelf: &Shelf) -> Option<DoseNoted> {
    let (dye, auxiliary) = (table.text("dye"), table.text("auxiliary"));
    let lot = table.text("lot").map(|l| l.it);
    let amount = amount(table);
    let hint = "one standard deviation in % of the amount, as in scatter_pct = 2";
    let scatter = table.between("scatter_pct", 0.0..=100.0, hint);
    let scatter = scatter.map(|s| table.keep(&s.span, Share::try_percent(s.it), hint));
    let by_stock = table.any("stock_ml").is_some();
    let measured = table.text("measured").map(|m| m.it);
    let measured = measured.or_else(|| by_stock.then(|| "stock solution".to_owned()));
    let of = match (dye, auxiliary) {
        (Some(dye), None) => of_shelf(table, &dye, lot, shelf),
        (None, Some(agent)) => {
            let known = lore.agent(&agent.it).map(|a| a.id.clone());
            table.keep(&agent.span, known, "an auxiliary by its id").map(DosedNoted::Auxiliary)
        }
        _ => {
            let hint = "write one of dye = \"acid-navy\" and auxiliary = \"salt\"";
            table.fault(table.span.clone(), "a dose is of one thing", hint);
            None
        }
    };
    let scatter = match scatter {
        None => None,
        Some(given) => Some(given?),
    };
    Some(DoseNoted { of: of?, amount: amount?, scatter, measured })
}

fn of_shelf(
    table: &Table,
    dye: &At<String>,
    lot: Option<String>,
    shelf: &Shelf,
) -> Option<DosedNoted> {
    let Some(found) = shelf.dyes.iter().find(|d| d.dye.id == dye.it) else {
        let known: Vec<&str> = shelf.dyes.iter().map(|d| d.dye.id.as_str()).collect();
        let hint = match nearest(&dye.it, &known) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => {
                "name a dye of the shelf by its id; `dyewright shelf list` shows them".to_owned()
            }
        };
        table.fault(dye.span.clone(), format!("no dye of the shelf is \"{}\"", dye.it), hint);
        return None;
    };
    let lot = lot.or_else(|| found.lot.clone());
    Some(DosedNoted::Dye { id: dye.it.clone(), class: found.dye.class, lot })
}

/// `owf_pct`, `grams`, `ml`, `g_per_l`, or `stock_ml` with `stock_pct`: one of them.
fn amount(table: &Table) -> Option<AmountNoted> {
    let hint = "write one of owf_pct, grams, ml, g_per_l, or stock_ml with stock_pct";
    let owf = table
        .number("owf_pct")
        .map(|n| table.keep(&n.span, OnFibre::try_percent(n.it), hint).map(AmountNoted::OnFibre));
    let grams = table
        .number("grams")
        .map(|n| table.keep(&n.span, Mass::try_grams(n.it), hint).map(AmountNoted::Weighed));
    let ml = table
        .number("ml")
        .map(|n| table.keep(&n.span, Volume::try_millilitres(n.it), hint).map(AmountNoted::Poured));
    let per_litre = table.number("g_per_l").map(|n| {
        table.keep(&n.span, PerLitre::try_grams_per_litre(n.it), hint).map(AmountNoted::PerLitre)
    });
    let stock = stock(table);
    let told = |key| table.any(key).is_some();
    let told = [told("owf_pct"), told("grams"), told("ml"), told("g_per_l"), told("stock_ml")];
    let many = told.into_iter().filter(|t| *t).count();
    if many != 1 {
        let says = format!("a dose has one amount, not {many}");
        table.fault(table.span.clone(), says, hint);
        return None;
    }
    [owf, grams, ml, per_litre, stock].into_iter().flatten().next().flatten()
}

/// So many millilitres of a stock solution of so much per cent (g in 100 mL): what dye is in them.
fn stock(table: &Table) -> Option<Option<AmountNoted>> {
    let hint = "grams of dye in 100 mL of the stock solution, as in stock_pct = 1";
    let ml = table.number("stock_ml");
    let strength = table.between("stock_pct", STOCK_PCT, hint);
    let ml = match (ml, table.any("stock_pct")) {
        (Some(ml), Some(_)) => ml,
        (Some(ml), None) => {
            table.fault(ml.span, "`stock_ml` without the strength of the stock", hint);
            return Some(None);
        }
        (None, Some(pct)) => {
            let hint = "write stock_ml, how much of it was used";
            table.fault(pct.span, "`stock_pct` without an amount", hint);
            return None;
        }
        (None, None) => return None,
    };
    Some(strength.and_then(|strength| {
        let volume = table.keep(&ml.span, Volume::try_millilitres(ml.it), "zero or more")?;
        let strength = table.keep(&ml.span, StockStrength::try_percent(strength.it), hint)?;
        Some(AmountNoted::Weighed(strength.mass_in(volume)))
    }))
}
