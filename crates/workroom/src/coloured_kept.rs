//! Chosen colours of a picture kept: as pieces of a costume file, begun or added to, with the picture that was frozen
//! and why; and as a page with the picture beside them.

use std::fs;
use std::path::Path;

use costume::{Costume, read_costume};
use lore::Lore;
use paper::{ColourBeside, OtherBeside, PictureBeside};
use serde::Serialize;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use crate::Trouble;
use crate::asked::cloth;
use crate::coloured::{Coloured, ColoursWanted, FlatSeen};
use crate::disk::{Folder, Mark, broken, only_over_ours, text, write_whole};
use crate::predicted::undyed_line;

/// What is kept, and where.
#[derive(Debug, Clone, Default)]
pub struct KeepWanted {
    /// The costume file; begun when it is not there yet.
    pub file: std::path::PathBuf,
    /// Which colours: a number, or a piece's id and a number, "coat=2"; empty: all but the ground.
    pub take: Vec<String>,
    /// Why this picture.
    pub because: Option<String>,
    /// Whether a piece that is there may get the colour as its new target.
    pub over: bool,
    /// Whether another picture may be chosen than the file has.
    pub anew: bool,
    /// Whether the colours are kept as brought to the cloth's white.
    pub on_cloth_white: bool,
    /// How the colour was found, to stand beside it: "at 120,80 of sheet.png"; none: by its number.
    pub how: Option<String>,
}

/// What was kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ColoursKept {
    /// The costume file.
    pub file: String,
    /// True when it was begun by this.
    pub begun: bool,
    /// The pieces, with the numbers of their colours.
    pub pieces: Vec<PieceKept>,
}

/// A piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PieceKept {
    /// Its id.
    pub id: String,
    /// The number of its colour.
    pub number: usize,
    /// Its target before, as the file had it; absent for a new piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
}

const HEAD: &str = "# Begun by `dyewright colours`. docs/costume-file.md tells every key.\n\n";

/// Weight that stands in until the piece is weighed, g.
const STANDS_IN_G: i64 = 100;

/// Writes pieces with the chosen colours into a costume file. The text with them must be a sound costume, else nothing
/// is written.
pub fn keep_colours(
    found: &Coloured,
    wanted: &ColoursWanted,
    keep: &KeepWanted,
) -> Result<ColoursKept, Trouble> {
    let file = &keep.file;
    let begun = file.symlink_metadata().is_err();
    let before = if begun { None } else { Some(text(file)?) };
    let (after, pieces) = with_colours(found, wanted, keep, before.as_deref())?;
    write_whole(&[(file, after.as_bytes())])?;
    Ok(ColoursKept { file: file.display().to_string(), begun, pieces })
}

/// The text of a costume file with the chosen colours in it; without a text one is begun. It is a sound costume.
pub(crate) fn with_colours(
    found: &Coloured,
    wanted: &ColoursWanted,
    keep: &KeepWanted,
    before: Option<&str>,
) -> Result<(String, Vec<PieceKept>), Trouble> {
    let (file, lore) = (&keep.file, Lore::shipped());
    let name = file.display().to_string();
    let folder = Folder::of(file);
    let chosen = chosen(found, &keep.take)?;
    // A file with faults of its own is not touched: they are shown first.
    let there = before.map(|text| read_costume(&name, text, lore, &folder)).transpose()?;
    let mut document = parsed(&name, before.unwrap_or_default())?;
    if before.is_none() {
        let mut head = Table::new();
        head.insert("name", Item::Value(Value::from("colours of a picture")));
        head.decor_mut().set_prefix(HEAD);
        document.insert("costume", Item::Table(head));
    }
    let others: Vec<&str> = found.others.iter().map(|o| o.picture.as_str()).collect();
    freeze(&mut document, there.as_ref(), (&found.picture, &others), keep, &name)?;
    let mut pieces = vec![];
    for (id, flat) in chosen {
        let how = keep.how.clone().unwrap_or_else(|| by_number(flat, &found.picture));
        pieces.push(place(&mut document, there.as_ref(), wanted, keep, (id, flat, &how))?);
    }
    let after = document.to_string();
    read_costume(&format!("{name} with the colours"), &after, lore, &folder)?;
    Ok((after, pieces))
}

pub(crate) fn parsed(name: &str, text: &str) -> Result<DocumentMut, Trouble> {
    text.parse().map_err(|e: toml_edit::TomlError| {
        Trouble::refused(format!("{name}: {e}"), "mend it first")
    })
}

fn by_number(flat: &FlatSeen, picture: &str) -> String {
    let [x, y] = flat.at;
    format!("as number {} at {x},{y} of {picture}", flat.number)
}

/// What stands before the provenance of a target, in a comment behind it: whoever changes the target takes it away.
pub(crate) const PICKED: &str = "# picked ";

