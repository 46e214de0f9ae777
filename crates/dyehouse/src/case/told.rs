//! The TOML files of a case: `case.toml`, `estimates.toml`, `truth.toml`.

use std::sync::Arc;

use colour::Light;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use toml::Spanned;
use units::LiquorRatio;

use super::{Case, Start, table};
use crate::rows::{ClothRow, DyeRow, bands, thirty_one, triples};
use crate::world::Row;
use crate::{Bolt, Deviates, Instrument, Reader, Refusal, Shape, Shelf, TrueDye, Truth};

pub(super) const CASE: &str = "case.toml";
pub(super) const ESTIMATES: &str = "estimates.toml";
pub(super) const TRUTH: &str = "truth.toml";

/// Where it is told what stands in a file.
const WHERE: &str = "docs/cases.md says what stands in it";
/// The one form there is.
const FORMAT: u32 = 1;

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct CaseFile {
    format: u32,
    about: String,
    liquor_l_per_kg: Spanned<f64>,
    start: StartWord,
    reading: ReadingRow,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct ReadingRow {
    rms_de00: Spanned<f64>,
    gives: Gives,
    light: Spanned<String>,
}

#[derive(Clone, Copy, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
enum StartWord {
    Estimates,
    Ladders,
}

#[derive(Clone, Copy, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
enum Gives {
    Colour,
    Spectrum,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct EstimatesFile {
    cloth: Vec<Spanned<ClothRow>>,
    dye: Vec<Spanned<DyeRow>>,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct TruthFile {
    seed: u64,
    world: Spanned<Row>,
    house: Vec<HouseRow>,
}

#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct HouseRow {
    dye: Vec<Spanned<TrueRow>>,
}

/// One true dye on one cloth: bands with a strength, or a table.
#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct TrueRow {
    id: String,
    cloth: String,
    fixed_pct: f64,
    saturation_pct: f64,
    bands_nm_cm_height: Option<Vec<[f64; 3]>>,
    ks_per_pct: Option<f64>,
    ks_per_pct_400_to_700: Option<Vec<f64>>,
}

impl Case {
    /// Reads a case; `text` gives the text of a file of [`super::FILES`], none where it is not there.
    pub fn try_read(text: impl Fn(&str) -> Option<String>) -> Result<Self, Refusal> {
        let must = |file: &'static str| {
            text(file).ok_or_else(|| Refusal::file(file, "is missing: every case has one"))
        };
        let of_case = must(CASE)?;
        let case: CaseFile = parsed(CASE, &of_case)?;
        if case.format != FORMAT {
            let what = format!("format {} is not known: write format = {FORMAT}", case.format);
            return Err(Refusal::file(CASE, what));
        }
        let shelf = Arc::new(shelf(&must(ESTIMATES)?)?);
        let of_truth = must(TRUTH)?;
        let truth: TruthFile = parsed(TRUTH, &of_truth)?;
        let words = crate::World::named("right")?;
        let at = truth.world.span().start;
        let world = truth.world.into_inner().into_world(words.truth, words.scatter);
        let world = world.map_err(|e| e.in_line(TRUTH, &of_truth, at))?;
        let houses = truth.house.iter().enumerate();
        let truths = houses
            .map(|(i, house)| house.truth(&shelf, i, &of_truth))
            .collect::<Result<Vec<_>, _>>()?;
        let places = table::Places { shelf: &shelf, houses: truths.len() };
        let jobs = table::targets(&must(table::TARGETS)?, &places)?;
        let start = case.start.into();
        let steps = match start {
            Start::Estimates => Vec::new(),
            Start::Ladders => table::ladders(&must(table::LADDERS)?, &places)?,
        };
        let draws = text(table::DRAWS).map(|t| table::draws(&t, &places)).transpose()?;
        let luck = Deviates::of_seed(truth.seed).with(draws.unwrap_or_default());
        let reading = case.reading;
        let light = Light::from_name(reading.light.get_ref())
            .map_err(|e| Refusal::from(e).in_line(CASE, &of_case, reading.light.span().start))?;
        let liquor = &case.liquor_l_per_kg;
        let ratio = LiquorRatio::try_litres_per_kilogram(*liquor.get_ref())
            .map_err(|e| Refusal::from(e).in_line(CASE, &of_case, liquor.span().start))?;
        let reader = Reader::try_new(*reading.rms_de00.get_ref(), reading.gives.into(), light)
            .map_err(|e| e.in_line(CASE, &of_case, reading.rms_de00.span().start))?;
        Ok(Self {
            about: case.about,
            world,
            ratio,
            reader,
            shelf,
            start,
            luck,
            truths,
            steps,
            jobs,
        })
    }

    /// The case as files: name and text. Read again it is the same case.
    pub fn try_written(&self) -> Result<Vec<(&'static str, String)>, Refusal> {
        let case = CaseFile {
            format: FORMAT,
            about: self.about.clone(),
            liquor_l_per_kg: unplaced(self.ratio.to_litres_per_kilogram()),
            start: self.start.into(),
            reading: ReadingRow {
                rms_de00: unplaced(self.reader.scatter()),
                gives: self.reader.instrument().into(),
                light: unplaced(self.reader.light().name().to_owned()),
            },
        };
        let estimates = EstimatesFile {
            cloth: self.shelf.cloths().iter().map(ClothRow::of).map(unplaced).collect(),
            dye: self.shelf.dyes().iter().map(DyeRow::of).map(unplaced).collect(),
        };
        let truth = TruthFile {
            seed: self.luck.seed(),
            world: unplaced(Row::of(&self.world)),
            house: self.truths.iter().map(|t| HouseRow::of(t, &self.shelf)).collect(),
        };
        let mut files = vec![
            (CASE, written(CASE, &case)?),
            (ESTIMATES, written(ESTIMATES, &estimates)?),
            (TRUTH, written(TRUTH, &truth)?),
            (table::TARGETS, table::written_targets(self)),
        ];
        if self.start == Start::Ladders {
            files.push((table::LADDERS, table::written_ladders(self)));
        }
        if self.luck.given().next().is_some() {
            files.push((table::DRAWS, table::written_draws(self)));
        }
        Ok(files)
    }
}

