//! Pieces dyed whole from a file of swatches into a workbook: baths as really dosed, and how each piece came out.
//!
//! A bath has no card and no code: one that is there just so is passed over, and new readings of it are added. A piece is
//! dyed but once on one day; topped up or overdyed as often as it is told.

use costume::{BathNoted, Fault, Noted, ReadingNoted};
use workbook::{
    Bath, Book, Id, InBath, Piece, Purpose, Recorded, Refusal, Stamp, Subject, Writing,
};

use crate::as_noted::{reading, undyed};
use crate::book_names::Named;
use crate::cloth_told::{Cloths, contradiction};
use crate::swatches_recorded::SwatchesRecorded;

/// A bath, where it is already, and its readings that are not: the place of the piece and the reading.
pub(crate) type BathStep<'a> = (&'a BathNoted, Option<Id<Bath>>, Vec<&'a (usize, ReadingNoted)>);

/// The baths to record, and those that are there with the pieces in each.
#[derive(Default)]
pub(crate) struct Baths<'a> {
    steps: Vec<BathStep<'a>>,
    before: Vec<(Vec<Id<Piece>>, Id<Bath>)>,
}

/// What of the baths is to be recorded; what contradicts the workbook becomes a fault.
pub(crate) fn baths_to_record<'a>(
    book: &Book,
    (all, cloths): (&'a Noted, &Cloths),
    named: &mut Named,
    faults: &mut Vec<Fault>,
) -> Result<Baths<'a>, Refusal> {
    if all.baths.is_empty() {
        return Ok(Baths::default());
    }
    let there: Vec<Recorded<Bath>> = book.baths().collect::<Result<_, _>>()?;
    let there: Vec<Recorded<Bath>> = there.into_iter().filter(|b| !b.undone).collect();
    let mut steps: Vec<BathStep<'a>> = vec![];
    for (place, one) in all.baths.iter().enumerate() {
        named.look_up_doses(book, &one.doses)?;
        for (piece, _) in &one.pieces {
            named.look_up_piece(book, &one.costume, piece)?;
        }
        if let Some(code) = &one.from_swatch {
            named.look_up_swatch(book, code)?;
            if !named.swatches.contains_key(code) && all.swatches.iter().all(|s| s.code != *code) {
                let says = format!("it repeats swatch \"{code}\", and there is no such swatch");
                let hint = "write that swatch, here or into the workbook, or leave it out";
                faults.push(Fault { span: one.span.clone(), says, hint: hint.to_owned() });
                continue;
            }
        }
        let again = all.baths[..place].iter().any(|other| same_dyeing(one, other));
        if again {
            faults.push(twice(one, "stands in this file twice"));
            continue;
        }
        let is = bath(named, one, None);
        let alike = |b: &&Recorded<Bath>| is.as_ref().is_some_and(|is| as_noted(&b.it) == *is);
        if let Some(same) = there.iter().find(alike) {
            let mut more = vec![];
            for told in &one.readings {
                let of = |piece| Subject::Dyed { bath: same.id, piece };
                let it = piece_at(named, one, told.0).map(|piece| reading(&told.1, of(piece)));
                let known = book
                    .readings()
                    .filter_map(Result::ok)
                    .any(|r| !r.undone && it.as_ref().is_some_and(|it| it.as_ref() == Ok(&r.it)));
                if !known {
                    more.push(told);
                }
            }
            steps.push((one, Some(same.id), more));
            continue;
        }
        for (piece, _) in &one.pieces {
            let Some(cloth) = cloths.known(book, &one.costume, piece)? else { continue };
            let way = (one.class, one.programme);
            if let Some(says) = contradiction((piece, &cloth), (&one.cloth, false), way) {
                let hint = "name the swatch, the dyes or the piece that is meant; if the piece really is of another \
                            cloth, mend its `cloth` in the costume file";
                faults.push(Fault { span: one.span.clone(), says, hint: hint.to_owned() });
            }
        }
        let clash = there.iter().find(|b| {
            let both = |p: &InBath| {
                one.pieces.iter().any(|(name, _)| named.piece(&one.costume, name) == Some(p.piece))
            };
            one.purpose == "dye"
                && b.it.purpose == Purpose::Dye
                && b.it.day == one.day
                && b.it.pieces.iter().any(both)
        });
        if let Some(clash) = clash {
            let mut fault =
                twice(one, &format!("is in the workbook otherwise (entry {})", clash.id));
            fault.hint = format!(
                "undo that one if it is wrong: dyewright book undo {}; or {}",
                clash.id, fault.hint
            );
            faults.push(fault);
            continue;
        }
        steps.push((one, None, one.readings.iter().collect()));
    }
    let pieces = |b: &Recorded<Bath>| b.it.pieces.iter().map(|p| p.piece).collect();
    let before = there.iter().map(|b| (pieces(b), b.id)).collect();
    Ok(Baths { steps, before })
}

