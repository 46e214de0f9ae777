//! The ways with a blend, each shown as it would look: one bath for all its fibres, two baths in the right
//! order, or a heather.

use colour::{Light, Weights, ciede2000};
use costume::{BlendWish, Piece};
use dyeing::{BlendBath, BlendLook, Dosed, Ground};
use lore::{
    BlendKind, BlendWay, BlendWays, DyeClass, Makeup, Offer, Offers, Part, People, Procedure,
};
use recipe::{Target, propose};
use units::LiquorRatio;

use crate::Request;
use crate::asked::Asked;
use crate::document::{BlendWaySeen, FibreLook};
use crate::piece::Found;
use crate::seen::{of_bands, print, sentence};
use crate::way::{NoWay, Try, Way, choose, classes, near, usual_ratio};

/// The way of a piece: for a blend the one the maker asked for, which may be two baths.
pub(crate) fn chosen<'a>(
    tries: &Try<'a>,
    offers: &Offers,
) -> Result<(Way<'a>, Option<Way<'a>>), NoWay> {
    let piece = tries.piece;
    if piece.procedure.is_some() {
        return Ok((choose(tries, offers, piece.procedure)?, None));
    }
    match wished(tries.request, piece) {
        Some(wish) if wish.second.is_some() => two_baths(tries, offers, &wish),
        Some(wish) => Ok((choose(tries, offers, Some(wish.first))?, None)),
        None if piece.blend.is_some() => Ok((choose(tries, offers, None)?, None)),
        None => unasked(tries, offers),
    }
}

/// Nobody said how: one bath where that passes, else two where they come visibly nearer.
fn unasked<'a>(tries: &Try<'a>, offers: &Offers) -> Result<(Way<'a>, Option<Way<'a>>), NoWay> {
    let limit = tries.piece.viewing.limit();
    let one = choose(tries, offers, None);
    let comes_to = one.as_ref().map_or(f64::INFINITY, |way| near(tries, way));
    if comes_to <= limit {
        return Ok((one?, None));
    }
    let two = known(tries.request, tries.piece)
        .into_iter()
        .flat_map(|ways| ways.ways)
        .find(|way| way.kind == BlendKind::TwoBaths && way.second.is_some())
        .and_then(|wish| two_baths(tries, offers, &wish).ok());
    match two {
        Some((mut first, second)) if from_target(tries, &first) < comes_to - limit => {
            if let Ok(one) = one {
                let why = format!("in this bath alone the cloth comes to {comes_to:.1} only");
                first.tried.insert(0, (one.offer.procedure, why));
            }
            Ok((first, second))
        }
        _ => Ok((one?, None)),
    }
}

/// How far the whole cloth of two baths is from the target, ΔE00 in daylight.
fn from_target(tries: &Try, first: &Way) -> f64 {
    let light = Weights::reference();
    ciede2000(light.lab(&tries.target.bands), light.lab(&first.made.dosed.bands))
}

fn two_baths<'a>(
    tries: &Try<'a>,
    offers: &Offers,
    wish: &BlendWay,
) -> Result<(Way<'a>, Option<Way<'a>>), NoWay> {
    let Some(then) = wish.second else {
        return Ok((choose(tries, offers, Some(wish.first))?, None));
    };
    let half = |procedure| {
        let offered = half(tries, procedure).into_iter().collect();
        let offers = Offers { offered, ..offers.clone() };
        choose(&Try { one_of_two: true, ..*tries }, &offers, Some(procedure))
    };
    let mut first = half(wish.first)?;
    let second = half(then)?;
    let own = |way: &Way<'a>| own_bath(tries.request, way);
    let baths = [own(&first), own(&second)];
    if let Some(look) = look(tries.request, tries.ground, wish, &baths) {
        first.made.dosed.lab = Weights::reference().lab(&look.bands);
        first.made.dosed.bands = look.bands;
        // Each bath has a spread of its own: the wider one is told.
        let other = &second.made.dosed;
        if other.piece.rms() > first.made.dosed.piece.rms() {
            first.made.dosed.piece = other.piece.clone();
            first.made.dosed.recipe = other.recipe.clone();
        }
    }
    first.asked.heather = false;
    Ok((first, Some(second)))
}

/// A procedure as one of two baths.
fn half(tries: &Try, procedure: Procedure) -> Option<Offer> {
    let (lore, goods) = (tries.request.lore, &tries.piece.goods);
    let parts: Vec<&Part> = goods.parts.iter().filter_map(|p| lore.part(p).ok()).collect();
    lore.offer_half(&goods.makeup, &parts, people(tries.request), procedure)
}

