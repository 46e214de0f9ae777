//! Plan a costume file: read it and what it names, decide, and write the plan.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use costume::{Faults, Shelf, read_costume, read_shelf};
use lore::Lore;
use plan::document::Plan;
use plan::{Progress, Request};
use units::Day;

use crate::Trouble;
use crate::disk::{Folder, broken, only_over_ours, text, write_whole};
use crate::shelves::blocked_names;

/// What to plan and where to put it.
#[derive(Debug, Clone)]
pub struct PlanWanted {
    /// The costume file.
    pub file: PathBuf,
    /// A shelf file instead of the one the costume names.
    pub shelf: Option<PathBuf>,
    /// The folder to write into; none: beside the costume file.
    pub out: Option<PathBuf>,
    /// The day of planning.
    pub today: Day,
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
    let lore = Lore::shipped();
    let folder = Folder::of(&wanted.file);
    let text = text(&wanted.file)?;
    let costume = read_costume(&wanted.file.display().to_string(), &text, lore, &folder)?;
    let shelf = match (&wanted.shelf, &costume.shelf) {
        (Some(path), _) => shelf_of(path, lore)?,
        (None, Some(written)) => shelf_of(&folder.path(written), lore)?,
        (None, None) => Shelf::of_starters(),
    };
    // Where the plan goes is looked at before the work, not after it.
    let places = if wanted.write { Some(places(wanted)?) } else { None };
    let request =
        Request { lore, costume: &costume, shelf: &shelf, today: wanted.today, threads: 0 };
    let plan = plan::plan(&request, tell)?;
    let written = match places {
        Some([page, data]) => write(page, data, &plan)?,
        None => vec![],
    };
    Ok(Planned { plan, written, notes: folder.notes() })
}

/// A shelf file, read; an empty one is refused.
pub(crate) fn shelf_of(path: &Path, lore: &Lore) -> Result<Shelf, Trouble> {
    let text = text(path)?;
    let name = path.display().to_string();
    let shelf = read_shelf(&name, &text, lore, &Folder::of(path))?;
    // What is blocked harms people: it is refused wherever a shelf is read, not only when checked.
    let blocked = blocked_names(&text, lore);
    if !blocked.is_empty() {
        return Err(Faults { file: name, text, list: blocked }.into());
    }
    if shelf.dyes.is_empty() {
        return Err(Trouble::refused(
            format!("{} holds no dye", path.display()),
            "add a [[dye]], or leave `shelf` out to use the starter shelf",
        ));
    }
    Ok(shelf)
}

/// Where the page and the JSON go; the folder is made when it is not there yet.
fn places(wanted: &PlanWanted) -> Result<[PathBuf; 2], Trouble> {
    let beside = wanted.file.parent().map_or_else(PathBuf::new, Path::to_path_buf);
    let folder = wanted.out.clone().unwrap_or(beside);
    if folder.is_file() {
        let says = format!("{} is a file, and a plan goes into a folder", folder.display());
        return Err(Trouble::refused(says, "name a folder with --out"));
    }
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(&folder).map_err(|e| broken("making the folder", &folder, &e))?;
    }
    let stem = wanted.file.file_stem().map_or_else(|| "costume".into(), |s| s.to_string_lossy());
    let places = ["html", "json"].map(|ending| folder.join(format!("{stem}.plan.{ending}")));
    for place in &places {
        only_over_ours(place)?;
    }
    Ok(places)
}

fn write(page: PathBuf, data: PathBuf, plan: &Plan) -> Result<Vec<PathBuf>, Trouble> {
    let json = serde_json::to_vec_pretty(plan).map_err(|e| Trouble::Broken {
        doing: "writing",
        path: data.clone(),
        why: e.to_string(),
    })?;
    let html = paper::html(plan);
    write_whole(&[(&data, &json), (&page, html.as_bytes())])?;
    Ok(vec![page, data])
}
