//! Where a plan goes: the names of its files, and that nothing of anybody else's stands there.

use std::path::{Path, PathBuf};

use crate::Trouble;
use crate::disk::{Mark, broken, can_write_into, only_over_ours};
use crate::hand_out::HandOut;

/// The files of one plan.
#[derive(Debug)]
pub(crate) struct Places {
    /// The page.
    pub(crate) page: PathBuf,
    /// The plan as JSON.
    pub(crate) data: PathBuf,
    /// The shopping list.
    pub(crate) shopping: PathBuf,
    /// The days.
    pub(crate) days: PathBuf,
    /// The days as a calendar.
    pub(crate) calendar: PathBuf,
    /// The swatch cards and bottle labels.
    pub(crate) cards: PathBuf,
    /// The recipe sheets handed out, in their order.
    pub(crate) hand_outs: Vec<PathBuf>,
}

const PAGE: (&str, Mark) = ("plan.html", Mark::Holds(": dye plan</title>"));
const DATA: (&str, Mark) = ("plan.json", Mark::Holds("\"dyewright\": \"plan\""));
const SHOPPING: (&str, Mark) = ("shopping.csv", Mark::Begins("Item,What,Kind,It takes (g),"));
const DAYS: (&str, Mark) =
    ("days.csv", Mark::Begins("Day (year-month-day),Weekday,Start (hours:minutes),"));
const CALENDAR: (&str, Mark) = ("days.ics", Mark::Holds("PRODID:-//Dyewright//"));
const CARDS: (&str, Mark) = ("cards.html", Mark::Holds(": cards and labels</title>"));
const HAND_OUT: Mark = Mark::Holds(": a recipe</title>");

impl Places {
    /// The places beside a costume file, or in another folder, which is made when it is not there yet.
    ///
    /// # Errors
    /// A place taken by a file that is not ours or by a folder; a folder that cannot be written into.
    pub(crate) fn try_of(
        file: &Path,
        out: Option<&Path>,
        hand_outs: &[HandOut],
    ) -> Result<Self, Trouble> {
        let beside = || file.parent().map_or_else(PathBuf::new, Path::to_path_buf);
        let folder = out.map_or_else(beside, Path::to_path_buf);
        if folder.is_file() {
            let says = format!("{} is a file, and a plan goes into a folder", folder.display());
            return Err(Trouble::refused(says, "name a folder with --out"));
        }
        if !folder.as_os_str().is_empty() {
            std::fs::create_dir_all(&folder)
                .map_err(|e| broken("making the folder", &folder, &e))?;
        }
        let stem = file.file_stem().map_or_else(|| "costume".into(), |s| s.to_string_lossy());
        let free = |ending: &str, mark: Mark| {
            let place = folder.join(format!("{stem}.{ending}"));
            only_over_ours(&place, mark).map(|()| place)
        };
        let places = Self {
            page: free(PAGE.0, PAGE.1)?,
            data: free(DATA.0, DATA.1)?,
            shopping: free(SHOPPING.0, SHOPPING.1)?,
            days: free(DAYS.0, DAYS.1)?,
            calendar: free(CALENDAR.0, CALENDAR.1)?,
            cards: free(CARDS.0, CARDS.1)?,
            hand_outs: hand_outs
                .iter()
                .map(|one| free(&format!("hand-out.{}.html", one.file_name), HAND_OUT))
                .collect::<Result<_, _>>()?,
        };
        can_write_into(&folder)?;
        Ok(places)
    }
}
