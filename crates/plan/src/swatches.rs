//! The fewest swatches for a whole costume: which to dye next, what each would settle, when to stop; and a ladder of
//! a dye, by what its rungs would tell.
//!
//! Every piece is decided as for a plan; how the pieces teach each other, and the order, is `recipe`'s (`rota`,
//! `ladder`). Every recipe is the plan's, whose sheets have it step by step; a piece of a set is settled for the colour that
//! the set brings it to. Left out: blends in two baths (their snip goes through both), days.

use std::ops::ControlFlow;

use dyeing::Substrate;
use recipe::{Aimed, AskedLadder, Say, Shot, Waiting, ladder, rota};
use units::OnFibre;

use crate::asked::STOCKS;
use crate::crew::Crew;
use crate::document::{
    DoubtSeen, LadderSeen, LeftOut, RungSeen, Sheet, ShotSeen, SwatchPlan, SwatchStand, SwatchTurn,
    ToRead,
};
use crate::goes_by::GoesBy;
use crate::piece::{Decided, Opened, open};
use crate::request::{self, Progress, Request, Stopped, Whole};
use crate::seen::{print, sentence};
use crate::taught::Taught;
use crate::{on_record, rests, sheets, swatches_said as said};

/// Why there is no plan of swatches.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoSwatchPlan {
    /// As asked.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// A dye that is not on the shelf.
    #[error("the shelf has no dye \"{0}\"")]
    NoSuchDye(String),
    /// A dye that no piece of the costume is dyed with by its class.
    #[error(
        "no piece of this costume is dyed by the class of \"{0}\", so there is no cloth for its ladder"
    )]
    NoCloth(String),
    /// The sums refused.
    #[error("{0}")]
    Sums(String),
}

/// A ladder that is asked for.
#[derive(Debug, Clone, Copy)]
pub struct LadderWanted<'a> {
    /// The dye, by its id on the shelf.
    pub dye: &'a str,
    /// How many rungs, 2 to 4.
    pub rungs: usize,
}

/// One piece with a swatch of its own to dye.
struct Entry<'a> {
    at: usize,
    fibre: &'a str,
    job: u64,
    own: usize,
    goes_by: Option<&'a GoesBy>,
    first: Vec<(usize, OnFibre)>,
    /// Swatches of it that are dyed and not read yet.
    unread: Vec<String>,
}

