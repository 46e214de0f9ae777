//! Reference pictures beside a costume file: laid there under a name of our own, found again by their number, shown
//! small, put out of sight.
//!
//! A picture is found by its place in the list, never by a name that came in. Pictures that the costume file names
//! are among them as long as they lie in its folder. Left out: the colours in them.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::PoisonError;

use picture::Picture;
use toml_edit::{Document, Item};

use crate::Trouble;
use crate::costume_edited::CHANGING;
use crate::disk::{at_most, broken, text, write_whole};
use crate::photo_asked::parted;

/// Largest picture taken from a form, bytes: a telephone's is some 25 MB.
pub const LARGEST_UPLOAD: usize = 64 * 1024 * 1024;

/// Most reference pictures of one costume.
const MOST_PICTURES: usize = 40;

/// Files looked at in one folder.
const MOST_FILES: usize = 4000;

/// A picture of a costume.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureFound {
    /// Its number, from 1: by it a page asks for it.
    pub number: usize,
    /// Its name, as the costume file has it where it does.
    pub name: String,
    /// Where it is.
    pub path: PathBuf,
    /// Whether it is the one whose colours hold.
    pub holds: bool,
    /// Why it holds, where that was said.
    pub because: Option<String>,
}

/// The reference pictures of a costume: the one that holds first, then the others in the maker's order, then what else
/// was laid beside the file.
///
/// # Errors
/// The file or its folder cannot be read.
pub fn pictures_of(file: &Path) -> Result<Vec<PictureFound>, Trouble> {
    let folder = folder_of(file);
    let (held, over, because) = named(&text(file)?);
    let mut found: Vec<PictureFound> = vec![];
    let mut add = |name: String, path: PathBuf, holds: bool| {
        if found.iter().all(|one| one.path != path) {
            let because = because.clone().filter(|_| holds);
            found.push(PictureFound { number: found.len() + 1, name, path, holds, because });
        }
    };
    for (at, name) in held.iter().chain(&over).enumerate() {
        if let Some(path) = within(&folder, name) {
            add(name.clone(), path, at == 0 && held.is_some());
        }
    }
    for name in usual(file)?.into_iter().chain(laid(file)?.into_iter().map(|(_, name)| name)) {
        let path = folder.join(&name);
        add(name, path, false);
    }
    Ok(found)
}

/// Pictures of the usual name that their maker put beside the file: "reference", in any format that is read.
fn usual(file: &Path) -> Result<Vec<String>, Trouble> {
    let folder = folder_of(file);
    let entries = fs::read_dir(&folder).map_err(|e| broken("looking into", &folder, &e))?;
    let mut found: Vec<String> = entries
        .filter_map(Result::ok)
        .take(MOST_FILES)
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| {
            let lower = name.to_lowercase();
            let ending = lower.strip_prefix("reference.");
            ending.is_some_and(|ending| {
                ENDINGS.contains(&ending) || ["jpeg", "tiff"].contains(&ending)
            })
        })
        .collect();
    found.sort();
    Ok(found)
}

/// What the costume file says of its pictures: the one that holds, the others, and why.
fn named(text: &str) -> (Option<String>, Vec<String>, Option<String>) {
    let Ok(read) = Document::parse(text) else { return (None, vec![], None) };
    let Some(table) = read.get("reference").and_then(Item::as_table_like) else {
        return (None, vec![], None);
    };
    let word = |key: &str| table.get(key).and_then(Item::as_str).map(str::to_owned);
    let over = table.get("over").and_then(Item::as_array);
    let over = over.into_iter().flatten().filter_map(|v| v.as_str().map(str::to_owned)).collect();
    (word("picture"), over, word("because"))
}

