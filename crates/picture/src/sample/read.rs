//! From a decoded picture to readings: one call.

use colour::ClothPrior;

use crate::{
    Asked, Calibration, ClothSeen, Patch, PhotoRefusal, Picture, Sample, Seen, Taken, Told,
    WeakLight,
};

/// Colours of cloths in a photograph with a chart.
#[derive(Debug, Clone)]
pub struct PhotoReading {
    /// The chart and the averages the colours rest on.
    pub taken: Taken,
    /// What the chart says of camera and lamp.
    pub calibration: Calibration,
    /// Each cloth asked for, or why it cannot be read.
    pub cloths: Vec<Result<ClothSeen, PhotoRefusal>>,
    /// Whether the light is one under which cloth is read weakly, and by how much.
    pub weak: Option<WeakLight>,
}

impl Picture {
    /// Finds the chart, averages patches and cloths, refuses what cannot be trusted, and works out the colours.
    ///
    /// # Errors
    /// A fault of the photograph. A fault of one cloth stands in its place among the cloths.
    pub fn read_cloths(
        &self,
        asked: &Asked<'_>,
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<PhotoReading, PhotoRefusal> {
        let taken = self.take(asked)?;
        let calibration = taken.calibration(asked, told, prior)?;
        let (cloths, weak) = (taken.read(&calibration), calibration.weak_light());
        Ok(PhotoReading { taken, calibration, cloths, weak })
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
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<Vec<Result<ClothSeen, PhotoRefusal>>, PhotoRefusal> {
        Ok(self.read(&self.calibration(asked, told, prior)?))
    }

    /// Whether a patch has lost so much to an end of the scale that nothing is learnt from it.
    #[must_use]
    pub fn is_lost(patch: &Sample) -> bool {
        patch.crushed >= MOST_LOST || patch.clipped >= MOST_LOST
    }

    pub(crate) fn calibration(
        &self,
        asked: &Asked<'_>,
        told: impl Into<Told>,
        prior: &ClothPrior,
    ) -> Result<Calibration, PhotoRefusal> {
        let spreads = asked.chart.spreads();
        let (mut patches, mut off) = (Vec::new(), Vec::new());
        for (n, (sample, reflectance)) in self.patches.iter().zip(asked.chart.patches()).enumerate()
        {
            if !Self::is_lost(sample) {
                patches.push(Patch { reflectance: *reflectance, seen: sample.seen() });
                off.extend(spreads.get(n));
            }
        }
        if spreads.is_empty() {
            return Ok(Calibration::try_learn(&patches, told, prior)?);
        }
        Ok(Calibration::try_learn_read(&patches, &off, told, prior)?)
    }

    fn read(&self, calibration: &Calibration) -> Vec<Result<ClothSeen, PhotoRefusal>> {
        let read = |cloth: &Result<crate::ClothSample, PhotoRefusal>| match cloth {
            Ok(cloth) => Ok(calibration.try_cloth(&cloth.sample.seen())?),
            Err(why) => Err(why.clone()),
        };
        self.cloths.iter().map(read).collect()
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