/// The fewest swatches; `read` is what a swatch will be read to, rms ΔE00, bias with it.
///
/// # Errors
/// When stopped, or where the sums cannot be solved.
pub fn swatch_plan(
    request: &Request,
    read: f64,
    wanted: Option<LadderWanted>,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<SwatchPlan, NoSwatchPlan> {
    let sums = |why: &dyn std::fmt::Display| NoSwatchPlan::Sums(why.to_string());
    let costume = request.costume;
    let none = Taught::try_of(request.shelf, &[], vec![], vec![]).map_err(|e| sums(&e))?;
    let read_from_one = request.taught.is_some();
    let taught = request.taught.unwrap_or(&none).ready_for(request.lore, costume);
    let request = &Request { taught: Some(&taught), ..*request };
    let of = costume.pieces.len();
    let crew = Crew::of(request, of);
    let each = &crew.each;
    let opened: Vec<Opened> = costume.pieces.iter().map(|one| open(each, one)).collect();
    let mut told = |done: usize, piece: &str, doing: &'static str| {
        if tell(Progress { done, of, piece, doing }).is_break() { Err(Stopped) } else { Ok(()) }
    };
    let Whole { decided, .. } = request::decide(&crew, &opened, &mut told)?;
    told(of, "the costume", "thinking the swatches through")?;

    let (entries, left_out) = entries(request, &taught, &decided);
    let waiting: Vec<Waiting> =
        entries.iter().filter_map(|entry| entry.waiting(&taught, &decided)).collect();
    let rota = rota(&waiting, read).map_err(|e| sums(&e))?;
    let name = |place: usize| decided[entries[place].at].piece.name.as_str();
    let id = |place: usize| decided[entries[place].at].piece.id.clone();
    let pieces = entries.iter().zip(&rota.stands).map(|(entry, stands)| {
        let piece = decided[entry.at].piece;
        let way = decided[entry.at].found().map(|found| &found.way);
        let tolerance = way.map_or_else(|| piece.viewing.limit(), |way| way.passes(piece));
        let off = stands.dye_by.expected_error();
        let vouched = entry.goes_by.is_some_and(|swatch| swatch.vouches.is_some());
        let but = entry.goes_by.filter(|swatch| swatch.but.is_some()).and_then(rests::goes_by);
        let card = provisional(request, &decided[entry.at])
            .filter(|_| entry.unread.is_empty())
            .map(|sheet| sheets::card_code(&costume.name, &sheet));
        let mut words = match (stands.settled, stands.say) {
            _ if vouched => {
                "settled: its swatch is good enough, and its bulk sheet is final".to_owned()
            }
            (true, Say::Stop) if entry.own > 0 => but.map_or_else(
                || format!("settled: within the {tolerance:.1} that passes, or nothing to gain that would be seen"),
                |but| format!("its recipe is settled: {but}"),
            ),
            (true, _) => format!(
                "settled without a further swatch: it is most likely within the {tolerance:.1} that passes"
            ),
            (false, Say::Unsettled) => format!(
                "not settled: about {off:.1} off as expected, and what is known does not tell whether another \
                 recipe is better"
            ),
            (false, _) => format!(
                "not settled: it may be about {off:.1} off, too much to be sure of the {tolerance:.1} that passes"
            ),
        };
        if let (true, Some(card)) = (stands.settled, &card) {
            words = format!(
                "{words}. Its bulk sheet stays provisional until a swatch by card {card} is good enough, or you sign \
                 that there will be none"
            );
        }
        SwatchStand {
            card,
            piece: piece.id.clone(),
            name: piece.name.clone(),
            own: entry.own,
            settled: stands.settled,
            dye_by: shot(&taught, &decided[entry.at], &stands.dye_by),
            words: sentence(&words),
        }
    });
    // The first is told in any case: it is what to do next.
    let worth = |n: usize| {
        said::turn(&rota.turns, n, &name).or_else(|| (n == 0).then(|| LITTLE.to_owned()))
    };
    let told =
        rota.turns.iter().enumerate().filter(|(_, turn)| entries[turn.piece].unread.is_empty());
    let turns = told.filter_map(|(n, turn)| {
        let words = worth(n)?;
        Some(SwatchTurn {
            n: 0,
            piece: id(turn.piece),
            name: name(turn.piece).to_owned(),
            code: (!rota.turns[..n].iter().any(|before| before.piece == turn.piece))
                .then(|| card(request, &decided[entries[turn.piece].at]))
                .flatten(),
            bath: shot(&taught, &decided[entries[turn.piece].at], &turn.swatch),
            settles: turn.settles.iter().map(|p| id(*p)).collect(),
            doubts: turn
                .doubts
                .iter()
                .map(|&(p, before, after)| DoubtSeen {
                    piece: id(p),
                    before: print(before, 2),
                    after: print(after, 2),
                })
                .collect(),
            words: sentence(&words),
        })
    });
    let (pieces, turns): (Vec<SwatchStand>, Vec<SwatchTurn>) = (pieces.collect(), turns.collect());
    let numbered = turns.into_iter().enumerate().map(|(n, turn)| SwatchTurn { n: n + 1, ..turn });
    let turns: Vec<SwatchTurn> = numbered.collect();
    let to_read: Vec<ToRead> = entries.iter().filter_map(|entry| entry.to_read(&decided)).collect();
    let ladders = wanted
        .map(|wanted| ladder_of(request, &taught, &decided, wanted, read))
        .transpose()?
        .into_iter()
        .collect();
    Ok(SwatchPlan {
        read,
        words: said::words(&pieces, &turns, &to_read),
        pieces,
        to_read,
        turns,
        ladders,
        left_out,
        workbook: read_from_one.then(|| rests::workbook(&taught)),
    })
}

fn entries<'a>(
    request: &Request<'a>,
    taught: &'a Taught,
    decided: &'a [Decided<'a>],
) -> (Vec<Entry<'a>>, Vec<LeftOut>) {
    let (mut entries, mut left_out) = (vec![], vec![]);
    for (at, one) in decided.iter().enumerate() {
        let piece = one.piece;
        let mut leave = |why: String| {
            left_out.push(LeftOut {
                piece: piece.id.clone(),
                name: piece.name.clone(),
                why: sentence(&why),
            });
        };
        let Some(found) = one.found() else {
            leave("it has no bath yet: its page in the plan says why".to_owned());
            continue;
        };
        if let Some(leader) = one.follows {
            leave(format!(
                "it lies in the bath of {}, whose swatch is its own",
                decided[leader].piece.name
            ));
            continue;
        }
        if found.second.is_some() {
            leave(
                "it goes through two baths: its snip does too, as its swatch sheets say".to_owned(),
            );
            continue;
        }
        let Some(fibre) = found.way.asked.fibre.as_deref() else {
            leave("its fibre is not known well enough to learn from".to_owned());
            continue;
        };
        if let Some((day, read)) = taught.whole_of(&request.costume.name, &piece.id) {
            leave(format!("{} {}", on_record::was_dyed(day), on_record::judge(&piece.id, read)));
            continue;
        }
        let own = taught.own_of(&request.costume.name, &piece.id).len();
        let (way, goes_by) = (&found.way, found.way.goes_by.as_ref());
        entries.push(Entry {
            at,
            fibre,
            job: goes_by.map_or(crate::NEW_JOB - 1 - at as u64, |swatch| swatch.lesson.job),
            own,
            goes_by,
            first: way.asked.in_stock(&way.choice().doses),
            unread: match provisional(request, one) {
                Some(_) => taught.unread_of(&request.costume.name, &piece.id),
                None => vec![],
            },
        });
    }
    (entries, left_out)
}

