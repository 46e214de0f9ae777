//! Packs as most people buy them: all-purpose or premixed, without a name in the Colour Index, known by
//! what the pack claims: "one pack colours so much dry cloth to about this", a colour for each fibre.
//!
//! Each fibre claimed becomes a dye of its own that is only for that fibre, under the one id of the pack.
//! A pack of unknown origin is refused here: what nobody can name, nobody may heat on a stove.

use colour::{ClothPrior, Lab, Weights};
use dosing::{Form, Pack};
use dyeing::{Claim, Dye, Ground, Look, REFERENCE_RATIO, Substrate, claimed};
use lore::{DyeClass, Lore};
use units::{Day, LiquorRatio, Mass, Money, OnFibre, Share, StockStrength};

use crate::reader::{Any, At, Table};
use crate::shelf::{ShelfDye, ages};
use crate::target::given;
use crate::{AsGiven, Files};

/// What a pack is, beside the dye it is believed to be.
#[derive(Debug, Clone, PartialEq)]
pub struct PackFacts {
    /// All-purpose or premixed.
    pub kind: PackKind,
    /// What one pack holds, of the dye as sold; of a liquid, at its nominal strength.
    pub holds: Mass,
    /// What comes in or with it besides dye: its own salt or fixer, never dosed twice.
    pub contains: Vec<Contained>,
    /// True when it is, or may be, a mixture: its parts may take up differently, so that the piece is
    /// unlike the claim at another depth or on other cloth.
    pub may_split: bool,
    /// Its label says what it is; packs without are refused.
    pub labelled: bool,
    /// Its safety sheet is at hand.
    pub sheet: bool,
}

/// The two sorts of pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PackKind {
    /// Union dye: a mixture for several kinds of fibre, of which each takes its own part.
    AllPurpose,
    /// Dyes of one class mixed to a hue.
    Premixed,
}

/// One thing a pack brings besides dye.
#[derive(Debug, Clone, PartialEq)]
pub struct Contained {
    /// The agent's id in the trade's data.
    pub agent: String,
    /// How much of it one pack brings; unknown where the pack does not say.
    pub grams: Option<Mass>,
    /// It lies in a sachet of its own beside the dye, and is put in by itself.
    pub own_sachet: bool,
}

impl PackKind {
    /// As written in files and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::AllPurpose => "all-purpose",
            Self::Premixed => "premixed",
        }
    }
}

/// One `[[pack]]` as read: its dyes, one for each fibre claimed, all of one id and lot.
pub(crate) struct PackRead {
    pub(crate) id: At<String>,
    pub(crate) lot: Option<String>,
    pub(crate) dyes: Vec<ShelfDye>,
}

/// Packs bought before this year may hold dyes no longer sold because they harm (judgement of the trade's
/// rule on benzidine dyes).
const SOUND_SINCE: i16 = 1990;
/// A liquid pack that says no strength: grams of dye to 100 mL. Any figure would do, for the claim and
/// every dose are reckoned with the same one; with this, depths come out like those of powder packs.
const NOMINAL_LIQUID_PCT: f64 = 10.0;
/// From this L* down, and this near to grey, a pack is a black.
const BLACK: (f64, f64) = (25.0, 10.0);

/// Reads one `[[pack]]`.
pub(crate) fn pack(table: &Table, lore: &Lore, files: &dyn Files) -> Option<PackRead> {
    let id = table.need_text("id", "a short name of your own, such as \"rose-pack\"");
    let name = table.need_text("name", "what the pack calls its colour");
    let ci = table.text("ci");
    let sort = sort(table);
    let amounts = amounts(table);
    let opened = table.day("opened").map(|d| d.it);
    let (bought, expires) = ages(table);
    let lot = table.text("lot").map(|t| t.it);
    let (labelled, sheet) = (table.flag("labelled"), table.flag("sheet"));
    let known = known(table, labelled, sheet, bought);
    let names = [&id, &name, &ci].into_iter().flatten();
    let blocked = names.filter(|it| !allowed(table, it, lore)).count();
    let contains = contains(table, lore);
    let fibres = fibres(table, lore, files);
    table.finish();
    let (id, name, (kind, class), amounts) = (id?, name?, sort?, amounts?);
    if !known || blocked > 0 {
        return None;
    }
    let facts = PackFacts {
        kind,
        holds: amounts.holds,
        contains: contains?,
        may_split: ci.is_none(),
        labelled,
        sheet,
    };
    let claims = fibres?;
    // A union pack says nothing of a fibre it does not name: there it is another dye altogether. A
    // premixed one of a class holds for the class's fibres, unless the pack itself tells them apart.
    let only = kind == PackKind::AllPurpose || claims.len() > 1;
    let dyes: Option<Vec<ShelfDye>> = claims
        .iter()
        .map(|(fibre, lab)| {
            let mut dye =
                believed(table, &id, &name, class, amounts.owf, facts.may_split, fibre, *lab)?;
            dye.form = amounts.form;
            dye.ci = ci.as_ref().map(|ci| ci.it.clone());
            dye.note = Some(note(&facts, *lab));
            Some(ShelfDye {
                dye,
                left: amounts.left,
                price: amounts.sold_in.map(|p| p.price_per_gram()),
                lot: lot.clone(),
                sold_in: amounts.sold_in,
                bought,
                opened,
                expires,
                pack: Some(facts.clone()),
                only_on: only.then(|| fibre.it.clone()),
                rungs: vec![],
            })
        })
        .collect();
    Some(PackRead { id, lot, dyes: dyes? })
}

