//! Sets: pieces that must match are solved together.
//!
//! Pieces that are well inside what passes alone keep their recipes; others come together as near as is
//! worth dyeing ([`Terms::to_dye`]). What came of it is told in `told`, pair by pair in `pairs`, with the
//! figures of the recipes as the bulk sheets really dose them, before and after.

mod by_swatch;
mod pairs;
mod told;

use colour::{Bands, Lab, Light, Observer, Viewing, Weights};
use costume::Match;
use dyeing::Spread;
use recipe::{Choice, Go, InSet, Matched, Member, Question, Terms, matched};

use self::by_swatch::{Answered, Posing, answered};
use self::told::told;
use crate::Request;
use crate::crew::Crew;
use crate::document::SetSeen;
use crate::making::made;
use crate::piece::{CameTo, Decided, Found, lights_of};
use crate::request::Stopped;
use crate::seen::resolve;

/// One member of a set as it stands.
struct Standing {
    id: String,
    name: String,
    kind: &'static str,
    /// Whether the others come to it: fixed, or with a recipe that a set does not move.
    stays: bool,
    /// Whether its look under lamps is only assumed: a fixed thing of which no spectrum was read.
    assumed: bool,
    /// Whether its cloth glows with an optical brightener.
    glows: bool,
    /// Place of the piece in whose bath it is dyed.
    bath: Option<usize>,
    /// What it looks like matched alone (or as it is).
    alone: Option<Look>,
    /// What it looks like matched together.
    together: Option<Look>,
    /// How it scatters under each light of the set, dyed together; none where it is not dyed.
    scatter: Vec<Scattered>,
    /// What it should look like in daylight.
    target: Option<Lab>,
}

/// A look: the reflectance, and the colour under each light of the set with the glow of a brightener.
struct Look {
    bands: Bands,
    /// In daylight.
    day: Lab,
    labs: Vec<Lab>,
}

/// How the dyed piece scatters under one light.
struct Scattered {
    /// From dyeing to dyeing.
    dyeing: Spread,
    /// With what is not known of the dyes.
    all: Spread,
}

/// A set with everything it is solved from.
struct Posed<'c> {
    set: &'c Match,
    viewing: Viewing,
    lights: Vec<Light>,
    /// Places of the pieces whose recipes the set may move.
    dyed: Vec<usize>,
    /// What stays as it is: place among the members, and its look.
    stays: Vec<(usize, recipe::Fixed)>,
    standing: Vec<Standing>,
}

/// Solves every set of the costume; the pieces' recipes are those of the sets afterwards.
pub(crate) fn match_all<'c>(
    request: &Request<'c>,
    crew: &Crew,
    decided: &mut [Decided],
    tell: &mut dyn FnMut(&str) -> Result<(), Stopped>,
) -> Result<Vec<SetSeen>, Stopped> {
    let posed: Vec<Posed> =
        request.costume.matches.iter().map(|set| pose(request, set, decided)).collect();
    // A piece is in one set at most, so that sets can be solved side by side.
    let looked_at: &[Decided] = decided;
    let answers = crew.work(
        &posed,
        |set| answered(request, looked_at, set),
        |done| tell(&posed[done].set.name),
    )?;
    let both = posed.into_iter().zip(answers);
    Ok(both.map(|(set, answer)| settle(request, decided, set, answer)).collect())
}

fn pose<'c>(request: &Request<'c>, set: &'c Match, decided: &[Decided]) -> Posed<'c> {
    let dyed = set
        .members
        .iter()
        .filter_map(|id| decided.iter().position(|d| d.piece.id == *id))
        .filter(|&at| decided[at].found().is_some_and(Found::moves))
        .filter(|&at| decided[at].follows.is_none())
        .collect();
    let lights = lights(set, decided);
    let standing: Vec<Standing> =
        set.members.iter().map(|id| stands(request, decided, id, &lights)).collect();
    let stays = standing
        .iter()
        .enumerate()
        .filter(|(_, s)| s.stays)
        .filter_map(|(at, s)| Some((at, recipe::Fixed { bands: s.alone.as_ref()?.bands })))
        .collect();
    let viewing = set.viewing.unwrap_or_else(|| nearest(set, decided));
    Posed { set, viewing, lights, dyed, stays, standing }
}

