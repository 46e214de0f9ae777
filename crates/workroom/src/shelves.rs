//! The shelf: list what is on it, and check a shelf file.

use std::collections::BTreeMap;
use std::path::Path;

use costume::{PackFacts, Shelf, ShelfDye, read_shelf};
use dyeing::{Dosed, Ground, HOME, Look, Substrate, predict, starter};
use lore::{DyeClass, Lore, People, Verdict};
use serde::Serialize;
use units::{Day, LiquorRatio, OnFibre, Share};

use crate::asked::Asked;
use crate::disk::{Folder, text};
use crate::opened::shelf_of;
use crate::shelf_advice::advice;
use crate::{Trouble, shown};

/// A shelf, as printed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShelfSeen {
    /// Always "shelf".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// "starter", or the file.
    pub shelf: String,
    /// The dyes.
    pub dyes: Vec<DyeSeen>,
    /// Auxiliaries and gear.
    pub auxiliaries: Vec<OtherSeen>,
    /// What a look at the shelf shows: blocked names, dates, doubles, things used up.
    pub advice: Vec<String>,
}

/// One dye.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DyeSeen {
    /// Shelf id.
    pub id: String,
    /// Hue words.
    pub name: String,
    /// Class id.
    pub class: &'static str,
    /// The class in words.
    pub class_name: String,
    /// Colour Index Generic Name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ci: Option<String>,
    /// How its colour is known: pack claim, estimate, one chip, own ladder.
    pub known: &'static str,
    /// For a starter dye, how far its main peak is to be trusted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peak_standing: Option<String>,
    /// For a starter dye, how far everything else is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standing: Option<String>,
    /// How 1 % owf should look on white cloth of `on`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub look: Option<LookSeen>,
    /// Deepest dose proposed, % owf.
    pub deepest_pct: f64,
    /// What is left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_g: Option<f64>,
    /// Price per gram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_g: Option<f64>,
    /// Lot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// When it was bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bought: Option<String>,
    /// When it was opened.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opened: Option<String>,
    /// The last day its maker vouches for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expires: Option<String>,
    /// What it is as a pack, when it is known only by its pack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pack: Option<PackSeen>,
    /// What must be known of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A dye known only by its pack; one row for each fibre it claims a colour for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PackSeen {
    /// all-purpose or premixed.
    pub kind: &'static str,
    /// What one pack holds.
    pub pack_g: f64,
    /// The fibre this row is only for, when the pack tells fibres apart.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub only_on: Option<String>,
    /// What it brings besides dye, never dosed twice.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub contains: Vec<String>,
    /// True when its parts may take up differently.
    pub may_split: bool,
    /// True when its safety sheet is at hand.
    pub sheet: bool,
}

/// How a dye looks at 1 % owf.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LookSeen {
    /// On white cloth of this fibre.
    pub on: String,
    /// In words.
    pub words: String,
    /// CIELAB, D65/10°.
    pub lab: [f64; 3],
    /// For a screen.
    pub hex: String,
}

/// One auxiliary or tool.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OtherSeen {
    /// Its id.
    pub id: String,
    /// What is left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_g: Option<f64>,
    /// Price per gram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_g: Option<f64>,
    /// When it was bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bought: Option<String>,
    /// The last day its maker vouches for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expires: Option<String>,
}

/// Lists a shelf file, or the starter shelf; `class` is a class's id, name or family ("reactive",
/// "acid").
pub fn list_shelf(
    file: Option<&Path>,
    class: Option<&str>,
    today: Day,
) -> Result<ShelfSeen, Trouble> {
    let lore = Lore::shipped();
    let shelf = of(file, lore)?;
    let mut asked = Asked::default();
    let classes = class.map(|word| {
        let at = asked.typed("--class", word);
        asked
            .keep(&at, classes_named(word, lore), "or a family: reactive, acid")
            .unwrap_or_default()
    });
    asked.sound()?;
    let mut seen = seen(file, &shelf, lore, today);
    if let Some(classes) = classes {
        seen.dyes.retain(|d| classes.iter().any(|c| c.id() == d.class));
        seen.auxiliaries.clear();
    }
    Ok(seen)
}

/// Checks a shelf file: all its faults at once, else advice on what stands in it.
pub fn check_shelf(file: &Path, today: Day) -> Result<ShelfSeen, Trouble> {
    let lore = Lore::shipped();
    let text = text(file)?;
    let name = file.display().to_string();
    let shelf = match read_shelf(&name, &text, lore, &Folder::of(file)) {
        Ok(shelf) => {
            let blocked = blocked_names(&text, lore);
            if !blocked.is_empty() {
                return Err(costume::Faults { file: name, text, list: blocked }.into());
            }
            shelf
        }
        Err(mut faults) => {
            faults.list.extend(blocked_names(&text, lore));
            faults.list.sort_by_key(|f| f.span.start);
            return Err(faults.into());
        }
    };
    let mut seen = seen(Some(file), &shelf, lore, today);
    if shelf.dyes.is_empty() {
        seen.advice
            .insert(0, "There is no dye on it yet: add one with `dyewright shelf add`.".to_owned());
    }
    Ok(seen)
}

