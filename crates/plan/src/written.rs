//! A piece with a bath, written down: recipes, expectation, sheets, care, what can go wrong.

use colour::{Bands, Lab, Light, Metamerism, Observer, Screen, Shown, ciede2000};
use costume::Piece;
use recipe::{Choice, Limit, REACHED};

use crate::document::{
    self as d, Care, ClassChosen, ColourSeen, Expected, Failure, FastnessSeen, LightSeen, Outcome,
    PiecePlan, PlaceSeen, ReachSeen, RecipeDye, RecipeSeen, ScorePart, SearchSeen, WorstLight,
};
use crate::piece::Found;
use crate::piece::{others, tests};
use crate::seen::{self, Resolved, lab, of_bands, of_lab, print, sentence};
use crate::special::special;
use crate::way::Way;
use crate::{Request, advice, rests, sheets};

/// Writes down a piece whose way is chosen.
pub(crate) fn with_bath(
    request: &Request,
    piece: &Piece,
    found: &Found,
    lights: &[Light],
) -> PiecePlan {
    let Found { wanted, aim, offers, cloth, way, .. } = found;
    let expected = expected(piece, found, lights);
    let recipes = recipes(found, &|choice| recipe_dyes(way, choice));
    let why_stopped = format!("{} and {} really differ", way.answer.why_stopped, recipes.len());
    let reach = reach(request, piece, found, &recipes);
    let vouched = way.goes_by.as_ref().and_then(|swatch| swatch.vouches.as_ref());
    let sheet = |s: &bath::Sheet| {
        let sheet =
            sheets::sheet(s, piece, request.lore, request.shelf, request.today, lights, vouched);
        let swatch = s.kind == bath::Kind::Swatch;
        let code = swatch.then(|| sheets::card_code(&request.costume.name, &sheet));
        d::Sheet { code, ..sheet }
    };
    let figures = advice::Figures {
        gap: reach.gap,
        within: reach.within,
        comes_to: expected.lights.first().map_or(0.0, |l| l.difference),
        glow: found.glow(Light::D65),
        two_baths: found.second.is_some(),
    };
    let advice = advice::with_bath(request, piece, aim, offers, way, figures);
    let shade = expected.colour.lab;
    let sheet = |s| fit_for_its_shade(sheet(s), shade);
    let mut bulk = sheet(&way.made.bulk);
    let special = special(request, piece, found, lights);
    if let Some(friends) = &special.friends {
        sheets::one_for_all(friends, &mut bulk);
    }
    PiecePlan {
        id: piece.id.clone(),
        name: piece.name.clone(),
        goods: seen::goods(&piece.goods),
        target: wanted.seen.clone(),
        cloth: cloth.clone(),
        outcome: Outcome::Bath,
        why: sentence(&way.offer.why),
        tests: tests(offers),
        class: Some(class(request, way)),
        others: others(request, offers, Some(way), piece.procedure.is_some()),
        reach: Some(reach),
        recipes,
        search: Some(SearchSeen {
            subsets: way.answer.subsets,
            why_stopped: sentence(&why_stopped),
        }),
        expected: Some(expected),
        sheets: match &found.second {
            None => vec![sheet(&way.made.swatch), bulk],
            Some(then) => in_two_baths(
                [sheet(&way.made.swatch), bulk],
                [sheet(&then.made.swatch), sheet(&then.made.bulk)],
            ),
        },
        care: care(request, piece, way),
        wrong: wrong(request, piece, way),
        advice,
        special: d::Special { rests_on: rests::of_piece(request, &piece.id, found), ..special },
    }
}

/// The caution about all-purpose black, only where a black is dyed: by the shade, or with a dye called so.
fn fit_for_its_shade(mut sheet: d::Sheet, [l, a, b]: [f64; 3]) -> d::Sheet {
    let black = l <= BLACK.0 && a.hypot(b) <= BLACK.1;
    let named = sheet.dyes.iter().any(|dye| dye.name.to_lowercase().contains("black"));
    if !black && !named {
        sheet.cautions.retain(|caution| caution.id != UNION_BLACK);
    }
    sheet
}

/// From this L* down, and this near to grey, a shade is a black (judgement; as for packs).
const BLACK: (f64, f64) = (25.0, 10.0);
/// The caution about all-purpose black.
const UNION_BLACK: &str = "union-black";

