//! A bath sheet as the document prints it. Amounts come already rounded from the bath room.

use bath::{Add, Auxiliary, Dye, Kind, Sheet, Step, Stock};
use colour::Light;
use costume::{CardCode, Piece, Shelf, Swatch};
use dosing::{How, Shown};
use lore::{Lore, Per};
use units::{Day, PricePerGram};

use crate::build_up;
use crate::document::{self as d, Addition, Caution, Judge, SheetAuxiliary, SheetDye, SheetStep};
use crate::goes_by::Vouched;
use crate::seen::{goods, print};

/// What stands on a bulk sheet that no swatch vouches for.
pub(crate) const PROVISIONAL: &str = "provisional: dye the swatch first";

/// One sheet of a piece.
pub(crate) fn sheet(
    sheet: &Sheet,
    piece: &Piece,
    lore: &Lore,
    shelf: &Shelf,
    today: Day,
    lights: &[Light],
    vouched: Option<&Vouched>,
) -> d::Sheet {
    let mut seen = goods(&piece.goods);
    seen.dry_g = print(sheet.dry.to_grams(), 1);
    seen.parts.clone_from(&sheet.parts);
    if sheet.kind == Kind::Swatch {
        let comes =
            bath::Comes { form: piece.goods.form, spare: piece.spare, ..bath::Comes::default() };
        bath::SwatchFrom::of(&comes).in_short().clone_into(&mut seen.weight_from);
        seen.lining = None;
        seen.lining_fibres.clear();
        seen.parts_weigh.clear();
    }
    let (first_line, waiver, swatch_recorded) = match sheet.kind {
        Kind::Swatch => (None, None, None),
        Kind::Bulk => standing(piece, sheet, lore, today, vouched),
    };
    d::Sheet {
        kind: sheet.kind.name(),
        code: None,
        first_line,
        waiver,
        swatch_recorded,
        scour: None,
        procedure: sheet.procedure.id().to_owned(),
        title: sheet.title.clone(),
        dry_g: seen.dry_g,
        takes_g: print(sheet.takes.to_grams(), 1),
        weights: weights(sheet),
        pieces: if sheet.pieces.is_empty() {
            vec![piece.id.clone()]
        } else {
            sheet.pieces.iter().map(|p| p.id.clone()).collect()
        },
        goods: seen,
        liquor_ratio: print(sheet.ratio.to_litres_per_kilogram(), 1),
        liquor_ml: sheet.liquor_ml.value(),
        water_ml: sheet.water_ml.value(),
        vessel: d::VesselSeen {
            words: sheet.vessel.words.clone(),
            material: sheet.vessel.material.clone(),
        },
        cautions: sheet
            .cautions
            .iter()
            .map(|c| Caution { id: c.id.clone(), name: c.name.clone(), text: c.text.clone() })
            .collect(),
        dyes: sheet.dyes.iter().map(|d| dye(d, lore, shelf)).collect(),
        stocks: sheet.stocks.iter().map(|s| stock(s, sheet)).collect(),
        from_swatch: vec![],
        auxiliaries: sheet.auxiliaries.iter().map(|a| auxiliary(a, shelf)).collect(),
        steps: sheet.steps.iter().map(step).collect(),
        total_min: print(sheet.total.to_minutes(), 0),
        no_top_up_after: sheet.no_top_up_after.map(str::to_owned),
        judge: Judge { text: sheet.judge.clone(), lights: judged_under(lights) },
        fastness_claimed: sheet.fastness_claimed,
        notes: sheet
            .notes
            .iter()
            .cloned()
            .chain(build_up::note(sheet, piece, lore).filter(|_| vouched.is_none()))
            .collect(),
    }
}

/// Whether a class reacts in its stock too, and so does not keep.
pub(crate) const fn is_reactive(class: lore::DyeClass) -> bool {
    use lore::DyeClass::{ReactiveDct, ReactiveMct, ReactiveVs};
    matches!(class, ReactiveDct | ReactiveMct | ReactiveVs)
}

/// The stocks of a sheet that friends dye by: made once for all of them.
pub(crate) fn one_for_all(friends: &d::FriendsSeen, seen: &mut d::Sheet) {
    for stock in &mut seen.stocks {
        let Some(shared) = friends.stocks.iter().find(|s| s.dye == stock.dye) else { continue };
        let left = shared.make_ml - stock.used_ml;
        stock.grams = shared.grams;
        stock.make_ml = shared.make_ml;
        stock.words = format!(
            "{}: made once, for all: for the {} % stock {} g of dye are dissolved in a little warm water and made up \
             to {} mL; {} mL are for this bath, and {} mL for the others and to spare.",
            seen.dyes
                .iter()
                .find(|d| d.id == stock.dye)
                .map_or(stock.dye.as_str(), |d| d.name.as_str()),
            shared.stock_pct,
            shared.grams,
            shared.make_ml,
            stock.used_ml,
            units::trimmed(left, 2),
        );
    }
}