/// `kind` and `class`.
fn sort(table: &Table) -> Option<(PackKind, DyeClass)> {
    let kind = table.need_text("kind", "\"all-purpose\" or \"premixed\"");
    let class = table.text("class");
    match (kind?, class) {
        (At { it, .. }, None) if it == "all-purpose" => {
            Some((PackKind::AllPurpose, DyeClass::Union))
        }
        (At { it, .. }, Some(class)) if it == "all-purpose" => {
            let hint = "leave `class` out, or write kind = \"premixed\"";
            table.fault(class.span, "an all-purpose pack is of the union class", hint);
            None
        }
        (At { it, .. }, Some(class)) if it == "premixed" => {
            let hint = "the class the pack names: reactive-dct, acid-milling, direct, disperse, …";
            let class = table.keep(&class.span, class.it.parse(), hint)?;
            Some((PackKind::Premixed, class))
        }
        (At { it, span }, None) if it == "premixed" => {
            let hint = "write class = \"reactive-dct\" or what the pack says it is; a pack that says \
                        no class and dyes \"everything\" is kind = \"all-purpose\"";
            table.fault(span, "a premixed pack is of one class, and `class` is missing", hint);
            None
        }
        (At { it, span }, _) => {
            let says = format!("there is no kind of pack \"{it}\"");
            table.fault(span, says, "\"all-purpose\" or \"premixed\"");
            None
        }
    }
}

/// What one pack holds and colours, how many there are, what it costs.
struct Amounts {
    form: Form,
    holds: Mass,
    owf: OnFibre,
    left: Option<Mass>,
    sold_in: Option<Pack>,
}

fn amounts(table: &Table) -> Option<Amounts> {
    let form = table.text("form");
    let (grams, ml) = (table.number("pack_g"), table.number("pack_ml"));
    let strength = table.number("liquid_pct");
    let colours = table.number("colours_g");
    let packs = table.number("packs");
    let paid = table.number("pack_price");
    let missing = |key: &str, hint: &str| {
        table.fault(table.span.clone(), format!("`{key}` is missing"), hint.to_owned());
    };
    let positive = |n: &At<f64>, hint: &str| {
        let mass = table.keep(&n.span, Mass::try_grams(n.it), hint)?;
        if mass.to_grams() <= 0.0 {
            table.fault(n.span.clone(), "it is nothing", hint);
            return None;
        }
        Some(mass)
    };
    if colours.is_none() {
        missing(
            "colours_g",
            "how much dry cloth one pack colours to the colour it shows, in grams",
        );
    }
    let (form, holds) = match form.as_ref().map_or("powder", |f| f.it.as_str()) {
        "powder" => {
            for stray in [&ml, &strength].into_iter().flatten() {
                let hint = "a powder is told by pack_g; for a liquid write form = \"liquid\"";
                table.fault(stray.span.clone(), "a powder has no millilitres", hint);
            }
            if grams.is_none() {
                missing("pack_g", "what one pack holds, in grams");
            }
            let holds = positive(&grams?, "what one pack holds, in grams, above zero")?;
            (Form::Powder, holds)
        }
        "liquid" => {
            if let Some(stray) = &grams {
                let hint = "a liquid is told by pack_ml: what is in the bottle, in millilitres";
                table.fault(stray.span.clone(), "a liquid is measured in millilitres", hint);
            }
            if ml.is_none() {
                missing("pack_ml", "what one bottle holds, in millilitres");
            }
            let pct = strength.as_ref().map_or(NOMINAL_LIQUID_PCT, |s| s.it);
            let at = strength.as_ref().map_or(table.span.clone(), |s| s.span.clone());
            let hint =
                "the dye in 100 mL of the liquid, in grams; leave it out where it is not said";
            let pct = table.keep(&at, StockStrength::try_percent(pct), hint)?;
            let ml = ml?;
            let hint = "what one bottle holds, in millilitres, above zero";
            let holds =
                positive(&At { it: ml.it * pct.to_percent() / 100.0, span: ml.span }, hint)?;
            (Form::Liquid(pct), holds)
        }
        other => {
            let at = form.as_ref().map_or(table.span.clone(), |f| f.span.clone());
            table.fault(at, format!("a pack in the form \"{other}\""), "\"powder\" or \"liquid\"");
            return None;
        }
    };
    let colours = colours?;
    let cloth = positive(&colours, "the dry cloth one pack colours, in grams, above zero")?;
    let hint = "check what the pack holds and how much cloth it colours";
    let owf = table.keep(&colours.span, dosing::owf_from_masses(holds, cloth), hint)?;
    let left = match packs {
        None => None,
        Some(count) => {
            let hint = "how many packs are at hand; half a pack is 0.5";
            let grams = table.keep(&count.span, Mass::try_grams(count.it * holds.to_grams()), hint);
            Some(grams?)
        }
    };
    let sold_in = match paid {
        None => None,
        Some(paid) => {
            let money = table.keep(&paid.span, Money::try_amount(paid.it), "zero or more")?;
            Some(table.keep(&paid.span, Pack::try_new(holds, money), "check the pack")?)
        }
    };
    Some(Amounts { form, holds, owf, left, sold_in })
}

