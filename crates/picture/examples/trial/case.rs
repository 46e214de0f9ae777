//! Photographs and their truth made by somebody else: a folder of tables, and pictures if there are any.

use colour::{Bands, Lab, Weights};
use picture::{Chain, Patch, Picture, Seen};

use crate::tables::Table;

/// One photograph.
pub(crate) struct CaseFrame {
    pub(crate) name: String,
    /// Where it stands in its table.
    pub(crate) at: String,
    pub(crate) chain: Chain,
    pub(crate) patches: Vec<Patch>,
    pub(crate) cloths: Vec<CaseCloth>,
}

/// One cloth in it.
pub(crate) struct CaseCloth {
    #[allow(dead_code, reason = "one of the two examples looks cloths up by it")]
    pub(crate) name: String,
    pub(crate) seen: Seen,
    pub(crate) truth: Lab,
}

/// The tables of a folder.
struct Tables {
    frames: Table,
    cells: Table,
    known: Table,
    truth: Table,
}

/// Columns of `cells.csv`: where a cell lies in the pictures, or how it was read.
const CELLS: [&str; 14] = [
    "frame", "cell", "left", "top", "right", "bottom", "r", "g", "b", "paper_r", "paper_g",
    "paper_b", "x", "y",
];

impl Tables {
    fn read(folder: &str) -> Result<Self, String> {
        let table = |name: &str, known: &[&str]| Table::of_case(&format!("{folder}/{name}"), known);
        Ok(Self {
            frames: table("frames.csv", &["frame", "chain", "picture", "paper"])?,
            cells: table("cells.csv", &CELLS)?,
            known: table("known.csv", &["cell", "R"])?,
            truth: table("truth.csv", &["frame", "cell", "l", "a", "b", "R"])?,
        })
    }

    /// Refuses what stands for a frame or cell that there is not.
    fn hang_together(&self) -> Result<(), String> {
        for (table, other) in [(&self.cells, &self.frames), (&self.truth, &self.frames)] {
            for row in 0..table.len() {
                row_of(other, &[("frame", table.text(row, "frame")?)])?.ok_or_else(|| {
                    format!("{}: its frame is not in {}", table.at(row), other.file)
                })?;
            }
        }
        for row in 0..self.truth.len() {
            let (frame, cell) = (self.truth.text(row, "frame")?, self.truth.text(row, "cell")?);
            row_of(&self.cells, &[("frame", frame), ("cell", cell)])?.ok_or_else(|| {
                format!("{}: its cell is not in {}", self.truth.at(row), self.cells.file)
            })?;
        }
        Ok(())
    }

    /// A patch or a cloth, whichever the cell is.
    fn take(
        &self,
        frame: &mut CaseFrame,
        row: usize,
        pictures: Option<&(Picture, Option<Picture>)>,
    ) -> Result<(), String> {
        let (cells, name) = (&self.cells, self.cells.text(row, "cell")?);
        let seen = match pictures {
            None => typed(cells, row)?,
            Some((scene, paper)) => pictured(cells, row, scene, paper.as_ref())?,
        };
        if let Some(patch) = row_of(&self.known, &[("cell", name)])? {
            frame.patches.push(Patch { reflectance: self.known.bands(patch)?, seen });
            return Ok(());
        }
        let cloth = row_of(&self.truth, &[("frame", &frame.name), ("cell", name)])?;
        let cloth = cloth.ok_or_else(|| {
            format!("{}: {name:?} is neither in known.csv nor in truth.csv", cells.at(row))
        })?;
        let truth = if self.truth.has("l") {
            let [l, a, b] = ["l", "a", "b"].map(|n| self.truth.number(cloth, n));
            Lab::new(l?, a?, b?)
        } else {
            let bands: Bands = self.truth.bands(cloth)?;
            Weights::reference().lab(&bands)
        };
        frame.cloths.push(CaseCloth { name: name.to_owned(), seen, truth });
        Ok(())
    }
}