/// A shelf file, or the starter shelf.
pub(crate) fn of(file: Option<&Path>, lore: &Lore) -> Result<Shelf, Trouble> {
    file.map_or_else(|| Ok(Shelf::of_starters()), |path| shelf_of(path, lore))
}

/// The classes meant by a word: a family, or one class by id or name.
pub(crate) fn classes_named(word: &str, lore: &Lore) -> Result<Vec<DyeClass>, lore::UnknownName> {
    match word.trim().to_lowercase().as_str() {
        "reactive" => Ok(vec![DyeClass::ReactiveDct, DyeClass::ReactiveMct, DyeClass::ReactiveVs]),
        "acid" => Ok(vec![DyeClass::AcidLevelling, DyeClass::AcidMilling, DyeClass::Premetallised]),
        _ => lore.class_named(word).map(|c| vec![c]),
    }
}

/// Leaves only the dyes of a shelf that are named by class, family or id; gives the words that name none, by their place
/// among the others, with what is wrong and what to do.
pub(crate) fn keep_only(
    shelf: &mut Shelf,
    have: &[String],
    lore: &Lore,
) -> Vec<(usize, String, String)> {
    let (mut ids, mut classes, mut unknown): (Vec<&str>, Vec<DyeClass>, Vec<_>) =
        Default::default();
    for (at, word) in have.iter().enumerate() {
        let word = word.trim();
        if shelf.dyes.iter().any(|d| d.dye.id == word) {
            ids.push(word);
            continue;
        }
        match classes_named(word, lore) {
            Ok(named) => classes.extend(named),
            Err(no) => {
                let hint = format!(
                    "name a class, a family (reactive, acid) or a dye; {}",
                    near_ids(word, shelf)
                );
                unknown.push((at, no.to_string(), hint));
            }
        }
    }
    if !have.is_empty() {
        shelf.dyes.retain(|d| ids.contains(&d.dye.id.as_str()) || classes.contains(&d.dye.class));
    }
    unknown
}

/// A hint with the ids on a shelf that look like a word.
pub(crate) fn near_ids(word: &str, shelf: &Shelf) -> String {
    let ids = || shelf.dyes.iter().map(|d| d.dye.id.as_str());
    let close = |id: &&str| strsim::levenshtein(word, id) <= 1 + word.chars().count() / 3;
    let mut near: Vec<&str> = ids().filter(close).collect();
    near.sort_by_key(|id| strsim::levenshtein(word, id));
    near.truncate(3);
    if near.is_empty() {
        "`dyewright shelf list` shows what is on it".to_owned()
    } else {
        format!("did you mean {}?", near.join(" or "))
    }
}

/// Names and Generic Names in a shelf file that are blocked or never for a home.
pub(crate) fn blocked_names(text: &str, lore: &Lore) -> Vec<costume::Fault> {
    let Ok(document) = toml_edit::Document::parse(text) else { return vec![] };
    let mut faults = vec![];
    for (key, item) in document.iter() {
        let Some(tables) = item.as_array_of_tables() else { continue };
        for (field, value) in tables.iter().flat_map(toml_edit::Table::iter) {
            let Some(said) =
                value.as_str().filter(|_| ["name", "ci", "id", "lot"].contains(&field))
            else {
                continue;
            };
            let span = value.span().unwrap_or(0..0);
            if let Some(blocked) = lore.blocked_dye(said).filter(|_| key == "dye") {
                faults.push(costume::Fault {
                    span,
                    says: format!("\"{said}\" names a blocked dye: {}", blocked.text),
                    hint: "take it off the shelf unopened; ask your council where such waste goes"
                        .to_owned(),
                });
            } else if let Some(never) = lore.refused(said) {
                faults.push(costume::Fault {
                    span,
                    says: format!("\"{said}\" is not for a home kit: it {}", never.why),
                    hint: "take it off the shelf".to_owned(),
                });
            }
        }
    }
    faults
}

