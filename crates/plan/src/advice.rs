//! Quality advice: what a careful dyer would say before starting. Each piece of advice has an id and
//! may be overruled in the costume file; what would hurt people or ruin cloth is never advice.

use costume::{GroundGiven, Piece, Swatch};
use lore::{Home, Offers, Verdict};

use crate::Request;
use crate::document::AdviceSeen;
use crate::seen::{Resolved, sentence};
use crate::way::Way;

/// Why a piece has no bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Gate {
    /// Tests first.
    Tests,
    /// Harm or ruin.
    Hard,
    /// Shelf, vessel or measures.
    Undecided,
}

struct Notes<'a> {
    piece: &'a Piece,
    list: Vec<AdviceSeen>,
}

impl Notes<'_> {
    fn say(&mut self, id: &str, text: String) {
        if self.list.iter().any(|a| a.id == id && a.text == sentence(&text)) {
            return;
        }
        let overruled = self.piece.overruled.iter().any(|o| o == id);
        self.list.push(AdviceSeen { id: id.to_owned(), text: sentence(&text), overruled });
    }
}

/// Advice on a piece without a bath.
pub(crate) fn without_bath(
    request: &Request,
    piece: &Piece,
    target: &Resolved,
    offers: &Offers,
    gate: Gate,
) -> Vec<AdviceSeen> {
    let mut notes = Notes { piece, list: vec![] };
    let general: &[&str] = match gate {
        Gate::Tests => {
            &["Test a snip cut from a seam allowance or the back, never the piece itself."]
        }
        Gate::Hard => &[
            "Cloth that must not be dyed can be replaced, painted or covered: decide before cutting.",
        ],
        Gate::Undecided => &["What is missing can be put right: see the reasons above."],
    };
    for text in general {
        notes.say("no-bath", (*text).to_owned());
    }
    for text in &offers.notes {
        notes.say("goods", text.clone());
    }
    about_target(&mut notes, target);
    about_day(request, &mut notes);
    notes.list
}

/// How near a piece comes, as its page says it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Figures {
    /// ΔE00 between the target and the nearest colour within reach.
    pub(crate) gap: f64,
    /// Whether that passes from where the piece is seen.
    pub(crate) within: bool,
    /// ΔE00 between the target and the chosen recipe, daylight.
    pub(crate) comes_to: f64,
    /// How far the glow of a brightener moves the dyed cloth in daylight, ΔE00: it is in the recipe's figure
    /// and not in the gap.
    pub(crate) glow: Option<f64>,
    /// Whether it goes through two baths.
    pub(crate) two_baths: bool,
}