/// Gives the pieces the recipes of their set, and tells what came of it.
fn settle(request: &Request, decided: &mut [Decided], posed: Posed, answered: Answered) -> SetSeen {
    let seen_nearer = answered
        .matched
        .as_ref()
        .is_none_or(|a| nearer_as_seen(decided, &posed, &answered.dyed, a));
    let Answered { matched, dyed, stays, kept } = answered;
    let answer = matched.filter(|_| seen_nearer);
    let Posed { set, viewing, lights, mut standing, .. } = posed;
    let mut undosed = vec![];
    if seen_nearer {
        for (at, kept) in kept {
            if let CameTo::Way(found) = &mut decided[at].came_to {
                kept.give(&mut found.way);
            }
        }
    }
    if let Some(answer) = &answer {
        for (&at, choice) in dyed.iter().zip(&answer.pieces) {
            if !take(request, &mut decided[at], choice, viewing) {
                undosed.push(decided[at].piece.name.clone());
            }
        }
    }
    for member in &mut standing {
        let one = decided.iter().find(|d| d.piece.id == member.id);
        let bath = one.map(|d| d.follows.map_or(d, |leader| &decided[leader]));
        if let Some(found) = bath.and_then(Decided::found)
            && member.kind == "dyed"
        {
            member.together = Some(Look::of(found, &lights));
            member.scatter = scattered(found, &lights);
        }
    }
    let id_of = |which: InSet| match which {
        InSet::Member(i) => dyed.get(i).map(|&at| decided[at].piece.id.clone()),
        InSet::Fixed(i) => stays.get(i).map(|(at, _)| standing[*at].id.clone()),
    };
    told(set, viewing, &lights, &standing, answer.as_ref(), &undosed, &id_of)
}

/// Whether the pieces are nearer each other by the set's recipes than alone as they are *seen*. The set is
/// solved for cloth without a glow; where a brightener glows the difference may be the glow's, and then
/// recipes that bring the cloth together take the looks apart.
fn nearer_as_seen(decided: &[Decided], posed: &Posed, dyed: &[usize], answer: &Matched) -> bool {
    if !posed.standing.iter().any(|s| s.glows) {
        return true;
    }
    let before: Vec<&[Lab]> =
        posed.standing.iter().filter_map(|s| Some(s.alone.as_ref()?.labs.as_slice())).collect();
    let after: Vec<Vec<Lab>> = posed
        .standing
        .iter()
        .filter_map(|s| {
            let leader = s.bath.map(|bath| &decided[bath]);
            let place = dyed.iter().position(|at| Some(*at) == s.bath);
            match (leader.and_then(Decided::found), place) {
                (Some(found), Some(place)) => {
                    let bands = &answer.pieces[place].prediction.bands;
                    Some(posed.lights.iter().map(|&l| found.lab_of(bands, l)).collect())
                }
                _ => Some(s.alone.as_ref()?.labs.clone()),
            }
        })
        .collect();
    let after: Vec<&[Lab]> = after.iter().map(Vec::as_slice).collect();
    pairs::furthest(&after) < pairs::furthest(&before)
}

/// From how near a set is seen that does not say so: the nearest from which one of its pieces is.
fn nearest(set: &Match, decided: &[Decided]) -> Viewing {
    let members = decided.iter().filter(|d| set.members.contains(&d.piece.id));
    let near = members.map(|d| d.piece.viewing).min_by(|a, b| a.limit().total_cmp(&b.limit()));
    near.unwrap_or(Viewing::Beside)
}

/// The lights of a set: its own places, else every place of its pieces.
fn lights(set: &Match, decided: &[Decided]) -> Vec<Light> {
    if let Some(places) = &set.places {
        return lights_of(places);
    }
    let mut all = vec![Light::D65];
    let members = decided.iter().filter(|d| set.members.contains(&d.piece.id));
    for light in members.flat_map(|d| d.lights) {
        if !all.contains(light) {
            all.push(*light);
        }
    }
    all
}

/// How a member stands before the set is solved.
fn stands(request: &Request, decided: &[Decided], id: &str, lights: &[Light]) -> Standing {
    if let Some(at) = decided.iter().position(|d| d.piece.id == id) {
        let one = &decided[at];
        let found = one.found();
        return Standing {
            id: id.to_owned(),
            name: one.piece.name.clone(),
            kind: if found.is_some() { "dyed" } else { "undecided" },
            stays: found.is_some_and(|f| !f.moves()),
            assumed: false,
            glows: found.is_some_and(|f| f.glow(Light::D65).is_some()),
            bath: Some(one.follows.unwrap_or(at)),
            alone: found.map(|f| Look::of(f, lights)),
            together: None,
            scatter: vec![],
            target: found.map(|f| Weights::reference().lab(&f.wanted.bands)),
        };
    }
    let fixed = request.costume.fixed.iter().find(|f| f.id == id);
    let read = fixed.and_then(|f| resolve(&f.colour, &[]).ok());
    let look = || read.as_ref().map(|r| Look::plain(r.bands, lights));
    Standing {
        id: id.to_owned(),
        name: fixed.map_or_else(|| id.to_owned(), |f| f.name.clone()),
        kind: if read.is_some() { "fixed" } else { "undecided" },
        stays: read.is_some(),
        assumed: read.as_ref().is_some_and(|r| r.assumed),
        glows: false,
        bath: None,
        alone: look(),
        together: look(),
        scatter: vec![],
        target: None,
    }
}

