//! A finished costume as pages to keep: the reference picture beside its file, and of every piece what the workbook has on
//! record. Writes nothing.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use paper::{Finished, FinishedPiece, RecordChip};
use plan::document::Plan;

use crate::Trouble;
use crate::book_record::record_by_a_name;
use crate::books::to_read;
use crate::disk::{broken, text};
use crate::record_named::Names;
use crate::record_printed::kept;

/// Most pixels of the reference picture's longer side on the page.
const SIDE: usize = 900;

/// Largest picture file looked at, bytes.
const MOST_PICTURE: u64 = 40 * 1024 * 1024;

/// The pages of a finished costume: `file` is its costume file, `plan` its plan, `book` the workbook where there is one.
///
/// # Errors
/// A workbook that cannot be read. A piece that is not in it is told as such.
pub fn finished_page(plan: &Plan, file: &Path, book: Option<&Path>) -> Result<String, Trouble> {
    let beside = file.with_file_name(crate::WORKBOOK);
    let book = book.map_or(beside, Path::to_path_buf);
    // Opened once for all pieces. Notes name a piece as the costume file does, by its id, or as its label says.
    let open = book.exists().then(|| to_read(&book)).transpose()?;
    let mut pieces = vec![];
    let names = Names::of(plan);
    for piece in &plan.pieces {
        let called = [piece.id.as_str(), piece.name.as_str()];
        let mut seen = match &open {
            Some(open) => record_by_a_name((open, &book), called, &plan.costume.name)?,
            None => None,
        };
        if let Some(seen) = &mut seen {
            names.put_into(seen);
        }
        let wanted = RecordChip {
            head: "Wanted",
            hex: piece.target.hex.clone(),
            words: piece.target.words.clone(),
        };
        pieces.push(match seen {
            Some(seen) => {
                let mut kept = FinishedPiece { name: piece.name.clone(), ..kept(&seen) };
                if kept.chips.iter().all(|chip| chip.head != "Wanted") {
                    kept.chips.insert(0, wanted);
                }
                kept
            }
            None => FinishedPiece {
                name: piece.name.clone(),
                chips: vec![wanted],
                facts: vec![
                    ("Cloth".to_owned(), piece.goods.words.clone()),
                    ("Wanted".to_owned(), piece.target.words.clone()),
                ],
                missing: vec!["Nothing of it is on record in the workbook.".to_owned()],
                ..FinishedPiece::default()
            },
        });
    }
    Ok(paper::finished_page(&Finished {
        costume: plan.costume.name.clone(),
        note: plan.costume.note.clone(),
        over: format!("Kept on {}", plan.costume.today),
        picture: picture_of(file)?,
        pieces,
    }))
}

/// The record of a piece of a plan as a page.
///
/// # Errors
/// A workbook that cannot be read, or has nothing of the piece.
pub fn record_of_planned(plan: &Plan, id: &str, book: &Path) -> Result<String, Trouble> {
    let piece = plan.pieces.iter().find(|piece| piece.id == id);
    let name = piece.map_or(id, |piece| piece.name.as_str());
    let open = to_read(book)?;
    let mut seen =
        record_by_a_name((&open, book), [id, name], &plan.costume.name)?.ok_or_else(|| {
            let says = format!("nothing of \"{name}\" is on record in the workbook yet");
            Trouble::refused(says, "record its swatches and its bath, and look again")
        })?;
    Names::of(plan).put_into(&mut seen);
    Ok(crate::record_printed::page_of(&seen, &plan.costume.today))
}

/// The reference picture: the one the costume file names, where it lies beside it; else a file called "reference".
fn picture_of(file: &Path) -> Result<Option<(String, Vec<u8>)>, Trouble> {
    let written = text(file)?;
    let read = toml_edit::Document::parse(written.as_str()).ok();
    let named = read.as_ref().and_then(|read| read.get("reference")?.get("picture")?.as_str());
    let beside = |name: &str| {
        // Only ever a file of the costume's own folder.
        let plain = Path::new(name).file_name().is_some_and(|only| only == name);
        plain.then(|| file.with_file_name(name)).filter(|path| path.is_file())
    };
    let usual = ["reference.png", "reference.jpg", "reference.jpeg", "reference.webp"];
    let found: Option<PathBuf> =
        named.and_then(beside).or_else(|| usual.into_iter().find_map(beside));
    let Some(path) = found else { return Ok(None) };
    let about = std::fs::metadata(&path).map_err(|e| broken("reading", &path, &e))?;
    if about.len() > MOST_PICTURE {
        return Ok(None);
    }
    let bytes = std::fs::read(&path).map_err(|e| broken("reading", &path, &e))?;
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    // A file that is no picture after all is left out: the pages are kept for the record.
    Ok(small_png(bytes).map(|png| (name, png)))
}

