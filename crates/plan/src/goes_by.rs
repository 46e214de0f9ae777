//! The swatch a piece goes by: of its own the one that says what its recipe is.
//!
//! A swatch that is good enough is the recipe: the piece is dyed as the swatch really was, and its bulk sheet waits for
//! nothing more. Any other is held against the best recipe that could be dyed next, and the piece is dyed by that; so
//! the plan, `correct` and the plan of swatches say one and the same. Nothing of it is kept: whatever was recorded or
//! undone since is weighed anew each time. Left out: both baths of a blend, and cloth of which part stays undyed.

use colour::{BANDS, Lab, Weights, ciede2000};
use costume::Piece;
use lore::Procedure;
use recipe::{Aimed, Choice, Say, Stands, Target, Verdict, shots, stands_by, weighed};
use units::{Day, OnFibre};

use crate::Request;
use crate::making::{Made, made};
use crate::taught::{Lesson, Taught};
use crate::way::{Stop, Way};

/// The swatch, and how the piece stands by it.
#[derive(Debug, Clone)]
pub(crate) struct GoesBy {
    pub(crate) lesson: Lesson,
    /// The verdict on it beside the best recipe that could be dyed next.
    pub(crate) said: Verdict,
    pub(crate) stands: Stands,
    /// The colour it was judged by: the piece's own, or where its set brings it.
    pub(crate) target: Target,
    /// ΔE00 from it that passes: from where the piece is seen, or within its set where that is less.
    pub(crate) passes: f64,
    /// The swatch as the bulk sheet names it, where it makes that final.
    pub(crate) vouches: Option<Vouched>,
    /// Why a good swatch does not, in words.
    pub(crate) but: Option<String>,
}

/// A swatch that makes a bulk sheet final.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Vouched {
    pub(crate) code: String,
    pub(crate) day: Day,
    pub(crate) look_alike: bool,
}

/// How many of the best next recipes are tried at the scale and the syringes, in their order.
const TRIED: usize = 4;

/// Lets a piece go by its own swatches, where some were dyed this way: its recipe is then theirs.
pub(crate) fn go_by(request: &Request, piece: &Piece, way: &mut Way) {
    let Some(taught) = request.taught.filter(|_| !way.asked.heather) else { return };
    // What cannot be reckoned leaves the recipe as it was found.
    let _ = goes_by(request, taught, piece, way);
}

fn goes_by(request: &Request, taught: &Taught, piece: &Piece, way: &mut Way) -> Result<(), Stop> {
    let target = way.asked.target;
    let own = own(taught, &request.costume.name, piece, way, &target);
    let Some(&nearest) = own.first() else { return Ok(()) };
    let best = next(request, piece, way, &way.asked.aimed(taught, nearest))?;
    let next = best.as_ref().map_or_else(|| way.choice(), |(choice, _)| choice);
    let next = way.asked.in_stock(&next.doses);
    let (lesson, said) = judged(taught, way, &own, (&target, piece.viewing.limit()), &next)?;
    if let Some((choice, made)) = best {
        way.put_first(choice, made);
    }
    let aimed = way.asked.aimed(taught, lesson);
    let mut goes_by = GoesBy::toward(&aimed, lesson, said, target)?;
    if goes_by.said.say == Say::Stop {
        let said = goes_by.said.clone();
        let colour = (target, goes_by.passes);
        match kept(request, piece, &[], way, (taught, lesson, said), colour) {
            Ok(kept) => {
                kept.give(way);
                return Ok(());
            }
            Err(Stop::Vessel(why) | Stop::Other(why)) => goes_by.but = Some(why),
        }
    }
    way.goes_by = Some(goes_by);
    Ok(())
}

/// The own swatches of a piece that were dyed this way, the one that reads nearest to the colour first.
pub(crate) fn own<'t>(
    taught: &'t Taught,
    costume: &str,
    piece: &Piece,
    way: &Way,
    target: &Target,
) -> Vec<&'t Lesson> {
    let wanted = Weights::reference().lab(&target.bands);
    let mut own: Vec<&Lesson> = taught
        .own_of(costume, &piece.id)
        .into_iter()
        .filter(|lesson| dyed_so(lesson, way))
        .collect();
    let off = |lesson: &Lesson| ciede2000(wanted, lesson.read);
    own.sort_by(|a, b| off(a).total_cmp(&off(b)));
    own
}

/// Whether a swatch was dyed as this way does it, on its fibre.
pub(crate) fn dyed_so(lesson: &Lesson, way: &Way) -> bool {
    let one_bath = way.offer.procedure == Procedure::AcidMilling
        && way.offer.classes.iter().any(|c| c.class == lesson.class);
    way.asked.fibre.as_deref() == Some(&lesson.fibre)
        && (lesson.class == way.class || one_bath)
        && lesson.procedure.is_none_or(|procedure| procedure == way.offer.procedure)
}

/// The best next recipe that this kitchen can measure out, where it is not the one that stands first already.
fn next(
    request: &Request,
    piece: &Piece,
    way: &Way,
    aimed: &Aimed,
) -> Result<Option<(Choice, Made)>, Stop> {
    for shot in shots(aimed, TRIED)? {
        let Some(doses) = way.asked.places(&shot.doses) else { continue };
        if let Ok(made) = made(request, piece, &[], &way.offer, &way.asked, &doses) {
            return Ok(Some((Choice::try_of(&way.asked.question(), doses)?, made)));
        }
    }
    Ok(None)
}

