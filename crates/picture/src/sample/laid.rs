//! Cloths read by known things that lie beside them and are no chart of squares: dyed cloths of known values, or one white.
//!
//! Their places are given; each is averaged as a cloth is, and one that cannot be trusted is left out, with its reason. Left
//! out: finding them; how the light falls off between a single white and the cloth, which nothing shows.

use colour::{Bands, ClothPrior};

use crate::{
    Calibration, ClothPlace, ClothSample, ClothSeen, Map, Patch, PhotoRefusal, Picture, Told,
    WeakLight, WhiteSpread,
};

/// One known thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownPlace {
    /// Where it lies.
    pub place: ClothPlace,
    /// What it reflects.
    pub reflectance: Bands,
    /// How far that may be off, root mean square ΔE00; 0 where it was measured.
    pub spread: f64,
}

/// What a photograph with known cloths or a white gives.
#[derive(Debug, Clone)]
pub struct LaidReading {
    /// What they say of camera and lamp.
    pub calibration: Calibration,
    /// Each known thing as averaged, or why it was left out.
    pub known: Vec<Result<ClothSample, PhotoRefusal>>,
    /// Each cloth as averaged, or why it cannot be read.
    pub samples: Vec<Result<ClothSample, PhotoRefusal>>,
    /// The colour of each.
    pub cloths: Vec<Result<ClothSeen, PhotoRefusal>>,
    /// Whether the light is one under which cloth is read weakly, and by how much.
    pub weak: Option<WeakLight>,
}

/// Share of a cell of a lattice that is looked at, its rim left out: cloths are cut and laid by hand.
const CELL: f64 = 0.56;

impl ClothPlace {
    /// The middles of the cells of a lattice, row after row, within its four outer corners in pixels. None where the corners
    /// go round nothing, or where there is no cell.
    #[must_use]
    pub fn lattice(corners: [[f64; 2]; 4], across: usize, down: usize) -> Option<Vec<Self>> {
        let map = Map::fitted(&[
            ([0.0, 0.0], corners[0]),
            ([1.0, 0.0], corners[1]),
            ([1.0, 1.0], corners[2]),
            ([0.0, 1.0], corners[3]),
        ])?;
        if across == 0 || down == 0 {
            return None;
        }
        let (wide, high) = (1.0 / small(across), 1.0 / small(down));
        let cell = |n: usize| {
            let (x, y) = (small(n % across) + 0.5, small(n / across) + 0.5);
            let at =
                |u: f64, v: f64| map.at([(x + 0.5 * CELL * u) * wide, (y + 0.5 * CELL * v) * high]);
            Self::Corners([at(-1.0, -1.0), at(1.0, -1.0), at(1.0, 1.0), at(-1.0, 1.0)])
        };
        Some((0..across * down).map(cell).collect())
    }
}

/// A cloth of more than this part of the white's light is as white as the white, or the white was drawn on something else
/// (judgement: bleached cloth reflects some 0.85, the whites that are known 0.9 and more).
const AS_WHITE: f64 = 0.97;

