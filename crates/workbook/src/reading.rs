//! A reading of something that was dyed, or of a piece as it is: the value with its spread, the state
//! of the cloth, and everything a bias can hang on (job, lamp, means, device, hand).

use colour::{Colour, Spread, Value as Shade};
use rusqlite::Connection;
use rusqlite::types::Value;
use units::Day;

use crate::record::{Fields, Stored, maybe_number, reference};
use crate::words::words as cases;
use crate::{Bath, Condition, Entry, Hand, Id, Kind, Photograph, Piece, Refusal, Swatch};
use crate::{nearest, shade, words};

cases! {
    /// By what means a reading was made.
    Means, "means of a reading", {
        /// An instrument.
        Instrument = "instrument",
        /// A photograph.
        Photograph = "photograph",
        /// A file whose maker is not known.
        File = "file",
        /// Typed, from wherever.
        Typed = "typed",
        /// By eye, against something known.
        Eye = "eye",
        /// Made up for a demonstration.
        Invented = "invented",
    }
}

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A swatch.
    Swatch(Id<Swatch>),
    /// A piece as it came out of a bath.
    Dyed {
        /// The bath.
        bath: Id<Bath>,
        /// The piece, one of those in the bath.
        piece: Id<Piece>,
    },
    /// A piece as it is: undyed, or worn and faded.
    Piece(Id<Piece>),
}

/// A reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Of what.
    pub of: Subject,
    /// What was read.
    pub value: Shade,
    /// The same reading under further lights, each under one of its own; none where the value is a
    /// spectrum, which tells them all.
    pub also: Vec<Colour>,
    /// How far it may be off.
    pub spread: Spread,
    /// The state of the cloth.
    pub condition: Condition,
    /// The day.
    pub day: Option<Day>,
    /// The job: readings taken at one go bear one name, and share what bias there is.
    pub job: Option<String>,
    /// The lamp it was taken under, in words, where that matters (a photograph).
    pub lamp: Option<String>,
    /// The means.
    pub means: Means,
    /// The device, by its name.
    pub device: Option<String>,
    /// The photograph it was taken from.
    pub photograph: Option<Id<Photograph>>,
    /// Whose it is.
    pub hand: Hand,
    /// What was assumed in taking it, and anything else.
    pub note: Option<String>,
}

