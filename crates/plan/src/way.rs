//! Which way of dyeing and which recipe: the offers of the trade, tried best first on this shelf.

use bath::{DyeWanted, Kind, Order, Sheet, sheet};
use colour::Light;
use costume::{Kitchen, Piece, ShelfDye};
use dosing::{Form, StockRules};
use dyeing::{Dosed, Ground, HOME, Prediction, Substrate, predict};
use lore::{DyeClass, Makeup, Offer, Offers, Procedure};
use recipe::{Answer, Candidate, Question, Target, propose};
use units::{LiquorRatio, OnFibre, Share, StockStrength};

use crate::Request;

/// One way carried through to its sheets.
pub(crate) struct Way {
    pub(crate) offer: Offer,
    pub(crate) class: DyeClass,
    pub(crate) answer: Answer,
    /// Place of the recipe in the answer that the sheets are made of.
    pub(crate) chosen: usize,
    /// Shelf places of the question's dyes.
    pub(crate) dyes: Vec<usize>,
    pub(crate) ratio: LiquorRatio,
    /// True when the usual ratio did not fit any vessel.
    pub(crate) ratio_lowered: bool,
    /// True when part of the cloth stays undyed and the recipe is for the other part.
    pub(crate) heather: bool,
    pub(crate) swatch: Sheet,
    pub(crate) bulk: Sheet,
    /// The recipe as really dosed in the bulk bath.
    pub(crate) dosed: Prediction,
}

/// Why no way was found: a sentence for each that was tried.
pub(crate) struct NoWay(pub(crate) Vec<String>);

/// What every try at a way needs.
pub(crate) struct Try<'a> {
    pub(crate) request: &'a Request<'a>,
    pub(crate) piece: &'a Piece,
    pub(crate) ground: &'a Ground,
    pub(crate) target: Target,
    pub(crate) lights: &'a [Light],
}

/// Tries the offers, best first; takes the first that comes near enough to pass from where the piece is
/// seen, else the nearest. A class that holds better in wash and wear is worth more than a last unit
/// of colour nobody sees.
pub(crate) fn choose(tries: &Try, offers: &Offers) -> Result<Way, NoWay> {
    let mut best: Option<Way> = None;
    let mut said = vec![];
    for offer in wanted(offers, tries.piece.procedure) {
        for class in classes(tries, offer) {
            match one(tries, offer, class) {
                Ok(way) if way.answer.reach.gap <= tries.piece.viewing.limit() => return Ok(way),
                Ok(way) => {
                    // A lesser way is taken only where it comes visibly nearer.
                    let visibly = tries.piece.viewing.limit();
                    let nearer = best
                        .as_ref()
                        .is_none_or(|b| way.answer.reach.gap < b.answer.reach.gap - visibly);
                    if nearer {
                        best = Some(way);
                    }
                }
                Err(why) => said.push(format!("{}: {why}", way_words(tries, offer.procedure))),
            }
        }
        if classes(tries, offer).is_empty() {
            let names: Vec<&str> =
                offer.classes.iter().map(|c| tries.request.lore.class_name(c.class)).collect();
            said.push(format!(
                "{}: no {} dye on the shelf",
                way_words(tries, offer.procedure),
                names.join(" or ")
            ));
        }
    }
    best.ok_or(NoWay(said))
}

fn way_words(tries: &Try, procedure: Procedure) -> String {
    tries.request.lore.procedure_name(procedure).to_owned()
}

fn wanted(offers: &Offers, insisted: Option<Procedure>) -> impl Iterator<Item = &Offer> {
    offers.offered.iter().filter(move |o| insisted.is_none_or(|p| o.procedure == p))
}

/// The classes of an offer that the shelf holds; classes of one bath (milling and premetallised)
/// are searched together under the first of them.
fn classes(tries: &Try, offer: &Offer) -> Vec<DyeClass> {
    let held = |class: DyeClass| tries.request.shelf.dyes.iter().any(|d| d.dye.class == class);
    let mut held: Vec<DyeClass> =
        offer.classes.iter().map(|c| c.class).filter(|c| held(*c)).collect();
    if offer.procedure == Procedure::AcidMilling {
        held.truncate(1);
    }
    held
}

/// Liquor ratios tried, from the usual one down; unlike ratios want a swatch at that ratio.
const LOWER: [f64; 3] = [20.0, 15.0, 12.0];

