//! What the whole costume takes, what is on the shelf, what must be bought, and what it costs.
//!
//! A row's grams are what has to be weighed out: dye weighed for a bath plus dye weighed for its stock
//! solutions, over every sheet of the plan. Cost is grams × price, to the hundredth; what is paid is
//! whole packs, of what the shelf does not hold.

use std::collections::BTreeMap;

use dosing::{Pack, Shown, cost, price_shown};
use units::{Day, Mass, Money, PerLitre, PricePerGram};

use crate::Request;
use crate::document::{
    PiecePlan, ScourSeen, Sheet, SheetAuxiliary, SheetDye, Shopping, ShoppingRow,
};
use crate::seen::print;

struct Need {
    name: String,
    kind: &'static str,
    grams: f64,
    at_hand: AtHand,
    pieces: Vec<String>,
}

/// What the shelf says of it.
#[derive(Default)]
struct AtHand {
    left: Option<Mass>,
    price: Option<PricePerGram>,
    sold_in: Option<Pack>,
    lot: Option<String>,
    bought: Option<Day>,
    opened: Option<Day>,
    expires: Option<Day>,
}

/// The shopping list of the pieces that have a bath, and of their scours.
pub(crate) fn shopping(request: &Request, pieces: &[PiecePlan], scours: &[ScourSeen]) -> Shopping {
    let mut needs: BTreeMap<(&'static str, String), Need> = BTreeMap::new();
    let mut need = |kind, id: &str, grams: f64, of: &[&String], name: &dyn Fn() -> String| {
        let need = needs.entry((kind, id.to_owned())).or_insert_with(|| Need {
            name: name(),
            kind,
            grams: 0.0,
            at_hand: at_hand(request, kind, id),
            pieces: vec![],
        });
        need.grams += grams;
        for piece in of {
            if !need.pieces.contains(piece) {
                need.pieces.push((*piece).clone());
            }
        }
    };
    let name = |aux: &SheetAuxiliary| plain_name(request, &aux.id, &aux.name);
    for scour in scours {
        let of: Vec<&String> = scour.pieces.iter().collect();
        for aux in &scour.auxiliaries {
            need("auxiliary", &aux.id, aux.grams, &of, &|| name(aux));
        }
    }
    let sheets = pieces.iter().flat_map(|p| p.sheets.iter().map(move |s| (p, s)));
    for (whole, sheet) in sheets {
        let piece = &whole.id;
        for dye in &sheet.dyes {
            let grams = for_all(whole, sheet, dye).unwrap_or_else(|| weighed_of(sheet, dye));
            let name = || format!("{} ({})", dye.name, dye.class_name);
            need("dye", &dye.id, grams, &[piece], &name);
        }
        for aux in &sheet.auxiliaries {
            need("auxiliary", &aux.id, aux.grams, &[piece], &|| name(aux));
        }
    }
    let water = for_the_water(request, pieces);
    let row = |((_, id), need): ((&str, String), Need)| {
        let mut row = row(request, id, need);
        if let Some(words) = water.as_ref().filter(|_| row.item == VINEGAR) {
            row.need = format!("{}, and {words}", row.need);
            row.ask = row.ask.as_ref().map(|ask| format!("{ask} And {words}."));
            row.notes.push(format!("{WATER}{words}, which no row of a sheet counts"));
        }
        row
    };
    let rows: Vec<ShoppingRow> = needs.into_iter().map(row).collect();
    let sum = |of: fn(&ShoppingRow) -> Option<f64>| {
        let hundredths = rows.iter().filter_map(of).map(|c| (c * 100.0).round()).sum::<f64>();
        print(hundredths / 100.0, 2)
    };
    let (total, to_pay) = (sum(|r| r.cost), sum(|r| r.to_pay));
    let left_out = left_out(&rows);
    Shopping { rows, total, to_pay, left_out, cheapest: None }
}

/// The acid that is bought as vinegar.
const VINEGAR: &str = "acetic-acid";
/// How the note on vinegar for the water begins.
pub(crate) const WATER: &str = "on top of the doses: ";

/// The vinegar that the water of the sheets uses up, of those that say so; none where none does.
fn for_the_water(request: &Request, pieces: &[PiecePlan]) -> Option<String> {
    let kitchen = &request.costume.kitchen;
    let mg = kitchen.alkalinity_mg_per_l.or(kitchen.hardness_mg_per_l)?;
    let eaten = request.lore.acid_eaten_by(PerLitre::try_grams_per_litre(mg / 1000.0).ok()?)?;
    let says = |sheet: &&Sheet| sheet.notes.iter().any(|note| note.contains(bath::VINEGAR_EATEN));
    let sheets = pieces.iter().flat_map(|piece| &piece.sheets).filter(says);
    let litres = sheets.map(|sheet| sheet.liquor_ml / 1000.0).sum::<f64>();
    let strength = kitchen.vinegar.to_fraction();
    let ml = eaten.to_grams_per_litre() * litres / strength;
    let may = if kitchen.alkalinity_mg_per_l.is_some() { "about" } else { "up to" };
    (strength > 0.0 && ml >= 1.0).then(|| format!("{may} {ml:.0} mL of vinegar for the water"))
}

/// What a sheet takes of a dye or an auxiliary, g: weighed for the bath and for its stock solutions.
pub(crate) fn weighed(sheet: &Sheet, item: &str) -> f64 {
    let dye = |d: &&SheetDye| d.id == item;
    let dyes = sheet.dyes.iter().filter(dye).map(|d| weighed_of(sheet, d)).sum::<f64>();
    let others = sheet.auxiliaries.iter().filter(|a| a.id == item).map(|a| a.grams).sum::<f64>();
    dyes + others
}

/// What friends who dye one piece take of a dye together, g.
fn for_all(piece: &PiecePlan, sheet: &Sheet, dye: &SheetDye) -> Option<f64> {
    let friends = piece.special.friends.as_ref().filter(|_| sheet.kind == "bulk")?;
    friends.stocks.iter().find(|stock| stock.dye == dye.id).map(|stock| stock.grams)
}

fn weighed_of(sheet: &Sheet, dye: &SheetDye) -> f64 {
    let weighed = if dye.how == "stock" { 0.0 } else { dye.grams };
    let stocks = sheet.stocks.iter().filter(|s| s.dye == dye.id).map(|s| s.grams);
    weighed + stocks.sum::<f64>()
}

/// Whether what is on the shelf is past its last day, and so not counted on.
pub(crate) fn expired(row: &ShoppingRow) -> bool {
    row.notes.iter().any(|note| note.starts_with(EXPIRED))
}

/// How the note on a thing that has expired begins.
const EXPIRED: &str = "expired on ";

fn at_hand(request: &Request, kind: &str, id: &str) -> AtHand {
    let shelf = request.shelf;
    if kind == "dye" {
        shelf.dyes.iter().find(|d| d.dye.id == id).map(|d| AtHand {
            left: d.left,
            price: d.price,
            sold_in: d.sold_in,
            lot: d.lot.clone(),
            bought: d.bought,
            opened: d.opened,
            expires: d.expires,
        })
    } else {
        shelf.others.iter().find(|o| o.id == id).map(|o| AtHand {
            left: o.left,
            price: o.price,
            sold_in: o.sold_in,
            bought: o.bought,
            expires: o.expires,
            ..AtHand::default()
        })
    }
    .unwrap_or_default()
}

fn plain_name(request: &Request, id: &str, name: &str) -> String {
    request.lore.agent(id).map_or_else(|_| name.to_owned(), |a| a.name.clone())
}

fn row(request: &Request, item: String, need: Need) -> ShoppingRow {
    let today = request.today;
    let Need { name, kind, grams, at_hand, pieces } = need;
    let grams = Shown::try_round(grams, DECIMALS).unwrap_or(Shown::ZERO).trimmed();
    let cost = at_hand.price.and_then(|p| cost(p, grams).ok()).map(Money::to_amount);
    // What has expired is not counted on.
    let expired = at_hand.expires.is_some_and(|day| today.days_until(day) < 0);
    let left = if expired { Some(Mass::ZERO) } else { at_hand.left };
    let short = left.map(|l| print((grams.value() - l.to_grams()).max(0.0), 2));
    let short = short.filter(|s| *s > 0.0);
    let packs = short
        .and_then(|s| Some((Mass::try_grams(s).ok()?, at_hand.sold_in?)))
        .map(|(short, pack)| (pack.packs_for(short), pack));
    let to_pay = packs.map(|(n, pack)| print(f64::from(n) * pack.price().to_amount(), 2));
    let notes = notes(kind, &at_hand, expired, packs.is_some(), today);
    let bought = bought(request, &item, grams.value());
    let ask = left.is_none().then(|| format!("Do you have it? It takes {bought} in all."));
    ShoppingRow {
        item,
        name,
        kind,
        grams: grams.value(),
        need: bought,
        ask,
        on_shelf_g: at_hand.left.map(|l| print(l.to_grams(), 2)),
        short_g: short,
        price_per_g: at_hand.price.map(|p| price_shown(p).value()),
        cost,
        pack_g: at_hand.sold_in.map(|p| print(p.contents().to_grams(), 2)),
        pack_price: at_hand.sold_in.map(|p| p.price().to_amount()),
        packs: packs.map(|(n, _)| n),
        to_pay,
        expires: at_hand.expires.map(|day| day.to_string()),
        notes,
        pieces,
    }
}

/// An amount as it is bought, rounded up to what is worth saying: acetic acid as vinegar of the strength this
/// kitchen has.
pub(crate) fn bought(request: &Request, item: &str, grams: f64) -> String {
    if item != VINEGAR {
        return format!("{} g", up(grams));
    }
    let percent = request.costume.kitchen.vinegar.to_percent();
    let ml = up((grams * 100.0 / percent).ceil());
    let (percent, pure) = (units::trimmed(percent, 2), up(grams));
    format!("{ml} mL of {percent} % vinegar ({pure} g of acetic acid)")
}

/// Rounded up to whole grams from 100, tenths from 10, hundredths below.
fn up(amount: f64) -> String {
    let decimals = match amount {
        a if a >= 100.0 => 0,
        a if a >= 10.0 => 1,
        _ => 2,
    };
    let tens = 10_f64.powi(decimals);
    units::trimmed((amount * tens - 1e-6).ceil() / tens, usize::try_from(decimals).unwrap_or(2))
}

/// Age, expiry, and that a new pack is a new lot.
fn notes(kind: &str, at_hand: &AtHand, expired: bool, buys: bool, today: Day) -> Vec<String> {
    let mut said = vec![];
    if let Some(day) = at_hand.expires.filter(|_| expired) {
        said.push(format!("{EXPIRED}{day}: not counted on, buy new"));
    } else if let Some(day) = at_hand.expires.filter(|d| today.days_until(*d) <= SOON_DAYS) {
        said.push(format!("good until {day}: use it first"));
    }
    let old = at_hand.opened.or(at_hand.bought);
    if let Some(day) = old.filter(|d| d.days_until(today) > OLD_DAYS && kind == "dye") {
        said.push(format!(
            "at hand since {day}: more than two years old, swatch it before you trust it"
        ));
    }
    if buys && kind == "dye" {
        let lot = at_hand.lot.as_ref().map_or(String::new(), |l| format!(" (yours is {l})"));
        said.push(format!(
            "a new pack is a new lot{lot}: swatch it, and never finish a piece with it"
        ));
    }
    said
}

/// Within so many days of its last day a thing is used first (judgement).
const SOON_DAYS: i32 = 60;
/// A dye opened longer ago than this is swatched again (common practice; makers' sheets differ).
const OLD_DAYS: i32 = 730;

/// Decimals that hold every sum of printed amounts exactly (the finest scale shows 0.0001 g).
const DECIMALS: u8 = 4;

fn left_out(rows: &[ShoppingRow]) -> Vec<String> {
    let without: Vec<&str> =
        rows.iter().filter(|r| r.cost.is_none()).map(|r| r.name.as_str()).collect();
    let mut said = vec![];
    if !without.is_empty() {
        said.push(format!("no price is known for: {}", without.join("; ")));
    }
    let sizeless: Vec<&str> = rows
        .iter()
        .filter(|r| r.packs.is_none() && (r.short_g.is_some() || r.on_shelf_g.is_none()))
        .map(|r| r.name.as_str())
        .collect();
    if !sizeless.is_empty() {
        said.push(format!(
            "what to pay leaves out, for want of a pack size, a price or an amount at hand: {}",
            sizeless.join("; ")
        ));
    }
    said
}