/// The colours named, each with the id of its piece where that was said.
fn chosen<'a>(
    found: &'a Coloured,
    take: &[String],
) -> Result<Vec<(Option<String>, &'a FlatSeen)>, Trouble> {
    if take.is_empty() {
        let all: Vec<_> = found.flats.iter().filter(|f| !f.ground).map(|f| (None, f)).collect();
        if all.is_empty() {
            let says = "there is no colour but the ground";
            return Err(Trouble::refused(says, "name the number that is meant with --take"));
        }
        return Ok(all);
    }
    let mut all: Vec<(Option<String>, &FlatSeen)> = vec![];
    for one in take {
        let (id, number) = match one.rsplit_once('=') {
            Some((id, number)) => (Some(id.trim().to_owned()), number),
            None => (None, one.as_str()),
        };
        let flat = number
            .trim()
            .parse()
            .ok()
            .and_then(|n: usize| found.flats.iter().find(|f| f.number == n));
        let Some(flat) = flat.filter(|_| id.as_deref() != Some("")) else {
            let says =
                format!("--take {one}: the picture has the numbers 1 to {}", found.flats.len());
            let hint = "give numbers of the list, or a piece with its number: coat=2,sash=5";
            return Err(Trouble::refused(says, hint));
        };
        if id.is_some() && all.iter().any(|(other, _)| *other == id) {
            let says = format!("--take {one}: that piece has a colour already");
            return Err(Trouble::refused(says, "give each piece one number"));
        }
        all.push((id, flat));
    }
    Ok(all)
}

/// Notes which picture holds; refuses to change what is frozen unless told to.
pub(crate) fn freeze(
    document: &mut DocumentMut,
    there: Option<&Costume>,
    (picture, others): (&str, &[&str]),
    keep: &KeepWanted,
    name: &str,
) -> Result<(), Trouble> {
    if let Some(frozen) = there.and_then(|c| c.reference.as_ref()) {
        let other = frozen.picture != picture;
        let reason = keep.because.is_some() && frozen.because != keep.because;
        if !other && !reason {
            return Ok(());
        }
        if !keep.anew {
            let why =
                frozen.because.as_ref().map_or_else(String::new, |b| format!(" because: {b}"));
            let says = format!("{name} has its colours from {}{why}", frozen.picture);
            let hint = "to choose anew, say so with --anew and give the reason with --because";
            return Err(Trouble::refused(says, hint));
        }
    }
    let mut table = Table::new();
    table.insert("picture", Item::Value(Value::from(picture)));
    if let Some(because) = &keep.because {
        table.insert("because", Item::Value(Value::from(because.as_str())));
    }
    if !others.is_empty() {
        let others: Array = others.iter().copied().collect();
        table.insert("over", Item::Value(Value::Array(others)));
    }
    match document.get_mut("reference").and_then(Item::as_table_mut) {
        // What stands around it, its comments, stays.
        Some(old) => {
            old.clear();
            for (key, item) in table {
                old.insert(&key, item);
            }
        }
        None => {
            table.decor_mut().set_prefix("\n");
            document.insert("reference", Item::Table(table));
        }
    }
    Ok(())
}

/// Gives one piece its colour: one that is there its new target, else a new piece.
fn place(
    document: &mut DocumentMut,
    there: Option<&Costume>,
    wanted: &ColoursWanted,
    keep: &KeepWanted,
    (id, flat, how): (Option<String>, &FlatSeen, &str),
) -> Result<PieceKept, Trouble> {
    let mut target = target(keep, flat)?;
    let known: Vec<&str> = there.map_or_else(Vec::new, |c| {
        c.pieces
            .iter()
            .map(|p| p.id.as_str())
            .chain(c.fixed.iter().map(|f| f.id.as_str()))
            .collect()
    });
    let rows = document
        .entry("piece")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()))
        .as_array_of_tables_mut()
        .ok_or_else(|| {
            Trouble::refused(
                "`piece` in the file is not a list of tables",
                "begin each with [[piece]]",
            )
        })?;
    if let Some(id) = id.as_ref().filter(|id| known.contains(&id.as_str())) {
        if !keep.over {
            let says = format!("there is a piece \"{id}\" already");
            return Err(Trouble::refused(says, "to give it this colour as its target, say --over"));
        }
        let own = |row: &&mut Table| row.get("id").and_then(Item::as_str) == Some(id.as_str());
        let Some(row) = rows.iter_mut().find(own) else {
            let says = format!("\"{id}\" is read and never dyed ([[fixed]])");
            return Err(Trouble::refused(says, "give the colour to a piece"));
        };
        let before = row.get("target").map(|old| old.to_string().trim().to_owned());
        target.decor_mut().set_suffix(format!(" {PICKED}{}", in_a_comment(how)));
        row.insert("target", Item::Value(target));
        return Ok(PieceKept { id: id.clone(), number: flat.number, before });
    }
    let id = id.unwrap_or_else(|| free_id(flat.number, &known));
    let mut row = Table::new();
    row.decor_mut().set_prefix(about(flat, keep.how.as_deref()));
    row.insert("id", Item::Value(Value::from(id.as_str())));
    let words = flat.words.split(',').next().unwrap_or("colour");
    row.insert("name", Item::Value(Value::from(words)));
    let given = wanted.cloth.as_deref().unwrap_or("unknown");
    for line in
        [Some(cloth(given)), wanted.undyed.as_deref().map(undyed_line)].into_iter().flatten()
    {
        let line = line.map_err(|(says, hint)| Trouble::refused(says, hint))?;
        let read: DocumentMut = line.parse().map_err(|e: toml_edit::TomlError| {
            Trouble::refused(format!("{line}: {e}"), "name a cloth, such as cotton")
        })?;
        for (key, item) in read.iter() {
            row.insert(key, item.clone());
        }
    }
    let mut weight = Value::from(STANDS_IN_G);
    weight.decor_mut().set_suffix("  # stands in: weigh it dry");
    row.insert("weight_g", Item::Value(weight));
    row.insert("target", Item::Value(target));
    rows.push(row);
    Ok(PieceKept { id, number: flat.number, before: None })
}

