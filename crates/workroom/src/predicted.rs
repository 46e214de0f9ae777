//! Predict what a recipe gives on a cloth: colour, both spreads, every light.

use std::path::PathBuf;

use colour::{ClothPrior, Light, Observer, Place, Weights, describe};
use costume::{AsGiven, Costume, GroundGiven, Shelf, ShelfDye};
use dyeing::{Dosed, Ground, HOME, Look, Prediction, Substrate, predict};
use lore::{DyeClass, Lore, Makeup, Offers, People, Procedure};
use serde::Serialize;
use units::{LiquorRatio, OnFibre, Share};

use crate::asked::{Asked, cloth, colour, quoted};
use crate::{Trouble, shelves, shown};

/// A recipe and a cloth.
#[derive(Debug, Clone, Default)]
pub struct PredictWanted {
    /// The cloth: a fibre, or a blend such as "65 cotton, 35 polyester".
    pub cloth: String,
    /// Dyes with their depth, each "id=0.5" in % owf.
    pub dyes: Vec<String>,
    /// Litres of liquor per kilogram of goods; none: 20.
    pub ratio: Option<f64>,
    /// "white", "natural", or a colour or reading of the undyed cloth; none: white.
    pub undyed: Option<String>,
    /// A shelf file; none: the starter shelf.
    pub shelf: Option<PathBuf>,
}

/// A prediction, as printed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Predicted {
    /// Always "predict".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// What was dyed.
    pub cloth: ClothSeen,
    /// The way it was dyed.
    pub procedure: String,
    /// Its words.
    pub procedure_name: String,
    /// L/kg.
    pub liquor_ratio: f64,
    /// The recipe.
    pub dyes: Vec<DoseSeen>,
    /// The expected colour in daylight, in words.
    pub words: String,
    /// CIELAB, D65/10°.
    pub lab: [f64; 3],
    /// For a screen.
    pub hex: String,
    /// False when a screen cannot show it.
    pub screen_shows: bool,
    /// How sure it is.
    pub spread: SpreadSeen,
    /// Under each light.
    pub lights: Vec<LightSeen>,
    /// Reflectance, 400–700 nm by 10 nm.
    pub spectrum: Vec<f64>,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

/// The cloth of a prediction.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClothSeen {
    /// As given.
    pub given: String,
    /// Fibres and shares.
    pub fibres: Vec<FibreSeen>,
    /// Undyed: white, natural, or as read.
    pub undyed: String,
}

/// One fibre.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FibreSeen {
    /// Material id.
    pub fibre: String,
    /// 0 to 1.
    pub share: f64,
}

/// One dye of the recipe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DoseSeen {
    /// Shelf id.
    pub id: String,
    /// Hue words.
    pub name: String,
    /// Class id.
    pub class: &'static str,
    /// % owf.
    pub owf_pct: f64,
    /// How the dye is known.
    pub known: &'static str,
}

/// Both spreads, ΔE00.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpreadSeen {
    /// Of the recipe's noise-free colour, rms.
    pub recipe_rms: f64,
    /// 90 % of such colours stay within.
    pub recipe90: f64,
    /// Of the dyed piece, rms.
    pub piece_rms: f64,
    /// 90 % of dyed pieces stay within.
    pub piece90: f64,
}

/// The colour under one light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LightSeen {
    /// The light.
    pub light: &'static str,
    /// What it is.
    pub words: &'static str,
    /// CIELAB for it, 10°.
    pub lab: [f64; 3],
    /// For a screen, that light's white seen as white.
    pub hex: String,
}

/// The deepest dose of one dye that is reckoned with, % owf: past any dyeing (house judgement; blacks are
/// dyed at 4 to 10 %).
const DEEPEST: f64 = 20.0;

/// Scatter of a dose when nothing is known of how it is measured out: 2 %, what the trade calls
/// weighable (fifty digits of the scale; common practice).
const DOSE_SCATTER: f64 = 0.02;

