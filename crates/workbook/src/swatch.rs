//! A swatch as it was really dyed.

use colour::Value as Shade;
use rusqlite::Connection;
use rusqlite::types::Value;
use units::{Day, LiquorRatio, Mass};

use crate::record::{Fields, Stored, free, maybe_number, reference};
use crate::{Dose, Entry, Hand, Id, Kind, Piece, Refusal, dose, shade, words};

/// What a cloth was before it was dyed.
#[derive(Debug, Clone, PartialEq)]
pub enum Undyed {
    /// Nobody said.
    Unsaid,
    /// White.
    White,
    /// As it grew: ecru, cream.
    Natural,
    /// As it was read.
    Read(Shade),
}

/// A swatch: a cutting dyed to learn from.
#[derive(Debug, Clone, PartialEq)]
pub struct Swatch {
    /// The piece it was dyed for, if for one.
    pub piece: Option<Id<Piece>>,
    /// The swatch it was dyed on, when it is an overdyeing or a topping up.
    pub over: Option<Id<Swatch>>,
    /// The code on its card; no two that stand share one.
    pub code: Option<String>,
    /// The day it was dyed; an old note may not say.
    pub day: Option<Day>,
    /// The cloth, in the costume file's words.
    pub cloth: String,
    /// The fibre, or the fibres of a blend.
    pub fibre: String,
    /// What the cloth was before.
    pub undyed: Undyed,
    /// Whether it was another cloth like the piece's own, because none of that could be cut: what it
    /// tells is weaker.
    pub look_alike: bool,
    /// The dry weight of the cutting, not nothing.
    pub goods: Mass,
    /// Liquor to goods; an old note may not say.
    pub liquor: Option<LiquorRatio>,
    /// The class it was dyed by.
    pub class: String,
    /// The procedure of the class.
    pub procedure: Option<String>,
    /// What was really dosed, in order.
    pub doses: Vec<Dose>,
    /// Whose it is.
    pub hand: Hand,
    /// Anything else.
    pub note: Option<String>,
}

impl Stored for Swatch {
    const KIND: Kind = Kind::Swatch;
    const COLUMNS: &'static [&'static str] = &[
        "piece",
        "over",
        "code",
        "day",
        "cloth",
        "fibre",
        "goods_g",
        "liquor",
        "class",
        "procedure",
        "hand",
        "whose",
        "note",
        "undyed",
        "look_alike",
    ];

    fn check(&self) -> Result<(), Refusal> {
        words::maybe_name("the code of a swatch", self.code.as_deref())?;
        words::name("the cloth of a swatch", &self.cloth)?;
        words::name("the fibre of a swatch", &self.fibre)?;
        words::name("the class of a swatch", &self.class)?;
        words::maybe_name("the procedure of a swatch", self.procedure.as_deref())?;
        if self.goods <= Mass::ZERO {
            return Err(Refusal::unfit(
                "a swatch of 0 g",
                "it was of some cloth; write its dry weight",
            ));
        }
        self.undyed.check()?;
        dose::check(&self.doses)?;
        self.hand.check()?;
        words::note("the note of a swatch", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        if let Some(code) = &self.code {
            free(book, Kind::Swatch, "code", code, None)?;
        }
        dose::check_beside(&self.doses, book)
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        let mut on: Vec<_> =
            reference(self.piece).into_iter().chain(reference(self.over)).collect();
        on.extend(dose::rests_on(&self.doses));
        on
    }

    fn cells(&self) -> Vec<Value> {
        let [hand, whose] = self.hand.cells();
        vec![
            maybe_number(self.piece),
            maybe_number(self.over),
            self.code.clone().into(),
            self.day.map(|d| d.to_string()).into(),
            self.cloth.clone().into(),
            self.fibre.clone().into(),
            self.goods.to_grams().into(),
            self.liquor.map(LiquorRatio::to_litres_per_kilogram).into(),
            self.class.clone().into(),
            self.procedure.clone().into(),
            hand.into(),
            whose.into(),
            self.note.clone().into(),
            self.undyed.cell(),
            if self.look_alike { Value::Integer(1) } else { Value::Null },
        ]
    }

    fn insert_parts(&self, book: &Connection, entry: Entry) -> Result<(), Refusal> {
        dose::insert(&self.doses, book, entry)
    }

    fn read(row: &Fields<'_>, book: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            piece: row.maybe_id("piece")?,
            over: row.maybe_id("over")?,
            code: row.maybe_text("code")?,
            day: row.maybe_day("day")?,
            cloth: row.text("cloth")?,
            fibre: row.text("fibre")?,
            undyed: Undyed::read(row)?,
            look_alike: row.get::<Option<i64>>("look_alike")? == Some(1),
            goods: row.quantity("goods_g", Mass::try_grams)?,
            liquor: row.maybe_quantity("liquor", LiquorRatio::try_litres_per_kilogram)?,
            class: row.text("class")?,
            procedure: row.maybe_text("procedure")?,
            doses: dose::read(book, row.entry, row.place)?,
            hand: Hand::read(row)?,
            note: row.maybe_text("note")?,
        })
    }
}

impl Undyed {
    pub(crate) fn check(&self) -> Result<(), Refusal> {
        match self {
            Self::Read(it) => shade::check(it),
            Self::Unsaid | Self::White | Self::Natural => Ok(()),
        }
    }

    pub(crate) fn cell(&self) -> Value {
        match self {
            Self::Unsaid => Value::Null,
            Self::White => "white".to_owned().into(),
            Self::Natural => "natural".to_owned().into(),
            Self::Read(it) => shade::to_json(it).to_string().into(),
        }
    }

    pub(crate) fn read(row: &Fields<'_>) -> Result<Self, Refusal> {
        Ok(match row.maybe_text("undyed")?.as_deref() {
            None => Self::Unsaid,
            Some("white") => Self::White,
            Some("natural") => Self::Natural,
            Some(read) => {
                let it = serde_json::from_str(read)
                    .map_err(|_| Refusal::damaged(format!("undyed cloth that is '{read}'")))?;
                Self::Read(shade::from_json(&it)?)
            }
        })
    }
}