fn same_dyeing(one: &BathNoted, other: &BathNoted) -> bool {
    let both = |(name, _): &(String, units::Mass)| other.pieces.iter().any(|(n, _)| n == name);
    let dyed = one.purpose == "dye" && other.purpose == "dye";
    dyed && one.costume == other.costume && one.day == other.day && one.pieces.iter().any(both)
}

fn twice(one: &BathNoted, how: &str) -> Fault {
    let names: Vec<&str> = one.pieces.iter().map(|(name, _)| name.as_str()).collect();
    Fault {
        span: one.span.clone(),
        says: format!("the dyeing of {} on {} {how}", names.join(", "), one.day),
        hint:
            "write purpose = \"top up\" or \"overdye\" if the same goods went into a further bath"
                .to_owned(),
    }
}

/// Records them; a reading of a bath is of the piece that came out of it.
pub(crate) fn record_baths(
    w: &Writing<'_>,
    stamp: &Stamp,
    baths: Baths<'_>,
    named: &mut Named,
    made: &mut SwatchesRecorded,
) -> Result<(), Refusal> {
    let unnamed = |one: &BathNoted| Refusal::Unknown {
        what: "dye or piece of the bath of",
        given: one.day.to_string(),
    };
    let Baths { steps, mut before } = baths;
    for (one, there, readings) in steps {
        let id = match there {
            Some(id) => {
                made.already += usize::from(readings.is_empty());
                id
            }
            None => {
                named.record_doses(w, stamp, &one.doses)?;
                for (piece, dry) in &one.pieces {
                    let names = (one.costume.as_str(), piece.as_str());
                    named.record_piece(w, stamp, names, (&one.cloth, Some(*dry)))?;
                }
                let mut it = bath(named, one, None).ok_or_else(|| unnamed(one))?;
                let pieces: Vec<Id<Piece>> = it.pieces.iter().map(|p| p.piece).collect();
                // More into the same bath follows the one before it on the same goods.
                if it.purpose != Purpose::Dye {
                    it.after = before.iter().rev().find(|(of, _)| *of == pieces).map(|(_, id)| *id);
                }
                let id = w.record_bath(stamp, &it)?;
                before.push((pieces, id));
                made.baths += 1;
                id
            }
        };
        for (place, noted) in readings {
            let piece = piece_at(named, one, *place).ok_or_else(|| unnamed(one))?;
            let it = reading(noted, Subject::Dyed { bath: id, piece })?;
            made.unfinished += usize::from(it.condition.is_unfinished());
            w.record_reading(stamp, &it)?;
            made.readings += 1;
        }
    }
    Ok(())
}

fn piece_at(named: &Named, one: &BathNoted, place: usize) -> Option<Id<Piece>> {
    named.piece(&one.costume, &one.pieces.get(place)?.0)
}

/// A bath of the workbook as a file tells it: what it follows and its sheet are not told there.
fn as_noted(it: &Bath) -> Bath {
    Bath { after: None, sheet: None, ..it.clone() }
}

/// The bath as the workbook has it; nothing where it names what is not there.
fn bath(named: &Named, one: &BathNoted, after: Option<Id<Bath>>) -> Option<Bath> {
    let piece = |(name, dry): &(String, units::Mass)| {
        Some(InBath { piece: named.piece(&one.costume, name)?, dry: *dry })
    };
    Some(Bath {
        purpose: Purpose::from_word(one.purpose).ok()?,
        after,
        from_swatch: match &one.from_swatch {
            None => None,
            Some(code) => Some(*named.swatches.get(code)?),
        },
        pieces: one.pieces.iter().map(piece).collect::<Option<_>>()?,
        fibre: Some(one.materials.join(", ")),
        undyed: undyed(one.undyed.as_ref())?,
        day: one.day,
        liquor: one.ratio,
        class: one.class.id().to_owned(),
        procedure: one.programme.map(|p| p.id().to_owned()),
        time: one.time,
        hottest: one.hottest,
        doses: named.doses(&one.doses)?,
        sheet: None,
        note: one.note.clone(),
    })
}