fn target(keep: &KeepWanted, flat: &FlatSeen) -> Result<Value, Trouble> {
    let mut target = InlineTable::new();
    match (&flat.anchored, keep.on_cloth_white) {
        (_, false) => {
            target.insert("hex", Value::from(flat.hex.as_str()));
        }
        (Some(anchored), true) => {
            target.insert("lab", Value::Array(anchored.lab.iter().copied().collect()));
        }
        (None, true) => {
            let says = format!("number {} was not brought to the cloth's white", flat.number);
            return Err(Trouble::refused(says, "leave it out of --take, or take it as drawn"));
        }
    }
    Ok(Value::InlineTable(target))
}

fn free_id(number: usize, known: &[&str]) -> String {
    let plain = format!("colour-{number}");
    let more = (2..).map(|n| format!("{plain}-{n}"));
    let mut all = std::iter::once(plain.clone()).chain(more);
    all.find(|id| !known.contains(&id.as_str())).unwrap_or(plain)
}

/// The comment over a new piece.
fn about(flat: &FlatSeen, how: Option<&str>) -> String {
    let [x, y] = flat.at;
    let head = match how {
        Some(how) => format!("picked {how}: {}", flat.words),
        None => format!(
            "number {}: {}, at {x},{y}, {} % of the picture",
            flat.number, flat.words, flat.share_pct
        ),
    };
    let open = flat.questions.iter().map(|q| format!("Open: {q}"));
    std::iter::once(head)
        .chain(open)
        .fold("\n".to_owned(), |all, line| format!("{all}# {}\n", in_a_comment(&line)))
}

/// A comment is one line, whatever stands in it.
fn in_a_comment(line: &str) -> String {
    line.replace(|c: char| c.is_control(), " ")
}

/// Most pixels of the picture's longer side on the page.
const SIDE: usize = 900;

/// Writes a page with the picture and its colours beside it.
pub fn colours_sheet(found: &Coloured, wanted: &ColoursWanted, file: &Path) -> Result<(), Trouble> {
    only_over_ours(file, Mark::Holds(": its colours</title>"))?;
    let Some(first) = wanted.pictures.first() else { return Ok(()) };
    let bytes = fs::read(first).map_err(|e| broken("reading", first, &e))?;
    let small = picture::Picture::try_read(&bytes)
        .and_then(|p| p.try_small_png(SIDE))
        .map_err(|e| Trouble::refused(format!("{}: {e}", first.display()), "choose it again"))?;
    let named = |path: &Path| {
        path.file_name()
            .map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
    };
    let page = paper::colours_page(&PictureBeside {
        name: named(first),
        size: found.size,
        png: small,
        colours: found.flats.iter().map(|f| beside(f, found)).collect(),
        others: found
            .others
            .iter()
            .map(|o| OtherBeside {
                name: named(Path::new(&o.picture)),
                pairs: o
                    .pairs
                    .iter()
                    .map(|p| (p.number, p.here.clone(), p.hex.clone(), p.apart))
                    .collect(),
                alone: o.alone(),
            })
            .collect(),
        notes: found.notes.clone(),
    });
    write_whole(&[(file, page.as_bytes())])
}

fn beside(flat: &FlatSeen, found: &Coloured) -> ColourBeside {
    let mut says = flat.questions.clone();
    says.extend(flat.says(found.cloth.as_deref()));
    ColourBeside {
        number: flat.number,
        hex: flat.hex.clone(),
        words: flat.words.clone(),
        lab: flat.lab,
        share_pct: flat.share_pct,
        at: flat.at,
        shades: flat.shades.iter().map(|s| s.hex.clone()).collect(),
        is_ground: flat.ground,
        says,
    }
}
