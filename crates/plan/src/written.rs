//! A piece with a bath, written down: recipes, expectation, sheets, care, what can go wrong.

use colour::{Lab, Light, Metamerism, Observer, Screen, Shown, Verdict};
use costume::Piece;
use recipe::{Choice, Reach};

use crate::document::{
    self as d, Care, ClassChosen, Expected, Failure, FastnessSeen, LightSeen, Outcome, PiecePlan,
    PlaceSeen, ReachSeen, RecipeDye, RecipeSeen, ScorePart, SearchSeen, WorstLight,
};
use crate::piece::Found;
use crate::piece::{others, tests};
use crate::seen::{self, Resolved, lab, of_bands, of_lab, print, sentence};
use crate::special::special;
use crate::way::Way;
use crate::{Request, advice, sheets};

/// Writes down a piece whose way is chosen.
pub(crate) fn with_bath(
    request: &Request,
    piece: &Piece,
    found: &Found,
    lights: &[Light],
) -> PiecePlan {
    let Found { wanted, aim, offers, cloth, way, .. } = found;
    let dyes = |choice: &Choice| recipe_dyes(request, way, choice);
    let sheet = |s| sheets::sheet(s, piece, request.lore, request.shelf, request.today, lights);
    let mut bulk = sheet(&way.made.bulk);
    bulk.notes.extend(sheets::left_from_swatch(&way.made.swatch, &way.made.bulk));
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
        reach: Some(reach(request, found, piece)),
        recipes: recipes(way, &dyes),
        search: Some(SearchSeen {
            subsets: way.answer.subsets,
            why_stopped: sentence(&way.answer.why_stopped),
        }),
        expected: Some({
            let mut seen = expected(piece, found, lights);
            if found.brightener.is_some() {
                seen.verdict.push_str(
                    " These figures leave the optical brightener of the cloth out: what it does in daylight \
                     and not under lamps is told apart.",
                );
            }
            seen
        }),
        sheets: match &found.second {
            None => vec![sheet(&way.made.swatch), bulk],
            Some(then) => in_two_baths(
                [sheet(&way.made.swatch), bulk],
                [sheet(&then.made.swatch), sheet(&then.made.bulk)],
            ),
        },
        care: care(request, piece, way),
        wrong: wrong(request, piece, way),
        advice: advice::with_bath(request, piece, aim, offers, (way, gap(found))),
        special: special(request, piece, found, lights),
    }
}

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

/// How far from the target the cloth stays; of a blend in two baths the cloth as a whole, after both: that of
/// the first bath alone would say nothing of it.
fn gap(found: &Found) -> f64 {
    let reference = colour::Weights::reference();
    match found.second {
        Some(_) => {
            let seen = &found.way.made.dosed.bands;
            colour::ciede2000(reference.lab(&found.aim.bands), reference.lab(seen))
        }
        None => found.way.answer.reach.gap,
    }
}

fn reach(request: &Request, found: &Found, piece: &Piece) -> ReachSeen {
    let (reach, gap): (&Reach, f64) = (&found.way.answer.reach, gap(found));
    let way = &found.way;
    let nearest = match found.second {
        Some(_) => of_bands(&found.way.made.dosed.bands, "as both baths leave it", true),
        None => of_lab(reach.nearest, "nearest reachable colour"),
    };
    // Near enough to pass from where it is seen is reached, and then nothing limits it.
    let within = piece.viewing.passes(gap);
    let found = if within { &[][..] } else { &reach.limits[..] };
    let limits = found
        .iter()
        .map(|l| format!("{}; without that, {:.1} would be left", l.what.words(), l.gap_without));
    let mut helps: Vec<String> = found.iter().map(|l| sentence(l.what.helps())).collect();
    // Depth of disperse dyes ends at the open pot's 98 °C; a hot press goes on.
    let deep = found.iter().any(|l| l.what == recipe::Cause::Depth);
    let cloth = request.lore.materials_of(&piece.goods.makeup);
    let polyester = cloth.iter().all(|m| m.group == lore::Group::Polyester);
    if deep && polyester && way.offer.procedure == lore::Procedure::Disperse {
        helps.extend(request.lore.heat_transfer().map(|note| sentence(&note.says)));
    }
    ReachSeen {
        within,
        gap: print(gap, 2),
        nearest,
        limits: limits.map(|l| sentence(&l)).collect(),
        would_help: helps,
    }
}