/// Both baths of a blend: the snip goes through both, then the piece does.
fn in_two_baths(first: [d::Sheet; 2], second: [d::Sheet; 2]) -> Vec<d::Sheet> {
    let say = |mut sheet: d::Sheet, which: &str, then: &str| {
        sheet.title = format!("{}: {}", which, sheet.title);
        sheet.notes.insert(0, then.to_owned());
        sheet
    };
    let ([swatch, bulk], [swatch_2, bulk_2]) = (first, second);
    let before = "The first of two baths: it colours one fibre of the blend. Rinse as the sheet says, and \
                  let nothing dry in creases before the second.";
    let after =
        "The second of two baths, for the other fibre: the goods have been through the first.";
    vec![
        say(swatch, "First bath", before),
        say(swatch_2, "Second bath", after),
        say(bulk, "First bath", before),
        say(bulk_2, "Second bath", after),
    ]
}

fn class(request: &Request, way: &Way) -> ClassChosen {
    let class = way.made.bulk.dyes.first().map_or(way.class, |d| d.class);
    let verdict =
        way.offer.classes.iter().find(|c| c.class == way.class).map_or_else(
            || (way.offer.verdict, way.offer.why.clone()),
            |c| (c.verdict, c.why.clone()),
        );
    ClassChosen {
        procedure: way.offer.procedure.id().to_owned(),
        name: request.lore.procedure_name(way.offer.procedure).to_owned(),
        dye_class: class.id().to_owned(),
        dye_class_name: request.lore.class_name(class).to_owned(),
        verdict: verdict.0.id().to_owned(),
        why: sentence(&verdict.1),
    }
}

/// The one place that says how near the colour can come: never further than the recipe or one of its
/// alternatives, and of a blend in two baths the whole of the cloth.
fn reach(request: &Request, piece: &Piece, found: &Found, recipes: &[RecipeSeen]) -> ReachSeen {
    let way = &found.way;
    let light = colour::Weights::reference();
    let dosed = light.lab(&found.looks());
    let comes_to = ciede2000(light.lab(found.should_look()), dosed);
    let answered = &way.answer.reach;
    let (mut gap, mut nearest) = match &found.second {
        // What either bath can do for its own fibre says nothing of the whole.
        Some(_) => (comes_to, dosed),
        // Nor does what the dyed fibre of a heather comes to.
        None if way.asked.heather => (comes_to, dosed),
        // What is worn is a sheer over its backing, and the backing hides part of what its cloth misses by.
        None if found.sheer.is_some() => (comes_to, dosed),
        None if comes_to < answered.gap => (comes_to, dosed),
        None => (answered.gap, answered.nearest),
    };
    let without_glow = found.glow(Light::D65).is_some();
    // As printed: a digit's rounding must not make an alternative nearer than the nearest.
    let printed = recipes.iter().map(|r| r.difference).fold(f64::INFINITY, f64::min);
    if !without_glow && printed < print(gap, 2) {
        gap = printed;
        let wanted = light.lab(found.should_look());
        let looks = way.answer.choices.iter().map(|c| light.lab(&look_of(found, c)));
        let off = |lab: &Lab| ciede2000(wanted, *lab);
        nearest = looks.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(nearest);
    }
    // Near enough to pass from where it is seen is reached, and then nothing limits it.
    let within = piece.viewing.passes(gap);
    let mut limits = vec![];
    let mut would_help: Vec<String> = vec![];
    for (way, whose) in limited(request, found) {
        let mut alone = false;
        for limit in way.answer.reach.limits.iter().filter(|_| !within) {
            // Any one of several that each bar the way need be lifted, not all of them.
            let reached = limit.gap_without <= REACHED;
            let left = if reached && alone {
                "or the colour could be reached by lifting this one instead".to_owned()
            } else {
                left(limit, gap)
            };
            alone |= reached;
            limits.push(sentence(&format!("{whose}{}; {left}", limit.what.words())));
            let help = sentence(limit.what.helps());
            if !would_help.contains(&help) {
                would_help.push(help);
            }
        }
    }
    if way.asked.heather && !within {
        limits.push(sentence(&format!(
            "the cloth: {} % of it takes this dye, and the rest stays as it is",
            units::trimmed(100.0 * way.asked.whole.takers(), 0)
        )));
        would_help.extend(found.offers.two_baths.first().map(|two| sentence(&two.says)));
    }
    // Depth of disperse dyes ends at the open pot's 98 °C; a hot press goes on.
    let deep = !within && answered.limits.iter().any(|l| l.what == recipe::Cause::Depth);
    let cloth = request.lore.materials_of(&piece.goods.makeup);
    let polyester = cloth.iter().all(|m| m.group == lore::Group::Polyester);
    if deep && polyester && way.offer.procedure == lore::Procedure::Disperse {
        would_help.retain(|help| *help != sentence(recipe::Cause::Depth.helps()));
        would_help.extend(request.lore.heat_transfer().map(|note| sentence(&note.says)));
    }
    let from = match found.second {
        Some(_) => "as both baths leave it",
        None if way.asked.heather => "the whole cloth, with the fibre that stays as it is",
        None if found.sheer.is_some() => "over its backing",
        None => "nearest reachable colour",
    };
    ReachSeen {
        within,
        gap: print(gap, 2),
        nearest: of_lab(nearest, from),
        without_glow,
        limits,
        would_help,
    }
}