impl Look {
    fn of(found: &Found, lights: &[Light]) -> Self {
        let bands = found.looks();
        let labs = lights.iter().map(|&light| found.lab_of(&bands, light)).collect();
        Self { bands, day: found.lab_of(&bands, Light::D65), labs }
    }

    fn plain(bands: Bands, lights: &[Light]) -> Self {
        let lab = |light: Light| Weights::of(light, Observer::Ten).lab(&bands);
        Self { bands, day: lab(Light::D65), labs: lights.iter().map(|&l| lab(l)).collect() }
    }
}

/// How a dyed piece scatters under each light; a backing that shows through a sheer damps it, which is left
/// out: the figure is then larger than it need be.
fn scattered(found: &Found, lights: &[Light]) -> Vec<Scattered> {
    let of = |light| {
        let (recipe, piece) = found.spreads(light)?;
        Some(Scattered { dyeing: piece.of_dyeing(&recipe), all: piece })
    };
    lights.iter().map(|&light| of(light)).collect::<Option<_>>().unwrap_or_default()
}

/// The set's answer for these of its pieces, beside what stays as it is; none where there is nothing to match. What the
/// search refuses leaves each piece matched alone, and the set then says what it comes to.
fn solved(
    request: &Request,
    decided: &[Decided],
    posed: &Posed,
    (dyed, stays): (&[usize], &[(usize, recipe::Fixed)]),
) -> Option<Matched> {
    if dyed.is_empty() || dyed.len() + stays.len() < 2 {
        return None;
    }
    let found: Vec<&Found> = dyed.iter().filter_map(|&at| decided[at].found()).collect();
    let asked: Vec<Posing> = found.iter().map(|found| Posing::of(&found.way)).collect();
    let questions: Vec<Question> = asked.iter().map(Posing::question).collect();
    let alone: Vec<Choice> = asked
        .iter()
        .zip(&questions)
        .map(|(posing, question)| posing.alone(question))
        .collect::<Option<_>>()?;
    let members: Vec<Member> = questions
        .iter()
        .zip(&alone)
        .map(|(question, alone)| Member { question, alone: Some(alone) })
        .collect();
    let fixed: Vec<recipe::Fixed> = stays.iter().map(|s| s.1).collect();
    let terms = Terms::to_dye(&posed.lights, posed.viewing.limit(), least_scatter(&found));
    let mut answer = matched(&members, &fixed, &terms, request.threads, &mut |_| Go::On).ok()?;
    for (posing, choice) in asked.iter().zip(&mut answer.pieces) {
        posing.back(choice);
    }
    Some(answer)
}

/// The least that two dyeings of any two of the pieces scatter by, in daylight; of a single piece, by itself
/// beside something that is as it is.
fn least_scatter(found: &[&Found]) -> f64 {
    let of = |f: &&Found| {
        let dosed = &f.way.made.dosed;
        dosed.piece.of_dyeing(&dosed.recipe)
    };
    let scatter: Vec<Spread> = found.iter().map(of).collect();
    let two = scatter
        .iter()
        .enumerate()
        .flat_map(|(i, a)| scatter[i + 1..].iter().map(move |b| a.apart_rms(b)));
    let least = two.fold(f64::INFINITY, f64::min);
    if least.is_finite() { least } else { scatter.first().map_or(0.0, Spread::rms) }
}

/// Puts the set's recipe first and makes its sheets; false when it cannot be dosed.
fn take(request: &Request, decided: &mut Decided, choice: &Choice, viewing: Viewing) -> bool {
    let piece = decided.piece;
    let CameTo::Way(found) = &mut decided.came_to else { return false };
    let way = &mut found.way;
    if way.choice().doses == choice.doses {
        return true;
    }
    let Ok(made) = made(request, piece, &decided.with, &way.offer, &way.asked, &choice.doses)
    else {
        return false;
    };
    way.put_first(choice.clone(), made);
    way.for_set = true;
    by_swatch::toward(request, piece, way, (choice, viewing));
    true
}
