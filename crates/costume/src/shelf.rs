//! The shelf: dyes and auxiliaries at hand, read from a shelf file or filled with the starter dyes.

use colour::{Bands, ClothPrior, Lab};
use dosing::{Form, Pack};
use dyeing::{Dye, Ground, Knowledge, Lesson, Look, Seen, Substrate, starter, starter_dye, taught};
use lore::Lore;
use units::{Day, LiquorRatio, Mass, Money, OnFibre, PricePerGram, Share, StockStrength};

use crate::pack::{PackRead, pack};
use crate::reader::{At, Table, nearest, read};
use crate::target::given;
use crate::{AsGiven, Faults, Files, PackFacts};

/// What is at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelf {
    /// The dyes.
    pub dyes: Vec<ShelfDye>,
    /// Auxiliaries and gear.
    pub others: Vec<ShelfOther>,
    /// True when it is the starter shelf: nothing on it is the maker's own.
    pub starter: bool,
}

/// One dye at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfDye {
    /// The dye as known.
    pub dye: Dye,
    /// How much is left; unknown for the starter shelf.
    pub left: Option<Mass>,
    /// Price per gram.
    pub price: Option<PricePerGram>,
    /// The lot, as printed on the pack.
    pub lot: Option<String>,
    /// The pack it is sold in, when both size and price are known.
    pub sold_in: Option<Pack>,
    /// When it was bought.
    pub bought: Option<Day>,
    /// When it was opened.
    pub opened: Option<Day>,
    /// The last day its maker vouches for it.
    pub expires: Option<Day>,
    /// What it is as a pack, when it is known only by its pack.
    pub pack: Option<PackFacts>,
    /// The fibre (a material's id) it is only for, when its pack tells fibres apart.
    pub only_on: Option<String>,
    /// What its file has read of it: the dye is known by these.
    pub rungs: Vec<Rung>,
}

/// A swatch of one dye as the shelf's file tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Rung {
    /// The cloth, by its material.
    pub material: String,
    /// The cloth, ready for the dye's class.
    pub on: Substrate,
    /// The dose.
    pub dose: OnFibre,
    /// What was read, D65/10°.
    pub lab: Lab,
    /// The spectrum, where one was read.
    pub bands: Option<Bands>,
}

/// One auxiliary or tool at hand.
#[derive(Debug, Clone, PartialEq)]
pub struct ShelfOther {
    /// Its id in the trade's data.
    pub id: String,
    /// How much is left.
    pub left: Option<Mass>,
    /// Price per gram.
    pub price: Option<PricePerGram>,
    /// The pack it is sold in, when both size and price are known.
    pub sold_in: Option<Pack>,
    /// When it was bought.
    pub bought: Option<Day>,
    /// The last day its maker vouches for it.
    pub expires: Option<Day>,
}

impl Shelf {
    /// The starter shelf: estimates of generic dyes, in no known amount and at no price.
    #[must_use]
    pub fn of_starters() -> Self {
        let dyes = starter()
            .iter()
            .map(|s| ShelfDye {
                dye: s.dye.clone(),
                left: None,
                price: None,
                lot: None,
                sold_in: None,
                bought: None,
                opened: None,
                expires: None,
                pack: None,
                only_on: None,
                rungs: vec![],
            })
            .collect();
        Self { dyes, others: vec![], starter: true }
    }
}

/// Reads a shelf file; gives all its faults at once.
pub fn read_shelf(file: &str, text: &str, lore: &Lore, files: &dyn Files) -> Result<Shelf, Faults> {
    read(file, text, |root| shelf(root, lore, files))
}

fn shelf(root: &Table, lore: &Lore, files: &dyn Files) -> Option<Shelf> {
    let tables = root.parts("dye");
    let dyes: Vec<Option<ShelfDye>> = tables.iter().map(|t| dye(t, lore, files)).collect();
    for (i, one) in dyes.iter().enumerate() {
        let same =
            |o: &Option<ShelfDye>| matches!((o, one), (Some(a), Some(b)) if a.dye.id == b.dye.id);
        if dyes[..i].iter().any(same) {
            let id = one.as_ref().map_or("", |d| d.dye.id.as_str());
            let hint = "give each dye, and each lot of a dye, its own id";
            root.fault(tables[i].span.clone(), format!("two dyes are called \"{id}\""), hint);
        }
    }
    let packs = packs(root, lore, files, &dyes);
    let others: Vec<Option<ShelfOther>> =
        root.parts("auxiliary").iter().map(|t| other(t, lore)).collect();
    let mut dyes: Vec<ShelfDye> = dyes.into_iter().collect::<Option<_>>()?;
    dyes.extend(packs?);
    Some(Shelf { dyes, others: others.into_iter().collect::<Option<_>>()?, starter: false })
}