/// Every frame of a folder; docs/cases.md says what is in it.
pub(crate) fn frames(folder: &str) -> Result<Vec<CaseFrame>, String> {
    let tables = Tables::read(folder)?;
    tables.hang_together()?;
    let (frames, cells) = (&tables.frames, &tables.cells);
    let mut all = Vec::with_capacity(frames.len());
    for row in 0..frames.len() {
        let name = frames.text(row, "frame")?.to_owned();
        let chain = match frames.text(row, "chain")? {
            "linear" => Chain::Linear,
            "jpeg" => Chain::Developed,
            other => {
                return Err(format!("{}: chain is linear or jpeg, not {other:?}", frames.at(row)));
            }
        };
        let pictures = if cells.has("r") { None } else { Some(pictures(frames, row)?) };
        let at = frames.at(row);
        let mut frame = CaseFrame { name, at, chain, patches: Vec::new(), cloths: Vec::new() };
        for cell in 0..cells.len() {
            if cells.text(cell, "frame")? != frame.name {
                continue;
            }
            row_of(cells, &[("frame", &frame.name), ("cell", cells.text(cell, "cell")?)])?;
            tables.take(&mut frame, cell, pictures.as_ref())?;
        }
        if frame.patches.is_empty() || frame.cloths.is_empty() {
            return Err(format!(
                "{}: this frame wants patches (named in known.csv) and cloths (named in truth.csv) in cells.csv",
                frame.at
            ));
        }
        all.push(frame);
    }
    Ok(all)
}

/// The row with these cells; one that stands twice is refused.
fn row_of(table: &Table, wanted: &[(&str, &str)]) -> Result<Option<usize>, String> {
    let mut found = None;
    for row in 0..table.len() {
        let mut fits = true;
        for (column, value) in wanted {
            fits &= table.text(row, column)? == *value;
        }
        if fits && found.is_some() {
            return Err(format!("{}: stands here twice", table.at(row)));
        }
        if fits {
            found = Some(row);
        }
    }
    Ok(found)
}

fn typed(cells: &Table, row: usize) -> Result<Seen, String> {
    let three = |names: [&str; 3]| -> Result<[f64; 3], String> {
        let [r, g, b] = names.map(|n| cells.number(row, n));
        Ok([r?, g?, b?])
    };
    let paper =
        cells.has("paper_r").then(|| three(["paper_r", "paper_g", "paper_b"])).transpose()?;
    let place = if cells.has("x") {
        Some([cells.number(row, "x")?, cells.number(row, "y")?])
    } else {
        None
    };
    Ok(Seen { rgb: three(["r", "g", "b"])?, paper, place })
}

fn pictured(
    cells: &Table,
    row: usize,
    scene: &Picture,
    paper: Option<&Picture>,
) -> Result<Seen, String> {
    let mut at = [0_usize; 4];
    for (value, side) in at.iter_mut().zip(["left", "top", "right", "bottom"]) {
        let text = cells.text(row, side)?;
        *value = text
            .parse()
            .map_err(|_| format!("{}, {side}: {text:?} is no whole number", cells.at(row)))?;
    }
    let mean = |of: &Picture| average(of, at).map_err(|e| format!("{}: {e}", cells.at(row)));
    Ok(Seen {
        rgb: mean(scene)?,
        paper: paper.map(mean).transpose()?,
        place: Some(place(scene, at)),
    })
}

fn pictures(frames: &Table, row: usize) -> Result<(Picture, Option<Picture>), String> {
    let scene = frames.picture(row, "picture")?;
    let paper = if frames.has("paper") && !frames.text(row, "paper")?.is_empty() {
        Some(frames.picture(row, "paper")?)
    } else {
        None
    };
    Ok((scene, paper))
}

fn average(picture: &Picture, [left, top, right, bottom]: [usize; 4]) -> Result<[f64; 3], String> {
    if left >= right || top >= bottom || right > picture.width() || bottom > picture.height() {
        return Err(format!(
            "{left}, {top} to {right}, {bottom} is no part of a picture of {} × {} pixels",
            picture.width(),
            picture.height()
        ));
    }
    let (mut sum, mut count) = ([0.0; 3], 0.0);
    for y in top..bottom {
        for x in left..right {
            for (s, v) in sum.iter_mut().zip(picture.linear(x, y)) {
                *s += f64::from(v);
            }
            count += 1.0;
        }
    }
    Ok(sum.map(|s| s / count))
}

#[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
fn place(picture: &Picture, [left, top, right, bottom]: [usize; 4]) -> [f64; 2] {
    let long = picture.width().max(picture.height()) as f64;
    let share = |a: usize, b: usize, of: usize| ((a + b) as f64 - of as f64) / (2.0 * long);
    [share(left, right, picture.width()), share(top, bottom, picture.height())]
}
