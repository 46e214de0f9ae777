//! Something was dyed and read: stop, add dye, dye the next swatch, or what is left where adding cannot save it.
//!
//! The verdict is `recipe`'s: no correction that noise alone explains. Here stand the class's own rules of
//! adding (never dye after the alkali; what to cool to, how much at once: `lore`), and the ways out of a
//! colour that is there already (`ways_out`), and what is said of it all (`words`). The recipe it is held against is the
//! plan's: the whole costume is decided first. Left out: both baths of a blend in two.

mod ways_out;
mod words;

use colour::{Light, Weights, ciede2000};
use costume::Piece;
use lore::{Offer, Procedure};
use recipe::{Aimed, Shot, Target, Verdict, WORTH, topped_up, verdict, weighed};
use units::{LiquorRatio, Mass, OnFibre};

use crate::asked::Asked;
use crate::crew::Crew;
use crate::document::{
    AddingSeen, ChancesSeen, ColourSeen, Correction, Say, Sheet, ShotDye, ShotSeen, SwatchToDye,
};
use crate::goes_by::{GoesBy, dyed_so};
use crate::making::made;
use crate::piece::{Found, Known, Opened, open};
use crate::request::{self, Request};
use crate::seen::{of_bands, of_lab, print};
use crate::sheets;
use crate::taught::{Lesson, Taught};
use crate::way::{LOWER, Stop, Try, usual_ratio};

/// Why there is no verdict.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoVerdict {
    /// The piece has no bath at all.
    #[error("{piece} has no bath: {why}")]
    NoBath {
        /// Its name.
        piece: String,
        /// Why.
        why: String,
    },
    /// The swatch was dyed by a way that is not offered for the piece.
    #[error("swatch {code} was dyed by a way that {piece} is not dyed by: {why}")]
    AnotherWay {
        /// The swatch.
        code: String,
        /// The piece.
        piece: String,
        /// What is offered, or why not.
        why: String,
    },
    /// The swatch is of another fibre.
    #[error("swatch {code} is of {swatch}, and the dye of {piece} goes on {fibre}")]
    AnotherFibre {
        /// The swatch.
        code: String,
        /// Its fibre.
        swatch: String,
        /// The piece.
        piece: String,
        /// What takes the dye of the piece.
        fibre: String,
    },
    /// The sums refused.
    #[error("no verdict on {code}: {why}")]
    NoSums {
        /// The swatch.
        code: String,
        /// Why.
        why: String,
    },
}

/// Judges a swatch of a piece; `code`: this swatch, else the one the piece goes by; `dyed`: the piece itself came out as
/// the swatch did. The whole costume is decided for it, so that the recipe it is held against is the plan's.
///
/// # Errors
/// Where the piece has no bath, or the swatch is none of that bath's.
pub fn correct(
    request: &Request,
    piece: &Piece,
    code: Option<&str>,
    dyed: bool,
) -> Result<Correction, NoVerdict> {
    let no_sums =
        |code: &str, why: &str| NoVerdict::NoSums { code: code.to_owned(), why: why.to_owned() };
    let named = code.unwrap_or(&piece.id);
    let costume = request.costume;
    let taught = request.taught.ok_or_else(|| no_sums(named, "no workbook was read"))?;
    let taught = &taught.ready_for(request.lore, costume);
    let request = &Request { taught: Some(taught), ..*request };
    let crew = Crew::of(request, costume.pieces.len());
    let opened: Vec<Opened> = costume.pieces.iter().map(|one| open(&crew.each, one)).collect();
    let whole = request::decide(&crew, &opened, &mut |_, _, _| Ok(()));
    let whole = whole.map_err(|stopped| no_sums(named, &stopped.to_string()))?;
    let at = costume.pieces.iter().position(|one| one.id == piece.id);
    let at = at.ok_or_else(|| no_sums(named, "the piece is not of this costume"))?;
    let known = opened[at]
        .known
        .as_ref()
        .map_err(|plan| NoVerdict::NoBath { piece: piece.name.clone(), why: plan.why.clone() })?;
    let one = &whole.decided[at];
    let bath = one.follows.map_or(one, |leader| &whole.decided[leader]);
    let found = bath.found().filter(|found| found.second.is_none());
    let lesson = match code {
        Some(code) => taught.lesson(code),
        None => going(taught, &costume.name, piece, found),
    };
    let lesson = lesson.ok_or_else(|| no_sums(named, "no swatch of it teaches"))?;
    match found.filter(|found| dyed_so(lesson, &found.way)) {
        Some(found) => by_plan(request, taught, (piece, known), found, (lesson, dyed)),
        None => by_itself(request, taught, (piece, known), &opened[at].lights, (lesson, dyed)),
    }
}