/// Daylight and at least one lamp, whatever the piece asks for.
fn judged_under(lights: &[Light]) -> Vec<String> {
    let mut names: Vec<String> = lights.iter().map(|l| l.name().to_owned()).collect();
    if names.len() < 2 {
        names.push(Light::LedB3.name().to_owned());
    }
    names
}

/// What a bulk sheet stands on. That it is provisional without a swatch is a rule of the trade's data.
fn standing(
    piece: &Piece,
    sheet: &Sheet,
    lore: &Lore,
    today: Day,
    vouched: Option<&Vouched>,
) -> (Option<String>, Option<d::Waiver>, Option<d::SwatchRecorded>) {
    let ratio = sheet.ratio.to_litres_per_kilogram();
    if let Some(swatch) = vouched {
        let recorded = d::SwatchRecorded {
            day: swatch.day.to_string(),
            liquor_ratio: print(ratio, 1),
            code: Some(swatch.code.clone()),
            look_alike: swatch.look_alike,
        };
        return (None, None, Some(recorded));
    }
    match &piece.swatch {
        Swatch::Waived { signed_by, day } if today.days_until(*day) <= 0 => {
            let waiver = d::Waiver { signed_by: signed_by.clone(), day: day.to_string() };
            (None, Some(waiver), None)
        }
        Swatch::Recorded { day, ratio: swatched }
            if (swatched.to_litres_per_kilogram() - ratio).abs() <= 0.05 * ratio
                && today.days_until(*day) <= 0 =>
        {
            let recorded = d::SwatchRecorded {
                day: day.to_string(),
                liquor_ratio: print(ratio, 1),
                code: None,
                look_alike: false,
            };
            (None, None, Some(recorded))
        }
        Swatch::None | Swatch::Recorded { .. } | Swatch::Waived { .. } => {
            let line = lore.sheet_rule("swatch-first").map(|_| PROVISIONAL.to_owned());
            (line, None, None)
        }
    }
}

fn dye(dye: &Dye, lore: &Lore, shelf: &Shelf) -> SheetDye {
    let how = match dye.dose.how() {
        How::Weigh { .. } => "weigh",
        How::Stock { .. } => "stock",
        How::Volume { .. } | How::Cannot { .. } => "volume",
    };
    SheetDye {
        id: dye.id.clone(),
        name: dye.name.clone(),
        class: dye.class.id().to_owned(),
        class_name: lore.class_name(dye.class).to_owned(),
        ci: dye.ci.clone(),
        owf_pct: dye.owf_pct.value(),
        form: dye.form,
        how,
        grams: dye.grams.value(),
        stock_pct: dye.stock_pct.map(Shown::value),
        stock_ml: dye.stock_ml.map(Shown::value),
        price_per_g: dye.price.map(|p| dosing::price_shown(p).value()),
        cost: dye.cost.map(units::Money::to_amount),
        words: match dye.dose.how() {
            How::Stock { .. } => {
                let trace = dye.dose.trace().map_or_else(String::new, |it| format!(" {it}"));
                format!("Measure {}.{trace}", dye.dose.amount())
            }
            _ => dye.dose.words().to_owned(),
        },
        scatter_pct: print(100.0 * dye.dose.relative_scatter(), 1),
        brings: brings(dye, shelf),
    }
}

/// What was weighed, where it is more than cloth.
fn weights(sheet: &Sheet) -> Vec<d::WeightLine> {
    if sheet.weights.len() < 2 {
        return vec![];
    }
    let line = |w: &bath::Weighed| d::WeightLine {
        what: w.name.clone(),
        grams: w.grams.value(),
        takes_g: w.takes.value(),
    };
    sheet.weights.iter().map(line).collect()
}

/// What the pack of this dye brings besides dye, with as much of it as comes with the dose.
fn brings(dye: &Dye, shelf: &Shelf) -> Vec<d::Brings> {
    let one = shelf.dyes.iter().find(|d| d.dye.id == dye.id).and_then(|d| d.pack.as_ref());
    one.map_or_else(Vec::new, |pack| {
        let share = dye.grams.value() / pack.holds.to_grams();
        let row = |c: &costume::Contained| d::Brings {
            agent: c.agent.clone(),
            grams: c.grams.map(|g| print(g.to_grams() * share, 2)),
        };
        // What lies in a sachet of its own does not come with the dye.
        pack.contains.iter().filter(|c| !c.own_sachet).map(row).collect()
    })
}