fn recipes(way: &Way, dyes: &dyn Fn(&Choice) -> Vec<RecipeDye>) -> Vec<RecipeSeen> {
    let mut order: Vec<usize> = vec![way.chosen];
    order.extend((0..way.answer.choices.len()).filter(|i| *i != way.chosen));
    order
        .into_iter()
        .map(|i| {
            let choice = &way.answer.choices[i];
            let worst = choice.worst();
            RecipeSeen {
                chosen: i == way.chosen,
                dyes: dyes(choice),
                score: print(choice.score.total, 2),
                parts: choice
                    .score
                    .terms
                    .iter()
                    .map(|t| ScorePart { what: t.what.to_owned(), adds: print(t.adds, 2) })
                    .collect(),
                difference: print(choice.difference(), 2),
                worst_light: WorstLight {
                    light: worst.map_or("D65", |w| w.light.name()).to_owned(),
                    difference: print(worst.map_or(0.0, |w| w.difference), 2),
                },
                spread90: print(choice.prediction.piece.within_90(), 1),
                cost: choice.cost.map(units::Money::to_amount),
                hex: of_bands(&choice.prediction.bands, "", false).hex,
            }
        })
        .collect()
}

fn recipe_dyes(request: &Request, way: &Way, choice: &Choice) -> Vec<RecipeDye> {
    choice
        .doses
        .iter()
        .map(|&(place, dose)| {
            let dye = &request.shelf.dyes[way.asked.dyes[place]].dye;
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
    let (target, way): (&Resolved, &Way) = (&found.aim, &found.way);
    let dosed = &way.made.dosed;
    let seen: Vec<LightSeen> = lights.iter().map(|&l| under(l, target, way)).collect();
    let apart = seen.first().map_or(0.0, |l| l.difference);
    let worst = seen.iter().max_by(|a, b| a.difference.total_cmp(&b.difference));
    let worst_words = worst
        .filter(|w| w.light != "D65")
        .map_or_else(String::new, |w| format!(", at worst {:.1} under {}", w.difference, w.words));
    let far = !piece.viewing.passes(gap(found));
    let does = if far {
        "is for the nearest colour within reach, not the target,"
    } else {
        Verdict::of(apart).words()
    };
    let verdict = format!(
        "The recipe {does} in daylight ({apart:.1}; up to {:.1} passes {}){worst_words}. How sure: nine \
         of ten pieces dyed so should land within {:.1} of the expected colour.",
        piece.viewing.limit(),
        piece.viewing,
        dosed.piece.within_90()
    );
    let metamerism = lights.iter().filter(|l| **l != Light::D65).map(|&l| {
        let index = Metamerism::of(&target.bands, &dosed.bands, Light::D65, l, Observer::Ten);
        let assumed = if target.assumed { " (the target's look there is assumed)" } else { "" };
        format!("{}: {}{assumed}", l.words(), index.words())
    });
    Expected {
        colour: of_bands(&dosed.bands, "predicted", true),
        places: places(piece, &seen),
        recipe_spread90: print(dosed.recipe.within_90(), 1),
        piece_spread90: print(dosed.piece.within_90(), 1),
        edges: dosed
            .piece
            .edges()
            .into_iter()
            .map(|e| of_lab(e, "edge of the 90 % region"))
            .collect(),
        verdict,
        viewing: piece.viewing.name().to_owned(),
        metamerism: metamerism.map(|m| sentence(&m)).collect(),
        spectrum: dosed.bands.values().iter().map(|r| print(*r, 4)).collect(),
        lights: seen,
    }
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

fn under(light: Light, target: &Resolved, way: &Way) -> LightSeen {
    let weights = colour::Weights::of(light, Observer::Ten);
    let (is, wanted) = (weights.lab(&way.made.dosed.bands), weights.lab(&target.bands));
    let hex = |l: Lab| Shown::of_lab2(Screen::Srgb, l).colour.to_hex();
    LightSeen {
        light: light.name().to_owned(),
        words: light.words().to_owned(),
        lab: lab(is),
        target_lab: lab(wanted),
        difference: print(colour::ciede2000(wanted, is), 2),
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