impl HouseRow {
    fn truth(&self, shelf: &Shelf, place: usize, text: &str) -> Result<Truth, Refusal> {
        let one = |cloth: &str, id: &str| {
            let named = |d: &&Spanned<TrueRow>| d.get_ref().cloth == cloth && d.get_ref().id == id;
            let mut rows = self.dye.iter().filter(named);
            match (rows.next(), rows.next()) {
                (Some(row), None) => {
                    let dye = row.get_ref().dye();
                    dye.map_err(|e| e.in_line(TRUTH, text, row.span().start))
                }
                (found, _) => {
                    let how = if found.is_some() { "twice" } else { "not at all" };
                    let what =
                        format!("house {place} tells dye '{id}' on '{cloth}' {how}: tell it once");
                    Err(Refusal::file(TRUTH, what))
                }
            }
        };
        let unknown = self
            .dye
            .iter()
            .map(Spanned::get_ref)
            .find(|d| shelf.jar(&d.id).is_none() || shelf.bolt(&d.cloth).is_none());
        if let Some(row) = unknown {
            let what = format!("'{}' on '{}' is not in {ESTIMATES}", row.id, row.cloth);
            return Err(Refusal::file(TRUTH, what));
        }
        let on = shelf.cloths().iter().map(|cloth| {
            shelf.dyes().iter().map(|dye| one(&cloth.name, &dye.id)).collect::<Result<_, _>>()
        });
        Truth::try_told(shelf, on.collect::<Result<_, _>>()?)
    }

    fn of(truth: &Truth, shelf: &Shelf) -> Self {
        let rows = shelf.cloths().iter().enumerate().flat_map(|(i, cloth)| {
            let dyes = truth.on(Bolt(i)).iter().zip(shelf.dyes());
            dyes.map(|(dye, estimate)| TrueRow::of(dye, &estimate.id, &cloth.name))
        });
        Self { dye: rows.map(unplaced).collect() }
    }
}