fn people(request: &Request) -> People {
    let near = request.costume.people;
    People { asthma: near.asthma, pregnancy: near.pregnancy, children: near.children }
}

/// The way with the blend that the maker asked for, if there is one.
fn wished(request: &Request, piece: &Piece) -> Option<BlendWay> {
    let kind = match piece.blend? {
        BlendWish::OneBath => BlendKind::OneBath,
        BlendWish::TwoBaths => BlendKind::TwoBaths,
        BlendWish::Heather => BlendKind::Heather,
    };
    known(request, piece)?.ways.into_iter().find(|way| way.kind == kind)
}

fn known(request: &Request, piece: &Piece) -> Option<BlendWays> {
    let parts: Vec<&Part> =
        piece.goods.parts.iter().filter_map(|p| request.lore.part(p).ok()).collect();
    request.lore.blend_ways(&piece.goods.makeup, &parts, people(request))
}

/// One bath of a way, with the recipe it would take.
struct Bath<'a> {
    procedure: Procedure,
    class: DyeClass,
    ratio: LiquorRatio,
    recipe: Vec<Dosed<'a>>,
}

/// Every way with a blend; nothing for cloth of one fibre.
pub(crate) fn ways(
    request: &Request,
    piece: &Piece,
    found: &Found,
    lights: &[Light],
) -> Vec<BlendWaySeen> {
    let Makeup::Known(portions) = &piece.goods.makeup else { return vec![] };
    if portions.len() < 2 {
        return vec![];
    }
    let Some(mut ways) = known(request, piece) else { return vec![] };
    let own = own_way(request, piece, found, &ways);
    if let Some(own) = own {
        put_in(&mut ways.ways, own);
    }
    let chosen = std::iter::once(&found.way).chain(&found.second);
    let mut baths: Vec<Bath> = chosen.map(|way| own_bath(request, way)).collect();
    let tries = Try {
        request,
        piece,
        ground: found.ground,
        target: Target { bands: found.aim.bands, assumed: found.aim.assumed },
        lights,
        one_of_two: false,
    };
    let mut seen = vec![];
    for way in &ways.ways {
        for procedure in [Some(way.first), way.second].into_iter().flatten() {
            if !baths.iter().any(|b| b.procedure == procedure)
                && let Some(bath) = other_bath(&tries, procedure)
            {
                baths.push(bath);
            }
        }
        if let Some(shown) = shown(request, piece, found, way, &baths) {
            seen.push(shown);
        }
    }
    seen
}

/// The way chosen for the piece, where it is one bath and not among those that are told.
fn own_way(request: &Request, piece: &Piece, found: &Found, ways: &BlendWays) -> Option<BlendWay> {
    if ways.ways.iter().any(|way| is_chosen(found, way)) || found.second.is_some() {
        return None;
    }
    let lore = request.lore;
    let parts: Vec<&Part> = piece.goods.parts.iter().filter_map(|p| lore.part(p).ok()).collect();
    let procedure = found.way.offer.procedure;
    lore.blend_way_of(&piece.goods.makeup, &parts, people(request), procedure)
}

/// Puts the way chosen in the place of one that colours the same fibres in one bath, else first of its kind:
/// the recipe and the way shown beside it are one and the same.
fn put_in(ways: &mut Vec<BlendWay>, own: BlendWay) {
    let takes =
        |way: &BlendWay| -> Vec<bool> { way.fibres.iter().map(|f| f.by.is_some()).collect() };
    let alike = |way: &&mut BlendWay| way.kind == own.kind && takes(way) == takes(&own);
    if let Some(place) = ways.iter_mut().find(alike) {
        *place = own;
        return;
    }
    let at = ways.iter().position(|way| way.kind == own.kind).unwrap_or(ways.len());
    ways.insert(at, own);
}

/// Whether the way chosen for the piece is this one.
fn is_chosen(found: &Found, way: &BlendWay) -> bool {
    let first = found.way.offer.procedure;
    let second = found.second.as_ref().map(|w| w.offer.procedure);
    way.first == first && way.second == second
}

/// The bath of the way chosen, with what its sheet doses.
fn own_bath<'a>(request: &Request<'a>, way: &Way) -> Bath<'a> {
    let recipe = way.made.bulk.dyes.iter().filter_map(|line| {
        let shelf = request.shelf.dyes.iter().find(|d| d.dye.id == line.id)?;
        let dose = units::OnFibre::try_percent(line.owf_pct.value()).ok()?;
        Some(Dosed { dye: &shelf.dye, dose, scatter: line.dose.relative_scatter() })
    });
    Bath {
        procedure: way.offer.procedure,
        class: way.class,
        ratio: way.asked.ratio,
        recipe: recipe.collect(),
    }
}

