//! What a workbook is asked: its swatches, whether a colour was dyed before, what happened.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Serialize;
use workbook::{Book, Entry, Happened, Id, Kind, Recorded, Refusal, Within};

use crate::asked::{Asked, colour};
use crate::book_seen::{ReadSeen, SwatchSeen, reading, subject, swatch};
use crate::books::{place, to_read, trouble};
use crate::{Trouble, shown};

/// The swatches of a workbook.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchesSeen {
    /// Always "swatch-list".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The swatches that stand, in the order they were recorded.
    pub swatches: Vec<SwatchSeen>,
}

/// What is near a colour.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Found {
    /// Always "book-find".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The colour asked for, Lab D65/10°.
    pub lab: [f64; 3],
    /// How it was asked for.
    pub asked: String,
    /// How far was looked, ΔE00.
    pub within: f64,
    /// What is near, nearest first.
    pub found: Vec<NearSeen>,
}

/// Something dyed before.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NearSeen {
    /// How far it is, ΔE00.
    pub de00: f64,
    /// What it is, in words.
    pub of: String,
    /// The swatch, when it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swatch: Option<SwatchSeen>,
    /// The reading that is near.
    pub reading: ReadSeen,
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HistorySeen {
    /// Always "book-history".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The entries, in order.
    pub events: Vec<EventSeen>,
}

/// One entry of the journal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EventSeen {
    /// Its number.
    pub entry: i64,
    /// When, in universal time.
    pub at: String,
    /// Who.
    pub who: String,
    /// recorded, undid or restored.
    pub did: &'static str,
    /// What was recorded: swatch, reading, …
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<&'static str>,
    /// The entry undone or restored.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<i64>,
    /// The swatch, piece, dye or costume it is about, by name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
}

/// The swatches that stand.
pub fn list_swatches(book: Option<&Path>) -> Result<SwatchesSeen, Trouble> {
    let path = place(book);
    let book = to_read(&path)?;
    let seen = || -> Result<Vec<SwatchSeen>, Refusal> {
        let mut all = vec![];
        for one in book.swatches() {
            let one = one?;
            if !one.undone {
                all.push(swatch(&book, &one)?);
            }
        }
        Ok(all)
    };
    let swatches = seen().map_err(|e| trouble(&e, &path))?;
    Ok(SwatchesSeen { dyewright: "swatch-list", version: 1, book: shown_path(&path), swatches })
}

/// The swatch of the card with this code, where one stands in the workbook.
///
/// # Errors
/// A workbook that cannot be read.
pub fn swatch_of_card(book: Option<&Path>, code: &str) -> Result<Option<SwatchSeen>, Trouble> {
    let path = place(book);
    let book = to_read(&path)?;
    let seen = || -> Result<Option<SwatchSeen>, Refusal> {
        let id = book.swatch_coded(code)?;
        id.map(|id| swatch(&book, &book.swatch(id)?)).transpose()
    };
    seen().map_err(|e| trouble(&e, &path))
}

/// Have I dyed this colour before?
pub fn find_colour(
    book: Option<&Path>,
    given: &str,
    within: f64,
    most: usize,
) -> Result<Found, Trouble> {
    let path = place(book);
    let lab = asked_colour(given)?;
    let within_it = Within::try_de00(within).map_err(|e| trouble(&e, &path))?;
    let book = to_read(&path)?;
    let seen = || -> Result<Vec<NearSeen>, Refusal> {
        let near = book.nearest(lab, within_it, most)?;
        near.iter()
            .map(|near| {
                let of = near.reading.it.of;
                let of_swatch = match of {
                    workbook::Subject::Swatch(id) => Some(swatch(&book, &book.swatch(id)?)?),
                    _ => None,
                };
                Ok(NearSeen {
                    de00: shown::rounded(near.de00, 2),
                    of: subject(&book, of)?,
                    swatch: of_swatch,
                    reading: reading(&near.reading),
                })
            })
            .collect()
    };
    let found = seen().map_err(|e| trouble(&e, &path))?;
    Ok(Found {
        dyewright: "book-find",
        version: 1,
        book: shown_path(&path),
        lab: shown::lab(lab),
        asked: given.to_owned(),
        within,
        found,
    })
}

/// A colour as every command takes it, as cloth: a screen's is taken as the likeliest cloth that looks so.
pub(crate) fn asked_colour(given: &str) -> Result<colour::Lab, Trouble> {
    let mut asked = Asked::default();
    asked
        .line("[costume]\nname = \"q\"\n\n[[piece]]\nid = \"q\"\ncloth = \"cotton\"\nweight_g = 1");
    asked.argument("", given, colour("target", given), "target = { lab = [50.0, 0.0, 0.0] }");
    let costume = asked.costume(lore::Lore::shipped())?;
    let target = costume.pieces.into_iter().next().map(|p| p.target.as_given);
    let none = || Trouble::refused(format!("\"{given}\" is no colour"), "see docs/commands.md");
    match target.ok_or_else(none)? {
        costume::AsGiven::Colour(lab) => Ok(lab),
        costume::AsGiven::Spectrum(bands) => Ok(colour::Weights::reference().lab(&bands)),
        costume::AsGiven::Screen(screen) => {
            let prior = colour::ClothPrior::shipped();
            let likely = prior.screen_colour_to_cloth(screen.to_xyz2()).map_err(|e| {
                let hint = "ask for a colour cloth can have, or write L* a* b*";
                Trouble::refused(e.to_string(), hint)
            })?;
            Ok(colour::Weights::reference().lab(&likely.bands))
        }
    }
}