/// Advice on a piece with a bath.
pub(crate) fn with_bath(
    request: &Request,
    piece: &Piece,
    target: &Resolved,
    offers: &Offers,
    way: &Way,
    figures: Figures,
) -> Vec<AdviceSeen> {
    let mut notes = Notes { piece, list: vec![] };
    let choice = way.choice();
    let limit = piece.viewing.limit();
    // Of a heather it is said below, with why.
    if !figures.within && !way.asked.heather {
        let Figures { gap, comes_to, glow, .. } = figures;
        let recipe = if glow.is_none() && comes_to >= gap + 0.05 {
            format!("the recipe chosen comes to {comes_to:.1}, for what it gains otherwise")
        } else {
            "the recipe is for that colour".to_owned()
        };
        notes.say("out-of-reach", format!(
            "this shelf on this cloth comes no nearer than {gap:.1} (CIEDE2000) to the target; {recipe}"
        ));
    }
    if way.asked.heather {
        notes.say("heather", format!(
            "{} % of the cloth takes this dye and the rest stays as it is: the recipe brings the dyed \
             fibre to the colour, and the whole reads as a heather, {:.0} away from the target",
            units::trimmed(100.0 * way.offer.takes.to_fraction(), 0),
            colour::ciede2000(target_lab(target), way.made.dosed.lab)
        ));
    }
    // Where a swatch of the piece vouches for its recipe, what is said of swatches to come is past.
    let vouched = way.goes_by.as_ref().is_some_and(|swatch| swatch.vouches.is_some());
    let spread = way.made.dosed.piece.within_90();
    if spread > limit && !vouched {
        notes.say("spread", format!(
            "the dyed piece may land up to {spread:.1} away from what is expected (9 of 10), more than \
             the {limit:.1} that passes {}: the swatch decides, not this figure",
            piece.viewing
        ));
    }
    for under in &choice.lights {
        let doubt = target.unsure.iter().find(|(l, _)| *l == under.light).map_or(0.0, |u| u.1);
        if under.difference > limit && choice.difference() <= limit && under.difference > doubt {
            let rival = way
                .answer
                .choices
                .iter()
                .any(|c| c.worst().is_some_and(|w| w.difference < under.difference - 0.3));
            let then = if rival { ", and compare the other recipes" } else { "" };
            notes.say(
                "metamerism",
                format!(
                    "matched in daylight, but {:.1} apart under {}: look at the swatch there{then}",
                    under.difference,
                    under.light.words()
                ),
            );
        }
    }
    match way.offer.verdict {
        Verdict::Fair => {
            notes.say("fair-class", format!("only fair on this cloth: {}", way.offer.why))
        }
        Verdict::Good | Verdict::Excellent | Verdict::Stains | Verdict::None | Verdict::Ruins => {}
    }
    if way.offer.home != Home::Yes {
        notes.say("careful", way.offer.home_why.clone());
    }
    if way.ratio_lowered {
        notes.say("low-ratio", tight(request, piece, way));
    }
    if let Swatch::Recorded { day, .. } | Swatch::Waived { day, .. } = &piece.swatch
        && request.today.days_until(*day) > 0
        && !vouched
    {
        notes.say(
            "swatch-day",
            format!("the swatch is dated {day}, which is still to come: it is not counted"),
        );
    }
    if let Swatch::Recorded { ratio, .. } = &piece.swatch
        && !vouched
    {
        let is = way.made.bulk.ratio.to_litres_per_kilogram();
        let was = ratio.to_litres_per_kilogram();
        if (was - is).abs() > 0.05 * is {
            notes.say(
                "swatch-ratio",
                format!(
                    "the swatch was dyed at {}:1 and this bath is {}:1: it does not vouch for it",
                    units::trimmed(was, 1),
                    units::trimmed(is, 1)
                ),
            );
        }
    }
    if matches!(piece.swatch, Swatch::Waived { .. }) && !vouched {
        notes.say(
            "no-swatch",
            "signed: no swatch. The first thing dyed is the piece itself".to_owned(),
        );
    }
    if matches!(piece.ground, GroundGiven::Assumed(_)) {
        notes.say(
            "ground-assumed",
            "the undyed cloth was not read; its usual look is taken. A reading \
             of a folded scrap makes pale shades surer"
                .to_owned(),
        );
    }
    let estimate =
        |d: &(usize, units::OnFibre)| way.asked.dye(d.0).knowledge == dyeing::Knowledge::Estimate;
    if request.shelf.starter && choice.doses.iter().all(estimate) {
        notes.say(
            "starter-shelf",
            "every dye is an estimate of the starter shelf: amounts are a first \
             guess for your own dyes of that hue and class"
                .to_owned(),
        );
    }
    if let Some(program) = first_note(way) {
        notes.say("programme", program);
    }
    // What the figures do not hold: the colour expected is that of a bath that goes all the way.
    for note in way.made.bulk.notes.iter().filter(|n| PALER.iter().any(|said| n.contains(said))) {
        notes.say(
            "paler",
            format!("{note} The colour expected does not reckon with it: go by the swatch"),
        );
    }
    let missed = figures.comes_to > limit && figures.glow.is_none();
    if let Some((nearer, why)) =
        way.passed_over.as_ref().filter(|(d, _)| missed && *d < figures.comes_to)
    {
        let why = why.trim_end_matches('.');
        notes.say("kit", format!(
            "the recipe comes to {:.1} only, for want of measures: one that comes to {nearer:.1} cannot be \
             measured out in this kitchen ({why})",
            figures.comes_to
        ));
    }
    if piece.brightened {
        let from = match piece.ground {
            GroundGiven::Assumed(_) => "how strongly is assumed, not read",
            GroundGiven::Read(_) => "its glow was read with the undyed cloth",
        };
        let moves = figures.glow.map_or_else(String::new, |glow| {
            format!(
                " The recipe is for the cloth without it; by day the glow takes the colour {glow:.1} away from \
                 that, towards blue. Cloth without brightener stays where the recipe puts it."
            )
        });
        notes.say("brightened", format!(
            "an optical brightener glows in this cloth by day and not under a lamp; {from}.{moves} Judge the \
             swatch in daylight and under a lamp"
        ));
    }
    if figures.two_baths && piece.blend.is_none() {
        let alone = way.tried.first().map_or_else(String::new, |(_, why)| format!(": {why}"));
        notes.say("two-baths-chosen", format!(
            "two baths, one after the other, because one does not do{alone}. If one bath will do all the same, or \
             a heather, write blend = \"one bath\" or blend = \"heather\" under the piece"
        ));
    }
    for text in &offers.notes {
        notes.say("goods", text.clone());
    }
    for two in offers.two_baths.iter().take(TWO_BATHS_TOLD) {
        notes.say("two-baths", two.says.clone());
    }
    about_target(&mut notes, target);
    about_day(request, &mut notes);
    notes.list
}

