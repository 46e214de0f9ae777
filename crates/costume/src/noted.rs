//! Swatches as noted: a file of what was really dyed and how it was read, to be taken into a workbook.
//!
//! A row for each swatch, and for each bath that pieces were dyed in whole: cloth, weight, doses as dosed, programme, readings with their spread and
//! condition, whose they are. `[all]` holds what is the same for every row that does not say
//! otherwise. Left out: whether a workbook has them already, and what they teach.

use std::cell::RefCell;
use std::ops::Range;

use dyeing::Look;
use lore::{DyeClass, Lore, Makeup, Procedure};
use units::{Day, LiquorRatio, Mass};

use crate::goods::makeup;
use crate::known::Doubt;
use crate::noted_bath::{BathNoted, bath};
use crate::noted_dose::doses;
use crate::noted_reading::readings;
use crate::piece::ground;
use crate::reader::{At, Table, read};
use crate::{
    DoseNoted, Faults, Files, GroundGiven, Known, Meant, ReadingNoted, Shelf, code_meant,
    swatch_code,
};

/// A swatch as noted.
#[derive(Debug, Clone, PartialEq)]
pub struct SwatchNoted {
    /// Where it stands in the file.
    pub span: Range<usize>,
    /// The code on its card.
    pub code: String,
    /// The costume and the piece it was dyed for.
    pub piece: Option<PieceNamed>,
    /// Whether that piece is meant to stand in no costume file.
    pub outside: bool,
    /// The code of the swatch it was dyed over.
    pub over: Option<String>,
    /// The day it was dyed.
    pub day: Option<Day>,
    /// The cloth, in the file's words.
    pub cloth: String,
    /// Ids of its materials, the largest share first.
    pub materials: Vec<String>,
    /// What it was before; none: nobody said.
    pub undyed: Option<GroundGiven>,
    /// Another cloth like the piece's own.
    pub look_alike: bool,
    /// Its dry weight.
    pub goods: Mass,
    /// Liquor to goods.
    pub ratio: Option<LiquorRatio>,
    /// The class of its dyes.
    pub class: DyeClass,
    /// The way of dyeing.
    pub programme: Option<Procedure>,
    /// What was dosed.
    pub doses: Vec<DoseNoted>,
    /// Whose it is.
    pub whose: Whose,
    /// How it was read; nothing while it dries.
    pub readings: Vec<ReadingNoted>,
    /// Anything else.
    pub note: Option<String>,
}

/// What a file of swatches holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Noted {
    /// The swatches.
    pub swatches: Vec<SwatchNoted>,
    /// The baths that pieces were dyed in whole.
    pub baths: Vec<BathNoted>,
    /// Which codes were taken for another than is written, a sentence each.
    pub meant: Vec<String>,
}

/// A piece by name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PieceNamed {
    /// Its costume.
    pub costume: String,
    /// The piece.
    pub piece: String,
}

/// Whose work something is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// One's own.
    Own,
    /// A friend's, by name.
    Friend(String),
    /// An old note's, by where it stands.
    OldNote(String),
}

/// The most swatches of one file: years of dyeing, and small enough to be read in a blink.
const MOST_SWATCHES: usize = 5000;

/// The dry weight of a swatch, g: what a scale still shows, and no bulk bath.
const GOODS_G: std::ops::RangeInclusive<f64> = 0.05..=500.0;

/// What to do about a card's code that no card bears.
const MISTYPED: &str = "read the card again (it never bears 0, 1, I, L, O, S or U); a code of your own is free in any \
                        other shape than three, three and one";

/// The shelf a file of swatches names, if it can be read so far; its path is the file's own.
#[must_use]
pub fn shelf_of_swatches(text: &str) -> Option<String> {
    let found = read("", text, |root| {
        let shelf = root.text("shelf").map(|s| s.it);
        root.any("all");
        root.any("swatch");
        root.any("bath");
        Some(shelf)
    });
    found.ok().flatten()
}

/// Reads a file of swatches; gives all its faults at once. The shelf tells the class of each dye, and
/// its lot where a row tells none; what is known tells a slip in a code or in a piece's name.
pub fn read_swatches(
    file: &str,
    text: &str,
    lore: &Lore,
    files: &dyn Files,
    shelf: &Shelf,
    known: &Known,
) -> Result<Noted, Faults> {
    let by = By { lore, files, shelf, known, meant: RefCell::default() };
    let mut noted = read(file, text, |root| swatches(root, &by))?;
    noted.meant = by.meant.into_inner();
    Ok(noted)
}

/// What a file of swatches is read by.
pub(crate) struct By<'a> {
    pub(crate) lore: &'a Lore,
    pub(crate) files: &'a dyn Files,
    pub(crate) shelf: &'a Shelf,
    known: &'a Known,
    meant: RefCell<Vec<String>>,
}

