//! Random workbooks: every kind of record, every way of telling, undoings and their undoing.

use colour::{Colour, Lab, Light, Observer, Spectrum, Spread, Value};
use units::{Day, LiquorRatio, Mass, OnFibre, PerLitre, Share, Volume};
use workbook::{
    Aim, Amount, Backing, Bath, Book, Call, Condition, Costume, Dose, Dosed, Entry, Hand, Id,
    InBath, Lot, Means, Nap, Photograph, Piece, Purpose, Reading, Refusal, ShelfDye, Stamp,
    Subject, Swatch, Target, Told, Undyed, Verdict, Writing,
};

use super::dice::Dice;

/// What is in a random workbook by now.
#[derive(Default)]
struct There {
    costumes: Vec<Id<Costume>>,
    pieces: Vec<Id<Piece>>,
    dyes: Vec<Id<ShelfDye>>,
    lots: Vec<(Id<ShelfDye>, Id<Lot>)>,
    photographs: Vec<Id<Photograph>>,
    swatches: Vec<Id<Swatch>>,
    baths: Vec<(Id<Bath>, Id<Piece>)>,
    readings: Vec<Id<Reading>>,
    entries: i64,
}

/// Records so many random things; what the workbook refuses (something undone, a name taken) is passed
/// over. Gives the refusals.
pub(crate) fn fill(book: &mut Book, seed: u64, things: usize) -> Vec<Refusal> {
    let mut dice = Dice::new(seed);
    let mut there = There::default();
    let mut refused = vec![];
    book.write(|w| {
        for _ in 0..things {
            match one(w, &mut dice, &mut there) {
                Ok(entry) => there.entries = entry.number(),
                Err(refusal) => refused.push(refusal),
            }
        }
        Ok(())
    })
    .unwrap();
    refused
}

fn one(w: &Writing<'_>, d: &mut Dice, t: &mut There) -> Result<Entry, Refusal> {
    let at = &stamp(d);
    if t.pieces.is_empty() || t.dyes.is_empty() {
        let costume = w.record_costume(at, &Costume { name: name(d), note: note(d) })?;
        t.costumes.push(costume);
        let it = Piece { costume, name: name(d), goods: name(d), dry: None, note: None };
        t.pieces.push(w.record_piece(at, &it)?);
        let dye = w.record_dye(at, &shelf_dye(d))?;
        t.dyes.push(dye);
        return Ok(dye.entry());
    }
    let piece = d.pick(&t.pieces);
    Ok(match d.below(12) {
        0 => {
            let it = Costume { name: name(d), note: note(d) };
            kept(&mut t.costumes, w.record_costume(at, &it)?)
        }
        1 => {
            let it = Piece {
                costume: d.pick(&t.costumes),
                name: name(d),
                goods: name(d),
                dry: d.maybe(mass),
                note: note(d),
            };
            kept(&mut t.pieces, w.record_piece(at, &it)?)
        }
        2 => kept(&mut t.dyes, w.record_dye(at, &shelf_dye(d))?),
        3 => {
            let dye = d.pick(&t.dyes);
            let (opened, bought) = (d.maybe(day), d.maybe(mass));
            let it = Lot { dye, mark: name(d), opened, bought, note: note(d) };
            let lot = w.record_lot(at, &it)?;
            t.lots.push((dye, lot));
            lot.entry()
        }
        4 => {
            let bytes: Vec<u8> = (0..=d.below(700)).map(|_| d.next().to_le_bytes()[0]).collect();
            let piece = d.maybe(|_| piece);
            let note = note(d);
            let id = w.record_photograph(at, &bytes, "image/jpeg", piece, note.as_deref())?;
            kept(&mut t.photographs, id)
        }
        5 | 6 => {
            let it = swatch(d, t);
            kept(&mut t.swatches, w.record_swatch(at, &it)?)
        }
        7 => {
            let it = bath(d, t, piece);
            let bath = w.record_bath(at, &it)?;
            t.baths.push((bath, piece));
            bath.entry()
        }
        8 | 9 => {
            let of = match (d.below(4), t.swatches.is_empty(), t.baths.is_empty()) {
                (0 | 1, false, _) => Subject::Swatch(d.pick(&t.swatches)),
                (2, _, false) => {
                    let (bath, piece) = d.pick(&t.baths);
                    Subject::Dyed { bath, piece }
                }
                _ => Subject::Piece(piece),
            };
            let it = reading(d, t, of);
            kept(&mut t.readings, w.record_reading(at, &it)?)
        }
        10 => {
            let aim = match t.readings.is_empty() || d.below(2) == 0 {
                true => Aim::Shade(shade(d)),
                false => Aim::Reading(d.pick(&t.readings)),
            };
            w.record_target(at, &Target { piece, aim, note: note(d) })?;
            let it = Verdict {
                piece,
                swatch: t.swatches.last().copied(),
                bath: t.baths.last().map(|(bath, _)| *bath),
                reading: t.readings.last().copied(),
                call: d.pick(Call::ALL),
                day: day(d),
                note: note(d),
            };
            w.record_verdict(at, &it)?.entry()
        }
        _ => {
            let last = usize::try_from(t.entries).unwrap();
            w.undo(at, Entry::numbered(i64::try_from(1 + d.below(last)).unwrap()))?
        }
    })
}

