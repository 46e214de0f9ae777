//! Swatches from a file into a workbook: all of them or none; what is there already is passed over.

use std::path::{Path, PathBuf};

use costume::{
    Fault, Faults, Noted, ReadingNoted, Shelf, SwatchNoted, read_swatches, shelf_of_swatches,
};
use lore::Lore;
use serde::Serialize;
use workbook::{Beginning, Book, Refusal, Stamp, Subject, Swatch};

use crate::Trouble;
use crate::as_noted::{hand, reading, undyed};
use crate::baths_recorded::{baths_to_record, record_baths};
use crate::book_names::Named;
use crate::books::{Recording, place, trouble};
use crate::cloth_told::{Cloths, contradiction};
use crate::disk::{Folder, text};
use crate::known_here::known_here;
use crate::opened::shelf_for;

/// What to record, and where.
#[derive(Debug, Clone)]
pub struct SwatchesWanted {
    /// The file of swatches.
    pub file: PathBuf,
    /// The workbook; begun when it is not there yet; none: the usual one in this folder.
    pub book: Option<PathBuf>,
    /// A shelf instead of the one the file names.
    pub shelf: Option<PathBuf>,
    /// Who and when.
    pub recording: Recording,
}

/// What was recorded.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SwatchesRecorded {
    /// Always "swatch-record".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// True when it was begun by this.
    pub begun: bool,
    /// Swatches recorded.
    pub swatches: usize,
    /// Readings recorded.
    pub readings: usize,
    /// Baths recorded, in which pieces were dyed whole.
    pub baths: usize,
    /// Swatches and baths that were there already, just so.
    pub already: usize,
    /// Dyes that were new to the workbook.
    pub new_dyes: usize,
    /// Lots that were new to it.
    pub new_lots: usize,
    /// Readings of wet, warm or unsoaped cloth: kept, and never taught from.
    pub unfinished: usize,
    /// Codes that were taken for another than was written, a sentence each.
    pub meant: Vec<String>,
    /// Readings that cannot well be, a sentence each: recorded all the same.
    pub doubts: Vec<String>,
}

/// Records a file of swatches.
pub fn record_swatches(wanted: &SwatchesWanted) -> Result<SwatchesRecorded, Trouble> {
    let folder = Folder::of(&wanted.file);
    let text = text(&wanted.file)?;
    let file = wanted.file.display().to_string();
    let written = shelf_of_swatches(&text);
    let shelf = shelf_for(wanted.shelf.as_deref(), written.as_deref(), &folder)?;
    let path = place(wanted.book.as_deref());
    record_text(&path, (&file, &text), (&wanted.file, &shelf), &wanted.recording)
}

/// What a form's text is called where something in it is refused.
pub(crate) const TYPED: &str = "what was typed";

/// Records a text of swatches, called by a name, as if it stood beside a file; its dyes are on a shelf.
pub(crate) fn record_text(
    path: &Path,
    (name, text): (&str, &str),
    (beside, shelf): (&Path, &Shelf),
    recording: &Recording,
) -> Result<SwatchesRecorded, Trouble> {
    let known = known_here(path, beside)?;
    let folder = Folder::of(beside);
    let noted = read_swatches(name, text, Lore::shipped(), &folder, shelf, &known)?;
    let cloths = Cloths::beside(path, beside);
    record_noted(path, (&noted, &cloths), recording, &|list| Faults {
        file: name.to_owned(),
        text: text.to_owned(),
        list,
    })
}

