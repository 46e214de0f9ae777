//! What only some pieces have: a sheer over its backing, a black, a brightened cloth, friends who dye the
//! same, cloth kept for the repair; and what to know of goods of their form.

use colour::{Bands, Lab, Light, Weights, ciede2000};
use costume::{GroundGiven, Piece};
use dosing::{Measure, Shown};
use dyeing::{Black, Blackness, Brightener, Dosed, Ground, HOME, Look, Over, predict};
use lore::{HardColour, Makeup};
use units::{OnFibre, Share, Volume};

use crate::Request;
use crate::blend;
use crate::document::{
    BlackSeen, BrightenedSeen, ColourSeen, FriendStock, FriendsSeen, OverSeen, SpareSeen, Special,
    SurfaceSeen,
};
use crate::piece::Found;
use crate::seen::{Resolved, of_bands, print, resolve, sentence};
use crate::sheets;

/// A sheer over its backing, and what its cloth must be.
#[derive(Debug, Clone)]
pub(crate) struct Sheer {
    pub(crate) over: Over,
    backing: ColourSeen,
    /// The colour of the cloth itself, off its backing.
    pub(crate) aim: Resolved,
}

/// Works out what a sheer's cloth must be; none for cloth that hides what is behind it.
pub(crate) fn sheer(
    piece: &Piece,
    wanted: &Resolved,
    ground: &Ground,
) -> Result<Option<Sheer>, String> {
    let Some(given) = &piece.over else { return Ok(None) };
    let backing = resolve(&given.backing, &[])?;
    let over = Over::new(given.cover, backing.bands);
    let found = over
        .try_wanted(&wanted.bands, &ground.reflectance(), piece.viewing.limit())
        .map_err(|refusal| refusal.to_string())?;
    let seen = of_bands(&found.cloth, "what the cloth must be off its backing", true);
    let aim = Resolved { bands: found.cloth, assumed: true, seen, ..wanted.clone() };
    Ok(Some(Sheer { over, backing: backing.seen, aim }))
}

/// Everything special of a piece with a bath.
pub(crate) fn special(
    request: &Request,
    piece: &Piece,
    found: &Found,
    lights: &[Light],
) -> Special {
    Special {
        worth: piece.worth.name(),
        over: found.sheer.map(|sheer| over(found, sheer)),
        black: black(request, piece, found, lights),
        brightened: piece.brightened.then(|| brightened(request, piece, found)),
        blend_ways: blend::ways(request, piece, found, lights),
        friends: friends(request, piece, found),
        scoured: piece.scoured,
        spare: piece.spare.map(spare),
        surface: surface(request, piece, found),
        goods_notes: goods_notes(request, piece, found),
        ..Special::default()
    }
}

fn reference(bands: &Bands) -> Lab {
    Weights::reference().lab(bands)
}

fn over(found: &Found, sheer: &Sheer) -> OverSeen {
    let cloth = found.way.made.dosed.bands;
    let shows = sheer.over.shown(&cloth);
    let through = 100.0 * sheer.over.shows_through();
    OverSeen {
        cover_pct: print(100.0 * sheer.over.cover(), 0),
        backing: sheer.backing.clone(),
        cloth: of_bands(&cloth, "predicted, off its backing", true),
        shows: of_bands(&shows, "predicted, over its backing", true),
        difference: print(ciede2000(reference(&found.wanted.bands), reference(&shows)), 2),
        words: sentence(&format!(
            "over its backing it shows the target, off it it does not: {through:.0} % of the backing's \
             light comes through whatever the cloth is. Judge the swatch over the very backing, one \
             layer, stretched as worn. How much of the light meets the yarn is the maker's own figure; \
             the optics of two layers are the program's"
        )),
    }
}

fn black(request: &Request, piece: &Piece, found: &Found, lights: &[Light]) -> Option<BlackSeen> {
    if !Black::is_meant(reference(&found.wanted.bands)) {
        return None;
    }
    let it = Black::of(&found.way.made.dosed.bands, lights);
    let advice = advice(request, piece, found, HardColour::Black);
    Some(BlackSeen {
        holds: it.verdict == Blackness::Holds,
        lightness: print(it.lightness, 1),
        cast: print(it.cast, 1),
        light: it.cast_under.name().to_owned(),
        words: format!("{} {}", sentence(&it.words()), advice),
    })
}

