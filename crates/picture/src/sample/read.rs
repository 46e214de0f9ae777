//! From a decoded picture to readings: one call.

use colour::ClothPrior;

use crate::{
    Asked, Calibration, Chain, ClothSeen, Patch, PhotoRefusal, Picture, Sample, Seen, Taken,
};

/// Colours of cloths in a photograph with a chart.
#[derive(Debug, Clone)]
pub struct PhotoReading {
    /// The chart and the averages the colours rest on.
    pub taken: Taken,
    /// Each cloth asked for, or why it cannot be read.
    pub cloths: Vec<Result<ClothSeen, PhotoRefusal>>,
}

impl Picture {
    /// Finds the chart, averages patches and cloths, refuses what cannot be trusted, and works out the colours.
    ///
    /// # Errors
    /// A fault of the photograph. A fault of one cloth stands in its place among the cloths.
    pub fn read_cloths(
        &self,
        asked: &Asked<'_>,
        chain: Chain,
        prior: &ClothPrior,
    ) -> Result<PhotoReading, PhotoRefusal> {
        let taken = self.take(asked)?;
        let cloths = taken.colours(asked, chain, prior)?;
        Ok(PhotoReading { taken, cloths })
    }
}

impl Taken {
    /// The colours of its cloths, whatever its signs say.
    ///
    /// # Errors
    /// When no camera and lamp can have made the readings of the patches.
    pub fn colours(
        &self,
        asked: &Asked<'_>,
        chain: Chain,
        prior: &ClothPrior,
    ) -> Result<Vec<Result<ClothSeen, PhotoRefusal>>, PhotoRefusal> {
        let patches: Vec<Patch> = self
            .patches
            .iter()
            .zip(asked.chart.patches())
            .filter(|(sample, _)| sample.crushed < MOST_LOST && sample.clipped < MOST_LOST)
            .map(|(sample, reflectance)| Patch { reflectance: *reflectance, seen: sample.seen() })
            .collect();
        let calibration = Calibration::try_learn(&patches, chain, prior)?;
        let read = |cloth: &Result<crate::ClothSample, PhotoRefusal>| match cloth {
            Ok(cloth) => Ok(calibration.try_cloth(&cloth.sample.seen())?),
            Err(why) => Err(why.clone()),
        };
        Ok(self.cloths.iter().map(read).collect())
    }
}

/// A patch with more than this share of its pixels at an end of the scale is left out.
const MOST_LOST: f64 = 0.05;

impl Sample {
    /// As the estimator wants it.
    #[must_use]
    pub const fn seen(&self) -> Seen {
        Seen { rgb: self.rgb, paper: self.paper, place: Some(self.place) }
    }
}