impl By<'_> {
    /// The code that is meant.
    pub(crate) fn code(&self, table: &Table, written: &At<String>) -> Option<String> {
        match code_meant(&written.it, &self.known.codes) {
            Meant::Itself => Some(written.it.clone()),
            Meant::Unknown => table.keep(&written.span, swatch_code(&written.it), MISTYPED),
            Meant::This(code) => {
                // Capitals and spaces of a card's own code are no news.
                if swatch_code(&written.it).as_deref() != Ok(code) {
                    let said = format!("\"{}\" was taken for {code}.", written.it);
                    let mut meant = self.meant.borrow_mut();
                    if !meant.contains(&said) {
                        meant.push(said);
                    }
                }
                Some(code.to_owned())
            }
            Meant::OneOf(codes) => {
                let says =
                    format!("\"{}\" may be one of several: {}", written.it, codes.join(", "));
                table.fault(written.span.clone(), says, "write the one that is meant");
                None
            }
        }
    }

    /// Asks about a costume or a piece that nobody knows and that is not said to be meant.
    pub(crate) fn ask(
        &self,
        table: &Table,
        costume: &At<String>,
        piece: &At<String>,
        outside: bool,
    ) {
        if outside {
            return;
        }
        if let Some((doubt, says, hint)) = self.known.doubt(&costume.it, &piece.it) {
            let at = if doubt == Doubt::Costume { costume } else { piece };
            table.fault(at.span.clone(), says, hint);
        }
    }
}

/// A row, and what holds for all rows.
pub(crate) struct Row<'a, 'r, 'i> {
    pub(crate) own: &'a Table<'r, 'i>,
    all: Option<&'a Table<'r, 'i>>,
}