/// A picture that a costume file names, where it lies in the file's own folder: as it is written, else (written from
/// elsewhere) by its last part.
fn within(folder: &Path, name: &str) -> Option<PathBuf> {
    let plain = Path::new(name).components().all(|c| matches!(c, std::path::Component::Normal(_)));
    let as_written = folder.join(name);
    if plain && as_written.is_file() {
        return Some(as_written);
    }
    let beside = folder.join(Path::new(name).file_name()?);
    beside.is_file().then_some(beside)
}

fn folder_of(file: &Path) -> PathBuf {
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty());
    folder.map_or_else(|| PathBuf::from("."), Path::to_path_buf)
}

/// What our own names begin with.
fn stem(file: &Path) -> String {
    let stem = file.file_stem().map_or_else(|| "costume".into(), |s| s.to_string_lossy());
    format!("{stem}.picture-")
}

/// Pictures laid beside the file, by the number in their names.
fn laid(file: &Path) -> Result<Vec<(usize, String)>, Trouble> {
    let (folder, stem) = (folder_of(file), stem(file));
    let entries = fs::read_dir(&folder).map_err(|e| broken("looking into", &folder, &e))?;
    let mut found: Vec<(usize, String)> = entries
        .filter_map(Result::ok)
        .take(MOST_FILES)
        .filter_map(|entry| {
            let name = entry.file_name().to_string_lossy().into_owned();
            let (number, ending) = name.strip_prefix(&stem)?.split_once('.')?;
            let number = number.parse().ok()?;
            ENDINGS.contains(&ending).then_some((number, name))
        })
        .collect();
    found.sort();
    Ok(found)
}

const ENDINGS: [&str; 4] = ["jpg", "png", "webp", "tif"];

/// The ending and the media type of a picture, by its first bytes.
pub(crate) fn kind_of(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    match bytes {
        [0xff, 0xd8, ..] => Some((ENDINGS[0], "image/jpeg")),
        [0x89, b'P', b'N', b'G', ..] => Some((ENDINGS[1], "image/png")),
        [b'R', b'I', b'F', b'F', ..] => Some((ENDINGS[2], "image/webp")),
        [b'I', b'I', ..] | [b'M', b'M', ..] => Some((ENDINGS[3], "image/tiff")),
        _ => None,
    }
}

/// A picture that came in: read to the end, so that what is kept can be read again.
pub(crate) fn sound(bytes: &[u8]) -> Result<(Picture, &'static str, &'static str), Trouble> {
    if bytes.is_empty() {
        let says = "no picture was chosen, or it is empty";
        return Err(Trouble::refused(says, "choose the file and send it again"));
    }
    if bytes.len() > LARGEST_UPLOAD {
        return Err(too_large());
    }
    let refused = |says: String, hint: String| Trouble::refused(says, hint);
    let picture = Picture::try_read(bytes).map_err(|e| plainly(e, ""))?;
    let (ending, media) = kind_of(bytes).ok_or_else(|| {
        refused("this is no picture file".to_owned(), "send a JPEG, PNG, WebP or TIFF".to_owned())
    })?;
    Ok((picture, ending, media))
}

/// Why a picture cannot be read, in words for whoever sent it: not those of a decoder.
fn plainly(why: picture::Refusal, name: &str) -> Trouble {
    let (says, hint) = match &why {
        picture::Refusal::Damaged { kind, .. } => (
            format!("the {kind} file is damaged or breaks off: it cannot be read to its end"),
            "copy it again from where it came, or save it anew, and send it once more".to_owned(),
        ),
        picture::Refusal::Profile { .. } => (
            "the picture’s colour profile cannot be used".to_owned(),
            "save it with the profile sRGB, and send it once more".to_owned(),
        ),
        _ => parted(&why.into()),
    };
    Trouble::refused(if name.is_empty() { says } else { format!("{name}: {says}") }, hint)
}

/// The refusal of a picture that is too large to be sent.
#[must_use]
pub fn too_large() -> Trouble {
    let most = LARGEST_UPLOAD / (1024 * 1024);
    Trouble::refused(
        format!("the picture is larger than {most} MB"),
        "save it smaller, or as a JPEG, and send it again",
    )
}

