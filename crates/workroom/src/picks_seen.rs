//! Where the colours of a costume's pieces were picked: read back from what was written beside their targets.

use std::path::Path;

use toml_edit::{Document, Item, Table};

use crate::Trouble;
use crate::coloured_kept::PICKED;
use crate::disk::text;

/// A colour that was picked off a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickSeen {
    /// The piece, by its id.
    pub piece: String,
    /// What it is called.
    pub name: String,
    /// The picture, as it was named.
    pub picture: String,
    /// The point, or the middle of the frame.
    pub at: [usize; 2],
    /// The colour as a screen shows it, where it was kept as drawn.
    pub hex: Option<String>,
}

/// The picked colours of a costume, in the order of its pieces; none where the file has a fault.
///
/// # Errors
/// The file cannot be read.
pub fn picks_of(file: &Path) -> Result<Vec<PickSeen>, Trouble> {
    let text = text(file)?;
    let Ok(read) = Document::parse(text.as_str()) else { return Ok(vec![]) };
    let pieces = read.get("piece").and_then(Item::as_array_of_tables);
    Ok(pieces.into_iter().flatten().filter_map(|piece| seen(piece, &text)).collect())
}

fn seen(piece: &Table, text: &str) -> Option<PickSeen> {
    let word = |key: &str| piece.get(key).and_then(Item::as_str).map(str::to_owned);
    let target = piece.get("target")?.as_value()?;
    // A parsed document keeps what stands around a value as places in its text.
    let behind = target.decor().suffix()?.span().and_then(|span| text.get(span));
    let before = piece.decor().prefix().and_then(|it| it.span()).and_then(|span| text.get(span));
    let told = |around: &str| around.lines().find_map(|l| picked(l.trim()));
    let (at, picture) = behind.and_then(told).or_else(|| before.and_then(told))?;
    let id = word("id")?;
    let hex = target.as_inline_table().and_then(|t| t.get("hex")?.as_str().map(str::to_owned));
    Some(PickSeen { name: word("name").unwrap_or_else(|| id.clone()), piece: id, picture, at, hex })
}

/// "# picked at 3,4 of a.png", "# picked as number 2 at 3,4 of a.png", "# picked from 1,2 to 5,6 of a.png: words".
fn picked(line: &str) -> Option<([usize; 2], String)> {
    let told = line.strip_prefix(PICKED.trim())?.trim();
    let (place, picture) = told.split_once(" of ")?;
    let picture = picture.split(": ").next().unwrap_or(picture).trim().to_owned();
    let pair = |given: &str| {
        let (x, y) = given.trim().split_once(',')?;
        Some([x.parse::<usize>().ok()?, y.parse::<usize>().ok()?])
    };
    let words: Vec<&str> = place.split_whitespace().collect();
    let at = match words[..] {
        ["at", at] | ["as", "number", _, "at", at] => pair(at)?,
        ["from", from, "to", to] => {
            let ([l, t], [r, b]) = (pair(from)?, pair(to)?);
            [l.midpoint(r), t.midpoint(b)]
        }
        _ => return None,
    };
    Some((at, picture))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_beside_a_target_is_read_back() -> std::io::Result<()> {
        let folder = tempfile::tempdir()?;
        let file = folder.path().join("c.toml");
        std::fs::write(
            &file,
            "[[piece]]\nid = \"a\"\nname = \"Coat\"\ntarget = { hex = \"#112233\" } # picked as number 2 at 3,4 of a b.png\n\
             # picked from 1,2 to 5,6 of c.png: deep red, L* 20\n[[piece]]\nid = \"b\"\ntarget = { lab = [1, 2, 3] }\n\
             [[piece]]\nid = \"c\"\ntarget = { hex = \"#445566\" } # by eye\n",
        )?;
        let seen = picks_of(&file).unwrap_or_else(|e| panic!("{e}"));
        let plain: Vec<_> = seen
            .iter()
            .map(|p| (p.name.as_str(), p.picture.as_str(), p.at, p.hex.as_deref()))
            .collect();
        assert_eq!(
            plain,
            [("Coat", "a b.png", [3, 4], Some("#112233")), ("b", "c.png", [3, 4], None)]
        );
        Ok(())
    }
}