/// The swatch a piece is judged by that none was named of.
fn going<'t>(
    taught: &'t Taught,
    costume: &str,
    piece: &Piece,
    found: Option<&'t Found>,
) -> Option<&'t Lesson> {
    let own = taught.own_of(costume, &piece.id);
    let goes_by = found.and_then(|found| found.way.goes_by.as_ref());
    goes_by
        .map(|swatch| &swatch.lesson)
        .or_else(|| own.last().copied())
        .or_else(|| taught.held_out_of(costume, &piece.id))
}

/// Judged beside the recipe that the plan prints for the piece.
fn by_plan(
    request: &Request,
    taught: &Taught,
    (piece, known): (&Piece, &Known),
    found: &Found,
    (lesson, dyed): (&Lesson, bool),
) -> Result<Correction, NoVerdict> {
    let refused =
        |e: recipe::Refusal| NoVerdict::NoSums { code: lesson.code.clone(), why: e.to_string() };
    let way = &found.way;
    let (target, tolerance) = (way.wanted(), way.passes(piece));
    let aimed = Aimed { target, tolerance, ..way.asked.aimed(taught, lesson) };
    let said = match &way.goes_by {
        Some(swatch) if swatch.lesson.code == lesson.code => swatch.said.clone(),
        _ => {
            let planned = way.asked.in_stock(&way.choice().doses);
            weighed(&aimed, &lesson.doses, &planned).map_err(refused)?
        }
    };
    let adding = adding(&aimed, lesson).map_err(refused)?;
    let takes = way.made.bulk.takes;
    let planned = Some(found);
    let offer = &way.offer;
    Ok(Judged { request, taught, piece, lesson, offer, dyed, takes, said, adding, planned }
        .document(&aimed, known))
}

/// Judged beside the best recipe of the way it was dyed by, where the plan dyes the piece by another.
fn by_itself(
    request: &Request,
    taught: &Taught,
    (piece, known): (&Piece, &Known),
    lights: &[Light],
    (lesson, dyed): (&Lesson, bool),
) -> Result<Correction, NoVerdict> {
    let code = lesson.code.clone();
    let no_sums = |why: String| NoVerdict::NoSums { code: code.clone(), why };
    let aim = known.sheer.as_ref().map_or(&known.wanted, |sheer| &sheer.aim);
    let target = Target { bands: aim.bands, assumed: aim.assumed };
    let ground = &known.ground;
    let tries = Try { request, piece, ground, target, lights, one_of_two: false };
    let offer = offer(request, piece, known, lesson)?;
    let usual =
        LiquorRatio::try_litres_per_kilogram(usual_ratio(request.lore, &piece.goods.makeup));
    let ratio = lesson.ratio.map_or(usual, Ok).map_err(|e| no_sums(e.to_string()))?;
    let asked = Asked::try_of(&tries, offer, lesson.class, ratio).map_err(|stop| match stop {
        Stop::Vessel(why) | Stop::Other(why) => no_sums(why),
    })?;
    if asked.fibre.as_deref() != Some(&lesson.fibre) {
        return Err(NoVerdict::AnotherFibre {
            code,
            swatch: lesson.fibre.clone(),
            piece: piece.name.clone(),
            fibre: asked.fibre.clone().unwrap_or_else(|| "nothing known".to_owned()),
        });
    }
    let aimed = asked.aimed(taught, lesson);
    let refused = |e: recipe::Refusal| no_sums(e.to_string());
    let said = verdict(&aimed, &lesson.doses).map_err(refused)?;
    let adding = adding(&aimed, lesson).map_err(refused)?;
    let takes = takes(request, piece, offer, &asked, &lesson.doses);
    Ok(Judged { request, taught, piece, lesson, offer, dyed, takes, said, adding, planned: None }
        .document(&aimed, known))
}