/// Whether anybody can say what the pack is: a label, and an age or a safety sheet.
fn known(table: &Table, labelled: bool, sheet: bool, bought: Option<Day>) -> bool {
    let refuse = |says: &str, hint: &str| {
        table.fault(table.span.clone(), says, hint);
        false
    };
    if !labelled {
        return refuse(
            "a pack whose label does not say what it is is refused: it may hold dyes no longer sold \
             because they harm, and nothing tells its class, its fibre or its hazards",
            "write labelled = true when the label says whose it is and what it dyes; else do not open \
             it, and take it to the depot for hazardous waste",
        );
    }
    match bought {
        _ if sheet => true,
        None => refuse(
            "nobody can say how old this pack is, and its safety sheet is not at hand: old packs may \
             hold dyes no longer sold because they harm",
            "write bought = the day it was bought, or sheet = true when you have its safety sheet",
        ),
        Some(day) if Day::try_ymd(SOUND_SINCE, 1, 1).is_ok_and(|sound| day < sound) => refuse(
            "a pack from before 1990 without its safety sheet is refused: it may hold dyes no longer \
             sold because they harm",
            "write sheet = true when you have its safety sheet; else take it unopened to the depot for \
             hazardous waste",
        ),
        Some(_) => true,
    }
}

/// Whether no name of it is blocked or refused for home use.
fn allowed(table: &Table, said: &At<String>, lore: &Lore) -> bool {
    let blocked = lore.blocked_dye(&said.it).map(|row| row.text.clone());
    let why = blocked.or_else(|| lore.refused(&said.it).map(|row| row.why.clone()));
    if let Some(why) = &why {
        let says = format!("\"{}\" is not for a home: {why}", said.it);
        table.fault(said.span.clone(), says, "leave it closed, and choose another dye");
    }
    why.is_none()
}

/// `contains`: ids of agents, or tables with how much of each one pack brings.
fn contains(table: &Table, lore: &Lore) -> Option<Vec<Contained>> {
    let hint = "write contains = [\"salt\"], or contains = [{ agent = \"salt\", grams = 40 }]";
    let known = |at: &At<String>| {
        table.keep(&at.span, lore.agent(&at.it).map(|a| a.id.clone()), "an auxiliary's id")
    };
    let list = table.list("contains");
    let read: Vec<Option<(Contained, At<()>)>> = list
        .into_iter()
        .map(|At { it, span }| match it {
            Any::Text(text) => {
                let agent = known(&At { it: text, span: span.clone() })?;
                Some((Contained { agent, grams: None, own_sachet: false }, At { it: (), span }))
            }
            Any::Table(entries) => {
                let inner = table.inner(entries, span.clone());
                let agent = inner.need_text("agent", "the agent's id, such as \"salt\"");
                let grams = inner.number("grams");
                let own_sachet = inner.flag("own_sachet");
                inner.finish();
                let agent = known(&agent?)?;
                let grams = match grams {
                    None => None,
                    Some(n) => {
                        let hint = "how much of it one pack brings, in grams";
                        Some(table.keep(&n.span, Mass::try_grams(n.it), hint)?)
                    }
                };
                Some((Contained { agent, grams, own_sachet }, At { it: (), span }))
            }
            other => {
                table.fault(span, format!("an entry of `contains` is {}", other.kind()), hint);
                None
            }
        })
        .collect();
    let read: Vec<(Contained, At<()>)> = read.into_iter().collect::<Option<_>>()?;
    for (i, (one, at)) in read.iter().enumerate() {
        if read[..i].iter().any(|(other, _)| other.agent == one.agent) {
            let says = format!("{} stands twice in `contains`", one.agent);
            table.fault(at.span.clone(), says, "give it once, with all a pack brings");
            return None;
        }
    }
    Some(read.into_iter().map(|(one, _)| one).collect())
}

