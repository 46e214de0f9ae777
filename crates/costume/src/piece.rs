//! A piece: one item of goods with one target.

use colour::{Place, Viewing};
use lore::{Lore, Procedure};
use units::{Day, LiquorRatio, Mass};

use crate::goods::goods;
use crate::reader::Table;
use crate::target::given;
use crate::wishes::{ADVICE, dyed_by, over};
use crate::{BlendWish, Files, Given, Goods, Over, Worth};
use dyeing::Look;

/// One piece of a costume.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Short name used in files.
    pub id: String,
    /// What the maker calls it.
    pub name: String,
    /// The cloth.
    pub goods: Goods,
    /// The undyed cloth as seen.
    pub ground: GroundGiven,
    /// The colour it should be.
    pub target: Given,
    /// From how near it is judged.
    pub viewing: Viewing,
    /// Where it will be seen.
    pub places: Vec<Place>,
    /// A procedure the maker insists on.
    pub procedure: Option<Procedure>,
    /// A liquor ratio the maker insists on.
    pub ratio: Option<LiquorRatio>,
    /// What is known of a swatch.
    pub swatch: Swatch,
    /// Ids of advice the maker overrules.
    pub overruled: Vec<String>,
    /// How much it matters.
    pub worth: Worth,
    /// The undyed cloth has an optical brightener.
    pub brightened: bool,
    /// A sheer: what it is seen over.
    pub over: Option<Over>,
    /// Two or more people who each dye one of it, of the same weight; empty: the maker alone.
    pub dyed_by: Vec<String>,
    /// How a blend may be dyed; none: the program chooses.
    pub blend: Option<BlendWish>,
    /// Spare cloth, thread and a patch that go into the first bath with it, on top of its weight.
    pub spare: Option<Mass>,
    /// How much its swatch shall weigh; none: the usual.
    pub swatch_weighs: Option<Mass>,
    /// It was cut with room to shrink.
    pub shrinkage_allowed: bool,
    /// It was scoured, or bought ready for dyeing: no scour goes before its bath.
    pub scoured: bool,
}

/// The undyed cloth as given.
#[derive(Debug, Clone, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "a handful per piece; a box would cost every reader a step"
)]
pub enum GroundGiven {
    /// Not read: the default look of its material.
    Assumed(Look),
    /// Read.
    Read(Given),
}

/// What is known of a swatch on this cloth.
#[derive(Debug, Clone, PartialEq)]
pub enum Swatch {
    /// None yet: the bulk sheet is provisional.
    None,
    /// One was dyed on this cloth at this liquor ratio.
    Recorded {
        /// When.
        day: Day,
        /// At which ratio.
        ratio: LiquorRatio,
    },
    /// The maker signed that there will be none.
    Waived {
        /// Who signed.
        signed_by: String,
        /// When.
        day: Day,
    },
}

/// Reads one `[[piece]]`.
pub(crate) fn piece(table: &Table, lore: &Lore, files: &dyn Files) -> Option<Piece> {
    let id = table.need_text("id", "a short name, such as \"coat\"");
    let name = table.text("name");
    let goods = goods(table, lore);
    let ground = ground(table, files);
    let target = match table.part("target") {
        Some(target) => given(&target, files),
        None => {
            let hint =
                "write target = { lab = [L, a, b] }, { hex = \"#rrggbb\" } or { file = \"…\" }";
            if table.any("target").is_none() {
                table.fault(table.span.clone(), "`target` is missing", hint);
            }
            None
        }
    };
    let viewing = viewing(table).unwrap_or(Viewing::CloseUp);
    let mut places = places(table);
    if places.is_empty() {
        places = vec![Place::Daylight, Place::Hall];
    }
    let procedure = table.text("procedure").map_or(Some(None), |p| {
        let hint = "leave it out and the program chooses";
        table.keep(&p.span, p.it.parse().map(Some), hint)
    });
    let ratio = match table.number("liquor_ratio") {
        Some(r) => {
            let hint = "litres per kilogram, such as 30 for 30:1";
            table.keep(&r.span, LiquorRatio::try_litres_per_kilogram(r.it), hint).map(Some)
        }
        None => Some(None),
    };
    let swatch = swatch(table);
    let worth = table.choice("worth", &Worth::ALL, Worth::name).unwrap_or_default();
    let blend = table.choice("blend", &BlendWish::ALL, BlendWish::name);
    let over = over(table, files);
    let dyed_by = dyed_by(table);
    let spare = spare(table, goods.as_ref());
    let swatch_weighs = swatch_weighs(table);
    let shrinkage_allowed = table.flag("shrinkage_allowed");
    let scoured = table.flag("scoured");
    let brightened = brightened(table, ground.as_ref());
    let overruled = table
        .texts("overrule")
        .into_iter()
        .filter_map(|id| table.one_of("overrule", &id, &ADVICE, |id| id))
        .map(str::to_owned)
        .collect();
    table.finish();
    let id = id?.it;
    Some(Piece {
        name: name.map_or_else(|| id.clone(), |n| n.it),
        id,
        goods: goods?,
        ground: ground?,
        target: target?,
        viewing,
        places,
        procedure: procedure?,
        ratio: ratio?,
        swatch: swatch?,
        overruled,
        worth,
        brightened,
        over,
        dyed_by,
        blend,
        spare,
        swatch_weighs,
        shrinkage_allowed,
        scoured,
    })
}

