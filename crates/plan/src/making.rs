//! A recipe made into its sheets: the swatch bath and the bulk bath, and what the bulk bath really doses.

use bath::{DyeWanted, Kind, Order, Sheet, sheet};
use costume::{Kitchen, Piece};
use dyeing::{Dosed, HOME, Prediction, Substrate, predict};
use lore::Offer;
use units::OnFibre;

use crate::Request;
use crate::asked::{Asked, stock_rules};
use crate::way::Stop;

/// A recipe's sheets.
pub(crate) struct Made {
    pub(crate) swatch: Sheet,
    pub(crate) bulk: Sheet,
    /// The recipe as really dosed in the bulk bath.
    pub(crate) dosed: Prediction,
}

/// Makes the sheets of a recipe.
pub(crate) fn made(
    request: &Request,
    piece: &Piece,
    offer: &Offer,
    asked: &Asked,
    doses: &[(usize, OnFibre)],
) -> Result<Made, Stop> {
    let (swatch, bulk) = match sheets(request, piece, offer, asked, doses) {
        Ok(both) => both,
        Err(refusal @ bath::Refusal::NoVessel { .. }) => {
            return Err(Stop::Vessel(refusal.to_string()));
        }
        Err(refusal) => return Err(Stop::Other(refusal.to_string())),
    };
    let dosed = as_dosed(&asked.whole, request, &asked.dyes, &bulk)?;
    Ok(Made { swatch, bulk, dosed })
}

fn sheets(
    request: &Request,
    piece: &Piece,
    offer: &Offer,
    asked: &Asked,
    doses: &[(usize, OnFibre)],
) -> Result<(Sheet, Sheet), bath::Refusal> {
    let wanted: Vec<DyeWanted> = doses
        .iter()
        .filter_map(|&(place, owf)| {
            let shelf = &request.shelf.dyes[asked.dyes[place]];
            Some(DyeWanted {
                id: &shelf.dye.id,
                name: &shelf.dye.name,
                class: shelf.dye.class,
                ci: shelf.dye.ci.as_deref(),
                form: shelf.dye.form,
                owf,
                stock: stock_rules(shelf)?,
                phthalocyanine: shelf.dye.phthalocyanine,
                price: shelf.price,
            })
        })
        .collect();
    let Kitchen { kit, vessels, hardness_mg_per_l, vinegar, .. } = &request.costume.kitchen;
    let vessels: Vec<bath::VesselAtHand> = vessels
        .iter()
        .map(|v| bath::VesselAtHand { name: &v.name, holds: v.holds, material: v.material.name() })
        .collect();
    let hardness =
        hardness_mg_per_l.and_then(|mg| units::PerLitre::try_grams_per_litre(mg / 1000.0).ok());
    let people = request.costume.people;
    let parts: Vec<&str> = piece.goods.parts.iter().map(String::as_str).collect();
    let order = |kind| Order {
        lore: request.lore,
        kind,
        makeup: &piece.goods.makeup,
        made_up: None,
        parts: &parts,
        procedure: offer.procedure,
        dyes: &wanted,
        goods: piece.goods.dry,
        ratio: asked.ratio,
        kitchen: bath::Kitchen { kit, vessels: &vessels, hardness, vinegar: *vinegar },
        near: bath::Near {
            asthma: people.asthma,
            pregnancy: people.pregnancy,
            children: people.children,
            pets: people.pets,
        },
    };
    Ok((sheet(&order(Kind::Swatch))?, sheet(&order(Kind::Bulk))?))
}

/// The recipe as the bulk sheet really doses it.
fn as_dosed(
    on: &Substrate,
    request: &Request,
    dyes: &[usize],
    bulk: &Sheet,
) -> Result<Prediction, Stop> {
    let mut recipe = vec![];
    for line in &bulk.dyes {
        let shelf = dyes.iter().map(|&i| &request.shelf.dyes[i]).find(|d| d.dye.id == line.id);
        if let Some(shelf) = shelf {
            let dose = OnFibre::try_percent(line.owf_pct.value())?;
            recipe.push(Dosed { dye: &shelf.dye, dose, scatter: line.dose.relative_scatter() });
        }
    }
    Ok(predict(on, &recipe, HOME)?)
}