/// What a bath tighter than usual asks for. Where something in it takes no dye two ratios are told: dye works by
/// what takes it, room is for all that gets wet.
fn tight(request: &Request, piece: &Piece, way: &Way) -> String {
    let of_takers = way.made.bulk.ratio.to_litres_per_kilogram();
    let of_all = way.asked.ratio.to_litres_per_kilogram();
    let ratio = units::trimmed(of_takers, 1);
    let both = if (of_takers - of_all).abs() < 0.05 {
        format!("{ratio}:1")
    } else {
        format!(
            "{ratio} L/kg of what takes the dye, {} L/kg of all that gets wet",
            units::trimmed(of_all, 1)
        )
    };
    let usual = crate::way::usual_ratio(request.lore, &piece.goods.makeup);
    if way.made.bulk.vessel.words.starts_with(bath::MACHINE) {
        return format!(
            "no vessel takes the usual liquor: this bath is made in the washing machine, whose own water makes {both} \
             with these goods; swatch at {ratio}:1. Another ratio in a vessel of yours is asked for with liquor_ratio at \
             the piece"
        );
    }
    let crowded = if usual > crate::way::USUAL && of_all < crate::way::USUAL {
        ". Goods of this kind must move freely: they are crowded here, so turn them all the time, or use a \
         bigger vessel"
    } else {
        ""
    };
    format!(
        "no vessel takes the usual liquor; this bath is {both}, tighter than usual: turn the goods more \
         often, and swatch at {ratio}:1{crowded}"
    )
}

fn target_lab(target: &Resolved) -> colour::Lab {
    colour::Weights::reference().lab(&target.bands)
}

/// What the bath room says where a bath cannot give what the figures expect.
const PALER: [&str; 2] = ["expect a paler", "at the deepest"];

fn first_note(way: &Way) -> Option<String> {
    let dark = way.made.bulk.notes.iter().find(|n| n.contains("deeper") || n.contains("black"));
    dark.cloned()
}

fn about_target(notes: &mut Notes, target: &Resolved) {
    if let Some(moved) = &target.moved {
        notes.say("no-surface", moved.clone());
    }
    if target.assumed {
        notes.say(
            "target-assumed",
            "only a colour was given: its look under other lights is that of \
             the most likely cloth, assumed"
                .to_owned(),
        );
    }
}

fn about_day(request: &Request, notes: &mut Notes) {
    let Some(day) = request.costume.day else { return };
    let left = request.today.days_until(day);
    if left < 0 {
        notes.say("day-past", format!("the day it is for, {day}, is past"));
    } else if left < SWATCH_DAYS {
        notes.say("day-near", format!(
            "{left} days are left: a swatch, its drying and a correction take about {SWATCH_DAYS}"
        ));
    }
}

/// A swatch day, a night to dry, a second swatch and the bulk day (judgement).
const SWATCH_DAYS: i32 = 5;

/// Ways in two baths that are told; they come best first (judgement).
const TWO_BATHS_TOLD: usize = 2;