/// Records what was noted into a workbook, begun where there is none.
pub(crate) fn record_noted(
    path: &Path,
    (noted, cloths): (&Noted, &Cloths),
    recording: &Recording,
    refused: &dyn Fn(Vec<Fault>) -> Faults,
) -> Result<SwatchesRecorded, Trouble> {
    let stamp = recording.stamp()?;
    let empty = SwatchesRecorded {
        dyewright: "swatch-record",
        version: 1,
        book: path.display().to_string(),
        meant: noted.meant.clone(),
        doubts: crate::swatch_doubts::doubts(&noted.swatches),
        ..SwatchesRecorded::default()
    };
    let none = std::fs::metadata(path).map_or(true, |there| there.len() == 0 && there.is_file());
    if none && let Some(made) = begin(path, (noted, cloths), &stamp, &empty, refused)? {
        return Ok(made);
    }
    let mut book = Book::open(path).map_err(|e| trouble(&e, path))?;
    let mut tries = 0;
    loop {
        let mut made = empty.clone();
        tries += 1;
        match record(&mut book, (noted, cloths), &stamp, &mut made) {
            Ok(faults) if faults.is_empty() => return Ok(made),
            Ok(faults) => return Err(refused(faults).into()),
            // Somebody else recorded it between the look and the writing: now it is seen.
            Err(Refusal::Taken { .. }) if tries < TRIES => {}
            Err(e) => return Err(trouble(&e, path)),
        }
    }
}

/// How often it is looked anew what the workbook has, when another program records at the same moment.
const TRIES: u32 = 5;

/// Begins a workbook with these swatches in it, whole or not at all; nothing where somebody else began one there in the
/// meantime: that one is recorded into.
fn begin(
    path: &Path,
    noted: (&Noted, &Cloths),
    stamp: &Stamp,
    empty: &SwatchesRecorded,
    refused: &dyn Fn(Vec<Fault>) -> Faults,
) -> Result<Option<SwatchesRecorded>, Trouble> {
    let there = |e: Refusal| match e {
        Refusal::Exists { .. } => Ok(None),
        other => Err(trouble(&other, path)),
    };
    let mut beginning = match Beginning::at(path) {
        Ok(beginning) => beginning,
        Err(e) => return there(e),
    };
    let mut made = SwatchesRecorded { begun: true, ..empty.clone() };
    let faults =
        record(&mut beginning.book, noted, stamp, &mut made).map_err(|e| trouble(&e, path))?;
    if !faults.is_empty() {
        return Err(refused(faults).into());
    }
    match beginning.put_in_place() {
        Ok(()) => Ok(Some(made)),
        Err(e) => there(e),
    }
}

/// Records what is not there, unless something contradicts the workbook: then the faults, and nothing.
fn record(
    book: &mut Book,
    (all, cloths): (&Noted, &Cloths),
    stamp: &Stamp,
    made: &mut SwatchesRecorded,
) -> Result<Vec<Fault>, Refusal> {
    let noted = &all.swatches;
    let mut named = Named::default();
    let mut faults = vec![];
    let mut steps = vec![];
    for (i, one) in noted.iter().enumerate() {
        look_up(&mut named, book, one)?;
        let before = |code: &String| noted[..i].iter().any(|other| other.code == *code);
        if let Some(over) = &one.over
            && !before(over)
            && !named.swatches.contains_key(over)
        {
            faults.push(Fault {
                span: one.span.clone(),
                says: format!("it was dyed over \"{over}\", and there is no such swatch before it"),
                hint: "write that swatch first, here or into the workbook".to_owned(),
            });
            continue;
        }
        let there = named.swatches.get(&one.code).copied();
        match there {
            None => {
                faults.extend(of_other_cloth(book, cloths, one)?);
                steps.push((one, None, one.readings.iter().collect::<Vec<_>>()));
            }
            Some(id) => {
                let is = book.swatch(id)?.it;
                if swatch(&named, one).as_ref() != Some(&is) {
                    faults.push(Fault {
                        span: one.span.clone(),
                        says: format!(
                            "swatch \"{}\" is in the workbook otherwise (entry {id})",
                            one.code
                        ),
                        hint: format!(
                            "give this one another code, or undo that one: dyewright book undo {id}"
                        ),
                    });
                    continue;
                }
                let readings = book.readings_of(id)?;
                let new = |r: &&ReadingNoted| {
                    let it = reading(r, Subject::Swatch(id));
                    it.is_ok_and(|it| readings.iter().all(|other| other.it != it))
                };
                let more: Vec<&ReadingNoted> = one.readings.iter().filter(new).collect();
                made.already += usize::from(more.is_empty());
                steps.push((one, Some(id), more));
            }
        }
    }
    let baths = baths_to_record(book, (all, cloths), &mut named, &mut faults)?;
    if !faults.is_empty() {
        return Ok(faults);
    }
    book.write(|w| {
        for (one, there, readings) in steps {
            let id = match there {
                Some(id) => id,
                None => {
                    named.record_doses(w, stamp, &one.doses)?;
                    if let Some(of) = &one.piece {
                        let names = (of.costume.as_str(), of.piece.as_str());
                        named.record_piece(w, stamp, names, (&one.cloth, None))?;
                    }
                    let it = swatch(&named, one).ok_or_else(|| unnamed(one))?;
                    let id = w.record_swatch(stamp, &it)?;
                    named.swatches.insert(one.code.clone(), id);
                    made.swatches += 1;
                    id
                }
            };
            for noted in readings {
                let it = reading(noted, Subject::Swatch(id))?;
                made.unfinished += usize::from(it.condition.is_unfinished());
                w.record_reading(stamp, &it)?;
                made.readings += 1;
            }
        }
        record_baths(w, stamp, baths, &mut named, made)?;
        (made.new_dyes, made.new_lots) = (named.new_dyes, named.new_lots);
        Ok(vec![])
    })
}