/// `on`: a colour for each fibre claimed.
fn fibres(table: &Table, lore: &Lore, files: &dyn Files) -> Option<Vec<(At<String>, Lab)>> {
    let hint = "what the pack shows: on = [{ fibre = \"cotton\", hex = \"#a03040\" }]";
    let claims = table.parts("on");
    if claims.is_empty() {
        table.fault(table.span.clone(), "no colour is claimed: `on` is missing", hint);
        return None;
    }
    let read: Vec<Option<(At<String>, Lab)>> = claims
        .iter()
        .map(|claim| {
            let fibre = claim.need_text("fibre", "the fibre this colour is claimed for");
            let colour = given(claim, files);
            let fibre = fibre?;
            let id = lore.material(&fibre.it).map(|m| m.id.clone());
            let id = claim.keep(&fibre.span, id, "a fibre")?;
            let lab = lab(claim, colour?.as_given)?;
            Some((At { it: id, span: fibre.span }, lab))
        })
        .collect();
    let read: Vec<(At<String>, Lab)> = read.into_iter().collect::<Option<_>>()?;
    for (i, (fibre, _)) in read.iter().enumerate() {
        if read[..i].iter().any(|(other, _)| other.it == fibre.it) {
            let says = format!("{} has two colours", fibre.it);
            table.fault(fibre.span.clone(), says, "claim one colour for each fibre");
            return None;
        }
    }
    Some(read)
}

fn lab(table: &Table, colour: AsGiven) -> Option<Lab> {
    match colour {
        AsGiven::Colour(lab) => Some(lab),
        AsGiven::Spectrum(bands) => Some(Weights::reference().lab(&bands)),
        AsGiven::Screen(screen) => {
            let likely = ClothPrior::shipped().screen_colour_to_cloth(screen.to_xyz2());
            let likely = table.keep(&table.span, likely, "a colour cloth can have")?;
            Some(Weights::reference().lab(&likely.bands))
        }
    }
}

/// The dye this claim makes, on white cloth of the fibre.
#[expect(clippy::too_many_arguments, reason = "one claim, told part by part")]
fn believed(
    table: &Table,
    id: &At<String>,
    name: &At<String>,
    class: DyeClass,
    owf: OnFibre,
    may_split: bool,
    fibre: &At<String>,
    colour: Lab,
) -> Option<Dye> {
    let ground = Ground::assumed(&[(&fibre.it, Share::WHOLE)], Look::White);
    let ground = table.keep(&fibre.span, ground, "a fibre whose undyed look is known")?;
    let ratio = LiquorRatio::try_litres_per_kilogram(REFERENCE_RATIO).ok()?;
    let on = Substrate::try_new(&ground, class, ratio);
    let on = table.keep(&fibre.span, on, "a fibre this class colours, or another class")?;
    let claim = Claim { on: &on, owf, colour, may_split };
    let hint = "check the colour, and how much cloth one pack colours";
    table.keep(&fibre.span, claimed(&id.it, &name.it, &claim), hint)
}

/// What the maker must know of this pack.
fn note(facts: &PackFacts, colour: Lab) -> String {
    let mut said = vec!["Known only by what its pack claims: dye a swatch first.".to_owned()];
    if facts.may_split {
        said.push(
            "It may split: its parts take up differently, so the piece may be unlike the claim at \
             another depth or on other cloth."
                .to_owned(),
        );
    }
    let (dark, grey) = BLACK;
    let black = colour.l <= dark && colour.to_lch().c <= grey;
    if facts.kind == PackKind::AllPurpose && black {
        said.push(
            "All-purpose black: not for masks, near the face, child's wear or what is put in the mouth."
                .to_owned(),
        );
    }
    said.join(" ")
}
