//! A repair begun: a costume file whose target is the piece as it is today, worn and faded, on new cloth with new lots.
//!
//! Cloth, way of dyeing and ratio are the record's; the recipe is not: what faded is another colour than what was dyed,
//! and the dye at hand is another lot. The plan finds the recipe anew, and its swatch decides. Left out: how the old
//! cloth got its colour of today, which no record tells.

use std::path::{Path, PathBuf};

use costume::read_costume;
use lore::Lore;
use serde::Serialize;
use units::Day;
use workbook::{Bath, PieceRecord, Reading, Recorded, Subject, Swatch, Undyed};

use crate::asked::{cloth, quoted, toml_number, weight};
use crate::book_again::{Recipe, of_swatches, way};
use crate::book_asked::piece_called;
use crate::book_record::wanted as wanted_colour;
use crate::book_seen::of_daylight_or_screen;
use crate::books::{place, to_read, trouble};
use crate::disk::{Folder, write_whole};
use crate::{Trouble, shown};

/// A repair to begin.
#[derive(Debug, Clone)]
pub struct RepairWanted {
    /// The workbook; none: the usual one in this folder.
    pub book: Option<PathBuf>,
    /// The piece, by its name.
    pub piece: String,
    /// Its costume, where several have such a piece.
    pub costume: Option<String>,
    /// The dry weight of the new cloth, as typed.
    pub weight: String,
    /// The shelf file to name.
    pub shelf: Option<PathBuf>,
    /// The costume file to write.
    pub to: PathBuf,
}

/// A repair begun.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RepairBegun {
    /// Always "book-repair".
    pub dyewright: &'static str,
    /// Version of this shape.
    pub version: u32,
    /// The workbook.
    pub book: String,
    /// The costume file written.
    pub file: String,
    /// The piece.
    pub piece: String,
    /// The colour it has today, Lab D65/10°.
    pub target: [f64; 3],
    /// The day it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<String>,
    /// The way of dyeing, from the record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub programme: Option<String>,
    /// The dyes used then, with their lots.
    pub dyes: Vec<String>,
    /// What to know before it is planned.
    pub notes: Vec<String>,
}

/// Writes a repair as a costume file; never over a file that is there.
pub fn begin_repair(wanted: &RepairWanted) -> Result<RepairBegun, Trouble> {
    let shown_to = wanted.to.display();
    if wanted.to.symlink_metadata().is_ok() {
        let says = format!("{shown_to} is there already");
        return Err(Trouble::refused(says, "name a new file with --to"));
    }
    let path = place(wanted.book.as_deref());
    let book = to_read(&path)?;
    let id = piece_called(&book, &path, &wanted.piece, wanted.costume.as_deref())?;
    let record = book.record_of(id).map_err(|e| trouble(&e, &path))?;
    let read = as_it_is(&record, &wanted.piece)?;
    let target = wanted_colour(&book, &record).map_err(|e| trouble(&e, &path))?;
    let from = From::of(&record, target).ok_or_else(|| {
        let says = format!("no swatch and no bath of \"{}\" is recorded", wanted.piece);
        let hint =
            "plan it as a new piece: a costume file with the colour it has today as its target";
        Trouble::refused(says, hint)
    })?;
    if let Some(why) = crate::cloth_told::ruins(&from.cloth, &from.class, from.procedure.as_deref())
    {
        let way = way(from.procedure.as_deref(), &from.class);
        let says = format!(
            "what is recorded of \"{}\" would ruin {}: {way} ({why})",
            wanted.piece, from.cloth
        );
        let hint = "look at `dyewright book history` whether it was recorded of the right piece, and undo it if not";
        return Err(Trouble::refused(says, hint));
    }
    let dyes = dyes(&record);
    let notes = notes(&record, &read, &from, wanted.shelf.is_none());
    let text = text(wanted, &record, &read, &from, &dyes, &notes)?;
    let folder = Folder::of(&wanted.to);
    read_costume(&shown_to.to_string(), &text, Lore::shipped(), &folder).map_err(|faults| {
        let first =
            faults.list.first().map_or_else(String::new, |f| format!("{}: {}", f.says, f.hint));
        let says = format!("the record of \"{}\" makes no costume file", wanted.piece);
        Trouble::refused(says, first)
    })?;
    check_shelf(wanted, &folder)?;
    write_whole(&[(&wanted.to, text.as_bytes())])?;
    Ok(RepairBegun {
        dyewright: "book-repair",
        version: 1,
        book: path.display().to_string(),
        file: shown_to.to_string(),
        piece: wanted.piece.clone(),
        target: read.lab,
        day: read.day.map(|d| d.to_string()),
        programme: from.procedure.clone(),
        dyes,
        notes,
    })
}

