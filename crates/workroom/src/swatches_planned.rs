//! Which swatches to dye for a costume, and which rungs tell most of a dye. Reads the costume, its shelf and the
//! workbook; writes nothing.

use std::ops::ControlFlow;
use std::path::PathBuf;

use lore::Lore;
use plan::document::SwatchPlan;
use plan::{LadderWanted, NoSwatchPlan, Progress};
use serde::Serialize;
use units::Day;

use crate::Trouble;
use crate::opened::Opened;
use crate::remembered::Remembered;

/// What to think through.
#[derive(Debug, Clone)]
pub struct SwatchPlanWanted {
    /// The costume file.
    pub file: PathBuf,
    /// A shelf file instead of the one the costume names.
    pub shelf: Option<PathBuf>,
    /// A workbook; none: the one beside the costume file, if there is one.
    pub book: Option<PathBuf>,
    /// What a swatch will be read to, rms ΔE00, from 0 to 10.
    pub read: f64,
    /// A dye to have a ladder of, by its id.
    pub ladder: Option<String>,
    /// How many rungs, 2 to 4.
    pub rungs: usize,
    /// The day it is asked on.
    pub today: Day,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SwatchesPlanned {
    /// Always "swatch-plan".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The costume's name.
    pub costume: String,
    /// The workbook; absent where there was none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub book: Option<String>,
    /// The plan.
    #[serde(flatten)]
    pub it: SwatchPlan,
    /// What has to be said of the workbook and the files read.
    pub notes: Vec<String>,
}

/// The least and the most a reading may be said to be off by, rms ΔE00.
const READ: (f64, f64) = (0.05, 10.0);

/// Thinks the swatches of a costume through; tells what it is doing, and stops where the listener says so.
pub fn plan_swatches(
    wanted: &SwatchPlanWanted,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<SwatchesPlanned, Trouble> {
    if !(READ.0..=READ.1).contains(&wanted.read) {
        return Err(Trouble::refused(
            format!("--read {}: no reading is known to that", wanted.read),
            "give what a reading may be off by as ΔE00, from 0.05 to 10: about 0.3 for an instrument, 1 for a \
             photograph with care, 2 by eye",
        ));
    }
    if !(2..=4).contains(&wanted.rungs) {
        return Err(Trouble::refused(
            format!("--rungs {}: a ladder has 2, 3 or 4 rungs here", wanted.rungs),
            "give 2, 3 or 4; what more would tell is little",
        ));
    }
    let opened = Opened::of(&wanted.file, wanted.shelf.as_deref())?;
    let remembered = Remembered::of(&wanted.file, wanted.book.as_deref())?;
    let taught = remembered.taught(&opened.shelf, Lore::shipped())?;
    let request = opened.request(taught.as_ref(), wanted.today);
    let ladder = wanted.ladder.as_deref().map(|dye| LadderWanted { dye, rungs: wanted.rungs });
    let it = plan::swatch_plan(&request, wanted.read, ladder, tell).map_err(|why| match why {
        NoSwatchPlan::Stopped(stopped) => stopped.into(),
        NoSwatchPlan::NoSuchDye(_) | NoSwatchPlan::NoCloth(_) => Trouble::refused(
            why.to_string(),
            "`dyewright shelf list` shows the dyes by their ids, and their classes",
        ),
        NoSwatchPlan::Sums(_) => {
            Trouble::refused(why.to_string(), "look at the shelf's figures for that dye")
        }
    })?;
    let mut notes = opened.folder.notes();
    notes.extend(remembered.notes(taught.as_ref()));
    Ok(SwatchesPlanned {
        dyewright: "swatch-plan",
        version: 1,
        costume: opened.costume.name.clone(),
        book: remembered.book.as_ref().map(|path| path.display().to_string()),
        it,
        notes,
    })
}