/// What a recipe makes of the cloth: of a blend in two baths the whole of it, the other fibre as the other
/// bath leaves it; of a heather the whole of it, the other fibre undyed; of a sheer what shows over its backing.
fn look_of(found: &Found, choice: &Choice) -> Bands {
    let (way, own) = (&found.way, choice.prediction.bands);
    if found.second.is_none() && !way.asked.heather {
        return found.sheer.map_or(own, |sheer| sheer.over.shown(&own));
    }
    let (whole, now) = (way.made.dosed.bands, way.choice().prediction.bands);
    let share = way.asked.whole.takers();
    let mixed = std::array::from_fn(|i| {
        let other = own.values()[i] - now.values()[i];
        (whole.values()[i] + share * other).clamp(LEAST, 1.0)
    });
    Bands::try_new(mixed).unwrap_or(whole)
}

/// No band of a cloth is taken to be darker.
const LEAST: f64 = 1e-3;

/// The baths whose limits keep the piece from its colour, each with the words that say whose they are.
fn limited<'f>(request: &Request, found: &'f Found) -> Vec<(&'f Way<'f>, String)> {
    let Some(second) = &found.second else { return vec![(&found.way, String::new())] };
    [&found.way, second]
        .into_iter()
        .map(|way| {
            let bath = request.lore.procedure_name(way.offer.procedure);
            (way, format!("{bath}, {:.1} from the target on its own fibre: ", way.answer.reach.gap))
        })
        .collect()
}

/// What would be left without a limit.
fn left(limit: &Limit, gap: f64) -> String {
    let left = limit.gap_without;
    if left <= REACHED {
        "without that the colour could be reached".to_owned()
    } else if left < gap {
        format!("without that, {left:.1} would be left")
    } else {
        "lifting that alone would not help".to_owned()
    }
}

fn recipes(found: &Found, dyes: &dyn Fn(&Choice) -> Vec<RecipeDye>) -> Vec<RecipeSeen> {
    let way = &found.way;
    let mut order: Vec<usize> = vec![way.chosen];
    // What stands before the chosen one cannot be measured out in this kitchen.
    order.extend(way.chosen + 1..way.answer.choices.len());
    order
        .into_iter()
        .map(|i| {
            let choice = &way.answer.choices[i];
            let bands = &look_of(found, choice);
            let off = |seen: &recipe::UnderLight| {
                let wanted =
                    colour::Weights::of(seen.light, Observer::Ten).lab(found.should_look());
                (seen.light, ciede2000(wanted, found.lab_of(bands, seen.light)))
            };
            let differences: Vec<(Light, f64)> = choice.lights.iter().map(off).collect();
            let worst = differences.iter().max_by(|a, b| a.1.total_cmp(&b.1));
            RecipeSeen {
                chosen: i == way.chosen,
                for_set: i == way.chosen && way.for_set,
                dyes: dyes(choice),
                score: print(choice.score.total, 2),
                parts: choice
                    .score
                    .terms
                    .iter()
                    .map(|t| ScorePart { what: t.what.to_owned(), adds: print(t.adds, 2) })
                    .collect(),
                difference: print(differences.first().map_or(0.0, |d| d.1), 2),
                worst_light: WorstLight {
                    light: worst.map_or("D65", |w| w.0.name()).to_owned(),
                    difference: print(worst.map_or(0.0, |w| w.1), 2),
                },
                spread90: print(choice.prediction.piece.within_90(), 1),
                cost: choice.cost.map(units::Money::to_amount),
                hex: cloth_seen(found, bands, "").hex,
            }
        })
        .collect()
}

