//! Sets: pieces that must match are solved together, and what came of it is told.
//!
//! Figures are those of the recipes as the bulk sheets really dose them, before and after.

use colour::{Bands, Lab, Light, Observer, Screen, Shown, Viewing, Weights, ciede2000};
use costume::Match;
use recipe::{Choice, Go, InSet, Matched, Member, Mend, matched};

use crate::Request;
use crate::crew::Crew;
use crate::document::{PairSeen, SetMember, SetSeen};
use crate::making::made;
use crate::piece::{CameTo, Decided, Found, lights_of};
use crate::request::Stopped;
use crate::seen::{of_bands, of_lab, print, resolve, sentence};

/// One member of a set as it stands.
struct Standing {
    id: String,
    name: String,
    kind: &'static str,
    /// Whether the others come to it: fixed, or with a recipe that a set does not move.
    stays: bool,
    /// What it looks like matched alone (or as it is).
    alone: Option<Bands>,
    /// What it looks like matched together.
    together: Option<Bands>,
    /// What it should look like.
    target: Option<Bands>,
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
        |set| solved(request, looked_at, set),
        |done| tell(&posed[done].set.name),
    )?;
    let both = posed.into_iter().zip(answers);
    Ok(both.map(|(set, answer)| settle(request, decided, set, answer.as_ref())).collect())
}

fn pose<'c>(request: &Request<'c>, set: &'c Match, decided: &[Decided]) -> Posed<'c> {
    let dyed = set
        .members
        .iter()
        .filter_map(|id| decided.iter().position(|d| d.piece.id == *id))
        .filter(|&at| decided[at].found().is_some_and(Found::moves))
        .filter(|&at| decided[at].follows.is_none())
        .collect();
    let standing: Vec<Standing> =
        set.members.iter().map(|id| stands(request, decided, id)).collect();
    let stays = standing
        .iter()
        .enumerate()
        .filter(|(_, s)| s.stays)
        .filter_map(|(at, s)| Some((at, recipe::Fixed { bands: s.alone? })))
        .collect();
    let viewing = set.viewing.unwrap_or(Viewing::Beside);
    Posed { set, viewing, lights: lights(set, decided), dyed, stays, standing }
}