/// Lays a picture beside a costume file, under a name of our own; one that lies there already, byte for byte, is not
/// laid twice.
///
/// # Errors
/// What is no picture, or is broken off, or too large; a disk that refuses.
pub fn lay_picture(file: &Path, bytes: &[u8]) -> Result<PictureFound, Trouble> {
    let (_, ending, _) = sound(bytes)?;
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let there = pictures_of(file)?;
    let same = |one: &&PictureFound| {
        let size = fs::metadata(&one.path).map(|m| m.len()).unwrap_or(0);
        size == bytes.len() as u64 && fs::read(&one.path).is_ok_and(|held| held == bytes)
    };
    if let Some(same) = there.iter().find(same) {
        return Ok(same.clone());
    }
    if there.len() >= MOST_PICTURES {
        let says = format!("this costume has {} pictures already", there.len());
        return Err(Trouble::refused(says, "take one away first"));
    }
    let number = laid(file)?.last().map_or(1, |(last, _)| last + 1);
    let path = folder_of(file).join(format!("{}{number}.{ending}", stem(file)));
    if path.symlink_metadata().is_ok() {
        let says = format!("{} is there already", path.display());
        return Err(Trouble::refused(says, "move it away and send the picture again"));
    }
    write_whole(&[(&path, bytes)])?;
    let found = pictures_of(file)?.into_iter().find(|one| one.path == path);
    found.ok_or_else(|| Trouble::refused("the picture is gone again", "send it once more"))
}

/// Puts a picture out of sight: it stays beside the file under a hidden name, which is told.
///
/// # Errors
/// The picture that holds; one that was not laid here; a disk that refuses.
pub fn hide_picture(file: &Path, number: usize) -> Result<String, Trouble> {
    let _one = CHANGING.lock().unwrap_or_else(PoisonError::into_inner);
    let picture = picture_numbered(file, number)?;
    if picture.holds {
        let says = format!("the colours were read off {}", picture.name);
        return Err(Trouble::refused(says, "choose another picture first"));
    }
    if laid(file)?.iter().all(|(_, name)| *name != picture.name) {
        let says =
            format!("{} is named in the costume file, or was put there by hand", picture.name);
        return Err(Trouble::refused(says, "take it out of the file, or move it yourself"));
    }
    let hidden = format!(".{}", picture.name);
    let to = folder_of(file).join(&hidden);
    if to.symlink_metadata().is_ok() {
        let says = format!("{hidden} is there already");
        return Err(Trouble::refused(says, "move it away first"));
    }
    fs::rename(&picture.path, &to).map_err(|e| broken("moving", &picture.path, &e))?;
    Ok(hidden)
}

/// The picture of this number.
///
/// # Errors
/// There is none.
pub fn picture_numbered(file: &Path, number: usize) -> Result<PictureFound, Trouble> {
    pictures_of(file)?.into_iter().find(|one| one.number == number).ok_or_else(|| {
        let says = format!("there is no picture {number} of this costume");
        Trouble::refused(says, "its page of pictures shows those that are there")
    })
}

/// A picture made small for a page, written anew: nothing of the file but its pixels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureShown {
    /// Pixels across and down of the picture itself.
    pub size: [usize; 2],
    /// The small one.
    pub bytes: Vec<u8>,
    /// Its media type.
    pub media: &'static str,
}

/// Longer side of a picture on a page, pixels: wider than any page shows it, so that it is sharp.
const SHOWN_SIDE: usize = 1400;

