//! What is known of each dye class and each procedure, read from `classes.toml`.

use serde::Deserialize;
use units::{Celsius, Ph, Share};

use crate::class::DyeClass;
use crate::fault::{held, read};
use crate::named::named;
use crate::near::tidy;
use crate::{DataFault, Lore, Procedure, Provenance, Standing, UnknownName};

const FILE: &str = "classes.toml";

/// What is known of a dye class.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassFacts {
    /// The class.
    pub class: DyeClass,
    /// Its name in words.
    pub name: String,
    /// How it holds to the fibre.
    pub bond: String,
    /// Other words it is sold or known under.
    pub words: Vec<String>,
    /// One sentence about it.
    pub says: String,
    /// The part of the dye that ends on the fibre, at pale and at deep shades.
    pub fixed: Option<(Share, Share)>,
    /// Where the row is from.
    pub provenance: Provenance,
    /// The published range of fixation for the class, low and high, with its source.
    pub published: Option<(Share, Share, Provenance)>,
}

/// What is known of a procedure.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcedureFacts {
    /// The procedure.
    pub procedure: Procedure,
    /// Its name in words.
    pub name: String,
    /// One line about it.
    pub says: String,
    /// Whether it is for a home kit.
    pub home: Home,
    /// Why, or under what condition.
    pub home_why: String,
    /// The coolest bath in which it still works, unless a fibre says otherwise.
    pub works_from: Celsius,
    /// The usual top temperature.
    pub usual: Celsius,
    /// pH of the bath, from and to.
    pub ph: (Ph, Ph),
    /// Where the row is from.
    pub provenance: Provenance,
}

named! {
    /// Whether a procedure is for a home kit.
    pub enum Home, "answer" {
        /// Offered.
        Yes = "yes",
        /// Offered with care.
        Careful = "careful",
        /// Not offered.
        No = "no",
    }
}

/// Everything `classes.toml` holds.
#[derive(Debug, Clone, Default)]
pub(crate) struct Classes {
    pub(crate) classes: Vec<ClassFacts>,
    pub(crate) procedures: Vec<ProcedureFacts>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassesFile {
    class: Vec<ClassRow>,
    procedure: Vec<ProcedureRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassRow {
    id: DyeClass,
    name: String,
    bond: String,
    words: Vec<String>,
    says: String,
    fixed_pale_percent: Option<f64>,
    fixed_deep_percent: Option<f64>,
    source: String,
    standing: Standing,
    published_low_percent: Option<f64>,
    published_high_percent: Option<f64>,
    published_source: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ProcedureRow {
    id: Procedure,
    name: String,
    says: String,
    home: Home,
    home_why: String,
    from_c: f64,
    usual_c: f64,
    ph_low: f64,
    ph_high: f64,
    source: String,
    standing: Standing,
}

impl Classes {
    pub(crate) fn try_read(text: &str) -> Result<Self, DataFault> {
        let file: ClassesFile = read(FILE, text)?;
        let read = Self {
            classes: file.class.into_iter().map(try_class).collect::<Result<_, _>>()?,
            procedures: file.procedure.into_iter().map(try_procedure).collect::<Result<_, _>>()?,
        };
        let missing = DyeClass::ALL
            .iter()
            .filter(|id| !read.classes.iter().any(|row| row.class == **id))
            .map(|id| id.id())
            .chain(
                Procedure::ALL
                    .iter()
                    .filter(|id| !read.procedures.iter().any(|row| row.procedure == **id))
                    .map(|id| id.id()),
            )
            .next();
        match missing {
            Some(id) => Err(DataFault { file: FILE, what: format!("nothing is said of '{id}'") }),
            None => Ok(read),
        }
    }
}

fn try_class(row: ClassRow) -> Result<ClassFacts, DataFault> {
    let id = row.id.id();
    let share = |percent: f64| held(FILE, id, Share::try_percent(percent));
    let fixed = match (row.fixed_pale_percent, row.fixed_deep_percent) {
        (Some(pale), Some(deep)) => Some((share(pale)?, share(deep)?)),
        _ => None,
    };
    let published =
        match (row.published_low_percent, row.published_high_percent, row.published_source) {
            (Some(low), Some(high), Some(source)) => Some((
                share(low)?,
                share(high)?,
                Provenance { source, standing: Standing::Published },
            )),
            (None, None, None) => None,
            _ => {
                let what = format!("'{id}': a published range needs low, high and source");
                return Err(DataFault { file: FILE, what });
            }
        };
    Ok(ClassFacts {
        class: row.id,
        name: row.name,
        bond: row.bond,
        words: row.words,
        says: row.says,
        fixed,
        provenance: Provenance { source: row.source, standing: row.standing },
        published,
    })
}

fn try_procedure(row: ProcedureRow) -> Result<ProcedureFacts, DataFault> {
    let id = row.id.id();
    Ok(ProcedureFacts {
        procedure: row.id,
        name: row.name,
        says: row.says,
        home: row.home,
        home_why: row.home_why,
        works_from: held(FILE, id, Celsius::try_degrees(row.from_c))?,
        usual: held(FILE, id, Celsius::try_degrees(row.usual_c))?,
        ph: (
            held(FILE, id, Ph::try_value(row.ph_low))?,
            held(FILE, id, Ph::try_value(row.ph_high))?,
        ),
        provenance: Provenance { source: row.source, standing: row.standing },
    })
}

impl Lore {
    /// What is known of a dye class.
    #[must_use]
    pub fn class(&self, class: DyeClass) -> Option<&ClassFacts> {
        self.classes.classes.iter().find(|row| row.class == class)
    }

    /// The dye class meant by an id, a name or a word of the trade.
    pub fn class_named(&self, word: &str) -> Result<DyeClass, UnknownName> {
        let asked = tidy(word);
        word.parse::<DyeClass>().or_else(|refusal| {
            self.classes
                .classes
                .iter()
                .find(|row| {
                    tidy(&row.name) == asked || row.words.iter().any(|other| tidy(other) == asked)
                })
                .map(|row| row.class)
                .ok_or(refusal)
        })
    }

    /// What is known of a procedure.
    #[must_use]
    pub fn procedure(&self, procedure: Procedure) -> Option<&ProcedureFacts> {
        self.classes.procedures.iter().find(|row| row.procedure == procedure)
    }

    /// The name of a dye class in words.
    #[must_use]
    pub fn class_name(&self, class: DyeClass) -> &str {
        self.class(class).map_or(class.id(), |row| row.name.as_str())
    }

    /// The name of a procedure in words.
    #[must_use]
    pub fn procedure_name(&self, procedure: Procedure) -> &str {
        self.procedure(procedure).map_or(procedure.id(), |row| row.name.as_str())
    }

    /// The coolest bath in which a procedure works when its fibre says nothing else.
    pub(crate) fn works_from(&self, procedure: Procedure) -> Option<Celsius> {
        self.procedure(procedure).map(|row| row.works_from)
    }
}