/// Gives the pieces the recipes of their set, and tells what came of it.
fn settle(
    request: &Request,
    decided: &mut [Decided],
    posed: Posed,
    answer: Option<&Matched>,
) -> SetSeen {
    let Posed { set, viewing, lights, dyed, stays, mut standing } = posed;
    let mut undosed = vec![];
    if let Some(answer) = answer {
        for (&at, choice) in dyed.iter().zip(&answer.pieces) {
            if !take(request, &mut decided[at], choice) {
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
            member.together = Some(found.looks());
        }
    }
    let id_of = |which: InSet| match which {
        InSet::Member(i) => dyed.get(i).map(|&at| decided[at].piece.id.clone()),
        InSet::Fixed(i) => stays.get(i).map(|(at, _)| standing[*at].id.clone()),
    };
    told(set, viewing, &lights, &standing, answer, &undosed, &id_of)
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
fn stands(request: &Request, decided: &[Decided], id: &str) -> Standing {
    if let Some(one) = decided.iter().find(|d| d.piece.id == id) {
        let found = one.found();
        return Standing {
            id: id.to_owned(),
            name: one.piece.name.clone(),
            kind: if found.is_some() { "dyed" } else { "undecided" },
            stays: found.is_some_and(|f| !f.moves()),
            alone: found.map(Found::looks),
            together: None,
            target: found.map(|f| f.wanted.bands),
        };
    }
    let fixed = request.costume.fixed.iter().find(|f| f.id == id);
    let bands = fixed.and_then(|f| resolve(&f.colour, &[]).ok()).map(|r| r.bands);
    Standing {
        id: id.to_owned(),
        name: fixed.map_or_else(|| id.to_owned(), |f| f.name.clone()),
        kind: if bands.is_some() { "fixed" } else { "undecided" },
        stays: bands.is_some(),
        alone: bands,
        together: bands,
        target: None,
    }
}

/// The set's answer; none where there is nothing to match. What the search refuses leaves each piece
/// matched alone, and the set then says what it comes to.
fn solved(request: &Request, decided: &[Decided], posed: &Posed) -> Option<Matched> {
    if posed.dyed.is_empty() || posed.dyed.len() + posed.stays.len() < 2 {
        return None;
    }
    let found: Vec<_> = posed.dyed.iter().filter_map(|&at| decided[at].found()).collect();
    let questions: Vec<_> = found.iter().map(|f| f.way.asked.question()).collect();
    let members: Vec<Member> = questions
        .iter()
        .zip(&found)
        .map(|(question, found)| Member { question, alone: Some(found.way.choice()) })
        .collect();
    let fixed: Vec<recipe::Fixed> = posed.stays.iter().map(|s| s.1).collect();
    let (lights, passes) = (&posed.lights, posed.viewing.limit());
    matched(&members, &fixed, lights, passes, request.threads, &mut |_| Go::On).ok()
}

/// Puts the set's recipe first and makes its sheets; false when it cannot be dosed.
fn take(request: &Request, decided: &mut Decided, choice: &Choice) -> bool {
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
    way.answer.choices.insert(0, choice.clone());
    way.answer.choices.truncate(recipe::MOST_CHOICES);
    way.chosen = 0;
    way.made = made;
    true
}

fn told(
    set: &Match,
    viewing: Viewing,
    lights: &[Light],
    standing: &[Standing],
    answer: Option<&Matched>,
    undosed: &[String],
    id_of: &dyn Fn(InSet) -> Option<String>,
) -> SetSeen {
    let mut pairs = pairs(lights, standing);
    pairs.sort_by(|a, b| b.worst.total_cmp(&a.worst));
    let largest = pairs.first().map_or(0.0, |p| p.worst);
    let largest_alone = pairs.iter().map(|p| p.alone).fold(0.0, f64::max);
    let holds = largest <= viewing.limit();
    let broken = answer.and_then(|a| a.breaks.as_ref()).filter(|_| !holds);
    let name = |id: &str| {
        standing.iter().find(|s| s.id == id).map_or_else(|| id.to_owned(), |s| s.name.clone())
    };
    let breaks = broken.and_then(|b| id_of(b.which));
    let breaker = breaks.as_deref().map(&name);
    let mend = broken
        .map(|b| b.mends.iter().map(|m| mend(m, breaker.as_deref().unwrap_or("it"))).collect())
        .unwrap_or_default();
    let reference = |bands: &Bands| Weights::reference().lab(bands);
    let members = standing.iter().map(|s| SetMember {
        id: s.id.clone(),
        name: s.name.clone(),
        kind: s.kind,
        alone: s.alone.as_ref().map(|b| of_bands(b, "matched alone", true)),
        together: s.together.as_ref().map(|b| of_bands(b, "matched together", true)),
        from_target: s
            .target
            .as_ref()
            .zip(s.together.as_ref())
            .map(|(t, b)| print(ciede2000(reference(t), reference(b)), 2)),
        hexes: s.together.as_ref().map_or_else(Vec::new, |b| {
            lights.iter().map(|&l| hex(Weights::of(l, Observer::Ten).lab(b))).collect()
        }),
    });
    let members: Vec<SetMember> = members.collect();
    let common = answer.map(|a| a.common).or_else(|| standing.iter().find_map(|s| s.together));
    let common = common.map_or_else(
        || of_lab(Lab::new(50.0, 0.0, 0.0), "no colour yet"),
        |c| of_bands(&c, "where the set meets", true),
    );
    SetSeen {
        name: set.name.clone(),
        passes: print(viewing.limit(), 1),
        viewing: viewing.to_string(),
        lights: lights.iter().map(|l| l.name().to_owned()).collect(),
        verdict: verdict(
            set,
            viewing,
            (largest_alone, largest),
            &pairs,
            standing,
            breaker.as_deref(),
            undosed,
        ),
        largest_alone: print(largest_alone, 2),
        largest: print(largest, 2),
        holds,
        common,
        breaks,
        largest_without: broken.map(|b| print(b.largest_without, 2)),
        mend,
        members,
        pairs,
    }
}

fn hex(lab: Lab) -> String {
    Shown::of_lab2(Screen::Srgb, lab).colour.to_hex()
}

fn pairs(lights: &[Light], standing: &[Standing]) -> Vec<PairSeen> {
    let apart = |a: &Bands, b: &Bands| -> Vec<f64> {
        lights
            .iter()
            .map(|&l| {
                let weights = Weights::of(l, Observer::Ten);
                ciede2000(weights.lab(a), weights.lab(b))
            })
            .collect()
    };
    let mut pairs = vec![];
    for (i, a) in standing.iter().enumerate() {
        for b in &standing[i + 1..] {
            let (Some(x), Some(y)) = (&a.together, &b.together) else { continue };
            let after = apart(x, y);
            let worst = after.iter().copied().enumerate().max_by(|p, q| p.1.total_cmp(&q.1));
            let (at, worst) = worst.unwrap_or((0, 0.0));
            let alone = match (&a.alone, &b.alone) {
                (Some(x), Some(y)) => apart(x, y).into_iter().fold(0.0, f64::max),
                _ => worst,
            };
            pairs.push(PairSeen {
                a: a.id.clone(),
                b: b.id.clone(),
                differences: after.iter().map(|d| print(*d, 2)).collect(),
                worst: print(worst, 2),
                light: lights.get(at).map_or("D65", |l| l.name()).to_owned(),
                alone: print(alone, 2),
            });
        }
    }
    pairs
}

fn verdict(
    set: &Match,
    viewing: Viewing,
    (alone, together): (f64, f64),
    pairs: &[PairSeen],
    standing: &[Standing],
    breaker: Option<&str>,
    undosed: &[String],
) -> String {
    let assumed = standing.iter().any(|s| s.kind == "fixed");
    let mut words = if pairs.is_empty() {
        format!(
            "the set \"{}\": fewer than two of its pieces have a colour yet, so nothing can be matched",
            set.name
        )
    } else {
        let limit = viewing.limit();
        let does = if together <= limit { "holds" } else { "does not hold" };
        format!(
            "the set \"{}\" {does}: the largest difference between two of its pieces in any of its lights is \
             {together:.1}, where up to {limit:.1} passes {viewing}; each matched alone it would be \
             {alone:.1}",
            set.name
        )
    };
    if !pairs.is_empty() {
        words = format!(
            "{words}. These are the recipes: each piece as dyed scatters around its own, so look at the \
             swatches side by side before the pieces"
        );
        if assumed {
            words = format!(
                "{words}; what is fixed and was not read as a spectrum has an assumed look under lamps"
            );
        }
    }
    if let Some(breaker) = breaker {
        words = format!("{words}. {breaker} breaks it");
    }
    let left_out: Vec<&str> =
        standing.iter().filter(|s| s.kind == "undecided").map(|s| s.name.as_str()).collect();
    if !left_out.is_empty() {
        words = format!("{words}. Left out for now: {}", left_out.join(", "));
    }
    if !undosed.is_empty() {
        words = format!(
            "{words}. The set's recipe cannot be measured out for {}: it keeps its own",
            undosed.join(", ")
        );
    }
    sentence(&words)
}

/// What would mend a set, in words.
fn mend(mend: &Mend, breaker: &str) -> String {
    sentence(&match mend {
        Mend::Lift(limit) => format!(
            "{breaker}: {}. {} Then {:.1} would be left in daylight",
            limit.what.words(),
            sentence(limit.what.helps()),
            limit.gap_without
        ),
        Mend::AnotherClass => format!(
            "{breaker}: another class of dye; these meet the others in daylight and part from them under \
             a lamp, or have not this hue or depth"
        ),
        Mend::GiveWay { largest, off_target } => format!(
            "let {breaker} leave its own colour by {off_target:.1} and come to the others: the set is \
             then within {largest:.1}"
        ),
        Mend::Anchor { largest, off_target } => format!(
            "leave {breaker} as it is and bring the others to it: the set is then within {largest:.1}, \
             the others up to {off_target:.1} from their own colours"
        ),
        Mend::LeaveOut { largest } => {
            format!("take {breaker} out of the set: the others are within {largest:.1}")
        }
    })
}