/// The piece of this name; of several costumes, the one named.
pub(crate) fn piece_called(
    book: &Book,
    path: &Path,
    piece: &str,
    costume: Option<&str>,
) -> Result<workbook::Id<workbook::Piece>, Trouble> {
    let mut all = vec![];
    for one in book.pieces() {
        let one: Recorded<workbook::Piece> = one.map_err(|e| trouble(&e, path))?;
        if !one.undone {
            let of = book.costume(one.it.costume).map_err(|e| trouble(&e, path))?.it.name;
            all.push((one.id, one.it.name, of));
        }
    }
    let named = |n: &str, c: &str| n == piece && costume.is_none_or(|wanted| wanted == c);
    let found: Vec<_> = all.iter().filter(|(_, name, of)| named(name, of)).collect();
    match found[..] {
        [(id, ..)] => Ok(*id),
        [] => {
            let names: Vec<&str> = all.iter().take(8).map(|(_, name, _)| name.as_str()).collect();
            let hint = match names.is_empty() {
                true => {
                    "no piece is recorded yet: `swatch record` records a swatch's piece".to_owned()
                }
                false => format!("it has {}", names.join(", ")),
            };
            let of = costume.map_or_else(String::new, |c| format!(" of \"{c}\""));
            Err(Trouble::refused(format!("the workbook has no piece \"{piece}\"{of}"), hint))
        }
        _ => {
            let of: Vec<&str> = found.iter().map(|(_, _, of)| of.as_str()).collect();
            let says = format!("there is a \"{piece}\" in {} costumes", found.len());
            Err(Trouble::refused(says, format!("name one with --costume: {}", of.join(", "))))
        }
    }
}

/// What happened: at all, the last so many entries; or to a piece.
pub fn history(
    book: Option<&Path>,
    piece: Option<&str>,
    costume: Option<&str>,
    last: u32,
) -> Result<HistorySeen, Trouble> {
    let path = place(book);
    let book = to_read(&path)?;
    let events = match piece {
        Some(piece) => book.history(piece_called(&book, &path, piece, costume)?),
        None => book.journal(last),
    };
    let events = events.map_err(|e| trouble(&e, &path))?;
    // An undoing is named by what it is about, which may stand before the entries shown.
    let mut kinds: BTreeMap<i64, Kind> = BTreeMap::new();
    for event in &events {
        let of = match event.what {
            Happened::Recorded(_) => event.entry,
            Happened::Undid(about) | Happened::Restored(about) => about,
        };
        if let Some(kind) = book.kind_of(of).map_err(|e| trouble(&e, &path))? {
            kinds.insert(of.number(), kind);
        }
    }
    let events = events
        .into_iter()
        .map(|event| {
            let (did, kind, about) = match event.what {
                Happened::Recorded(kind) => ("recorded", Some(kind.word()), None),
                Happened::Undid(entry) => ("undid", None, Some(entry.number())),
                Happened::Restored(entry) => ("restored", None, Some(entry.number())),
            };
            let (entry, at, who) =
                (event.entry.number(), event.stamp.at.to_string(), event.stamp.who);
            let name = event_name(&book, &kinds, entry, about);
            EventSeen { entry, at, who, did, kind, about, name }
        })
        .collect();
    Ok(HistorySeen { dyewright: "book-history", version: 1, book: shown_path(&path), events })
}

/// What an entry is about, by name, so that the one to undo can be chosen; none where it has none.
fn event_name(
    book: &Book,
    kinds: &BTreeMap<i64, Kind>,
    entry: i64,
    about: Option<i64>,
) -> Option<String> {
    let of = about.unwrap_or(entry);
    let it = Entry::numbered(of);
    let piece = |id| book.piece(id).ok().map(|p| p.it.name);
    let dye = |id| book.dye(id).ok().map(|d| d.it.name);
    match kinds.get(&of)? {
        Kind::Costume => book.costume(Id::of(it)).ok().map(|c| c.it.name),
        Kind::Piece => piece(Id::of(it)),
        Kind::Target => piece(book.target(Id::of(it)).ok()?.it.piece),
        Kind::Dye => dye(Id::of(it)),
        Kind::Lot => {
            let lot = book.lot(Id::of(it)).ok()?.it;
            Some(format!("{} of {}", lot.mark, dye(lot.dye)?))
        }
        Kind::Photograph => piece(book.photograph(Id::of(it)).ok()?.it.piece?),
        Kind::Swatch => {
            let swatch = book.swatch(Id::of(it)).ok()?.it;
            swatch.code.or_else(|| Some(format!("on {}", swatch.cloth)))
        }
        Kind::Bath => {
            let bath = book.bath(Id::of(it)).ok()?.it;
            let of: Vec<String> = bath.pieces.iter().filter_map(|it| piece(it.piece)).collect();
            (!of.is_empty()).then(|| format!("of {}", of.join(", ")))
        }
        Kind::Reading => {
            let reading = book.reading(Id::of(it)).ok()?.it;
            subject(book, reading.of).ok().map(|of| format!("of {of}"))
        }
        Kind::Verdict => piece(book.verdict(Id::of(it)).ok()?.it.piece).map(|p| format!("of {p}")),
        Kind::Undo => None,
    }
}

pub(crate) fn shown_path(path: &Path) -> String {
    path.display().to_string()
}