impl Stored for Reading {
    const KIND: Kind = Kind::Reading;
    const COLUMNS: &'static [&'static str] = &[
        "swatch",
        "bath",
        "piece",
        "start_nm",
        "step_nm",
        "factors",
        "l",
        "a",
        "b",
        "light",
        "observer",
        "spread",
        "spread_of",
        "washed_off",
        "dry",
        "cool",
        "ironed",
        "nap",
        "backing",
        "day",
        "job",
        "lamp",
        "means",
        "device",
        "photograph",
        "hand",
        "whose",
        "note",
        "also",
    ];

    fn check(&self) -> Result<(), Refusal> {
        shade::check(&self.value)?;
        check_also(&self.value, &self.also)?;
        check_spread(&self.spread)?;
        words::maybe_name("the job of a reading", self.job.as_deref())?;
        words::maybe_name("the lamp of a reading", self.lamp.as_deref())?;
        words::maybe_name("the device of a reading", self.device.as_deref())?;
        self.hand.check()?;
        words::note("the note of a reading", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        if let Subject::Dyed { bath, piece } = self.of {
            let inside = book
                .prepare_cached("SELECT 1 FROM bath_piece WHERE entry = ?1 AND piece = ?2")?
                .exists([bath.entry().number(), piece.entry().number()])?;
            if !inside {
                return Err(Refusal::unfit(
                    format!("a reading of piece {piece} out of bath {bath}"),
                    "that piece was not in that bath; name the bath it was in, or read the piece \
                     as it is",
                ));
            }
        }
        Ok(())
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        let (swatch, bath, piece) = self.of.parts();
        let of = reference(swatch).into_iter().chain(reference(bath)).chain(reference(piece));
        of.chain(reference(self.photograph)).collect()
    }

    fn cells(&self) -> Vec<Value> {
        let (swatch, bath, piece) = self.of.parts();
        let mut cells = vec![maybe_number(swatch), maybe_number(bath), maybe_number(piece)];
        cells.extend(shade::cells(Some(&self.value)));
        cells.extend(spread_cells(&self.spread));
        cells.extend(self.condition.cells().map(|word| Value::Text(word.to_owned())));
        let [hand, whose] = self.hand.cells();
        cells.extend([
            self.day.map(|d| d.to_string()).into(),
            self.job.clone().into(),
            self.lamp.clone().into(),
            self.means.word().to_owned().into(),
            self.device.clone().into(),
            maybe_number(self.photograph),
            hand.into(),
            whose.into(),
            self.note.clone().into(),
            also_cell(&self.also),
        ]);
        cells
    }

    fn insert_parts(&self, book: &Connection, entry: Entry) -> Result<(), Refusal> {
        nearest::index(book, entry, self)
    }

    fn read(row: &Fields<'_>, _: &Connection) -> Result<Self, Refusal> {
        let of = match (row.maybe_id("swatch")?, row.maybe_id("bath")?, row.maybe_id("piece")?) {
            (Some(swatch), None, None) => Subject::Swatch(swatch),
            (None, Some(bath), Some(piece)) => Subject::Dyed { bath, piece },
            (None, None, Some(piece)) => Subject::Piece(piece),
            _ => return Err(Refusal::damaged(format!("{}: of nothing, or of two", row.place))),
        };
        Ok(Self {
            of,
            value: shade::read(row)?,
            also: read_also(row)?,
            spread: read_spread(row)?,
            condition: Condition::read(row)?,
            day: row.maybe_day("day")?,
            job: row.maybe_text("job")?,
            lamp: row.maybe_text("lamp")?,
            means: row.word("means", Means::from_word)?,
            device: row.maybe_text("device")?,
            photograph: row.maybe_id("photograph")?,
            hand: Hand::read(row)?,
            note: row.maybe_text("note")?,
        })
    }
}

/// The swatch, the bath, the piece.
type Parts = (Option<Id<Swatch>>, Option<Id<Bath>>, Option<Id<Piece>>);

impl Subject {
    /// The swatch, the bath and the piece that are meant.
    fn parts(self) -> Parts {
        match self {
            Self::Swatch(swatch) => (Some(swatch), None, None),
            Self::Dyed { bath, piece } => (None, Some(bath), Some(piece)),
            Self::Piece(piece) => (None, None, Some(piece)),
        }
    }
}

/// A further light tells something new, and only once.
fn check_also(value: &Shade, also: &[Colour]) -> Result<(), Refusal> {
    let under = |c: &Colour| format!("a reading under {}, {}", c.light.name(), c.observer.name());
    for (i, one) in also.iter().enumerate() {
        shade::check(&Shade::Colour(*one))?;
        let same = |o: &Colour| o.light == one.light && o.observer == one.observer;
        let told = match value {
            Shade::Spectrum(_) => {
                let rule = "its spectrum tells every light; leave the further lights out";
                return Err(Refusal::unfit(under(one), rule));
            }
            Shade::Colour(first) => same(first) || also[..i].iter().any(same),
        };
        if told {
            return Err(Refusal::unfit(under(one), "it is told twice; give each light once"));
        }
    }
    Ok(())
}

fn also_cell(also: &[Colour]) -> Value {
    if also.is_empty() {
        return Value::Null;
    }
    let list = also.iter().map(|c| shade::to_json(&Shade::Colour(*c))).collect();
    Value::Text(serde_json::Value::Array(list).to_string())
}