impl<'a, 'r, 'i> Row<'a, 'r, 'i> {
    /// The table that has the key: the row itself, else what holds for all.
    pub(crate) fn with(&self, key: &'static str) -> &'a Table<'r, 'i> {
        let own = self.own.any(key).is_some();
        let all = self.all.filter(|all| all.any(key).is_some() && !own);
        all.unwrap_or(self.own)
    }
}

fn swatches(root: &Table, by: &By) -> Option<Noted> {
    root.text("shelf");
    let all = root.part("all");
    let tables = root.parts("swatch");
    let whole = root.parts("bath");
    if tables.len() + whole.len() == 0 {
        root.fault(0..0, "there is no swatch", "write at least one [[swatch]] or [[bath]]");
    }
    if tables.len() + whole.len() > MOST_SWATCHES {
        let hint = format!("a file has at most {MOST_SWATCHES}; split it into two");
        let says = format!("there are {} swatches", tables.len() + whole.len());
        root.fault(0..0, says, hint);
        return None;
    }
    let baths: Vec<Option<BathNoted>> = whole
        .iter()
        .map(|own| {
            let read = bath(&Row { own, all: all.as_ref() }, by);
            own.finish();
            read
        })
        .collect();
    let read: Vec<Option<SwatchNoted>> = tables
        .iter()
        .map(|own| {
            let row = Row { own, all: all.as_ref() };
            let read = swatch(&row, by);
            own.finish();
            read
        })
        .collect();
    if let Some(all) = &all {
        all.finish();
    }
    for (i, one) in read.iter().enumerate() {
        let Some(one) = one else { continue };
        if read[..i].iter().flatten().any(|other| other.code == one.code) {
            let says = format!("two swatches bear the code \"{}\"", one.code);
            root.fault(one.span.clone(), says, "give each card its own code");
        }
    }
    Some(Noted {
        swatches: read.into_iter().collect::<Option<_>>()?,
        baths: baths.into_iter().collect::<Option<_>>()?,
        meant: vec![],
    })
}

fn swatch(row: &Row, by: &By) -> Option<SwatchNoted> {
    let (lore, files, shelf) = (by.lore, by.files, by.shelf);
    let own = row.own;
    let code = own.need_text("code", "what stands on its card, such as code = \"W-1\"");
    let code = code.and_then(|c| by.code(own, &c));
    let outside = row.with("outside").flag("outside");
    let piece = piece(row, by, outside);
    let over = own.text("over").map(|o| by.code(own, &o));
    let day = row.with("day").day("day").map(|d| d.it);
    let cloth = cloth(row, lore);
    let undyed = undyed(row, files);
    let look_alike = row.with("look_alike").flag("look_alike");
    let weight = row.with("weight_g");
    let hint = "the dry weight of the cutting in grams";
    let goods = match weight.any("weight_g") {
        Some(_) => weight.between("weight_g", GOODS_G, hint),
        None => own.need_between("weight_g", GOODS_G, hint),
    };
    let goods = goods.and_then(|g| own.keep(&g.span, Mass::try_grams(g.it), hint));
    let hint = "litres of liquor per kilogram of cloth, as in liquor_ratio = 30";
    let ratio = row.with("liquor_ratio").between("liquor_ratio", 1.0..=500.0, hint);
    let ratio = ratio.map(|r| own.keep(&r.span, LiquorRatio::try_litres_per_kilogram(r.it), hint));
    let (classes, doses) = doses(own, lore, shelf);
    let programme = programme(row, &classes);
    let class = class(own, &classes, "a swatch");
    let whose = whose(row);
    let readings = readings(row, files, &whose);
    let note = own.text("note").map(|n| n.it);
    let (cloth, materials) = cloth?;
    Some(SwatchNoted {
        span: own.span.clone(),
        code: code?,
        piece: piece?,
        outside,
        over: match over {
            None => None,
            Some(given) => Some(given?),
        },
        day,
        cloth,
        materials,
        undyed: undyed?,
        look_alike,
        goods: goods?,
        ratio: match ratio {
            None => None,
            Some(given) => Some(given?),
        },
        class: class?,
        programme: programme?,
        doses: doses?,
        whose,
        readings: readings?,
        note,
    })
}

/// `costume` and `piece`, which need each other.
fn piece(row: &Row, by: &By, outside: bool) -> Option<Option<PieceNamed>> {
    let costume = row.with("costume").text("costume");
    match (costume, row.with("piece").text("piece")) {
        (Some(costume), Some(piece)) => {
            by.ask(row.own, &costume, &piece, outside);
            Some(Some(PieceNamed { costume: costume.it, piece: piece.it }))
        }
        (None, Some(piece)) => {
            let hint = "write costume = \"…\" too, in the row or under [all]";
            row.own.fault(piece.span, "a piece without its costume", hint);
            None
        }
        (_, None) => Some(None),
    }
}

/// What the cloth was before; nothing where nobody says.
pub(crate) fn undyed(row: &Row, files: &dyn Files) -> Option<Option<GroundGiven>> {
    match row.with("undyed") {
        table if table.any("undyed").is_none() => Some(None),
        table => ground(table, files).map(Some),
    }
}

/// The cloth's words and the ids of its materials.
pub(crate) fn cloth(row: &Row, lore: &Lore) -> Option<(String, Vec<String>)> {
    let table = row.with("cloth");
    let Some(cloth) = table.any("cloth") else {
        let hint = "name the fibre, as in cloth = \"wool\" or { cotton = 65, polyester = 35 }";
        row.own.fault(row.own.span.clone(), "`cloth` is missing", hint);
        return None;
    };
    let (words, makeup, _) = makeup(table, &cloth, None, lore)?;
    match makeup {
        Makeup::Known(portions) => {
            Some((words, portions.into_iter().map(|p| p.material).collect()))
        }
        Makeup::Unknown(_) => {
            let hint = "tell the fibre first (`dyewright identify`), then record the swatch";
            table.fault(cloth.span, "a swatch on unknown fibre tells nothing of a dye", hint);
            None
        }
    }
}

/// The way of dyeing; every dye must go into it.
pub(crate) fn programme(row: &Row, classes: &[At<DyeClass>]) -> Option<Option<Procedure>> {
    let table = row.with("programme");
    let Some(word) = table.text("programme") else { return Some(None) };
    let hint = "write a way of dyeing by its id, as in programme = \"acid-milling\"";
    let programme: Procedure = table.keep(&word.span, word.it.parse(), hint)?;
    let mut sound = true;
    for class in classes.iter().filter(|c| !programme.takes(c.it)) {
        let says = format!("a {} dye does not go into {}", class.it.id(), programme.id());
        let takes: Vec<&str> = programme.classes().iter().map(|c| c.id()).collect();
        row.own.fault(class.span.clone(), says, format!("it takes {}", takes.join(", ")));
        sound = false;
    }
    sound.then_some(Some(programme))
}

/// The class of the first dye; without a dye there is nothing to learn.
pub(crate) fn class(own: &Table, classes: &[At<DyeClass>], what: &str) -> Option<DyeClass> {
    if classes.is_empty() {
        let hint = "write dose = [{ dye = \"acid-navy\", owf_pct = 1.0 }]";
        own.fault(own.span.clone(), format!("{what} without a dye"), hint);
    }
    classes.first().map(|c| c.it)
}

/// `friend` or `old_note`; neither: one's own.
fn whose(row: &Row) -> Whose {
    let friend = row.with("friend").text("friend");
    match (friend, row.with("old_note").text("old_note")) {
        (None, None) => Whose::Own,
        (Some(friend), None) => Whose::Friend(friend.it),
        (None, Some(note)) => Whose::OldNote(note.it),
        (Some(friend), Some(note)) => {
            let hint = "write the one it was taken from";
            row.own.fault(note.span, "both a friend's and an old note's", hint);
            Whose::Friend(friend.it)
        }
    }
}

/// What the undyed cloth is assumed to look like, in the file's word.
#[must_use]
pub const fn look_word(look: Look) -> &'static str {
    match look {
        Look::White => "white",
        Look::Natural => "natural",
    }
}
