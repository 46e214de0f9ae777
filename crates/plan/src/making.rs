//! A recipe made into its sheets: the swatch bath and the bulk bath, and what the bulk bath really doses.

use bath::{
    Brought, Comes, DyeWanted, Kind, Lining, Order, Sharing, Sheet, VesselAtHand, shared_sheet,
    sheet,
};
use costume::{PackFacts, Piece};
use dyeing::{Dosed, HOME, Prediction, predict};
use lore::Offer;
use units::{Mass, OnFibre, PerLitre};

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

/// Makes the sheets of a recipe; `with` lie in the same bulk bath.
pub(crate) fn made(
    request: &Request,
    piece: &Piece,
    with: &[&Piece],
    offer: &Offer,
    asked: &Asked,
    doses: &[(usize, OnFibre)],
) -> Result<Made, Stop> {
    let (swatch, bulk) = match sheets(request, piece, with, offer, asked, doses) {
        Ok(both) => both,
        Err(refusal @ bath::Refusal::NoVessel { .. }) => {
            return Err(Stop::Vessel(refusal.to_string()));
        }
        Err(refusal) => return Err(Stop::Other(refusal.to_string())),
    };
    let dosed = predict(&asked.whole, &dosed(asked, &bulk)?, HOME)?;
    Ok(Made { swatch, bulk, dosed })
}

fn sheets(
    request: &Request,
    piece: &Piece,
    with: &[&Piece],
    offer: &Offer,
    asked: &Asked,
    doses: &[(usize, OnFibre)],
) -> Result<(Sheet, Sheet), bath::Refusal> {
    let ordered = Ordered::of(request, piece, asked, doses);
    let small = Ordered { vessels: ordered.for_swatches(), ..ordered.clone() };
    let order = |kind| match kind {
        Kind::Swatch => small.order(request, piece, offer, asked, kind),
        Kind::Bulk => ordered.order(request, piece, offer, asked, kind),
    };
    let swatch = sheet(&order(Kind::Swatch)).map_err(|no| {
        // What keeps the piece itself out of the kitchen is said before what its swatch lacks.
        match sheet(&order(Kind::Bulk)) {
            Err(first @ (bath::Refusal::NoVessel { .. } | bath::Refusal::NoBurner { .. })) => first,
            _ => no,
        }
    })?;
    if with.is_empty() {
        return Ok((swatch, sheet(&order(Kind::Bulk))?));
    }
    let all: Vec<(&Piece, Ordered)> = std::iter::once(&piece)
        .chain(with)
        .map(|one| (*one, Ordered::of(request, one, asked, doses)))
        .collect();
    let orders: Vec<(&Piece, Order)> = all
        .iter()
        .map(|(one, ordered)| (*one, ordered.order(request, one, offer, asked, Kind::Bulk)))
        .collect();
    // Whether both are one cloth was asked before: they were given in the same words.
    let sharing: Vec<Sharing> = orders
        .iter()
        .map(|(one, order)| Sharing { piece: &one.id, cloth: "one cloth", order })
        .collect();
    Ok((swatch, shared_sheet(&sharing)?))
}

/// What an order borrows, kept while it is used.
#[derive(Clone)]
pub(crate) struct Ordered<'a> {
    wanted: Vec<DyeWanted<'a>>,
    vessels: Vec<VesselAtHand<'a>>,
    parts: Vec<&'a str>,
    parts_weigh: Vec<(&'a str, Mass)>,
}