/// What adding to a swatch's recipe would do, where it most likely gains and is a way out.
fn adding(aimed: &Aimed, lesson: &Lesson) -> Result<Option<Verdict>, recipe::Refusal> {
    let added = topped_up(aimed, &lesson.doses)?;
    let told = added.map(|shot| weighed(aimed, &lesson.doses, &shot.doses)).transpose()?;
    Ok(told.filter(|v| v.say == recipe::Say::Improve && v.gain > WORTH && saves(aimed, v)))
}

/// Whether a gain by adding is a way out: it ends within what passes, or at half of what is left or less
/// (judgement: a hopeless piece a little less hopeless is not saved).
fn saves(aimed: &Aimed, adding: &Verdict) -> bool {
    adding.next.difference <= aimed.tolerance.max(0.5 * adding.held.difference)
}

/// The offer the swatch was dyed by.
fn offer<'o>(
    request: &Request,
    piece: &Piece,
    known: &'o Known,
    lesson: &Lesson,
) -> Result<&'o Offer, NoVerdict> {
    let fits = |offer: &&Offer| match lesson.procedure {
        Some(procedure) => offer.procedure == procedure,
        None => offer.classes.iter().any(|c| c.class == lesson.class),
    };
    known.offers.offered.iter().find(fits).ok_or_else(|| {
        let refused = known.offers.refused.iter().find(|r| Some(r.procedure) == lesson.procedure);
        let offered: Vec<&str> =
            known.offers.offered.iter().map(|o| request.lore.procedure_name(o.procedure)).collect();
        let why = refused.map_or_else(
            || format!("what is offered is {}", offered.join(", ")),
            |r| r.why_not.clone(),
        );
        NoVerdict::AnotherWay { code: lesson.code.clone(), piece: piece.name.clone(), why }
    })
}

/// Everything the answer is written from.
struct Judged<'a> {
    request: &'a Request<'a>,
    taught: &'a Taught,
    piece: &'a Piece,
    lesson: &'a Lesson,
    offer: &'a Offer,
    dyed: bool,
    /// What of the piece takes the dye.
    takes: Mass,
    said: Verdict,
    /// Adding, where it most likely gains.
    adding: Option<Verdict>,
    /// The way of the plan, where the swatch was dyed by that.
    planned: Option<&'a Found<'a>>,
}