/// How the piece was last read as it is.
struct Today {
    lab: [f64; 3],
    day: Option<Day>,
    spread: Option<f64>,
    from_screen: bool,
}

/// The last reading of the piece as it is today that is of finished cloth.
fn as_it_is(record: &PieceRecord, piece: &str) -> Result<Today, Trouble> {
    let own = |r: &&Recorded<Reading>| matches!(r.it.of, Subject::Piece(_));
    let mut all: Vec<&Recorded<Reading>> = record.readings.iter().filter(own).collect();
    // By the day it was read; of one day, or of none, the later entry.
    all.sort_by_key(|r| (r.it.day.map(|d| d.to_string()), r.id.entry().number()));
    let how = format!(
        "read it clean, dry and cool, and note it: dyewright book note {} --as-it-is \"L a b\" --state \
         washed-off,dry,cool --spread 1.5",
        quoted(piece)
    );
    let finished = all.iter().rev().find(|r| !r.it.condition.is_unfinished());
    let Some(last) = finished else {
        let says = match all.is_empty() {
            true => format!("how \"{piece}\" looks today is not recorded"),
            false => format!("every reading of \"{piece}\" as it is today is of wet or warm cloth"),
        };
        return Err(Trouble::refused(says, how));
    };
    let Some((lab, from_screen)) = of_daylight_or_screen(&last.it.value, &last.it.also) else {
        let says =
            format!("the last reading of \"{piece}\" as it is today is not of daylight (D65)");
        return Err(Trouble::refused(says, how));
    };
    let spread = match last.it.spread {
        colour::Spread::Rms(rms) => Some(shown::rounded(rms, 2)),
        colour::Spread::Unknown | colour::Spread::Covariance(_) => None,
    };
    Ok(Today { lab, day: last.it.day, spread, from_screen })
}

/// What the record says of the cloth and its dyeing.
struct From {
    cloth: String,
    undyed: Option<String>,
    look_alike: bool,
    procedure: Option<String>,
    class: String,
    ratio: Option<f64>,
}

impl From {
    /// From the last bath that dyed it, else the swatch of its recipe; the cloth from the piece, its look from a swatch.
    fn of(record: &PieceRecord, target: Option<[f64; 3]>) -> Option<Self> {
        let swatch: Option<&Swatch> = match of_swatches(record, target) {
            Some(Recipe::Swatch { it, .. }) => Some(&it.it),
            _ => None,
        };
        let dyed = |b: &&Bath| b.doses.iter().any(|d| matches!(d.of, workbook::Dosed::Dye { .. }));
        let bath = record.baths.iter().map(|(b, _)| &b.it).rfind(dyed);
        let (procedure, class, ratio) = match (bath, swatch) {
            (Some(b), _) => (b.procedure.clone(), b.class.clone(), b.liquor),
            (None, Some(s)) => (s.procedure.clone(), s.class.clone(), s.liquor),
            (None, None) => return None,
        };
        Some(Self {
            cloth: record.piece.it.goods.clone(),
            undyed: bath
                .and_then(|b| undyed(&b.undyed))
                .or_else(|| swatch.and_then(|s| undyed(&s.undyed))),
            look_alike: swatch.is_some_and(|s| s.look_alike),
            procedure,
            class,
            ratio: ratio.map(|r| shown::rounded(r.to_litres_per_kilogram(), 1)),
        })
    }
}

fn undyed(it: &Undyed) -> Option<String> {
    match it {
        Undyed::Unsaid => None,
        Undyed::White => Some("undyed = \"white\"".to_owned()),
        Undyed::Natural => Some("undyed = \"natural\"".to_owned()),
        Undyed::Read(value) => {
            of_daylight_or_screen(value, &[]).map(|(lab, _)| format!("undyed = {}", lab_line(lab)))
        }
    }
}

fn lab_line(lab: [f64; 3]) -> String {
    format!("{{ lab = [{}] }}", lab.map(|v| toml_number(&v.to_string())).join(", "))
}

fn dyes(record: &PieceRecord) -> Vec<String> {
    let one = |dye: &Recorded<workbook::ShelfDye>| {
        let lots = record.lots.iter().filter(|l| l.it.dye == dye.id).map(|l| l.it.mark.as_str());
        let lots: Vec<&str> = lots.collect();
        match lots.is_empty() {
            true => format!("{} (lot not noted)", dye.it.name),
            false => format!("{} (lot {})", dye.it.name, lots.join(", ")),
        }
    };
    record.dyes.iter().map(one).collect()
}