/// Shows a picture: artwork (PNG) truly, a photograph as a JPEG to point at.
///
/// # Errors
/// It cannot be read any more.
pub fn show_picture(path: &Path, truly: bool) -> Result<PictureShown, Trouble> {
    let bytes = at_most(path, picture::LARGEST_FILE)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let no = |e: picture::Refusal| plainly(e, &name);
    let picture = Picture::try_read(&bytes).map_err(no)?;
    let (small, media) = match truly {
        true => (picture.try_small_png(SHOWN_SIDE), "image/png"),
        false => (picture.try_small_jpeg(SHOWN_SIDE), "image/jpeg"),
    };
    let size = [picture.width(), picture.height()];
    Ok(PictureShown { size, bytes: small.map_err(no)?, media })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[costume]\nname = \"A\"\n[reference]\npicture = \"../secret.png\"\nover = [\"mine/one.png\"]\n\
                        [[piece]]\nid = \"coat\"\ncloth = \"wool\"\nweight_g = 100\ntarget = { hex = \"#1f4b4f\" }\n";

    fn done<T>(it: Result<T, Trouble>) -> T {
        it.unwrap_or_else(|e| panic!("{e}"))
    }

    #[test]
    fn pictures_are_laid_by_number_and_found_only_beside_the_file() -> std::io::Result<()> {
        let house = tempfile::tempdir()?;
        let folder = house.path().join("in");
        fs::create_dir_all(folder.join("mine"))?;
        let file = folder.join("c.toml");
        fs::write(&file, TEXT)?;
        let png = |side: usize, grey: u8| {
            scenes::png_of(side, side, &vec![grey; 3 * side * side])
                .unwrap_or_else(|e| panic!("{e}"))
        };
        fs::write(house.path().join("secret.png"), png(10, 1))?;
        assert_eq!(done(pictures_of(&file)), [], "nothing outside of the folder is shown");
        fs::write(folder.join("mine/one.png"), png(10, 2))?;
        let first = done(lay_picture(&file, &png(10, 3)));
        assert_eq!((first.number, first.name.as_str(), first.holds), (2, "c.picture-1.png", false));
        assert_eq!(done(lay_picture(&file, &png(10, 3))).name, first.name, "not twice");
        assert_eq!(done(lay_picture(&file, &png(11, 3))).name, "c.picture-2.png");
        for (bad, with) in [
            (vec![], "empty"),
            (b"no picture".to_vec(), "another kind"),
            (png(30, 9)[..60].to_vec(), ""),
            (png(4, 9), "too little"),
        ] {
            let said = lay_picture(&file, &bad).map_or_else(|e| e.to_string(), |p| p.name);
            assert!(said.contains(with) && !said.contains("picture-"), "{said}");
        }
        fs::write(folder.join("Reference.PNG"), png(10, 7))?;
        fs::write(folder.join("reference.txt"), "no picture")?;
        let names: Vec<String> = done(pictures_of(&file)).into_iter().map(|p| p.name).collect();
        assert_eq!(
            names,
            ["mine/one.png", "Reference.PNG", "c.picture-1.png", "c.picture-2.png"],
            "one of the usual name is there without being named or laid"
        );
        fs::remove_file(folder.join("Reference.PNG"))?;
        let shown = done(show_picture(&first.path, true));
        assert_eq!((shown.size, shown.media), ([10, 10], "image/png"));
        assert_eq!(done(hide_picture(&file, 2)), ".c.picture-1.png");
        assert!(hide_picture(&file, 1).is_err(), "named in the file");
        assert_eq!(done(pictures_of(&file)).len(), 2);
        Ok(())
    }

    /// A picture that says it is larger than can be is refused before room is made for it.
    #[test]
    fn a_picture_that_would_burst_is_refused_by_its_head() {
        let mut head = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        head.extend([0, 1, 0x86, 0xa0, 0, 1, 0x86, 0xa0, 8, 2, 0, 0, 0]);
        // CRC-32 of the chunk (PNG, annex D).
        let crc = head[12..].iter().fold(u32::MAX, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |c, _| {
                if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 }
            })
        });
        head.extend((!crc).to_be_bytes());
        head.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
        let said = sound(&head).map_or_else(|e| e.to_string(), |_| "taken".to_owned());
        assert!(said.contains("120 million"), "{said}");
    }
}