/// The best recipe of another way of dyeing on the fibres it takes.
fn other_bath<'a>(tries: &Try<'a>, procedure: Procedure) -> Option<Bath<'a>> {
    let offer = &half(tries, procedure)?;
    let class = *classes(tries, offer).first()?;
    let ratio = usual_ratio(tries.request.lore, &tries.piece.goods.makeup);
    let ratio = LiquorRatio::try_litres_per_kilogram(ratio).ok()?;
    let asked = Asked::try_of(tries, offer, class, ratio).ok()?;
    let answer = propose(&asked.question(), tries.request.threads).ok()?;
    let best = answer.choices.first()?;
    let dyes = &tries.request.shelf.dyes;
    let recipe = best.doses.iter().map(|&(place, dose)| Dosed {
        dye: &dyes[asked.dyes[place]].dye,
        dose,
        scatter: best.worst_dose,
    });
    Some(Bath { procedure, class, ratio, recipe: recipe.collect() })
}

/// Whether a fibre takes a bath.
type Takes<'a> = Box<dyn Fn(&str) -> bool + 'a>;

/// The baths of a way, in their order.
fn in_order(way: &BlendWay) -> Vec<Procedure> {
    [Some(way.first), way.second].into_iter().flatten().collect()
}

/// The blend after the baths of a way; none when one of them has no recipe.
fn look(request: &Request, ground: &Ground, way: &BlendWay, baths: &[Bath]) -> Option<BlendLook> {
    let lore = request.lore;
    let in_order = in_order(way);
    let takes: Vec<Takes> = in_order
        .iter()
        .map(|&procedure| -> Takes {
            Box::new(move |material: &str| {
                let mine = way.fibres.iter().find(|f| f.material == material);
                // Of two baths each is reckoned on the fibre it is there for.
                mine.is_none_or(|f| f.by == Some(procedure))
                    && lore
                        .material(material)
                        .is_ok_and(|m| lore.verdict(m, procedure).verdict.dyes())
            })
        })
        .collect();
    let mut steps = vec![];
    for (procedure, takes) in in_order.iter().zip(&takes) {
        let bath = baths.iter().find(|b| b.procedure == *procedure)?;
        let (class, ratio, recipe) = (bath.class, bath.ratio, bath.recipe.as_slice());
        steps.push(BlendBath { class, ratio, takes: takes.as_ref(), recipe });
    }
    BlendLook::of(ground, &steps).ok()
}

fn shown(
    request: &Request,
    piece: &Piece,
    found: &Found,
    way: &BlendWay,
    baths: &[Bath],
) -> Option<BlendWaySeen> {
    let lore = request.lore;
    let look = look(request, found.ground, way, baths)?;
    let in_order = in_order(way);
    let light = Weights::reference();
    let fibres = look.fibres.iter().map(|fibre| FibreLook {
        fibre: fibre.material.clone(),
        colour: of_bands(&fibre.bands, "this fibre alone, predicted", true),
    });
    let names: Vec<&str> = in_order.iter().map(|p| lore.procedure_name(*p)).collect();
    let between = way.between.as_ref().map_or_else(String::new, |b| format!(" {}", sentence(b)));
    Some(BlendWaySeen {
        way: match way.kind {
            BlendKind::OneBath => "one bath",
            BlendKind::TwoBaths => "two baths",
            BlendKind::Heather => "heather",
        },
        chosen: is_chosen(found, way),
        procedures: in_order.iter().map(|p| p.id().to_owned()).collect(),
        looks: of_bands(&look.bands, "the cloth as a whole, predicted", true),
        fibres: fibres.collect(),
        contrast: print(look.contrast, 1),
        difference: print(ciede2000(light.lab(&found.wanted.bands), light.lab(&look.bands)), 1),
        words: format!(
            "{}: it looks {}. {}{between} {}{}",
            names.join(", then "),
            look.heather().words(),
            sentence(&way.why),
            sentence(&way.risk),
            wish(piece, way)
        ),
    })
}

/// Says that this is the way the maker asked for.
fn wish(piece: &Piece, way: &BlendWay) -> &'static str {
    match (piece.blend, way.kind) {
        (Some(BlendWish::OneBath), BlendKind::OneBath)
        | (Some(BlendWish::TwoBaths), BlendKind::TwoBaths)
        | (Some(BlendWish::Heather), BlendKind::Heather) => " You asked for this way.",
        _ => "",
    }
}
