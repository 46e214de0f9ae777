//! What is known where a file of swatches lies: the workbook's codes and pieces, the costume files and the cards of plans
//! in the same folder.
//!
//! Nothing here is needed: what cannot be read is passed over. Only a workbook that is there and cannot be read is a
//! trouble.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use costume::{CostumeKnown, Known, cards_in, pieces_of};
use workbook::{Book, Refusal};

use crate::Trouble;
use crate::books::{to_read, trouble};

/// Files of a folder that are looked at, and the largest plan, bytes.
const MOST_FILES: usize = 200;
const MOST_PLAN: u64 = 64 * 1024 * 1024;

/// What is known beside a workbook and a file of swatches.
pub(crate) fn known_here(book: &Path, file: &Path) -> Result<Known, Trouble> {
    let mut known = Known::default();
    if fs::metadata(book).is_ok_and(|there| there.len() > 0 || !there.is_file()) {
        let book_is = to_read(book)?;
        of_book(&book_is, &mut known).map_err(|e| trouble(&e, book))?;
    }
    let folder = |of: &Path| of.parent().map(Path::to_path_buf).unwrap_or_default();
    let mut folders = vec![folder(file), folder(book)];
    folders.dedup();
    for folder in folders {
        let place = if folder.as_os_str().is_empty() { Path::new(".") } else { &folder };
        let Ok(entries) = fs::read_dir(place) else { continue };
        for entry in entries.filter_map(Result::ok).take(MOST_FILES) {
            let name = entry.file_name().to_string_lossy().into_owned();
            let size =
                entry.metadata().ok().filter(fs::Metadata::is_file).map_or(u64::MAX, |m| m.len());
            if name.ends_with(".plan.json") && size <= MOST_PLAN {
                let text = fs::read_to_string(entry.path()).unwrap_or_default();
                known.codes.extend(cards_in(&text));
            } else if name.ends_with(".toml") && size <= costume::MOST_BYTES as u64 {
                let text = fs::read_to_string(entry.path()).unwrap_or_default();
                if let Some((costume, pieces)) = pieces_of(&text) {
                    known.costumes.push(CostumeKnown { name: costume, pieces, file: Some(name) });
                }
            }
        }
    }
    // Files come in no order of their own; what is said of them does.
    known.costumes.sort_by(|a, b| (&a.name, &a.file).cmp(&(&b.name, &b.file)));
    known.codes.sort_unstable();
    known.codes.dedup();
    Ok(known)
}

fn of_book(book: &Book, known: &mut Known) -> Result<(), Refusal> {
    known.codes = codes(book)?;
    let mut costumes = BTreeMap::new();
    for costume in book.costumes() {
        let costume = costume?;
        if !costume.undone {
            costumes.insert(costume.id, (costume.it.name, vec![]));
        }
    }
    for piece in book.pieces() {
        let piece = piece?;
        if let (false, Some((_, pieces))) = (piece.undone, costumes.get_mut(&piece.it.costume)) {
            pieces.push(piece.it.name);
        }
    }
    let all = costumes.into_values();
    known.costumes.extend(all.map(|(name, pieces)| CostumeKnown { name, pieces, file: None }));
    Ok(())
}

/// The codes of the swatches that stand.
pub(crate) fn codes(book: &Book) -> Result<Vec<String>, Refusal> {
    let mut codes = vec![];
    for swatch in book.swatches() {
        let swatch = swatch?;
        codes.extend(swatch.it.code.filter(|_| !swatch.undone));
    }
    Ok(codes)
}