impl Judged<'_> {
    fn document(&self, aimed: &Aimed, known: &Known) -> Correction {
        let wanted = Weights::reference().lab(&aimed.target.bands);
        let read_difference = print(ciede2000(wanted, self.lesson.read), 1);
        let say = self.say(read_difference <= aimed.tolerance);
        let scatter = self.said.held.piece.of_dyeing(&self.said.held.recipe).rms();
        let same = self.said.next.doses == self.said.held.doses;
        let otherwise = match say {
            Say::CannotBeSaved => self.otherwise(),
            _ => vec![],
        };
        let mut answer = Correction {
            piece: self.piece.id.clone(),
            name: self.piece.name.clone(),
            swatch: self.lesson.code.clone(),
            dyed: self.dyed,
            say,
            words: vec![],
            target: self.wanted(aimed, known),
            read: of_lab(self.lesson.read, "as read"),
            read_difference,
            passes: aimed.tolerance,
            dyeing_scatter: print(scatter, 1),
            chances: chances(&self.said),
            held: self.shot(&self.said.held),
            next: (!same).then(|| self.shot(&self.said.next)),
            next_swatch: None,
            adding: self.adding_seen(),
            otherwise,
        };
        if answer.say == Say::NextSwatch {
            answer.next_swatch = self.next_swatch();
        }
        answer.words = self.words(&answer);
        answer
    }

    /// The colour it is judged by: the piece's own, or where its set brings it.
    fn wanted(&self, aimed: &Aimed, known: &Known) -> ColourSeen {
        if self.is_for_set() {
            of_bands(&aimed.target.bands, "where its set brings it", true)
        } else {
            known.wanted.seen.clone()
        }
    }

    /// Whether it is judged by where its set brings it: also of a piece that is dyed as its good swatch was.
    fn is_for_set(&self) -> bool {
        self.planned.is_some_and(|found| {
            found.way.for_set || found.way.wanted().bands != found.way.asked.target.bands
        })
    }

    /// Another swatch of the piece, which is good enough and which its bulk goes by.
    fn better(&self) -> Option<&GoesBy> {
        let goes_by = self.planned?.way.goes_by.as_ref()?;
        let another = goes_by.lesson.code != self.lesson.code;
        (another && goes_by.said.say == recipe::Say::Stop).then_some(goes_by)
    }

    /// Why the bulk sheet is not final though its swatch is good enough, and the card to dye for it.
    fn not_final(&self) -> Option<(&str, String)> {
        let found = self.planned?;
        let why = found.way.goes_by.as_ref()?.but.as_deref()?;
        Some((why, sheets::card_code(&self.request.costume.name, &self.swatch_sheet(found))))
    }

    /// The sheet of the plan's swatch of the piece.
    fn swatch_sheet(&self, found: &Found) -> Sheet {
        let Request { lore, shelf, today, .. } = *self.request;
        sheets::sheet(&found.way.made.swatch, self.piece, lore, shelf, today, &[], None)
    }

    /// The swatch to dye next as its card has it: where the plan is for a swatch of the next recipe.
    fn next_swatch(&self) -> Option<SwatchToDye> {
        let found = self.planned?;
        let next = found.way.asked.places(&self.said.next.doses)?;
        let same = |at: usize, dose: OnFibre| {
            let planned = found.way.choice().doses.iter().find(|d| d.0 == at);
            planned.is_some_and(|d| (d.1.to_percent() - dose.to_percent()).abs() < 1e-9)
        };
        let planned = found.way.choice().doses.len() == next.len();
        if !planned || !next.iter().all(|&(at, dose)| same(at, dose)) {
            return None;
        }
        let sheet = self.swatch_sheet(found);
        Some(SwatchToDye {
            code: sheets::card_code(&self.request.costume.name, &sheet),
            cloth_g: sheet.takes_g,
            liquor_ratio: sheet.liquor_ratio,
            liquor_ml: sheet.liquor_ml,
            water_ml: sheet.water_ml,
            dyes: sheet.dyes,
            stocks: sheet.stocks,
            auxiliaries: sheet.auxiliaries,
        })
    }

    fn procedure(&self) -> Procedure {
        self.offer.procedure
    }

    /// Never after the alkali, and never into a vat: whoever reads a finished cutting of such a bath reads it
    /// after that. And never more than additions may be together.
    fn in_this_bath(&self) -> bool {
        !self.procedure().is_alkaline() && self.share_added() <= MOST_ADDED
    }

    /// What is added, as a share of the dye that is there.
    fn share_added(&self) -> f64 {
        let all = |doses: &[(usize, OnFibre)]| doses.iter().map(|d| d.1.to_percent()).sum::<f64>();
        let before = all(&self.lesson.doses);
        self.adding.as_ref().map_or(0.0, |v| (all(&v.next.doses) - before) / before)
    }

    fn beyond_belief(&self) -> bool {
        self.lesson.is_held_out()
    }

    /// `passes`: as read it is within what passes.
    fn say(&self, passes: bool) -> Say {
        match (self.said.say, self.dyed) {
            // Nothing is dyed by a reading that cannot well be believed; a second one tells.
            _ if self.beyond_belief() => Say::ReadAgain,
            (recipe::Say::Stop, _) => Say::Stop,
            // What is dyed already and reads as it may is left, whatever its recipe would come out as once more.
            (_, true) if passes => Say::Stop,
            // The bulk goes by the good one: no further swatch is dyed for it.
            (_, false) if self.better().is_some() => Say::Stop,
            (recipe::Say::Improve, false) => Say::NextSwatch,
            (recipe::Say::Unsettled, false) => Say::ReadAgain,
            (_, true) if self.adding.is_some() => {
                if self.in_this_bath() {
                    Say::TopUp
                } else {
                    Say::FreshBath
                }
            }
            (recipe::Say::Unsettled, true) => Say::ReadAgain,
            // Nothing is taken out of a piece, nor cut anew, that most likely passes.
            (recipe::Say::Improve, true) if self.said.within >= LIKELY => Say::Stop,
            (recipe::Say::Improve, true) => Say::CannotBeSaved,
        }
    }

    fn shot(&self, shot: &Shot) -> ShotSeen {
        shot_seen(self.taught, self.takes, shot)
    }

    fn dye(&self, place: usize, dose: OnFibre) -> Option<ShotDye> {
        dye_seen(self.taught, self.takes, place, dose)
    }

    fn adding_seen(&self) -> AddingSeen {
        let added = |shot: &Shot| {
            let more = |&(place, dose): &(usize, OnFibre)| {
                let before = self.lesson.doses.iter().find(|d| d.0 == place);
                let before = before.map_or(0.0, |d| d.1.to_percent());
                let more = OnFibre::try_percent(dose.to_percent() - before).ok()?;
                (more.to_percent() > 0.0).then(|| self.dye(place, more)).flatten()
            };
            shot.doses.iter().filter_map(more).collect()
        };
        let ids: &[&str] = match (self.in_this_bath(), self.procedure().is_alkaline()) {
            (true, _) => {
                &["cool-before-adding", "one-addition", "reserve-liquor", "after-addition"]
            }
            (false, true) => &["no-top-up"],
            // A fresh bath is dyed by its own sheet: nothing is added to one that stands.
            (false, false) => &[],
        };
        let rule = |id: &&str| self.request.lore.sheet_rule(id).map(|r| r.text.clone());
        AddingSeen {
            in_this_bath: self.in_this_bath(),
            rules: ids.iter().filter_map(rule).collect(),
            add: self.adding.as_ref().map_or_else(Vec::new, |v| added(&v.next)),
            difference: self.adding.as_ref().map(|v| print(v.next.difference, 1)),
            chances: self.adding.as_ref().map(chances),
        }
    }
}