fn brightened(request: &Request, piece: &Piece, found: &Found) -> BrightenedSeen {
    let undyed = found.ground.reflectance();
    let dyed = found.way.made.dosed.bands;
    let it = found.brightener.unwrap_or(Brightener::ASSUMED);
    let bare = it.shift(&undyed, &undyed, Light::D65);
    let (day, lamp) = (
        it.shift(&undyed, dyed.values(), Light::D65),
        it.shift(&undyed, dyed.values(), Light::LedB3),
    );
    let advice = advice(request, piece, found, HardColour::Brightened);
    BrightenedSeen {
        undyed: print(bare.de00, 1),
        dyed: print(day.de00, 1),
        words: format!("{} {}", sentence(&it.words(&day, &lamp)), advice),
    }
}

/// The brightener of a cloth that was read with its glow, and the cloth without it.
pub(crate) fn split_glow(piece: &Piece, ground: Ground) -> (Ground, Option<Brightener>) {
    if !piece.brightened {
        return (ground, None);
    }
    let (GroundGiven::Read(_), Makeup::Known(portions)) = (&piece.ground, &piece.goods.makeup)
    else {
        return (ground, Some(Brightener::ASSUMED));
    };
    let fibres: Vec<(&str, Share)> =
        portions.iter().map(|p| (p.material.as_str(), p.share)).collect();
    let like = Ground::assumed(&fibres, Look::White).ok();
    let like = like.and_then(|l| Bands::try_new(l.reflectance()).ok());
    let read = Bands::try_new(ground.reflectance()).ok();
    match read.zip(like).and_then(|(read, like)| Brightener::in_reading(&read, &like)) {
        Some((brightener, cloth)) => (Ground::read(&fibres, &cloth), Some(brightener)),
        None => (ground, Some(Brightener::ASSUMED)),
    }
}

/// What the trade says of a hard colour on these goods, in one paragraph.
fn advice(request: &Request, piece: &Piece, found: &Found, hard: HardColour) -> String {
    let materials = request.lore.materials_of(&piece.goods.makeup);
    let ids: Vec<&str> = materials.iter().map(|m| m.id.as_str()).collect();
    let rows = request.lore.hard_colour_advice(hard, Some(found.way.offer.procedure), &ids);
    rows.iter().map(|row| row.says.as_str()).collect::<Vec<_>>().join(" ")
}

fn spare(grams: units::Mass) -> SpareSeen {
    SpareSeen {
        grams: print(grams.to_grams(), 1),
        words: "spare cloth, a skein of thread and a patch, weighed in: they go into the bath with the \
                piece, are worn and washed with it or kept dark, and mend it a year from now in its own \
                colour."
            .to_owned(),
    }
}

/// Its surface, where that has no one colour.
fn surface(request: &Request, piece: &Piece, found: &Found) -> Option<SurfaceSeen> {
    let materials: Vec<&str> = match &piece.goods.makeup {
        Makeup::Known(portions) => portions.iter().map(|p| p.material.as_str()).collect(),
        Makeup::Unknown(_) => vec![],
    };
    let sheer = found.sheer.is_some();
    let note = request.lore.surface_of(&piece.goods.words, &materials, sheer)?;
    Some(SurfaceSeen { kind: note.surface.id(), words: note.says.clone() })
}

/// What its form and its kind of colour ask for before anything gets wet.
fn goods_notes(request: &Request, piece: &Piece, found: &Found) -> Vec<String> {
    let mut said = vec![];
    let target = reference(&found.wanted.bands);
    let mut hard = vec![];
    if found.sheer.is_some() {
        hard.push(HardColour::Sheer);
    }
    if is_ivory(target) {
        hard.push(HardColour::Ivory);
    }
    if is_skin(target, piece) {
        hard.push(HardColour::Skin);
    }
    for hard in hard {
        said.push(advice(request, piece, found, hard));
    }
    said
}

/// Ivory, cream, off-white: very light and barely yellow (judgement).
fn is_ivory(lab: Lab) -> bool {
    let lch = lab.to_lch();
    lab.l >= 85.0 && (3.0..=22.0).contains(&lch.c) && (60.0..=110.0).contains(&lch.h)
}

/// A colour of skin on stretch goods worn on it: tights and meshes (judgement, wide: people differ).
fn is_skin(lab: Lab, piece: &Piece) -> bool {
    let Makeup::Known(portions) = &piece.goods.makeup else { return false };
    let worn = portions.iter().any(|p| p.material == "elastane");
    let lch = lab.to_lch();
    let skin = (25.0..=85.0).contains(&lab.l)
        && (8.0..=32.0).contains(&lch.c)
        && (35.0..=80.0).contains(&lch.h);
    skin && worn
}

