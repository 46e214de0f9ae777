//! Plan a costume file: read it and what it names, decide, and write the plan with all that goes with it.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use lore::Lore;
use plan::Progress;
use plan::document::Plan;
use units::Day;

use crate::Trouble;
use crate::disk::write_whole;
use crate::hand_out::HandOut;
use crate::opened::Opened;
use crate::places::Places;
use crate::remembered::Remembered;

/// What to plan and where to put it.
#[derive(Debug, Clone)]
pub struct PlanWanted {
    /// The costume file.
    pub file: PathBuf,
    /// A shelf file instead of the one the costume names.
    pub shelf: Option<PathBuf>,
    /// A workbook to remember from; none: the one beside the costume file, if there is one.
    pub book: Option<PathBuf>,
    /// The folder to write into; none: beside the costume file.
    pub out: Option<PathBuf>,
    /// The day of planning.
    pub today: Day,
    /// Ids of pieces to write a recipe sheet of, for somebody without the program.
    pub hand_out: Vec<String>,
    /// The moment of writing, for the calendar.
    pub stamp: paper::Stamp,
    /// False: decide only, write nothing.
    pub write: bool,
}

/// A plan made, and what was written.
#[derive(Debug, Clone)]
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// The files written, the page first.
    pub written: Vec<PathBuf>,
    /// What has to be said about the files read.
    pub notes: Vec<String>,
}

/// Plans a costume file; tells what it is doing, and stops, with nothing written, where the listener
/// says so.
pub fn plan_costume(
    wanted: &PlanWanted,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Planned, Trouble> {
    let opened = Opened::of(&wanted.file, wanted.shelf.as_deref())?;
    let remembered = Remembered::of(&wanted.file, wanted.book.as_deref())?;
    // Who is handed out, and where everything goes, is looked at before the work, not after it.
    let hand_outs = HandOut::all(&wanted.hand_out, &opened.costume)?;
    let places = match wanted.write {
        true => Some(Places::try_of(&wanted.file, wanted.out.as_deref(), &hand_outs)?),
        false => None,
    };
    let taught = remembered.taught(&opened.shelf, Lore::shipped())?;
    let plan = plan::plan(&opened.request(taught.as_ref(), wanted.today), tell)?;
    let written = match places {
        Some(places) => {
            let sheets = hand_outs.iter().map(|one| one.sheet(&plan)).collect::<Result<_, _>>()?;
            let told = Progress {
                done: plan.pieces.len(),
                of: plan.pieces.len(),
                piece: "the costume",
                doing: WRITING,
            };
            if tell(told).is_break() {
                return Err(plan::Stopped.into());
            }
            write(places, &plan, sheets, &wanted.stamp)?
        }
        None => vec![],
    };
    let mut notes = opened.folder.notes();
    notes.extend(remembered.notes(taught.as_ref()));
    Ok(Planned { plan, written, notes })
}

/// The last thing told: from here on everything is written, and a listener can stop nothing.
pub const WRITING: &str = "writing the files";

fn write(
    places: Places,
    plan: &Plan,
    sheets: Vec<String>,
    stamp: &paper::Stamp,
) -> Result<Vec<PathBuf>, Trouble> {
    let json = serde_json::to_string_pretty(plan).map_err(|e| Trouble::Broken {
        doing: "writing",
        path: places.data.clone(),
        why: e.to_string(),
    })?;
    let mut files = vec![
        (places.page, paper::html(plan)),
        (places.data, json),
        (places.shopping, paper::shopping_csv(plan)),
        (places.days, paper::days_csv(plan)),
        (places.calendar, paper::calendar(plan, stamp)),
        (places.cards, paper::cards_and_labels(plan)),
    ];
    files.extend(places.hand_outs.into_iter().zip(sheets));
    let whole: Vec<(&Path, &[u8])> =
        files.iter().map(|(path, text)| (path.as_path(), text.as_bytes())).collect();
    write_whole(&whole)?;
    Ok(files.into_iter().map(|(path, _)| path).collect())
}