/// The swatch the piece goes by and what is said of it: of those that are good enough the one that reads nearest, else
/// the nearest of all. The colour is this one, and so far off passes; `own` are one at least.
pub(crate) fn judged<'t>(
    taught: &'t Taught,
    way: &Way,
    own: &[&'t Lesson],
    (target, passes): (&Target, f64),
    next: &[(usize, OnFibre)],
) -> Result<(&'t Lesson, Verdict), Stop> {
    let mut nearest = None;
    for &lesson in own {
        let aimed = Aimed { target: *target, tolerance: passes, ..way.asked.aimed(taught, lesson) };
        let said = weighed(&aimed, &lesson.doses, next)?;
        if said.say == Say::Stop {
            return Ok((lesson, said));
        }
        nearest.get_or_insert((lesson, said));
    }
    nearest.ok_or_else(|| Stop::Other("no swatch of its own".to_owned()))
}

/// A piece that is dyed as its swatch was.
pub(crate) struct Kept {
    pub(crate) choice: Choice,
    made: Made,
    goes_by: GoesBy,
}

/// The recipe of a good swatch as this piece is dyed by it.
pub(crate) fn kept(
    request: &Request,
    piece: &Piece,
    with: &[&Piece],
    way: &Way,
    (taught, lesson, said): (&Taught, &Lesson, Verdict),
    (target, passes): (Target, f64),
) -> Result<Kept, Stop> {
    let doses = way.asked.places(&lesson.doses).ok_or_else(|| {
        Stop::Other("one of its dyes is of another lot than the shelf's, or not on it".to_owned())
    })?;
    let choice = Choice::try_of(&way.asked.question(), doses)?;
    let made = made(request, piece, with, &way.offer, &way.asked, &choice.doses)?;
    let aimed = Aimed { target, tolerance: passes, ..way.asked.aimed(taught, lesson) };
    let mut goes_by = GoesBy::toward(&aimed, lesson, said, target)?;
    goes_by.stands.dye_by = goes_by.said.held.clone();
    match unlike(way, &made, piece, lesson) {
        None => goes_by.vouches = Some(Vouched::of(lesson)),
        Some(why) => goes_by.but = Some(why),
    }
    Ok(Kept { choice, made, goes_by })
}

impl Kept {
    /// Gives a way this recipe.
    pub(crate) fn give(self, way: &mut Way) {
        way.put_first(self.choice, self.made);
        way.goes_by = Some(self.goes_by);
    }
}

/// How far the undyed cloth of the swatch and of the piece may look apart, ΔE00 (judgement: white and natural of one
/// fibre differ by more, two readings of one cloth by less).
const SAME_CLOTH: f64 = 3.0;
/// The liquor ratio of swatch and bulk may differ by so much (the trade's rule `swatch-first`, as for a swatch in the
/// costume file).
const SAME_RATIO: f64 = 0.05;

/// Why a good swatch does not vouch for the bulk bath; none where it does.
fn unlike(way: &Way, made: &Made, piece: &Piece, lesson: &Lesson) -> Option<String> {
    let is = made.bulk.ratio.to_litres_per_kilogram();
    match lesson.ratio.map(|ratio| ratio.to_litres_per_kilogram()) {
        None => return Some("at which liquor ratio it was dyed is not noted".to_owned()),
        Some(was) if (was - is).abs() > SAME_RATIO * is => {
            return Some(format!(
                "it was dyed at {}:1, and the bath is {}:1",
                units::trimmed(was, 1),
                units::trimmed(is, 1)
            ));
        }
        Some(_) => {}
    }
    let own: Vec<String> = match &piece.goods.makeup {
        lore::Makeup::Known(portions) => portions.iter().map(|p| p.material.clone()).collect(),
        lore::Makeup::Unknown(_) => vec![],
    };
    if !lesson.look_alike && !own.contains(&lesson.material) {
        return Some("it is of another cloth".to_owned());
    }
    let cloth = undyed(way);
    lesson
        .undyed
        .filter(|was| !lesson.look_alike && ciede2000(*was, cloth) > SAME_CLOTH)
        .map(|_| "its cloth looked otherwise before it was dyed".to_owned())
}

/// The undyed cloth of the piece.
fn undyed(way: &Way) -> Lab {
    Weights::reference().lab_of(&way.asked.on.dyed(&[0.0; BANDS]))
}

impl Vouched {
    fn of(lesson: &Lesson) -> Self {
        Self { code: lesson.code.clone(), day: lesson.day, look_alike: lesson.look_alike }
    }
}

impl GoesBy {
    /// A piece that is dyed by the next recipe of its swatch's verdict.
    pub(crate) fn toward(
        aimed: &Aimed,
        lesson: &Lesson,
        said: Verdict,
        target: Target,
    ) -> Result<Self, Stop> {
        let next = said.next.clone();
        let stands = Stands { dye_by: next.clone(), swatch_by: next, ..stands_by(aimed, &said)? };
        let lesson = lesson.clone();
        let passes = aimed.tolerance;
        Ok(Self { lesson, said, stands, target, passes, vouches: None, but: None })
    }
}