/// Predicts a recipe on a cloth.
pub fn predict_recipe(wanted: &PredictWanted) -> Result<Predicted, Trouble> {
    let lore = Lore::shipped();
    let shelf = shelves::of(wanted.shelf.as_deref(), lore)?;
    let mut asked = Asked::default();
    let costume = cloth_of(&mut asked, wanted, "--cloth");
    let doses = doses(&mut asked, wanted, &shelf);
    let ratio = ratio(&mut asked, wanted.ratio);
    let costume: Costume = costume.and_then(|()| asked.costume(lore))?;
    let piece = costume.pieces.first();
    let (Some(piece), Some(ratio)) = (piece, ratio) else {
        return Err(Trouble::refused("no cloth was named", "name it with --cloth cotton"));
    };
    let Makeup::Known(portions) = &piece.goods.makeup else {
        let hint = "test a snip first: `dyewright identify` says which test tells most";
        return Err(Trouble::refused(
            "the colour on cloth of unknown fibre cannot be foreseen",
            hint,
        ));
    };
    if doses.is_empty() {
        return Err(Trouble::refused(
            "no dye was named",
            "name one with its depth: --dye reactive-blue=0.5",
        ));
    }
    let offers = lore.offer(&piece.goods.makeup, &[], People::default());
    let procedure = one_bath(&doses, &offers, &piece.goods.words, lore)?;
    let fibres: Vec<(&str, Share)> =
        portions.iter().map(|p| (p.material.as_str(), p.share)).collect();
    let (ground, undyed) = ground(&piece.ground, &fibres)?;
    let class = doses[0].0.dye.class;
    let refuse =
        |e: dyeing::Refusal| Trouble::refused(e.to_string(), "choose another class or cloth");
    let on = Substrate::try_new(&ground, class, ratio).map_err(refuse)?;
    let recipe: Vec<Dosed> = doses
        .iter()
        .map(|(d, dose)| Dosed { dye: &d.dye, dose: *dose, scatter: DOSE_SCATTER })
        .collect();
    let found = predict(&on, &recipe, HOME).map_err(refuse)?;
    let notes = notes(&doses, &ground, &on, &offers, procedure, &shelf);
    Ok(written(wanted, fibres, undyed, (procedure, lore), ratio, &doses, &found, notes))
}

/// The cloth, and the ground where it is told; `word` is the one the cloth was typed behind.
pub(crate) fn cloth_of(
    asked: &mut Asked,
    wanted: &PredictWanted,
    word: &str,
) -> Result<(), Trouble> {
    // Weight and target do not bear on a prediction; they stand in so that one parser reads it all.
    asked.line("[costume]\nname = \"a prediction\"\n[[piece]]\nid = \"it\"\nweight_g = 100.0\ntarget = { lab = [50.0, 0.0, 0.0] }");
    asked.argument(word, &wanted.cloth, cloth(&wanted.cloth), "cloth = \"cotton\"");
    if let Some(given) = &wanted.undyed {
        asked.argument("--undyed", given, undyed_line(given), "");
    }
    Ok(())
}

/// `--undyed`: a word, or a colour.
pub(crate) fn undyed_line(given: &str) -> Result<String, (String, String)> {
    match given.trim() {
        word @ ("white" | "natural" | "ecru") => Ok(format!("undyed = {}", quoted(word))),
        other => colour("undyed", other)
            .map_err(|(says, hint)| (says, format!("write white or natural, or a colour: {hint}"))),
    }
}