/// A recipe as foretold, written down for a piece.
pub(crate) fn shot_seen(taught: &Taught, takes: Mass, shot: &Shot) -> ShotSeen {
    let dye = |(at, dose): &(usize, OnFibre)| dye_seen(taught, takes, *at, *dose);
    ShotSeen {
        dyes: shot.doses.iter().filter_map(dye).collect(),
        colour: of_lab(shot.lab, "expected"),
        difference: print(shot.difference, 1),
        recipe_spread90: print(shot.recipe.within_90(), 1),
    }
}

/// What of a piece takes the dye, spare cloth and all, as its bulk sheet reckons it; the whole where no sheet can
/// be made of the recipe.
fn takes(
    request: &Request,
    piece: &Piece,
    offer: &Offer,
    asked: &Asked,
    doses: &[(usize, OnFibre)],
) -> Mass {
    let doses = asked.places(doses);
    // The weight does not hang on the ratio; a swatch may be dyed at one that no vessel has for the piece.
    let lower = LOWER.iter().filter_map(|r| LiquorRatio::try_litres_per_kilogram(*r).ok());
    let made = doses.and_then(|doses| {
        std::iter::once(asked.ratio).chain(lower).find_map(|ratio| {
            let mut asked = asked.clone();
            asked.ratio = ratio;
            made(request, piece, &[], offer, &asked, &doses).ok()
        })
    });
    made.map_or(piece.goods.dry, |made| made.bulk.takes)
}

fn dye_seen(taught: &Taught, takes: Mass, place: usize, dose: OnFibre) -> Option<ShotDye> {
    let stocked = taught.experience().stock().get(place)?;
    Some(ShotDye {
        id: stocked.dye.id.clone(),
        name: stocked.dye.name.clone(),
        owf_pct: print(dose.to_percent(), 4),
        grams: print((dose * takes).to_grams(), 3),
        other_lot: stocked.lot_of.is_some(),
    })
}

/// From this chance of being within what passes a dyed piece is left as it is (judgement: more likely than not).
const LIKELY: f64 = 0.5;

/// What may be added to a bath in all, as a share of its dye: three additions of 15, 7.5 and 7.5 % (the trade's
/// rule of additions, sheet rule `one-addition`).
const MOST_ADDED: f64 = 0.3;

fn chances(verdict: &Verdict) -> ChancesSeen {
    ChancesSeen {
        within_pct: print(100.0 * verdict.within, 0),
        stop_right_pct: print(100.0 * verdict.stop_right, 0),
        worse_pct: print(100.0 * verdict.worse, 0),
        gain: print(verdict.gain, 1),
    }
}