/// The dyed cloth as shown, with the glow of its brightener in daylight.
fn cloth_seen(found: &Found, bands: &Bands, from: &str) -> ColourSeen {
    if found.glow(Light::D65).is_some() {
        of_lab(found.lab_of(bands, Light::D65), from)
    } else {
        of_bands(bands, from, true)
    }
}

fn recipe_dyes(way: &Way, choice: &Choice) -> Vec<RecipeDye> {
    choice
        .doses
        .iter()
        .map(|&(place, dose)| {
            let dye = way.asked.dye(place);
            RecipeDye {
                id: dye.id.clone(),
                name: dye.name.clone(),
                owf_pct: print(dose.to_percent(), 4),
                known: dye.knowledge.words().to_owned(),
            }
        })
        .collect()
}

fn expected(piece: &Piece, found: &Found, lights: &[Light]) -> Expected {
    let (target, way) = (&found.aim, &found.way);
    let dosed = &way.made.dosed;
    let seen: Vec<LightSeen> = lights.iter().map(|&l| under(l, found)).collect();
    let looks = found.looks();
    let day = found.lab_of(&looks, Light::D65);
    let from = match (found.glow(Light::D65), found.sheer) {
        (Some(_), _) => "predicted, with the glow of its brightener",
        (None, Some(_)) => "predicted, over its backing",
        (None, None) => "predicted",
    };
    Expected {
        colour: cloth_seen(found, &looks, from),
        places: places(piece, &seen),
        recipe_spread90: print(dosed.recipe.within_90(), 1),
        piece_spread90: print(dosed.piece.within_90(), 1),
        edges: dosed
            .piece
            .around(day)
            .edges()
            .into_iter()
            .map(|e| of_lab(e, "edge of the 90 % region"))
            .collect(),
        verdict: verdict(piece, found, &seen),
        viewing: piece.viewing.name().to_owned(),
        metamerism: lights
            .iter()
            .filter(|l| **l != Light::D65)
            .map(|&l| sentence(&constancy(piece, found, target, l)))
            .collect(),
        spectrum: looks.values().iter().map(|r| print(*r, 4)).collect(),
        lights: seen,
    }
}

fn verdict(piece: &Piece, found: &Found, seen: &[LightSeen]) -> String {
    let dosed = &found.way.made.dosed;
    let apart = seen.first().map_or(0.0, |l| l.difference);
    let worst = seen.iter().max_by(|a, b| a.difference.total_cmp(&b.difference));
    let worst_words = worst.filter(|w| w.light != "D65").map_or_else(String::new, |w| {
        let does = if piece.viewing.passes(w.difference) { "" } else { ", which does not pass" };
        format!(", at worst {:.1} under {}{does}", w.difference, w.words)
    });
    let gap = match &found.second {
        Some(_) => apart,
        None => found.way.gap(),
    };
    let glow = found.glow(Light::D65);
    let does = if found.way.asked.heather && !piece.viewing.passes(apart) {
        "brings the fibre that takes it to the colour; the whole cloth does not pass"
    } else if glow.is_none() && !piece.viewing.passes(gap) {
        "is for the nearest colour within reach, not the target,"
    } else if piece.viewing.passes(apart) {
        "passes"
    } else {
        "does not pass"
    };
    let mut words = format!(
        "The recipe {does} in daylight ({apart:.1}; up to {:.1} passes {}){worst_words}. How sure: nine \
         of ten pieces dyed so should land within {:.1} of the expected colour.",
        piece.viewing.limit(),
        piece.viewing,
        dosed.piece.within_90()
    );
    if found.sheer.is_some() {
        words.push_str(" That is of the cloth off its backing; over it less of it shows.");
    }
    if found.way.for_set {
        words.push_str(" It is chosen for the set the piece must match, not for the piece alone.");
    }
    if let Some(glow) = glow {
        let light = colour::Weights::reference();
        let plain = ciede2000(light.lab(&found.aim.bands), light.lab(&dosed.bands));
        words.push_str(&format!(
            " These figures have the glow of the brightener in them, as each light makes it glow: \
             {glow:.1} in daylight. The recipe was sought for the cloth without its glow, {plain:.1} from \
             the target in daylight."
        ));
    } else if found.brightener.is_some() {
        words.push_str(
            " These figures leave the optical brightener of the cloth out: what it does over a backing is \
             not known.",
        );
    }
    words
}