fn doses<'a>(
    asked: &mut Asked,
    wanted: &PredictWanted,
    shelf: &'a Shelf,
) -> Vec<(&'a ShelfDye, OnFibre)> {
    let mut doses: Vec<(&ShelfDye, OnFibre)> = vec![];
    for given in &wanted.dyes {
        let at = asked.typed("--dye", given);
        let hint = "write the dye's id and its depth in % on weight of fibre, as reactive-blue=0.5";
        let Some((id, depth)) = given.split_once('=') else {
            asked.fault(at, format!("\"{given}\" is not a dye with its depth"), hint);
            continue;
        };
        let Some(dye) = shelf.dyes.iter().find(|d| d.dye.id == id.trim()) else {
            let near = shelves::near_ids(id.trim(), shelf);
            asked.fault(at, format!("there is no dye \"{}\" on this shelf", id.trim()), near);
            continue;
        };
        if doses.iter().any(|(d, _)| d.dye.id == dye.dye.id) {
            asked.fault(at, format!("{} is named twice", dye.dye.id), "give each dye one depth");
            continue;
        }
        let plain = depth.trim().trim_end_matches('%').trim();
        let number: f64 = plain.parse().unwrap_or(f64::NAN);
        let Some(dose) = asked.keep(&at, OnFibre::try_percent(number), hint) else { continue };
        if dose.to_percent() <= 0.0 {
            asked.fault(
                at,
                "a depth of nothing",
                "leave the dye out, or give it a depth above zero",
            );
            continue;
        }
        if dose.to_percent() > DEEPEST {
            let says = format!("{} % on weight of fibre is no dyeing", units::trimmed(number, 2));
            let hint = "a deep black is 8 % or so, and 20 % is the most that is reckoned with; 2 means 2 g \
                        of dye on 100 g of cloth";
            asked.fault(at, says, hint);
            continue;
        }
        doses.push((dye, dose));
    }
    doses
}

fn ratio(asked: &mut Asked, given: Option<f64>) -> Option<LiquorRatio> {
    let number = given.unwrap_or(dyeing::REFERENCE_RATIO);
    let at = given.map(|n| asked.typed("--ratio", &n.to_string())).unwrap_or(0..0);
    let hint = "litres of liquor per kilogram of goods, such as 20";
    asked.keep(&at, LiquorRatio::try_litres_per_kilogram(number), hint)
}

/// The bath all of these dyes go into together on these goods; refused when there is none.
fn one_bath(
    doses: &[(&ShelfDye, OnFibre)],
    offers: &Offers,
    cloth: &str,
    lore: &Lore,
) -> Result<Procedure, Trouble> {
    let mut classes: Vec<DyeClass> = vec![];
    for (dye, _) in doses {
        if !classes.contains(&dye.dye.class) {
            classes.push(dye.dye.class);
        }
    }
    let takes_all = |p: Procedure| classes.iter().all(|c| p.takes(*c));
    let names: Vec<&str> = classes.iter().map(|c| lore.class_name(*c)).collect();
    if !Procedure::ALL.iter().any(|p| takes_all(*p)) {
        let says = format!("{} dyes do not go into one bath", names.join(" and "));
        return Err(Trouble::refused(says, "predict each class by itself"));
    }
    if let Some(offer) = offers.offered.iter().find(|o| takes_all(o.procedure)) {
        return Ok(offer.procedure);
    }
    let why: Vec<String> = offers
        .refused
        .iter()
        .filter(|r| takes_all(r.procedure))
        .map(|r| format!("{}: {}", lore.procedure_name(r.procedure), r.why_not))
        .collect();
    let better: Vec<&str> =
        offers.offered.iter().take(3).map(|o| lore.procedure_name(o.procedure)).collect();
    let hint = if better.is_empty() {
        "nothing at home dyes it".to_owned()
    } else {
        format!("what takes on it: {}", better.join(", "))
    };
    Err(Trouble::refused(
        format!("{} dye is not for {cloth}. {}", names.join(" and "), why.join("; ")),
        hint,
    ))
}

pub(crate) fn ground(
    given: &GroundGiven,
    fibres: &[(&str, Share)],
) -> Result<(Ground, String), Trouble> {
    match given {
        GroundGiven::Assumed(look) => {
            let ground = Ground::assumed(fibres, *look).map_err(|e| {
                Trouble::refused(e.to_string(), "give its colour or a reading with --undyed")
            })?;
            let words = if *look == Look::White { "white" } else { "natural" };
            Ok((ground, format!("{words}, as such cloth usually is (not read)")))
        }
        GroundGiven::Read(given) => {
            let prior = ClothPrior::shipped();
            let likely = match &given.as_given {
                AsGiven::Spectrum(bands) => {
                    return Ok((Ground::read(fibres, bands), given.written.clone()));
                }
                AsGiven::Colour(lab) => prior.likely(*lab),
                AsGiven::Screen(screen) => prior.screen_colour_to_cloth(screen.to_xyz2()),
            };
            let hint = "give the colour of the cloth itself";
            let likely = likely.map_err(|e| Trouble::refused(e.to_string(), hint))?;
            Ok((
                Ground::read(fibres, &likely.bands),
                format!("{} (its spectrum is assumed)", given.written),
            ))
        }
    }
}

