//! Swatches looked for in the workbook by colour, dye, fibre and class, a page at a time: quick with thousands.

use std::collections::BTreeMap;
use std::path::Path;

use workbook::{CanBeSought, Refusal, Sought, Within};

use crate::book_asked::asked_colour;
use crate::book_seen::{SwatchSeen, hex_of, swatch};
use crate::books::{to_read, trouble};
use crate::{Trouble, shown};

/// What is looked for, as typed; an empty word lets everything through.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SwatchesSought {
    /// A colour: hex, or "L a b".
    pub colour: String,
    /// How far from it, ΔE00.
    pub within: f64,
    /// A dye, by its name in the workbook.
    pub dye: String,
    /// A fibre.
    pub fibre: String,
    /// A class of dyes, by its id.
    pub class: String,
    /// The page, from 0.
    pub page: usize,
}

/// A swatch, and how far it is from the colour asked for, ΔE00, where one was.
pub type SwatchNear = (SwatchSeen, Option<f64>);

/// A page of what was found.
#[derive(Debug, Clone, PartialEq)]
pub struct SwatchesFound {
    /// The colour asked for, Lab D65/10°, and how a screen shows it; none where none was asked for.
    pub colour: Option<([f64; 3], Option<String>, String)>,
    /// The swatches of this page; where a colour was asked for, each with how far it is from it, nearest first.
    pub swatches: Vec<SwatchNear>,
    /// How many there are on all pages.
    pub of: usize,
    /// Pages there are, at least 1.
    pub pages: usize,
    /// What can be asked for: a word, how it is called, and how many swatches it would find.
    pub dyes: Vec<(String, String, usize)>,
    /// Likewise the fibres.
    pub fibres: Vec<(String, String, usize)>,
    /// Likewise the classes.
    pub classes: Vec<(String, String, usize)>,
}

/// Swatches on a page.
pub const SWATCHES_A_PAGE: usize = 24;

/// Looks for swatches.
///
/// # Errors
/// A colour that is none; a workbook that cannot be read.
pub fn seek_swatches(book: &Path, wanted: &SwatchesSought) -> Result<SwatchesFound, Trouble> {
    let lab = match wanted.colour.trim() {
        "" => None,
        given => Some(asked_colour(given)?),
    };
    let within = || Within::try_de00(wanted.within).map_err(|e| trouble(&e, book));
    let sought = Sought {
        colour: lab.map(|lab| Ok::<_, Trouble>((lab, within()?))).transpose()?,
        dye: wanted.dye.clone(),
        fibre: wanted.fibre.clone(),
        class: wanted.class.clone(),
    };
    let open = to_read(book)?;
    let from = wanted.page.saturating_mul(SWATCHES_A_PAGE);
    let seen = || -> Result<(usize, Vec<SwatchNear>, CanBeSought), Refusal> {
        let found = open.swatches_sought(&sought, from, SWATCHES_A_PAGE)?;
        let each = found.swatches.iter().map(|(one, near)| {
            let apart = near.as_ref().map(|near| shown::rounded(near.de00, 2));
            Ok((swatch(&open, one)?, apart))
        });
        let each = each.collect::<Result<Vec<_>, Refusal>>()?;
        Ok((found.of, each, open.can_be_sought()?))
    };
    let (of, swatches, can) = seen().map_err(|e| trouble(&e, book))?;
    let lore = lore::Lore::shipped();
    let named = |all: BTreeMap<String, usize>, name: &dyn Fn(&str) -> Option<String>| {
        let each = all.into_iter().map(|(word, many)| {
            let called = name(&word).unwrap_or_else(|| word.replace('-', " "));
            (word, called, many)
        });
        each.collect()
    };
    let class = |id: &str| Some(lore.class_name(lore.class_named(id).ok()?).to_owned());
    Ok(SwatchesFound {
        colour: lab.map(|lab| (shown::lab(lab), hex_of(lab), colour::describe(lab))),
        swatches,
        of,
        pages: of.div_ceil(SWATCHES_A_PAGE).max(1),
        dyes: named(can.dyes, &|_| None),
        fibres: named(can.fibres, &|id| lore.material(id).ok().map(|m| m.name.clone())),
        classes: named(can.classes, &class),
    })
}

/// How many swatches that stand each dye was dosed in, by the dye's name in the workbook.
///
/// # Errors
/// A workbook that cannot be read.
pub fn swatches_by_dye(book: &Path) -> Result<BTreeMap<String, usize>, Trouble> {
    let open = to_read(book)?;
    Ok(open.can_be_sought().map_err(|e| trouble(&e, book))?.dyes)
}