/// The further lights of a reading.
pub(crate) fn read_also(row: &Fields<'_>) -> Result<Vec<Colour>, Refusal> {
    let Some(text) = row.maybe_text("also")? else { return Ok(Vec::new()) };
    let wrong = || Refusal::damaged("the further lights are no list of colours");
    let list: Vec<serde_json::Value> = serde_json::from_str(&text).map_err(|_| wrong())?;
    let one = |it: &serde_json::Value| match shade::from_json(it)? {
        Shade::Colour(colour) => Ok(colour),
        Shade::Spectrum(_) => Err(wrong()),
    };
    list.iter().map(one).collect()
}

/// The largest covariance kept, ΔE*² (a spread of 100: nothing is known at all).
const LARGEST_COVARIANCE: f64 = 1e4;

fn check_spread(spread: &Spread) -> Result<(), Refusal> {
    let wrong = |rule: &str| Err(Refusal::unfit("the covariance of a reading", rule));
    match spread {
        Spread::Unknown => Ok(()),
        Spread::Rms(rms) => Ok(Spread::try_rms(*rms).map(|_| ())?),
        Spread::Covariance(c) => {
            if c.iter().flatten().any(|v| !v.is_finite() || v.abs() > LARGEST_COVARIANCE) {
                return wrong(
                    "its numbers must be finite, 10000 at most; leave the spread unknown",
                );
            }
            for i in 0..3 {
                for j in 0..3 {
                    if c[i][j] != c[j][i] {
                        return wrong("it must be symmetric; give the same number both ways");
                    }
                    if c[i][i] < 0.0 || c[i][j].abs() > (c[i][i] * c[j][j]).sqrt() * (1.0 + 1e-9) {
                        return wrong("its correlations must lie between -1 and 1");
                    }
                }
            }
            Ok(())
        }
    }
}

/// Cells of the kind of spread and its numbers.
fn spread_cells(spread: &Spread) -> [Value; 2] {
    match spread {
        Spread::Unknown => [Value::Text("unknown".to_owned()), Value::Null],
        Spread::Rms(rms) => [Value::Text("rms".to_owned()), shade::list(&[*rms]).into()],
        Spread::Covariance(c) => {
            [Value::Text("covariance".to_owned()), shade::list(c.as_flattened()).into()]
        }
    }
}

fn read_spread(row: &Fields<'_>) -> Result<Spread, Refusal> {
    let numbers = row.maybe_text("spread_of")?.map(|text| shade::numbers(&text)).transpose()?;
    match (row.text("spread")?.as_str(), numbers.as_deref()) {
        ("unknown", None) => Ok(Spread::Unknown),
        ("rms", Some([rms])) => Ok(Spread::Rms(*rms)),
        ("covariance", Some(&[a, b, c, d, e, f, g, h, i])) => {
            Ok(Spread::Covariance([[a, b, c], [d, e, f], [g, h, i]]))
        }
        (other, _) => Err(Refusal::UnknownWord {
            what: "spread",
            given: other.to_owned(),
            known: "unknown, rms (of one number), covariance (of nine)".to_owned(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spreads_that_are_none_are_refused() {
        let good = [[1.0, 0.2, 0.0], [0.2, 2.0, -0.5], [0.0, -0.5, 1.0]];
        assert!(check_spread(&Spread::Covariance(good)).is_ok());
        let with = |i: usize, j: usize, v: f64| {
            let mut c = good;
            c[i][j] = v;
            check_spread(&Spread::Covariance(c))
        };
        assert!(with(0, 0, f64::NAN).is_err() && with(1, 1, 1e9).is_err());
        assert!(with(0, 1, 0.3).is_err(), "not symmetric");
        assert!(with(0, 0, -1.0).is_err() && with(0, 0, 0.0).is_err(), "no covariance");
        for rms in [f64::NAN, f64::INFINITY, -1.0, 1e6] {
            assert!(check_spread(&Spread::Rms(rms)).is_err(), "{rms}");
        }
    }
}