fn one(tries: &Try, offer: &Offer, class: DyeClass) -> Result<Way, String> {
    let usual = usual_ratio(tries.request.lore, &tries.piece.goods.makeup);
    let mut ratios = vec![tries.piece.ratio.map_or(usual, LiquorRatio::to_litres_per_kilogram)];
    if tries.piece.ratio.is_none() {
        ratios.extend(LOWER.into_iter().filter(|r| *r < usual));
    }
    let mut why = String::new();
    for (i, ratio) in ratios.iter().enumerate() {
        let ratio = LiquorRatio::try_litres_per_kilogram(*ratio).map_err(|e| e.to_string())?;
        match at_ratio(tries, offer, class, ratio) {
            Ok(mut way) => {
                way.ratio_lowered = i > 0;
                return Ok(way);
            }
            Err(Stop::Vessel(says)) => {
                if why.is_empty() {
                    why = says;
                }
            }
            Err(Stop::Other(says)) => return Err(says),
        }
    }
    Err(why)
}

/// 30:1 for what must move freely and not be stirred (protein, knit feathers, acetate), else 20:1
/// (common practice for pots).
fn usual_ratio(lore: &lore::Lore, makeup: &Makeup) -> f64 {
    use lore::Group;
    let roomy =
        |g: Group| matches!(g, Group::Protein | Group::Skin | Group::Acetate | Group::Acrylic);
    if lore.materials_of(makeup).iter().any(|m| roomy(m.group)) { 30.0 } else { 20.0 }
}

enum Stop {
    /// No vessel at this ratio.
    Vessel(String),
    Other(String),
}

impl<E: std::error::Error> From<E> for Stop {
    fn from(e: E) -> Self {
        Self::Other(e.to_string())
    }
}

fn at_ratio(tries: &Try, offer: &Offer, class: DyeClass, ratio: LiquorRatio) -> Result<Way, Stop> {
    let (request, piece) = (tries.request, tries.piece);
    let takes = |m: &str| {
        let known = request.lore.material(m).ok();
        known.is_some_and(|m| {
            let finding = request.lore.verdict_for(m, offer.procedure, class);
            finding.is_ok_and(|f| f.verdict.dyes())
        })
    };
    let whole = Substrate::try_for(tries.ground, class, ratio, &takes)?;
    // Where part of the cloth stays undyed the dyed part is brought to the colour: chasing the mean of
    // both would dye it garish, and the eye sees the heather all the same.
    let heather = whole.takers() < WHOLE;
    let on = if heather { whole.dyed_part() } else { whole.clone() };
    let together = |d: &ShelfDye| match offer.procedure {
        Procedure::AcidMilling => offer.classes.iter().any(|c| c.class == d.dye.class),
        _ => d.dye.class == class,
    };
    let mut dyes: Vec<usize> =
        (0..request.shelf.dyes.len()).filter(|&i| together(&request.shelf.dyes[i])).collect();
    // Powder is kept from somebody near: a recipe of the liquids, where there are any; the bath refuses
    // the others in words.
    let liquid = |i: &usize| request.shelf.dyes[*i].dye.form != Form::Powder;
    if offer.liquid_only && dyes.iter().any(liquid) {
        dyes.retain(liquid);
    }
    let candidates: Vec<Candidate> = dyes
        .iter()
        .filter_map(|&i| {
            let shelf = &request.shelf.dyes[i];
            Some(Candidate { dye: &shelf.dye, price: shelf.price, rules: stock_rules(shelf)? })
        })
        .collect();
    let question = Question {
        on: &on,
        dyes: &candidates,
        target: tries.target,
        lights: tries.lights,
        goods: piece.goods.dry,
        kit: &request.costume.kitchen.kit,
        tolerance: piece.viewing.limit(),
        most_dyes: MOST_DYES,
        most_total: most_total(request, piece, offer.procedure, &on),
        scatter: HOME,
    };
    let answer = propose(&question, request.threads)?;
    if answer.choices.is_empty() {
        let says = "the undyed cloth is as near as any dye can bring it";
        return Err(Stop::Other(says.to_owned()));
    }
    let mut why = None;
    for chosen in 0..answer.choices.len() {
        let doses = &answer.choices[chosen].doses;
        let (swatch, bulk) = match sheets(tries, offer, &dyes, doses, ratio) {
            Ok(both) => both,
            Err(refusal @ bath::Refusal::NoVessel { .. }) => {
                return Err(Stop::Vessel(refusal.to_string()));
            }
            Err(refusal) => {
                why.get_or_insert(refusal.to_string());
                continue;
            }
        };
        let dosed = as_dosed(&whole, request, &dyes, &bulk)?;
        return Ok(Way {
            offer: offer.clone(),
            class,
            answer,
            chosen,
            dyes,
            ratio,
            ratio_lowered: false,
            heather,
            swatch,
            bulk,
            dosed,
        });
    }
    Err(Stop::Other(why.unwrap_or_else(|| "no recipe could be dosed".to_owned())))
}

