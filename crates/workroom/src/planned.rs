//! Plan a costume file: read it and what it names, decide, and write the plan.

use std::path::{Path, PathBuf};

use costume::{Costume, Shelf, read_costume, read_shelf};
use lore::Lore;
use plan::document::Plan;
use plan::{Progress, Request};
use units::Day;

use crate::Trouble;
use crate::disk::{Folder, broken, text, write_whole};

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
}

/// Plans a costume file; tells what it is doing.
pub fn plan_costume(
    wanted: &PlanWanted,
    tell: &mut dyn FnMut(Progress<'_>),
) -> Result<Planned, Trouble> {
    let lore = Lore::shipped();
    let costume = costume_of(&wanted.file, lore)?;
    let shelf = match (&wanted.shelf, &costume.shelf) {
        (Some(path), _) => shelf_of(path, lore)?,
        (None, Some(written)) => shelf_of(&Folder::of(&wanted.file).path(written), lore)?,
        (None, None) => Shelf::of_starters(),
    };
    let request =
        Request { lore, costume: &costume, shelf: &shelf, today: wanted.today, threads: 0 };
    let plan = plan::plan(&request, tell);
    let written = if wanted.write { write(wanted, &plan)? } else { vec![] };
    Ok(Planned { plan, written })
}

/// A costume file, read.
pub(crate) fn costume_of(path: &Path, lore: &Lore) -> Result<Costume, Trouble> {
    let text = text(path)?;
    Ok(read_costume(&path.display().to_string(), &text, lore, &Folder::of(path))?)
}

/// A shelf file, read; an empty one is refused.
pub(crate) fn shelf_of(path: &Path, lore: &Lore) -> Result<Shelf, Trouble> {
    let text = text(path)?;
    let shelf = read_shelf(&path.display().to_string(), &text, lore, &Folder::of(path))?;
    if shelf.dyes.is_empty() {
        return Err(Trouble::refused(
            format!("{} holds no dye", path.display()),
            "add a [[dye]], or leave `shelf` out to use the starter shelf",
        ));
    }
    Ok(shelf)
}

fn write(wanted: &PlanWanted, plan: &Plan) -> Result<Vec<PathBuf>, Trouble> {
    let beside = wanted.file.parent().map_or_else(PathBuf::new, Path::to_path_buf);
    let folder = wanted.out.clone().unwrap_or(beside);
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(&folder).map_err(|e| broken("making the folder", &folder, &e))?;
    }
    let stem = wanted.file.file_stem().map_or_else(|| "costume".into(), |s| s.to_string_lossy());
    let page = folder.join(format!("{stem}.plan.html"));
    let data = folder.join(format!("{stem}.plan.json"));
    let json = serde_json::to_vec_pretty(plan).map_err(|e| Trouble::Broken {
        doing: "writing",
        path: data.clone(),
        why: e.to_string(),
    })?;
    write_whole(&data, &json)?;
    write_whole(&page, paper::html(plan).as_bytes())?;
    Ok(vec![page, data])
}