/// The code of a swatch's card: of whatever makes it this swatch and no other. A plan made again with the same recipe
/// for the same piece prints the same code; another recipe, weight or ratio is another swatch.
pub(crate) fn card_code(costume: &str, swatch: &d::Sheet) -> String {
    let mut words = format!(
        "{costume}\n{}\n{}\n{} g, {} L/kg",
        swatch.pieces.join("\n"),
        swatch.procedure,
        swatch.takes_g,
        swatch.liquor_ratio
    );
    for dye in &swatch.dyes {
        words.push_str(&format!("\n{} {}", dye.id, dye.owf_pct));
    }
    CardCode::of(&words).to_string()
}

fn stock(stock: &Stock, of: &Sheet) -> d::StockToMake {
    let powder = of.dyes.iter().any(|dye| dye.id == stock.dye && dye.form == "powder");
    let caution = of.cautions.iter().find(|c| powder && POWDER_CAUTIONS.contains(&c.id.as_str()));
    d::StockToMake {
        caution: caution.map(|c| first_sentence(&c.text)),
        keeps_days: stock.keeps_days,
        dye: stock.dye.clone(),
        stock_pct: stock.strength_pct.value(),
        grams: stock.grams.value(),
        make_ml: stock.make_ml.value(),
        used_ml: stock.used_ml.value(),
        words: stock.words.clone(),
    }
}

/// The cautions of lore that are of the dye itself; the first of them that a sheet has goes on the bottle.
const POWDER_CAUTIONS: [&str; 2] = ["reactive-powder-mask", "dye-powder-mask"];

/// A text as far as its first full stop.
fn first_sentence(text: &str) -> String {
    text.split_once(". ").map_or_else(|| text.to_owned(), |(first, _)| format!("{first}."))
}

pub(crate) fn auxiliary(aux: &Auxiliary, shelf: &Shelf) -> SheetAuxiliary {
    let price: Option<PricePerGram> =
        shelf.others.iter().find(|o| o.id == aux.id).and_then(|o| o.price);
    let cost = price.and_then(|p| dosing::cost(p, aux.grams).ok());
    let (g_per_l, owf_pct) = match aux.per {
        Per::PerLitre(per) => (Some(print(per.to_grams_per_litre(), 3)), None),
        Per::OnFibre(per) => (None, Some(print(per.to_percent(), 3))),
    };
    let household = aux.household.clone();
    SheetAuxiliary {
        id: aux.id.clone(),
        name: aux.name.clone(),
        grams: aux.grams.value(),
        g_per_l,
        owf_pct,
        words: aux.words.clone(),
        household,
        declared: aux.declared.clone(),
        price_per_g: price.map(|p| dosing::price_shown(p).value()),
        cost: cost.map(units::Money::to_amount),
    }
}

pub(crate) fn step(step: &Step) -> SheetStep {
    SheetStep {
        n: step.n,
        at_min: print(step.at.to_minutes(), 0),
        clock: step.clock.clone(),
        kind: step.kind.id().to_owned(),
        text: step.text.clone(),
        from_c: print(step.from.to_degrees(), 1),
        to_c: print(step.to.to_degrees(), 1),
        rate_c_per_min: step.ramp.map(|r| print(r.to_degrees_per_minute(), 2)),
        minutes: print(step.minutes.to_minutes(), 0),
        ph: step.ph.map(|p| print(p.to_value(), 1)),
        adds: step.adds.iter().map(addition).collect(),
        vessel: step
            .vessel
            .as_ref()
            .map(|it| d::VesselSeen { words: it.words.clone(), material: it.material.clone() }),
        agitation: step.agitation.id().to_owned(),
        stretch_min: step.stretch.filter(|_| timed(step)).map(|m| print(m.to_minutes(), 0)),
        until: step.until.clone(),
        look_for: step.look_for.clone(),
    }
}

/// Drying and judging take the time they take: no clock is printed for them.
fn timed(step: &Step) -> bool {
    step.minutes.to_minutes() > 0.0
}

fn addition(add: &Add) -> Addition {
    Addition {
        id: add.id.clone(),
        group: add.group.id().to_owned(),
        grams: add.grams.value(),
        portion: print(add.portion.to_fraction(), 4),
        dissolved: add.dissolved,
        words: add.words.clone(),
    }
}