/// The lightest and the heaviest swatch, g: half a gram is a single layer of 50 × 50 mm at 200 g/m², still dosed from
/// stock solutions with a syringe; above 10 g nothing more is learnt (common practice).
const SWATCH_G: std::ops::RangeInclusive<f64> = 0.5..=10.0;

/// Reads `swatch_g`.
fn swatch_weighs(table: &Table) -> Option<Mass> {
    let hint = "what its swatch shall weigh, in grams, 0.5 to 10";
    let at = table.between("swatch_g", SWATCH_G, hint)?;
    table.keep(&at.span, Mass::try_grams(at.it), hint)
}

/// Reads `spare_g`: above zero, at most what the piece weighs.
fn spare(table: &Table, goods: Option<&Goods>) -> Option<Mass> {
    let at = table.number("spare_g")?;
    let hint = "spare cloth, thread and a patch, in grams";
    let spare = table.keep(&at.span, Mass::try_grams(at.it), hint)?;
    if spare.to_grams() <= 0.0 {
        table.fault(at.span, "`spare_g` is 0", "leave it out when there is no spare cloth");
        return None;
    }
    if goods.is_some_and(|g| spare > g.dry) {
        let says = format!("`spare_g` is {}, more than the piece weighs", at.it);
        table.fault(at.span, says, "spare cloth is a part of what the piece weighs, in grams");
        return None;
    }
    Some(spare)
}

/// Reads `brightened`: brightener is put on white cloth, never left in natural.
fn brightened(table: &Table, ground: Option<&GroundGiven>) -> bool {
    let brightened = table.flag("brightened");
    if brightened && matches!(ground, Some(GroundGiven::Assumed(Look::Natural))) {
        let span = table.any("brightened").map_or(table.span.clone(), |b| b.span);
        let hint = "optical brightener is in white cloth: write undyed = \"white\" or take it out";
        table.fault(span, "natural cloth that is brightened", hint);
    }
    brightened
}

/// Reads `undyed`.
pub(crate) fn ground(table: &Table, files: &dyn Files) -> Option<GroundGiven> {
    use crate::reader::Any;
    let hint = "write \"white\", \"natural\", or a reading of the undyed cloth";
    match table.any("undyed") {
        None => Some(GroundGiven::Assumed(Look::White)),
        Some(at) => match &at.it {
            Any::Text(word) if word == "white" => Some(GroundGiven::Assumed(Look::White)),
            Any::Text(word) if word == "natural" || word == "ecru" => {
                Some(GroundGiven::Assumed(Look::Natural))
            }
            Any::Table(entries) => {
                given(&table.inner(entries, at.span.clone()), files).map(GroundGiven::Read)
            }
            Any::Text(word) => {
                table.fault(at.span.clone(), format!("`undyed` is \"{word}\""), hint);
                None
            }
            other => {
                table.fault(at.span.clone(), format!("`undyed` is {}", other.kind()), hint);
                None
            }
        },
    }
}

/// Reads `seen_from`.
pub(crate) fn viewing(table: &Table) -> Option<Viewing> {
    let at = table.text("seen_from")?;
    table.keep(&at.span, Viewing::from_name(&at.it), "touching, beside, close up or stage")
}

/// Reads `lights`.
pub(crate) fn places(table: &Table) -> Vec<Place> {
    table
        .texts("lights")
        .into_iter()
        .filter_map(|p| {
            let hint = "daylight, shop, hall lamps, home bulb, stage tungsten or flash";
            table.keep(&p.span, Place::from_name(&p.it), hint)
        })
        .collect()
}

fn swatch(table: &Table) -> Option<Swatch> {
    let Some(part) = table.part("swatch") else { return Some(Swatch::None) };
    let recorded = part.day("recorded");
    let ratio = part.number("liquor_ratio");
    let waived = part.text("waived_by");
    let day = part.day("day");
    part.finish();
    let hint =
        "write { recorded = 2027-01-10, liquor_ratio = 30 } or { waived_by = \"name\", day = … }";
    match (recorded, ratio, waived, day) {
        (Some(recorded), Some(ratio), None, None) => {
            let ratio = LiquorRatio::try_litres_per_kilogram(ratio.it);
            let ratio = table.keep(&part.span, ratio, hint)?;
            Some(Swatch::Recorded { day: recorded.it, ratio })
        }
        (None, None, Some(name), Some(day)) => {
            Some(Swatch::Waived { signed_by: name.it, day: day.it })
        }
        _ => {
            table.fault(part.span.clone(), "`swatch` is half written", hint);
            None
        }
    }
}