/// A PNG of no more bytes goes onto the page as it is; it is small already.
const SMALL_FILE: usize = 100 * 1024;

/// The picture last made small, and the file it was made of: to be asked for again and again, and slow to make.
static LAST: Mutex<Option<(Vec<u8>, Vec<u8>)>> = Mutex::new(None);

fn small_png(bytes: Vec<u8>) -> Option<Vec<u8>> {
    if bytes.len() <= SMALL_FILE
        && let Some(plain) = plain_png(&bytes)
    {
        return Some(plain);
    }
    let mut last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, png)) = last.as_ref().filter(|(of, _)| *of == bytes) {
        return Some(png.clone());
    }
    let png = picture::Picture::try_read(&bytes).and_then(|p| p.try_small_png(SIDE)).ok()?;
    *last = Some((bytes, png.clone()));
    Some(png)
}

/// A PNG file without all that is not the picture and its colours (PNG specification, chunk layout); none where it is no
/// whole PNG file.
fn plain_png(bytes: &[u8]) -> Option<Vec<u8>> {
    const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";
    const KEPT: [&[u8]; 11] = [
        b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT",
        b"cICP",
    ];
    let mut rest = bytes.strip_prefix(SIGNATURE)?;
    let mut plain = SIGNATURE.to_vec();
    let mut first = true;
    loop {
        let length = u32::from_be_bytes(rest.get(..4)?.try_into().ok()?);
        let whole = usize::try_from(length).ok()?.checked_add(12)?;
        let (chunk, after) = rest.split_at_checked(whole)?;
        let kind = &chunk[4..8];
        if first && kind != b"IHDR" {
            return None;
        }
        first = false;
        if KEPT.contains(&kind) {
            plain.extend_from_slice(chunk);
        }
        if kind == b"IEND" {
            return Some(plain);
        }
        rest = after;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_png_stays_the_same_picture_without_what_is_told_of_it() -> std::io::Result<()> {
        let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden");
        let file = std::fs::read(example.join("reference.png"))?;
        let note = b"\x00\x00\x00\x05tEXtwhere\x00\x00\x00\x00";
        let noted = [&file[..33], &note[..], &file[33..]].concat();
        let plain = plain_png(&noted).unwrap();
        assert!(!plain.windows(4).any(|four| four == b"tEXt"));
        let pixels =
            |bytes: &[u8]| picture::Picture::try_read(bytes).unwrap().try_small_png(40).unwrap();
        assert_eq!(pixels(&plain), pixels(&file));
        for broken in [&noted[..200], &noted[1..], &[], b"no picture"] {
            assert_eq!(plain_png(broken), None);
        }
        Ok(())
    }

    #[test]
    fn only_a_picture_of_the_costumes_own_folder_is_taken() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let inside = folder.path().join("in");
        std::fs::create_dir(&inside)?;
        let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lantern-warden");
        std::fs::copy(example.join("reference.png"), folder.path().join("secret.png"))?;
        let file = inside.join("c.toml");
        std::fs::write(&file, "[reference]\npicture = \"../secret.png\"\n")?;
        let seen = || picture_of(&file).unwrap_or_else(|e| panic!("{e}")).map(|(name, _)| name);
        assert_eq!(seen(), None);
        std::fs::copy(example.join("reference.png"), inside.join("mine.png"))?;
        std::fs::write(&file, "[reference]\npicture = \"mine.png\"\n")?;
        assert_eq!(seen().as_deref(), Some("mine.png"));
        std::fs::write(&file, "[costume]\n")?;
        std::fs::write(inside.join("reference.jpg"), "no picture")?;
        assert_eq!(seen(), None);
        Ok(())
    }
}
