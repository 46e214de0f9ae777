//! Swatches from a file into a workbook: all of them or none; what is there already is passed over.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::PathBuf;

use colour::{Colour, Spread, Value};
use costume::{
    AmountNoted, AsGiven, DosedNoted, Fault, Faults, GroundGiven, ReadingNoted, SwatchNoted, Whose,
    look_word, read_swatches, shelf_of_swatches,
};
use lore::Lore;
use serde::Serialize;
use workbook::{
    Amount, Backing, Book, Condition, Costume, Dose, Dosed, Hand, Id, Lot, Means, Nap, Piece,
    Reading, Refusal, ShelfDye, Stamp, Subject, Swatch, Told, Undyed, Writing,
};

use crate::Trouble;
use crate::books::{Recording, place, trouble};
use crate::disk::{Folder, text};
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
    /// Swatches that were there already, just so.
    pub already: usize,
    /// Dyes that were new to the workbook.
    pub new_dyes: usize,
    /// Lots that were new to it.
    pub new_lots: usize,
    /// Readings of wet, warm or unsoaped cloth: kept, and never taught from.
    pub unfinished: usize,
    /// Readings that cannot well be, a sentence each: recorded all the same.
    pub doubts: Vec<String>,
}

/// Records a file of swatches.
pub fn record_swatches(wanted: &SwatchesWanted) -> Result<SwatchesRecorded, Trouble> {
    let lore = Lore::shipped();
    let folder = Folder::of(&wanted.file);
    let text = text(&wanted.file)?;
    let file = wanted.file.display().to_string();
    let written = shelf_of_swatches(&text);
    let shelf = shelf_for(wanted.shelf.as_deref(), written.as_deref(), &folder)?;
    let noted = read_swatches(&file, &text, lore, &folder, &shelf)?;
    let stamp = wanted.recording.stamp()?;
    let path = place(wanted.book.as_deref());
    let begun = std::fs::metadata(&path).map_or(true, |there| there.len() == 0 && there.is_file());
    let opened = if begun { Book::create(&path) } else { Book::open(&path) };
    let mut book = opened.map_err(|e| trouble(&e, &path))?;
    let mut made = SwatchesRecorded {
        dyewright: "swatch-record",
        version: 1,
        book: path.display().to_string(),
        begun,
        doubts: crate::swatch_doubts::doubts(&noted),
        ..SwatchesRecorded::default()
    };
    let recorded = record(&mut book, &noted, &stamp, &mut made).map_err(|e| trouble(&e, &path));
    let done = recorded.and_then(|faults| match faults.is_empty() {
        true => Ok(()),
        false => Err(Faults { file, text, list: faults }.into()),
    });
    if done.is_err() && begun {
        // A workbook begun for nothing goes again; that it cannot be removed is not the news.
        drop(book);
        let _ = std::fs::remove_file(&path);
    }
    done.map(|()| made)
}