/// What is said of the first swatch where nothing of what it takes shows.
const LITTLE: &str = "takes little of any doubt, and no other swatch takes more";

impl Entry<'_> {
    fn to_read(&self, decided: &[Decided]) -> Option<ToRead> {
        let piece = decided[self.at].piece;
        (!self.unread.is_empty()).then(|| ToRead {
            piece: piece.id.clone(),
            name: piece.name.clone(),
            words: on_record::to_read(&self.unread),
            codes: self.unread.clone(),
        })
    }

    fn waiting<'t>(&'t self, taught: &'t Taught, decided: &'t [Decided]) -> Option<Waiting<'t>> {
        let one = &decided[self.at];
        let way = &one.found()?.way;
        let held = self.goes_by.map(|swatch| swatch.lesson.doses.as_slice());
        let most = held.map_or(0, <[_]>::len).max(self.first.len());
        let aimed = way.asked.aimed_in(taught.experience(), (self.fibre, self.job), most);
        Some(Waiting {
            aimed: Aimed { target: way.wanted(), tolerance: way.passes(one.piece), ..aimed },
            held,
            first: Some(&self.first),
            stands: self.goes_by.map(|swatch| &swatch.stands),
            may_swatch: !matches!(one.piece.swatch, costume::Swatch::Waived { .. }),
        })
    }
}

fn shot(taught: &Taught, one: &Decided, shot: &Shot) -> ShotSeen {
    // By what takes the dye, as the bulk sheet reckons it.
    let takes = one.found().map_or(one.piece.goods.dry, |found| found.way.made.bulk.takes);
    crate::correct::shot_seen(taught, takes, shot)
}

/// The swatch sheet of a piece whose bulk sheet is provisional.
fn provisional(request: &Request, one: &Decided) -> Option<Sheet> {
    let way = &one.found()?.way;
    let vouched = way.goes_by.as_ref().and_then(|swatch| swatch.vouches.as_ref());
    let Request { lore, shelf, today, .. } = *request;
    let sheet = |made| sheets::sheet(made, one.piece, lore, shelf, today, &[], vouched);
    sheet(&way.made.bulk).first_line.map(|_| sheet(&way.made.swatch))
}

/// The code of the card that the plan prints for the piece's next swatch.
fn card(request: &Request, one: &Decided) -> Option<String> {
    let made = &one.found()?.way.made.swatch;
    let Request { lore, shelf, today, costume, .. } = *request;
    let sheet = sheets::sheet(made, one.piece, lore, shelf, today, &[], None);
    Some(sheets::card_code(&costume.name, &sheet))
}

/// A ladder of one dye on the cloths of the costume that its class takes on.
fn ladder_of(
    request: &Request,
    taught: &Taught,
    decided: &[Decided],
    wanted: LadderWanted,
    read: f64,
) -> Result<LadderSeen, NoSwatchPlan> {
    let at = request.shelf.dyes.iter().position(|d| d.dye.id == wanted.dye);
    let Some(at) = at else { return Err(NoSwatchPlan::NoSuchDye(wanted.dye.to_owned())) };
    let mut on: Vec<(&Substrate, &str)> = vec![];
    for found in decided.iter().filter_map(Decided::found) {
        let asked = &found.way.asked;
        let Some(fibre) = asked.fibre.as_deref().filter(|_| asked.dyes.contains(&at)) else {
            continue;
        };
        if on.iter().all(|(_, known)| *known != fibre) {
            on.push((&asked.on, fibre));
        }
    }
    if on.is_empty() {
        return Err(NoSwatchPlan::NoCloth(wanted.dye.to_owned()));
    }
    // Half of the variance of a reading is one bias of the session.
    let half = read * 0.5f64.sqrt();
    let asked = AskedLadder {
        experience: taught.experience(),
        on: &on,
        dye: at,
        rungs: wanted.rungs,
        read: (half, half),
        dosing: STOCKS,
        scatter: dyeing::HOME,
    };
    let plan = ladder(&asked).map_err(|e| NoSwatchPlan::Sums(e.to_string()))?;
    let dye = &request.shelf.dyes[at].dye;
    let rungs: Vec<RungSeen> = plan
        .rungs
        .iter()
        .map(|(rung, after)| RungSeen {
            fibre: on[rung.on].1.to_owned(),
            owf_pct: print(rung.dose.to_percent(), 3),
            after: print(*after, 2),
        })
        .collect();
    let each: Vec<String> = rungs
        .iter()
        .map(|r| format!("{} % on {} (then {:.1})", units::trimmed(r.owf_pct, 3), r.fibre, r.after))
        .collect();
    let words = sentence(&format!(
        "{}: what is in doubt of it is {:.1} on the mean of all depths it may be wanted at. The rungs that tell most, in \
         this order: {}. Stop where what is left is less than what passes",
        dye.name,
        plan.before,
        each.join("; ")
    ));
    Ok(LadderSeen {
        dye: dye.id.clone(),
        name: dye.name.clone(),
        before: print(plan.before, 2),
        rungs,
        words,
    })
}