impl<'a> Ordered<'a> {
    pub(crate) fn of(
        request: &Request<'a>,
        piece: &'a Piece,
        asked: &Asked,
        doses: &[(usize, OnFibre)],
    ) -> Self {
        let wanted = doses.iter().filter_map(|&(place, owf)| {
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
                contains: shelf.pack.as_ref().map(brought).unwrap_or_default(),
                may_split: shelf.pack.as_ref().is_some_and(|pack| pack.may_split),
                price: shelf.price,
            })
        });
        let vessels = request.costume.kitchen.vessels.iter().map(|v| VesselAtHand {
            name: &v.name,
            holds: v.holds,
            material: v.material.name(),
            to_60: v.to_60,
        });
        let goods = &piece.goods;
        Self {
            wanted: wanted.collect(),
            vessels: vessels.collect(),
            parts: goods.parts.iter().map(String::as_str).collect(),
            parts_weigh: goods.parts_weigh.iter().map(|(p, m)| (p.as_str(), *m)).collect(),
        }
    }

    /// The same in a kitchen without its vessels of glass.
    pub(crate) fn without_glass(mut self) -> Self {
        self.vessels = self.for_swatches();
        self
    }

    /// The vessels without those of glass: a swatch stands in a jam jar in a pot of hot water, and several
    /// do on one day, where the kitchen lists one.
    fn for_swatches(&self) -> Vec<VesselAtHand<'a>> {
        self.vessels.iter().filter(|v| v.material != "glass").copied().collect()
    }

    pub(crate) fn order<'s>(
        &'s self,
        request: &Request<'s>,
        piece: &'s Piece,
        offer: &Offer,
        asked: &Asked,
        kind: Kind,
    ) -> Order<'s> {
        let (kitchen, people) = (&request.costume.kitchen, request.costume.people);
        let of_water =
            |mg: Option<f64>| mg.and_then(|mg| PerLitre::try_grams_per_litre(mg / 1000.0).ok());
        let goods = &piece.goods;
        Order {
            lore: request.lore,
            kind,
            makeup: &goods.makeup,
            made_up: None,
            parts: &self.parts,
            procedure: offer.procedure,
            dyes: &self.wanted,
            goods: goods.dry,
            comes: Comes {
                form: goods.form,
                parts_weigh: &self.parts_weigh,
                lining: goods.lining.as_ref().map(|l| Lining { makeup: &l.makeup, dry: l.dry }),
                spare: piece.spare,
                swatch_weighs: piece.swatch_weighs,
                shrinkage_allowed: piece.shrinkage_allowed,
                one_of_two: asked.one_of_two,
            },
            ratio: asked.ratio,
            kitchen: bath::Kitchen {
                kit: &kitchen.kit,
                vessels: &self.vessels,
                hardness: of_water(kitchen.hardness_mg_per_l),
                vinegar: kitchen.vinegar,
                alkalinity: of_water(kitchen.alkalinity_mg_per_l),
                lifts: kitchen.lifts,
                methods: &kitchen.methods,
                machine: kitchen.machine.map(|m| bath::Machine {
                    holds: m.holds,
                    water: m.water,
                    hottest: m.hottest,
                }),
                burner: kitchen.burners > 0,
            },
            near: bath::Near {
                asthma: people.asthma,
                pregnancy: people.pregnancy,
                children: people.children,
                pets: people.pets,
            },
        }
    }
}

/// What a pack brings besides dye, for the bath to leave out.
fn brought(pack: &PackFacts) -> Vec<Brought<'_>> {
    let holds = pack.holds;
    pack.contains
        .iter()
        .map(|it| Brought {
            agent: &it.agent,
            grams: it.grams,
            pack: holds,
            own_sachet: it.own_sachet,
        })
        .collect()
}

/// The recipe as a bulk sheet really doses it.
pub(crate) fn dosed<'a>(asked: &Asked<'a>, bulk: &Sheet) -> Result<Vec<Dosed<'a>>, Stop> {
    let mut recipe = vec![];
    for line in &bulk.dyes {
        if let Some(dye) = asked.dye_called(&line.id) {
            let dose = OnFibre::try_percent(line.owf_pct.value())?;
            recipe.push(Dosed { dye, dose, scatter: line.dose.relative_scatter() });
        }
    }
    Ok(recipe)
}