fn kept<T>(list: &mut Vec<Id<T>>, id: Id<T>) -> Entry {
    list.push(id);
    id.entry()
}

fn swatch(d: &mut Dice, t: &There) -> Swatch {
    Swatch {
        piece: d.maybe(|d| d.pick(&t.pieces)),
        over: t.swatches.last().copied().filter(|_| d.below(4) == 0),
        code: d.maybe(name),
        day: d.maybe(day),
        cloth: name(d),
        fibre: name(d),
        undyed: match d.below(4) {
            0 => Undyed::Unsaid,
            1 => Undyed::White,
            2 => Undyed::Natural,
            _ => Undyed::Read(shade(d)),
        },
        look_alike: d.below(2) == 0,
        goods: mass(d),
        liquor: d.maybe(liquor),
        class: name(d),
        procedure: d.maybe(name),
        doses: doses(d, t),
        hand: hand(d),
        note: note(d),
    }
}

fn bath(d: &mut Dice, t: &There, piece: Id<Piece>) -> Bath {
    let mut pieces = vec![InBath { piece, dry: mass(d) }];
    let other = d.pick(&t.pieces);
    if other != piece {
        pieces.push(InBath { piece: other, dry: mass(d) });
    }
    Bath {
        purpose: d.pick(Purpose::ALL),
        after: t.baths.last().map(|(bath, _)| *bath).filter(|_| d.below(2) == 0),
        from_swatch: t.swatches.last().copied().filter(|_| d.below(2) == 0),
        pieces,
        fibre: d.maybe(name),
        undyed: d.pick(&[Undyed::Unsaid, Undyed::White, Undyed::Natural]),
        day: day(d),
        liquor: d.maybe(liquor),
        class: name(d),
        procedure: d.maybe(name),
        time: d.maybe(|d| units::Minutes::try_minutes(d.between(0.0, 500.0)).unwrap()),
        hottest: d.maybe(|d| units::Celsius::try_degrees(d.between(0.0, 100.0)).unwrap()),
        doses: doses(d, t),
        sheet: d.maybe(|_| "{\"steps\": []}".to_owned()),
        note: note(d),
    }
}

fn doses(d: &mut Dice, t: &There) -> Vec<Dose> {
    (0..d.below(5))
        .map(|_| Dose {
            of: match d.below(3) {
                0 => Dosed::Auxiliary(name(d)),
                1 if !t.lots.is_empty() => {
                    let (dye, lot) = d.pick(&t.lots);
                    Dosed::Dye { dye, lot: Some(lot) }
                }
                _ => Dosed::Dye { dye: d.pick(&t.dyes), lot: None },
            },
            amount: match d.below(4) {
                0 => Amount::Weighed(mass(d)),
                1 => Amount::Poured(Volume::try_millilitres(d.between(0.0, 500.0)).unwrap()),
                2 => Amount::OnFibre(OnFibre::try_percent(d.between(0.0, 10.0)).unwrap()),
                _ => Amount::PerLitre(PerLitre::try_grams_per_litre(d.between(0.0, 80.0)).unwrap()),
            },
            scatter: d.maybe(|d| Share::try_fraction(d.between(0.0, 1.0)).unwrap()),
            measured: d.maybe(name),
        })
        .collect()
}

