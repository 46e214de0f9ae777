//! What stands in a file of swatches as the workbook has it: undyed cloth, readings, whose it is.

use colour::{Colour, Spread, Value};
use costume::{AsGiven, GroundGiven, ReadingNoted, Whose, look_word};
use workbook::{Backing, Condition, Hand, Means, Nap, Reading, Refusal, Subject, Told, Undyed};

pub(crate) fn undyed(given: Option<&GroundGiven>) -> Option<Undyed> {
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
pub(crate) fn reading(noted: &ReadingNoted, of: Subject) -> Result<Reading, Refusal> {
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

pub(crate) fn hand(whose: &Whose) -> Hand {
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
