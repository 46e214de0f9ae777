//! The matrix: which procedure takes on which fibre, with the reason.
//!
//! Where two texts of the trade disagree, the rules that protect cloth win over the matrix, and
//! the matrix wins over a fibre's own limits; the data are written so. Blends are in `blend`.

use units::Celsius;

use crate::named::named;
use crate::{DyeClass, Lore, Material, Procedure, Provenance};

named! {
    /// What a procedure does on a fibre; later is better.
    pub enum Verdict, "verdict" {
        /// The bath ruins the cloth: blocked.
        Ruins = "ruins",
        /// No dyeing.
        None = "none",
        /// It only soils; the stain leaves in washing.
        Stains = "stains",
        /// Pale to medium only, or with a stated weakness.
        Fair = "fair",
        /// Good.
        Good = "good",
        /// As good as it gets.
        Excellent = "excellent",
    }
}

named! {
    /// Why a verdict is no better, as a code that is printed.
    pub enum Reason, "reason" {
        /// No sites to hold to.
        NoSites = "R1",
        /// No affinity: too hydrophobic.
        NoAffinity = "R2",
        /// The fibre opens only above a reachable temperature.
        TooCold = "R3",
        /// Alkali destroys the fibre.
        Alkali = "R4",
        /// Sites fill up.
        Saturates = "R5",
        /// Strikes too fast.
        StrikesFast = "R6",
        /// Fugitive to light or washing.
        Fugitive = "R7",
        /// Heat limit of pelt, pile or adhesive.
        HeatLimit = "R8",
        /// Needs pressure.
        Pressure = "R9",
        /// Stains that leave in washing.
        StainLeaves = "R10",
    }
}

impl Verdict {
    /// True from fair upwards: the procedure may be offered.
    #[must_use]
    pub fn dyes(self) -> bool {
        self >= Self::Fair
    }
}

/// What was found for one fibre and one procedure (and dye class).
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The verdict.
    pub verdict: Verdict,
    /// The code of the reason, where there is one.
    pub reason: Option<Reason>,
    /// The reason as a sentence fragment, never empty.
    pub why: String,
    /// The coolest bath in which the procedure still works on this fibre.
    pub works_from: Celsius,
    /// Where the verdict is from.
    pub provenance: Provenance,
}

/// A dye of a class that does not go into this bath.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "a {class} dye does not go into a {procedure} bath, which takes {takes}: choose another dye or another way of dyeing"
)]
pub struct WrongClass {
    /// The class of the dye, by name.
    pub class: String,
    /// The procedure, by name.
    pub procedure: String,
    /// The classes it takes.
    pub takes: String,
}

/// One row of the matrix as read.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub(crate) id: String,
    pub(crate) cells: Vec<Cell>,
}

/// One cell as read: for one procedure, for every class or for one.
#[derive(Debug, Clone)]
pub(crate) struct Cell {
    pub(crate) procedure: Procedure,
    pub(crate) class: Option<DyeClass>,
    pub(crate) verdict: Verdict,
    pub(crate) reason: Option<Reason>,
    pub(crate) note: Option<String>,
    pub(crate) works_from: Option<Celsius>,
    pub(crate) provenance: Provenance,
}

impl Lore {
    /// What this procedure does on this material, with the dye class that suits it best.
    #[must_use]
    pub fn verdict(&self, material: &Material, procedure: Procedure) -> Finding {
        self.finding(material, procedure, None)
    }

    /// What this procedure does on this material with a dye of this class; refuses a class that
    /// does not go into the bath.
    pub fn verdict_for(
        &self,
        material: &Material,
        procedure: Procedure,
        class: DyeClass,
    ) -> Result<Finding, WrongClass> {
        if procedure.takes(class) {
            Ok(self.finding(material, procedure, Some(class)))
        } else {
            Err(self.wrong_class(procedure, class))
        }
    }

    /// The sentence of a reason code.
    #[must_use]
    pub fn reason_says(&self, reason: Reason) -> &str {
        self.matrix.reasons.iter().find(|(code, _)| *code == reason).map_or("", |(_, says)| says)
    }

    fn wrong_class(&self, procedure: Procedure, class: DyeClass) -> WrongClass {
        let takes: Vec<&str> =
            procedure.classes().iter().map(|class| self.class_name(*class)).collect();
        WrongClass {
            class: self.class_name(class).to_owned(),
            procedure: self.procedure_name(procedure).to_owned(),
            takes: takes.join(" or "),
        }
    }

    fn finding(
        &self,
        material: &Material,
        procedure: Procedure,
        class: Option<DyeClass>,
    ) -> Finding {
        let cells = self
            .matrix
            .rows
            .iter()
            .find(|row| row.id == material.dyes_as)
            .map(|row| row.cells.as_slice())
            .unwrap_or_default();
        let of = |wanted: Option<DyeClass>| {
            cells.iter().find(|cell| cell.procedure == procedure && cell.class == wanted)
        };
        let Some(base) = of(None) else {
            // Reading refuses a matrix with a hole, so this is only met by the empty fallback.
            return Finding::unknown(material.t_max);
        };
        let cell = class.and_then(|_| of(class)).unwrap_or(base);
        Finding {
            verdict: cell.verdict,
            reason: cell.reason,
            why: self.why(cell, base),
            works_from: cell
                .works_from
                .or(base.works_from)
                .or_else(|| self.works_from(procedure))
                .unwrap_or(material.t_max),
            provenance: cell.provenance.clone(),
        }
    }

    /// The reason's sentence and the cell's own note; a class's own note comes after the note of
    /// the whole cell.
    fn why(&self, cell: &Cell, base: &Cell) -> String {
        let mut said: Vec<&str> = Vec::new();
        if let Some(reason) = cell.reason {
            said.push(self.reason_says(reason));
        }
        let base_note = if cell.class.is_some() { base.note.as_deref() } else { None };
        said.extend(base_note);
        said.extend(cell.note.as_deref());
        if said.is_empty() {
            said.push(match cell.verdict {
                Verdict::Excellent => "takes very well",
                Verdict::Good => "takes well",
                Verdict::Fair => "takes in pale to medium depth",
                Verdict::Stains => "only stains",
                Verdict::None => "takes nothing",
                Verdict::Ruins => "the bath ruins the cloth",
            });
        }
        said.join("; ")
    }
}

impl Finding {
    fn unknown(works_from: Celsius) -> Self {
        Self {
            verdict: Verdict::None,
            reason: None,
            why: "nothing is known of this pair".to_owned(),
            works_from,
            provenance: Provenance {
                source: "house-judgement".to_owned(),
                standing: crate::Standing::Judgement,
            },
        }
    }
}