impl TrueRow {
    fn dye(&self) -> Result<TrueDye, Refusal> {
        let shape = match (&self.bands_nm_cm_height, self.ks_per_pct, &self.ks_per_pct_400_to_700) {
            (Some(given), Some(ks_per_pct), None) => {
                Shape::Bands { bands: bands(given), ks_per_pct }
            }
            (None, None, Some(table)) => Shape::Table(Box::new(thirty_one(table, &self.id)?)),
            _ => {
                let what = format!(
                    "dye '{}': give either bands_nm_cm_height and ks_per_pct, or ks_per_pct_400_to_700",
                    self.id
                );
                return Err(Refusal::file(TRUTH, what));
            }
        };
        let (fixed_share, saturation_pct) = (self.fixed_pct / 100.0, self.saturation_pct);
        let dye = TrueDye { shape, fixed_share, saturation_pct };
        dye.admit(&self.id)?;
        Ok(dye)
    }

    fn of(dye: &TrueDye, id: &str, cloth: &str) -> Self {
        let (mut given, mut ks_per_pct, mut table) = (None, None, None);
        match &dye.shape {
            Shape::Bands { bands, ks_per_pct: strength } => {
                given = Some(triples(bands));
                ks_per_pct = Some(*strength);
            }
            Shape::Table(values) => table = Some(values.to_vec()),
        }
        Self {
            id: id.to_owned(),
            cloth: cloth.to_owned(),
            fixed_pct: dye.fixed_share * 100.0,
            saturation_pct: dye.saturation_pct,
            bands_nm_cm_height: given,
            ks_per_pct,
            ks_per_pct_400_to_700: table,
        }
    }
}

impl From<StartWord> for Start {
    fn from(word: StartWord) -> Self {
        match word {
            StartWord::Estimates => Self::Estimates,
            StartWord::Ladders => Self::Ladders,
        }
    }
}

impl From<Start> for StartWord {
    fn from(start: Start) -> Self {
        match start {
            Start::Estimates => Self::Estimates,
            Start::Ladders => Self::Ladders,
        }
    }
}

impl From<Gives> for Instrument {
    fn from(word: Gives) -> Self {
        match word {
            Gives::Colour => Self::Colour,
            Gives::Spectrum => Self::Spectrum,
        }
    }
}

impl From<Instrument> for Gives {
    fn from(instrument: Instrument) -> Self {
        match instrument {
            Instrument::Colour => Self::Colour,
            Instrument::Spectrum => Self::Spectrum,
        }
    }
}

/// What is published; each fault with the line of the dye or cloth it is in.
fn shelf(text: &str) -> Result<Shelf, Refusal> {
    let file: EstimatesFile = parsed(ESTIMATES, text)?;
    let dyes = file.dye.into_iter().map(|row| {
        let at = row.span().start;
        let dye = row.into_inner().into_estimate().and_then(|dye| dye.admit().map(|()| dye));
        dye.map_err(|e| e.in_line(ESTIMATES, text, at))
    });
    let dyes = dyes.collect::<Result<_, _>>()?;
    let cloths = file.cloth.into_iter().map(|row| {
        let at = row.span().start;
        let cloth = row.into_inner().into_cloth().and_then(|cloth| cloth.admit().map(|()| cloth));
        cloth.map_err(|e| e.in_line(ESTIMATES, text, at))
    });
    Shelf::try_new(dyes, cloths.collect::<Result<_, _>>()?).map_err(|e| Refusal::file(ESTIMATES, e))
}

/// Something written, not read.
fn unplaced<T>(it: T) -> Spanned<T> {
    Spanned::new(0..0, it)
}

fn parsed<T: DeserializeOwned>(file: &'static str, text: &str) -> Result<T, Refusal> {
    if text.trim().is_empty() {
        return Err(Refusal::file(file, format!("is empty: {WHERE}")));
    }
    let refused =
        |e: toml::de::Error| Refusal::file(file, format!("{}\n{WHERE}", e.to_string().trim_end()));
    toml::from_str(text).map_err(refused)
}

fn written<T: Serialize>(file: &'static str, it: &T) -> Result<String, Refusal> {
    toml::to_string(it).map_err(|e| Refusal::file(file, e))
}