/// The dyes of all `[[pack]]` entries. A new pack is a new lot: two of one id are told apart by their lots,
/// and are two dyes from then on.
fn packs(
    root: &Table,
    lore: &Lore,
    files: &dyn Files,
    dyes: &[Option<ShelfDye>],
) -> Option<Vec<ShelfDye>> {
    let tables = root.parts("pack");
    let read: Vec<Option<PackRead>> = tables.iter().map(|t| pack(t, lore, files)).collect();
    let mut sound = true;
    for (i, one) in read.iter().enumerate() {
        let Some(one) = one else { continue };
        let id = &one.id.it;
        if dyes.iter().flatten().any(|d| d.dye.id == *id) {
            let hint = "give each dye and each pack its own id";
            root.fault(one.id.span.clone(), format!("a dye is called \"{id}\" too"), hint);
            sound = false;
        }
        let same = |o: &PackRead| o.id.it == *id && (o.lot.is_none() || o.lot == one.lot);
        let before = read[..i].iter().flatten();
        if before.clone().any(same) || (one.lot.is_none() && before.clone().any(|o| o.id.it == *id))
        {
            let says =
                format!("two packs are called \"{id}\", and their lots do not tell them apart");
            let hint = "a new pack is a new lot: write lot = what is printed on each, or give it \
                        another id";
            root.fault(one.id.span.clone(), says, hint);
            sound = false;
        }
    }
    let read: Vec<PackRead> = read.into_iter().collect::<Option<_>>()?;
    let ids: Vec<String> = read.iter().map(|p| p.id.it.clone()).collect();
    let several = |id: &str| ids.iter().filter(|other| *other == id).count() > 1;
    let of_lot = |pack: PackRead| {
        let told_apart = pack.lot.clone().filter(|_| several(&pack.id.it));
        pack.dyes.into_iter().map(move |mut one| {
            if let Some(lot) = &told_apart {
                let id = format!("{}-{}", one.dye.id, lot.to_lowercase().replace(' ', "-"));
                let name = format!("{}, lot {lot}", one.dye.name);
                one.dye = one.dye.called(&id, &name);
            }
            one
        })
    };
    sound.then(|| read.into_iter().flat_map(of_lot).collect())
}

fn dye(table: &Table, lore: &Lore, files: &dyn Files) -> Option<ShelfDye> {
    let id = table.need_text("id", "a short name of your own, such as \"red-1\"");
    let name = table.text("name");
    let like = table.need_text("like", "the starter dye it is nearest to, by id; see `shelf list`");
    let form = form(table);
    let stock = stock(table);
    let ci = table.text("ci").map(|t| t.it);
    let lot = table.text("lot").map(|t| t.it);
    let opened = table.day("opened").map(|d| d.it);
    let (bought, expires) = ages(table);
    if let (Some(bought), Some(opened)) = (bought, opened)
        && opened < bought
    {
        let says = format!("it was opened on {opened}, before it was bought on {bought}");
        table.fault(table.span.clone(), says, "correct one of the two days");
    }
    let chips = table.parts("swatch");
    let base = like.and_then(|like| match starter_dye(&like.it) {
        Some(dye) => Some(dye.clone()),
        None => {
            let known: Vec<&str> = starter().iter().map(|s| s.dye.id.as_str()).collect();
            let hint = match nearest(&like.it, &known) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "`dyewright shelf list` shows the starter dyes".to_owned(),
            };
            table.fault(like.span, format!("there is no starter dye \"{}\"", like.it), hint);
            None
        }
    });
    let base = base.and_then(|mut base| {
        let name = name.map_or_else(|| base.name.clone(), |n| n.it);
        base = base.called(&id.as_ref()?.it, &name);
        base.form = form?;
        // What the starter dye is called in the Colour Index says nothing of the maker's own bottle.
        base.ci = ci;
        learn(table, &base, &chips, lore, files)
    });
    table.finish();
    let (left, sold_in) = stock?;
    let price = sold_in.map(|p| p.price_per_gram());
    let (dye, rungs) = base?;
    Some(ShelfDye {
        dye,
        left,
        price,
        lot,
        sold_in,
        bought,
        opened,
        expires,
        pack: None,
        only_on: None,
        rungs,
    })
}

fn form(table: &Table) -> Option<Form> {
    match table.number("liquid_pct") {
        None => Some(Form::Powder),
        Some(pct) => {
            let hint = "the dye in 100 mL of the liquid, in grams";
            table.keep(&pct.span, StockStrength::try_percent(pct.it), hint).map(Form::Liquid)
        }
    }
}

/// `grams`, `pack_g` and `pack_price`.
fn stock(table: &Table) -> Option<(Option<Mass>, Option<Pack>)> {
    let hint = "in grams, zero or more";
    let mut sound = true;
    let mut mass = |key| {
        let at: Option<At<f64>> = table.number(key);
        at.and_then(|n| {
            let mass = table.keep(&n.span, Mass::try_grams(n.it), hint);
            sound &= mass.is_some();
            mass
        })
    };
    let (left, pack) = (mass("grams"), mass("pack_g"));
    let paid = table.number("pack_price");
    let sold_in = match (paid, pack) {
        (None, _) => None,
        (Some(paid), Some(pack)) if pack.to_grams() > 0.0 => {
            let money = table.keep(&paid.span, Money::try_amount(paid.it), "zero or more")?;
            Some(table.keep(&paid.span, Pack::try_new(pack, money), "check the pack")?)
        }
        (Some(paid), _) => {
            let hint = "say what the pack holds: pack_g = 20";
            table.fault(paid.span, "a price needs the size of its pack", hint);
            return None;
        }
    };
    sound.then_some((left, sold_in))
}