fn notes(record: &PieceRecord, read: &Today, from: &From, starters: bool) -> Vec<String> {
    let mut notes = vec![
        "Whatever is bought now is a new lot: what the swatches of the old lot taught is believed of it only as well as \
         of another lot. Dye the swatch, and hold it beside the piece."
            .to_owned(),
        "The new cloth is taken as undyed cloth of the same kind as then; where it is another, say so in the file."
            .to_owned(),
    ];
    if from.procedure.is_none() {
        notes.push(format!(
            "The programme was not noted, only the class ({}): the plan chooses the way of dyeing.",
            from.class
        ));
    }
    if from.undyed.is_none() {
        notes.push("How the cloth looked undyed was not noted: it is taken as white.".to_owned());
    }
    if from.look_alike {
        notes.push("Its swatch was on another cloth like the piece's own.".to_owned());
    }
    match read.spread {
        Some(spread) => notes.push(format!(
            "The reading of today may be off by {spread} (rms ΔE00): no match is nearer."
        )),
        None => notes.push("How far the reading of today may be off is not known.".to_owned()),
    }
    if read.from_screen {
        notes.push(
            "The colour of today is a screen's, taken as the cloth that most likely looks so."
                .to_owned(),
        );
    }
    if starters {
        notes.push(format!(
            "No shelf is named, so the starter shelf's estimates are used; used then: {}.",
            dyes(record).join(", ")
        ));
    }
    notes
}

fn text(
    wanted: &RepairWanted,
    record: &PieceRecord,
    read: &Today,
    from: &From,
    dyes: &[String],
    notes: &[String],
) -> Result<String, Trouble> {
    let bad = |(says, hint): (String, String)| Trouble::refused(says, hint);
    let one_line = |text: &str| text.replace(|c: char| c.is_control(), " ");
    let on = read.day.map_or_else(|| "a day not noted".to_owned(), |d| d.to_string());
    let mut text = format!(
        "# Begun by `dyewright book repair`: {} as it was read on {on}. docs/costume-file.md tells every key.\n",
        one_line(&wanted.piece)
    );
    for note in notes {
        text.push_str(&format!("# {}\n", one_line(note)));
    }
    let (piece, costume) = (&record.piece.it.name, &record.costume.it.name);
    text.push_str(&format!(
        "\n[costume]\nname = {}\nnote = {}\n",
        quoted(&format!("{costume}: repair of {piece}")),
        quoted(&format!(
            "The target is {piece} as it was read on {on}. Dyed then by {}; dyes then: {}. Any lot bought since is a new \
             lot: its swatch decides.",
            way(from.procedure.as_deref(), &from.class),
            if dyes.is_empty() { "not noted".to_owned() } else { dyes.join(", ") }
        )),
    ));
    if let Some(shelf) = &wanted.shelf {
        text.push_str(&format!("shelf = {}\n", quoted(&shelf.to_string_lossy())));
    }
    text.push_str(&format!(
        "\n[[piece]]\nid = {}\nname = {}\n",
        quoted(piece),
        quoted(&format!("{piece}, repair"))
    ));
    let mut line = |line: &str| text.push_str(&format!("{line}\n"));
    line(&cloth(&from.cloth).map_err(bad)?);
    line(&weight(&wanted.weight).map_err(bad)?);
    if let Some(undyed) = &from.undyed {
        line(undyed);
    }
    line(&format!("target = {}", lab_line(read.lab)));
    // A patch is seen beside what it mends.
    line("seen_from = \"beside\"");
    if let Some(procedure) = &from.procedure {
        line(&format!("procedure = {}", quoted(procedure)));
    }
    if let Some(ratio) = from.ratio {
        line(&format!("liquor_ratio = {}", toml_number(&ratio.to_string())));
    }
    Ok(text)
}

fn check_shelf(wanted: &RepairWanted, folder: &Folder) -> Result<(), Trouble> {
    let Some(shelf) = &wanted.shelf else { return Ok(()) };
    let there = |path: &Path| path.exists();
    if there(&folder.path(&shelf.to_string_lossy())) {
        return Ok(());
    }
    let says =
        format!("{} is not found from the folder of {}", shelf.display(), wanted.to.display());
    Err(Trouble::refused(
        says,
        "write the repair into the shelf's folder, or name the shelf from there",
    ))
}