/// A swatch that the cloth of its piece contradicts.
fn of_other_cloth(
    book: &Book,
    cloths: &Cloths,
    one: &SwatchNoted,
) -> Result<Option<Fault>, Refusal> {
    let Some(of) = &one.piece else { return Ok(None) };
    let Some(cloth) = cloths.known(book, &of.costume, &of.piece)? else { return Ok(None) };
    let told = (one.cloth.as_str(), one.look_alike);
    let says = contradiction((&of.piece, &cloth), told, (one.class, one.programme));
    let hint = "name the piece it was dyed for; write the cloth and the dyes really used; or look_alike = true where \
                it is another cloth that only stands for the piece's own and takes the same dyes";
    Ok(says.map(|says| Fault { span: one.span.clone(), says, hint: hint.to_owned() }))
}

fn unnamed(one: &SwatchNoted) -> Refusal {
    Refusal::Unknown { what: "dye or piece of swatch", given: one.code.clone() }
}

/// Looks up what a swatch names.
fn look_up(named: &mut Named, book: &Book, one: &SwatchNoted) -> Result<(), Refusal> {
    named.look_up_doses(book, &one.doses)?;
    if let Some(of) = &one.piece {
        named.look_up_piece(book, &of.costume, &of.piece)?;
    }
    for code in one.over.iter().chain([&one.code]) {
        named.look_up_swatch(book, code)?;
    }
    Ok(())
}

/// The swatch as the workbook has it; nothing where it names what is not there.
fn swatch(named: &Named, one: &SwatchNoted) -> Option<Swatch> {
    Some(Swatch {
        piece: match &one.piece {
            None => None,
            Some(of) => Some(named.piece(&of.costume, &of.piece)?),
        },
        over: match &one.over {
            None => None,
            Some(code) => Some(*named.swatches.get(code)?),
        },
        code: Some(one.code.clone()),
        day: one.day,
        cloth: one.cloth.clone(),
        fibre: one.materials.join(", "),
        undyed: undyed(one.undyed.as_ref())?,
        look_alike: one.look_alike,
        goods: one.goods,
        liquor: one.ratio,
        class: one.class.id().to_owned(),
        procedure: one.programme.map(|p| p.id().to_owned()),
        doses: named.doses(&one.doses)?,
        hand: hand(&one.whose),
        note: one.note.clone(),
    })
}