fn notes(
    doses: &[(&ShelfDye, OnFibre)],
    ground: &Ground,
    on: &Substrate,
    offers: &Offers,
    procedure: Procedure,
    shelf: &Shelf,
) -> Vec<String> {
    let mut notes = vec![];
    if shelf.starter {
        notes.push(
            "The dyes are the starter shelf's estimates, not measurements: dye a swatch."
                .to_owned(),
        );
    }
    for (dye, dose) in doses {
        if dose.to_percent() > dye.dye.most.to_percent() {
            notes.push(format!(
                "{} at {} % is deeper than the program would propose ({} %): much of it will wash out.",
                dye.dye.id,
                units::trimmed(dose.to_percent(), 3),
                units::trimmed(dye.dye.most.to_percent(), 2)
            ));
        }
        notes.extend(dye.dye.note.iter().map(|n| format!("{}: {n}", dye.dye.id)));
    }
    if ground.assumed {
        notes.push("The undyed cloth was not read; its usual look was taken.".to_owned());
    }
    if on.takers() < 0.995 {
        notes.push(format!(
            "{:.0} % of the cloth takes this dye; the rest stays as it is.",
            on.takers() * 100.0
        ));
    }
    if let Some(offer) = offers.offered.iter().find(|o| o.procedure == procedure) {
        notes.push(format!("This class on this cloth: {}.", offer.why.trim_end_matches('.')));
    }
    notes.push("Each dose is taken to be measured out within 2 %.".to_owned());
    notes
}

#[expect(clippy::too_many_arguments, reason = "everything the page shows, each of its own kind")]
fn written(
    wanted: &PredictWanted,
    fibres: Vec<(&str, Share)>,
    undyed: String,
    (procedure, lore): (Procedure, &Lore),
    ratio: LiquorRatio,
    doses: &[(&ShelfDye, OnFibre)],
    found: &Prediction,
    notes: Vec<String>,
) -> Predicted {
    let n = |v: f64| shown::rounded(v, 2);
    let (hex, screen_shows) = shown::on_screen(&found.bands);
    Predicted {
        dyewright: "predict",
        version: 1,
        cloth: ClothSeen {
            given: wanted.cloth.clone(),
            fibres: fibres
                .into_iter()
                .map(|(f, s)| FibreSeen {
                    fibre: f.to_owned(),
                    share: shown::rounded(s.to_fraction(), 4),
                })
                .collect(),
            undyed,
        },
        procedure: procedure.id().to_owned(),
        procedure_name: lore.procedure_name(procedure).to_owned(),
        liquor_ratio: ratio.to_litres_per_kilogram(),
        dyes: doses
            .iter()
            .map(|(d, dose)| DoseSeen {
                id: d.dye.id.clone(),
                name: d.dye.name.clone(),
                class: d.dye.class.id(),
                owf_pct: shown::rounded(dose.to_percent(), 5),
                known: d.dye.knowledge.words(),
            })
            .collect(),
        words: describe(found.lab),
        lab: shown::lab(found.lab),
        hex,
        screen_shows,
        spread: SpreadSeen {
            recipe_rms: n(found.recipe.rms()),
            recipe90: n(found.recipe.within_90()),
            piece_rms: n(found.piece.rms()),
            piece90: n(found.piece.within_90()),
        },
        lights: lights()
            .into_iter()
            .map(|light| LightSeen {
                light: light.name(),
                words: light.words(),
                lab: shown::lab(Weights::of(light, Observer::Ten).lab(&found.bands)),
                hex: shown::on_screen_under(&found.bands, light),
            })
            .collect(),
        spectrum: found.bands.values().iter().map(|r| shown::rounded(*r, 4)).collect(),
        notes,
    }
}

/// Every light of every place, once.
fn lights() -> Vec<Light> {
    let mut all: Vec<Light> = vec![];
    for light in Place::ALL.into_iter().flat_map(|p| p.lights().iter().copied()) {
        if !all.contains(&light) {
            all.push(light);
        }
    }
    all
}