/// How a match of daylight holds under another light, by what passes from where the piece is seen.
fn constancy(piece: &Piece, found: &Found, target: &Resolved, light: Light) -> String {
    if let (Some(day), Some(here)) = (found.glow(Light::D65), found.glow(light)) {
        return format!(
            "{}: the glow of the brightener moves the colour by {here:.1} here and by {day:.1} in \
             daylight",
            light.words()
        );
    }
    let index =
        Metamerism::of(found.should_look(), &found.looks(), Light::D65, light, Observer::Ten);
    let assumed = if target.assumed { " (the target's look there is assumed)" } else { "" };
    format!("{}: {}{assumed}", light.words(), index.words(piece.viewing))
}

/// The places the piece is seen in, each by the worst of its lights.
fn places(piece: &Piece, seen: &[LightSeen]) -> Vec<PlaceSeen> {
    piece
        .places
        .iter()
        .filter_map(|place| {
            let names: Vec<&str> = place.lights().iter().map(|l| l.name()).collect();
            let here = seen.iter().filter(|l| names.contains(&l.light.as_str()));
            let worst = here.max_by(|a, b| a.difference.total_cmp(&b.difference))?;
            Some(PlaceSeen {
                place: place.name().to_owned(),
                lights: names.iter().map(|n| (*n).to_owned()).collect(),
                worst: worst.light.clone(),
                difference: worst.difference,
            })
        })
        .collect()
}

fn under(light: Light, found: &Found) -> LightSeen {
    let wanted = colour::Weights::of(light, Observer::Ten).lab(found.should_look());
    let is = found.lab_of(&found.looks(), light);
    let hex = |l: Lab| Shown::of_lab2(Screen::Srgb, l).colour.to_hex();
    LightSeen {
        light: light.name().to_owned(),
        words: light.words().to_owned(),
        lab: lab(is),
        target_lab: lab(wanted),
        difference: print(ciede2000(wanted, is), 2),
        glow: found.glow(light).map(|moves| print(moves, 1)),
        hex: hex(is),
        target_hex: hex(wanted),
    }
}

fn care(request: &Request, piece: &Piece, way: &Way) -> Option<Care> {
    let materials = request.lore.materials_of(&piece.goods.makeup);
    let ids: Vec<&str> = materials.iter().map(|m| m.id.as_str()).collect();
    let parts: Vec<&str> = piece.goods.parts.iter().map(String::as_str).collect();
    let care = request.lore.care_of_piece(way.offer.procedure, &ids, &parts)?;
    let fastness = materials
        .first()
        .and_then(|m| request.lore.fastness(way.offer.procedure, &m.id))
        .map_or_else(Vec::new, |f| {
            f.grades()
                .into_iter()
                .map(|(test, grade)| FastnessSeen { test: test.to_owned(), grade })
                .collect()
        });
    Some(Care { label: care.words(), fastness })
}

fn wrong(request: &Request, piece: &Piece, way: &Way) -> Vec<Failure> {
    let materials = request.lore.materials_of(&piece.goods.makeup);
    let ids: Vec<&str> = materials.iter().map(|m| m.id.as_str()).collect();
    request
        .lore
        .failures(way.offer.procedure, &ids)
        .into_iter()
        .map(|f| Failure {
            sight: f.sight.clone(),
            cause: f.cause.clone(),
            check: f.check.clone(),
            remedy: f.remedy.clone(),
        })
        .collect()
}