/// Records what is not there, unless something contradicts the workbook: then the faults, and nothing.
fn record(
    book: &mut Book,
    noted: &[SwatchNoted],
    stamp: &Stamp,
    made: &mut SwatchesRecorded,
) -> Result<Vec<Fault>, Refusal> {
    let mut known = Known::default();
    let mut faults = vec![];
    let mut steps = vec![];
    for (i, one) in noted.iter().enumerate() {
        known.look_up(book, one)?;
        let before = |code: &String| noted[..i].iter().any(|other| other.code == *code);
        if let Some(over) = &one.over
            && !before(over)
            && !known.swatches.contains_key(over)
        {
            faults.push(Fault {
                span: one.span.clone(),
                says: format!("it was dyed over \"{over}\", and there is no such swatch before it"),
                hint: "write that swatch first, here or into the workbook".to_owned(),
            });
            continue;
        }
        let there = known.swatches.get(&one.code).copied();
        match there {
            None => steps.push((one, None, one.readings.iter().collect::<Vec<_>>())),
            Some(id) => {
                let is = book.swatch(id)?.it;
                if known.swatch(one).as_ref() != Some(&is) {
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
    if !faults.is_empty() {
        return Ok(faults);
    }
    book.write(|w| {
        for (one, there, readings) in steps {
            let id = match there {
                Some(id) => id,
                None => {
                    known.record_what_it_names(w, one, stamp, made)?;
                    let it = known.swatch(one).ok_or_else(|| unnamed(one))?;
                    let id = w.record_swatch(stamp, &it)?;
                    known.swatches.insert(one.code.clone(), id);
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
        Ok(vec![])
    })
}

fn unnamed(one: &SwatchNoted) -> Refusal {
    Refusal::Unknown { what: "dye or piece of swatch", given: one.code.clone() }
}

/// What the workbook has by name.
#[derive(Default)]
struct Known {
    dyes: BTreeMap<String, Id<ShelfDye>>,
    lots: BTreeMap<(String, String), Id<Lot>>,
    costumes: BTreeMap<String, Id<Costume>>,
    pieces: BTreeMap<(String, String), Id<Piece>>,
    swatches: BTreeMap<String, Id<Swatch>>,
}

impl Known {
    fn look_up(&mut self, book: &Book, one: &SwatchNoted) -> Result<(), Refusal> {
        for dose in &one.doses {
            let DosedNoted::Dye { id, lot, .. } = &dose.of else { continue };
            let Some(dye) = book.dye_named(id)? else { continue };
            self.dyes.insert(id.clone(), dye);
            if let Some(lot) = lot
                && let Some(found) = book.lot_marked(dye, lot)?
            {
                self.lots.insert((id.clone(), lot.clone()), found);
            }
        }
        if let Some(named) = &one.piece
            && let Some(costume) = book.costume_named(&named.costume)?
        {
            self.costumes.insert(named.costume.clone(), costume);
            if let Some(piece) = book.piece_named(costume, &named.piece)? {
                self.pieces.insert((named.costume.clone(), named.piece.clone()), piece);
            }
        }
        for code in one.over.iter().chain([&one.code]) {
            if let Some(swatch) = book.swatch_coded(code)? {
                self.swatches.insert(code.clone(), swatch);
            }
        }
        Ok(())
    }

    fn record_what_it_names(
        &mut self,
        w: &Writing<'_>,
        one: &SwatchNoted,
        stamp: &Stamp,
        made: &mut SwatchesRecorded,
    ) -> Result<(), Refusal> {
        for dose in &one.doses {
            let DosedNoted::Dye { id, class, lot } = &dose.of else { continue };
            let dye = match self.dyes.get(id) {
                Some(dye) => *dye,
                None => {
                    let class = class.id().to_owned();
                    let it = ShelfDye { name: id.clone(), class, generic_name: None, note: None };
                    made.new_dyes += 1;
                    let dye = w.record_dye(stamp, &it)?;
                    self.dyes.insert(id.clone(), dye);
                    dye
                }
            };
            if let Some(mark) = lot {
                let key = (id.clone(), mark.clone());
                if let Entry::Vacant(place) = self.lots.entry(key) {
                    let mark = mark.clone();
                    let it = Lot { dye, mark, opened: None, bought: None, note: None };
                    made.new_lots += 1;
                    place.insert(w.record_lot(stamp, &it)?);
                }
            }
        }
        let Some(named) = &one.piece else { return Ok(()) };
        let costume = match self.costumes.get(&named.costume) {
            Some(costume) => *costume,
            None => {
                let it = Costume { name: named.costume.clone(), note: None };
                let costume = w.record_costume(stamp, &it)?;
                self.costumes.insert(named.costume.clone(), costume);
                costume
            }
        };
        let key = (named.costume.clone(), named.piece.clone());
        if let Entry::Vacant(place) = self.pieces.entry(key) {
            let (name, goods) = (named.piece.clone(), one.cloth.clone());
            let it = Piece { costume, name, goods, dry: None, note: None };
            place.insert(w.record_piece(stamp, &it)?);
        }
        Ok(())
    }

    /// The swatch as the workbook has it; nothing where it names what is not there.
    fn swatch(&self, one: &SwatchNoted) -> Option<Swatch> {
        let mut doses = vec![];
        for dose in &one.doses {
            doses.push(Dose {
                of: match &dose.of {
                    DosedNoted::Auxiliary(id) => Dosed::Auxiliary(id.clone()),
                    DosedNoted::Dye { id, lot, .. } => {
                        let lot = match lot {
                            None => None,
                            Some(mark) => Some(*self.lots.get(&(id.clone(), mark.clone()))?),
                        };
                        Dosed::Dye { dye: *self.dyes.get(id)?, lot }
                    }
                },
                amount: match dose.amount {
                    AmountNoted::OnFibre(share) => Amount::OnFibre(share),
                    AmountNoted::Weighed(mass) => Amount::Weighed(mass),
                    AmountNoted::Poured(volume) => Amount::Poured(volume),
                    AmountNoted::PerLitre(strength) => Amount::PerLitre(strength),
                },
                scatter: dose.scatter,
                measured: dose.measured.clone(),
            });
        }
        Some(Swatch {
            piece: match &one.piece {
                None => None,
                Some(named) => {
                    Some(*self.pieces.get(&(named.costume.clone(), named.piece.clone()))?)
                }
            },
            over: match &one.over {
                None => None,
                Some(code) => Some(*self.swatches.get(code)?),
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
            doses,
            hand: hand(&one.whose),
            note: one.note.clone(),
        })
    }
}

fn undyed(given: Option<&GroundGiven>) -> Option<Undyed> {
    Some(match given {
        None => Undyed::Unsaid,
        Some(GroundGiven::Assumed(look)) => match look_word(*look) {
            "white" => Undyed::White,
            _ => Undyed::Natural,
        },
        Some(GroundGiven::Read(read)) => Undyed::Read(value(&read.as_given).ok()?),
    })
}

/// A reading as the workbook has it.
fn reading(noted: &ReadingNoted, of: Subject) -> Result<Reading, Refusal> {
    let told = |said: Option<bool>| match said {
        None => Told::Unsaid,
        Some(true) => Told::Yes,
        Some(false) => Told::No,
    };
    Ok(Reading {
        of,
        value: value(&noted.colour.as_given)?,
        also: noted.under.clone(),
        spread: match noted.spread {
            None => Spread::Unknown,
            Some(rms) => Spread::try_rms(rms)?,
        },
        condition: Condition {
            washed_off: told(noted.washed_off),
            dry: told(noted.dry),
            cool: told(noted.cool),
            ironed: told(noted.ironed),
            nap: noted.nap.map_or(Ok(Nap::Unsaid), Nap::from_word)?,
            backing: noted.backing.map_or(Ok(Backing::Unsaid), Backing::from_word)?,
        },
        day: noted.day,
        job: noted.job.clone(),
        lamp: noted.light.clone(),
        means: Means::from_word(noted.by)?,
        device: noted.reader.clone(),
        photograph: None,
        hand: hand(&noted.whose),
        note: noted.note.clone(),
    })
}

/// What was read: cloth for daylight and the 10° observer; a screen's colour for its own 2°.
pub(crate) fn value(given: &AsGiven) -> Result<Value, Refusal> {
    Ok(match given {
        AsGiven::Colour(lab) => Value::Colour(Colour::d65_10(*lab)),
        AsGiven::Screen(screen) => Value::Colour(Colour::d65_2(screen.to_lab2())),
        AsGiven::Spectrum(bands) => {
            let factors = bands.values().to_vec();
            Value::Spectrum(colour::Spectrum::try_new(400.0, 10.0, factors)?)
        }
    })
}

fn hand(whose: &Whose) -> Hand {
    match whose {
        Whose::Own => Hand::Own,
        Whose::Friend(name) => Hand::Friend(name.clone()),
        Whose::OldNote(place) => Hand::OldNote(place.clone()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The words a file may use are words the workbook knows.
    #[test]
    fn the_words_of_the_file_are_the_workbooks() {
        for nap in costume::NAPS {
            assert!(Nap::from_word(nap).is_ok(), "{nap}");
        }
        for backing in costume::BACKINGS {
            assert!(Backing::from_word(backing).is_ok(), "{backing}");
        }
        for means in costume::MEANS {
            assert!(Means::from_word(means).is_ok(), "{means}");
        }
    }
}
