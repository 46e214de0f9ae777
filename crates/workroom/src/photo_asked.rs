//! Words of `read` as places in a picture, and the files it names, opened: photographs, and a chart's values.
//!
//! Left out: what is read in them.

use std::path::Path;

use colour::{Bands, ClothPrior};
use picture::{Chain, ChartKind, ChartText, PhotoRefusal, Picture};

use crate::asked::Asked;
use crate::disk::{at_most, bytes};
use crate::{ReadWanted, Trouble};

/// Four corners.
pub(crate) type Corners = [[f64; 2]; 4];

/// The words of the request, understood.
pub(crate) struct Words {
    /// Four corners of each place.
    pub(crate) cloths: Vec<Corners>,
    /// Places of the cloth that the others are held against: none, one or two.
    pub(crate) against: Vec<Corners>,
    /// Places of known cloths, one by one.
    pub(crate) at: Vec<Corners>,
    /// Where the white lies.
    pub(crate) white: Option<Corners>,
    /// The chart's, where they were given.
    pub(crate) corners: Option<[[f64; 2]; 4]>,
    /// What the numbers went through.
    pub(crate) chain: Chain,
}

impl Words {
    pub(crate) fn of(wanted: &ReadWanted) -> Result<Self, Trouble> {
        let mut asked = Asked::default();
        let mut laid: Vec<(Corners, String)> = vec![];
        let mut places = |name: &'static str, given: &[String]| -> Vec<Corners> {
            let mut all = vec![];
            for given in given {
                let at = asked.typed(name, given);
                let hint = format!(
                    "write left, top, width and height in pixels, {name} \"120,80,200,150\", or the four corners of a place \
                     that is all cloth, {name} \"120,80 320,90 310,240 115,230\""
                );
                let Some(corners) = asked.keep(&at, place(given), &hint) else { continue };
                if let Some((_, other)) = laid.iter().find(|(there, _)| overlap(*there, corners)) {
                    let says = format!("this place lies upon {other}");
                    asked.fault(
                        at,
                        says,
                        "give each cloth a place of its own, and each place once",
                    );
                    continue;
                }
                laid.push((corners, format!("{name} \"{given}\"")));
                all.push(corners);
            }
            all
        };
        let cloths = places("--cloth", &wanted.cloths);
        let against = places("--against", &wanted.against);
        let singly = places("--at", &wanted.at);
        let white = places("--white-at", wanted.white_at.as_slice()).first().copied();
        if let Some(more) = wanted.against.get(2) {
            let at = asked.typed("--against", more);
            let hint = "give --against once, or twice with the other cloth between (A-B-A)";
            asked.fault(at, "this is a third place of one cloth", hint);
        }
        let corners = wanted.corners.as_deref().and_then(|given| {
            let at = asked.typed("--corners", given);
            let four = numbers(given).as_deref().and_then(four_corners);
            let four = four.ok_or("this is not four corners");
            let hint = "write the outer corners of the chart's corner patches one after another around it, in pixels: \
                        --corners \"100,80 420,90 415,300 95,290\"";
            asked.keep(&at, four, hint)
        });
        let at = asked.typed("--from", &wanted.from);
        let chain = match wanted.from.as_str() {
            "camera" => Ok(Chain::Developed),
            "linear" => Ok(Chain::Linear),
            _ => Err("this is no way a picture comes"),
        };
        let hint = "write camera (a picture as a camera or telephone saves it) or linear (developed without a tone curve)";
        let chain = asked.keep(&at, chain, hint);
        asked.sound()?;
        let chain = chain.unwrap_or(Chain::Developed);
        Ok(Self { cloths, against, at: singly, white, corners, chain })
    }
}

/// Whether the middle of one place lies within the other.
fn overlap(one: Corners, other: Corners) -> bool {
    let middle = |c: Corners| [0, 1].map(|k| c.iter().map(|p| p[k]).sum::<f64>() / 4.0);
    let holds = |c: Corners, p: [f64; 2]| {
        let turns: Vec<f64> = (0..4)
            .map(|n| {
                let (a, b) = (c[n], c[(n + 1) % 4]);
                (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
            })
            .collect();
        turns.iter().all(|t| *t > 0.0) || turns.iter().all(|t| *t < 0.0)
    };
    holds(one, middle(other)) || holds(other, middle(one))
}

/// "left,top,width,height", or four corners.
fn place(given: &str) -> Result<[[f64; 2]; 4], &'static str> {
    let numbers = numbers(given).unwrap_or_default();
    if let [left, top, width, height] = numbers[..] {
        if width <= 0.0 || height <= 0.0 {
            return Err("the place has no width or no height");
        }
        let (right, bottom) = (left + width, top + height);
        return Ok([[left, top], [right, top], [right, bottom], [left, bottom]]);
    }
    four_corners(&numbers).ok_or("this is neither a place of four numbers nor four corners")
}