impl Picture {
    /// Reads cloths by known cloths that lie in the same light: at least eight that can be trusted.
    ///
    /// # Errors
    /// Too few that can be used; values that no camera can have seen so; white paper of another size.
    pub fn read_by_cloths(
        &self,
        known: &[KnownPlace],
        cloths: &[ClothPlace],
        paper: Option<&Self>,
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<LaidReading, PhotoRefusal> {
        let places: Vec<ClothPlace> = known.iter().map(|k| k.place).collect();
        let seen = self.laid(&places, paper)?;
        let (mut patches, mut spreads) = (Vec::new(), Vec::new());
        for (known, sample) in known.iter().zip(&seen) {
            if let Ok(sample) = sample {
                let reflectance = known.reflectance;
                patches.push(Patch { reflectance, seen: sample.sample.seen() });
                spreads.push(known.spread);
            }
        }
        let calibration = if spreads.iter().all(|s| *s == 0.0) {
            Calibration::try_learn(&patches, told, prior)?
        } else {
            Calibration::try_learn_read(&patches, &spreads, told, prior)?
        };
        self.by(calibration, seen, cloths, paper)
    }

    /// Reads cloths by one white without brightener.
    ///
    /// # Errors
    /// A white that cannot be trusted; white paper of another size.
    pub fn read_by_white(
        &self,
        (white, spread): (&KnownPlace, WhiteSpread),
        cloths: &[ClothPlace],
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<LaidReading, PhotoRefusal> {
        let seen = self.laid(&[white.place], None)?;
        let sample = match seen.first() {
            Some(Ok(sample)) => sample.sample,
            Some(Err(why)) => return Err(PhotoRefusal::White(why.to_string())),
            None => return Err(PhotoRefusal::ClothOutside),
        };
        let patch = Patch { reflectance: white.reflectance, seen: sample.seen() };
        let calibration = Calibration::try_white(&patch, spread, told, prior)?;
        let mut read = self.by(calibration, seen, cloths, None)?;
        let light = |rgb: [f64; 3]| rgb.iter().sum::<f64>();
        for (cloth, seen) in read.cloths.iter_mut().zip(&read.samples) {
            let share = seen.as_ref().map_or(0.0, |s| light(s.sample.rgb) / light(sample.rgb));
            if share > AS_WHITE {
                *cloth = Err(PhotoRefusal::AsWhite { percent: 100.0 * share });
            }
        }
        Ok(read)
    }

    fn by(
        &self,
        calibration: Calibration,
        known: Vec<Result<ClothSample, PhotoRefusal>>,
        cloths: &[ClothPlace],
        paper: Option<&Self>,
    ) -> Result<LaidReading, PhotoRefusal> {
        let samples = self.laid(cloths, paper)?;
        let read = |cloth: &Result<ClothSample, PhotoRefusal>| match cloth {
            Ok(cloth) => Ok(calibration.try_cloth(&cloth.sample.seen())?),
            Err(why) => Err(why.clone()),
        };
        let cloths = samples.iter().map(read).collect();
        let weak = calibration.weak_light();
        Ok(LaidReading { calibration, known, samples, cloths, weak })
    }

    fn laid(
        &self,
        places: &[ClothPlace],
        paper: Option<&Self>,
    ) -> Result<Vec<Result<ClothSample, PhotoRefusal>>, PhotoRefusal> {
        if paper.is_some_and(|p| [p.width(), p.height()] != [self.width(), self.height()]) {
            return Err(PhotoRefusal::PaperSize);
        }
        if self.is_grey() {
            return Err(PhotoRefusal::Grey);
        }
        let one = |place: &ClothPlace| {
            let mut cloth = self.sample_cloth(place, None).ok_or(PhotoRefusal::ClothOutside)?;
            if let Some(paper) = paper {
                let white = paper.sample_cloth(place, None).ok_or(PhotoRefusal::ClothOutside)?;
                cloth.sample.paper = Some(white.sample.rgb);
            }
            cloth.own_fault()?;
            Ok(cloth)
        };
        Ok(places.iter().map(one).collect())
    }
}

#[expect(clippy::cast_precision_loss, reason = "cells of a card")]
const fn small(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_lie_row_after_row_within_the_corners() {
        let corners = [[0.0, 0.0], [300.0, 0.0], [300.0, 200.0], [0.0, 200.0]];
        let cells = ClothPlace::lattice(corners, 3, 2).unwrap();
        assert_eq!(cells.len(), 6);
        let ClothPlace::Corners([a, _, c, _]) = cells[4] else { panic!("no corners") };
        assert!((a[0] - 122.0).abs() < 1e-9 && (c[0] - 178.0).abs() < 1e-9, "{a:?} {c:?}");
        assert!((a[1] - 122.0).abs() < 1e-9 && (c[1] - 178.0).abs() < 1e-9, "{a:?} {c:?}");
        assert_eq!(ClothPlace::lattice(corners, 0, 2), None);
        assert_eq!(ClothPlace::lattice([[1.0, 1.0]; 4], 3, 2), None);
    }
}
