//! Photographs and their truth made by somebody else: a folder of tables, and pictures if there are any.

use std::{fs, path::Path};

use colour::{Bands, Lab, Weights};
use picture::{Chain, Patch, Picture, Seen};

use crate::tables::Table;

/// One photograph.
pub(crate) struct CaseFrame {
    pub(crate) name: String,
    pub(crate) chain: Chain,
    pub(crate) patches: Vec<Patch>,
    pub(crate) cloths: Vec<CaseCloth>,
}

/// One cloth in it.
pub(crate) struct CaseCloth {
    pub(crate) name: String,
    pub(crate) seen: Seen,
    pub(crate) truth: Lab,
}

/// Every frame of a folder; docs/cases.md says what is in it.
pub(crate) fn frames(folder: &str) -> Result<Vec<CaseFrame>, String> {
    let file = |name: &str| format!("{folder}/{name}");
    let (frames, cells) = (Table::read(&file("frames.csv"))?, Table::read(&file("cells.csv"))?);
    let (known, truth) = (Table::read(&file("known.csv"))?, Table::read(&file("truth.csv"))?);
    let mut all = Vec::with_capacity(frames.len());
    for row in 0..frames.len() {
        let name = frames.text(row, "frame")?.to_owned();
        let chain = match frames.text(row, "chain")? {
            "linear" => Chain::Linear,
            "jpeg" => Chain::Developed,
            other => {
                return Err(format!(
                    "{folder}/frames.csv, row {}: chain is linear or jpeg, not {other:?}",
                    row + 1
                ));
            }
        };
        let pictures = if has(&cells, "r") { None } else { Some(pictures(folder, &frames, row)?) };
        let mut frame = CaseFrame { name, chain, patches: Vec::new(), cloths: Vec::new() };
        for cell in 0..cells.len() {
            if cells.text(cell, "frame")? == frame.name {
                take(&mut frame, (&cells, cell), pictures.as_ref(), (&known, &truth))?;
            }
        }
        if frame.patches.is_empty() || frame.cloths.is_empty() {
            return Err(format!(
                "{folder}: frame {:?} wants patches (named in known.csv) and cloths (named in truth.csv) in cells.csv",
                frame.name
            ));
        }
        all.push(frame);
    }
    if all.is_empty() {
        return Err(format!("{folder}/frames.csv: no frame in it"));
    }
    Ok(all)
}

fn has(table: &Table, name: &str) -> bool {
    table.len() > 0 && table.text(0, name).is_ok()
}

fn take(
    frame: &mut CaseFrame,
    (cells, row): (&Table, usize),
    pictures: Option<&(Picture, Option<Picture>)>,
    (known, truth): (&Table, &Table),
) -> Result<(), String> {
    let name = cells.text(row, "cell")?;
    if frame.cloths.iter().any(|c| c.name == name) {
        return Err(format!(
            "cells.csv, row {}: {name:?} stands in frame {:?} twice",
            row + 1,
            frame.name
        ));
    }
    let seen = match pictures {
        None => typed(cells, row)?,
        Some((scene, paper)) => {
            let sides = ["left", "top", "right", "bottom"];
            let mut at = [0_usize; 4];
            for (value, side) in at.iter_mut().zip(sides) {
                let text = cells.text(row, side)?;
                *value = text.parse().map_err(|_| {
                    format!("cells.csv, row {}, {side}: {text:?} is no whole number", row + 1)
                })?;
            }
            Seen {
                rgb: average(scene, at).map_err(|e| format!("cells.csv, row {}: {e}", row + 1))?,
                paper: paper
                    .as_ref()
                    .map(|p| average(p, at))
                    .transpose()
                    .map_err(|e| format!("cells.csv, row {}, paper: {e}", row + 1))?,
                place: Some(place(scene, at)),
            }
        }
    };
    for patch in 0..known.len() {
        if known.text(patch, "cell")? == name {
            frame.patches.push(Patch { reflectance: known.bands(patch)?, seen });
            return Ok(());
        }
    }
    for cloth in 0..truth.len() {
        if truth.text(cloth, "frame")? == frame.name && truth.text(cloth, "cell")? == name {
            let truth = if has(truth, "l") {
                let lab = ["l", "a", "b"].map(|n| truth.number(cloth, n));
                let [l, a, b] = lab;
                Lab::new(l?, a?, b?)
            } else {
                let bands: Bands = truth.bands(cloth)?;
                Weights::reference().lab(&bands)
            };
            frame.cloths.push(CaseCloth { name: name.to_owned(), seen, truth });
            return Ok(());
        }
    }
    Err(format!(
        "cells.csv, row {}: {name:?} of frame {:?} is neither in known.csv nor in truth.csv",
        row + 1,
        frame.name
    ))
}

fn typed(cells: &Table, row: usize) -> Result<Seen, String> {
    let three = |names: [&str; 3]| -> Result<[f64; 3], String> {
        let [r, g, b] = names.map(|n| cells.number(row, n));
        Ok([r?, g?, b?])
    };
    let paper =
        has(cells, "paper_r").then(|| three(["paper_r", "paper_g", "paper_b"])).transpose()?;
    let place = if has(cells, "x") {
        Some([cells.number(row, "x")?, cells.number(row, "y")?])
    } else {
        None
    };
    Ok(Seen { rgb: three(["r", "g", "b"])?, paper, place })
}

fn pictures(
    folder: &str,
    frames: &Table,
    row: usize,
) -> Result<(Picture, Option<Picture>), String> {
    let open = |name: &str| -> Result<Picture, String> {
        let path = Path::new(folder).join(name);
        let bytes = fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        Picture::try_read(&bytes).map_err(|e| format!("{}: {e}", path.display()))
    };
    let scene = open(frames.text(row, "picture")?)?;
    let paper = match has(frames, "paper").then(|| frames.text(row, "paper")).transpose()? {
        None | Some("") => None,
        Some(name) => Some(open(name)?),
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