pub(crate) fn four_corners(numbers: &[f64]) -> Option<[[f64; 2]; 4]> {
    let (pairs, rest) = numbers.as_chunks::<2>();
    pairs.try_into().ok().filter(|_| rest.is_empty())
}

pub(crate) fn numbers(given: &str) -> Option<Vec<f64>> {
    given
        .split([',', ';', ' '])
        .filter(|n| !n.is_empty())
        .map(|n| n.parse::<f64>().ok().filter(|v| v.is_finite()))
        .collect()
}

/// A picture file, whole.
pub(crate) fn open(path: &Path) -> Result<Picture, Trouble> {
    let held = at_most(path, picture::LARGEST_FILE)?;
    Picture::try_read(&held).map_err(|e| {
        let (says, hint) = parted(&e.into());
        Trouble::refused(format!("{}: {says}", path.display()), hint)
    })
}

/// A chart out of a text file, and how many of its patches are known by their colour only.
pub(crate) fn own_chart(file: &Path, across: Option<usize>) -> Result<(ChartKind, usize), Trouble> {
    let name = file.display().to_string();
    let text = values(file)?;
    let Some(across) = across.or(text.across()) else {
        let says = format!(
            "{name} has {} patches, and how many lie in a row was not said",
            text.patches().len()
        );
        return Err(Trouble::refused(says, "say it with --across 6"));
    };
    let all: Vec<Bands> = text.patches().iter().map(|p| p.reflectance).collect();
    let assumed = text.patches().iter().filter(|p| p.assumed).count();
    let spreads: Vec<f64> = text.patches().iter().map(|p| p.spread.unwrap_or(0.0)).collect();
    let read = spreads.iter().any(|s| *s > 0.0);
    let kind = ChartKind::try_new(across, all)
        .and_then(|kind| if read { kind.read_to(spreads) } else { Ok(kind) })
        .map_err(|e| {
            let (says, hint) = parted(&e);
            Trouble::refused(format!("{name}: {says}"), hint)
        })?;
    Ok((kind, assumed))
}

/// The values in a text file.
pub(crate) fn values(file: &Path) -> Result<ChartText, Trouble> {
    let name = file.display().to_string();
    let hint =
        "the file holds the chart's patches row after row, as CGATS.17 or a table of spectra";
    ChartText::try_read(&as_text(file, hint)?, &name, ClothPrior::shipped())
        .map_err(|e| Trouble::refused(format!("{name}: {e}"), hint))
}

/// A file of patches; a picture given in its place is told at once, and not line by line.
pub(crate) fn as_text(file: &Path, hint: &str) -> Result<Vec<u8>, Trouble> {
    let bytes = bytes(file)?;
    let wide = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    if bytes.contains(&0) && !wide {
        let says = format!("{} is no text", file.display());
        return Err(Trouble::refused(says, hint));
    }
    Ok(bytes)
}

/// What is wrong, and what to do: every refusal of `picture` has both, with a colon between.
pub(crate) fn parted(why: &PhotoRefusal) -> (String, String) {
    let whole = why.to_string();
    match whole.rsplit_once(": ") {
        Some((says, help)) => (says.to_owned(), help.to_owned()),
        None => (whole, "photograph again, as docs/photograph.md shows".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_four_numbers_or_four_corners() {
        let square = [[1.0, 2.0], [4.0, 2.0], [4.0, 6.0], [1.0, 6.0]];
        for given in ["1,2,3,4", "1, 2, 3, 4", "1 2 3 4", "1,2 4,2 4,6 1,6"] {
            assert_eq!(place(given).unwrap(), square, "{given}");
        }
        for given in ["", "1,2,3", "1,2,-3,4", "1,2,3,0", "1,2,3,inf", "1,2,3,x", "1,2 3,4 5,6"] {
            assert!(place(given).is_err(), "{given}");
        }
    }

    #[test]
    fn a_refusal_is_what_is_wrong_and_what_to_do() {
        for why in [
            PhotoRefusal::NoChart,
            PhotoRefusal::OtherValues { patches: vec![3, 4] },
            PhotoRefusal::ClothBlotched { percent: 20.0 },
            picture::Refusal::Empty.into(),
            picture::Refusal::Damaged { kind: "JPEG", why: "marker: none".to_owned() }.into(),
        ] {
            let (says, help) = parted(&why);
            assert_eq!(format!("{says}: {help}"), why.to_string());
            assert!(!help.contains("docs/"), "{help}");
        }
    }
}