/// From this share of takers on the cloth counts as dyed all over (as in the trade's own verdicts).
const WHOLE: f64 = 0.9;

/// The most dye the bath is good for: what the trade says for the fibre that leads, on the part of the
/// cloth that takes it.
fn most_total(
    request: &Request,
    piece: &Piece,
    procedure: Procedure,
    on: &Substrate,
) -> Option<OnFibre> {
    let owned = fibres(request.lore, &piece.goods.makeup);
    let takes = |m: &str| {
        request.lore.material(m).is_ok_and(|m| request.lore.verdict(m, procedure).verdict.dyes())
    };
    let mut goods: Vec<&str> = owned.iter().map(|(m, _)| m.as_str()).collect();
    goods.sort_by_key(|m| !takes(m));
    let most = request.lore.deepest(procedure, &goods)?;
    OnFibre::try_percent(most.to_percent() * on.takers()).ok()
}

/// Two or three dyes by default; a fourth only where the score says that it buys something.
const MOST_DYES: usize = 4;

fn sheets(
    tries: &Try,
    offer: &Offer,
    dyes: &[usize],
    doses: &[(usize, OnFibre)],
    ratio: LiquorRatio,
) -> Result<(Sheet, Sheet), bath::Refusal> {
    let request = tries.request;
    let wanted: Vec<DyeWanted> = doses
        .iter()
        .filter_map(|&(place, owf)| {
            let shelf = &request.shelf.dyes[dyes[place]];
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
    let Kitchen { kit, vessels, hardness_mg_per_l, vinegar } = &request.costume.kitchen;
    let vessels: Vec<bath::VesselAtHand> = vessels
        .iter()
        .map(|v| bath::VesselAtHand { name: &v.name, holds: v.holds, material: v.material.name() })
        .collect();
    let hardness =
        hardness_mg_per_l.and_then(|mg| units::PerLitre::try_grams_per_litre(mg / 1000.0).ok());
    let people = request.costume.people;
    let parts: Vec<&str> = tries.piece.goods.parts.iter().map(String::as_str).collect();
    let order = |kind| Order {
        lore: request.lore,
        kind,
        makeup: &tries.piece.goods.makeup,
        made_up: None,
        parts: &parts,
        procedure: offer.procedure,
        dyes: &wanted,
        goods: tries.piece.goods.dry,
        ratio,
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

/// How strong a stock of a class may be and how long it keeps: reactive and acid 5 %, direct 2 %,
/// a dispersion 1 % and shaken; reactive a week in the cool (from memory, trade practice).
fn stock_rules(shelf: &ShelfDye) -> Option<StockRules> {
    let (strongest, keeps) = match shelf.dye.class {
        DyeClass::ReactiveDct | DyeClass::ReactiveMct | DyeClass::ReactiveVs => (5.0, 7),
        DyeClass::AcidLevelling | DyeClass::AcidMilling | DyeClass::Premetallised => (5.0, 60),
        DyeClass::Disperse => (1.0, 1),
        _ => (2.0, 30),
    };
    let rules = StockRules::new(StockStrength::try_percent(strongest).ok()?, keeps);
    Some(match shelf.left {
        Some(left) if left.to_grams() > 0.0 => rules.with_pack(left),
        _ => rules,
    })
}

/// The fibres of a makeup as the dyeing room names them; all that count for an unknown fibre, alike.
pub(crate) fn fibres(lore: &lore::Lore, makeup: &Makeup) -> Vec<(String, Share)> {
    match makeup {
        Makeup::Known(portions) => portions.iter().map(|p| (p.material.clone(), p.share)).collect(),
        Makeup::Unknown(_) => lore
            .materials_of(makeup)
            .first()
            .map(|m| vec![(m.id.clone(), Share::WHOLE)])
            .unwrap_or_default(),
    }
}