/// `bought` and `expires`.
pub(crate) fn ages(table: &Table) -> (Option<Day>, Option<Day>) {
    let (bought, expires) = (table.day("bought"), table.day("expires"));
    if let (Some(bought), Some(expires)) = (&bought, &expires)
        && expires.it < bought.it
    {
        let says = format!("it expired on {}, before it was bought on {}", expires.it, bought.it);
        table.fault(expires.span.clone(), says, "read both days from the pack again");
    }
    (bought.map(|d| d.it), expires.map(|d| d.it))
}

/// Learns from `[[dye.swatch]]` entries: `{ owf_pct, on, lab|hex|file, liquor_ratio }`.
fn learn(
    table: &Table,
    base: &Dye,
    chips: &[Table],
    lore: &Lore,
    files: &dyn Files,
) -> Option<(Dye, Vec<Rung>)> {
    if chips.is_empty() {
        return Some((base.clone(), vec![]));
    }
    let rungs: Option<Vec<Rung>> = chips.iter().map(|c| rung(c, base, lore, files)).collect();
    let rungs = rungs?;
    let seen = |rung: &Rung| rung.bands.map_or(Seen::Colour(rung.lab), Seen::Spectrum);
    let list: Vec<Lesson> = rungs
        .iter()
        .map(|rung| {
            let seen = seen(rung);
            Lesson { on: &rung.on, dose: rung.dose, seen, spread: CHIP_SPREAD }
        })
        .collect();
    let knowledge = if list.len() > 1 { Knowledge::Ladder } else { Knowledge::Chip };
    let hint = "check depth, cloth and the starter dye it is like";
    let dye = table.keep(&table.span, taught(base, &list, knowledge), hint)?;
    Some((dye, rungs))
}

/// Spread of one chip or swatch, dyeing and reading together, ΔE00 (judgement).
const CHIP_SPREAD: f64 = 1.0;

fn rung(table: &Table, base: &Dye, lore: &Lore, files: &dyn Files) -> Option<Rung> {
    let depth = table.number("owf_pct");
    let on = table.text("on");
    let ratio = table.number("liquor_ratio").map_or(20.0, |r| r.it);
    let natural = table.flag("undyed_natural");
    if depth.is_none() {
        table.fault(table.span.clone(), "`owf_pct` is missing", "the depth it was dyed at, % owf");
    }
    let seen = given(table, files);
    let depth = depth?;
    let hint = "above zero, in % on weight of fibre";
    let dose = table.keep(&depth.span, OnFibre::try_percent(depth.it), hint)?;
    let on = on.unwrap_or_else(|| At { it: "cotton".to_owned(), span: table.span.clone() });
    let material = table.keep(&on.span, lore.material(&on.it).map(|m| m.id.clone()), "a fibre")?;
    let look = if natural { Look::Natural } else { Look::White };
    let ground = Ground::assumed(&[(&material, Share::WHOLE)], look);
    let ground = table.keep(&on.span, ground, "a fibre this class colours")?;
    let ratio = LiquorRatio::try_litres_per_kilogram(ratio);
    let ratio = table.keep(&table.span, ratio, "litres per kilogram")?;
    let on =
        table.keep(&on.span, Substrate::try_new(&ground, base.class, ratio), "another fibre")?;
    let reference = colour::Weights::reference();
    let (lab, bands) = match seen?.as_given {
        AsGiven::Colour(lab) => (lab, None),
        AsGiven::Spectrum(bands) => (reference.lab(&bands), Some(bands)),
        AsGiven::Screen(screen) => {
            let likely = ClothPrior::shipped().screen_colour_to_cloth(screen.to_xyz2());
            let likely = table.keep(&table.span, likely, "a colour cloth can have")?;
            (reference.lab(&likely.bands), None)
        }
    };
    Some(Rung { material, on, dose, lab, bands })
}

fn other(table: &Table, lore: &Lore) -> Option<ShelfOther> {
    let id = table.need_text("id", "an auxiliary's id, such as \"soda-ash\"");
    let stock = stock(table);
    let (bought, expires) = ages(table);
    table.finish();
    let id = id?;
    let known =
        table.keep(&id.span, lore.agent(&id.it).map(|a| a.id.clone()), "check the spelling")?;
    let (left, sold_in) = stock?;
    let price = sold_in.map(|p| p.price_per_gram());
    Some(ShelfOther { id: known, left, price, sold_in, bought, expires })
}