fn reading(d: &mut Dice, t: &There, of: Subject) -> Reading {
    let value = shade(d);
    let first = match &value {
        Value::Colour(c) => Some((c.light, c.observer)),
        Value::Spectrum(_) => None,
    };
    let mut also = vec![];
    if let Some(first) = first {
        for light in [Light::A, Light::D65] {
            if (light, Observer::Ten) != first && d.below(2) == 0 {
                also.push(Colour { lab: lab(d), light, observer: Observer::Ten });
            }
        }
    }
    let told = |d: &mut Dice| d.pick(Told::ALL);
    Reading {
        of,
        value,
        also,
        spread: match d.below(3) {
            0 => Spread::Unknown,
            1 => Spread::Rms(d.between(0.0, 5.0)),
            _ => Spread::Covariance([[1.5, 0.25, -0.125], [0.25, 2.0, 0.1], [-0.125, 0.1, 0.75]]),
        },
        condition: Condition {
            washed_off: told(d),
            dry: told(d),
            cool: told(d),
            ironed: told(d),
            nap: d.pick(Nap::ALL),
            backing: d.pick(Backing::ALL),
        },
        day: d.maybe(day),
        job: d.maybe(name),
        lamp: d.maybe(name),
        means: d.pick(Means::ALL),
        device: d.maybe(name),
        photograph: t.photographs.last().copied().filter(|_| d.below(2) == 0),
        hand: hand(d),
        note: note(d),
    }
}

fn shade(d: &mut Dice) -> Value {
    match d.below(4) {
        0 => {
            let factors = (0..31).map(|_| d.between(0.0, 1.0)).collect();
            Value::Spectrum(Spectrum::try_new(400.0, 10.0, factors).unwrap())
        }
        1 => Value::Colour(Colour { lab: lab(d), light: Light::A, observer: Observer::Two }),
        _ => Value::Colour(Colour::d65_10(lab(d))),
    }
}

fn lab(d: &mut Dice) -> Lab {
    match d.below(8) {
        0 => Lab::new(0.0, -0.0, 0.0),
        1 => Lab::new(100.0, 1e-300, -128.0),
        _ => Lab::new(d.between(0.0, 100.0), d.between(-90.0, 90.0), d.between(-90.0, 90.0)),
    }
}

fn shelf_dye(d: &mut Dice) -> ShelfDye {
    ShelfDye { name: name(d), class: name(d), generic_name: d.maybe(name), note: note(d) }
}

fn hand(d: &mut Dice) -> Hand {
    match d.below(3) {
        0 => Hand::Own,
        1 => Hand::Friend(name(d)),
        _ => Hand::OldNote(name(d)),
    }
}

fn name(d: &mut Dice) -> String {
    let word =
        d.pick(&["sash", "Ärmel, links", "袖", "pièce n° 2", "a \"quoted\" one", "-1", "NULL"]);
    format!("{word} {}", d.below(100_000))
}

fn note(d: &mut Dice) -> Option<String> {
    d.maybe(|d| {
        d.pick(&["one line", "two\n\tlines", "☂ 'quoted' \\ \"twice\"", "{\"a\": 1}"]).to_owned()
    })
}

fn mass(d: &mut Dice) -> Mass {
    Mass::try_grams(d.between(0.001, 2000.0)).unwrap()
}

fn liquor(d: &mut Dice) -> LiquorRatio {
    LiquorRatio::try_litres_per_kilogram(d.between(1.0, 100.0)).unwrap()
}

fn day(d: &mut Dice) -> Day {
    Day::try_ymd(2031, 1, 1).unwrap().plus_days(i32::try_from(d.below(700)).unwrap())
}

fn stamp(d: &mut Dice) -> Stamp {
    let at = format!("{}T{:02}:{:02}:07Z", day(d), d.below(24), d.below(60));
    Stamp::try_new(at.parse().unwrap(), d.pick(&["Ada", "Bo"])).unwrap()
}