/// Friends who dye the same piece: one stock made once and shared out.
fn friends(request: &Request, piece: &Piece, found: &Found) -> Option<FriendsSeen> {
    if piece.dyed_by.len() < 2 {
        return None;
    }
    let way = &found.way;
    #[expect(clippy::cast_precision_loss, reason = "at most a dozen friends")]
    let many = piece.dyed_by.len() as f64;
    let mut stocks = vec![];
    let (mut shared, mut own) = (vec![], vec![]);
    for line in &way.made.bulk.dyes {
        let shelf = request.shelf.dyes.iter().find(|d| d.dye.id == line.id)?;
        let rules = crate::asked::stock_rules(shelf)?;
        let strength = line.stock_pct.map_or(rules.strongest.to_percent(), Shown::value);
        let each = line.stock_ml.map_or(100.0 * line.grams.value() / strength, Shown::value);
        let each = print(each, 1);
        // A tenth more than is taken, so that the last friend has enough.
        let make = (1.1 * many * each / 10.0).ceil() * 10.0;
        stocks.push(FriendStock {
            dye: line.id.clone(),
            stock_pct: print(strength, 3),
            grams: print(make * strength / 100.0, 3),
            make_ml: print(make, 1),
            each_ml: each,
        });
        let dye = way.asked.dye_called(&line.id)?;
        let dose = OnFibre::try_percent(line.owf_pct.value()).ok()?;
        let volume = Volume::try_millilitres(each).ok()?;
        let kit = &request.costume.kitchen.kit;
        let measured =
            kit.measures().map(|m: Measure| m.relative_scatter(volume)).fold(0.1, f64::min);
        shared.push(Dosed { dye, dose, scatter: measured });
        own.push(Dosed { dye, dose, scatter: line.dose.relative_scatter() });
    }
    let apart = |recipe: &[Dosed]| {
        let of = predict(&way.asked.whole, recipe, HOME).ok()?;
        Some(print(of.piece.between_two(&of.recipe).within_90(), 1))
    };
    let (apart90, apart90_own) = (apart(&shared)?, apart(&own)?);
    let words = friends_words(request, piece, found, (apart90, apart90_own));
    Some(FriendsSeen { names: piece.dyed_by.clone(), stocks, apart90, apart90_own, words })
}

/// How friends go about one stock: the mask, the making, how long it keeps, and what it gains.
fn friends_words(
    request: &Request,
    piece: &Piece,
    found: &Found,
    (apart, own): (f64, f64),
) -> Vec<String> {
    let (lore, dyes) = (request.lore, &found.way.made.bulk.dyes);
    let first = &piece.dyed_by[0];
    let mut words = vec![];
    if dyes.iter().any(|d| d.form == "powder") {
        let masks = found.way.made.bulk.cautions.iter().filter(|c| c.id.ends_with("powder-mask"));
        let masks: Vec<&str> = masks.map(|c| c.text.as_str()).collect();
        words.push(format!(
            "{first} alone opens the powder, for all: the others get stock, and no dust. {}",
            masks.join(" ")
        ));
    }
    words.push(format!(
        "{first} makes each stock once, in one go, strains it and shares it out: one weighing for all, so \
         that its error is the same in every pot. Every bottle bears the dye, the strength and the day."
    ));
    let keeps = dyes.iter().filter_map(|line| {
        let shelf = request.shelf.dyes.iter().find(|d| d.dye.id == line.id)?;
        Some((crate::asked::stock_rules(shelf)?.keeps_days, sheets::is_reactive(line.class)))
    });
    if let Some((days, reactive)) = keeps.min() {
        let many = if days == 1 { "day" } else { "days" };
        words.push(if reactive {
            let life = lore.sheet_rule("stock-life").map_or("", |rule| rule.text.as_str());
            format!(
                "Dye within {days} {many}: {life} No alkali goes into it: soda is added in each one's own \
                 bath, and never to a bottle."
            )
        } else {
            format!("Dye within {days} {many}: the stock keeps no longer, cool and dark, shaken before use.")
        });
    }
    words.push(format!(
        "The shopping list has the dye for all of you. Of everything else (salt, soda, acid, detergent and what more \
         the sheet names) it has {first}'s alone: each of the others needs the same again."
    ));
    words.push(
        "Cloth from one bolt, scoured alike; the same liquor ratio, the same water or distilled; the \
         same minutes and temperatures from the sheet."
            .to_owned(),
    );
    let gain = if own > apart {
        format!("; with a stock of each one's own within {own}")
    } else {
        ", and no nearer than with a stock of each one's own: with this recipe what scatters is the dyeing, \
         not the measuring. What one stock still spares you is a slip of one scale, and powder in more than one \
         kitchen"
            .to_owned()
    };
    words.push(format!(
        "Nine of ten pairs of pieces should then be within {apart} of each other{gain}. What differs between \
         kitchens beyond that (water, thermometers) is not in these figures: send a swatch around before the \
         pieces."
    ));
    words
}
