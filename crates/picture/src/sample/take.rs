//! From a decoded picture to averages that can be trusted: the chart is found, patches and cloths are averaged, and what
//! is wrong with the photograph is said before any colour is worked out.

use crate::faults::{edge_between, from_chart};
use crate::{ChartKind, ClothPlace, ClothSample, FoundChart, PhotoRefusal, Picture, Sample, Signs};

/// What is asked of a photograph.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The chart in it.
    pub chart: &'a ChartKind,
    /// The chart's four corners, where they are given: the outer corners of its corner patches, in pixels.
    pub corners: Option<[[f64; 2]; 4]>,
    /// Where cloths lie.
    pub cloths: &'a [ClothPlace],
    /// A picture of nothing but white paper in the same light from the same stand.
    pub paper: Option<&'a Picture>,
}

/// What a sound photograph gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Where the chart lies.
    pub chart: FoundChart,
    /// Its patches, row after row.
    pub patches: Vec<Sample>,
    /// Each cloth asked for, or why it cannot be read.
    pub cloths: Vec<Result<ClothSample, PhotoRefusal>>,
    /// How near to a fault it is.
    pub signs: Signs,
}

/// Fewer pixels than this from patch to patch leave too few in the middle of a patch to tell a gleam or a blur from
/// smallness.
const SMALL_PITCH: f64 = 20.0;

/// What a maker is asked whatever the picture shows: dampness all over cannot be seen.
pub const ASK_DRY: &str = "Was the cloth dry, and had it lain in the room for an hour? Damp cloth is darker, and evenly damp cloth cannot \
     be told from a deeper colour.";

impl Picture {
    /// Finds the chart, averages patches and cloths, and refuses what cannot be trusted.
    ///
    /// # Errors
    /// A fault of the chart or of the light on it. A fault of one cloth stands in its place among the cloths.
    pub fn take(&self, asked: &Asked<'_>) -> Result<Taken, PhotoRefusal> {
        self.take_unjudged(asked)?.judged(asked, self)
    }

    /// The same with its faults left in, for trials of what a fault does.
    ///
    /// # Errors
    /// When there is no chart to be found, or too little of it to read; paper of another size.
    pub fn take_unjudged(&self, asked: &Asked<'_>) -> Result<Taken, PhotoRefusal> {
        if asked.paper.is_some_and(|p| [p.width(), p.height()] != [self.width(), self.height()]) {
            return Err(PhotoRefusal::PaperSize);
        }
        let chart = match asked.corners {
            Some(corners) => self.chart_at(asked.chart, corners)?,
            None => self.find_chart(asked.chart)?,
        };
        let mut patches = self.sample_patches(&chart, asked.chart.patches().len());
        let mut cloths: Vec<Result<ClothSample, PhotoRefusal>> = asked
            .cloths
            .iter()
            .map(|region| {
                let cloth = self.sample_cloth(region, Some(&chart));
                match cloth.ok_or(PhotoRefusal::ClothOutside) {
                    Ok(_) if region.is_on(&chart) => Err(PhotoRefusal::ClothOnChart),
                    // White paper from the same stand shows a shadow, and takes it out.
                    Ok(cloth) if asked.paper.is_none() => {
                        let edge_between = edge_between(self, &chart, region);
                        Ok(ClothSample { edge_between, ..cloth })
                    }
                    other => other,
                }
            })
            .collect();
        if let Some(paper) = asked.paper {
            for (patch, white) in
                patches.iter_mut().zip(paper.sample_patches(&chart, asked.chart.patches().len()))
            {
                patch.paper = Some(white.rgb);
            }
            for (cloth, region) in cloths.iter_mut().zip(asked.cloths) {
                if let (Ok(cloth), Some(white)) = (cloth, paper.sample_cloth(region, Some(&chart)))
                {
                    cloth.sample.paper = Some(white.sample.rgb);
                }
            }
        }
        let signs =
            Signs::of(self, &chart, asked.chart, &patches).ok_or(PhotoRefusal::FewPatches)?;
        Ok(Taken { chart, patches, cloths, signs })
    }

    /// Back from shares of the longer side from the middle.
    #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
    fn pixel(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (w, h) = (self.width() as f64, self.height() as f64);
        [0.5 * w + x * w.max(h), 0.5 * h + y * w.max(h)]
    }
}

impl Taken {
    /// Refuses what cannot be trusted of what was taken from this picture.
    ///
    /// # Errors
    /// A fault of the chart or of the light on it. A fault of one cloth stands in its place among the cloths.
    pub fn judged(mut self, asked: &Asked<'_>, picture: &Picture) -> Result<Self, PhotoRefusal> {
        self.signs.judge().map_err(|why| match why {
            // Of a few pixels a patch these may all be nothing but smallness, and going nearer shows it.
            PhotoRefusal::Blurred | PhotoRefusal::Glare | PhotoRefusal::OtherValues { .. }
                if self.chart.pitch() < SMALL_PITCH =>
            {
                PhotoRefusal::Small { pixels: self.chart.pitch() }
            }
            other => other,
        })?;
        for cloth in &mut self.cloths {
            let Ok(sample) = cloth else { continue };
            // With paper at every place the light's slope is known.
            let place = match asked.paper {
                None => from_chart(&self.chart, picture.pixel(sample.sample.place)),
                Some(_) => [0.0; 2],
            };
            if let Err(why) = sample.judge(&self.signs, place) {
                *cloth = Err(why);
            }
        }
        Ok(self)
    }

    /// How light and its colour are believed to differ between a cloth and the chart's middle, from the light's slope over
    /// the chart: logarithms of ratios.
    #[must_use]
    pub fn falls_to(&self, cloth: &ClothSample, picture: &Picture) -> [f64; 2] {
        self.signs.falls(from_chart(&self.chart, picture.pixel(cloth.sample.place)))
    }

    /// How far that may be off, as standard deviations.
    #[must_use]
    pub fn falls_off(&self, cloth: &ClothSample, picture: &Picture) -> [f64; 2] {
        self.signs.unsure.at(from_chart(&self.chart, picture.pixel(cloth.sample.place)))
    }

    /// A cloth's or patch's colour with the light's slope over the chart taken out (or the paper's, where it was
    /// photographed), so that it stands in the light of the chart's middle.
    #[must_use]
    pub fn even(&self, sample: &Sample, picture: &Picture) -> [f64; 3] {
        if let Some(paper) = sample.paper {
            return std::array::from_fn(|c| sample.rgb[c] / paper[c].max(1e-6));
        }
        let [x, y] = from_chart(&self.chart, picture.pixel(sample.place));
        std::array::from_fn(|c| {
            let [sx, sy] = self.signs.slope[c];
            sample.rgb[c] * colour::maths::exp(-(sx * x + sy * y))
        })
    }
}