fn seen(file: Option<&Path>, shelf: &Shelf, lore: &Lore, today: Day) -> ShelfSeen {
    let mut best_on = BestOn::new();
    ShelfSeen {
        dyewright: "shelf",
        version: 1,
        shelf: file.map_or_else(|| "starter".to_owned(), |f| f.display().to_string()),
        dyes: shelf.dyes.iter().map(|d| dye_seen(d, shelf.starter, lore, &mut best_on)).collect(),
        auxiliaries: shelf
            .others
            .iter()
            .map(|o| OtherSeen {
                id: o.id.clone(),
                left_g: o.left.map(|m| shown::rounded(m.to_grams(), 3)),
                price_per_g: o.price.map(|p| shown::rounded(p.to_per_gram(), 5)),
                bought: o.bought.map(|d| d.to_string()),
                expires: o.expires.map(|d| d.to_string()),
            })
            .collect(),
        advice: advice(shelf, today),
    }
}

fn dye_seen(one: &ShelfDye, of_starters: bool, lore: &Lore, best_on: &mut BestOn) -> DyeSeen {
    let dye = &one.dye;
    let row = starter().iter().find(|s| of_starters && s.dye.id == dye.id);
    DyeSeen {
        id: dye.id.clone(),
        name: dye.name.clone(),
        class: dye.class.id(),
        class_name: lore.class_name(dye.class).to_owned(),
        ci: dye.ci.clone(),
        known: dye.knowledge.words(),
        peak_standing: row.map(|r| r.peak_standing.clone()),
        standing: row.map(|r| r.standing.clone()),
        look: look(one, lore, best_on),
        deepest_pct: dye.most.to_percent(),
        left_g: one.left.map(|m| shown::rounded(m.to_grams(), 3)),
        price_per_g: one.price.map(|p| shown::rounded(p.to_per_gram(), 5)),
        lot: one.lot.clone(),
        bought: one.bought.map(|d| d.to_string()),
        opened: one.opened.map(|d| d.to_string()),
        expires: one.expires.map(|d| d.to_string()),
        pack: one.pack.as_ref().map(|pack| pack_seen(one, pack, lore)),
        note: dye.note.clone(),
    }
}

fn pack_seen(one: &ShelfDye, pack: &PackFacts, lore: &Lore) -> PackSeen {
    let called = |id: &str| lore.agent(id).map_or_else(|_| id.to_owned(), |a| a.name.clone());
    PackSeen {
        kind: pack.kind.name(),
        pack_g: shown::rounded(pack.holds.to_grams(), 3),
        only_on: one.only_on.clone(),
        contains: pack.contains.iter().map(|c| called(&c.agent)).collect(),
        may_split: pack.may_split,
        sheet: pack.sheet,
    }
}

/// The cloth each class is best on, once it was looked for: a shelf has many dyes of few classes.
type BestOn = BTreeMap<(DyeClass, Option<String>), Option<String>>;

/// The cloth a class is best on, or the only one that a pack claims to colour.
fn best_on(class: DyeClass, only: Option<&str>, lore: &Lore) -> Option<String> {
    // Fair at home is the most that disperse dye reaches on polyester in an open pot.
    let best = |on: &str| {
        let makeup = lore.try_makeup(&[(on, Share::WHOLE)]).ok()?;
        let offers = lore.offer(&makeup, &[], People::default());
        let classes = offers.offered.iter().flat_map(|o| o.classes.iter());
        classes.filter(|c| c.class == class && c.verdict.dyes()).map(|c| c.verdict).max()
    };
    let mut on: Option<(Verdict, &str)> = None;
    let whites = ["cotton", "wool", "polyester", "acrylic"];
    for cloth in only.map_or(whites.to_vec(), |only| vec![only]) {
        if let Some(verdict) = best(cloth).filter(|v| on.is_none_or(|(so_far, _)| *v > so_far)) {
            on = Some((verdict, cloth));
        }
    }
    on.map(|(_, on)| on.to_owned())
}

/// The cloth a dye is best on.
pub(crate) fn cloth_for(one: &ShelfDye, lore: &Lore) -> Option<String> {
    best_on(one.dye.class, one.only_on.as_deref(), lore)
}

/// 1 % owf at 20:1 on the white cloth the class is best on.
fn look(one: &ShelfDye, lore: &Lore, known: &mut BestOn) -> Option<LookSeen> {
    let class = one.dye.class;
    let on = known
        .entry((class, one.only_on.clone()))
        .or_insert_with(|| best_on(class, one.only_on.as_deref(), lore))
        .clone()?;
    let ground = Ground::assumed(&[(&on, Share::WHOLE)], Look::White).ok()?;
    let ratio = LiquorRatio::try_litres_per_kilogram(dyeing::REFERENCE_RATIO).ok()?;
    let substrate = Substrate::try_new(&ground, class, ratio).ok()?;
    let dose = OnFibre::try_percent(1.0).ok()?;
    let found = predict(&substrate, &[Dosed { dye: &one.dye, dose, scatter: 0.0 }], HOME).ok()?;
    Some(LookSeen {
        on,
        words: colour::describe(found.lab),
        lab: shown::lab(found.lab),
        hex: shown::on_screen(&found.bands).0,
    })
}
