//! Propose: one cloth, one colour, what is at hand. A costume of one piece, planned.

use std::ops::ControlFlow;
use std::path::PathBuf;

use costume::Shelf;
use lore::Lore;
use plan::document::{PiecePlan, Plan, WorkbookSeen};
use plan::{Progress, Request};
use serde::Serialize;
use units::Day;

use crate::Trouble;
use crate::asked::{Asked, cloth, colour, quoted, toml_number, weight};
use crate::begun::costume_text;
use crate::predicted::undyed_line;
use crate::remembered::Remembered;
use crate::shelves::{self, keep_only};

/// One question.
#[derive(Debug, Clone)]
pub struct ProposeWanted {
    /// The cloth: a fibre, a blend such as "65 cotton, 35 polyester", or "unknown".
    pub cloth: String,
    /// The colour: hex, "L a b", or a reading file.
    pub colour: String,
    /// The weight with its unit; none: 100 g.
    pub weight: Option<String>,
    /// "white", "natural", or a colour; none: white.
    pub undyed: Option<String>,
    /// Classes or dye ids that are at hand; empty: everything on the shelf.
    pub have: Vec<String>,
    /// A shelf file; none: the starter shelf.
    pub shelf: Option<PathBuf>,
    /// A workbook whose swatches the recipes rest on; none: the dyes are as the shelf has them.
    pub book: Option<PathBuf>,
    /// From how near it is seen.
    pub seen_from: Option<String>,
    /// Where it is seen.
    pub lights: Vec<String>,
    /// The scale's smallest step, g; none: 0.1.
    pub scale_g: Option<f64>,
    /// What the largest pot holds to the brim, L; none: pots that are large enough.
    pub pot_l: Option<f64>,
    /// The day it is asked on.
    pub today: Day,
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposed {
    /// Always "propose".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// "starter", or the shelf file.
    pub shelf: String,
    /// What was taken for granted because it was not said.
    pub taken: Vec<String>,
    /// What the workbook taught; absent where none was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub workbook: Option<WorkbookSeen>,
    /// What has to be said of the workbook.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// What needs the maker's attention.
    pub attention: Vec<String>,
    /// The question as a costume file, to be planned.
    pub costume_file: String,
    /// The piece, as in a plan.
    pub piece: PiecePlan,
}

/// Answers one question by planning a costume of one piece.
pub fn propose_one(
    wanted: &ProposeWanted,
    tell: &mut dyn FnMut(Progress<'_>) -> ControlFlow<()>,
) -> Result<Proposed, Trouble> {
    let lore = Lore::shipped();
    let mut shelf = shelves::of(wanted.shelf.as_deref(), lore)?;
    let mut asked = Asked::default();
    write(&mut asked, wanted);
    keep_what_is_had(&mut asked, &wanted.have, &mut shelf, lore);
    let costume = asked.costume(lore)?;
    if shelf.dyes.is_empty() {
        let says = format!("nothing on the shelf is of {}", wanted.have.join(" or "));
        return Err(Trouble::refused(says, "leave --have out to see what the shelf can do"));
    }
    let remembered = wanted.book.as_deref().map(Remembered::read).transpose()?.unwrap_or_default();
    let taught = remembered.taught(&shelf, lore)?;
    let request = Request {
        lore,
        costume: &costume,
        shelf: &shelf,
        taught: taught.as_ref(),
        today: wanted.today,
        threads: 0,
    };
    let plan: Plan = plan::plan(&request, tell)?;
    let Some(piece) = plan.pieces.into_iter().next() else {
        return Err(Trouble::refused("no cloth was named", "name it with --cloth cotton"));
    };
    Ok(Proposed {
        dyewright: "propose",
        version: 1,
        shelf: wanted
            .shelf
            .as_ref()
            .map_or_else(|| "starter".to_owned(), |p| p.display().to_string()),
        taken: taken(wanted),
        workbook: plan.workbook,
        notes: remembered.notes(taught.as_ref()),
        attention: plan.attention,
        costume_file: costume_text(wanted),
        piece,
    })
}

/// Weight when none is given, g: what percentages read off as grams of.
const USUAL_G: f64 = 100.0;

fn write(asked: &mut Asked, wanted: &ProposeWanted) {
    asked.line("[costume]\nname = \"one question\"");
    kitchen(asked, wanted);
    asked.line("[[piece]]\nid = \"piece\"\nname = \"It\"");
    asked.argument("--cloth", &wanted.cloth, cloth(&wanted.cloth), "cloth = \"cotton\"");
    let grey = "target = { lab = [50.0, 0.0, 0.0] }";
    asked.argument("--colour", &wanted.colour, colour("target", &wanted.colour), grey);
    match &wanted.weight {
        Some(given) => asked.argument("--weight", given, weight(given), "weight_g = 100.0"),
        None => asked.line(&format!("weight_g = {}", toml_number(&USUAL_G.to_string()))),
    }
    if let Some(given) = &wanted.undyed {
        asked.argument("--undyed", given, undyed_line(given), "");
    }
    if let Some(given) = &wanted.seen_from {
        asked.argument("--seen-from", given, Ok(format!("seen_from = {}", quoted(given))), "");
    }
    if !wanted.lights.is_empty() {
        let list: Vec<String> = wanted.lights.iter().map(|l| quoted(l.trim())).collect();
        let line = format!("lights = [{}]", list.join(", "));
        asked.argument("--lights", &wanted.lights.join(","), Ok(line), "");
    }
}

/// Litres of a pot that never is the reason why not, when no pot was told of.
const ANY_POT_L: f64 = 400.0;

fn kitchen(asked: &mut Asked, wanted: &ProposeWanted) {
    asked.line("[kitchen]\nsyringes_ml = [1, 10, 500]");
    let step = wanted.scale_g.map_or_else(|| "0.1".to_owned(), |g| g.to_string());
    let line = format!("scale_g = {}", toml_number(&step));
    if wanted.scale_g.is_some() {
        asked.argument("--scale", &step, Ok(line), "");
    } else {
        asked.line(&line);
    }
    asked.line("[[kitchen.vessel]]\nname = \"jar\"\nlitres = 1.0\nof = \"glass\"");
    asked.line("[[kitchen.vessel]]\nname = \"pot\"\nof = \"stainless\"");
    let litres = wanted.pot_l.unwrap_or(ANY_POT_L).to_string();
    let line = format!("litres = {}", toml_number(&litres));
    if wanted.pot_l.is_some() {
        asked.argument("--pot", &litres, Ok(line), "litres = 12.0");
    } else {
        asked.line(&line);
    }
}

/// Leaves only the dyes named by class, family or id.
fn keep_what_is_had(asked: &mut Asked, have: &[String], shelf: &mut Shelf, lore: &Lore) {
    if have.is_empty() {
        return;
    }
    let at = asked.typed("--have", &have.join(","));
    let begins = |word: usize| {
        at.start + have.iter().take(word).map(|before| before.len() + 1).sum::<usize>()
    };
    for (word, says, hint) in keep_only(shelf, have, lore) {
        let start = begins(word);
        let end = start + have.get(word).map_or(0, String::len);
        asked.fault(start..end, says, hint);
    }
}

fn taken(wanted: &ProposeWanted) -> Vec<String> {
    let mut taken = vec![];
    if wanted.weight.is_none() {
        taken.push(format!("{USUAL_G} g of goods"));
    }
    if wanted.undyed.is_none() {
        taken.push("white cloth".to_owned());
    }
    if wanted.seen_from.is_none() {
        taken.push("seen close up".to_owned());
    }
    if wanted.lights.is_empty() {
        taken.push("in daylight and under hall lamps".to_owned());
    }
    if wanted.scale_g.is_none() {
        taken.push("a scale that shows 0.1 g, syringes of 1 and 10 mL, a 500 mL jug".to_owned());
    }
    if wanted.pot_l.is_none() {
        taken.push("a stainless pot that is large enough".to_owned());
    }
    if wanted.shelf.is_none() {
        taken.push("the starter shelf, whose dyes are estimates".to_owned());
    }
    taken
}
