//! What went into the liquor of a swatch or a bath, as really dosed and not as proposed.

use rusqlite::{Connection, params};
use units::{Mass, OnFibre, PerLitre, Share, Volume};

use crate::record::{Fields, reference};
use crate::{Entry, Id, Kind, Lot, Refusal, ShelfDye, words};

/// One dose.
#[derive(Debug, Clone, PartialEq)]
pub struct Dose {
    /// Of what.
    pub of: Dosed,
    /// How much.
    pub amount: Amount,
    /// How far the amount may be off: one standard deviation as a share of it, when it is known.
    pub scatter: Option<Share>,
    /// By what it was measured: the scale, a syringe of a stock solution, a spoon.
    pub measured: Option<String>,
}

/// What was dosed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Dosed {
    /// A dye of the shelf, and its lot when it is known.
    Dye {
        /// The dye.
        dye: Id<ShelfDye>,
        /// Its lot.
        lot: Option<Id<Lot>>,
    },
    /// Anything else, in the words of the programme.
    Auxiliary(String),
}

/// How much was dosed, in the unit it was dosed by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Weighed, or by volume of a stock of known strength.
    Weighed(Mass),
    /// A volume of a liquid.
    Poured(Volume),
    /// As told by a note that gives no weight.
    OnFibre(OnFibre),
    /// Per litre of liquor.
    PerLitre(PerLitre),
}

impl Amount {
    fn cells(self) -> (&'static str, f64) {
        match self {
            Self::Weighed(mass) => ("g", mass.to_grams()),
            Self::Poured(volume) => ("mL", volume.to_millilitres()),
            Self::OnFibre(share) => ("% owf", share.to_percent()),
            Self::PerLitre(strength) => ("g/L", strength.to_grams_per_litre()),
        }
    }

    fn read(unit: &str, amount: f64) -> Result<Self, Refusal> {
        Ok(match unit {
            "g" => Self::Weighed(Mass::try_grams(amount)?),
            "mL" => Self::Poured(Volume::try_millilitres(amount)?),
            "% owf" => Self::OnFibre(OnFibre::try_percent(amount)?),
            "g/L" => Self::PerLitre(PerLitre::try_grams_per_litre(amount)?),
            other => {
                return Err(Refusal::UnknownWord {
                    what: "unit of a dose",
                    given: other.to_owned(),
                    known: "g, mL, % owf, g/L".to_owned(),
                });
            }
        })
    }

    /// The amount on weight of fibre, where it can be known: weighed, or told so.
    #[must_use]
    pub fn on_fibre(self, goods: Mass) -> Option<OnFibre> {
        match self {
            Self::OnFibre(share) => Some(share),
            Self::Weighed(mass) if goods > Mass::ZERO => {
                OnFibre::try_percent(100.0 * (mass / goods)).ok()
            }
            Self::Weighed(_) | Self::Poured(_) | Self::PerLitre(_) => None,
        }
    }
}

pub(crate) fn check(doses: &[Dose]) -> Result<(), Refusal> {
    for dose in doses {
        if let Dosed::Auxiliary(name) = &dose.of {
            words::name("the name of an auxiliary", name)?;
        }
        words::maybe_name("how a dose was measured", dose.measured.as_deref())?;
    }
    Ok(())
}

/// A lot must be of the dye it is named with.
pub(crate) fn check_beside(doses: &[Dose], book: &Connection) -> Result<(), Refusal> {
    for dose in doses {
        if let Dosed::Dye { dye, lot: Some(lot) } = dose.of {
            let of: i64 = book
                .prepare_cached("SELECT dye FROM lot WHERE entry = ?1")?
                .query_row([lot.entry().number()], |row| row.get(0))?;
            if of != dye.entry().number() {
                return Err(Refusal::unfit(
                    format!("the dose of dye {dye} from lot {lot}"),
                    format!("that is a lot of dye {of}; name a lot of the dye itself, or none"),
                ));
            }
        }
    }
    Ok(())
}

pub(crate) fn rests_on(doses: &[Dose]) -> impl Iterator<Item = (Kind, Entry)> + '_ {
    doses.iter().flat_map(|dose| match dose.of {
        Dosed::Dye { dye, lot } => reference(Some(dye)).into_iter().chain(reference(lot)),
        Dosed::Auxiliary(_) => {
            reference::<ShelfDye>(None).into_iter().chain(reference::<Lot>(None))
        }
    })
}

pub(crate) fn insert(doses: &[Dose], book: &Connection, entry: Entry) -> Result<(), Refusal> {
    let mut insert = book.prepare_cached(
        "INSERT INTO dose (entry, place, dye, lot, auxiliary, unit, amount, scatter, measured) \
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
    )?;
    for (place, dose) in (1_i64..).zip(doses) {
        let (dye, lot, auxiliary) = match &dose.of {
            Dosed::Dye { dye, lot } => {
                (Some(dye.entry().number()), lot.map(|l| l.entry().number()), None)
            }
            Dosed::Auxiliary(name) => (None, None, Some(name)),
        };
        let (unit, amount) = dose.amount.cells();
        let scatter = dose.scatter.map(Share::to_fraction);
        insert.execute(params![
            entry.number(),
            place,
            dye,
            lot,
            auxiliary,
            unit,
            amount,
            scatter,
            dose.measured
        ])?;
    }
    Ok(())
}

pub(crate) fn read(book: &Connection, entry: Entry, place: &str) -> Result<Vec<Dose>, Refusal> {
    let mut question = book.prepare_cached("SELECT * FROM dose WHERE entry = ?1 ORDER BY place")?;
    let mut rows = question.query([entry.number()])?;
    let mut doses = Vec::new();
    while let Some(row) = rows.next()? {
        let row = Fields { row, entry, place };
        let of = match (row.maybe_id("dye")?, row.maybe_text("auxiliary")?) {
            (Some(dye), None) => Dosed::Dye { dye, lot: row.maybe_id("lot")? },
            (None, Some(name)) => Dosed::Auxiliary(name),
            _ => return Err(Refusal::damaged(format!("{place}: a dose of nothing"))),
        };
        doses.push(Dose {
            of,
            amount: Amount::read(&row.text("unit")?, row.get("amount")?)?,
            scatter: row.maybe_quantity("scatter", Share::try_fraction)?,
            measured: row.maybe_text("measured")?,
        });
    }
    Ok(doses)
}
