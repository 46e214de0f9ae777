//! A bath as it was really dyed, with the pieces that were in it.

use rusqlite::types::Value;
use rusqlite::{Connection, params};
use units::{Celsius, Day, LiquorRatio, Mass, Minutes};

use crate::record::{Fields, Stored, maybe_number, reference};
use crate::words::words as cases;
use crate::{Dose, Entry, Id, Kind, Piece, Refusal, Swatch, Undyed, dose, words};

cases! {
    /// What a bath was for.
    Purpose, "purpose of a bath", {
        /// To make ready: scour, bleach, mordant.
        Prepare = "prepare",
        /// To dye.
        Dye = "dye",
        /// More dye into the same bath.
        TopUp = "top up",
        /// Over a colour that is there.
        Overdye = "overdye",
        /// To take colour off.
        Strip = "strip",
        /// To wash off, fix or finish.
        After = "after",
    }
}

/// A bath.
#[derive(Debug, Clone, PartialEq)]
pub struct Bath {
    /// What for.
    pub purpose: Purpose,
    /// The bath it follows on the same goods.
    pub after: Option<Id<Bath>>,
    /// The swatch whose recipe it repeats.
    pub from_swatch: Option<Id<Swatch>>,
    /// The pieces in it, each once, with their dry weight; at least one.
    pub pieces: Vec<InBath>,
    /// The fibre of the goods, or the fibres of a blend, where that was told.
    pub fibre: Option<String>,
    /// What the goods were before.
    pub undyed: Undyed,
    /// The day.
    pub day: Day,
    /// Liquor to goods.
    pub liquor: Option<LiquorRatio>,
    /// The class.
    pub class: String,
    /// The procedure of the class.
    pub procedure: Option<String>,
    /// How long the goods were in it.
    pub time: Option<Minutes>,
    /// How hot it was at the hottest.
    pub hottest: Option<Celsius>,
    /// What was really dosed, in order.
    pub doses: Vec<Dose>,
    /// The bath sheet it was dyed by, as a text (JSON).
    pub sheet: Option<String>,
    /// What was done otherwise, and anything else.
    pub note: Option<String>,
}

/// A piece in a bath.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InBath {
    /// The piece.
    pub piece: Id<Piece>,
    /// Its dry weight, not nothing.
    pub dry: Mass,
}

impl Stored for Bath {
    const KIND: Kind = Kind::Bath;
    const COLUMNS: &'static [&'static str] = &[
        "purpose",
        "after",
        "from_swatch",
        "day",
        "liquor",
        "class",
        "procedure",
        "sheet",
        "note",
        "fibre",
        "undyed",
        "minutes",
        "hottest_c",
    ];

    fn check(&self) -> Result<(), Refusal> {
        if self.pieces.is_empty() {
            return Err(Refusal::unfit(
                "a bath without a piece",
                "name what was in it; what is dyed to learn from is a swatch",
            ));
        }
        for (i, it) in self.pieces.iter().enumerate() {
            if it.dry <= Mass::ZERO {
                let what = format!("piece {} of 0 g in a bath", it.piece);
                return Err(Refusal::unfit(what, "write its dry weight"));
            }
            if self.pieces[..i].iter().any(|other| other.piece == it.piece) {
                let what = format!("piece {} twice in one bath", it.piece);
                return Err(Refusal::unfit(what, "name it once, with its whole dry weight"));
            }
        }
        words::name("the class of a bath", &self.class)?;
        words::maybe_name("the procedure of a bath", self.procedure.as_deref())?;
        words::maybe_name("the fibre of a bath", self.fibre.as_deref())?;
        self.undyed.check()?;
        dose::check(&self.doses)?;
        words::note("the sheet of a bath", self.sheet.as_deref())?;
        words::note("the note of a bath", self.note.as_deref())
    }

    fn check_beside(&self, book: &Connection) -> Result<(), Refusal> {
        dose::check_beside(&self.doses, book)
    }

    fn rests_on(&self) -> Vec<(Kind, Entry)> {
        let mut on: Vec<_> =
            reference(self.after).into_iter().chain(reference(self.from_swatch)).collect();
        on.extend(self.pieces.iter().filter_map(|it| reference(Some(it.piece))));
        on.extend(dose::rests_on(&self.doses));
        on
    }

    fn cells(&self) -> Vec<Value> {
        vec![
            self.purpose.word().to_owned().into(),
            maybe_number(self.after),
            maybe_number(self.from_swatch),
            self.day.to_string().into(),
            self.liquor.map(LiquorRatio::to_litres_per_kilogram).into(),
            self.class.clone().into(),
            self.procedure.clone().into(),
            self.sheet.clone().into(),
            self.note.clone().into(),
            self.fibre.clone().into(),
            self.undyed.cell(),
            self.time.map(Minutes::to_minutes).into(),
            self.hottest.map(Celsius::to_degrees).into(),
        ]
    }

    fn insert_parts(&self, book: &Connection, entry: Entry) -> Result<(), Refusal> {
        let mut insert = book.prepare_cached(
            "INSERT INTO bath_piece (entry, place, piece, dry_g) VALUES (?1, ?2, ?3, ?4)",
        )?;
        for (place, it) in (1_i64..).zip(&self.pieces) {
            let piece = it.piece.entry().number();
            insert.execute(params![entry.number(), place, piece, it.dry.to_grams()])?;
        }
        dose::insert(&self.doses, book, entry)
    }

    fn read(row: &Fields<'_>, book: &Connection) -> Result<Self, Refusal> {
        Ok(Self {
            purpose: row.word("purpose", Purpose::from_word)?,
            after: row.maybe_id("after")?,
            from_swatch: row.maybe_id("from_swatch")?,
            pieces: pieces(row, book)?,
            fibre: row.maybe_text("fibre")?,
            undyed: Undyed::read(row)?,
            day: row.day("day")?,
            liquor: row.maybe_quantity("liquor", LiquorRatio::try_litres_per_kilogram)?,
            class: row.text("class")?,
            procedure: row.maybe_text("procedure")?,
            time: row.maybe_quantity("minutes", Minutes::try_minutes)?,
            hottest: row.maybe_quantity("hottest_c", Celsius::try_degrees)?,
            doses: dose::read(book, row.entry, row.place)?,
            sheet: row.maybe_text("sheet")?,
            note: row.maybe_text("note")?,
        })
    }
}

fn pieces(bath: &Fields<'_>, book: &Connection) -> Result<Vec<InBath>, Refusal> {
    let mut question =
        book.prepare_cached("SELECT * FROM bath_piece WHERE entry = ?1 ORDER BY place")?;
    let mut rows = question.query([bath.entry.number()])?;
    let mut pieces = Vec::new();
    while let Some(row) = rows.next()? {
        let row = Fields { row, entry: bath.entry, place: bath.place };
        let dry = row.quantity("dry_g", Mass::try_grams)?;
        pieces.push(InBath { piece: row.id("piece")?, dry });
    }
    Ok(pieces)
}
